// Developed (flattened) patches of skin: what a template shows, flat at 1:1, millimetres.
// x to the right and y up, seen from outside the part.
#pragma once

#include <string>
#include <vector>

#include "geometry/misfit.h"
#include "geometry/phrase.h"
#include "geometry/vec.h"

namespace holeward {

/// What a line of a developed piece means.
enum class FlatLineKind {
  cut,      ///< outline of the piece
  fold,     ///< a sharp corner of the part
  tangent,  ///< where a flat ends and the corner's curve begins
  align,    ///< to be laid on an edge, end, line or fitting; `words` says on what
  fitting,  ///< outline of a fitting or an existing hole
  butt,     ///< where a wrap meets itself
  magnet,   ///< where a magnet is laid on
};

struct FlatLine {
  FlatLineKind kind = FlatLineKind::cut;
  std::vector<Vec2> points;
  bool closed = false;
  Phrase words;
};

/// A point's mark on a developed piece.
struct FlatMark {
  std::string name;
  Vec2 at = Vec2::Zero();
  std::vector<double> diameters;  ///< drill stages, or the test tip; empty for a reference point
  bool test = false;
  /// The hole's outline as it develops (a hole through a curved skin is not a circle when flat).
  std::vector<Vec2> outline;  ///< of the last stage; of the foot at a test point
  double foot = 0.0;          ///< test: diameter that must sit flat
  double length_error = 0.0;  ///< mm, worst marked length from this mark, sheet against skin
  double wrap_error = 0.0;    ///< mm from its place when the sheet is laid back (wrap_back.h)
};

/// How far a mark's outline reaches from its middle, mm; 0 without one.
[[nodiscard]] double OutlineReach(const FlatMark& mark);

/// One piece of a template.
struct DevelopedPiece {
  std::string name;               ///< the face, or the faces joined
  std::vector<std::string> only;  ///< marks by which the name tells it from others; or empty
  Phrase made_for;  ///< what it only fits, as printed: "for a part coated 2 mm thick"; or empty
  std::vector<FlatLine> lines;  ///< the first is the outline, closed
  std::vector<FlatMark> marks;
  Vec2 front = Vec2::Zero();  ///< unit direction of the vehicle's front on the sheet, or zero
  Vec2 up = Vec2::Zero();     ///< unit direction of up on the sheet, or zero
  std::string front_word = "FRONT";
  std::string up_word = "UP";
  double stretch_max = 0.0;  ///< greatest |length ratio - 1| anywhere on the piece
  double stretch_rms = 0.0;
  double worst_length_error = 0.0;  ///< mm, of any marked length (mark to mark, mark to alignment)
  double worst_wrap_error = 0.0;    ///< mm, of the marks when the sheet is laid back on the skin
  std::vector<Misfit> misfits;      ///< wrong places where it fits as well
};

/// The mirror image of a piece: the same template for the other side. Lettering is not mirrored.
[[nodiscard]] DevelopedPiece Mirrored(const DevelopedPiece& piece);

}  // namespace holeward
