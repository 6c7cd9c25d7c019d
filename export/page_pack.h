// Packs the pieces of many templates on the fewest pages.
#pragma once

#include <vector>

#include "export/page_plan.h"

namespace holeward {

/// The pages of pieces that share a paper.
struct PackedPages {
  std::vector<PlannedPage> pages;
  /// The map of the pages found room on the first of them, and saves a page of its own.
  bool with_map = false;
};

/// Packs pieces and tiles on sheets of a paper, upright and on their side: pieces that fit are kept
/// whole, larger ones are cut into as few tiles as can be (a join costs accuracy), and tiles share
/// pages with other pieces. Pieces are turned where that saves a page: `pieces` is changed
/// accordingly; their lettering is set on the page afterwards and stays upright.
/// @param others pages of other papers in the set; none: no map is wanted on these
/// @pre every piece has a line; lengths finite; the paper is no roll
[[nodiscard]] PackedPages PackPages(const TemplateSheetInput& input, const PageSize& paper,
                                    std::optional<int> others, std::vector<DevelopedPiece>* pieces);

}  // namespace holeward
