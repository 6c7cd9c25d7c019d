#include "geometry/piece.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <utility>

namespace holeward {
namespace {

/// Most surfaces have weights of 1 only: no division then.
Vec3 Place(const Eigen::Vector4d& pole) {
  return pole.w() == 1.0 ? Vec3(pole.head<3>()) : Vec3(pole.head<3>() / pole.w());
}

/// Length of the control net along one way: the longest of its rows.
double NetLength(const Piece& piece, bool along_u) {
  const int nu = piece.degree_u + 1;
  const int nv = piece.degree_v + 1;
  const int rows = along_u ? nv : nu;
  const int steps = along_u ? piece.degree_u : piece.degree_v;
  double longest = 0.0;
  for (int row = 0; row < rows; ++row) {
    const int first = along_u ? row : row * nv;
    const int stride = along_u ? nv : 1;
    double length = 0.0;
    Vec3 from = Place(piece.poles[first]);
    for (int k = 1; k <= steps; ++k) {
      const Vec3 to = Place(piece.poles[first + k * stride]);
      length += (to - from).norm();
      from = to;
    }
    longest = std::max(longest, length);
  }
  return longest;
}

/// Halves one row of `n` poles, `stride` apart, in place: `first` keeps the lower half.
void HalveRow(Eigen::Vector4d* first, Eigen::Vector4d* second, int n, int stride) {
  for (int level = 0; level < n; ++level) {
    second[(n - 1 - level) * stride] = first[(n - 1) * stride];
    for (int k = n - 1; k > level; --k) {
      first[k * stride] = 0.5 * (first[k * stride] + first[(k - 1) * stride]);
    }
  }
}

Vec3 CornerNormal(const Piece& piece, int corner) {
  const int nv = piece.degree_v + 1;
  const int i = (corner & 1) != 0 ? piece.degree_u : 0;
  const int j = (corner & 2) != 0 ? piece.degree_v : 0;
  const int i2 = i == 0 ? 1 : i - 1;
  const int j2 = j == 0 ? 1 : j - 1;
  const Vec3 p = Place(piece.poles[i * nv + j]);
  const Vec3 du = (Place(piece.poles[i2 * nv + j]) - p) * (i == 0 ? 1.0 : -1.0);
  const Vec3 dv = (Place(piece.poles[i * nv + j2]) - p) * (j == 0 ? 1.0 : -1.0);
  const Vec3 n = du.cross(dv);
  const double length = n.norm();
  return length > 1e-12 ? Vec3(n / length) : Vec3::Zero();
}

}  // namespace

AxisFrame AxisFrame::At(const Vec3& origin_world, const Vec3& direction) {
  AxisFrame frame;
  frame.origin = origin_world;
  const Vec3 z = direction.normalized();
  const Vec3 helper = std::abs(z.x()) < 0.6 ? Vec3::UnitX() : Vec3::UnitY();
  const Vec3 x = (helper - z * helper.dot(z)).normalized();
  frame.rotation.row(0) = x.transpose();
  frame.rotation.row(1) = z.cross(x).transpose();
  frame.rotation.row(2) = z.transpose();
  return frame;
}

Piece PieceOf(const BezierPatch& patch, const AxisFrame& frame, int obstacle, double grown) {
  return Seen({patch.degree_u, patch.degree_v, patch.poles, obstacle, grown}, frame);
}

Piece Seen(Piece piece, const AxisFrame& frame) {
  for (Eigen::Vector4d& pole : piece.poles) {
    pole.head<3>() = frame.rotation * (pole.head<3>() - pole.w() * frame.origin);
  }
  return piece;
}

Extent ExtentOf(const Piece& piece) {
  Extent extent;
  Vec3 low = Vec3::Constant(std::numeric_limits<double>::infinity());
  Vec3 high = -low;
  Vec3 sum = Vec3::Zero();
  double r_squared = 0.0;
  for (const Eigen::Vector4d& pole : piece.poles) {
    const Vec3 p = Place(pole);
    low = low.cwiseMin(p);
    high = high.cwiseMax(p);
    sum += p;
    r_squared = std::max(r_squared, p.head<2>().squaredNorm());
  }
  extent.r_greatest = std::sqrt(r_squared);
  extent.middle = sum / static_cast<double>(piece.poles.size());
  extent.z_least = low.z();
  extent.z_greatest = high.z();
  extent.size = (high - low).norm();
  const double lateral = extent.middle.head<2>().norm();
  if (lateral < 1e-12) return extent;
  extent.outward = extent.middle.head<2>() / lateral;
  double least = std::numeric_limits<double>::infinity();
  for (const Eigen::Vector4d& pole : piece.poles) {
    const double along = pole.head<2>().dot(extent.outward);
    least = std::min(least, pole.w() == 1.0 ? along : along / pole.w());
  }
  extent.r_least = std::max(least, 0.0);
  return extent;
}

void Halve(const Piece& piece, Piece& first, Piece& second) {
  const int nu = piece.degree_u + 1;
  const int nv = piece.degree_v + 1;
  first = piece;
  second = piece;
  const bool along_u = piece.degree_v == 0 ||
                       (piece.degree_u > 0 && NetLength(piece, true) >= NetLength(piece, false));
  if (along_u) {
    for (int j = 0; j < nv; ++j) HalveRow(&first.poles[j], &second.poles[j], nu, nv);
    return;
  }
  for (int i = 0; i < nu; ++i) HalveRow(&first.poles[i * nv], &second.poles[i * nv], nv, 1);
}

Vec3 CornerOf(const Piece& piece, int corner) {
  const int nv = piece.degree_v + 1;
  const int i = (corner & 1) != 0 ? piece.degree_u : 0;
  const int j = (corner & 2) != 0 ? piece.degree_v : 0;
  return Place(piece.poles[i * nv + j]);
}

double FacingOf(const Piece& piece) {
  if (piece.degree_u == 0 || piece.degree_v == 0) return 0.0;
  std::array<Vec3, 4> normals;
  double least = 1.0;
  for (int corner = 0; corner < 4; ++corner) {
    normals[static_cast<std::size_t>(corner)] = CornerNormal(piece, corner);
    least = std::min(least, std::abs(normals[static_cast<std::size_t>(corner)].z()));
  }
  double spread = 0.0;
  for (int corner = 1; corner < 4; ++corner) {
    const double same = std::min((normals[static_cast<std::size_t>(corner)] - normals[0]).norm(),
                                 (normals[static_cast<std::size_t>(corner)] + normals[0]).norm());
    spread = std::max(spread, same);
  }
  return std::max(0.0, least - 0.5 * spread);
}

bool IsSound(const BezierPatch& patch) {
  const auto count = static_cast<std::size_t>((patch.degree_u + 1) * (patch.degree_v + 1));
  if (patch.poles.size() != count || patch.degree_u < 0 || patch.degree_v < 0) return false;
  if (!std::isfinite(patch.grown) || patch.grown < 0.0) return false;
  return std::all_of(patch.poles.begin(), patch.poles.end(), [](const Eigen::Vector4d& pole) {
    return pole.allFinite() && pole.w() > 0.0;
  });
}

}  // namespace holeward
