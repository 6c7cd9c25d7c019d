#include "geometry/rod_of_solid.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <BRepGProp.hxx>
#include <GProp_GProps.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <fmt/format.h>

#include "geometry/bent_tube.h"
#include "geometry/face_samples.h"
#include "geometry/solid_kernel.h"

namespace holeward {
namespace {

// What a face may be off the rod and still be one of it, mm: as much as a face of a part may be.
constexpr double kMatch = 0.02;
// Volumes agree to this share.
constexpr double kVolume = 1e-4;

tl::unexpected<Error> Refused(const std::string& what, const std::string& why) {
  return Fail(ErrorKind::job, fmt::format("{}: {}", what, why));
}

double VolumeOf(const TopoDS_Shape& solid) {
  GProp_GProps properties;
  BRepGProp::VolumeProperties(solid, properties, 1e-6);
  return properties.Mass();
}

/// Distances of places from the axis, and along it from its start.
struct Ranges {
  std::array<double, 2> across{1e300, -1e300};
  std::array<double, 2> along{1e300, -1e300};
};

Ranges RangesOf(const std::vector<Vec3>& places, const FoundRod& rod) {
  const Vec3 way = (rod.to - rod.from).normalized();
  Ranges ranges;
  const auto widen = [](std::array<double, 2>& range, double value) {
    range = {std::min(range[0], value), std::max(range[1], value)};
  };
  for (const Vec3& place : places) {
    const Vec3 off = place - rod.from;
    widen(ranges.along, off.dot(way));
    widen(ranges.across, (off - off.dot(way) * way).norm());
  }
  return ranges;
}

bool Near(const std::array<double, 2>& range, double value) {
  return std::abs(range[0] - value) <= kMatch && std::abs(range[1] - value) <= kMatch;
}

/// The radius of the bore: that of the places of its faces least far from the axis.
double BoreOf(const TopoDS_Shape& solid, const FoundRod& rod) {
  double least = 0.5 * rod.diameter;
  for (TopExp_Explorer e(solid, TopAbs_FACE); e.More(); e.Next()) {
    const auto ranges = RangesOf(SamplesOf(TopoDS::Face(e.Current())), rod);
    least = std::min(least, ranges.across[0]);
  }
  return least;
}

}  // namespace

Result<FoundRod> RodOfSolid(const TopoDS_Shape& solid, const std::string& what) {
  const auto tube = BentTubeOfSolid(solid, what);
  if (!tube) return tl::unexpected(tube.error());
  if (!tube->is_straight()) {
    return Refused(what, "it is bent; give its \"diameter\" and \"path\" in the job");
  }
  if (tube->closed[0] != tube->closed[1]) {
    return Refused(what, "it is closed at one end only, neither a bar nor a sleeve");
  }
  return Guarded(what, "looking at its faces", [&]() -> Result<FoundRod> {
    FoundRod rod{tube->places.front().centre, tube->places.back().centre, 2.0 * tube->radius, 0.0};
    const double length = (rod.to - rod.from).norm();
    if (!tube->closed[0]) rod.bore = 2.0 * BoreOf(solid, rod);
    for (TopExp_Explorer e(solid, TopAbs_FACE); e.More(); e.Next()) {
      const auto ranges = RangesOf(SamplesOf(TopoDS::Face(e.Current())), rod);
      const bool end = Near(ranges.along, 0.0) || Near(ranges.along, length);
      const bool side = Near(ranges.across, 0.5 * rod.diameter) ||
                        (rod.bore > 0.0 && Near(ranges.across, 0.5 * rod.bore));
      if (end || side) continue;
      return Refused(
          what, fmt::format("one of its faces is {:.2f} to {:.2f} mm off its axis, "
                            "{:.1f} to {:.1f} mm from its end: neither a bar nor a "
                            "sleeve, which have an outside, a bore and two ends",
                            ranges.across[0], ranges.across[1], ranges.along[0], ranges.along[1]));
    }
    const double rod_volume =
        0.25 * kPi * (rod.diameter * rod.diameter - rod.bore * rod.bore) * length;
    const double volume = VolumeOf(solid);
    if (std::abs(volume - rod_volume) > kVolume * rod_volume) {
      return Refused(what, fmt::format("its volume is {:.1f} mm3, that of the {} {:.1f} mm3",
                                       volume, rod.bore > 0.0 ? "sleeve" : "bar", rod_volume));
    }
    return rod;
  });
}

}  // namespace holeward
