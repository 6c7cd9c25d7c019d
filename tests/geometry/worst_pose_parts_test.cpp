// The parts of the search for the worst pose, each fed by itself: what is not a number is never
// held off, and what is known beforehand counts for what it is.
#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <limits>
#include <random>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

#include "geometry/worst_pose_along.h"
#include "geometry/worst_pose_bounds.h"
#include "geometry/worst_pose_search.h"
#include "tests/geometry/simple_walls.h"

namespace holeward {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();
const double kNan = std::numeric_limits<double>::quiet_NaN();
const AxisFrame kPlain;  // the frame of the pieces below: their own

MetalPiece Metal(const BezierPatch& patch) { return MetalOf(PieceOf(patch, kPlain, 0, 0.0), 0); }

/// A square across the axis at a depth, its middle on it.
MetalPiece PlateAt(double depth, double half = 1.0) {
  return Metal(BilinearPatch({-half, -half, depth}, {half, -half, depth}, {-half, half, depth},
                             {half, half, depth}, 0.0));
}

/// A cell of places 2 mm square, the axis leaning by 0.01 rad from its middle to a side.
PlaceCell Cell() {
  PlaceCell cell;
  for (std::size_t c = 0; c < 4; ++c) {
    const Vec2 side(c % 2 == 0 ? -1.0 : 1.0, c < 2 ? -1.0 : 1.0);
    cell.corner[c].entry = {side.x(), side.y(), 0.0};
    cell.corner[c].axis = Vec3(0.01 * side.x(), 0.01 * side.y(), 1.0).normalized();
    cell.mix[c] = {static_cast<int>(c), static_cast<int>(c), 0.0};
  }
  cell.sag = 1e-3;
  cell.axis_sag = 1e-4;
  cell.turn = 0.03;
  cell.radius = 1.5;
  cell.half = {1.0, 1.0};
  return cell;
}

const Drill kDrill = *Drill::Twist(6.0, 118.0 * kDegree);

struct Pair {
  PlaceCell cell = Cell();
  MetalPiece plate = PlateAt(20.0);
  double tilt = 0.05;

