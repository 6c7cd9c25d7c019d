// The part of a skin that one template piece covers, as a patch to develop.
#pragma once

#include <memory>

#include "geometry/develop_patch.h"

namespace holeward {

/// A rectangle of a skin in its parameters. v may run past a closed skin's piece_count().
struct SkinRange {
  double u_from = 0.0;
  double u_to = 0.0;
  double v_from = 0.0;
  double v_to = 0.0;
};

struct SkinPatchOptions {
  /// Developed surface's distance outward of the skin: half the backing's thickness, mm.
  double offset = 0.0;
  /// Every span and piece of the range is cut into this many cells each way.
  int cells = 1;
  /// Weight of the cells outside [core_from, core_to] in v (flaps); 1 where they count in full.
  double flap_weight = 1.0;
  double core_from = 0.0;
  double core_to = 0.0;
  /// A patch that stretches more than this somewhere on coarse cells is not made finer: it is of no
  /// use to the caller.
  double give_up = 1.0;
};

/// The patch of `skin` over `range`, offset outward. At a sharp corner the sheet bends in an arc of
/// the offset's radius (1e-7 mm without one).
[[nodiscard]] PatchSurface SkinPatch(std::shared_ptr<const Skin> skin, const SkinRange& range,
                                     const SkinPatchOptions& options);

/// A place of the skin moved `distance` outward, with the derivatives of the moved surface.
[[nodiscard]] SkinPoint OffsetPoint(const Skin& skin, const SkinPlace& place, int span, int piece,
                                    double distance);

/// True where piece k is a corner of no radius.
[[nodiscard]] bool IsSharp(const Skin& skin, int piece, double u);

/// The v that lies `distance` mm of outline from v, at u; not wrapped, held to the chain when open.
[[nodiscard]] double VAtOutline(const Skin& skin, double u, double v, double distance);
/// Outline length from v = 0 to v at u, mm; v counted over as many turns as it has.
[[nodiscard]] double OutlineTo(const Skin& skin, double u, double v);

/// Development of a range: unrolled exactly where the skin is developable, else of least strain,
/// with cells made smaller until it settles.
[[nodiscard]] DevelopedPatch Develop(std::shared_ptr<const Skin> skin, const SkinRange& range,
                                     const SkinPatchOptions& options);

}  // namespace holeward
