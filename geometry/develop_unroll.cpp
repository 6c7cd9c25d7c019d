// Unrolling a patch: the curve along the middle is drawn in the plane with its geodesic curvature,
// then every curve across it. On a developable surface geodesic curvature, length and angle are all
// kept, so the result is the exact development. Source: M. P. do Carmo, Differential Geometry of
// Curves and Surfaces, sec. 4-4 (geodesic curvature is intrinsic).
#include <cmath>
#include <utility>

#include "geometry/develop_patch.h"

namespace holeward {
namespace {

double AngleFrom(const Vec3& a, const Vec3& b, const Vec3& normal) {
  return std::atan2(normal.dot(a.cross(b)), a.dot(b));
}

enum class Along { u, v };

const Vec3& RunOf(const SkinPoint& p, Along along) { return along == Along::u ? p.du : p.dv; }

// Where a curve has got to in the plane.
struct FlatHeading {
  Vec2 at = Vec2::Zero();
  double angle = 0.0;
};

}  // namespace

class PatchUnroller {
 public:
  explicit PatchUnroller(DevelopedPatch& patch) : patch_(patch), basis_(*patch.basis_) {}

  void Run() {
    const int p = basis_.order();
    base_cell_ = BaseCell();
    MiddleLine();
    for (int i = 0; i < patch_.u_nodes(); ++i) {
      const int cu = std::min(i / p, patch_.u_cells() - 1);
      for (int cv = base_cell_; cv < patch_.v_cells(); ++cv) AcrossCell(i, cu, cv, true);
      for (int cv = base_cell_ - 1; cv >= 0; --cv) AcrossCell(i, cu, cv, false);
    }
  }

 private:
  // The row of cells whose lower border is nearest the middle.
  [[nodiscard]] int BaseCell() const {
    const std::vector<double>& b = patch_.surface_.v_breaks;
    const double middle = 0.5 * (b.front() + b.back());
    int best = 0;
    for (int c = 1; c < patch_.v_cells(); ++c) {
      if (std::abs(b[c] - middle) < std::abs(b[best] - middle)) best = c;
    }
    return best;
  }

  [[nodiscard]] SkinPoint Node(int i, int j, int cu, int cv) const {
    return patch_.surface_.at(patch_.NodeU(i), patch_.NodeV(j), cu, cv);
  }

  // Draws one cell of a curve. `points` are the surface at its nodes; the heading is that of its
  // first node when `forward`, else of its last. Half is half the cell's parameter length.
  struct Drawn {
    Eigen::Matrix2Xd at;
    Eigen::VectorXd angle;
  };
  [[nodiscard]] Drawn Draw(const std::vector<SkinPoint>& points, Along along, double half,
                           const FlatHeading& start, bool forward) const {
    const int n = basis_.order() + 1;
    Eigen::Matrix3Xd tangent(3, n);
    Eigen::VectorXd speed(n);
    for (int k = 0; k < n; ++k) {
      const Vec3& run = RunOf(points[k], along);
      speed(k) = run.norm() * half;
      tangent.col(k) = run.normalized();
    }
    const Eigen::Matrix3Xd turning = tangent * basis_.derivative().transpose();
    Eigen::VectorXd rate(n);
    for (int k = 0; k < n; ++k) {
      rate(k) = turning.col(k).dot(points[k].normal.cross(Vec3(tangent.col(k))));
    }
    Drawn out{Eigen::Matrix2Xd(2, n), basis_.integral() * rate};
    out.angle.array() += start.angle - (forward ? 0.0 : out.angle(n - 1));
    Eigen::Matrix2Xd velocity(2, n);
    for (int k = 0; k < n; ++k) {
      velocity.col(k) = speed(k) * Vec2(std::cos(out.angle(k)), std::sin(out.angle(k)));
    }
    out.at = velocity * basis_.integral().transpose();
    const Vec2 shift = start.at - (forward ? Vec2::Zero() : Vec2(out.at.col(n - 1)));
    out.at.colwise() += shift;
    return out;
  }

  void MiddleLine() {
    const int p = basis_.order(), j = base_cell_ * p;
    middle_.resize(patch_.u_nodes());
    FlatHeading heading;
    for (int cu = 0; cu < patch_.u_cells(); ++cu) {
      std::vector<SkinPoint> points;
      for (int k = 0; k <= p; ++k) points.push_back(Node(cu * p + k, j, cu, base_cell_));
      const double half = 0.5 * (patch_.surface_.u_breaks[cu + 1] - patch_.surface_.u_breaks[cu]);
      if (cu > 0) heading.angle -= AngleFrom(points[0].du, points[0].dv, points[0].normal);
      const Drawn drawn = Draw(points, Along::u, half, heading, true);
      for (int k = 0; k <= p; ++k) middle_[cu * p + k] = {drawn.at.col(k), drawn.angle(k)};
      // The crease to the next cell keeps its direction on the sheet, seen from either side.
      heading = {drawn.at.col(p),
                 drawn.angle(p) + AngleFrom(points[p].du, points[p].dv, points[p].normal)};
    }
  }

  void AcrossCell(int i, int cu, int cv, bool forward) {
    const int p = basis_.order();
    std::vector<SkinPoint> points;
    for (int k = 0; k <= p; ++k) points.push_back(Node(i, cv * p + k, cu, cv));
    const int near = forward ? 0 : p;
    const bool first = forward ? cv == base_cell_ : cv == base_cell_ - 1;
    if (first) crease_ = middle_[i];
    FlatHeading start = crease_;
    start.angle += AngleFrom(points[near].du, points[near].dv, points[near].normal);
    const double half = 0.5 * (patch_.surface_.v_breaks[cv + 1] - patch_.surface_.v_breaks[cv]);
    const Drawn drawn = Draw(points, Along::v, half, start, forward);
    for (int k = 0; k <= p; ++k) patch_.flat_.col(patch_.Node(i, cv * p + k)) = drawn.at.col(k);
    const int far = p - near;
    crease_ = {drawn.at.col(far),
               drawn.angle(far) - AngleFrom(points[far].du, points[far].dv, points[far].normal)};
  }

  DevelopedPatch& patch_;
  const SpectralBasis& basis_;
  int base_cell_ = 0;
  std::vector<FlatHeading> middle_;  // a node each; the angle is that of du
  FlatHeading crease_;               // where the curve across has got to; the angle is that of du
};

DevelopedPatch DevelopedPatch::Unroll(PatchSurface surface, int order) {
  DevelopedPatch patch(std::move(surface), order);
  PatchUnroller(patch).Run();
  return patch;
}

}  // namespace holeward
