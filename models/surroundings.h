// What surrounds the holes of a scene: every body as obstacles, with how far each may be off.
#pragma once

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "geometry/marking.h"
#include "geometry/nearby.h"
#include "geometry/obstacle.h"
#include "geometry/part.h"
#include "geometry/result.h"

namespace holeward {

/// Obstacles chosen from all there are.
struct NearObstacles {
  std::vector<Obstacle> obstacles;
  std::size_t looked_at = 0;  ///< boxes looked at to find them: the work it took
};

/// Takes the errors of one marking off what a drill could meet and puts those of another there.
/// @param obstacles as ForDrill gave them, made with `from`
void ChangeErrors(const Marking& from, const Marking& to, std::vector<Obstacle>& obstacles);

/// The obstacles of a scene, made once and chosen from for each hole.
class Surroundings {
 public:
  /// Errors (computed): a part without a solid, or whose faces the kernel could not give.
  [[nodiscard]] static Result<Surroundings> Make(const Scene& scene, const Marking& marking);

  /// What a drill in `part` could meet: its walls, its inner bodies, then everything else that is
  /// within reach. Blocks of unstated height stand tall. All of it without a `reach`.
  [[nodiscard]] NearObstacles ForDrill(const std::string& part,
                                       const std::optional<PosesReach>& reach = {}) const;

  /// What may be nearest to a tool outside `part`: fittings, other parts, neighbours, and the
  /// part's own outside if `own_skin`. Blocks of unstated height are left out.
  [[nodiscard]] NearObstacles Outside(const std::string& part, bool own_skin,
                                      const ToolRoom& tool) const;

  /// Of the blocks of unstated height, standing tall, those that may be nearest to a tool.
  [[nodiscard]] NearObstacles Tall(const ToolRoom& tool) const;
  /// True for a body (neighbour, fitting, other part) that is only assumed.
  [[nodiscard]] bool IsAssumed(const std::string& body) const;
  /// True for the name of a block of unstated height.
  [[nodiscard]] bool IsTall(const std::string& body) const;
  /// Diagonal of the box round everything, mm.
  [[nodiscard]] double diagonal() const { return diagonal_; }

 private:
  /// To whom an obstacle outside is one.
  enum class Heeded { by_all, by_own, by_others };
  struct OfPart {
    std::vector<Obstacle> walls;  ///< with their errors
    std::vector<Obstacle> inner;  ///< likewise
    int number = 0;
  };
  struct Beside {
    Heeded heeded = Heeded::by_all;
    int part = -1;
  };

  [[nodiscard]] ObstacleField::Counts CountsFor(const std::string& part, bool own_skin) const;

  std::map<std::string, OfPart> parts_;
  ObstacleField outside_;       ///< neighbours, then part by part
  std::vector<Beside> beside_;  ///< of each obstacle outside
  ObstacleField tall_;
  std::vector<std::string> assumed_;
  double diagonal_ = 0.0;
};

}  // namespace holeward
