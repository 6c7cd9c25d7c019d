#include "geometry/round_hole.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "geometry/datum.h"

namespace holeward {
namespace {

constexpr double kLeastTurn = 25.0 * kDegree;  // a corner that turns less is no edge
constexpr double kMostTurn = 150.0 * kDegree;  // beyond it a chord says too little of its arc
constexpr double kTurnMargin = 1.25;           // on a sampled turn
constexpr double kMostWalls = 6.0;             // longer than so many walls the axis runs along one
constexpr double kReached = 1e-7;              // mm

double AngleBetween(const Vec3& a, const Vec3& b) {
  return std::atan2(a.cross(b).norm(), a.dot(b));
}

/// Places round one on rings: `rings` of `around`, the outermost `radius` (mm on the skin) away.
std::vector<SkinPlace> Rings(const Skin& skin, const SkinPlace& centre, double radius, int rings,
                             int around) {
  std::vector<SkinPlace> places;
  const double per_u = skin.At(centre).du.norm();
  for (int ring = 1; ring <= rings; ++ring) {
    for (int k = 0; k < around; ++k) {
      const double angle = 2.0 * kPi * k / around;
      const double out = radius * ring / rings;
      const double u = std::clamp(centre.u + out * std::cos(angle) / per_u, 0.0, skin.u_end());
      double v = WalkAround(skin, u, centre.v, out * std::sin(angle));
      if (!skin.closed()) v = std::clamp(v, 0.0, static_cast<double>(skin.piece_count()));
      places.push_back({u, v});
    }
  }
  return places;
}

/// Depth of a place under the skin, and the foot it was found at.
struct Depth {
  double depth = 0.0;
  SkinPlace foot;
};

/// From the last foot and, on a polygon, from the flats beside it: near a sharp corner the next
/// flat may be nearer.
std::optional<Depth> DepthOf(const Skin& skin, const Vec3& p_world, const SkinPlace& guess) {
  std::optional<Depth> best;
  std::array<double, 3> tried{guess.v, guess.v, guess.v};
  if (!skin.round()) {
    const int piece = skin.PieceOf(guess.v);
    const int flat = piece % 2 == 0 ? piece : piece - 1;
    const int other = piece % 2 == 0 ? piece - 2 : piece + 1;
    tried = {guess.v, other + 0.5, flat + (piece % 2 == 0 ? 2.5 : 0.5)};
  }
  for (std::size_t k = 0; k < (skin.round() ? 1 : tried.size()); ++k) {
    if (!skin.closed() && (tried[k] < 0.0 || tried[k] > skin.piece_count())) continue;
    const auto hit = skin.Project(p_world, {guess.u, tried[k]});
    if (hit && (!best || hit->distance < best->depth)) best = Depth{hit->distance, hit->place};
  }
  return best;
}

/// The things round one nominal place.
class Things {
 public:
  /// @param walk how far on the skin the mark may lie from `place`, mm
  Things(const Part& part, const TapeSolver& tape, const SkinPlace& place, double walk)
      : part_(part), skin_(*part.skin), tape_(tape), place_(place), walk_(walk) {}

  void Ends() {
    Offer(part_.start, NearKind::end, tape_.FromSection(0.0, place_), 0.0);
    Offer(part_.finish, NearKind::end, tape_.FromSection(skin_.u_end(), place_), 0.0);
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
      switch (fitting.shape) {
        case FittingShape::eye:  // its nearest outline lies on its own section or nearer
          Offer(fitting.name, NearKind::fitting, tape_.FromSection(fitting.centre.u, place_),
                0.5 * fitting.diameter);
          break;
        case FittingShape::stud:
          Offer(fitting.name, NearKind::fitting, tape_.Path(fitting.centre, place_),
                0.5 * fitting.diameter);
          break;
        case FittingShape::hole:
          Hole({fitting.name, fitting.centre, 0.5 * fitting.diameter, 0.0});
          break;
        case FittingShape::block: Block(fitting); break;
      }
    }
  }

  void Hole(const OtherHole& hole) {
    const auto other_walk = WalkWithin(skin_, hole.place, hole.zone_radius);
    if (!Offer(hole.name, NearKind::hole, tape_.Path(hole.place, place_), 0.0)) return;
    NearThing& thing = found_.back();
    thing.least = other_walk ? std::max(thing.least - *other_walk, 0.0) : 0.0;
    thing.metal_least = thing.least - hole.radius;
    thing.proven = thing.proven && other_walk.has_value();
  }

  [[nodiscard]] const std::vector<NearThing>& found() const { return found_; }
  [[nodiscard]] const std::vector<std::string>& faults() const { return faults_; }

