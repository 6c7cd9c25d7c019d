// What the scene_*.cpp files share: how the pieces of a part are made from its rows, and how their
// errors are gathered.
#pragma once

#include <string>
#include <vector>

#include "geometry/part.h"
#include "models/job.h"
#include "models/part_law.h"
#include "models/scene.h"

namespace holeward {

/// What making one part needs to know.
struct PartMaking {
  const Job* job = nullptr;
  const PartRow* row = nullptr;
  Side side = Side::left;
  SceneBuild* build = nullptr;  ///< takes the errors

  void Wrong(const Location& at, std::string message) const {
    build->errors.push_back({at, std::move(message)});
  }
  /// True on the side of the vehicle the job does not describe.
  [[nodiscard]] bool other_side() const { return side != job->described_side; }
};

/// Adds the part's fittings, and their mirror copies on a shared part.
void AddFittings(const PartMaking& making, Part& part);

/// Adds the part's inner bodies; errors for those that stand in the metal.
void AddInnerBodies(const PartMaking& making, Part& part);

/// Errors for every two parts whose skins enclose a common place.
void FindOverlaps(const Job& job, SceneBuild& build);

/// Distance by which a shared part's skin misses its own mirror image about y = 0, mm, and where.
struct MirrorMiss {
  double distance = 0.0;
  double station = 0.0;
};
[[nodiscard]] MirrorMiss MissOfMirror(const Skin& skin);

/// Tape length along the skin's line of constant v from u_from to u_to (signed), mm.
[[nodiscard]] double LineLength(const Skin& skin, double v, double u_from, double u_to);

/// The place on the skin whose tape distance along the line of constant v from `from` is `length`.
[[nodiscard]] double WalkLine(const Skin& skin, const SkinPlace& from, double length);

/// True if a place lies in the part: inside its skin and between its ends; then how deep.
struct Depth {
  bool inside = false;
  double below_skin = 0.0;  ///< least distance to the skin, mm
  SkinPlace nearest;
};
[[nodiscard]] Depth DepthIn(const Skin& skin, const Vec3& p_world);

}  // namespace holeward
