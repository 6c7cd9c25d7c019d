// The skin round a nominal place, by distance along the part and by girth: how a marking zone is
// cut into cells.
#pragma once

#include <optional>

#include "geometry/placed_point.h"
#include "geometry/skin.h"
#include "geometry/vec.h"

namespace holeward {

/// The skin round a place, by distance along the part and by girth. The skin must outlive it.
class Neighbourhood {
 public:
  Neighbourhood(const Skin& skin, const SkinPlace& place)
      : skin_(&skin),
        place_(place),
        girth_(skin.GirthOf(place.u, place.v)),
        per_u_(skin.At(place).du.norm()) {}

  /// @param along, around mm from the place, along the part and round the section
  [[nodiscard]] SkinPoint At(double along, double around) const {
    if (along == 0.0 && around == 0.0) return skin_->At(place_);
    const double u = place_.u + along / per_u_;
    return skin_->At(u, skin_->VOfGirth(u, girth_ + around));
  }

 private:
  const Skin* skin_;
  SkinPlace place_;
  double girth_;
  double per_u_;
};

/// Half-width of a square of the neighbourhood whose border lies outside the places within `radius`
/// (straight, mm) of `middle`. Nothing if none is found: the zone reaches round the part.
[[nodiscard]] std::optional<double> CoveringHalf(const Neighbourhood& around, const Vec3& middle,
                                                 double radius);

}  // namespace holeward
