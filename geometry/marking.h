// What a check must reach (limits), how well a person marks and drills (marking), and the tools.
// The defaults are those of the job file; they are printed with every verdict.
#pragma once

#include <algorithm>
#include <optional>
#include <string>
#include <vector>

#include "geometry/distribution.h"
#include "geometry/vec.h"

namespace holeward {

/// What a check must reach. Lengths in mm; edge distance and spacing are multiples of a diameter.
struct Limits {
  double clearance = 5.0;      ///< along the drill's travel to anything behind the near wall
  double side = 1.0;           ///< passing beside an inner body closer than this meets it
  double edge_distance = 2.0;  ///< hole centre to the nearest edge, in hole diameters
  double spacing = 3.0;        ///< centre to centre of two holes, in diameters of the larger
  double seat_gap = 0.3;       ///< rocking gap under a test tip's foot
  double through = 1.0;        ///< the full diameter must be this far past break-through
  double wrap_error = 0.5;     ///< a template's mark may land this far from its place

  friend bool operator==(const Limits&, const Limits&) = default;
};

/// An error's half-widths: the true value lies between value - minus and value + plus.
struct HalfWidth {
  double minus = 0.0;
  double plus = 0.0;

  [[nodiscard]] static HalfWidth Even(double half) { return {half, half}; }
  [[nodiscard]] double Greatest() const { return std::max(minus, plus); }

  friend bool operator==(const HalfWidth&, const HalfWidth&) = default;
};

/// How well a person marks and drills: half-widths in mm (radians where the name says so).
struct Marking {
  HalfWidth tape = HalfWidth::Even(1.0);
  HalfWidth rule = HalfWidth::Even(0.5);
  HalfWidth square = HalfWidth::Even(0.5);
  HalfWidth protractor_rad = HalfWidth::Even(2.0 * kDegree);
  HalfWidth line = HalfWidth::Even(2.0);
  HalfWidth middle = HalfWidth::Even(1.0);
  HalfWidth in_line = HalfWidth::Even(1.0);
  HalfWidth punch = HalfWidth::Even(0.5);
  HalfWidth sheet = HalfWidth::Even(1.0);  ///< `marking.template`: placing a printed sheet
  HalfWidth tilt_rad = HalfWidth::Even(5.0 * kDegree);
  HalfWidth depth = HalfWidth::Even(0.5);
  double run_on = 12.0;
  HalfWidth wall = HalfWidth::Even(0.2);
  HalfWidth outline = HalfWidth::Even(1.0);
  HalfWidth inner_body = HalfWidth::Even(2.0);
  ErrorDistributions distribution;  ///< how each is drawn; never alters a bound

  friend bool operator==(const Marking&, const Marking&) = default;
};

/// A cylinder that a tool needs for itself, mm.
struct ToolBody {
  double diameter = 0.0;
  double length = 0.0;

  friend bool operator==(const ToolBody&, const ToolBody&) = default;
};

/// The test tip.
struct TestTool {
  double tip = 3.0;
  double foot = 8.0;
  ToolBody body{32.0, 180.0};

  friend bool operator==(const TestTool&, const TestTool&) = default;
};

enum class DrillKind { twist, step };

/// One step of a step drill: its diameter, and how long it is, counted from the tip.
struct DrillStep {
  double diameter = 0.0;
  double length = 0.0;

  friend bool operator==(const DrillStep&, const DrillStep&) = default;
};

/// The drill and its holder.
struct DrillTool {
  double point_angle_rad = 118.0 * kDegree;  ///< included angle of the cone formed by the lips
  ToolBody chuck{42.0, 220.0};
  DrillKind kind = DrillKind::twist;
  std::vector<DrillStep> steps;          ///< step drill only, from the tip
  std::vector<double> projection{60.0};  ///< drill showing from the chuck; one, or one a stage
  ToolBody collar{16.0, 10.0};           ///< depth stop

  friend bool operator==(const DrillTool&, const DrillTool&) = default;
};

/// How a thing is known. Nothing that rests on an assumed body or wall is proven.
enum class Basis { measured, drawn, assumed };

}  // namespace holeward
