// Following the tube that a body has: its sections, one after the other, as long as they are rings.
#pragma once

#include <optional>

#include <TopoDS_Shape.hxx>

#include "geometry/mesh_sections.h"
#include "geometry/vec.h"

namespace holeward {

/// A place on the way along a tube.
struct TubeStep {
  RingSection ring;
  Vec3 way = Vec3::UnitY();  ///< unit
};

class RingFollower {
 public:
  /// Errors: the kernel's exceptions.
  explicit RingFollower(const TopoDS_Shape& solid);

  /// The ring with the least metal of some all along the body, its plane turned square to the line
  /// through rings beside it. Nothing if none of them is a ring.
  [[nodiscard]] std::optional<TubeStep> First() const;

  /// The last ring on the way from `from`, to a quarter of a millimetre: one that goes on as the
  /// ring before it did, or is of the same tube after a stretch without.
  [[nodiscard]] TubeStep Last(const TubeStep& from) const;

 private:
  [[nodiscard]] std::optional<TubeStep> Squared(const RingSection& ring) const;
  [[nodiscard]] TubeStep Finely(const TubeStep& before, const TubeStep& last) const;

  MeshSections sections_;
  Vec3 middle_;  ///< of the body
  Vec3 long_;    ///< its longest direction
  double step_;  ///< mm
};

}  // namespace holeward
