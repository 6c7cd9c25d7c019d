// Where a tube ends under a head, and its faces carried on to there: what the sections of a part
// are found from whose end an eye covers (docs/methods/solid.md).
#pragma once

#include <optional>
#include <string>
#include <vector>

#include <TopoDS_Shape.hxx>

#include "geometry/result.h"
#include "geometry/tube_heads.h"
#include "geometry/vec.h"

namespace holeward {

/// The cylinder across a head that things are measured from.
struct HeadEye {
  Vec3 centre = Vec3::Zero();  ///< in the middle of its length
  Vec3 axis = Vec3::UnitX();   ///< unit
  double diameter = 0.0;
  double length = 0.0;
};

/// The thickest outer cylinder of a head that lies across the tube within 17 degrees. Nothing if it
/// has none. Errors (computed): the kernel failed.
[[nodiscard]] Result<std::optional<HeadEye>> EyeOf(const TubeHead& head);

/// The plane that the tube ends in under a head: that of the rim which is seen of it, or the one
/// through the eye's axis where that lies farther out.
/// @param middle the tube, cut where the head begins
[[nodiscard]] HeadCut EndUnder(const TopoDS_Shape& middle, const TubeHead& head,
                               const HeadEye& eye);

/// A tube that was cut, and where it ends.
struct HeadEnd {
  HeadCut cut;
  HeadCut end;
};

struct CarriedOn {
  TopoDS_Shape
      ends;  ///< to look for the ends in: plain ends, a ring for each cut, and what is curved
  TopoDS_Shape body;  ///< faces to follow its sections on, on their surfaces as far as these go
};

/// The faces of a tube that was cut, those at a cut carried on as far as their surfaces go.
/// @param plain its ends that were not cut (BeheadedBody::plain)
/// Errors (job): a cut outline of other than straight lines and arcs within 0.02 mm, or one that
/// cannot be followed on to the end; (computed) the kernel failed.
[[nodiscard]] Result<CarriedOn> CarriedOnTo(const TopoDS_Shape& middle,
                                            const std::vector<HeadEnd>& ends,
                                            const std::vector<HeadCut>& plain,
                                            const std::string& what);

}  // namespace holeward
