#include "geometry/near_things.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include <fmt/format.h>

#include "geometry/datum.h"
#include "geometry/fitting_spread.h"

namespace holeward {
namespace {

constexpr double kLeastTurn = 25.0 * kDegree;  // a corner that turns less is no edge

double AngleBetween(const Vec3& a, const Vec3& b) {
  return std::atan2(a.cross(b).norm(), a.dot(b));
}

/// The things round one nominal place.
class Finder {
 public:
  Finder(const Part& part, const TapeSolver& tape, const MarkReach& reach)
      : part_(part),
        skin_(*part.skin),
        tape_(tape.WithoutRivals()),  // what is not proven falls back on the straight distance
        place_(reach.place),
        position_(part.skin->At(reach.place).position),
        walk_(reach.walk),
        radius_(reach.radius),
        nearest_only_(reach.nearest_only) {}

  void Ends() {
    const double to_start = ToSection(0.0);
    const double to_finish = ToSection(skin_.u_end());
    const bool start_first = to_start <= to_finish;
    for (const bool start : {start_first, !start_first}) {
      const double straight = start ? to_start : to_finish;
      if (CannotBeNearest(NearKind::end, straight)) continue;
      Offer(start ? part_.start : part_.finish, NearKind::end,
            tape_.FromSection(start ? 0.0 : skin_.u_end(), place_), 0.0, straight);
    }
    if (skin_.closed()) return;
    Offer("lip", NearKind::lip, tape_.FromLine(TapeLine::Constant(0.0), place_), 0.0);
    Offer("other lip", NearKind::lip,
          tape_.FromLine(TapeLine::Constant(skin_.piece_count()), place_), 0.0);
  }

  void Edges() {
    if (skin_.round()) return;
    const int piece = skin_.PieceOf(place_.v);
    if (skin_.KindOf(piece) == PieceKind::corner) {
      if (Turn(piece) >= kLeastTurn) Keep({"corner", NearKind::edge, 0.0, 0.0, 0.0, true}, 0.0);
      return;
    }
    const FlatCorners corners = CornersOf(skin_, piece);
    Edge(piece, corners.lower, -1);
    Edge(piece, corners.upper, +1);
  }

  void Fittings() {
    for (const Fitting& fitting : part_.fittings) {
      const std::size_t first = found_.size();
      Offer(fitting);
      if (fitting.spread != 0.0) Nearer(fitting, first);
    }
  }

  void Hole(const OtherHole& hole) {
    const auto other_walk = WalkWithin(skin_, hole.place, hole.zone_radius);
    if (other_walk && CannotBeNearest(NearKind::hole, ToPlace(hole.place) - *other_walk)) return;
    if (!Offer(hole.name, NearKind::hole, tape_.Path(hole.place, place_), 0.0, ToPlace(hole.place)))
      return;
    NearThing& thing = found_.back();
    thing.least = other_walk ? std::max(thing.least - *other_walk, 0.0) : 0.0;
    thing.metal_least = thing.least - hole.radius;
    thing.proven = thing.proven && other_walk.has_value();
  }

  [[nodiscard]] NearThings Found() const { return {found_, faults_}; }

