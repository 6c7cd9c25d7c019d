#include "geometry/obstacle.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "geometry/arc_patches.h"
#include "geometry/datum.h"
#include "geometry/piece.h"

namespace holeward {
namespace {

const double kRootHalf = std::sqrt(0.5);

/// The quarter circle from centre + a to centre + b.
ArcPoles QuarterArc(const Vec3& centre, const Vec3& a, const Vec3& b) {
  return Arc(centre, a, b, kRootHalf);
}

void Append(std::vector<BezierPatch>& to, std::vector<BezierPatch> more) {
  to.insert(to.end(), std::make_move_iterator(more.begin()), std::make_move_iterator(more.end()));
}

std::vector<BezierPatch> RodPatches(const std::vector<Vec3>& path, double radius) {
  std::vector<BezierPatch> patches;
  for (std::size_t i = 0; i + 1 < path.size(); ++i) {
    if ((path[i + 1] - path[i]).norm() < 1e-9) continue;
    Append(patches, CylinderPatches(path[i], path[i + 1], radius));
    if (i > 0) Append(patches, SpherePatches(path[i], radius));
  }
  return patches;
}

/// How far the outside of a mitred bend stands out of the sphere at its joint.
double MitreExcess(const std::vector<Vec3>& path, double radius) {
  double excess = 0.0;
  for (std::size_t i = 1; i + 1 < path.size(); ++i) {
    const Vec3 before = (path[i] - path[i - 1]).normalized();
    const Vec3 after = (path[i + 1] - path[i]).normalized();
    const double cos_half = std::sqrt(std::max(0.0, 0.5 * (1.0 + before.dot(after))));
    excess = std::max(excess, radius * (1.0 / std::max(cos_half, 0.1) - 1.0));
  }
  return excess;
}

/// The chords of a raised footprint, and their sag.
class RaisedBlock {
 public:
  RaisedBlock(const Fitting& fitting, const Skin& skin, double height)
      : skin_(skin), height_(height), middle_v_(fitting.centre.v) {
    const Footprint& print = fitting.footprint;
    const double half = print.disc ? print.radius : 0.5 * print.around;
    const double per_u = skin.At(fitting.centre).du.norm();
    u_from_ = print.disc ? fitting.centre.u - print.radius / per_u : print.u_from;
    u_to_ = print.disc ? fitting.centre.u + print.radius / per_u : print.u_to;
    half_ = half;
  }

  std::vector<BezierPatch> Patches() const {
    std::vector<BezierPatch> patches;
    for (int i = 0; i < kCells; ++i) {
      for (int j = 0; j < kCells; ++j) {
        patches.push_back(Top(i, j));
      }
      patches.push_back(Side(i, 0, i + 1, 0));
      patches.push_back(Side(i, kCells, i + 1, kCells));
      patches.push_back(Side(0, i, 0, i + 1));
      patches.push_back(Side(kCells, i, kCells, i + 1));
    }
    return patches;
  }

 private:
  static constexpr int kCells = 10;

  Vec3 At(double i, double j, double height) const {
    const double u = u_from_ + (u_to_ - u_from_) * i / kCells;
    // From the block's own middle line: where a part tapers, a girth from the origin runs askew.
    const double v = WalkAround(skin_, u, middle_v_, half_ * (2.0 * j / kCells - 1.0));
    const SkinPoint point = skin_.At(u, v);
    return point.position + height * point.normal;
  }
  BezierPatch Top(int i, int j) const {
    const Vec3 a = At(i, j, height_), b = At(i + 1, j, height_);
    const Vec3 c = At(i, j + 1, height_), d = At(i + 1, j + 1, height_);
    const double sag = (At(i + 0.5, j + 0.5, height_) - 0.25 * (a + b + c + d)).norm();
    return BilinearPatch(a, b, c, d, 2.0 * sag);
  }
  BezierPatch Side(int i, int j, int i2, int j2) const {
    const Vec3 a = At(i, j, 0.0), b = At(i2, j2, 0.0);
    const Vec3 c = At(i, j, height_), d = At(i2, j2, height_);
    const double i_mid = 0.5 * (i + i2);
    const double j_mid = 0.5 * (j + j2);
    const double sag = std::max((At(i_mid, j_mid, 0.0) - 0.5 * (a + b)).norm(),
                                (At(i_mid, j_mid, height_) - 0.5 * (c + d)).norm());
    return BilinearPatch(a, b, c, d, 2.0 * sag);
  }

