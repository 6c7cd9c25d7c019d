// Mounts in one piece with a tube: brackets, studs, eyes and plates that stand on its skin, told
// from the tube itself and taken off it (docs/methods/solid.md).
#pragma once

#include <string>
#include <vector>

#include <TopoDS_Edge.hxx>
#include <TopoDS_Face.hxx>
#include <TopoDS_Shape.hxx>

#include "geometry/result.h"
#include "geometry/skin.h"

namespace holeward {

/// What stands on the skin in one place: faces that border each other.
struct SolidMount {
  std::vector<TopoDS_Face> faces;   ///< the body's own, all of them outside the skin
  std::vector<TopoDS_Edge> border;  ///< where they leave it
};

/// A body, taken apart.
struct PartedBody {
  TopoDS_Shape bare;  ///< without what stands on it
  std::vector<SolidMount> mounts;
};

/// The faces of a body that stand off the skin, put together; none if nothing stands on it.
/// @param what the body in words, for the messages
/// Errors (job): a face that is partly outside the skin and partly under it, or that runs on flush
/// from the tube into a mount; (computed) the kernel failed.
[[nodiscard]] Result<std::vector<SolidMount>> MountsOn(const TopoDS_Shape& solid, const Skin& skin,
                                                       const std::string& what);

/// The body without its mounts, its skin closed where they stood. What it gives back is part of the
/// body: with the mounts cut off, its volume adds up to the body's within 1e-5.
/// Errors (job): the skin could not be closed under a mount; (computed) what is left is no sound
/// solid, or the volumes do not add up.
[[nodiscard]] Result<PartedBody> WithoutMounts(const TopoDS_Shape& solid,
                                               std::vector<SolidMount> mounts,
                                               const std::string& what);

}  // namespace holeward
