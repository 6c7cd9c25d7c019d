// What a fitting in one piece with its part is made of: the faces that the file has for it.
#pragma once

#include <array>
#include <string>
#include <vector>

#include <TopoDS_Face.hxx>

#include "geometry/bezier.h"
#include "geometry/result.h"
#include "geometry/vec.h"

namespace holeward {

struct FittingBody {
  std::vector<BezierPatch> patches;         ///< that cover its faces
  std::vector<std::array<Vec3, 3>> facets;  ///< to be drawn: seen from outside they turn left
};

/// The body that some faces of a solid bound, open where it stands on the skin. Curved trimmed
/// faces are covered by triangles within 0.01 mm; facets are within 0.2 mm.
/// @param what the body in words, for the messages
/// Errors (computed): the kernel could not divide a face.
[[nodiscard]] Result<FittingBody> BodyOfFaces(const std::vector<TopoDS_Face>& faces,
                                              const std::string& what);

/// The same, of which but some faces are to be drawn: others lie where the part's skin is drawn.
[[nodiscard]] Result<FittingBody> BodyOfFaces(const std::vector<TopoDS_Face>& faces,
                                              const std::vector<TopoDS_Face>& drawn,
                                              const std::string& what);

/// The mirror image about y = 0.
[[nodiscard]] FittingBody Mirrored(const FittingBody& body);

}  // namespace holeward
