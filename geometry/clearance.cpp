#include "geometry/clearance.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "geometry/bound_search.h"

namespace holeward {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();
// A rounded corner whose radius is off as well as its flats moves by up to (2√2 - 1) of the error.
constexpr double kCornerFactor = 1.8285;

/// True when a patch's normal turns by more than some 10 degrees: a rounded corner.
bool Turns(const Piece& piece) {
  if (piece.degree_u == 0 || piece.degree_v == 0) return false;
  const int nv = piece.degree_v + 1;
  const auto place = [&](int i, int j) {
    const Eigen::Vector4d& pole = piece.poles[static_cast<std::size_t>(i * nv + j)];
    return Vec3(pole.head<3>() / pole.w());
  };
  const auto normal = [&](int i, int j, int i2, int j2) {
    return (place(i2, j) - place(i, j)).cross(place(i, j2) - place(i, j)).normalized();
  };
  const int m = piece.degree_u;
  const int n = piece.degree_v;
  const Vec3 first = normal(0, 0, 1, 1);
  const Vec3 last = normal(m, n, m - 1, n - 1);
  const Vec3 side = -normal(m, 0, m - 1, 1);
  return !(first.dot(last) > 0.985 && first.dot(side) > 0.985);
}

double GrownBy(const Obstacle& obstacle, const Piece& piece) {
  if (obstacle.kind != ObstacleKind::wall || obstacle.round || obstacle.outline_error <= 0.0) {
    return obstacle.shift;
  }
  const double more = Turns(piece) ? (kCornerFactor - 1.0) * obstacle.outline_error : 0.0;
  return obstacle.shift + more;
}

/// Least depth at which any place of the piece behind height `from` may be touched.
double LeastDepth(const Piece& piece, const Extent& extent, const Drill& drill, double from) {
  if (extent.z_greatest < from || extent.r_least > drill.radius()) return kNever;
  const double apart =
      std::max(extent.z_least, from) + drill.Behind(std::max(0.0, extent.r_least - 1e-9));
  if (!drill.is_cone()) return apart;
  // s + r cot k is convex: it lies above its tangent plane at the middle.
  double together = kNever;
  for (const Eigen::Vector4d& pole : piece.poles) {
    const double along = pole.z() + drill.cot() * pole.head<2>().dot(extent.outward);
    together = std::min(together, along / pole.w());
  }
  return std::max(apart, together);
}

double DepthAt(const Vec3& place, const Drill& drill, double from) {
  const double r = place.head<2>().norm();
  if (place.z() < from || r > drill.radius()) return kNever;
  return place.z() + drill.Behind(r);
}

/// Greatest depth needed to clear the near wall's pieces.
Minimum Breakthrough(const std::vector<Piece>& walls, const Drill& drill, double parting) {
  const double a = drill.radius();
  const auto lower = [&](const Piece& piece, const Extent& extent) {
    if (extent.r_least > a || extent.z_least > parting) return kNever;
    double most =
        std::min(extent.z_greatest, parting) + drill.BehindLate(std::min(extent.r_greatest, a));
    if (drill.is_cone() && extent.z_greatest <= parting) {
      // Convex, so greatest at a control point.
      double corner = -kNever;
      for (const Eigen::Vector4d& pole : piece.poles) {
        corner = std::max(corner, (pole.z() + drill.cot() * pole.head<2>().norm()) / pole.w());
      }
      most = std::min(most, corner);
    }
    return -most;
  };
  const auto upper = [&](const Vec3& place, const Piece&) {
    const double r = place.head<2>().norm();
    if (r > a || place.z() > parting) return kNever;
    return -(place.z() + drill.BehindLate(r));
  };
  return MinimumOver(walls, lower, upper);
}

/// First touch of one group of pieces behind height `from`, before the horizon.
Minimum FirstTouch(const std::vector<Piece>& pieces, const Drill& drill, double from,
                   double horizon) {
  const auto lower = [&](const Piece& piece, const Extent& extent) {
    const double least = LeastDepth(piece, extent, drill, from);
    return least > horizon ? kNever : least;
  };
  const auto upper = [&](const Vec3& place, const Piece&) {
    const double depth = DepthAt(place, drill, from);
    return depth > horizon ? kNever : depth;
  };
  return MinimumOver(pieces, lower, upper);
}

Clearance Failed(std::string why) {
  Clearance clearance;
  clearance.failure = std::move(why);
  return clearance;
}

bool IsFinite(const Pose& pose) {
  return pose.entry.allFinite() && pose.direction.allFinite() &&
         std::abs(pose.direction.norm() - 1.0) < 1e-6;
}

std::vector<Piece> OfKind(const std::vector<Piece>& pieces, const std::vector<Obstacle>& obstacles,
                          ObstacleKind kind) {
  std::vector<Piece> chosen;
  for (const Piece& piece : pieces) {
    if (obstacles[static_cast<std::size_t>(piece.obstacle)].kind == kind) chosen.push_back(piece);
  }
  return chosen;
}

}  // namespace

