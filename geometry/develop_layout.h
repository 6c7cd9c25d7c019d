// What stretch of skin a template piece covers, and the lines it is aligned by.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "geometry/develop_skin.h"
#include "geometry/named_place.h"
#include "geometry/part.h"
#include "geometry/phrase.h"

namespace holeward {

/// A point to show on a piece.
struct PieceMark {
  std::string name;
  SkinPlace place;
  std::vector<double> diameters;  ///< drill stages, pilot first; the test tip; none for a reference
  bool test = false;
  double foot = 0.0;         ///< test: diameter that must sit flat, mm
  std::optional<Vec3> axis;  ///< drill axis, unit, vehicle axes; left out: normal to the skin
};

/// What a piece is asked to be.
struct PieceRequest {
  const Part* part = nullptr;
  std::vector<PieceMark> marks;    ///< at least one
  std::vector<std::string> align;  ///< datum names, as in the job
  std::vector<NamedPlace> shown;   ///< datums that the file of the part's solid shows
  double backing = 0.0;            ///< thickness of the sheet, mm
  double coating = 0.0;            ///< thickness of what lies on the skin under the sheet, mm
  /// Where the sheet's middle lies off the skin, mm.
  [[nodiscard]] double Offset() const { return coating + 0.5 * backing; }
  double gap = 2.0;         ///< of a cut-out round what stands in the sheet's way, mm
  double strap = 0.0;       ///< width of a strap that holds the sheet, mm; 0: none
  double magnet = 0.0;      ///< diameter of a magnet that holds it, mm; 0: none
  double margin = 20.0;     ///< of sheet round the marks, mm
  double tolerance = 0.2;   ///< greatest error of a marked length, mm
  double wrap_limit = 0.5;  ///< a mark may land this far from its place, mm
  double outboard_y = 1.0;  ///< +1 where the described side is the left one
  int sides = 2;            ///< of the vehicle that have such a part
  /// A round part of no more girth than this is wrapped all round: a sheet that meets itself
  /// square proves that it lies straight. mm
  double wrap_up_to = 270.0;
  std::string instead;  ///< what to do where the skin cannot be laid flat; empty: nothing is said
};

/// The side (+1 or -1 along y) that is outboard at a place: on a shared part the side it is on.
[[nodiscard]] double OutboardAt(const PieceRequest& request, const Vec3& position_world);

/// A line of the skin that the sheet is laid by: u = at, or v = at where it runs along the part.
struct AlignLine {
  std::string name;
  Phrase words;
  bool along = false;
  double at = 0.0;
  double from = 0.0;  ///< range of the other parameter
  double to = 0.0;
};

/// The stretch of skin of one piece.
struct PieceLayout {
  std::string name;
  SkinRange range;
  double core_from = 0.0;  ///< v without the flaps
  double core_to = 0.0;
  bool closed = false;  ///< goes all the way round and meets itself
  std::vector<AlignLine> align;
  std::vector<std::string> not_shown;  ///< names of `align` that this piece cannot show
};

/// The place of a mark on the turn of v that a piece is on.
[[nodiscard]] SkinPlace OnLayout(const PieceRequest& request, const PieceLayout& layout,
                                 SkinPlace place);

/// Layout of a piece on one flat of the part. With `flaps`, half of each neighbouring corner that
/// the piece reaches (6 mm past a sharp one) goes with it.
/// @pre every mark lies on the flat `face`
[[nodiscard]] PieceLayout LayoutOnFace(const PieceRequest& request, const Face& face, bool flaps);

/// Layout of one piece over all the marks, across corners, all round where little is left out.
[[nodiscard]] PieceLayout LayoutJoined(const PieceRequest& request);

}  // namespace holeward
