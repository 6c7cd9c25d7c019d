// Where along a part the faces of a solid have their breaks: knots of splines that run round it.
#pragma once

#include <array>
#include <functional>
#include <vector>

#include <TopoDS_Shape.hxx>

#include "geometry/vec.h"

namespace holeward {

class LoftBreaks {
 public:
  explicit LoftBreaks(const TopoDS_Shape& solid);

  /// The breaks along a centre line: lines of a face at a knot, the places of which lie in one
  /// section within 0.05 mm.
  /// @param station where along the line the section through a place stands, mm
  [[nodiscard]] std::vector<double> Along(const std::function<double(const Vec3&)>& station) const;

 private:
  std::vector<std::array<Vec3, 3>> lines_;  ///< three places of each line at a knot
};

}  // namespace holeward
