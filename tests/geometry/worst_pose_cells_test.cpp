// The cells of a marking zone: what each says of its places holds for all of them, however often it
// is halved.
#include "geometry/worst_pose_cells.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>
#include <random>
#include <tuple>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

#include "geometry/zone_places.h"
#include "tests/geometry/skins.h"

namespace holeward {
namespace {

const AxisRule kNormal = [](const Vec3& normal) { return Vec3(-normal); };

double AngleBetween(const Vec3& a, const Vec3& b) {
  return std::atan2(a.cross(b).norm(), a.dot(b));
}

PoseZone ZoneAt(const Skin& skin, const SkinPlace& place, double radius) {
  NominalPlace nominal;
  nominal.place = place;
  nominal.position = skin.At(place).position;
  nominal.normal = skin.At(place).normal;
  return {&skin, nominal, radius, 0.1, kNormal};
}

class CellChecks {
 public:
  CellChecks(const PoseZone& zone, const PlaceCells& cells)
      : zone_(zone), cells_(cells), around_(*zone.skin, zone.nominal.place), random_(20261203) {}

  /// Places of a cell against all that it says of them.
  void Check(int index) {
    const PlaceCell& cell = cells_[index];
    for (const Stance& a : cell.corner) {
      for (const Stance& b : cell.corner) EXPECT_LE(AngleBetween(a.axis, b.axis), cell.turn);
    }
    for (int k = 0; k < 30; ++k) Check(cell, Even(0, 1), Even(0, 1));
    // No more than it must: of an even bend half a step of four adds 3/8 to the sag.
    seen_ = {};
    constexpr int kSteps = 8;
    for (int i = 0; i <= kSteps; ++i) {
      for (int j = 0; j <= kSteps; ++j) {
        Check(cell, static_cast<double>(i) / kSteps, static_cast<double>(j) / kSteps);
      }
    }
    EXPECT_LE(cell.sag, 1.6 * seen_.sag + 1e-8);
    EXPECT_LE(cell.axis_sag, 1.6 * seen_.axis_sag + 1e-8);
    EXPECT_LE(cell.turn, seen_.turn + 2.0 * cell.axis_sag + 1e-9);
    EXPECT_LE(cell.radius, seen_.radius + cell.sag + 1e-9);
    CheckCut(cell);
    for (std::size_t k = 0; k < cell.mixes; ++k) {
      const Stance inside = cells_.Inside(index, static_cast<int>(k));
      EXPECT_TRUE(inside.inside);
      EXPECT_LE(inside.entry.norm(), zone_.radius + 1e-12);
      const Vec3 mixed = Mixed(cell, k);
      // Drawn in toward the zone's middle no farther than to its border.
      const double drawn = (inside.entry - mixed).norm();
      EXPECT_LE(drawn, std::max(0.0, mixed.norm() - zone_.radius) + cell.sag + 1e-4);
    }
  }
  /// All cells that are no half of another, against the reach of all.
  void CheckReach() const {
    const Reach reach = cells_.HullReach(0.1, 3.0);
    Reach least;
    for (int index = 0; index < cells_.roots(); ++index) {
      const PlaceCell& cell = cells_[index];
      for (const Stance& corner : cell.corner) {
        const double place = corner.entry.head<2>().norm();
        const double rise = std::abs(corner.entry.z());
        const double tilt = AngleBetween(corner.axis, Vec3::UnitZ()) + 0.1;
        EXPECT_LE(place, reach.place);
        EXPECT_LE(rise, reach.rise);
        EXPECT_LE(tilt, reach.tilt);
        least.place = std::max(least.place, place + cell.sag);
        least.rise = std::max(least.rise, rise + cell.sag);
        least.tilt = std::max(least.tilt, tilt + cell.axis_sag);
      }
    }
    EXPECT_EQ(reach.radius, 3.0);
    EXPECT_NEAR(reach.place, least.place, 1e-12);
    EXPECT_NEAR(reach.rise, least.rise, 1e-12);
    EXPECT_NEAR(reach.tilt, least.tilt, 1e-12);
  }

  int in_zone = 0;
  int clipped = 0;

 private:
  struct Seen {
    double sag = 0.0;
    double axis_sag = 0.0;
    double turn = 0.0;
    double radius = 0.0;
  };

