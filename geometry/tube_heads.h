// Ends of a tube that disappear in what is in one piece with it there: an eye across the end. The
// body is cut where its section becomes that of a tube, and what lies beyond is a head
// (docs/methods/solid.md).
#pragma once

#include <optional>
#include <string>
#include <vector>

#include <TopoDS_Face.hxx>
#include <TopoDS_Shape.hxx>

#include "geometry/head_cut.h"
#include "geometry/result.h"

namespace holeward {

/// What was cut off.
struct TubeHead {
  HeadCut cut;
  TopoDS_Shape shape;  ///< solid
  std::vector<int>
      whole;  ///< faces of the body that lie in it as they are, from 1 in the kernel's count
};

/// A body without its heads.
struct BeheadedBody {
  TopoDS_Shape middle;
  std::vector<int>
      faces;  ///< of the middle, in the kernel's count: their number in the body, 0 for a new one
  std::vector<TubeHead> heads;  ///< one or two; none if both ends of the tube are plain flats
  std::vector<HeadCut> plain;   ///< the plain ends: the middle of each, looking out
};

/// Follows the sections of a body from its middle both ways, each square to the line through those
/// before, and cuts it 1.5 mm before the last that is a ring going on as the ring before it did,
/// unless a flat face as large as the section closes the tube there. Rings that come after a
/// stretch without (a bracket) count.
/// @param what the body in words, for the messages
/// Errors (job): no section of it is a ring; what is left is not one solid; (computed) the kernel
/// failed, or the volumes do not add up within 1e-5.
[[nodiscard]] Result<BeheadedBody> WithoutHeads(const TopoDS_Shape& solid, const std::string& what);

/// What is left of a body this side of a cut. Errors (computed): it is not one sound solid.
[[nodiscard]] Result<TopoDS_Shape> ThisSideOf(const TopoDS_Shape& solid, const HeadCut& cut,
                                              const std::string& what);

/// The face of the tube that is left which the cut made. Nothing if it has not one.
[[nodiscard]] std::optional<TopoDS_Face> CutFaceOf(const TopoDS_Shape& middle, const HeadCut& cut);

}  // namespace holeward