 private:
  /// True if something of that kind is nearer than a thing that lies this far straight can be.
  [[nodiscard]] bool CannotBeNearest(NearKind kind, double straight) const {
    const double least = straight - std::max(walk_, radius_);
    return nearest_only_ && std::any_of(found_.begin(), found_.end(), [&](const NearThing& thing) {
             return thing.kind == kind && thing.least <= least;
           });
  }
  /// No place of a fitting's outline lies nearer, straight.
  [[nodiscard]] double StraightTo(const Fitting& fitting) const {
    switch (fitting.shape) {
      case FittingShape::eye: return ToSection(fitting.centre.u) - 0.5 * fitting.diameter;
      case FittingShape::stud: return ToPlace(fitting.centre) - 0.5 * fitting.diameter;
      case FittingShape::block:
        return fitting.footprint.disc ? ToPlace(fitting.centre) - fitting.footprint.radius
                                      : ToBorder(fitting);
      case FittingShape::hole: break;
    }
    return 0.0;
  }
  void Offer(const Fitting& fitting) {
    if (fitting.spread == 0.0 && CannotBeNearest(NearKind::fitting, StraightTo(fitting))) return;
    switch (fitting.shape) {
      case FittingShape::eye:  // its nearest outline lies on its own section or nearer
        Offer(fitting.name, NearKind::fitting, tape_.FromSection(fitting.centre.u, place_),
              0.5 * fitting.diameter, ToSection(fitting.centre.u));
        break;
      case FittingShape::stud:
        Offer(fitting.name, NearKind::fitting, tape_.Path(fitting.centre, place_),
              0.5 * fitting.diameter, ToPlace(fitting.centre));
        break;
      case FittingShape::hole:
        Hole({fitting.name, fitting.centre, 0.5 * fitting.diameter, 0.0});
        break;
      case FittingShape::block: Block(fitting); break;
    }
  }
  /// A fitting that readings place may stand nearer by what they are off.
  void Nearer(const Fitting& fitting, std::size_t first) {
    const auto moved = MovedAtMost(skin_, fitting, 0.0);
    const auto walk = moved ? WalkWithin(skin_, fitting.centre, *moved) : std::nullopt;
    for (std::size_t k = first; k < found_.size(); ++k) {
      NearThing& thing = found_[k];
      thing.proven = thing.proven && walk.has_value();
      thing.metal_least -= walk ? std::min(*walk, thing.least) : thing.least;
      thing.least = walk ? std::max(thing.least - *walk, 0.0) : 0.0;
    }
  }
  /// @param less_at_least how much nearer than `nominal` it may come over the zone
  void Keep(NearThing thing, double less_at_least) {
    thing.least = std::max(thing.nominal - less_at_least, 0.0);
    thing.metal_least = thing.least;
    found_.push_back(std::move(thing));
  }
  /// @param less taken off the tape
  /// @param straight no way is shorter; used for the least where the tape is not proven, < 0: none
  bool Offer(const std::string& to, NearKind kind, const Result<TapePath>& path, double less,
             double straight = -1.0) {
    if (!path || !std::isfinite(path->length)) {
      faults_.push_back(fmt::format("the tape to {} could not be found{}", to,
                                    path ? "" : ": " + path.error().message));
      return false;
    }
    NearThing thing{to,  kind, std::max(path->length - less, 0.0),
                    0.0, 0.0,  path->proven_shortest || straight >= 0.0};
    Keep(thing, walk_);
    if (!path->proven_shortest && straight >= 0.0) {
      found_.back().least = std::max(std::min(straight, path->length) - less - radius_, 0.0);
      found_.back().metal_least = found_.back().least;
    }
    return true;
  }

  double ToSection(double u) const {
    const SectionFrame frame = skin_.FrameAt(u);
    return std::abs((position_ - frame.centre).dot(frame.tangent));
  }
  double ToPlace(const SkinPlace& place) const {
    return (skin_.At(place).position - position_).norm();
  }
  /// To the border of a rectangle of skin, less a step: it may bulge between samples.
  double ToBorder(const Fitting& fitting) const {
    constexpr int kSteps = 48;
    const Footprint& print = fitting.footprint;
    double least = std::numeric_limits<double>::infinity();
    double step = 0.0;
    for (int side = 0; side < 4; ++side) {
      Vec3 before = Vec3::Zero();
      for (int k = 0; k <= kSteps; ++k) {
        const double t = static_cast<double>(k) / kSteps;
        const double u = side < 2 ? print.u_from + t * (print.u_to - print.u_from)
                                  : (side == 2 ? print.u_from : print.u_to);
        const double around = print.around * ((side < 2 ? side : t) - 0.5);
        const Vec3 at = skin_.At(u, WalkAround(skin_, u, fitting.centre.v, around)).position;
        if (k > 0) step = std::max(step, (at - before).norm());
        before = at;
        least = std::min(least, (at - position_).norm());
      }
    }
    return std::max(least - step, 0.0);
  }

