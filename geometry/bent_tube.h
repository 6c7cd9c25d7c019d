// Finding the bent round tube that a solid from elsewhere is: its centre line by the circles its
// outer faces are made of (docs/methods/solid.md). What is no such tube is refused with the reason.
#pragma once

#include <array>
#include <string>
#include <vector>

#include <TopoDS_Shape.hxx>

#include "geometry/circle_face.h"
#include "geometry/result.h"

namespace holeward {

/// A round tube of one outer diameter between two flat ends square to its centre line.
struct BentTube {
  double radius = 0.0;              ///< outer, mm
  std::array<bool, 2> closed{};     ///< first end, second end
  std::vector<CentrePlace> places;  ///< two at least: the first end, ..., the second end
  [[nodiscard]] bool is_straight() const;
  /// The same with the ends changed over.
  [[nodiscard]] BentTube Reversed() const;
};

/// The centre line of a tube as chords: places on it from the first end to the second.
struct CentreChords {
  std::vector<Vec3> places;
  double sag = 0.0;     ///< the line lies within this of its chords, mm
  double length = 0.0;  ///< of the line itself, within 1e-6 of it
};

/// Chords that the centre line leaves by no more than `sag`, mm; a straight stretch is one.
[[nodiscard]] CentreChords ChordsOf(const BentTube& tube, double sag);

/// True if the body has the two equal round flat ends that such a tube has.
[[nodiscard]] bool HasRoundEnds(const TopoDS_Shape& solid);

/// The tube of a solid. Between its places lies the arc that has their tangents, or a cubic within
/// 0.002 mm of the body's own centre line.
/// @param what the body in words, for the messages
/// Errors (job): other ends than two round ones; an outer face between them that is not made of
/// circles of their size; a kink in the centre line; (computed) the kernel failed.
[[nodiscard]] Result<BentTube> BentTubeOfSolid(const TopoDS_Shape& solid, const std::string& what);

}  // namespace holeward
