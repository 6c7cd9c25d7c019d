// Flaps that go over an edge which a piece is laid by, so that a hand finds the edge where an eye
// does not.
//
//        .-------.            flap: straight on from the sheet's border, tapered
//       :         :
//  ----+-----------+----      the border: an end of the part, a lip, or part of a rounded corner
//         sheet
//
// A flap is a straight strip of its own, not developed with the sheet: it is short enough along its
// border for that to be true within kFlapSag, and takes no part in the wrap-back proof.
#pragma once

#include <vector>

#include "geometry/develop_layout.h"
#include "geometry/develop_patch.h"
#include "geometry/development.h"

namespace holeward {

/// A flap lies this far on what is beyond the edge: the next face, or the end's inside, mm.
inline constexpr double kFlapReach = 9.0;
/// A border may leave the straight line by this along one flap, mm.
inline constexpr double kFlapSag = 0.2;

/// A flap and the line at which it leaves the edge.
struct Flap {
  /// Closed, six places: the second and the fifth are where it leaves the sheet's border, the
  /// third and fourth its tip.
  std::vector<Vec2> outline;
  FlatLine line;  ///< a fold over an end or lip; where the corner ends and the next face begins
  Vec2 out = Vec2::Zero();  ///< unit direction from the border to the tip
  double depth = 0.0;       ///< from the border to the tip, mm
  bool over_end = false;    ///< folded over an end of the part; else past an edge along it

  [[nodiscard]] Vec2 Middle() const {
    return 0.25 * (outline[1] + outline[2] + outline[3] + outline[4]);
  }
};

/// The flaps of a piece: at each end, lip and corner that it is aligned to and that is its border.
/// None where it would come to lie on a fitting or on the sheet itself.
[[nodiscard]] std::vector<Flap> FlapsOf(const PieceRequest& request, const PieceLayout& layout,
                                        const DevelopedPatch& patch);

/// The corners that a piece is aligned to at its border and past which none of its flaps goes: what
/// is left to lay it by there is a tangent line, which nobody sees.
[[nodiscard]] std::vector<std::string> EdgesWithoutFlap(const PieceRequest& request,
                                                        const PieceLayout& layout,
                                                        const DevelopedPatch& patch,
                                                        const std::vector<Flap>& flaps);

/// Further flaps that the piece could have past the corners at its two borders along the part,
/// aligned to or not, every few millimetres; where nothing stands in their way.
[[nodiscard]] std::vector<Flap> PossibleFlaps(const PieceRequest& request,
                                              const PieceLayout& layout,
                                              const DevelopedPatch& patch);

/// True if a flap leaves the sheet at least `apart` mm from another one.
[[nodiscard]] bool AreApart(const Flap& a, const Flap& b, double apart);

/// Joins flaps to the outline of a piece and draws their lines.
/// @return false, and nothing is done, where they would not hang together with the sheet alone
bool AddFlaps(const std::vector<Flap>& flaps, DevelopedPiece& piece);

}  // namespace holeward
