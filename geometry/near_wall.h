// Telling the near wall from the far wall, with proof.
//
// Seen along the drill's axis (z), everything the drill can reach lies in a cone round it. If a
// slab z in (gap_from, gap_to) of that cone holds no surface of the part, and the axis leaves metal
// into it, the slab is air right across (it is connected and no surface divides it). All metal
// before it is near wall, all behind it far wall, whatever pose within the cone the drill takes.
//
//      entry        exit   gap_from          gap_to      far wall
//   -----|####near####|------|     air     |------|########|----> z
//
#pragma once

#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include "geometry/obstacle.h"
#include "geometry/piece.h"

namespace holeward {

/// All places a drill of radius `radius` can occupy: its axis starts within `place` (across) and
/// `rise` (along) of the frame's origin and leans up to `tilt` off the frame's z.
struct Reach {
  double place = 0.0;   ///< mm
  double rise = 0.0;    ///< mm
  double tilt = 0.0;    ///< radians, below 60 degrees
  double radius = 0.0;  ///< mm

  /// Greatest distance from the frame's axis at height z.
  [[nodiscard]] double At(double z) const;
  /// Greatest height of a drill whose tip is `depth` (mm) deep: the rim of one that leans is ahead
  /// of its tip by the sine of the lean at most.
  [[nodiscard]] double Ahead(double depth) const;
};

/// Reach::At of one reach, to be asked often.
class ReachAt {
 public:
  explicit ReachAt(const Reach& reach)
      : place_(reach.place),
        rise_(reach.rise),
        slope_(std::tan(reach.tilt)),
        across_(reach.radius / std::cos(reach.tilt)) {}

  [[nodiscard]] double operator()(double z) const {
    return place_ + (std::abs(z) + rise_) * slope_ + across_ + kSpare;
  }

 private:
  static constexpr double kSpare = 1e-6;  // for rounding, mm
  double place_, rise_, slope_, across_;
};

struct NearWall {
  std::string failure;  ///< empty: separated
  double length = 0.0;  ///< of the near wall on the axis, from the skin
  double gap_from = 0.0;
  double gap_to = std::numeric_limits<double>::infinity();

  [[nodiscard]] bool ok() const { return failure.empty(); }
  /// A height in the gap: metal below it is near wall, above it far wall.
  [[nodiscard]] double Parting() const {
    return gap_to < gap_from + 2.0 ? 0.5 * (gap_from + gap_to) : gap_from + 1.0;
  }
};

/// Finds the gap behind the near wall.
/// @param walls the part's own surfaces (ObstacleKind::wall) in the axis frame, each grown by what
/// it
///        may be off
/// @return the gap, or why the near wall cannot be told from the far wall: the axis meets no metal,
///         the hole runs off an end, into a side wall or corner, or along a surface
[[nodiscard]] NearWall SeparateNearWall(const std::vector<Piece>& walls,
                                        const std::vector<Obstacle>& obstacles, const Reach& reach);

/// The walls within reach, parted: no piece of either list straddles the gap.
struct PartedWalls {
  NearWall wall;
  std::vector<Piece> near;  ///< at most 4 mm across
  std::vector<Piece> far;   ///< at most 12 mm across
};

/// Finds the gap and parts the walls by it. What no pose can reach is left out.
[[nodiscard]] PartedWalls PartWalls(const std::vector<Piece>& walls,
                                    const std::vector<Obstacle>& obstacles, const Reach& reach);

}  // namespace holeward