  /// What the zone leaves of a cell ends at its sag beyond the plane that touches the zone's ball
  /// toward the cell: what is cut off holds no place of the zone.
  void CheckCut(const PlaceCell& cell) const {
    const double off = cell.middle.entry.norm();
    if (off < 1e-9) return;
    const Vec3 outward = cell.middle.entry / off;
    for (std::size_t m = 0; m < cell.mixes; ++m) {
      const double out = Mixed(cell, m).dot(outward) - zone_.radius - cell.sag;
      if (cell.mix[m].from == cell.mix[m].to) {
        EXPECT_LE(out, 0.0);
      } else {
        EXPECT_NEAR(out, 0.0, 1e-12);
      }
    }
  }

  double Even(double from, double to) {
    return std::uniform_real_distribution<>(from, to)(random_);
  }

  [[nodiscard]] static Vec3 Mixed(const PlaceCell& cell, std::size_t k) {
    const CornerMix& mix = cell.mix[k];
    return (1.0 - mix.part) * cell.corner[static_cast<std::size_t>(mix.from)].entry +
           mix.part * cell.corner[static_cast<std::size_t>(mix.to)].entry;
  }

  void Check(const PlaceCell& cell, double x, double y) {
    const SkinPoint point = around_.At(cell.at.x() + cell.half.x() * (2 * x - 1),
                                       cell.at.y() + cell.half.y() * (2 * y - 1));
    const Vec3 entry = cells_.frame().ToLocal(point.position);
    const Vec3 axis = cells_.frame().rotation * -point.normal;
    const std::array<double, 4> weight{(1 - x) * (1 - y), x * (1 - y), (1 - x) * y, x * y};
    Vec3 weighted = Vec3::Zero();
    Vec3 weighted_axis = Vec3::Zero();
    for (std::size_t c = 0; c < 4; ++c) {
      weighted += weight[c] * cell.corner[c].entry;
      weighted_axis += weight[c] * cell.corner[c].axis;
    }
    seen_.sag = std::max(seen_.sag, (entry - weighted).norm());
    seen_.axis_sag = std::max(seen_.axis_sag, AngleBetween(axis, weighted_axis));
    seen_.radius = std::max(seen_.radius, (entry - cell.middle.entry).norm());
    for (const Stance& corner : cell.corner) {
      seen_.turn = std::max(seen_.turn, AngleBetween(axis, corner.axis));
    }
    EXPECT_LE((entry - weighted).norm(), cell.sag);
    EXPECT_LE(AngleBetween(axis, weighted_axis), cell.axis_sag);
    EXPECT_LE((entry - cell.middle.entry).norm(), cell.radius);
    const Reach reach = cells_.HullReach(0.1, 3.0);
    if (entry.norm() > zone_.radius) return;
    ++in_zone;
    clipped += cell.mixes != 4;
    EXPECT_LE(entry.head<2>().norm(), reach.place);
    EXPECT_LE(std::abs(entry.z()), reach.rise);
    EXPECT_LE(AngleBetween(axis, Vec3::UnitZ()) + 0.1, reach.tilt);
    // No place of the zone lies beyond all of the mixes, whichever way.
    ASSERT_GT(cell.mixes, 0U);
    for (int k = 0; k < 10; ++k) {
      const Vec3 way = Vec3(Even(-1, 1), Even(-1, 1), Even(-1, 1)).normalized();
      double farthest = -1e9;
      for (std::size_t m = 0; m < cell.mixes; ++m)
        farthest = std::max(farthest, Mixed(cell, m).dot(way));
      EXPECT_LE(weighted.dot(way), farthest + 1e-12);
    }
  }

