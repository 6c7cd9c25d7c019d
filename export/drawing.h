// A page drawing that knows no device: millimetres, origin lower left, y up. The PDF and the SVG
// are both painted from it, so they show the same thing.
#pragma once

#include <string>
#include <variant>
#include <vector>

#include "export/box.h"
#include "geometry/vec.h"

namespace holeward {

// ---- Line widths and types: ISO 128-2 (widths in mm, wide twice the narrow) ----

inline constexpr double kHairWidth = 0.18;
inline constexpr double kNarrowWidth = 0.25;
inline constexpr double kMiddleWidth = 0.35;
inline constexpr double kWideWidth = 0.5;
inline constexpr double kExtraWidth = 0.7;
inline constexpr double kHeavyWidth = 1.0;

/// Line types by the numbers of ISO 128-2: continuous 01, dashed 02, long-dash dot 04, long-dash
/// double-dot 05, dotted 07. Element lengths are multiples of the line width.
enum class LineType { continuous, dashed, dash_dot, dash_double_dot, dotted };

/// Lengths of dashes and gaps in turn, mm; empty for a continuous line. Source: ISO 128-2: dash 12
/// d, long dash 24 d, gap 3 d, dot 0.5 d, d being the line width.
/// @param width line width, mm, > 0
[[nodiscard]] std::vector<double> DashesOf(LineType type, double width);

// ---- Lettering heights: ISO 3098 (height of a capital letter, mm) ----

inline constexpr double kText18 = 1.8;
inline constexpr double kText25 = 2.5;
inline constexpr double kText35 = 3.5;
inline constexpr double kText5 = 5.0;
inline constexpr double kText7 = 7.0;
inline constexpr double kText10 = 10.0;
inline constexpr double kText14 = 14.0;

// ---- Items ----

/// What an item belongs to; a cutter or a viewer can pick groups apart.
enum class Group { banner, frame, cut, fold, align, fitting, mark, text };

/// The group's name as it is written into the SVG.
[[nodiscard]] const char* Word(Group group);

enum class Ink { black, white };
enum class AlignX { left, centre, right };

/// A polyline, drawn.
struct Stroke {
  std::vector<Vec2> points;
  double width = kNarrowWidth;
  LineType type = LineType::continuous;
  bool closed = false;
};

/// A circle, drawn.
struct Circle {
  Vec2 centre = Vec2::Zero();
  double radius = 0.0;
  double width = kNarrowWidth;
  LineType type = LineType::continuous;
};

/// A filled polygon.
struct Fill {
  std::vector<Vec2> points;
  Ink ink = Ink::black;
};

/// One line of lettering; `at` is on its base line.
struct Text {
  std::string words;  ///< UTF-8
  Vec2 at = Vec2::Zero();
  double height = kText25;  ///< of a capital letter, mm
  bool bold = false;
  AlignX align = AlignX::left;  ///< which end of the line `at` is
  double turn_rad = 0.0;        ///< counter-clockwise
  Ink ink = Ink::black;
  double outline = 0.0;  ///< > 0: only the letters' outlines, this wide (mm)
};

/// Lettering on a level base line.
[[nodiscard]] Text TextAt(std::string words, const Vec2& at, double height, bool bold = false,
                          AlignX align = AlignX::left);

struct Item {
  Group group;
  std::variant<Stroke, Circle, Fill, Text> what;

  template <class Shape>
  Item(Group of, const Shape& shape) : group(of), what(shape) {}
};

/// A page. Items are painted in their order: later ones lie on top.
struct Drawing {
  double width = 0.0;   ///< mm
  double height = 0.0;  ///< mm
  std::vector<Item> items;
  /// Where the items' coordinates lie on the page: scaled, then shifted (mm). Stretches what makes
  /// up for a printer's fault; else nothing.
  Vec2 scale = Vec2::Ones();
  Vec2 shift = Vec2::Zero();

  /// The place on the page of an item's coordinates.
  [[nodiscard]] Vec2 OnPage(const Vec2& p) const { return scale.cwiseProduct(p) + shift; }
  /// True if the items' coordinates are not those of the page.
  [[nodiscard]] bool Stretched() const { return scale != Vec2::Ones() || shift != Vec2::Zero(); }
  /// What to add after scaling in devices with y down and the origin at the page's upper left.
  [[nodiscard]] Vec2 ShiftDown() const {
    return {shift.x(), height - scale.y() * height - shift.y()};
  }

  void Add(Group group, const Stroke& stroke) { items.emplace_back(group, stroke); }
  void Add(Group group, const Circle& circle) { items.emplace_back(group, circle); }
  void Add(Group group, const Fill& fill) { items.emplace_back(group, fill); }
  void Add(Group group, const Text& text) { items.emplace_back(group, text); }
  /// A straight line.
  void AddLine(Group group, const Vec2& a, const Vec2& b, double pen = kNarrowWidth) {
    Add(group, Stroke{{a, b}, pen, LineType::continuous, false});
  }
  /// The outline of a box.
  void AddBox(Group group, const Box& box, double pen = kNarrowWidth) {
    Add(group, Stroke{CornersOf(box), pen, LineType::continuous, true});
  }
};

/// True if every number of the drawing is finite and its size positive; a drawing that is not is
/// refused by the PDF and the SVG.
[[nodiscard]] bool IsFinite(const Drawing& drawing);

}  // namespace holeward
