// Finding the hollow part of flats that a solid from elsewhere is, however its centre line runs and
// its sections change: sections square to the line through their own centroids, close enough
// together (docs/methods/solid.md). What is no such part is refused with the reason.
#pragma once

#include <array>
#include <string>
#include <vector>

#include <TopoDS_Shape.hxx>

#include "geometry/outline_rays.h"
#include "geometry/result.h"

namespace holeward {

/// A section, with two more close beside it to tell by how its sizes change.
struct LoftPlace {
  PlaneOutline outline;  ///< its normal runs along the centre line, toward the second end
  std::array<PlaneOutline, 2> beside;
  std::array<double, 2> off{};  ///< where these two lie along the centre line from it, mm

  /// What a quantity changes by, per mm along the centre line, from its values in the section and
  /// the two beside it: the slope of the parabola through them.
  template <class T>
  [[nodiscard]] T Slope(const T& here, const T& first, const T& second) const {
    const double a = off[0];
    const double b = off[1];
    return (first - here) * (b / (a * (b - a))) - (second - here) * (a / (b * (b - a)));
  }
};

/// A part between two flat ends.
struct FoundLoft {
  std::array<bool, 2> closed{};   ///< first end, second end
  std::vector<LoftPlace> places;  ///< two at least, the ends first and last
  /// The same with the ends changed over.
  [[nodiscard]] FoundLoft Reversed() const;
};

/// The sections of a solid of flats. Between two of them the cubics of places and slopes leave the
/// body's own sections by 3e-4 mm at most, where this was asked: in the middles.
/// @param ends the body, or two flat faces of it, to look for the ends in
/// @param solid the body
/// @param what the body in words, for the messages
/// Errors (job): other ends than two flat ones of as many corners; a section that cannot be
/// followed from one end to the other; (computed) the kernel failed.
[[nodiscard]] Result<FoundLoft> LoftOfSolid(const TopoDS_Shape& ends, const TopoDS_Shape& solid,
                                            const std::string& what);

}  // namespace holeward
