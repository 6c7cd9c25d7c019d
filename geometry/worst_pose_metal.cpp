// Pieces of metal and drills in the form that the search for the worst pose asks for.
#include <algorithm>
#include <array>
#include <cmath>
#include <tuple>
#include <utility>

#include <Eigen/LU>

#include "geometry/worst_pose_bounds.h"

namespace holeward {
namespace {

Vec3 NormalAt(const Piece& piece, const std::vector<Vec3>& poles, int corner) {
  if (piece.degree_u == 0 || piece.degree_v == 0) return Vec3::Zero();
  const int nv = piece.degree_v + 1;
  const int i = (corner & 1) != 0 ? piece.degree_u : 0;
  const int j = (corner & 2) != 0 ? piece.degree_v : 0;
  const auto pole = [&](int k, int l) { return poles[static_cast<std::size_t>(k * nv + l)]; };
  const Vec3 du = (pole(i == 0 ? 1 : i - 1, j) - pole(i, j)) * (i == 0 ? 1.0 : -1.0);
  const Vec3 dv = (pole(i, j == 0 ? 1 : j - 1) - pole(i, j)) * (j == 0 ? 1.0 : -1.0);
  const Vec3 n = du.cross(dv);
  const double length = n.norm();
  return length > 1e-12 ? Vec3(n / length) : Vec3::Zero();
}

constexpr std::size_t kMostPoles = 26;  // of a row: the kernel's surfaces have degree 25 at most

/// Poles of a row, without memory to ask for: this is the innermost work of the search.
using PoleRow = std::array<Eigen::Vector4d, kMostPoles>;

/// Value and derivative of a Bezier row of `count` poles (two at least) at t, homogeneous; the row
/// is used up.
std::pair<Eigen::Vector4d, Eigen::Vector4d> RowAt(PoleRow& row, std::size_t count, double t) {
  const auto degree = static_cast<double>(count - 1);
  for (; count > 2; --count) {
    for (std::size_t i = 0; i + 1 < count; ++i) row[i] = (1 - t) * row[i] + t * row[i + 1];
  }
  return {(1 - t) * row[0] + t * row[1], degree * (row[1] - row[0])};
}

struct PieceAt {
  Vec3 place = Vec3::Zero();
  Vec3 du = Vec3::Zero();
  Vec3 dv = Vec3::Zero();
};

PieceAt At(const Piece& piece, double u, double v) {
  const auto nv = static_cast<std::size_t>(piece.degree_v + 1);
  const auto nu = static_cast<std::size_t>(piece.degree_u + 1);
  PoleRow row;
  PoleRow across;
  PoleRow slopes;
  for (std::size_t i = 0; i < nu; ++i) {
    std::copy_n(piece.poles.begin() + static_cast<std::ptrdiff_t>(i * nv), nv, row.begin());
    std::tie(across[i], slopes[i]) = RowAt(row, nv, v);
  }
  const auto [value, by_u] = RowAt(across, nu, u);
  const Eigen::Vector4d by_v = RowAt(slopes, nu, u).first;
  PieceAt at;
  at.place = value.head<3>() / value.w();
  at.du = (by_u.head<3>() - at.place * by_u.w()) / value.w();
  at.dv = (by_v.head<3>() - at.place * by_v.w()) / value.w();
  return at;
}

}  // namespace

std::optional<SurfaceHit> MeetLine(const Piece& piece, const Vec3& origin, const Vec3& direction) {
  if (piece.degree_u == 0 || piece.degree_v == 0) return std::nullopt;
  constexpr int kMost = static_cast<int>(kMostPoles) - 1;
  if (piece.degree_u > kMost || piece.degree_v > kMost) return std::nullopt;
  double u = 0.5;
  double v = 0.5;
  for (int k = 0; k < 12; ++k) {
    const PieceAt at = At(piece, u, v);
    const Vec3 from = at.place - origin;
    const Vec3 off = from - direction * from.dot(direction);
    if (off.norm() < 1e-9) {
      const Vec3 normal = at.du.cross(at.dv);
      if (normal.norm() < 1e-12) return std::nullopt;
      return SurfaceHit{at.place, normal.normalized()};
    }
    Eigen::Matrix3d slopes;
    slopes << at.du, at.dv, direction;
    const Vec3 step = slopes.partialPivLu().solve(-from);
    if (!step.allFinite()) return std::nullopt;
    u = std::clamp(u + step.x(), 0.0, 1.0);
    v = std::clamp(v + step.y(), 0.0, 1.0);
  }
  return std::nullopt;
}

double LeastFacing(const PlaceCell& cell, const MetalPiece& piece) {
  double facing = 1.0;
  double spread = 0.0;
  for (const Vec3& normal : piece.normal) {
    for (const Stance& stance : cell.corner) {
      facing = std::min(facing, std::abs(normal.dot(stance.axis)));
    }
    spread = std::max(spread, (normal - piece.normal[0]).norm());
  }
  return std::max(0.0, facing - 0.5 * spread - cell.axis_sag);
}

std::vector<DrillPart> PartsOf(const Drill& drill) {
  std::vector<DrillPart> parts;
  double behind = 0.0;
  for (const Drill::Rise& rise : drill.rises()) {
    const double from = std::max(behind, rise.behind);
    const double to = std::max(behind, rise.behind + (rise.to - rise.from) * rise.cot);
    parts.push_back({{DrillDisc{rise.from, from}, DrillDisc{rise.to, std::max(from, to)}}});
    behind = to;
  }
  return parts;
}

MetalPiece MetalOf(Piece piece, int group) {
  MetalPiece metal;
  metal.group = group;
  metal.grown = piece.grown;
  const Extent extent = ExtentOf(piece);
  metal.size = extent.size;
  metal.lowest = extent.z_least;
  metal.middle = extent.middle;
  for (const Eigen::Vector4d& pole : piece.poles) {
    metal.poles.push_back(pole.head<3>() / pole.w());
    metal.radius = std::max(metal.radius, (metal.poles.back() - metal.middle).norm());
  }
  for (int c = 0; c < 4; ++c) {
    const auto i = static_cast<std::size_t>(c);
    metal.corner[i] = CornerOf(piece, c);
    metal.normal[i] = NormalAt(piece, metal.poles, c);
    const double same = metal.normal[i].dot(metal.middle_normal) < 0.0 ? -1.0 : 1.0;
    metal.middle_normal += same * metal.normal[i];
  }
  const double length = metal.middle_normal.norm();
  metal.middle_normal = length > 1.0 ? Vec3(metal.middle_normal / length) : Vec3::Zero();
  metal.piece = std::move(piece);
  return metal;
}

}  // namespace holeward