  const PoseZone& zone_;
  const PlaceCells& cells_;
  Neighbourhood around_;
  std::mt19937 random_;
  Seen seen_;
};

TEST(WorstPoseCells, WhatACellSaysHoldsForAllItsPlaces) {
  const auto arm = test::Made(test::ArmLaw());
  const auto bent = test::Made(test::BentTubeLaw());
  const auto flat = test::StraightBox(80.0, 60.0, 4.0, 300.0);
  for (const auto& [skin, place, radius] :
       std::vector<std::tuple<std::shared_ptr<const Skin>, SkinPlace, double>>{
           {arm, {120.0, 2.4}, 3.0},
           {arm, {150.0, 6.6}, 7.0},
           {bent, {200.0, 1.3}, 5.0},
           {bent, {90.0, 3.9}, 0.4},
           {flat, {150.0, 2.5}, 6.0},
           {flat, {150.0, 3.1}, 1.0}}) {
    const PoseZone zone = ZoneAt(*skin, place, radius);
    auto cells = PlaceCells::Over(zone);
    ASSERT_TRUE(cells) << cells.error().message;
    CellChecks checks(zone, *cells);
    checks.CheckReach();
    std::vector<int> looked;
    for (int cell = 0; cell < cells->roots(); ++cell) looked.push_back(cell);
    for (std::size_t i = 0; i < looked.size() && i < 120; ++i) {
      checks.Check(looked[i]);
      const int cell = looked[i];
      const int way = static_cast<int>(i % 2);
      const auto [first, second] = cells->Halves(cell, way);
      EXPECT_EQ(cells->Halves(cell, way), std::make_pair(first, second));
      // What is told to hold nothing of the zone holds nothing.
      const int made = (*cells)[cell].child[static_cast<std::size_t>(way)];
      EXPECT_EQ(first, (*cells)[made].mixes > 0 ? made : -1);
      EXPECT_EQ(second, (*cells)[made + 1].mixes > 0 ? made + 1 : -1);
      for (const int half : {first, second}) {
        if (half < 0) continue;
        const double part = (*cells)[half].half[way] / (*cells)[cell].half[way];
        EXPECT_NEAR(part, 0.5, 1e-12);
        EXPECT_EQ((*cells)[half].half[1 - way], (*cells)[cell].half[1 - way]);
        const double step = half == first ? -0.5 : 0.5;
        EXPECT_NEAR((*cells)[half].at[way],
                    (*cells)[cell].at[way] + step * (*cells)[cell].half[way], 1e-12);
        looked.push_back(half);
      }
    }
    EXPECT_GT(checks.in_zone, 500);
    EXPECT_GT(checks.clipped, 20);
  }
}

// Round a tube of 60 mm a zone of 15 mm turns by 29 degrees and is covered; of one of 26 mm the
// last cells lie 58 degrees round and turn by 19 themselves.
TEST(WorstPoseCells, ATurnPastSixtyDegreesWithinACellIsRefused) {
  const auto tube = test::StraightTube(60.0, 300.0);
  EXPECT_TRUE(PlaceCells::Over(ZoneAt(*tube, {150.0, 2.0}, 15.0)));
  EXPECT_FALSE(PlaceCells::Over(ZoneAt(*tube, {150.0, 2.0}, 26.0)));
}

// A mark off the middle of a zone of 5 mm: the nearest place of the zone is that itself within it,
// and on its border else.
TEST(WorstPoseCells, APlaceIsFoundNearToAnother) {
  const auto bent = test::Made(test::BentTubeLaw());
  const PoseZone zone = ZoneAt(*bent, {200.0, 1.3}, 5.0);
  const auto cells = PlaceCells::Over(zone);
  ASSERT_TRUE(cells) << cells.error().message;
  const Neighbourhood around(*bent, zone.nominal.place);
  for (const Vec2& at : {Vec2(0.0, 0.0), Vec2(3.0, -2.0), Vec2(-2.5, 4.0), Vec2(6.0, 5.0)}) {
    const Vec3 mark = cells->frame().ToLocal(around.At(at.x(), at.y()).position);
    const Stance near = cells->NearTo(mark);
    EXPECT_TRUE(near.inside);
    if (mark.norm() <= zone.radius) {
      EXPECT_NEAR((near.entry - mark).norm(), 0.0, 1e-6) << at.transpose();
    } else {
      EXPECT_LE(near.entry.norm(), zone.radius);
      EXPECT_NEAR(near.entry.norm(), zone.radius, 2e-5) << at.transpose();
    }
  }
}

// A mark beside the part, farther across than the part is wide, is above no place of it: the search
// ends anywhere round the part, and a place of the zone is given all the same.
TEST(WorstPoseCells, APlaceIsGivenForAMarkBesideThePart) {
  const auto tube = test::StraightTube(60.0, 300.0);
  const PoseZone zone = ZoneAt(*tube, {150.0, 1.3}, 15.0);
  const auto cells = PlaceCells::Over(zone);
  ASSERT_TRUE(cells) << cells.error().message;
  for (int k = 0; k < 4000; ++k) {
    const double turn = 0.7 * k;
    const double far = 20.0 + 0.25 * k;
    const Stance near = cells->NearTo({far * std::cos(turn), far * std::sin(turn), 0.0});
    EXPECT_TRUE(near.inside) << k;
    EXPECT_LE(near.entry.norm(), zone.radius) << k;
  }
}

}  // namespace
}  // namespace holeward
