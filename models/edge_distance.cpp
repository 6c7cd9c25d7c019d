#include "models/edge_distance.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "geometry/datum.h"
#include "geometry/mounted_body.h"

namespace holeward {
namespace {

constexpr double kLeastTurn = 25.0 * kDegree;
// A corner of no radius is a piece of no width: its line is taken a hair inside the flat, far less
// than the tape's own accuracy.
constexpr double kSharp = 1e-9;
constexpr double kHair = 1e-9;

/// Least straight distance from a place to the border of a rectangle of skin, less half a step: no
/// tape to it is shorter.
double StraightToBlock(const Skin& skin, const Fitting& fitting, const Vec3& from) {
  constexpr int kSteps = 24;
  const Footprint& print = fitting.footprint;
  double least = std::numeric_limits<double>::infinity();
  double step = 0.0;
  for (int side = 0; side < 4; ++side) {
    Vec3 before = Vec3::Zero();
    for (int k = 0; k <= kSteps; ++k) {
      const double t = static_cast<double>(k) / kSteps;
      const double along = side < 2 ? t : side - 2.0;
      const double across = side < 2 ? side : t;
      const double u = print.u_from + along * (print.u_to - print.u_from);
      const double v = WalkAround(skin, u, fitting.centre.v, (across - 0.5) * print.around);
      const Vec3 at = skin.At(u, v).position;
      if (k > 0) step = std::max(step, (at - before).norm());
      before = at;
      least = std::min(least, (at - from).norm());
    }
  }
  return least - step;  // a step, not half: the skin may bulge between samples
}

/// Keeps the nearest of the edges offered.
class Nearest {
 public:
  Nearest(const Part& part, const TapeSolver& tape, const SkinPlace& place)
      : part_(part), skin_(*part.skin), tape_(tape), place_(place) {}

  void Ends() {
    Offer(part_.start, tape_.FromSection(0.0, place_), 0.0);
    Offer(part_.finish, tape_.FromSection(skin_.u_end(), place_), 0.0);
  }

  void Corners() {
    if (skin_.round()) return;
    const int piece = skin_.PieceOf(place_.v);
    if (!skin_.closed()) {
      Offer("lip", tape_.FromLine(TapeLine::Constant(0.0), place_), 0.0);
      Offer("lip", tape_.FromLine(TapeLine::Constant(skin_.piece_count()), place_), 0.0);
    }
    if (skin_.KindOf(piece) == PieceKind::corner) {
      if (Turn(piece) >= kLeastTurn) Keep("corner", 0.0);
      return;
    }
    const FlatCorners corners = CornersOf(skin_, piece);
    Corner(piece, corners.lower, -1);
    Corner(piece, corners.upper, +1);
  }

  void Fittings() {
    for (const Fitting& fitting : part_.fittings) {
      switch (fitting.shape) {
        case FittingShape::eye:  // its nearest outline lies on its own section or nearer
          Offer(fitting.name, tape_.FromSection(fitting.centre.u, place_), 0.5 * fitting.diameter);
          break;
        case FittingShape::stud:
        case FittingShape::hole:
          if (StraightTo(fitting) - 0.5 * fitting.diameter > result_.distance) break;
          Offer(fitting.name, tape_.Path(fitting.centre, place_), 0.5 * fitting.diameter);
          break;
        case FittingShape::block: Block(fitting); break;
      }
    }
  }

  [[nodiscard]] const EdgeDistance& result() const { return result_; }

 private:
  void Keep(const std::string& edge, double distance) {
    if (std::isnan(distance)) {
      result_.failure = fmt::format("the tape to '{}' gave no number", edge);
    } else if (distance < result_.distance) {
      result_.distance = std::max(distance, 0.0);
      result_.edge = edge;
    }
  }
  void Offer(const std::string& edge, const Result<TapePath>& path, double less) {
    if (!path) {
      result_.failure =
          fmt::format("the tape to '{}' could not be found: {}", edge, path.error().message);
      return;
    }
    Keep(edge, path->length - less);
  }

