// Finding the round bar or sleeve that a solid from elsewhere is, straight or bent.
#pragma once

#include <string>
#include <vector>

#include <TopoDS_Shape.hxx>

#include "geometry/result.h"
#include "geometry/vec.h"

namespace holeward {

/// A round bar, or a sleeve, between two flat ends square to it.
struct FoundRod {
  std::vector<Vec3> path;  ///< places of its axis from end to end: two, or chords of a bent one
  double diameter = 0.0;   ///< outer, mm
  double bore = 0.0;       ///< 0: a bar; of a bent one within twice the sag
  double sag = 0.0;        ///< its axis lies within this of the path, mm

  [[nodiscard]] bool is_bent() const { return path.size() > 2; }
  /// What holds all of its metal about the path, and what is all hollow, mm.
  [[nodiscard]] double widest() const { return diameter + 2.0 * sag; }
  [[nodiscard]] double hollow() const { return bore > 0.0 ? bore - 4.0 * sag : 0.0; }
};

/// The rod of a solid: none of its faces reaches beyond what is told by more than 0.02 mm.
/// @param what the body in words, for the messages
/// Errors (job): it is no round bar of one diameter, closed at one end only, or has a face that is
/// neither its outside, its bore nor an end within 0.02 mm; a volume other than the rod's;
/// (computed) the kernel failed.
[[nodiscard]] Result<FoundRod> RodOfSolid(const TopoDS_Shape& solid, const std::string& what);

}  // namespace holeward
