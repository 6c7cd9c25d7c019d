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
  int in_zone = 0;
  int clipped = 0;

 private:
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
    EXPECT_LE((entry - weighted).norm(), cell.sag);
    EXPECT_LE(AngleBetween(axis, weighted_axis), cell.axis_sag);
    EXPECT_LE((entry - cell.middle.entry).norm(), cell.radius);
    const Reach reach = cells_.HullReach(0.1, 3.0);
    EXPECT_EQ(reach.radius, 3.0);
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
      EXPECT_LE(entry.dot(way), farthest + 2.0 * cell.sag);
    }
  }

  const PoseZone& zone_;
  const PlaceCells& cells_;
  Neighbourhood around_;
  std::mt19937 random_;
};

TEST(WorstPoseCells, WhatACellSaysHoldsForAllItsPlaces) {
  const auto arm = test::Made(test::ArmLaw());
  const auto bent = test::Made(test::BentTubeLaw());
  for (const auto& [skin, place, radius] :
       std::vector<std::tuple<std::shared_ptr<const Skin>, SkinPlace, double>>{
           {arm, {120.0, 2.4}, 3.0},
           {arm, {150.0, 6.6}, 7.0},
           {bent, {200.0, 1.3}, 5.0},
           {bent, {90.0, 3.9}, 0.4}}) {
    const PoseZone zone = ZoneAt(*skin, place, radius);
    auto cells = PlaceCells::Over(zone);
    ASSERT_TRUE(cells) << cells.error().message;
    CellChecks checks(zone, *cells);
    std::vector<int> looked;
    for (int cell = 0; cell < cells->roots(); ++cell) looked.push_back(cell);
    for (std::size_t i = 0; i < looked.size() && i < 120; ++i) {
      checks.Check(looked[i]);
      const int cell = looked[i];
      const int way = static_cast<int>(i % 2);
      const auto [first, second] = cells->Halves(cell, way);
      EXPECT_EQ(cells->Halves(cell, way), std::make_pair(first, second));
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

}  // namespace
}  // namespace holeward
