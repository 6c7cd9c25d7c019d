// What surrounds the holes of a scene: every body as obstacles, with how far each may be off.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "geometry/marking.h"
#include "geometry/obstacle.h"
#include "geometry/part.h"
#include "geometry/result.h"

namespace holeward {

/// The obstacles of a scene, made once and chosen from for each hole.
class Surroundings {
 public:
  /// Errors (computed): a part without a solid, or whose faces the kernel could not give.
  [[nodiscard]] static Result<Surroundings> Make(const Scene& scene, const Marking& marking);

  /// What a drill in `part` could meet: its walls, its inner bodies, then everything else. Blocks
  /// of unstated height stand tall.
  [[nodiscard]] std::vector<Obstacle> ForDrill(const std::string& part) const;

  /// What is beside a tool outside `part`: fittings, other parts, neighbours, and the part's own
  /// outside if `own_skin`. Blocks of unstated height are left out.
  [[nodiscard]] std::vector<Obstacle> Outside(const std::string& part, bool own_skin) const;

  /// Blocks of unstated height, standing tall.
  [[nodiscard]] const std::vector<Obstacle>& Tall() const { return tall_; }
  /// True for a body (neighbour, fitting, other part) that is only assumed.
  [[nodiscard]] bool IsAssumed(const std::string& body) const;
  /// True for the name of a block of unstated height.
  [[nodiscard]] bool IsTall(const std::string& body) const;
  /// Diagonal of the box round everything, mm.
  [[nodiscard]] double diagonal() const { return diagonal_; }

 private:
  struct OfPart {
    std::vector<Obstacle> walls;     ///< with their errors
    std::vector<Obstacle> inner;     ///< likewise
    std::vector<Obstacle> fittings;  ///< of stated height
    Obstacle outside;                ///< skin, ends and lips, by the part's name
    Obstacle whole;                  ///< all faces, by the part's name
  };

  std::map<std::string, OfPart> parts_;
  std::vector<Obstacle> neighbours_;
  std::vector<Obstacle> tall_;
  std::vector<std::string> assumed_;
  double diagonal_ = 0.0;
};

}  // namespace holeward
