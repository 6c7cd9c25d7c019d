// The surface in which a sheet lies when it is stuck on: the skin moved outward by half of the
// backing, for following shortest paths on it.
#pragma once

#include <memory>

#include "geometry/surface.h"

namespace holeward {

/// A skin moved outward along its normals. A sharp corner becomes an arc of the distance moved
/// (kLeastWrapBend at least), so that the sheet has a width to bend in.
class WrapSurface final : public Surface {
 public:
  /// @param distance outward, mm, 0 or more
  WrapSurface(std::shared_ptr<const Skin> skin, double distance);

  [[nodiscard]] SkinJet JetAt(double u, double v, int span, int piece) const override;
  [[nodiscard]] SkinPoint At(double u, double v, int span, int piece) const override;

 private:
  std::shared_ptr<const Skin> skin_;
  double distance_;
};

/// Radius a sheet of no thickness bends in at a sharp corner, mm.
inline constexpr double kLeastWrapBend = 1e-7;

}  // namespace holeward
