// What a template piece could be aligned to, by how well it would hold the sheet.
#pragma once

#include <string>
#include <vector>

#include "geometry/develop_layout.h"

namespace holeward {

/// The two datums that would fix a piece best: the nearest end, and the nearest edge or line along
/// the part. `face` left out: joined or round.
[[nodiscard]] std::vector<std::string> ProposedAlignment(const PieceRequest& request,
                                                         const Face* face);

/// The datum that, with those of `request.align`, would hold the piece best for the least more of
/// sheet; empty if none holds it (develop_fix.h). Judged on the part's lengths and girths, without
/// developing: the piece made with it has the last word. `face` left out: joined or round.
[[nodiscard]] std::string FurtherAlignment(const PieceRequest& request, const Face* face);

}  // namespace holeward