  double StraightTo(const Fitting& fitting) const {
    return (skin_.At(fitting.centre).position - skin_.At(place_).position).norm();
  }

  double Turn(int corner_piece) const {
    const int span = skin_.SpanOf(place_.u);
    const Vec3 from = skin_.At(place_.u, corner_piece, span, corner_piece).normal;
    const Vec3 to = skin_.At(place_.u, corner_piece + 1, span, corner_piece).normal;
    return std::atan2(from.cross(to).norm(), from.dot(to));
  }

  void Corner(int flat, int vertex, int side) {
    int piece = flat + side;
    const int count = skin_.piece_count();
    if (piece < 0 || piece >= count) {
      if (!skin_.closed()) return;  // a lip
      piece = (piece + count) % count;
    }
    if (skin_.KindOf(piece) != PieceKind::corner || Turn(piece) < kLeastTurn) return;
    const double hair = skin_.CornerRadiusAt(place_.u, vertex) < kSharp ? kHair : 0.0;
    const double v = side < 0 ? flat + hair : flat + 1 - hair;
    const auto path = tape_.FromLine(TapeLine::Constant(v), place_);
    const double set_back = skin_.SetBackAt(path ? path->foot.u : place_.u, vertex);
    Offer(EdgeName(flat, side), path, -set_back);
  }

  std::string EdgeName(int flat, int side) const {
    for (const Face& face : part_.faces) {
      if (face.piece != flat) continue;
      const std::string& name = side < 0 ? face.first_edge : face.second_edge;
      if (!name.empty()) return name;
    }
    return "corner";
  }

  /// The four sides of a block's outline.
  void Block(const Fitting& fitting) {
    const Footprint& print = fitting.footprint;
    if (print.disc) {
      if (StraightTo(fitting) - print.radius > result_.distance) return;
      Offer(fitting.name, tape_.Path(fitting.centre, place_), print.radius);
      return;
    }
    if (StraightToBlock(skin_, fitting, skin_.At(place_).position) > result_.distance) return;
    // A rectangle round a mount holds skin that is bare: there the metal may be anywhere near.
    if (BodyOfFitting(part_.solid.get(), fitting.name) != nullptr && Covers(fitting))
      return Keep(fitting.name, 0.0);
    const double half = 0.5 * print.around;
    const TapeRange along{std::max(0.0, print.u_from), std::min(skin_.u_end(), print.u_to)};
    for (const double u : {along.from, along.to}) {
      const TapeRange round{WalkAround(skin_, u, fitting.centre.v, -half),
                            WalkAround(skin_, u, fitting.centre.v, half)};
      Offer(fitting.name,
            round.from < round.to ? tape_.FromSection(u, place_, round)
                                  : tape_.FromSection(u, place_),
            0.0);
    }
    for (const double girth : {-half, half}) {
      Offer(
          fitting.name,
          tape_.FromLine(TapeLine::GirthOffset(part_.skin, fitting.centre.v, girth), place_, along),
          0.0);
    }
  }

  [[nodiscard]] bool Covers(const Fitting& fitting) const {
    const Footprint& print = fitting.footprint;
    if (place_.u < print.u_from || place_.u > print.u_to) return false;
    double aside = skin_.GirthOf(place_.u, place_.v) - skin_.GirthOf(place_.u, fitting.centre.v);
    if (skin_.closed()) aside = std::remainder(aside, skin_.Perimeter(place_.u));
    return std::abs(aside) <= 0.5 * print.around;
  }

  const Part& part_;
  const Skin& skin_;
  const TapeSolver& tape_;
  SkinPlace place_;
  EdgeDistance result_;
};

}  // namespace

EdgeDistance EdgeDistanceOf(const Part& part, const TapeSolver& tape, const SkinPlace& place) {
  Nearest nearest(part, tape, place);
  nearest.Ends();
  nearest.Corners();
  nearest.Fittings();
  return nearest.result();
}

}  // namespace holeward
