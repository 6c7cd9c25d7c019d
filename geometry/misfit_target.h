// A part's skin laid flat at one place, as what a piece may be laid on by mistake.
#pragma once

#include <optional>
#include <vector>

#include "geometry/develop_layout.h"
#include "geometry/misfit_fit.h"
#include "geometry/part.h"

namespace holeward {

/// A part's skin laid flat there, with its lines.
struct MisfitTarget {
  DevelopedPatch patch;
  std::vector<Feature> features;
  std::vector<Vec2> outline;
};

/// Skin laid flat over a range, with its ends, edges, lines and fittings.
[[nodiscard]] MisfitTarget TargetOf(const PieceRequest& request, const SkinRange& range);

/// The stretch of skin a piece may be laid on: its own, moved on by `shift` pieces; a piece of one
/// flat gets the whole flat and half of each corner beside it, a wrap the whole girth twice.
[[nodiscard]] SkinRange TargetRange(const Skin& skin, const PieceLayout& layout, int shift);

/// The straight line in (u, v) from a to b on a patch, as so many places.
[[nodiscard]] std::vector<Vec2> DrawnOn(const DevelopedPatch& patch, const SkinPlace& a,
                                        const SkinPlace& b, int places);

/// True for a fitting on a face that is so high that a sheet cannot lie over it.
[[nodiscard]] bool IsRaised(const Fitting& f);

/// True if a place lies within a fitting's footprint grown by `grow` mm.
[[nodiscard]] bool Covers(const Skin& skin, const Fitting& f, const SkinPlace& at, double grow);

/// v of a place brought into a range by whole turns, if it can be.
[[nodiscard]] std::optional<double> BroughtInto(const Skin& skin, double v, double from, double to);

}  // namespace holeward
