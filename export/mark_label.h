// What a label says and how it is set: a block of lines, for marks their name, drills and stops.
#pragma once

#include <string>
#include <vector>

#include "export/template_sheet.h"

namespace holeward {

/// One line of a label.
struct LabelLine {
  std::string words;
  double height = kText25;
  bool bold = false;
};

/// A block of lines, set level or turned a quarter counter-clockwise.
struct Label {
  std::vector<LabelLine> lines;  ///< at least one
  double turn_rad = 0.0;         ///< 0, or a quarter turn

  /// Width and height as it lies on the page, mm.
  [[nodiscard]] Vec2 Size() const;
  /// Its lines joined by blanks.
  [[nodiscard]] std::string Words() const;
};

/// How a mark's label is set.
struct MarkStyle {
  double name = kText5;
  double rest = kText25;
  bool narrow = false;  ///< "(proposed)" on a line of its own
};

/// A mark's label: name, drills with stop settings, probe depth, verdict.
[[nodiscard]] Label MarkLabel(const FlatMark& mark, const TemplateSheetInput& input,
                              const MarkStyle& style);

/// The labels of many marks as a list, one line a mark, for a page too crowded for them.
[[nodiscard]] Label MarkList(const std::vector<FlatMark>& marks, const TemplateSheetInput& input);

}  // namespace holeward
