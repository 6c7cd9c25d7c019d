// What lies round a hole, over the whole zone in which it may be marked: the wall along the axis
// and how near edges, welds, ends and other holes come. Figures and no verdict.
//
// A tape distance D to anything fixed changes by no more than one walks: |D(x) - D(y)| <= length of
// any path from x to y on the skin. Every place of a marking zone lies within `radius` (straight)
// of its nominal place, and a path on the skin that turns by t in all is no longer than its chord
// over cos(t / 2) (Schmidt 1925, from Schur's theorem). So over a zone
//
//   D >= D(nominal) - radius / cos(t / 2)
//
// with t the greatest turn of the skin's normal from the nominal place over the zone. Where the
// tape is not proven to be the shortest, the straight distance less `radius` takes its place: no
// way is shorter.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "geometry/part.h"
#include "geometry/placed_point.h"
#include "geometry/tape.h"
#include "geometry/tolerance.h"

namespace holeward {

enum class NearKind {
  end,      ///< an end of the part
  lip,      ///< of a channel
  edge,     ///< a sharp corner, as the two flats would meet
  fitting,  ///< its outline, to the toe of its weld where the job gives one
  hole,     ///< another hole's middle
};

/// How near something comes to a hole's middle, by tape on the skin, mm.
struct NearThing {
  std::string to;
  NearKind kind = NearKind::end;
  double nominal = 0.0;  ///< from the place of the rule as written
  double least = 0.0;    ///< no place of any zone is nearer; 0 where the zone may reach it
  /// Metal left between the rims at the least: least less both radii; may be negative.
  double metal_least = 0.0;
  bool proven = true;  ///< false: `least` rests on a zone without a bound, or on a tape (of a lip
                       ///< or edge) not proven to be the shortest
};

/// Length of the near wall along the drill's axis, mm, from the skin, the wall as stated.
struct WallAlongAxis {
  double nominal = 0.0;
  /// Not less anywhere: a way through a wall is no shorter than the wall.
  double least = 0.0;
  /// Sampled over zone and tilt and widened by one step's change; nothing: somewhere the axis runs
  /// along the wall.
  std::optional<double> greatest;
};

/// Another hole on the same part.
struct OtherHole {
  std::string name;
  SkinPlace place;
  double radius = 0.0;       ///< of the hole, mm
  double zone_radius = 0.0;  ///< its own marking zone, mm; 0 for an existing hole
};

struct RoundHoleQuestion {
  double diameter = 0.0;          ///< of the hole, mm
  AxisRule axis;                  ///< the way the tip is meant to travel, from the outward normal
  double tilt_rad = 0.0;          ///< how far the drill may be held off it
  std::vector<OtherHole> others;  ///< drilled ones; existing ones are taken from the part
  /// Of each kind only what may be the nearest is looked for; tapes take long.
  bool nearest_only = false;
};

struct RoundHole {
  std::optional<WallAlongAxis> wall;
  std::vector<NearThing> things;    ///< least first
  std::vector<std::string> faults;  ///< what could not be computed, in sentences

  /// The nearest of a kind; nothing if there is none.
  [[nodiscard]] const NearThing* Nearest(NearKind kind) const;
};

/// What lies round a placed point.
/// @param tape of this part's skin
/// Accuracy: tape distances 1e-6 mm; the turn of the normal is sampled over 5 rings of 16 places
/// and taken a quarter greater.
[[nodiscard]] RoundHole RoundHoleOf(const Part& part, const TapeSolver& tape,
                                    const PlacedPoint& placed, const RoundHoleQuestion& question);

/// Length of the wall along a line, from the skin at `place` along `direction` (unit, inward): to
/// the first place one wall deep under the skin. Nothing if that is deeper than 6 walls.
/// Accuracy: 1e-6 mm.
[[nodiscard]] std::optional<double> WallLengthAlong(const Part& part, const SkinPlace& place,
                                                    const Vec3& direction);

/// Bound on the length of skin between a place and anything within `radius` (straight, mm) of it;
/// nothing where the skin turns too much to say.
[[nodiscard]] std::optional<double> WalkWithin(const Skin& skin, const SkinPlace& place,
                                               double radius);

}  // namespace holeward
