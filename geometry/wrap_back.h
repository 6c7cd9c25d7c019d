// The wrap-back proof: a flat sheet laid on the skin again, by another road than the one that
// flattened it, and how far each mark lands from its true place.
//
//   sheet                                  skin
//      edge A                                 its line
//   ---+---------+--------  s, from B      ---+---------+--------  the same s, from B's line
//      B          \  angle                    B          \  the same angle
//                  \ d                                    \ shortest path of length d
//                   x mark                                 x lands here
//
// As a person does it: one alignment edge is laid on its line, shifted along it until a second edge
// lies on its own; from there the sheet is smoothed outward. Paper does not stretch, so lengths
// along the edge are kept, and a straight line of the sheet becomes a shortest path that leaves the
// edge at the sheet's angle. Nothing of the map that flattened the skin is used.
// docs/methods/wrap-back.md has the equations and their sources.
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "geometry/placed_point.h"
#include "geometry/result.h"
#include "geometry/skin.h"
#include "geometry/vec.h"

namespace holeward {

/// A place of a printed line and its derivative by the line's parameter.
struct SheetLineJet {
  Vec2 at = Vec2::Zero();
  Vec2 run = Vec2::Zero();
};

/// A printed line that is laid on a line of the skin: v = at where it runs along the part, else u =
/// at. Its parameter t is the other one; it is printed for t in [from, to].
struct WrapEdge {
  std::string name;  ///< the datum, as a message calls it
  bool along = false;
  double at = 0.0;
  double from = 0.0;
  double to = 0.0;
  /// The line on the sheet. Only its shape counts: which place of it comes to lie where is decided
  /// by lengths. Also asked at t where another edge's line crosses this one, which may lie beyond
  /// [from, to] but on the sheet.
  std::function<SheetLineJet(double t)> sheet;
};

/// A mark on the sheet, and the place of the skin where it belongs.
struct WrapMark {
  std::string name;
  Vec2 sheet = Vec2::Zero();  ///< mm on the sheet
  SkinPlace place;            ///< v not wrapped, on the sheet's turn
};

/// A flat sheet with what it is laid by. Seen from outside, x right and y up, mm.
struct WrapSheet {
  std::shared_ptr<const Skin> skin;
  double offset = 0.0;  ///< where the sheet's middle lies off the skin, mm: half of the backing
  std::vector<WrapEdge> edges;
  std::vector<WrapMark> marks;
  /// Of what is smoothed down from the edges, closed. Flaps are folded over afterwards: they do not
  /// count.
  std::vector<Vec2> outline;
};

/// Where a mark lands at worst.
struct WrapError {
  std::string mark;
  double error = 0.0;           ///< mm, from its true place on the skin
  std::string edge;             ///< laid by this one
  Vec3 lands = Vec3::Zero();    ///< on the skin, vehicle axes
  Vec3 belongs = Vec3::Zero();  ///< its true place
};

/// Lays the sheet by each of its edges and smooths it outward to each mark: along the straight
/// lines from the edge's nearest place and from four others, up to as far to both sides of it as
/// the mark is away; only lines that stay on the sheet count (where no edge has one, the line that
/// leaves the sheet least). An edge
/// is shifted along its line by each edge across it in turn; where there is none, so that its
/// middle lies on the middle of its line.
/// @return one entry a mark, in their order: the worst landing
/// Errors (computed): no edge to lay the sheet by; a path that cannot be followed on the skin
/// (names mark and edge). @pre the outline has three places or more.
[[nodiscard]] Result<std::vector<WrapError>> WrapErrors(const WrapSheet& sheet);

}  // namespace holeward
