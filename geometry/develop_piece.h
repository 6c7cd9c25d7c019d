// One piece of a template: a stretch of skin developed flat, with its lines and marks.
#pragma once

#include <string>
#include <vector>

#include "geometry/develop_fix.h"
#include "geometry/develop_flaps.h"
#include "geometry/develop_layout.h"
#include "geometry/develop_patch.h"
#include "geometry/development.h"
#include "geometry/result.h"

namespace holeward {

/// A developed piece, and the map that made it (in the piece's own coordinates).
struct PieceResult {
  DevelopedPiece piece;
  DevelopedPatch patch;
  PieceLayout layout;                ///< its alignment as far as the piece shows it
  SheetFix fix;                      ///< how well the alignment holds the piece
  std::vector<Flap> flaps;           ///< what of its outline is flaps
  std::vector<std::string> remarks;  ///< what the trainer should know of it
};

/// Develops one flat of a part. Flaps go with it where they do not spoil it: at most 1 % of
/// stretch, every marked length within the tolerance, the wrap-back proof held.
/// Errors (job): a marked length is off by more than the tolerance, or the sheet would overlap
/// itself (the message states the stretch and the worst length); laid back on the skin, a mark
/// lands further from its place than the limit (names the mark, the error and the limit).
[[nodiscard]] Result<PieceResult> DevelopFacePiece(const PieceRequest& request, const Face& face);

/// Develops all marks in one piece across the corners (at most 1 % of stretch), or round a round
/// part: all round where it is small or the marks are all round, else, or where that does not lie
/// flat, as far as the marks need. Errors as above.
[[nodiscard]] Result<PieceResult> DevelopJoinedPiece(const PieceRequest& request);

/// Outline of a hole of `diameter` mm about `axis` (unit; left out: the normal) where it meets the
/// skin, as places; counter-clockwise as seen on the sheet of a skin with du x dv outward.
[[nodiscard]] std::vector<SkinPlace> HoleOutline(const Skin& skin, const SkinPlace& centre,
                                                 double diameter, const std::optional<Vec3>& axis);

}  // namespace holeward
