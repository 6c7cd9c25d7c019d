// Bounds over a cell of places and all leans: no pose lies below them, and they are what
// docs/methods/worst-pose.md says, worked out here in another way.
#include "geometry/worst_pose_bounds.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <limits>
#include <random>
#include <vector>

#include <gtest/gtest.h>

#include "geometry/worst_pose_along.h"
#include "tests/geometry/bound_scenes.h"

namespace holeward {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();
constexpr double kSide = 89.995 * kDegree;  // beyond it a direction proves nothing
constexpr double kRounding = 1e-9;
using test::Metal;
using test::PlateAt;
using test::SquareCell;

// ---- No sampled pose lies below a bound

/// Cells, metal and poses at random.
class Random {
 public:
  explicit Random(unsigned seed) : random_(seed) {}
  double Even(double from, double to) {
    return std::uniform_real_distribution<>(from, to)(random_);
  }
  /// Within an angle of a direction, often right at it.
  Vec3 Within(const Vec3& direction, double angle) {
    const double off = angle * (Even(0, 1) < 0.5 ? 1.0 : std::sqrt(Even(0, 1)));
    const double turn = Even(0, 2 * kPi);
    return AxisFrame::At(Vec3::Zero(), direction).rotation.transpose() *
           Vec3(std::sin(off) * std::cos(turn), std::sin(off) * std::sin(turn), std::cos(off));
  }

  /// A rectangle of places whose axes turn over it.
  PlaceCell Cell() {
    const Vec2 half(Even(0.01, 1.0), Even(0.01, 1.0));
    const double most = Even(0, 1) < 0.2 ? 0.25 : 0.1;
    const Vec2 bend(Even(-most, most), Even(-most, most));
    PlaceCell cell;
    cell.middle.entry = {Even(-2, 2), Even(-2, 2), Even(-1, 1)};
    cell.middle.axis = Within(Vec3::UnitZ(), 0.2);
    for (std::size_t c = 0; c < 4; ++c) {
      const Vec2 side(c % 2 == 0 ? -half.x() : half.x(), c < 2 ? -half.y() : half.y());
      Stance& corner = cell.corner[c];
      corner.entry = cell.middle.entry + Vec3(side.x(), side.y(), Even(-0.02, 0.02));
      corner.axis =
          (cell.middle.axis + Vec3(bend.x() * side.x(), bend.y() * side.y(), 0.0)).normalized();
      cell.mix[c] = {static_cast<int>(c), static_cast<int>(c), 0.0};
      cell.radius = std::max(cell.radius, (corner.entry - cell.middle.entry).norm());
      for (std::size_t d = 0; d < c; ++d) {
        cell.turn =
            std::max(cell.turn, std::acos(std::min(1.0, corner.axis.dot(cell.corner[d].axis))));
      }
    }
    cell.axis_sag = 1e-9;
    cell.turn += 1e-7;
    cell.half = half;
    return cell;
  }

  /// A place of a cell and the axis intended there.
  Stance In(const PlaceCell& cell) {
    const double x = Even(0, 1) < 0.3 ? 0.0 : Even(0, 1);
    const double y = Even(0, 1) < 0.3 ? 1.0 : Even(0, 1);
    const std::array<double, 4> weight{(1 - x) * (1 - y), x * (1 - y), (1 - x) * y, x * y};
    Stance stance{Vec3::Zero(), Vec3::Zero()};
    for (std::size_t c = 0; c < 4; ++c) {
      stance.entry += weight[c] * cell.corner[c].entry;
      stance.axis += weight[c] * cell.corner[c].axis;
    }
    stance.axis.normalize();
    return stance;
  }

  /// A small piece of metal ahead.
  MetalPiece Ahead() {
    const Vec3 middle(Even(-12, 12), Even(-12, 12), Even(-12, 40));
    const double size = Even(0.01, 1.5);
    const auto corner = [&] {
      return Vec3(middle + size * Vec3(Even(-1, 1), Even(-1, 1), Even(-1, 1)));
    };
    MetalPiece metal = Metal(BilinearPatch(corner(), corner(), corner(), corner(), 0.0));
    metal.grown = Even(0, 1) < 0.5 ? 0.0 : Even(0.0, 2.0);
    return metal;
  }

  /// A place of it.
  Vec3 On(const MetalPiece& metal) {
    const double u = Even(0, 1);
    const double v = Even(0, 1) < 0.3 ? 0.0 : Even(0, 1);
    return (1 - u) * ((1 - v) * metal.corner[0] + v * metal.corner[2]) +
           u * ((1 - v) * metal.corner[1] + v * metal.corner[3]);
  }