 private:
  /// @param less_at_least how much nearer than `nominal` it may come over the zone
  void Keep(NearThing thing, double less_at_least) {
    thing.least = std::max(thing.nominal - less_at_least, 0.0);
    thing.metal_least = thing.least;
    found_.push_back(std::move(thing));
  }
  bool Offer(const std::string& to, NearKind kind, const Result<TapePath>& path, double less) {
    if (!path || !std::isfinite(path->length)) {
      faults_.push_back(fmt::format("the tape to {} could not be found{}", to,
                                    path ? "" : ": " + path.error().message));
      return false;
    }
    Keep({to, kind, std::max(path->length - less, 0.0), 0.0, 0.0, path->proven_shortest}, walk_);
    return true;
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
      Offer(fitting.name, NearKind::fitting, tape_.Path(fitting.centre, place_), print.radius);
      return;
    }
    const double half = 0.5 * print.around;
    const TapeRange along{std::max(0.0, print.u_from), std::min(skin_.u_end(), print.u_to)};
    const std::size_t first = found_.size();
    for (const double u : {along.from, along.to}) {
      const TapeRange round{WalkAround(skin_, u, fitting.centre.v, -half),
                            WalkAround(skin_, u, fitting.centre.v, half)};
      Offer(fitting.name, NearKind::fitting,
            round.from < round.to ? tape_.FromSection(u, place_, round)
                                  : tape_.FromSection(u, place_),
            0.0);
    }
    for (const double girth : {-half, half}) {
      Offer(
          fitting.name, NearKind::fitting,
          tape_.FromLine(TapeLine::GirthOffset(part_.skin, fitting.centre.v, girth), place_, along),
          0.0);
    }
    if (found_.size() <= first + 1) return;
    NearThing nearest = found_[first];
    bool proven = true;
    for (std::size_t k = first; k < found_.size(); ++k) {
      proven = proven && found_[k].proven;
      if (found_[k].nominal < nearest.nominal) nearest = found_[k];
    }
    nearest.proven = proven;
    found_.resize(first);
    found_.push_back(nearest);
  }

  const Part& part_;
  const Skin& skin_;
  const TapeSolver& tape_;
  SkinPlace place_;
  double walk_ = 0.0;
  std::vector<NearThing> found_;
  std::vector<std::string> faults_;
};

/// Keeps the least of the same thing seen from another nominal place.
void Merge(std::vector<NearThing>& things, const NearThing& thing) {
  for (NearThing& kept : things) {
    if (kept.to != thing.to || kept.kind != thing.kind) continue;
    kept.least = std::min(kept.least, thing.least);
    kept.metal_least = std::min(kept.metal_least, thing.metal_least);
    kept.proven = kept.proven && thing.proven;
    return;
  }
  things.push_back(thing);
}

/// The nominal places of a point: those of its readings, else the place itself without a bound.
std::vector<NominalPlace> NominalsOf(const PlacedPoint& placed) {
  if (!placed.nominals.empty()) return placed.nominals;
  NominalPlace only;
  only.place = placed.place;
  only.position = placed.position;
  only.normal = placed.normal;
  only.zone = placed.zone;
  return {only};
}

void AddThings(RoundHole& result, const Part& part, const TapeSolver& tape,
               const std::vector<NominalPlace>& nominals, const RoundHoleQuestion& question) {
  const double radius = 0.5 * question.diameter;
  for (const NominalPlace& nominal : nominals) {
    const auto walk = WalkWithin(*part.skin, nominal.place, nominal.zone.radius);
    const bool bounded = nominal.zone.bounded && walk.has_value();
    if (!bounded)
      result.faults.push_back("the marking zone has no bound; distances are not proven");
    Things things(part, tape, nominal.place, walk.value_or(0.0));
    things.Ends();
    things.Edges();
    things.Fittings();
    for (const OtherHole& hole : question.others) things.Hole(hole);
    for (NearThing thing : things.found()) {
      thing.proven = thing.proven && bounded;
      thing.metal_least -= radius;
      Merge(result.things, thing);
    }
    result.faults.insert(result.faults.end(), things.faults().begin(), things.faults().end());
  }
  std::sort(result.faults.begin(), result.faults.end());
  result.faults.erase(std::unique(result.faults.begin(), result.faults.end()), result.faults.end());
  std::sort(result.things.begin(), result.things.end(),
            [](const NearThing& p, const NearThing& q) { return p.least < q.least; });
}

