// A patch of surface and its development: flat coordinates on a grid of polynomial cells.
//
//   v_breaks   +-----+--+-----+     one cell between two breaks each way; within a cell the flat
//              |     |  |     |     coordinates are polynomials on Gauss-Lobatto nodes, joined
//              +-----+--+-----+     without a gap. Breaks lie where the surface's law changes
//              |     |  |     |     (tangent lines, spans), so that inside a cell it is smooth.
//              +-----+--+-----+
//                  u_breaks
//
// Flat coordinates are seen from outside: x right, y up, normal toward the eye.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <vector>

#include "geometry/develop_basis.h"
#include "geometry/skin.h"
#include "geometry/vec.h"

namespace holeward {

/// The surface that is developed. `at` answers for the law of one cell (one-sided at breaks); its
/// normal is unit and outward, its derivatives are not zero and not parallel.
struct PatchSurface {
  std::function<SkinPoint(double u, double v, int u_cell, int v_cell)> at;
  std::vector<double> u_breaks;  ///< ascending, at least two
  std::vector<double> v_breaks;
  std::vector<double> v_weights;  ///< how much the lengths in a row of cells count; empty: all 1
};

/// Flat position and its derivatives by u and v.
struct FlatJet {
  Vec2 at = Vec2::Zero();
  Vec2 du = Vec2::Zero();
  Vec2 dv = Vec2::Zero();
};

/// How far a development is from an isometry.
struct StretchOfPatch {
  double max = 0.0;         ///< greatest |singular value - 1|
  double rms = 0.0;         ///< over the area, both singular values
  double least_area = 1.0;  ///< least ratio of areas; not positive where the sheet folds over
};

/// The same line measured on the sheet and on the surface, mm.
struct LengthPair {
  double flat = 0.0;
  double surface = 0.0;
};

class DevelopedPatch {
 public:
  /// Unrolls along the row of cells nearest the middle and then across, every curve with its
  /// geodesic curvature: exact (to the order of the cells) where the surface is developable.
  /// @param order of the cells, 2 to 16
  [[nodiscard]] static DevelopedPatch Unroll(PatchSurface surface, int order);

  /// The development of least squared strain, by Gauss-Newton from this one (Green strain, so exact
  /// isometries are minima at zero).
  /// @param minimax_rounds  further rounds in which a place weighs the more, the more it is
  ///        strained, which lowers the worst stretch at the cost of the mean; 10 are enough
  [[nodiscard]] DevelopedPatch Relaxed(int minimax_rounds = 0) const;

  // ---- Asking
  [[nodiscard]] FlatJet At(double u, double v) const;
  [[nodiscard]] FlatJet At(const SkinPlace& p) const { return At(p.u, p.v); }
  /// Place whose flat position is `flat`; nothing if none within the patch grown by `slack` mm.
  [[nodiscard]] std::optional<SkinPlace> Inverse(const Vec2& flat, double slack = 1e-6) const;
  /// Point of the developed surface (with the offset of the backing).
  [[nodiscard]] SkinPoint SurfaceAt(double u, double v) const;
  /// Flat direction of a space direction laid into the surface: its length is the cosine of the
  /// angle between the two.
  [[nodiscard]] Vec2 DirectionAt(const SkinPlace& p, const Vec3& direction_world) const;
  [[nodiscard]] StretchOfPatch Measured() const;
  /// A straight line of the sheet, and the same line laid on the surface. Where the line leaves the
  /// patch, the line straight in (u, v) is measured instead.
  [[nodiscard]] LengthPair LengthsBetween(const SkinPlace& a, const SkinPlace& b) const;

  // ---- Moving
  /// Turned counter-clockwise by `angle_rad` about the origin, then shifted.
  [[nodiscard]] DevelopedPatch Moved(double angle_rad, const Vec2& shift) const;

  [[nodiscard]] const PatchSurface& surface() const { return surface_; }
  [[nodiscard]] double u_from() const { return surface_.u_breaks.front(); }
  [[nodiscard]] double u_to() const { return surface_.u_breaks.back(); }
  [[nodiscard]] double v_from() const { return surface_.v_breaks.front(); }
  [[nodiscard]] double v_to() const { return surface_.v_breaks.back(); }
  [[nodiscard]] int cell_count() const { return u_cells() * v_cells(); }

 private:
  friend class PatchUnroller;
  friend class PatchRelaxer;
  DevelopedPatch(PatchSurface surface, int order);

  [[nodiscard]] int u_cells() const { return static_cast<int>(surface_.u_breaks.size()) - 1; }
  [[nodiscard]] int v_cells() const { return static_cast<int>(surface_.v_breaks.size()) - 1; }
  [[nodiscard]] int u_nodes() const { return u_cells() * basis_->order() + 1; }
  [[nodiscard]] int v_nodes() const { return v_cells() * basis_->order() + 1; }
  [[nodiscard]] int Node(int i, int j) const { return j * u_nodes() + i; }
  [[nodiscard]] double NodeU(int i) const;
  [[nodiscard]] double NodeV(int j) const;
  [[nodiscard]] std::optional<LengthPair> StraightLengths(const SkinPlace& a,
                                                          const SkinPlace& b) const;

  PatchSurface surface_;
  std::shared_ptr<const SpectralBasis> basis_;
  Eigen::Matrix2Xd flat_;  // a column a node
};

/// Singular values of a development at one place.
struct StretchAt {
  double least = 1.0;
  double greatest = 1.0;
  double area = 1.0;  ///< signed
};
[[nodiscard]] StretchAt StretchOf(const SkinPoint& surface, const FlatJet& flat);

}  // namespace holeward
