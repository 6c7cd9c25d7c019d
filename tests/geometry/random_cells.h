// Cells, metal, drills and poses at random, for the tests of the bounds.
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <random>

#include "geometry/drill.h"
#include "tests/geometry/bound_scenes.h"

namespace holeward::test {

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

inline Drill AnyDrill(Random& random) {
  if (random.Even(0, 1) < 0.3) return *Drill::Step(9, 118 * kDegree, {{4, 6}, {6, 3}});
  return *Drill::Twist(random.Even(1, 12), random.Even(60, 179) * kDegree);
}

inline double AngleBetween(const Vec3& a, const Vec3& b) {
  return std::atan2(a.cross(b).norm(), a.dot(b));
}

}  // namespace holeward::test
