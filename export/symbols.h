// How lines, marks and directions look on a template; the legend shows the same symbols.
#pragma once

#include <vector>

#include "export/drawing.h"
#include "export/label_placer.h"
#include "geometry/development.h"
#include "models/words.h"

namespace holeward {

/// The look of a line of a developed piece.
struct LineLook {
  Group group = Group::cut;
  double width = kNarrowWidth;
  LineType type = LineType::continuous;
};

/// Cut: continuous wide. Fold: long-dash dot. Tangent: dashed narrow. Align: long-dash double-dot
/// extra wide. Fitting: continuous narrow. Butt: dashed wide. Line types of ISO 128-2.
[[nodiscard]] LineLook LookOf(FlatLineKind kind);

/// Half the size of a mark's crosshair, mm: its largest radius and 3 mm, at least 5.
[[nodiscard]] double ReachOf(const FlatMark& mark);

/// Draws a mark at `at` (mm on the page); `outline` is the largest hole's developed outline on the
/// page, or empty. Drill: a circle a stage. Test: tip circle in a square. Reference: a small
/// diamond.
void DrawMark(const FlatMark& mark, const Vec2& at, const std::vector<Vec2>& outline,
              Drawing* drawing);

/// A pair of arrows that tell where the vehicle's front and up lie on the sheet.
struct Compass {
  Vec2 front = Vec2::Zero();  ///< unit, or zero: not drawn
  Vec2 up = Vec2::Zero();
  std::string front_word;
  std::string up_word;
  double arrow = 11.0;  ///< length of an arrow, mm

  /// What it covers when its foot lies at the origin, mm.
  [[nodiscard]] Box Extent() const;
  void Draw(const Vec2& foot, Drawing* drawing) const;
};

/// A filled triangle whose tip touches a line at `tip`, pointing along `way` (unit).
void DrawPointer(const Vec2& tip, const Vec2& way, Drawing* drawing);

/// A match mark: a cross in a circle, with its letter drawn by the caller.
inline constexpr double kMatchReach = 4.0;
void DrawMatchMark(const Vec2& at, Drawing* drawing);

/// Height of the legend, mm, for a width of at least 160 mm; less wide ones take two more rows.
inline constexpr double kLegendHeight = 9.0;
void DrawLegend(const Box& box, const Words& words, Drawing* drawing);

}  // namespace holeward
