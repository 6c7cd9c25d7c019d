// Where a trimmed face is all of its surface: rectangles of its parameters that no trimming
// reaches.
#pragma once

#include <vector>

#include <TopoDS_Face.hxx>

namespace holeward {

/// A rectangle of a surface's parameters.
struct ParameterBox {
  double u1 = 0.0, u2 = 0.0, v1 = 0.0, v2 = 0.0;

  [[nodiscard]] bool Holds(double u, double v) const {
    return u >= u1 && u <= u2 && v >= v1 && v <= v2;
  }
};

/// Rectangles that lie within a face, none over another: bands across it between the boxes round
/// its trimmed edges, and what is left beside these boxes. All of a face that its bounds alone
/// trim.
[[nodiscard]] std::vector<ParameterBox> WholeBandsOf(const TopoDS_Face& face);

/// True if the bands are one, which is all of the face.
[[nodiscard]] bool IsAllOf(const TopoDS_Face& face, const std::vector<ParameterBox>& bands);

}  // namespace holeward
