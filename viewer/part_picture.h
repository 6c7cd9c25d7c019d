// A picture of parts with their points, drawn by parallel projection without a display.
#pragma once

#include <string>
#include <vector>

#include "geometry/part.h"
#include "geometry/placed_point.h"
#include "geometry/result.h"

namespace holeward {

/// A point as a picture shows it.
struct PicturePoint {
  std::string name;
  std::string word;  ///< verdict or use, written under the name; may be empty
  Vec3 position = Vec3::Zero();
  Vec3 normal = Vec3::UnitZ();
  bool drilled = false;  ///< drill points are circles with a cross, others a cross alone
};

/// What the three arrows of a picture say.
struct PictureCompass {
  std::string front = "FRONT";
  std::string outboard = "OUTBOARD";
  std::string up = "UP";
};

/// From where a picture is taken, and how large it is.
struct PictureView {
  Vec3 toward_viewer{0.55, 0.45, 0.5};  ///< direction from the part to the eye, vehicle axes
  double width_mm = 180.0;
  double height_mm = 110.0;
  std::string caption;
  PictureCompass compass;
};

/// The three-quarter view that shows most of the points; those it shows are taken out of `points`,
/// so that calling again gives the view for the rest.
/// @param outboard_y +1 where outboard is +y, else -1
[[nodiscard]] PictureView ViewOf(std::vector<PicturePoint>& points, double outboard_y);

/// A PNG of the named parts (all when `parts` is empty) and those points that face the viewer.
/// Errors (computed): nothing to draw, or the drawing library failed.
[[nodiscard]] Result<std::string> DrawPicture(const Scene& scene,
                                              const std::vector<std::string>& parts,
                                              const std::vector<PicturePoint>& points,
                                              const PictureView& view);

}  // namespace holeward