/// The direction itself and six leaning off it by `tilt`.
std::vector<Vec3> Leaning(const Vec3& direction, double tilt) {
  std::vector<Vec3> directions{direction};
  if (!(tilt > 0.0)) return directions;
  constexpr int kAround = 6;
  const Vec3 side = direction.unitOrthogonal();
  const Vec3 other = direction.cross(side);
  for (int k = 0; k < kAround; ++k) {
    const double angle = 2.0 * kPi * k / kAround;
    directions.push_back(std::cos(tilt) * direction +
                         std::sin(tilt) * (std::cos(angle) * side + std::sin(angle) * other));
  }
  return directions;
}

/// Greatest wall length over the zones, widened by the greatest step between neighbouring places.
std::optional<double> GreatestWall(const Part& part, const std::vector<NominalPlace>& nominals,
                                   const RoundHoleQuestion& question) {
  constexpr int kRings = 2;
  constexpr int kAround = 8;
  const Skin& skin = *part.skin;
  double greatest = 0.0;
  double step = 0.0;
  for (const NominalPlace& nominal : nominals) {
    const double walk = WalkWithin(skin, nominal.place, nominal.zone.radius).value_or(0.0);
    std::vector<SkinPlace> places{nominal.place};
    const auto rings = Rings(skin, nominal.place, walk, kRings, kAround);
    places.insert(places.end(), rings.begin(), rings.end());
    std::vector<std::vector<double>> lengths;
    for (const SkinPlace& place : places) {
      std::vector<double> here;
      for (const Vec3& d : Leaning(question.axis(skin.At(place).normal), question.tilt_rad)) {
        const auto length = WallLengthAlong(part, place, d);
        if (!length) return std::nullopt;
        here.push_back(*length);
        greatest = std::max(greatest, *length);
      }
      const std::size_t ring = lengths.size();  // the place one ring in, on the same spoke
      const std::size_t inner = ring > kAround ? ring - kAround : 0;
      if (ring > 0) {
        for (std::size_t k = 0; k < here.size(); ++k) {
          step = std::max(step, std::abs(here[k] - lengths[inner][k]));
        }
      }
      lengths.push_back(std::move(here));
    }
  }
  return greatest + step;
}

}  // namespace

std::optional<double> WallLengthAlong(const Part& part, const SkinPlace& place,
                                      const Vec3& direction) {
  const Skin& skin = *part.skin;
  const Vec3 entry = skin.At(place).position;
  // Depth under the skin changes no faster than one walks: a step of what is lacking never passes
  // the place sought (Hart, The Visual Computer 12 (1996) 527).
  double at = part.wall;
  SkinPlace foot = place;
  for (int step = 0; step < 2000 && at < kMostWalls * part.wall; ++step) {
    const auto depth = DepthOf(skin, entry + at * direction, foot);
    if (!depth) return std::nullopt;
    const double lacking = part.wall - depth->depth;
    if (lacking < kReached) return at;
    at += lacking;
    foot = depth->foot;
  }
  return std::nullopt;
}

std::optional<double> WalkWithin(const Skin& skin, const SkinPlace& place, double radius) {
  if (!(radius >= 0.0) || !std::isfinite(radius)) return std::nullopt;
  if (radius == 0.0) return 0.0;
  constexpr int kRings = 5;
  constexpr int kAround = 16;
  const Vec3 normal = skin.At(place).normal;
  double walk = radius;
  for (int round = 0; round < 3; ++round) {  // the turn is sampled as far as the walk may lead
    double turn = 0.0;
    for (const SkinPlace& at : Rings(skin, place, walk, kRings, kAround)) {
      turn = std::max(turn, kTurnMargin * AngleBetween(normal, skin.At(at).normal));
    }
    if (!(turn < kMostTurn)) return std::nullopt;
    walk = std::max(walk, radius / std::cos(0.5 * turn));
  }
  return walk;
}

const NearThing* RoundHole::Nearest(NearKind kind) const {
  for (const NearThing& thing : things) {
    if (thing.kind == kind) return &thing;
  }
  return nullptr;
}

RoundHole RoundHoleOf(const Part& part, const TapeSolver& tape, const PlacedPoint& placed,
                      const RoundHoleQuestion& question) {
  RoundHole result;
  const std::vector<NominalPlace> nominals = NominalsOf(placed);
  AddThings(result, part, tape, nominals, question);
  const auto nominal = WallLengthAlong(part, placed.place, question.axis(placed.normal));
  if (nominal) {
    result.wall = WallAlongAxis{*nominal, part.wall, GreatestWall(part, nominals, question)};
  } else {
    result.faults.push_back("the axis does not leave the wall within six times its thickness");
  }
  return result;
}

}  // namespace holeward
