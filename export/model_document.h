// What is handed over as a model: parts, and the points and drill axes on them, in vehicle axes.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "geometry/bezier.h"
#include "geometry/solid.h"
#include "geometry/vec.h"
#include "models/job.h"

namespace holeward {

struct ModelPart {
  std::string name;  ///< with its side: "arm left"
  NamedSolid solid;
};

/// The forms a model is written in.
enum class ModelForm { step, glb, stl };

/// The form by the ending of a file's name (.step, .stp, .glb, .stl, capitals or not); nothing: of
/// none.
[[nodiscard]] std::optional<ModelForm> ModelFormOf(const std::string& file);

/// A placed point.
struct ModelMark {
  std::string name;  ///< "A3 left"
  PointUse use = PointUse::reference;
  Vec3 place = Vec3::Zero();
};

/// A drill's axis, the way the tip travels: it ends on the skin.
struct ModelAxis {
  std::string name;  ///< "A3 left axis"
  Vec3 from = Vec3::Zero();
  Vec3 to = Vec3::Zero();
};

struct ModelDocument {
  std::string title;
  std::string note;  ///< a line for the file's own description
  std::string date;  ///< YYYY-MM-DD
  std::vector<ModelPart> parts;
  std::vector<ModelMark> marks;
  std::vector<ModelAxis> axes;
};

using Colour = std::array<double, 3>;  ///< red, green, blue of sRGB, 0 to 1

[[nodiscard]] constexpr Colour ColourOf(FaceRole role) {
  switch (role) {
    case FaceRole::fitting: return {0.42, 0.46, 0.50};
    case FaceRole::hole: return {0.80, 0.36, 0.12};
    case FaceRole::outer:
    case FaceRole::inner:
    case FaceRole::end:
    case FaceRole::lip: break;
  }
  return {0.66, 0.68, 0.70};
}

[[nodiscard]] constexpr Colour ColourOf(PointUse use) {
  switch (use) {
    case PointUse::reference: break;
    case PointUse::test: return {0.10, 0.38, 0.66};
    case PointUse::drill: return {0.80, 0.36, 0.12};
  }
  return {0.20, 0.20, 0.20};
}

}  // namespace holeward