  double Turn(int corner_piece) const {
    const int span = skin_.SpanOf(place_.u);
    return AngleBetween(skin_.At(place_.u, corner_piece, span, corner_piece).normal,
                        skin_.At(place_.u, corner_piece + 1, span, corner_piece).normal);
  }

  void Edge(int flat, int vertex, int side) {
    const int count = skin_.piece_count();
    int corner = flat + side;
    if (!skin_.closed() && (corner < 0 || corner >= count)) return;  // a lip
    corner = (corner + count) % count;
    if (Turn(corner) < kLeastTurn) return;
    const auto path = tape_.FromLine(TapeLine::Constant(side < 0 ? flat : flat + 1), place_);
    const std::string name = EdgeName(flat, side);
    if (!Offer(name, NearKind::edge, path, 0.0)) return;
    NearThing& thing = found_.back();
    const double at_tangent = thing.nominal;
    thing.nominal += skin_.SetBackAt(path->foot.u, vertex);
    // A zone that reaches the corner's curve is at the edge; else the set-back of the corner is
    // left.
    double set_back = skin_.SetBackAt(path->foot.u, vertex);
    for (const double by : {-2.0 * walk_, 2.0 * walk_}) {
      const double u = std::clamp(path->foot.u + by, 0.0, skin_.u_end());
      set_back = std::min(set_back, skin_.SetBackAt(u, vertex));
    }
    thing.least = at_tangent > walk_ ? at_tangent - walk_ + set_back : 0.0;
    thing.metal_least = thing.least;
  }

  std::string EdgeName(int flat, int side) const {
    for (const Face& face : part_.faces) {
      const std::string& name = side < 0 ? face.first_edge : face.second_edge;
      if (face.piece == flat && !name.empty()) return name;
    }
    return fmt::format("corner {} flat {}", side < 0 ? "before" : "after", flat / 2 + 1);
  }

  /// The nearest of the four sides of a block's outline.
  void Block(const Fitting& fitting) {
    const Footprint& print = fitting.footprint;
    if (print.disc) {
      Offer(fitting.name, NearKind::fitting, tape_.Path(fitting.centre, place_), print.radius,
            ToPlace(fitting.centre));
      return;
    }
    const double half = 0.5 * print.around;
    const double border = ToBorder(fitting);
    const TapeRange along{std::max(0.0, print.u_from), std::min(skin_.u_end(), print.u_to)};
    const std::size_t first = found_.size();
    for (const double u : {along.from, along.to}) {
      const TapeRange round{WalkAround(skin_, u, fitting.centre.v, -half),
                            WalkAround(skin_, u, fitting.centre.v, half)};
      Offer(fitting.name, NearKind::fitting,
            round.from < round.to ? tape_.FromSection(u, place_, round)
                                  : tape_.FromSection(u, place_),
            0.0, border);
    }
    for (const double girth : {-half, half}) {
      Offer(
          fitting.name, NearKind::fitting,
          tape_.FromLine(TapeLine::GirthOffset(part_.skin, fitting.centre.v, girth), place_, along),
          0.0, border);
    }
    if (found_.size() <= first + 1) return;
    NearThing nearest = found_[first];
    for (std::size_t k = first; k < found_.size(); ++k) {
      nearest.nominal = std::min(nearest.nominal, found_[k].nominal);
      nearest.least = std::min(nearest.least, found_[k].least);
      nearest.proven = nearest.proven && found_[k].proven;
    }
    nearest.metal_least = nearest.least;
    found_.resize(first);
    found_.push_back(nearest);
  }

  const Part& part_;
  const Skin& skin_;
  TapeSolver tape_;
  SkinPlace place_;
  Vec3 position_;
  double walk_ = 0.0;
  double radius_ = 0.0;
  bool nearest_only_ = false;
  std::vector<NearThing> found_;
  std::vector<std::string> faults_;
};

}  // namespace

NearThings NearThingsFrom(const Part& part, const TapeSolver& tape, const MarkReach& reach,
                          const std::vector<OtherHole>& others) {
  Finder finder(part, tape, reach);
  finder.Ends();
  finder.Edges();
  finder.Fittings();
  for (const OtherHole& hole : others) finder.Hole(hole);
  return finder.Found();
}

}  // namespace holeward
