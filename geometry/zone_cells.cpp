// Cutting a marking zone into cells (ConesOver of geometry/tolerance.h).
#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <vector>

#include <fmt/format.h>

#include "geometry/tolerance.h"
#include "geometry/zone_places.h"

namespace holeward {
namespace {

constexpr int kSteps = 8;          // samples a cell and way, less one
constexpr double kCellHalf = 0.8;  // aimed-at half-width of a cell, mm
constexpr int kMostCells = 6;      // a way
constexpr double kMostTurn = 60.0 * kDegree;

double AngleBetween(const Vec3& a, const Vec3& b) {
  return std::atan2(a.cross(b).norm(), a.dot(b));
}

struct Cell {
  PoseCone cone;
  double diagonal = 0.0;  // of one step
};

Cell CellAt(const Neighbourhood& around, const Vec2& middle, double half, const AxisRule& axis) {
  Cell cell;
  const SkinPoint centre = around.At(middle.x(), middle.y());
  cell.cone.pose = {centre.position, axis(centre.normal).normalized()};
  std::array<std::array<Vec3, kSteps + 1>, kSteps + 1> axes;
  std::array<std::array<Vec3, kSteps + 1>, kSteps + 1> places;
  double turn = 0.0;
  double step_turn = 0.0;
  for (std::size_t i = 0; i <= kSteps; ++i) {
    for (std::size_t j = 0; j <= kSteps; ++j) {
      const double x = middle.x() + half * (2.0 * static_cast<double>(i) / kSteps - 1.0);
      const double y = middle.y() + half * (2.0 * static_cast<double>(j) / kSteps - 1.0);
      const SkinPoint point = around.At(x, y);
      axes[i][j] = axis(point.normal).normalized();
      places[i][j] = point.position;
      turn = std::max(turn, AngleBetween(axes[i][j], cell.cone.pose.direction));
      if (i > 0) step_turn = std::max(step_turn, AngleBetween(axes[i][j], axes[i - 1][j]));
      if (j > 0) step_turn = std::max(step_turn, AngleBetween(axes[i][j], axes[i][j - 1]));
      if (i > 0 && j > 0) {
        cell.diagonal = std::max(cell.diagonal, (places[i][j] - places[i - 1][j - 1]).norm());
      }
      const Vec3 apart = point.position - centre.position;
      const double along = apart.dot(cell.cone.pose.direction);
      cell.cone.rise = std::max(cell.cone.rise, std::abs(along));
      cell.cone.place =
          std::max(cell.cone.place, std::sqrt(std::max(0.0, apart.squaredNorm() - along * along)));
    }
  }
  // Between samples the skin leaves the chords by no more than a step times half its turn.
  const double sag = cell.diagonal * step_turn + 1e-6;
  cell.cone.rise += sag;
  cell.cone.place += sag;
  cell.cone.tilt = turn + step_turn;
  return cell;
}

}  // namespace

std::optional<double> CoveringHalf(const Neighbourhood& around, const Vec3& middle, double radius) {
  for (double half = 1.01 * radius; half < 3.0 * radius; half *= 1.15) {
    bool outside = true;
    for (int k = 0; k < 64 && outside; ++k) {
      const double t = -half + 2.0 * half * (k % 16) / 16.0;
      const std::array<Vec2, 4> border{{{t, -half}, {half, t}, {-t, half}, {-half, -t}}};
      const Vec2& at = border[static_cast<std::size_t>(k / 16)];
      outside = (around.At(at.x(), at.y()).position - middle).norm() >= radius;
    }
    if (outside) return half;
  }
  return std::nullopt;
}

Result<std::vector<PoseCone>> ConesOver(const Skin& skin, const NominalPlace& nominal,
                                        double radius, double tilt_rad, const AxisRule& axis) {
  if (!std::isfinite(radius) || radius < 0.0 || !std::isfinite(tilt_rad) || tilt_rad < 0.0) {
    return Fail(ErrorKind::computed, "the marking zone or the tilt is not a finite number");
  }
  if (!std::isfinite(nominal.place.u) || !std::isfinite(nominal.place.v) ||
      !nominal.normal.allFinite()) {
    return Fail(ErrorKind::computed, "the hole's place is not a finite number");
  }
  const Neighbourhood around(skin, nominal.place);
  const Vec3 middle = around.At(0.0, 0.0).position;
  const Vec3 intended = axis(nominal.normal).normalized();
  if (!middle.allFinite() || !intended.allFinite()) {
    return Fail(ErrorKind::computed, "the hole's place or direction is not a finite number");
  }
  if (radius < 1e-9) return std::vector<PoseCone>{{{middle, intended}, 0.0, 0.0, tilt_rad}};
  const std::optional<double> half = CoveringHalf(around, middle, radius);
  if (!half) return Fail(ErrorKind::computed, "the marking zone reaches round the part");
  const int count = std::clamp(static_cast<int>(std::ceil(*half / kCellHalf)), 1, kMostCells);
  const double cell_half = *half / count;
  std::vector<PoseCone> cones;
  for (int i = 0; i < count; ++i) {
    for (int j = 0; j < count; ++j) {
      const Vec2 at(-*half + cell_half * (2 * i + 1), -*half + cell_half * (2 * j + 1));
      Cell cell = CellAt(around, at, cell_half, axis);
      const double apart = (cell.cone.pose.entry - middle).norm();
      if (apart - cell.cone.place - cell.cone.rise > radius) continue;
      if (AngleBetween(cell.cone.pose.direction, intended) + cell.cone.tilt > kMostTurn) {
        return Fail(ErrorKind::computed,
                    "the skin turns more than 60 degrees within the marking zone");
      }
      cell.cone.tilt += tilt_rad;
      cones.push_back(cell.cone);
    }
  }
  return cones;
}

}  // namespace holeward
