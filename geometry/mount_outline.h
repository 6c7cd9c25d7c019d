// What a mount in one piece with a tube covers of its skin, and how high it stands.
#pragma once

#include <string>

#include "geometry/result.h"
#include "geometry/skin.h"
#include "geometry/solid_mounts.h"

namespace holeward {

/// A mount as what a person feels of it on the skin.
struct MountOutline {
  bool stud = false;      ///< turned about an axis square to the skin; else the rectangle counts
  SkinPlace centre;       ///< of the disc, or a place on the rectangle's middle line
  double diameter = 0.0;  ///< stud: of the disc, mm
  double u_from = 0.0;    ///< rectangle: along the part
  double u_to = 0.0;
  double around =
      0.0;  ///< rectangle: outline length across it, mm, half to each side of the middle
  double height = 0.0;  ///< of its highest place above the skin, mm
};

/// The outline of a mount: the disc of one that is turned about an axis square to the skin, else
/// the smallest rectangle along the part that holds its whole border on the skin.
/// Errors (job): it goes all the way round the part.
/// Accuracy: never less than the metal; straight borders and cylinders exactly, others to twice
/// what they bend between two samples 0.5 mm apart; the height of curved faces to 0.01 mm.
[[nodiscard]] Result<MountOutline> OutlineOfMount(const Skin& skin, const SolidMount& mount,
                                                  const std::string& what);

}  // namespace holeward
