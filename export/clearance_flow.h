// Text and tables that flow from column to column and page to page.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "export/drawing.h"
#include "export/label_placer.h"

namespace holeward {

/// A place to set text into: part of a page.
struct FlowArea {
  Drawing* drawing = nullptr;
  Box box;
};

/// A table that flows: a header, then rows, each as long as the header.
struct FlowTable {
  std::vector<std::string> header;  ///< all empty: none is drawn
  std::vector<bool> right;          ///< columns set to the right
  std::vector<std::vector<std::string>> rows;
  bool ruled = false;  ///< hairlines between the rows
};

/// Sets blocks one below the other. Words too long for their column break; nothing is lost.
class Flow {
 public:
  /// @param next gives the next area each time one is full; its drawing must outlive its use
  explicit Flow(std::function<FlowArea()> next);

  void Heading(const std::string& words);
  void Paragraph(const std::string& words, bool bold = false);
  void Table(const FlowTable& table);
  /// Room for something drawn by the caller, `height` mm high and as wide as the area.
  [[nodiscard]] FlowArea Block(double height);
  /// Goes on in a new area unless nothing stands in this one yet.
  void Break();
  /// True if `height` mm more fit the present area.
  [[nodiscard]] bool Fits(double height) const;
  [[nodiscard]] double y() const { return y_; }

 private:
  void Need(double height);
  double RowAt(const std::vector<std::vector<std::string>>& cells, const FlowTable& table,
               const std::vector<double>& widths, bool bold);

  std::function<FlowArea()> next_;
  FlowArea area_;
  double y_ = 0.0;  ///< top of what is still free
};

}  // namespace holeward
