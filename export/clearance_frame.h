// What surrounds every page of a report or a shop sheet, in the manner of the template sheets:
// header, title block, cautions, NOT RELEASED.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "export/clearance_input.h"
#include "export/drawing.h"
#include "export/label_placer.h"
#include "models/words.h"

namespace holeward {

/// What every page of a document says of job, set and release.
struct PageFacts {
  ResultHead head;
  std::string document;  ///< "Clearance report"
  std::string date;      ///< YYYY-MM-DD
  std::string limits;    ///< in one line
  bool released = false;
  std::string reason;                 ///< why not released, in a sentence
  std::vector<std::string> cautions;  ///< empty: StandardCautions()
  Words words;                        ///< the language of the page
};

/// The facts of the clearance report's pages.
[[nodiscard]] PageFacts FactsOf(const ClearanceReportInput& input);

/// What a page says in its header.
struct ReportHeader {
  std::string badge;  ///< in a black field: the hole's name; empty: none
  std::string title;
  std::string line;                         ///< below the title
  std::string verdict;                      ///< in a double frame at the right; empty: none
  std::optional<Side> side = std::nullopt;  ///< LEFT or RIGHT as on a template, instead of both
};

/// An empty A4 page with its frame drawn but for the page's number.
struct ReportPage {
  Drawing drawing;
  Box body;         ///< free for what is reported
  Box number_cell;  ///< where the page's number goes
};

/// Starts a page: NOT RELEASED over the body unless released, header, cautions, title block.
[[nodiscard]] ReportPage StartPage(const PageFacts& input, const ReportHeader& header);

/// Writes "n of m" into the title block.
void NumberPage(int page, int pages, const Words& words, ReportPage* to);

/// A line of lettering; `at` is on its base line.
void Letter(const std::string& words, const Vec2& at, double height, Drawing* drawing,
            AlignX align = AlignX::left);
void BoldLetter(const std::string& words, const Vec2& at, double height, Drawing* drawing,
                AlignX align = AlignX::left);

/// A bound as it is printed: to 0.1 mm (the inputs know no more), never better than it is.
[[nodiscard]] double RoundedDown(double bound);

/// "LEFT", "RIGHT" or "LEFT AND RIGHT ALIKE".
[[nodiscard]] std::string SidesWord(const std::vector<Side>& sides, const Words& words = {});

}  // namespace holeward
