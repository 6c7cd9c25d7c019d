// The outline of a solid in a plane across it, found by rays within the plane: two on every flat,
// one on every corner.
#pragma once

#include <array>
#include <memory>
#include <optional>
#include <vector>

#include <TopoDS_Shape.hxx>

#include "geometry/vec.h"

namespace holeward {

/// A section of flats and rounded corners in a plane.
struct PlaneOutline {
  Vec3 centre = Vec3::Zero();   ///< centroid of the area within the sharp corners
  Vec3 normal = Vec3::UnitY();  ///< of the plane, unit
  std::vector<Vec3> vertices;   ///< sharp corners in order
  std::vector<double> radii;    ///< one a vertex, mm; 0 is sharp

  /// The same turned and moved into another plane, about its centre.
  [[nodiscard]] PlaneOutline MovedTo(const Vec3& to, const Vec3& to_normal) const;
};

/// The centroid of the area within corners that lie in a plane.
[[nodiscard]] Vec3 CentroidOf(const std::vector<Vec3>& vertices);

class OutlineRays {
 public:
  explicit OutlineRays(const TopoDS_Shape& solid);
  ~OutlineRays();
  OutlineRays(const OutlineRays&) = delete;
  OutlineRays& operator=(const OutlineRays&) = delete;

  /// The outside of the body in the plane of `guess`: of every flat the line through two places,
  /// of every corner the radius by its deepest place. What is not flat between the two places, or
  /// no arc, is not seen here.
  /// @param guess as many corners, each within a third of the section of where it is; holes of the
  ///        body may lie in the way of some places
  /// Nothing if a flat is not met twice, or the corners turn inward.
  [[nodiscard]] std::optional<PlaneOutline> Near(const PlaneOutline& guess);

 private:
  struct FaceRays;
  struct Flat {
    Vec3 at = Vec3::Zero();
    Vec3 along = Vec3::UnitX();
    Vec3 out = Vec3::UnitX();
  };
  struct Way {
    Vec3 through = Vec3::Zero();
    Vec3 out = Vec3::UnitX();  ///< unit
    double reach = 0.0;        ///< before and behind `through`, mm
  };

  /// Where a ray met the body last: the next one beside it begins there.
  struct Last {
    std::size_t face = 0;
    std::optional<Vec2> uv;
  };

  [[nodiscard]] std::optional<Vec3> Met(const Way& way, Last& last);
  [[nodiscard]] std::optional<Vec3> MetAgain(const Way& way, Last& last) const;
  [[nodiscard]] std::optional<Vec3> MetOn(const Way& way, FaceRays& face, Vec2& uv) const;
  [[nodiscard]] std::optional<Flat> FlatNear(const PlaneOutline& guess, std::size_t k);
  [[nodiscard]] double RadiusNear(const Flat& before, const Flat& after, const Vec3& vertex,
                                  double guess, std::size_t k);

  std::vector<std::unique_ptr<FaceRays>> faces_;
  std::vector<std::array<Last, 2>> on_flat_;  ///< by flat
  std::vector<Last> on_corner_;               ///< by corner
};

}  // namespace holeward