  [[nodiscard]] double Touch() const {
    return LeastTouch(cell, plate, {PartsOf(kDrill), tilt, kNever}).depth;
  }
  [[nodiscard]] double Through() const {
    return GreatestThrough(cell, plate, plate.grown, kDrill, tilt).depth;
  }
};

TEST(WorstPoseParts, WhatIsNotANumberIsNeverHeldOff) {
  const Pair sound;
  ASSERT_GT(sound.Touch(), 19.0);
  ASSERT_LT(sound.Through(), 25.0);
  const std::vector<std::function<void(Pair&)>> faults = {
      [](Pair& p) { p.cell.corner[0].entry.x() = kNan; },
      [](Pair& p) { p.cell.corner[1].axis.y() = kNan; },
      [](Pair& p) { p.cell.corner[3].axis.z() = kNan; },
      [](Pair& p) { p.cell.sag = kNan; },
      [](Pair& p) { p.cell.axis_sag = kNan; },
      [](Pair& p) { p.plate.grown = kNan; },
      [](Pair& p) { p.tilt = kNan; },
  };
  for (std::size_t i = 0; i < faults.size(); ++i) {
    Pair spoilt;
    faults[i](spoilt);
    EXPECT_EQ(spoilt.Touch(), -kNever) << i;
    EXPECT_EQ(spoilt.Through(), kNever) << i;
  }
}

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

TEST(WorstPoseParts, NoPoseOfACellTouchesShallowerThanItsBounds) {
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
TEST(WorstPoseParts, ADirectionSaysNoMoreThanHoldsForTheAxesItIsAskedOf) {
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
TEST(WorstPoseParts, AnglesWithinACellAreTheirMeanUpToTheSlack) {
  PlaceCell cell = Cell();
  for (std::size_t c = 0; c < 4; ++c) {
    const Vec2 side(c % 2 == 0 ? -1.0 : 1.0, c < 2 ? -1.0 : 1.0);
    cell.corner[c].axis = Vec3(0.15 * side.x(), 0.1 * side.y(), 1.0).normalized();
  }
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
TEST(WorstPoseParts, RoundingIsLeftItsDue) {
  const PlaceCells one = PlaceCells::Single(Stance{});
  const MetalPiece plate = PlateAt(20.0);
  const double touch = LeastTouch(one[0], plate, {PartsOf(kDrill), 0.0, kNever}).depth;
  EXPECT_LT(touch, 20.0);
  EXPECT_GT(touch, 20.0 - 1e-8);
  const double through = GreatestThrough(one[0], plate, 0.0, kDrill, 0.0).depth;
  EXPECT_GT(through, 20.0 + kDrill.FullBehind());
  EXPECT_LT(through, 20.0 + kDrill.FullBehind() + 1e-8);
}

// Metal that is a line has no normal to look along: the axis serves.
TEST(WorstPoseParts, ThroughALineIsAsDeepAsItLies) {
  const Pair pair;
  const MetalPiece line = Metal(LinePatch({-1, 0, 3}, {1, 0, 3}, 0.0));
  const double deepest = GreatestThrough(pair.cell, line, 0.5, kDrill, 0.0).depth;
  EXPECT_GE(deepest, 3.5 + kDrill.FullBehind());
  EXPECT_LE(deepest, 3.8 + kDrill.FullBehind());
}

TEST(WorstPoseParts, StraightBehindTheEntryNothingIsReached) {
  const Pair pair;
  const MetalPiece plate = PlateAt(-40.0);
  EXPECT_EQ(LeastTouch(pair.cell, plate, {PartsOf(kDrill), 0.05, kNever}).depth, kNever);
  // All round the line backward it may lie anywhere.
  EXPECT_LT(GreatestThrough(pair.cell, plate, 0.0, kDrill, 0.05).depth, 0.0);
}

TEST(WorstPoseParts, SquareToAnAxisIsSquareWhereverItPoints) {
  for (const Vec3& axis : {Vec3(1, 0, 0), Vec3(0, 1, 0), Vec3(0, 0, 1), Vec3(0.36, 0.48, 0.8)}) {
    EXPECT_NEAR(SquareTo(axis).dot(axis), 0.0, 1e-12);
    EXPECT_NEAR(SquareTo(axis).norm(), 1.0, 1e-12);
    // Of a direction and itself any plane will do.
    EXPECT_NEAR(Toward(axis, axis, 0.3).dot(axis), std::cos(0.3), 1e-12);
  }
  EXPECT_NEAR(
      (Toward(Vec3::UnitZ(), Vec3::UnitX(), 0.3) - Vec3(std::sin(0.3), 0, std::cos(0.3))).norm(),
      0.0, 1e-12);
}

// ---- Places of a zone

// Past a sharp corner 9.9 mm off the middle of a zone of 10 mm the way down the side hardly leads
// away from it: where the zone ends there is not settled, and a place of the zone it is all the
// same.
TEST(WorstPoseParts, APlaceOfTheZoneIsFoundRoundACornerToo) {
  SkinLaw law;
  law.centres = {{0, -150, 0}, {0, 150, 0}};
  law.vertices.assign(2, {{40, -30}, {40, 30}, {-40, 30}, {-40, -30}});
  law.corner_radii.assign(2, {0, 0, 0, 0});
  const Skin skin = *Skin::Make(law);
  NominalPlace nominal;
  nominal.place = skin.Project(Vec3(30.1, 0, 200))->place;
  nominal.position = skin.At(nominal.place).position;
  nominal.normal = skin.At(nominal.place).normal;
  const auto cells = PlaceCells::Over(
      {&skin, nominal, 10.0, 0.0, [](const Vec3&) { return Vec3(-Vec3::UnitZ()); }});
  ASSERT_TRUE(cells) << cells.error().message;
  const auto near = [&](const Vec3& world) {
    const Stance stance = cells->NearTo(cells->frame().ToLocal(world));
    EXPECT_TRUE(stance.inside);
    return cells->frame().ToWorld(stance.entry);
  };
  EXPECT_LE((near({45, 0, 30}) - nominal.position).norm(), 10.0);
  EXPECT_NEAR((near({10, 0, 30}) - Vec3(20.1, 0, 30)).norm(), 0.0, 1e-3);
  EXPECT_NEAR((near({28, 3, 30}) - Vec3(28, 3, 30)).norm(), 0.0, 1e-3);
}

// ---- The search

PairSearch Search(double depth) {
  PairSearch search;
  search.bound = [=](const PlaceCell&, const MetalPiece&, double) {
    CellBound bound;
    bound.depth = depth;
    return bound;
  };
  search.attained = [](const Stance&, const Vec3&, const MetalPiece&) { return kNever; };
  search.budget = 1;
  return search;
}

PoseMinimum Found(const PairSearch& search) {
  PlaceCells cells = PlaceCells::Single(Stance{});
  MetalPieces metal;
  metal.Add(PlateAt(20.0));
  metal.Close();
  return LeastOver(cells, metal, {0}, search);
}

TEST(WorstPoseParts, AKnownPoseCountsOnlyIfItIsBetterThanWhatIsOfInterest) {
  PairSearch search = Search(30.0);
  search.cut = 25.0;
  search.known.piece = 0;
  for (const double known : {24.0, 25.0, 26.0}) {
    search.known.upper = known;
    const PoseMinimum found = Found(search);
    EXPECT_EQ(found.piece, known < 25.0 ? 0 : -1) << known;
    EXPECT_EQ(found.upper, known < 25.0 ? known : kNever) << known;
    EXPECT_EQ(found.lower, std::min(known, 25.0)) << known;
  }
  search.known.upper = 24.0;
  search.known.piece = -1;
  EXPECT_EQ(Found(search).piece, -1);
}

TEST(WorstPoseParts, ABoundThatIsNotANumberProvesNothing) {
  EXPECT_EQ(Found(Search(19.0)).lower, 19.0);
  EXPECT_EQ(Found(Search(kNan)).lower, -kNever);
  PairSearch rough = Search(kNan);
  rough.rough = [](const PlaceCell&, const MetalPiece&) { return kNan; };
  EXPECT_EQ(Found(rough).lower, -kNever);
}

// One place, and metal too small to halve: what is proven is returned as it is.
TEST(WorstPoseParts, WhatCannotBeHalvedIsLeftOpen) {
  PairSearch search = Search(19.0);
  search.budget = 1000;
  search.attained = [](const Stance&, const Vec3&, const MetalPiece&) { return 20.0; };
  PlaceCells cells = PlaceCells::Single(Stance{});
  MetalPieces metal;
  metal.Add(PlateAt(20.0, 1e-5));
  metal.Close();
  const PoseMinimum found = LeastOver(cells, metal, {0}, search);
  EXPECT_EQ(found.lower, 19.0);
  EXPECT_EQ(found.upper, 20.0);
  EXPECT_EQ(found.nodes, 1);
}

// Metal too small to halve under a zone that can be: the places are halved, whatever is said to
// cost.
TEST(WorstPoseParts, WhereMetalCannotBeHalvedPlacesAre) {
  PairSearch search = Search(19.0);
  search.budget = 40;
  search.attained = [](const Stance&, const Vec3&, const MetalPiece&) { return 20.0; };
  search.bound = [](const PlaceCell&, const MetalPiece&, double) {
    CellBound bound;
    bound.depth = 19.0;
    bound.piece_spread = 1.0;
    return bound;
  };
  SkinLaw law;
  law.centres = {{0, -150, 0}, {0, 150, 0}};
  law.round = true;
  law.radii = {30.0, 30.0};
  law.girth_origin_v = 0.0;
  const Skin skin = *Skin::Make(law);
  NominalPlace nominal;
  nominal.place = {150.0, 2.0};
  nominal.position = skin.At(nominal.place).position;
  nominal.normal = skin.At(nominal.place).normal;
  auto cells = PlaceCells::Over(
      {&skin, nominal, 1.0, 0.0, [](const Vec3& normal) { return Vec3(-normal); }});
  ASSERT_TRUE(cells);
  MetalPieces metal;
  metal.Add(PlateAt(20.0, 1e-5));
  metal.Close();
  const PoseMinimum found = LeastOver(*cells, metal, {0}, search);
  EXPECT_EQ(found.lower, 19.0);
  EXPECT_EQ(found.upper, 20.0);
  EXPECT_GE(found.nodes, 40);
}

}  // namespace
}  // namespace holeward
