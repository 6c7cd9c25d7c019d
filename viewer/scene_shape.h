// What stands in the picture of the window: bodies, points, lines of readings and datums of the
// whole vehicle, both sides in vehicle axes. Plain values, no drawing library.
#pragma once

#include <array>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "geometry/checked.h"
#include "viewer/job_state.h"

namespace holeward {

enum class BodyKind { skin, fitting, inner, neighbour };

/// A body as quadrilaterals.
struct ShapeBody {
  BodyKind kind = BodyKind::skin;
  std::string part;  ///< the part it is or belongs to; a neighbour's name
  Side side = Side::left;
  std::vector<std::array<Vec3, 4>> quads;
  std::vector<std::vector<Vec3>> lines;  ///< ends and edges worth a line
};

/// A point to be marked.
struct ShapePoint {
  std::string name;
  Side side = Side::left;
  Vec3 position = Vec3::Zero();
  Vec3 normal = Vec3::UnitZ();
  bool drilled = false;
  std::optional<Verdict> verdict;
  std::string word;  ///< what is said of it
  std::vector<ReadingPath> paths;
};

/// A datum that can be pointed at.
struct ShapeDatum {
  std::string words;  ///< "arm: rear end"
  std::vector<Vec3> places;
};

/// The bodies and datums of a state's scenes.
struct SceneShape {
  std::vector<ShapeBody> bodies;
  std::vector<ShapeDatum> datums;
};

[[nodiscard]] SceneShape ShapeOf(const JobState& state);

/// The points of every side, each where it stands on the vehicle.
[[nodiscard]] std::vector<ShapePoint> PointsOf(const JobState& state);

/// What a reading's line says: "tape 84.0 from pivot eye".
[[nodiscard]] std::string WordsOf(const ReadingPath& path, bool inches);

}  // namespace holeward