  const Skin& skin_;
  double height_;
  double middle_v_;
  double u_from_ = 0.0;
  double u_to_ = 0.0;
  double half_ = 0.0;
};

}  // namespace

std::vector<BezierPatch> CylinderPatches(const Vec3& from, const Vec3& to, double radius) {
  const AxisFrame frame = AxisFrame::At(from, to - from);
  const Vec3 x = radius * frame.rotation.row(0).transpose();
  const Vec3 y = radius * frame.rotation.row(1).transpose();
  const std::array<Vec3, 5> round{x, y, -x, -y, x};
  const ArcPoles at_from = QuarterArc(from, Vec3::Zero(), Vec3::Zero());
  const ArcPoles at_to = QuarterArc(to, Vec3::Zero(), Vec3::Zero());
  std::vector<BezierPatch> patches;
  for (std::size_t k = 0; k < 4; ++k) {
    const auto first = QuarterArc(from, round[k], round[k + 1]);
    const auto second = QuarterArc(to, round[k], round[k + 1]);
    patches.push_back(Ruled(first, second));
    patches.push_back(Ruled(first, at_from));
    patches.push_back(Ruled(second, at_to));
  }
  return patches;
}

std::vector<BezierPatch> SpherePatches(const Vec3& centre, double radius) {
  std::vector<BezierPatch> patches;
  const std::array<Vec3, 5> round{Vec3::UnitX(), Vec3::UnitY(), -Vec3::UnitX(), -Vec3::UnitY(),
                                  Vec3::UnitX()};
  for (std::size_t k = 0; k < 4; ++k) {
    for (const double up : {1.0, -1.0}) {
      // A quarter arc turned about z: each latitude's pole swept through a quarter turn.
      const std::array<std::array<double, 2>, 3> latitude{{{1.0, 0.0}, {1.0, 1.0}, {0.0, 1.0}}};
      BezierPatch patch;
      patch.degree_u = 2;
      patch.degree_v = 2;
      for (std::size_t i = 0; i < 3; ++i) {
        const Vec3 axis = centre + Vec3(0.0, 0.0, up * radius * latitude[i][1]);
        const double out = radius * latitude[i][0];
        const auto arc = QuarterArc(axis, out * round[k], out * round[k + 1]);
        const double weight = i == 1 ? kRootHalf : 1.0;
        for (const Eigen::Vector4d& pole : arc) patch.poles.push_back(weight * pole);
      }
      patches.push_back(patch);
    }
  }
  return patches;
}

BezierPatch LinePatch(const Vec3& from, const Vec3& to, double grown) {
  return {1, 0, {Pole(from, 1.0), Pole(to, 1.0)}, grown};
}

BezierPatch BilinearPatch(const Vec3& p00, const Vec3& p10, const Vec3& p01, const Vec3& p11,
                          double grown) {
  return {1, 1, {Pole(p00, 1.0), Pole(p01, 1.0), Pole(p10, 1.0), Pole(p11, 1.0)}, grown};
}

Obstacle ObstacleOf(const InnerBody& body) {
  Obstacle obstacle{body.name, ObstacleKind::inner, FaceRole::inner,
                    RodPatches(body.path, body.radius)};
  obstacle.own_error = body.path_error + MitreExcess(body.path, body.radius);
  obstacle.shift = obstacle.own_error;
  return obstacle;
}

Obstacle ObstacleOf(const Neighbour& neighbour) {
  return {neighbour.name, ObstacleKind::other, FaceRole::outer,
          RodPatches(neighbour.path, neighbour.radius)};
}

Obstacle ObstacleOf(const Fitting& fitting, const Skin& skin, double height) {
  Obstacle obstacle{fitting.name, ObstacleKind::other, FaceRole::fitting, {}};
  switch (fitting.shape) {
    case FittingShape::eye:
    case FittingShape::stud:
      obstacle.patches =
          CylinderPatches(fitting.cylinder_from, fitting.cylinder_to, 0.5 * fitting.diameter);
      break;
    case FittingShape::block:
      obstacle.patches = RaisedBlock(fitting, skin, height).Patches();
      break;
    case FittingShape::hole: break;
  }
  return obstacle;
}

bool AllSound(const std::vector<Obstacle>& obstacles) {
  return std::all_of(obstacles.begin(), obstacles.end(), [](const Obstacle& obstacle) {
    return std::isfinite(obstacle.shift) && obstacle.shift >= 0.0 &&
           std::all_of(obstacle.patches.begin(), obstacle.patches.end(), IsSound);
  });
}

double DiagonalOf(const std::vector<Obstacle>& obstacles) {
  Vec3 low = Vec3::Constant(std::numeric_limits<double>::infinity());
  Vec3 high = -low;
  for (const Obstacle& obstacle : obstacles) {
    for (const BezierPatch& patch : obstacle.patches) {
      for (const Eigen::Vector4d& pole : patch.poles) {
        const Vec3 place = pole.head<3>() / pole.w();
        low = low.cwiseMin(place);
        high = high.cwiseMax(place);
      }
    }
  }
  return high.x() >= low.x() ? (high - low).norm() : 0.0;
}

}  // namespace holeward
