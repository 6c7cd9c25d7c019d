// A part made of a solid from outside: its sections, ends and wall as the solid has them, so that
// every method and check works on it as on one that the job describes.
#pragma once

#include <optional>
#include <utility>
#include <vector>

#include "geometry/result.h"
#include "geometry/solid.h"
#include "models/job.h"
#include "models/part_law.h"

namespace holeward {

/// Fills in section, stations, ends and wall of a part whose `solid` is set. Gives back the holes
/// it has already and the mounts in one piece with it, as fittings ("hole 1", ..., "mount 1", ...)
/// with the basis of the part.
/// @param centre_line where the job says it runs, from start to finish; without one it joins the
///        centroids of the end sections, from the inboard (across), front (along) or lower
///        (upright) end
/// Errors (job): the solid is no hollow tube, with mounts or without, or the centre line is not one
/// of its own; (computed): what the kernel could not do.
[[nodiscard]] Result<std::vector<FittingRow>> TakeSolid(
    PartRow& part, Side described, const std::optional<std::pair<Vec3, Vec3>>& centre_line);

/// What the faces of a part are called, before the job's own names are given and after.
struct Renamed {
  const Skin& skin;
  const PartNames& before;
  const PartNames& after;
};

/// Puts each hole and mount on the face nearest to it by the new names.
void FaceHolesAgain(const Renamed& names, std::vector<FittingRow>& fittings);

/// What a part's body is made of.
struct SourceSolids {
  NamedSolid tube;                  ///< without mounts; the file's own faces where none stands
  std::optional<NamedSolid> whole;  ///< the body as it is, if it has mounts: their faces are named
};

/// The part's solid: the file's own faces, named as those of a part that the job describes.
/// @pre TakeSolid filled in the row
[[nodiscard]] Result<SourceSolids> SolidOfSource(const PartRow& row, const Skin& skin,
                                                 const PartNames& names);

}  // namespace holeward
