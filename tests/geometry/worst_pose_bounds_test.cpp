// Bounds over a cell of places and all leans: no pose lies below them, and little is lost.
#include "geometry/worst_pose_bounds.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <vector>

#include <gtest/gtest.h>

#include "geometry/worst_pose_along.h"
#include "tests/geometry/bound_scenes.h"
#include "tests/geometry/random_cells.h"

namespace holeward {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();
using test::AngleBetween;
using test::AnyDrill;
using test::Metal;
using test::PlateAt;
using test::Random;
using test::SquareCell;

// ---- No sampled pose lies below a bound

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
