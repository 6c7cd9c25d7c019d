// Sections of a solid by its triangles: quick and rough, to find one's way about a body.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <vector>

#include <TopoDS_Shape.hxx>

#include "geometry/vec.h"

namespace holeward {

/// A section that is a ring: one outline with one opening that leaves but a rim.
struct RingSection {
  Vec3 centre = Vec3::Zero();  ///< centroid of what the outline holds
  double filled = 0.0;         ///< area within the outline, mm²
  double metal = 0.0;          ///< area of the ring, mm²
};

struct MeshSection {
  bool any = false;  ///< the plane meets the body near the place
  std::optional<RingSection> ring;
};

/// The triangles of a solid, within 0.05 mm of it.
class MeshSections {
 public:
  /// Errors: the kernel's exceptions.
  explicit MeshSections(const TopoDS_Shape& solid);

  /// How far the body reaches along a direction, from the origin.
  [[nodiscard]] std::array<double, 2> Along(const Vec3& direction) const;

  /// What the plane through `at` meets of the body: the outline whose centroid lies nearest to
  /// `at`, no farther than `reach` (mm).
  /// @param normal unit
  [[nodiscard]] MeshSection At(const Vec3& at, const Vec3& normal, double reach) const;

 private:
  using Edge = std::array<std::size_t, 2>;

  std::vector<Vec3> corners_;
  std::vector<Edge> edges_;                            ///< their corners
  std::vector<std::array<std::size_t, 3>> triangles_;  ///< their edges
};

}  // namespace holeward
