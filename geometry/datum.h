// Datums: the named places of a part to measure from, and where a reading off one starts.
//
// A reading runs along the part or around it. From a point, tape and rule start at the point. From
// anything else a reading along starts from a section's outline, one around from a line along the
// part; from a sharp corner it starts where the two flats would meet.
#pragma once

#include <optional>
#include <string>

#include "geometry/placed_point.h"
#include "geometry/result.h"
#include "geometry/skin.h"
#include "geometry/tape.h"
#include "geometry/vec.h"

namespace holeward {

// ---------------------------------------------------------------- lines along a part

/// A line along the part: constant v, or a constant fraction across a flat between its sharp
/// corners, either moved round the outline by `offset`.
struct SkinLine {
  double v = 0.0;  ///< the line v = const, unless `flat` is set
  int flat = -1;   ///< the flat (piece) whose fraction is followed
  double fraction =
      0.5;              ///< from the sharp corner at the flat's lower v to the one at its higher v
  double offset = 0.0;  ///< mm along the outline, positive with v
};

/// The sharp corners that bound a flat: vertex indices at its lower and its higher v.
struct FlatCorners {
  int lower = 0;
  int upper = 0;
};
[[nodiscard]] FlatCorners CornersOf(const Skin& skin, int flat);

/// Width of a flat between its sharp corners at u, mm.
[[nodiscard]] double FlatWidth(const Skin& skin, double u, int flat);

/// How far across a flat the outline's place (u, v) lies: 0 at the sharp corner of lower v, 1 at
/// the other, by its foot on the line between them; any v.
[[nodiscard]] double FractionAcross(const Skin& skin, double u, double v, int flat);

/// The v of a line at u, within half a turn of the line's own v (not wrapped).
[[nodiscard]] double VOfLine(const Skin& skin, const SkinLine& line, double u);

/// The line along the part through a place: same fraction across on a flat, else constant v.
[[nodiscard]] SkinLine LineThrough(const Skin& skin, const SkinPlace& place);

/// The same line for the tape.
[[nodiscard]] TapeLine ToTapeLine(const std::shared_ptr<const Skin>& skin, const SkinLine& line);

/// The v that lies `girth_mm` round the outline at u from v (positive with v), within half a turn.
[[nodiscard]] double WalkAround(const Skin& skin, double u, double v, double girth_mm);

/// The u that lies `length_mm` along the line v = const from (u, v), toward the finish if positive.
/// Goes on beyond the ends with the end's law. Accuracy 1e-9 mm.
[[nodiscard]] double WalkAlong(const Skin& skin, const SkinPlace& from, double length_mm);

// ---------------------------------------------------------------- datums

/// A named place to measure from.
struct Datum {
  enum class Kind {
    end,   ///< an end of the part: `place.u`
    edge,  ///< a sharp corner (`corner`) as an edge of a flat (`flat`); `place` on its tangent line
    line,  ///< a line along the part
    centre,   ///< eye, stud, hole to its centre
    outline,  ///< bracket, plate, seam, hole by its rim: u_from..u_to, around_half to both sides
    point,    ///< an earlier point
  };
  Kind kind = Kind::end;
  std::string name;
  SkinPlace place;      ///< its place on the skin: where directions are judged
  SkinLine line;        ///< the line along the part through it (end: unused)
  int corner = -1;      ///< edge
  int flat = -1;        ///< edge: the flat it is read on; others: the flat it lies on, or -1
  double u_from = 0.0;  ///< outline
  double u_to = 0.0;
  double around_half = 0.0;  ///< outline: mm round the part from its middle line
  /// Point, and fitting placed by readings: it lies within this of its place, mm; nothing: not
  /// bounded.
  std::optional<double> spread = 0.0;
};

/// The direction a reading follows from its datum.
struct Toward {
  std::string word;
  Vec3 direction = Vec3::Zero();  ///< unit, vehicle axes; unused with `end`
  int end = 0;                    ///< an end's name: -1 the start, +1 the finish; else 0
};

enum class Run { along, around };

/// Whether a reading from `datum` runs along the part or around it. Ends are read along, edges and
/// lines around; anything else by what `toward` follows more.
/// Errors (job): `toward` follows both within 25 %, or runs the way its datum cannot be read.
[[nodiscard]] Result<Run> RunOf(const Skin& skin, const Datum& datum, const Toward& toward);

/// Where a reading starts.
struct Origin {
  enum class Kind { place, section, line, corner };
  Kind kind = Kind::place;
  SkinPlace place;  ///< place; section: its u
  SkinLine line;    ///< line; corner: the tangent line
  int corner = -1;  ///< corner: the vertex
  int flat = -1;    ///< corner and line: the flat read on, or -1
};

/// Where tape and rule start. @param direction the unit vector the reading follows, or zero;
/// it picks the side of an outline. @param sharp edges: from the sharp corner, else from the
/// tangent line. Errors (job): the direction picks no side of an outline.
struct OriginWish {
  Run run = Run::along;
  Vec3 direction = Vec3::Zero();
  int end = 0;  ///< -1, +1: along toward that end, whatever `direction`
  bool sharp = true;
};
[[nodiscard]] Result<Origin> OriginOf(const Skin& skin, const Datum& datum, const OriginWish& wish);

}  // namespace holeward
