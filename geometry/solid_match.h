// A solid from elsewhere seen as the tube of a skin: its wall, and which of its faces is which. The
// faces stay the file's own; the skin is only what is measured along.
#pragma once

#include <string>
#include <vector>

#include <TopoDS_Shape.hxx>

#include "geometry/head_cut.h"
#include "geometry/result.h"
#include "geometry/skin.h"
#include "geometry/solid.h"

namespace holeward {

/// Wall of a solid under a skin, by rays along the skin's normals.
struct WallFound {
  double least = 0.0;     ///< mm
  double greatest = 0.0;  ///< mm
  [[nodiscard]] double middle() const { return 0.5 * (least + greatest); }
};

/// The wall met from the skin's flats (rounds: quarter by quarter) at places all along the part.
/// Errors (job): nowhere a wall; one that is not the same everywhere within 0.02 mm.
[[nodiscard]] Result<WallFound> WallOfSolid(const TopoDS_Shape& solid, const Skin& skin,
                                            const std::string& what);

/// A round hole that a body has through the wall of its tube, square to the skin.
struct SolidHole {
  SkinPlace place;
  Vec3 position = Vec3::Zero();  ///< where its axis meets the skin
  double diameter = 0.0;         ///< mm
};

/// A body seen as a tube, and the holes it has already.
struct MatchedBody {
  NamedSolid solid;
  std::vector<SolidHole> holes;
};

/// Faces of a body that stand on its skin, by the name of the mount they are.
struct NamedMount {
  std::string name;
  std::vector<TopoDS_Face> faces;
};

/// The solid with its faces named as BuildHollow names them, those of holes "hole 1", "hole 1 2",
/// ..., those of mounts "NAME", "NAME 2", ...
/// @param spec what, wall, closed ends and names, as for BuildHollow
/// @param mounts whose faces are none of the tube's; with any, the volume is not compared
/// @param cuts where the solid begins or ends in place of the skin's own ends
/// Errors (job): a face that is neither outside, inside nor end of the tube within 0.02 mm nor one
/// of a hole square through its wall, with where it lies; a volume other than the tube's;
/// (computed) what the kernel could not do.
/// Accuracy: wall_deviation() holds what the sampled faces depart from the tube by.
[[nodiscard]] Result<MatchedBody> MatchedSolid(const TopoDS_Shape& solid, const Skin& skin,
                                               const HollowSpec& spec,
                                               const std::vector<NamedMount>& mounts = {},
                                               const TubeCuts& cuts = {});

}  // namespace holeward