 private:
  std::mt19937 random_;
};

Drill AnyDrill(Random& random) {
  if (random.Even(0, 1) < 0.3) return *Drill::Step(9, 118 * kDegree, {{4, 6}, {6, 3}});
  return *Drill::Twist(random.Even(1, 12), random.Even(60, 179) * kDegree);
}

double AngleBetween(const Vec3& a, const Vec3& b) {
  return std::atan2(a.cross(b).norm(), a.dot(b));
}

TEST(WorstPoseBounds, NoPoseOfACellTouchesShallowerThanItsBounds) {
  Random random(20261201);
  int touched = 0;
  int through = 0;
  for (int k = 0; k < 4000; ++k) {
    const PlaceCell cell = random.Cell();
    const MetalPiece metal = random.Ahead();
    const Drill drill = AnyDrill(random);
    const std::vector<DrillPart> parts = PartsOf(drill);
    const double tilt = k % 5 == 0 ? 0.0 : random.Even(0.0, k % 7 == 0 ? 0.9 : 0.4);
    const double least = LeastTouch(cell, metal, {parts, tilt, kNever}).depth;
    const double of_cone = LeastTouchOfCone(cell, metal, drill, tilt);
    const double most = GreatestThrough(cell, metal, metal.grown, drill, tilt).depth;
    for (int pose = 0; pose < 40; ++pose) {
      const Stance stance = random.In(cell);
      const Vec3 axis = random.Within(stance.axis, tilt);
      const Vec3 from = random.On(metal) - stance.entry;
      // What lies behind the plane of the entry is metal that is gone through.
      if (from.dot(stance.axis) >= 0.0) {
        const double depth = TouchOfBall(parts, from, axis, metal.grown);
        touched += std::isfinite(depth);
        ASSERT_LE(least, depth + 1e-6) << k;
        ASSERT_LE(of_cone, depth + 1e-6) << k;
      }
      const Vec3 place = from + metal.grown * random.Within(axis, kPi);
      const double s = place.dot(axis);
      // What lies behind the entry is no depth to go to.
      if (s < 0.0 || (place - s * axis).norm() > drill.radius()) continue;
      ++through;
      ASSERT_GE(most, s + drill.FullBehind() - 1e-6) << k;
    }
  }
  EXPECT_GT(touched, 12000);
  EXPECT_GT(through, 5000);
}

// Whatever direction is tried, near the axis or square to it and beyond: what it says of axes at
// some angles to it holds for them.
TEST(WorstPoseBounds, ADirectionSaysNoMoreThanHoldsForTheAxesItIsAskedOf) {
  Random random(20261202);
  int some = 0;
  int all = 0;
  int none = 0;
  for (int k = 0; k < 20000; ++k) {
    const PlaceCell cell = random.Cell();
    const MetalPiece metal = random.Ahead();
    const Drill drill = AnyDrill(random);
    const std::vector<DrillPart> parts = PartsOf(drill);
    const DrillPart& part = parts[static_cast<std::size_t>(k) % parts.size()];
    const double tilt = k % 5 == 0 ? 0.0 : random.Even(0.0, k % 7 == 0 ? 0.9 : 0.4);
    const BoundOf of(parts, tilt, kNever);
    const Vec3 w = random.Within(cell.middle.axis, random.Even(0.0, 1.8));
    const AlongBound along(w, cell, metal, of);
    const double of_all = along.Of(part).depth;
    AxesWithin within;
    if (k % 3 > 0) within.floor = random.Even(0.0, 1.5);
    if (k % 3 > 1) within.ceiling = random.Even(0.0, 1.5);
    const double of_some = along.Over(part, within).depth;
    if (within.floor > within.ceiling) {
      ++none;
      ASSERT_EQ(of_some, kNever) << k;
    }
    for (int pose = 0; pose < 10; ++pose) {
      const Stance stance = random.In(cell);
      const Vec3 axis = random.Within(stance.axis, tilt);
      const Vec3 from = random.On(metal) - stance.entry;
      const double depth = TouchOfBall({part}, from, axis, metal.grown);
      if (!std::isfinite(depth)) continue;
      ++all;
      ASSERT_LE(of_all, depth + 1e-6) << k;
      const double psi = AngleBetween(w, axis);
      if (psi < within.floor || psi > within.ceiling) continue;
      some += within.floor > 0.0;
      ASSERT_LE(of_some, depth + 1e-6) << k;
    }
  }
  EXPECT_GT(all, 14000);
  EXPECT_GT(some, 3000);
  EXPECT_GT(none, 1000);
}

// Of axes that turn over a cell the angles to a direction are their corners' means up to the slack,
// kappa of docs/methods/worst-pose.md.
TEST(WorstPoseBounds, AnglesWithinACellAreTheirMeanUpToTheSlack) {
  PlaceCell cell = SquareCell({0.15, 0.1});
  cell.turn = AngleBetween(cell.corner[0].axis, cell.corner[3].axis);
  const Vec3 w(std::sin(0.9), 0.0, std::cos(0.9));
  const AlongView view = ViewAlong(w, cell, PlateAt(20.0), 1.0);
  double most = 0.0;
  for (int i = 0; i <= 10; ++i) {
    for (int j = 0; j <= 10; ++j) {
      const double x = 0.1 * i;
      const double y = 0.1 * j;
      const std::array<double, 4> weight{(1 - x) * (1 - y), x * (1 - y), (1 - x) * y, x * y};
      Vec3 axis = Vec3::Zero();
      double mean = 0.0;
      for (std::size_t c = 0; c < 4; ++c) {
        axis += weight[c] * cell.corner[c].axis;
        mean += weight[c] * AngleBetween(w, cell.corner[c].axis);
      }
      most = std::max(most, std::abs(AngleBetween(w, axis.normalized()) - mean));
    }
  }
  EXPECT_GT(most, 2e-3);  // more than the axes' own bend
  EXPECT_LE(most, view.slack);
  const double turn = cell.turn;
  const double kappa =
      cell.axis_sag + turn * turn / (4.0 * std::tan(view.nu_least - turn)) + std::pow(turn, 3);
  EXPECT_NEAR(view.slack, kappa, 1e-12);
}

// Nothing is proven to the last bit: 1e-9 mm is left for rounding.
TEST(WorstPoseBounds, RoundingIsLeftItsDue) {
  const Drill drill = *Drill::Twist(6.0, 118.0 * kDegree);
  const PlaceCells one = PlaceCells::Single(Stance{});
  const MetalPiece plate = PlateAt(20.0);
  const double touch = LeastTouch(one[0], plate, {PartsOf(drill), 0.0, kNever}).depth;
  EXPECT_LT(touch, 20.0);
  EXPECT_GT(touch, 20.0 - 1e-8);
  const double through = GreatestThrough(one[0], plate, 0.0, drill, 0.0).depth;
  EXPECT_GT(through, 20.0 + drill.FullBehind());
  EXPECT_LT(through, 20.0 + drill.FullBehind() + 1e-8);
}

// ---- The bounds by their definition

/// The greatest depth up to which something holds, by halving.
double GreatestWhere(const std::function<bool(double)>& holds) {
  double low = -1e9;
  double high = 1e9;
  for (int k = 0; k < 90; ++k) {
    const double middle = 0.5 * (low + high);
    (holds(middle) ? low : high) = middle;
  }
  return low;
}

/// What a cell looks like along w: delta and nu of the method at every corner and mix, kappa, and
/// how far nu differs.
struct Seen {
  std::vector<double> delta, nu;
  double kappa = 0.0;
  double differ = 0.0;
  double least = kNever;
  double most = 0.0;
  double spread = 0.0;
};

Seen Look(const Vec3& w, const PlaceCell& cell, const MetalPiece& metal) {
  Seen seen;
  double nearest = kNever;
  double farthest = -kNever;
  for (const Vec3& pole : metal.poles) {
    nearest = std::min(nearest, pole.dot(w));
    farthest = std::max(farthest, pole.dot(w));
  }
  seen.spread = farthest - nearest;
  const auto mixed = [&](const CornerMix& mix, const auto& of) {
    const auto at = [&](int c) { return of(cell.corner[static_cast<std::size_t>(c)]); };
    return at(mix.from) + mix.part * (at(mix.to) - at(mix.from));
  };
  for (std::size_t k = 0; k < cell.mixes; ++k) {
    const double entry = mixed(cell.mix[k], [&](const Stance& s) { return s.entry.dot(w); });
    seen.delta.push_back(nearest - entry - metal.grown - kRounding);
    seen.nu.push_back(mixed(cell.mix[k], [&](const Stance& s) { return AngleBetween(w, s.axis); }));
    seen.least = std::min(seen.least, seen.nu.back());
    seen.most = std::max(seen.most, seen.nu.back());
  }
  seen.differ = seen.most - seen.least;
  const double turn = cell.turn;
  const double steep = std::tan(std::max(0.0, seen.least - turn));
  const double bend = steep > 0.0 ? turn * turn / (4.0 * steep) : kNever;
  seen.kappa = cell.axis_sag + std::min(turn, bend) + turn * turn * turn;
  return seen;
}

/// One part's bound along a direction: the greatest T for which S >= 0 at every corner.
struct ByDefinition {
  Seen seen;
  double sag = 0.0;
  double tilt = 0.0;
  double cut = kNever;
  AxesWithin within;  // limits that bind at every corner