std::vector<Piece> PiecesWithin(const std::vector<Obstacle>& obstacles, const AxisFrame& frame,
                                const Reach& reach, double horizon, bool with_errors) {
  std::vector<Piece> pieces;
  for (std::size_t i = 0; i < obstacles.size(); ++i) {
    for (const BezierPatch& patch : obstacles[i].patches) {
      Piece piece = PieceOf(patch, frame, static_cast<int>(i), 0.0);
      if (with_errors) piece.grown = patch.grown + GrownBy(obstacles[i], piece);
      const Extent extent = ExtentOf(piece);
      const double high =
          std::max(std::abs(extent.z_greatest), std::abs(extent.z_least)) + piece.grown;
      if (extent.z_least - piece.grown > horizon) continue;
      if (extent.r_least - piece.grown > reach.At(std::min(high, horizon))) continue;
      pieces.push_back(std::move(piece));
    }
  }
  return pieces;
}

Clearance ClearanceOf(const std::vector<Obstacle>& obstacles, const Pose& pose, const Drill& drill,
                      double side, double horizon) {
  if (!IsFinite(pose) || !AllSound(obstacles) || !std::isfinite(side) || !std::isfinite(horizon)) {
    return Failed("the hole's place, direction or surroundings are not finite numbers");
  }
  const AxisFrame frame = AxisFrame::At(pose.entry, pose.direction);
  const Reach reach{0.0, 0.0, 0.0, drill.radius()};
  const Reach wide{0.0, 0.0, 0.0, drill.radius() + side};
  const std::vector<Piece> pieces = PiecesWithin(obstacles, frame, wide, horizon, false);
  const std::vector<Piece> walls = OfKind(pieces, obstacles, ObstacleKind::wall);
  const NearWall wall = SeparateNearWall(walls, obstacles, reach);
  if (!wall.ok()) return Failed(wall.failure);
  Clearance clearance;
  clearance.near_wall = wall.length;
  const Minimum through = Breakthrough(walls, drill, wall.Parting());
  if (!through.settled || !std::isfinite(through.lower))
    return Failed("the break-through depth did not settle");
  clearance.breakthrough = -through.lower;

  bool settled = true;
  const auto meet = [&](const Minimum& touch, const char* name) {
    settled = settled && touch.settled;
    if (!std::isfinite(touch.upper)) return false;
    if (clearance.contact && clearance.contact->depth <= touch.upper) return true;
    const std::string& body = obstacles[static_cast<std::size_t>(touch.obstacle)].body;
    clearance.contact =
        Contact{touch.upper, name != nullptr ? name : body, frame.ToWorld(touch.at)};
    return true;
  };
  meet(FirstTouch(walls, drill, wall.Parting(), horizon), "far wall");
  meet(FirstTouch(OfKind(pieces, obstacles, ObstacleKind::other), drill, 0.0, horizon), nullptr);
  const Drill widened = drill.Widened(side);
  for (std::size_t i = 0; i < obstacles.size(); ++i) {
    if (obstacles[i].kind != ObstacleKind::inner) continue;
    std::vector<Piece> body;
    std::copy_if(pieces.begin(), pieces.end(), std::back_inserter(body),
                 [&](const Piece& piece) { return piece.obstacle == static_cast<int>(i); });
    if (!meet(FirstTouch(body, drill, 0.0, horizon), nullptr)) {
      meet(FirstTouch(body, widened, 0.0, horizon), nullptr);
    }
  }
  if (!settled) return Failed("the free depth did not settle");
  return clearance;
}

}  // namespace holeward
