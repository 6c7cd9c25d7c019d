#include "geometry/rod_of_solid.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <vector>

#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <fmt/format.h>

#include "geometry/bent_tube.h"
#include "geometry/face_samples.h"
#include "geometry/shape_parts.h"
#include "geometry/solid_kernel.h"

namespace holeward {
namespace {

// What a face may be off the rod and still be one of it, mm: as much as a face of a part may be.
constexpr double kMatch = 0.02;
// The axis of a bent rod leaves its chords by no more, mm: as that of a body drawn along a part
// may.
constexpr double kSag = 0.04;
// Volumes agree to this share.
constexpr double kVolume = 1e-4;

tl::unexpected<Error> Refused(const std::string& what, const std::string& why) {
  return Fail(ErrorKind::job, fmt::format("{}: {}", what, why));
}

/// Distances of places from the axis, and of those of an end before or behind its plane.
struct Ranges {
  std::array<double, 2> across{1e300, -1e300};
  std::array<std::array<double, 2>, 2> past{{{1e300, -1e300}, {1e300, -1e300}}};
};

double FromPath(const std::vector<Vec3>& path, const Vec3& place) {
  double least = 1e300;
  for (std::size_t i = 0; i + 1 < path.size(); ++i) {
    const Vec3 chord = path[i + 1] - path[i];
    const double t = (place - path[i]).dot(chord) / chord.squaredNorm();
    // Beyond the ends of the path its last chord goes on.
    const double low = i == 0 ? t : std::max(0.0, t);
    const double share = i + 2 == path.size() ? low : std::min(1.0, low);
    least = std::min(least, (place - path[i] - share * chord).norm());
  }
  return least;
}

/// @param outward of the axis at both ends, unit
Ranges RangesOf(const std::vector<Vec3>& places, const FoundRod& rod,
                const std::array<Vec3, 2>& outward) {
  Ranges ranges;
  const auto widen = [](std::array<double, 2>& range, double value) {
    range = {std::min(range[0], value), std::max(range[1], value)};
  };
  for (const Vec3& place : places) {
    widen(ranges.across, FromPath(rod.path, place));
    widen(ranges.past[0], (place - rod.path.front()).dot(outward[0]));
    widen(ranges.past[1], (place - rod.path.back()).dot(outward[1]));
  }
  return ranges;
}

bool Near(const std::array<double, 2>& range, double value, double sag) {
  return std::abs(range[0] - value) <= kMatch + sag && std::abs(range[1] - value) <= kMatch + sag;
}

/// The radius of the bore: that of the places of its faces least far from the axis.
double BoreOf(const TopoDS_Shape& solid, const FoundRod& rod) {
  double least = 0.5 * rod.diameter;
  for (TopExp_Explorer e(solid, TopAbs_FACE); e.More(); e.Next()) {
    for (const Vec3& place : SamplesOf(TopoDS::Face(e.Current()))) {
      least = std::min(least, FromPath(rod.path, place));
    }
  }
  return least;
}

/// The first face that is neither outside, bore nor end of the rod, in words.
std::optional<std::string> StrayFace(const TopoDS_Shape& solid, const FoundRod& rod,
                                     const std::array<Vec3, 2>& outward) {
  for (TopExp_Explorer e(solid, TopAbs_FACE); e.More(); e.Next()) {
    const auto ranges = RangesOf(SamplesOf(TopoDS::Face(e.Current())), rod, outward);
    const bool end = Near(ranges.past[0], 0.0, 0.0) || Near(ranges.past[1], 0.0, 0.0);
    const bool side = Near(ranges.across, 0.5 * rod.diameter, rod.sag) ||
                      (rod.bore > 0.0 && Near(ranges.across, 0.5 * rod.bore, 2.0 * rod.sag));
    if (end || side) continue;
    return fmt::format(
        "one of its faces is {:.2f} to {:.2f} mm off its axis: neither a bar nor a sleeve, which "
        "have an outside, a bore and two ends",
        ranges.across[0], ranges.across[1]);
  }
  return std::nullopt;
}

}  // namespace

Result<FoundRod> RodOfSolid(const TopoDS_Shape& solid, const std::string& what) {
  const auto tube = BentTubeOfSolid(solid, what);
  if (!tube) return tl::unexpected(tube.error());
  if (tube->closed[0] != tube->closed[1]) {
    return Refused(what, "it is closed at one end only, neither a bar nor a sleeve");
  }
  return Guarded(what, "looking at its faces", [&]() -> Result<FoundRod> {
    const CentreChords chords =
        tube->is_straight()
            ? CentreChords{{tube->places.front().centre, tube->places.back().centre}, 0.0, 0.0}
            : ChordsOf(*tube, kSag);
    FoundRod rod{chords.places, 2.0 * tube->radius, 0.0, chords.sag};
    const std::array<Vec3, 2> outward{-tube->places.front().tangent, tube->places.back().tangent};
    if (!tube->closed[0]) rod.bore = 2.0 * BoreOf(solid, rod);
    if (rod.bore > 0.0 && rod.hollow() <= 0.0) {
      return Refused(what, "its bore is too narrow for a sleeve");
    }
    if (const auto stray = StrayFace(solid, rod, outward)) return Refused(what, *stray);
    const double length =
        rod.is_bent() ? chords.length : (rod.path.back() - rod.path.front()).norm();
    const double rod_volume =
        0.25 * kPi * (rod.diameter * rod.diameter - rod.bore * rod.bore) * length;
    const double volume = VolumeOf(solid, 1e-6);
    // The bore of a bent one is known within what its axis leaves its chords by.
    const double share =
        kVolume + (rod.bore > 0.0 ? 4.0 * rod.sag / (rod.diameter - rod.bore) : 0.0);
    if (std::abs(volume - rod_volume) > share * rod_volume) {
      return Refused(what, fmt::format("its volume is {:.1f} mm3, that of the {} {:.1f} mm3",
                                       volume, rod.bore > 0.0 ? "sleeve" : "bar", rod_volume));
    }
    return rod;
  });
}

}  // namespace holeward