  struct OfDisc {
    double depth = kNever;
    double cell_spread = 0.0;
    double piece_spread = 0.0;
    bool of_cell = false;  // more is lost to what is not linear in the cell than to its size
  };

  [[nodiscard]] double Most() const { return seen.most + tilt + seen.kappa; }
  /// The angle in the range that is nearest to chi.
  [[nodiscard]] double Nearest(std::size_t k, double chi) const {
    const double end = std::min(within.ceiling, kSide);
    const double low = std::min(end, std::max({0.0, within.floor, seen.nu[k] - tilt}));
    const double high = std::max(low, std::min(end, seen.nu[k] + tilt));
    return std::clamp(chi, low, high);
  }
  [[nodiscard]] double Depth(const DrillDisc& disc, std::size_t k, double rest) const {
    return GreatestWhere([&](double depth) {
      const double chi = std::atan2(disc.radius, depth - disc.behind);
      const double arm = std::hypot(disc.radius, depth - disc.behind);
      return seen.delta[k] - rest - arm * std::cos(Nearest(k, chi) - chi) >= 0.0;
    });
  }
  [[nodiscard]] double Least(const DrillDisc& disc, double rest) const {
    double least = kNever;
    for (std::size_t k = 0; k < seen.nu.size(); ++k) {
      least = std::min(least, Depth(disc, k, rest));
    }
    return least;
  }
  /// sigma between two depths.
  [[nodiscard]] double Slope(const DrillDisc& disc, double from, double to) const {
    double steepest = 0.0;
    for (const double depth : {from, to}) {
      for (const double nu : seen.nu) {
        const double chi = std::atan2(disc.radius, depth - disc.behind);
        steepest = std::max(steepest, std::abs(nu - chi) - tilt + seen.kappa + seen.differ);
      }
    }
    return std::sin(std::min(steepest, 0.5 * kPi));
  }
  [[nodiscard]] OfDisc Of(const DrillDisc& disc) const {
    double lowest = kNever;
    double highest = -kNever;
    double psi = 0.0;
    for (std::size_t k = 0; k < seen.nu.size(); ++k) {
      const double depth = Depth(disc, k, 0.0);
      highest = std::max(highest, depth);
      if (depth > lowest) continue;
      lowest = depth;
      psi = Nearest(k, std::atan2(disc.radius, depth - disc.behind));
    }
    const double raw = std::min(cut, lowest);
    const double arm = std::hypot(disc.radius, raw - disc.behind);
    const auto proven = [&](double slope) {
      const double rest =
          slope > 0.0 ? arm * (slope * seen.kappa + seen.differ * seen.differ / 8.0) : 0.0;
      return std::min(raw, Least(disc, sag + rest));
    };
    OfDisc of;
    of.depth = proven(1.0);
    const bool all = within.floor <= 0.0 && within.ceiling == kNever;
    if (all) of.depth = std::max(of.depth, proven(Slope(disc, of.depth, raw)));
    of.cell_spread = std::min(highest, raw + 1000.0) - of.depth;
    of.piece_spread = seen.spread / std::max(std::cos(psi), 1e-3);
    of.of_cell = raw - of.depth > 0.5 * of.cell_spread;
    return of;
  }
  [[nodiscard]] OfDisc Of(const DrillPart& part) const {
    if (within.floor > Most()) return {};
    const OfDisc front = Of(part.disc[0]);
    const OfDisc back = Of(part.disc[1]);
    return back.depth < front.depth ? back : front;
  }
};

/// Where axes may lean until they are square to w: those beyond, along directions turned back
/// toward the middle axis in steps of 0.4 degrees and twice the one before.
double OfAllAxes(const Vec3& w, const PlaceCell& cell, const MetalPiece& metal, const BoundOf& of,
                 const DrillPart& part) {
  ByDefinition bound{Look(w, cell, metal), cell.sag, of.tilt, of.cut, {}};
  double least = bound.Of(part).depth;
  const Vec3& axis = cell.middle.axis;
  const Vec3 about = axis.cross(w).normalized();
  const double nu = AngleBetween(w, axis);
  double turned = 0.0;
  for (double step = 0.4 * kDegree; bound.Most() > kSide && turned < nu && least < of.cut;
       step *= 2.0) {
    step = std::min(step, nu - turned);
    turned += step;
    bound.seen = Look(Eigen::AngleAxisd(-turned, about) * w, cell, metal);
    bound.within.floor = kSide - step - kRounding;
    least = std::min(least, bound.Of(part).depth);
  }
  return least;
}

/// A cell cut off at a corner, its place taken by mixes.
void CutOff(Random& random, PlaceCell& cell) {
  cell.mixes = 6;
  for (int k = 3; k < 6; ++k) {
    cell.mix[static_cast<std::size_t>(k)] = {k - 3, 3, random.Even(0.2, 0.9)};
  }
}

/// The ways of a cell across which delta, and the angle over the arm, differ by how much.
std::array<double, 2> ChangesOf(const Vec3& w, const PlaceCell& cell, const MetalPiece& metal) {
  const double arm = (metal.middle - cell.middle.entry).norm();
  const auto apart = [&](std::size_t c, std::size_t d) {
    const Stance& one = cell.corner[c];
    const Stance& other = cell.corner[d];
    return std::abs((one.entry - other.entry).dot(w)) +
           arm * std::abs(AngleBetween(w, one.axis) - AngleBetween(w, other.axis));
  };
  return {apart(0, 1) + apart(2, 3), apart(0, 2) + apart(1, 3)};
}

/// Equal but for rounding; angles near 90 degrees make much of it, and of what lies metres behind.
bool Same(double a, double b) {
  return a == b || std::abs(a - b) < 1e-6 + 1e-8 * std::abs(b) || std::max(a, b) < -1000.0;
}

TEST(WorstPoseBounds, AlongADirectionTheyAreAsDefined) {
  Random random(20261203);
  int steep = 0;
  int some = 0;
  std::array<int, 2> ways{};
  for (int k = 0; k < 3000; ++k) {
    PlaceCell cell = random.Cell();
    cell.sag = random.Even(0.0, 0.05);
    if (k % 3 == 0) CutOff(random, cell);
    const MetalPiece metal = random.Ahead();
    const std::vector<DrillPart> parts = PartsOf(AnyDrill(random));
    const DrillPart& part = parts[static_cast<std::size_t>(k) % parts.size()];
    const double tilt = k % 5 == 0 ? 0.0 : random.Even(0.0, 0.4);
    const BoundOf of(parts, tilt, k % 4 == 0 ? random.Even(-5.0, 20.0) : kNever);
    const Vec3 w = random.Within(cell.middle.axis, random.Even(0.0, 1.6));
    ByDefinition bound{Look(w, cell, metal), cell.sag, tilt, of.cut, {}};
    const AlongBound along(w, cell, metal, of);
    const CellBound all = along.Of(part);
    const double expected = OfAllAxes(w, cell, metal, of, part);
    ASSERT_TRUE(Same(all.depth, expected)) << k << " " << all.depth << " " << expected;
    if (bound.Most() > kSide) {
      ++steep;
    } else {
      const ByDefinition::OfDisc found = bound.Of(part);
      ASSERT_TRUE(Same(all.cell_spread, found.cell_spread)) << k;
      ASSERT_TRUE(Same(all.piece_spread, found.piece_spread)) << k;
      std::array<double, 2> changes = ChangesOf(w, cell, metal);
      if (found.of_cell) changes = {cell.half.x(), cell.half.y()};
      ASSERT_EQ(all.way, changes[0] > changes[1] ? 0 : 1) << k;
      ++ways[static_cast<std::size_t>(found.of_cell)];
    }

    const AxesWithin within{random.Even(0.0, 0.8), random.Even(0.3, 1.6)};
    if (within.floor > within.ceiling) continue;
    const double of_some = along.Over(part, within).depth;
    if (std::min(within.ceiling, bound.Most()) > kSide) {
      ASSERT_EQ(of_some, -kNever) << k;
      continue;
    }
    if (within.floor > bound.seen.most - tilt + bound.seen.kappa) bound.within.floor = within.floor;
    if (within.ceiling < bound.seen.least + tilt - bound.seen.kappa)
      bound.within.ceiling = within.ceiling;
    some += bound.within.floor > 0.0 || bound.within.ceiling < kNever;
    ASSERT_TRUE(Same(of_some, bound.Of(part).depth)) << k << " " << of_some;
  }
  EXPECT_GT(steep, 200);
  EXPECT_GT(some, 300);
  EXPECT_GT(ways[0], 300);
  EXPECT_GT(ways[1], 300);
}

// Break-through: s <= (delta + g + a sin psi) / cos psi at psi = nu + t, to the metal's far side.
TEST(WorstPoseBounds, ThroughAWallTheyAreAsDefined) {
  Random random(20261204);
  int along_normal = 0;
  int along_axis = 0;
  for (int k = 0; k < 3000; ++k) {
    PlaceCell cell = random.Cell();
    cell.sag = random.Even(0.0, 0.05);
    const MetalPiece metal = random.Ahead();
    const Drill drill = AnyDrill(random);
    const double tilt = random.Even(0.0, 0.3);
    const double grown = random.Even(0.0, 2.0);
    const CellBound bound = GreatestThrough(cell, metal, grown, drill, tilt);
    if (bound.depth == -kNever) continue;  // out of reach: held below
    Vec3 w = metal.middle_normal;
    if (w.dot(cell.middle.axis) < 0.0) w = -w;
    const bool level = AngleBetween(w, cell.middle.axis) + cell.turn + tilt <= 80.0 * kDegree;
    if (!level) w = cell.middle.axis;
    ++(level ? along_normal : along_axis);
    const Seen seen = Look(w, cell, metal);
    const auto depth = [&](std::size_t c, double rest) {
      const double delta = seen.delta[c] + metal.grown + seen.spread + grown + 2.0 * kRounding;
      const double psi = seen.nu[c] + tilt;
      return (delta + rest + drill.radius() * std::sin(psi)) / std::cos(psi);
    };
    std::size_t deepest = 0;
    std::size_t shallowest = 0;
    for (std::size_t c = 1; c < 4; ++c) {
      if (depth(c, 0.0) > depth(deepest, 0.0)) deepest = c;
      if (depth(c, 0.0) < depth(shallowest, 0.0)) shallowest = c;
    }
    const double arm = std::hypot(drill.radius(), std::abs(depth(deepest, 0.0)) + 1.0);
    const double rest = cell.sag + arm * (seen.kappa + seen.differ * seen.differ / 8.0);
    double most = -kNever;
    for (std::size_t c = 0; c < 4; ++c) most = std::max(most, depth(c, rest));
    ASSERT_NEAR(bound.depth, most + drill.FullBehind(), 1e-6) << k;
    ASSERT_NEAR(bound.cell_spread, most - depth(shallowest, 0.0), 1e-6) << k;
    const double psi = seen.nu[deepest] + tilt;
    ASSERT_NEAR(bound.psi, psi, 1e-9) << k;
    ASSERT_NEAR(bound.piece_spread, seen.spread / std::cos(psi), 1e-6) << k;
    const std::array<double, 2> changes = ChangesOf(w, cell, metal);
    ASSERT_EQ(bound.way, changes[0] > changes[1] ? 0 : 1) << k;
  }
  EXPECT_GT(along_normal, 300);
  EXPECT_GT(along_axis, 300);
}

// A ball round metal is left out only if it stays off the axis however places and axes differ: of
// two angles to it the one nearer straight ahead or straight behind decides.
TEST(WorstPoseBounds, WhatNoPoseReachesIsLeftOutAndNothingElse) {
  const PlaceCell cell = SquareCell();
  const double grown = 2.0;
  const double tilt = 0.1;
  for (const double theta : {0.6, 1.0, 1.4, 1.8, 2.2, 2.5}) {
    const Vec3 middle = 30.0 * Vec3(std::sin(theta), 0.0, std::cos(theta));
    const MetalPiece dot = Metal(BilinearPatch(middle, middle, middle, middle, 0.0));
    const double blur = cell.radius + grown;
    const double off = std::asin(blur / 30.0) + cell.turn + tilt;
    const double clear = (30.0 - blur) * std::min(std::sin(theta - off), std::sin(theta + off));
    for (const double more : {-1e-3, 1e-3}) {
      const Drill drill = *Drill::Twist(2.0 * (clear + more), 118.0 * kDegree);
      EXPECT_EQ(GreatestThrough(cell, dot, grown, drill, tilt).depth == -kNever, more < 0.0)
          << theta << " " << more;
    }
  }
}

// Metal behind the entry's plane in every pose is not ahead; what the places and axes of the cell
// may differ by is left for them.
TEST(WorstPoseBounds, WhatMayLieAheadInAnyPoseIsNotBehind) {
  const Drill drill = *Drill::Twist(6.0, 118.0 * kDegree);
  PlaceCell cell = SquareCell({0.0, 0.0});
  cell.turn = 0.2;
  const Vec3 at(1.0, 2.0, 8.0);
  cell.middle.entry = at;
  for (Stance& corner : cell.corner) corner.entry += at;
  const double half = 0.3;
  const double radius = half * std::sqrt(2.0);
  // What is left is sag + (z + both radii) of_arm at z behind: as much as z at the border.
  const double of_arm = cell.axis_sag + cell.turn * cell.turn;
  const double border = (cell.sag + (radius + cell.radius) * of_arm) / (1.0 - of_arm);
  for (const double deep : {0.999, 1.001}) {
    const auto corner = [&](double x, double y) {
      return Vec3(at + Vec3(x * half, y * half, -deep * border));
    };
    const MetalPiece plate =
        Metal(BilinearPatch(corner(-1, -1), corner(1, -1), corner(-1, 1), corner(1, 1), 0.0));
    ASSERT_NEAR(plate.radius, radius, 1e-9);
    EXPECT_EQ(LeastTouch(cell, plate, {PartsOf(drill), 0.05, kNever}).depth == kNever, deep > 1.0)
        << deep;
  }
}

// ---- One pose and a ball of metal

/// A cone without its tip.
DrillPart Blunt(Random& random) {
  const DrillDisc front{random.Even(0.5, 3.0), random.Even(0.0, 5.0)};
  return {{front, {front.radius + random.Even(0.5, 3.0), front.behind + random.Even(0.1, 4.0)}}};
}

/// Where a part first touches a ball s along the axis and r off it: the least of what each place of
/// its outline has to go, by thirds; it is convex along each of the two lines of the outline.
double TouchByThirds(const DrillPart& part, double s, double r, double g) {
  const DrillDisc& front = part.disc[0];
  const DrillDisc& back = part.disc[1];
  const auto least = [&](double from, double to, const auto& behind) {
    from = std::max(from, r - g);
    to = std::min(to, r + g);
    if (from > to) return kNever;
    const auto depth = [&](double radius) {
      const double off = r - radius;
      return s - std::sqrt(std::max(0.0, g * g - off * off)) + behind(radius);
    };
    for (int k = 0; k < 200; ++k) {
      const double third = (to - from) / 3.0;
      (depth(from + third) < depth(to - third) ? to -= third : from += third);
    }
    return depth(0.5 * (from + to));
  };
  const double cot = (back.behind - front.behind) / (back.radius - front.radius);
  return std::min(least(0.0, front.radius, [&](double) { return front.behind; }),
                  least(front.radius, back.radius, [&](double radius) {
                    return front.behind + (radius - front.radius) * cot;
                  }));
}

TEST(WorstPoseBounds, APoseTouchesABallWhereItsOutlineFirstDoes) {
  Random random(20261205);
  int touched = 0;
  for (int k = 0; k < 4000; ++k) {
    const std::vector<DrillPart> parts =
        k % 3 == 0 ? std::vector{Blunt(random)} : PartsOf(AnyDrill(random));
    const double g = k % 4 == 0 ? 0.0 : random.Even(0.0, 3.0);
    const double s = random.Even(0.0, 30.0);
    const double r = random.Even(0.0, 8.0);
    const Vec3 axis = random.Within(Vec3::UnitZ(), 0.5);
    const Vec3 from = s * axis + r * SquareTo(axis);
    double expected = kNever;
    for (const DrillPart& part : parts) {
      if (part.disc[0].radius == part.disc[1].radius) {
        const double at = std::max(0.0, r - part.disc[0].radius);
        if (at <= g)
          expected = std::min(expected, s - std::sqrt(g * g - at * at) + part.disc[0].behind);
      } else {
        expected = std::min(expected, TouchByThirds(part, s, r, g));
      }
    }
    const double depth = TouchOfBall(parts, from, axis, g);
    ASSERT_EQ(std::isfinite(depth), std::isfinite(expected)) << k;
    if (!std::isfinite(depth)) continue;
    ++touched;
    ASSERT_NEAR(depth, expected, 1e-6) << k;
  }
  EXPECT_GT(touched, 1500);
}

/// The share of values up to one.
double ShareUpTo(double most, const std::vector<double>& values) {
  const auto count =
      std::count_if(values.begin(), values.end(), [=](double v) { return v <= most; });
  return static_cast<double>(count) / static_cast<double>(values.size());
}

// For one place and a ball round a point the worst lean attains the least of all, and the bound is
// that but for some per cent of cases, where the ball is thick and just grazed.
TEST(WorstPoseBounds, OverTheLeansOfOnePlaceTheyAreAttained) {
  Random random(20261206);
  std::vector<double> gaps;
  std::vector<double> with_cone;
  for (int k = 0; k < 2000; ++k) {
    const Drill drill = AnyDrill(random);
    const bool blunt = k % 8 == 0;
    const std::vector<DrillPart> parts = blunt ? std::vector{Blunt(random)} : PartsOf(drill);
    const double tilt = random.Even(0.01, 0.3);
    const double g = k % 4 == 0 ? 0.0 : random.Even(0.0, 2.0);
    const Stance stance{{random.Even(-2, 2), random.Even(-2, 2), random.Even(-1, 1)},
                        random.Within(Vec3::UnitZ(), 0.3)};
    const PlaceCells one = PlaceCells::Single(stance);
    const Vec3 at = stance.entry + random.Even(5.0, 30.0) * random.Within(stance.axis, 0.6);
    MetalPiece dot = Metal(BilinearPatch(at, at, at, at, 0.0));
    dot.grown = g;
    const Vec3 from = at - stance.entry;
    const Vec3 worst = WorstAxis(parts, stance, from, g, tilt);
    ASSERT_LE(AngleBetween(worst, stance.axis), tilt + 1e-9) << k;
    const double attained = TouchOfBall(parts, from, worst, g);
    const double bound = LeastTouch(one[0], dot, {parts, tilt, kNever}).depth;
    for (int pose = 0; pose < 100; ++pose) {
      const double depth = TouchOfBall(parts, from, random.Within(stance.axis, tilt), g);
      ASSERT_LE(attained, depth + 1e-6) << k;
      ASSERT_LE(bound, depth + 1e-6) << k;
    }
    if (!std::isfinite(attained)) continue;
    gaps.push_back(attained - bound);
    if (blunt) continue;
    with_cone.push_back(attained - std::max(bound, LeastTouchOfCone(one[0], dot, drill, tilt)));
  }
  EXPECT_GT(gaps.size(), 700u);
  EXPECT_GT(ShareUpTo(1e-8, gaps), 0.72);
  EXPECT_GT(ShareUpTo(0.02, gaps), 0.84);
  EXPECT_GT(ShareUpTo(1e-8, with_cone), 0.83);
  EXPECT_GT(ShareUpTo(0.02, with_cone), 0.94);
  EXPECT_GT(ShareUpTo(0.1, with_cone), 0.985);
}

// Small metal with a normal of either sense, seen from the front to the side.
TEST(WorstPoseBounds, OfSmallMetalLittleIsLost) {
  Random random(20261207);
  std::vector<double> gaps;
  for (int k = 0; k < 3000; ++k) {
    const Drill drill = AnyDrill(random);
    const std::vector<DrillPart> parts = PartsOf(drill);
    const double tilt = random.Even(0.01, 0.3);
    const Stance stance{{0, 0, 0}, random.Within(Vec3::UnitZ(), 0.3)};
    const PlaceCells one = PlaceCells::Single(stance);
    const Vec3 middle = random.Even(5.0, 30.0) * random.Within(stance.axis, 0.4);
    const AxisFrame frame =
        AxisFrame::At(middle, random.Within(stance.axis, random.Even(0.0, 1.4)));
    const double half = random.Even(0.001, 0.02);
    const auto corner = [&](double x, double y) {
      return frame.ToWorld(Vec3(x * half, y * half, 0));
    };
    MetalPiece plate =
        Metal(BilinearPatch(corner(-1, -1), corner(1, -1), corner(-1, 1), corner(1, 1), 0.0));
    plate.grown = k % 3 == 0 ? 0.0 : random.Even(0.0, 2.0);
    const Vec3 worst = WorstAxis(parts, stance, middle, plate.grown, tilt);
    const double attained = TouchOfBall(parts, middle, worst, plate.grown);
    if (!std::isfinite(attained)) continue;
    const double bound = LeastTouch(one[0], plate, {parts, tilt, kNever}).depth;
    gaps.push_back(attained - bound);
    plate.middle_normal = -plate.middle_normal;
    ASSERT_EQ(LeastTouch(one[0], plate, {parts, tilt, kNever}).depth, bound) << k;
  }
  EXPECT_GT(gaps.size(), 1500u);
  EXPECT_GT(ShareUpTo(0.006, gaps), 0.24);
  EXPECT_GT(ShareUpTo(0.02, gaps), 0.65);
  EXPECT_GT(ShareUpTo(0.035, gaps), 0.79);
  EXPECT_GT(ShareUpTo(0.2, gaps), 0.89);
}

}  // namespace
}  // namespace holeward
