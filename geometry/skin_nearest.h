// The place of a skin nearest to a point, for many points: the guesses are made once.
#pragma once

#include <optional>
#include <vector>

#include "geometry/skin.h"

namespace holeward {

class SkinNearest {
 public:
  /// @param skin outlives this
  explicit SkinNearest(const Skin& skin);

  /// What Skin::Project gives without a guess. From several threads at once.
  [[nodiscard]] std::optional<SkinHit> Project(const Vec3& p_world) const;

 private:
  struct Guess {
    SkinPlace place;
    Vec3 position = Vec3::Zero();
  };
  const Skin* skin_;
  std::vector<Guess> guesses_;
};

}  // namespace holeward
