// Lays a piece, by computation, where it should not go: docs/methods/misfit.md.
#pragma once

#include <memory>
#include <vector>

#include "geometry/develop_piece.h"
#include "geometry/misfit.h"
#include "geometry/misfit_target.h"

namespace holeward {

/// One way in which a piece can be laid on a wrong place.
struct WrongPlace {
  Misfit misfit;
  RigidMotion motion;     ///< of the sheet, or of its mirror image in x
  bool mirrored = false;  ///< it is the other side's sheet
  std::shared_ptr<const MisfitTarget> target;
};

/// The wrong places where a piece fits within kMisfitWithin, printed face outward: on the other
/// side of the vehicle, end for end, on other faces of its own part. A place whose marks all come
/// out right is none. Flaps that are folded or bent over edges are left out of account.
///
/// Pessimistic: a piece counts as fitting unless one of its alignment lines, folded edges or
/// fittings in the way cannot lie within the limit of its like, a mark would lie off the faces, or
/// it would lie 6 mm over something that stands up and that it has no opening for.
/// @param request  what the piece was made for; a part that is not shared has a mirror image
[[nodiscard]] std::vector<WrongPlace> PlacesWhereItFits(const PieceRequest& request,
                                                        const PieceResult& made);

/// True where a flap cannot be laid down at a wrong place: it would lie 6 mm over a raised fitting
/// of the next face, or an eye stands where it would be folded into the end.
[[nodiscard]] bool IsStopped(const PieceRequest& request, const Flap& flap,
                             const WrongPlace& place);

/// Each kind of wrong place once, the nearest fit of it, in the order in which a sheet names them.
[[nodiscard]] std::vector<Misfit> MisfitsAt(const std::vector<WrongPlace>& places);

/// The wrong places of a piece that none of its flaps prevents.
[[nodiscard]] std::vector<Misfit> FindMisfits(const PieceRequest& request, const PieceResult& made);

}  // namespace holeward
