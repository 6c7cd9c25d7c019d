// All poses of a cell held in one truncated cone, as in geometry/tolerance.h, for the search for
// the worst pose.
#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "geometry/tolerance.h"
#include "geometry/worst_pose_bounds.h"

namespace holeward {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();
constexpr double kRounding = 1e-9;

double AngleBetween(const Vec3& a, const Vec3& b) {
  return std::atan2(a.cross(b).norm(), a.dot(b));
}

/// A place off the cell's middle: along its axis and across it.
std::pair<double, Vec3> Split(const PlaceCell& cell, const Vec3& place) {
  const Vec3 from = place - cell.middle.entry;
  const double along = from.dot(cell.middle.axis);
  return {along, from - along * cell.middle.axis};
}

PoseCone ConeOf(const PlaceCell& cell, double tilt) {
  PoseCone cone{{cell.middle.entry, cell.middle.axis}, 0.0, 0.0, 0.0};
  for (const Stance& stance : cell.corner) {
    const auto [along, across] = Split(cell, stance.entry);
    cone.place = std::max(cone.place, across.norm());
    cone.rise = std::max(cone.rise, std::abs(along));
    cone.tilt = std::max(cone.tilt, AngleBetween(stance.axis, cell.middle.axis));
  }
  // Entries are means of the corners', axes made unit of means: both stay within what holds the
  // corners.
  cone.place += cell.sag;
  cone.rise += cell.sag;
  cone.tilt += cell.axis_sag + tilt;
  return cone;
}

Band BandOf(const PlaceCell& cell, const MetalPiece& piece) {
  Band band{kNever, -kNever, 0.0, 0.0, piece.grown + kRounding};
  const Vec3 middle = Split(cell, piece.middle).second;
  const double off = middle.norm();
  const Vec3 outward = off > kRounding ? Vec3(middle / off) : Vec3::Zero();
  double nearest = kNever;
  for (const Vec3& pole : piece.poles) {
    const auto [along, across] = Split(cell, pole);
    band.z_least = std::min(band.z_least, along);
    band.z_greatest = std::max(band.z_greatest, along);
    band.l_greatest = std::max(band.l_greatest, across.norm());
    nearest = std::min(nearest, across.dot(outward));
  }
  band.l_least = std::max(0.0, nearest);
  return band;
}

}  // namespace

double LeastTouchOfCone(const PlaceCell& cell, const MetalPiece& piece, const Drill& drill,
                        double tilt) {
  return LeastDepthOver(ConeOf(cell, tilt), drill, BandOf(cell, piece));
}

}  // namespace holeward
