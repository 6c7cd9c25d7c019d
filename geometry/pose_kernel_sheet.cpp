#include "geometry/pose_kernel_sheet.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include <Eigen/Dense>

#include "geometry/pose_kernel_shapes.h"

namespace holeward {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();
constexpr double kRounding = 4e-9;  // of the models' sums on coordinates of some metres, mm
constexpr double kCellSize = 2.5;
constexpr int kMostCells = 20000;
constexpr double kLeastFacing = 0.3;  // steeper to the axis than this the model is not used

/// Two directions across d, and d itself, right-handed. Source: Duff et al., JCGT 6 (2017).
void Across(const Vec3& d, Vec3& e1, Vec3& e2) {
  const double sign = d.z() >= 0.0 ? 1.0 : -1.0;
  const double a = -1.0 / (sign + d.z());
  const double b = d.x() * d.y() * a;
  e1 = {1.0 + sign * d.x() * d.x() * a, sign * b, -sign * d.x()};
  e2 = {b, sign + d.y() * d.y() * a, -d.y()};
}

double Steepness(const std::array<double, 6>& q, double radius, double bend) {
  return std::sqrt(q[1] * q[1] + q[2] * q[2]) + bend * radius;
}

}  // namespace

/// A small part of the wall.
struct PoseSheet::Cell {
  Piece piece;
  bool sheet = false;
  Vec2 middle = Vec2::Zero();
  double radius = 0.0;
  double z_least = 0.0;
  double z_greatest = 0.0;

  Cell(Piece of, bool is_sheet) : piece(std::move(of)), sheet(is_sheet) {
    const Extent extent = ExtentOf(piece);
    middle = extent.middle.head<2>();
    z_least = extent.z_least;
    z_greatest = extent.z_greatest;
    for (const Eigen::Vector4d& pole : piece.poles) {
      radius = std::max(radius, (pole.head<2>() / pole.w() - middle).norm());
    }
    radius += piece.grown + 1e-9;
  }

  /// Bounds on z - q from its linear part at the control points and the most the rest can be.
  Span RoughResidual(const Vec2& centre, const std::array<double, 6>& q, double bend) const {
    Span range{kNever, -kNever};
    for (const Eigen::Vector4d& pole : piece.poles) {
      const Vec3 place = pole.head<3>() / pole.w();
      const double value =
          place.z() - q[0] - q[1] * (place.x() - centre.x()) - q[2] * (place.y() - centre.y());
      range.lower = std::min(range.lower, value);
      range.upper = std::max(range.upper, value);
    }
    const double farthest = (middle - centre).norm() + radius;
    const double rest = 0.5 * bend * farthest * farthest;
    return {range.lower - rest, range.upper + rest};
  }

  /// Least and greatest of z - q over the cell: all of it is linear in q, so products of the
  /// coordinates are made once.
  Span Residual(const Vec2& centre, const std::array<double, 6>& q) {
    if (products_.empty()) Multiply();
    // The same paraboloid seen from the cell's middle.
    const Vec2 d = middle - centre;
    const double bent_x = q[3] * d.x() + q[4] * d.y();
    const double bent_y = q[4] * d.x() + q[5] * d.y();
    const double level = q[0] + (q[1] + 0.5 * bent_x) * d.x() + (q[2] + 0.5 * bent_y) * d.y();
    const double slope_x = q[1] + bent_x;
    const double slope_y = q[2] + bent_y;
    Span range{kNever, -kNever};
    for (const Products& p : products_) {
      const double value = p.z - level - slope_x * p.x - slope_y * p.y - 0.5 * q[3] * p.xx -
                           q[4] * p.xy - 0.5 * q[5] * p.yy;
      range.lower = std::min(range.lower, value);
      range.upper = std::max(range.upper, value);
    }
    return range;
  }

 private:
  /// Coefficients of w z, w x, ... over that of w w, from the cell's middle.
  struct Products {
    double z, x, y, xx, xy, yy;
  };

  void Multiply() {
    const auto net = [&](int k, double at) {
      return Component(piece.poles, piece.degree_u, piece.degree_v, k, at);
    };
    const Bernstein w = net(3, 0.0);
    const Bernstein x = net(0, middle.x());
    const Bernstein y = net(1, middle.y());
    const Bernstein ww = w * w;
    const Bernstein wz = w * net(2, 0.0);
    const Bernstein wx = w * x;
    const Bernstein wy = w * y;
    const Bernstein xx = x * x;
    const Bernstein xy = x * y;
    const Bernstein yy = y * y;
    for (std::size_t i = 0; i < ww.coefs.size(); ++i) {
      const double by = 1.0 / ww.coefs[i];
      products_.push_back({wz.coefs[i] * by, wx.coefs[i] * by, wy.coefs[i] * by, xx.coefs[i] * by,
                           xy.coefs[i] * by, yy.coefs[i] * by});
    }
  }

  std::vector<Products> products_;
};

void PoseSheet::MakeRings(const Needs& needs) {
  rings_[0] = needs.first_ring;
  const double disc = std::max(needs.disc, rings_[0]);
  const double last = std::max(needs.greatest, disc);
  for (int k = 1; k < kRings; ++k) {
    const double share = k <= kDiscRing
                             ? static_cast<double>(k) / kDiscRing
                             : static_cast<double>(k - kDiscRing) / (kRings - 1 - kDiscRing);
    rings_[static_cast<std::size_t>(k)] =
        k <= kDiscRing ? rings_[0] + share * (disc - rings_[0]) : disc + share * (last - disc);
  }
  fit_radius_ = far_ ? rings_[0] : disc;
}

bool PoseSheet::Fit(const std::vector<Cell>& cells, Tile& tile) const {
  Eigen::Matrix<double, 6, 6> normal = Eigen::Matrix<double, 6, 6>::Zero();
  Eigen::Matrix<double, 6, 1> right = Eigen::Matrix<double, 6, 1>::Zero();
  const double scale = 1.0 / fit_radius_;
  int count = 0;
  bool covered = false;
  double z0 = 0.0;
  for (const Cell& cell : cells) {
    if (!cell.sheet || (cell.middle - tile.centre).norm() > fit_radius_ + cell.radius) continue;
    covered = covered || (cell.middle - tile.centre).norm() <= cell.radius;
    for (int corner = 0; corner < 4; ++corner) {
      const Vec3 place = CornerOf(cell.piece, corner);
      const Vec2 xy = scale * (place.head<2>() - tile.centre);
      if (count == 0) z0 = place.z();
      if (xy.norm() > 1.3) continue;
      Eigen::Matrix<double, 6, 1> row;
      row << 1.0, xy.x(), xy.y(), 0.5 * xy.x() * xy.x(), xy.x() * xy.y(), 0.5 * xy.y() * xy.y();
      normal += row * row.transpose();
      right += row * (place.z() - z0);
      ++count;
    }
  }
  if (!covered || count < 8) return false;
  normal += 1e-12 * static_cast<double>(count) * Eigen::Matrix<double, 6, 6>::Identity();
  const Eigen::Matrix<double, 6, 1> q = normal.ldlt().solve(right);
  if (!q.allFinite()) return false;
  const double s2 = scale * scale;
  tile.q = {q[0] + z0, q[1] * scale, q[2] * scale, q[3] * s2, q[4] * s2, q[5] * s2};
  tile.bend =
      std::sqrt(tile.q[3] * tile.q[3] + 2.0 * tile.q[4] * tile.q[4] + tile.q[5] * tile.q[5]);
  return true;
}

void PoseSheet::Bound(std::vector<Cell>& cells, Tile& tile) const {
  tile.lo.fill(kNever);
  tile.hi.fill(-kNever);
  for (Cell& cell : cells) {
    const double apart = (cell.middle - tile.centre).norm();
    const double nearest = apart - cell.radius;
    if (nearest > rings_.back()) continue;
    const double steep = Steepness(tile.q, apart + cell.radius, tile.bend);
    const double grown = cell.piece.grown * (1.0 + steep);
    Span range = cell.RoughResidual(tile.centre, tile.q, tile.bend);
    // Beyond the drill's disc, and well away on the safe side, a rough bound is enough.
    const bool away = !cell.sheet && (far_ ? range.lower > 0.5 : range.upper < -0.5);
    if (!away && nearest <= rings_[kDiscRing]) range = cell.Residual(tile.centre, tile.q);
    const bool for_lo = far_ || cell.sheet;
    const bool for_hi = !far_ || cell.sheet;
    for (std::size_t k = 0; k < kRings; ++k) {
      if (nearest > rings_[k]) continue;
      if (for_lo) tile.lo[k] = std::min(tile.lo[k], range.lower - grown);
      if (for_hi) tile.hi[k] = std::max(tile.hi[k], range.upper + grown);
    }
  }
  tile.made = std::isfinite(tile.lo[0]) && std::isfinite(tile.hi[0]);
}

PoseSheet PoseSheet::Make(const std::vector<Piece>& all, const std::vector<Piece>& sheet, bool far,
                          const Needs& needs) {
  PoseSheet made;
  made.far_ = far;
  made.drop_ = needs.drop;
  made.MakeRings(needs);
  std::vector<Cell> cells;
  const double widest = needs.reach_radius + made.step_ + made.rings_.back();
  const auto cut = [&](const std::vector<Piece>& pieces, bool is_sheet) {
    std::vector<Piece> stack = pieces;
    Piece first;
    Piece second;
    while (!stack.empty() && static_cast<int>(cells.size()) <= kMostCells) {
      Cell cell(std::move(stack.back()), is_sheet);
      stack.pop_back();
      if (cell.middle.norm() - cell.radius > widest) continue;
      if (cell.radius - cell.piece.grown <= 0.5 * kCellSize ||
          (!is_sheet && ExtentOf(cell.piece).size <= kCellSize)) {
        cells.push_back(std::move(cell));
        continue;
      }
      Halve(cell.piece, first, second);
      stack.push_back(first);
      stack.push_back(second);
    }
  };
  cut(sheet, true);
  cut(all, false);
  double z_sum = 0.0;
  int count = 0;
  for (const Cell& cell : cells) {
    if (!cell.sheet || cell.middle.norm() > needs.reach_radius + made.step_) continue;
    z_sum += 0.5 * (cell.z_least + cell.z_greatest);
    ++count;
  }
  if (count == 0 || static_cast<int>(cells.size()) > kMostCells) return made;
  made.middle_z_ = z_sum / count;
  const int half = static_cast<int>(std::ceil(needs.reach_radius / made.step_)) + 1;
  made.side_ = 2 * half + 1;
  made.start_ = -(half + 0.5) * made.step_;
  made.tiles_.resize(static_cast<std::size_t>(made.side_ * made.side_));
  for (int i = 0; i < made.side_; ++i) {
    for (int j = 0; j < made.side_; ++j) {
      Tile& tile = made.tiles_[static_cast<std::size_t>(i * made.side_ + j)];
      tile.centre = {made.start_ + (i + 0.5) * made.step_, made.start_ + (j + 0.5) * made.step_};
      if (tile.centre.norm() > needs.reach_radius + made.step_) continue;
      if (made.Fit(cells, tile)) made.Bound(cells, tile);
    }
  }
  return made;
}

int PoseSheet::TileAt(double x, double y) const {
  const double i = std::floor((x - start_) / step_);
  const double j = std::floor((y - start_) / step_);
  if (!(i >= 0.0 && j >= 0.0 && i < side_ && j < side_)) return -1;
  const int index = static_cast<int>(i) * side_ + static_cast<int>(j);
  return tiles_[static_cast<std::size_t>(index)].made ? index : -1;
}

bool PoseSheet::Meet(const LocalPose& pose, Met& met) const {
  if (tiles_.empty()) return false;
  const Vec3& p = pose.entry;
  const Vec3& d = pose.direction;
  met.s = (middle_z_ - p.z()) / d.z();
  for (int round = 0; round < 5; ++round) {
    const int now = TileAt(p.x() + met.s * d.x(), p.y() + met.s * d.y());
    if (now < 0) return false;
    if (now == met.tile) break;
    met.tile = now;
    if (!MeetTile(pose, met)) return false;
  }
  return met.x * met.x + met.y * met.y <= 0.64 * step_ * step_;
}

bool PoseSheet::MeetTile(const LocalPose& pose, Met& met) const {
  const Vec3& p = pose.entry;
  const Vec3& d = pose.direction;
  const Tile& tile = tiles_[static_cast<std::size_t>(met.tile)];
  const auto& q = tile.q;
  for (int i = 0; i < 4; ++i) {
    met.x = p.x() + met.s * d.x() - tile.centre.x();
    met.y = p.y() + met.s * d.y() - tile.centre.y();
    met.slope_x = q[1] + q[3] * met.x + q[4] * met.y;
    met.slope_y = q[2] + q[4] * met.x + q[5] * met.y;
    met.facing = d.z() - met.slope_x * d.x() - met.slope_y * d.y();
    if (!(met.facing > kLeastFacing)) return false;
    const double z = q[0] + 0.5 * (met.x * (met.slope_x + q[1]) + met.y * (met.slope_y + q[2]));
    const double step = (z - p.z() - met.s * d.z()) / met.facing;
    met.s += step;
    if (std::abs(step) < 1e-10) return true;
  }
  return false;
}

bool PoseSheet::See(const LocalPose& pose, SheetView& view) const {
  Met met;
  if (!Meet(pose, met)) return false;
  const Vec3& d = pose.direction;
  const double facing = met.facing;
  const Tile& tile = tiles_[static_cast<std::size_t>(met.tile)];
  view.tile = met.tile;
  view.s0 = met.s;
  view.off_centre = std::sqrt(met.x * met.x + met.y * met.y);
  Vec3 e1;
  Vec3 e2;
  Across(d, e1, e2);
  const Vec3 n(-met.slope_x, -met.slope_y, 1.0);
  view.view.g = {-n.dot(e1) / facing, -n.dot(e2) / facing};
  const Vec3 t1 = e1 + view.view.g.x() * d;
  const Vec3 t2 = e2 + view.view.g.y() * d;
  const auto& q = tile.q;
  const auto form = [&](const Vec3& a, const Vec3& b) {
    return (q[3] * a.x() * b.x() + q[4] * (a.x() * b.y() + a.y() * b.x()) + q[5] * a.y() * b.y()) /
           facing;
  };
  view.view.h11 = form(t1, t1);
  view.view.h12 = form(t1, t2);
  view.view.h22 = form(t2, t2);
  view.slope = view.view.g.norm();
  const double mean = 0.5 * (view.view.h11 + view.view.h22);
  const double half = 0.5 * (view.view.h11 - view.view.h22);
  const double spread = std::sqrt(half * half + view.view.h12 * view.view.h12);
  view.bend = std::abs(mean) + spread;
  view.bend_up = std::max(0.0, mean + spread);
  view.lean = std::sqrt(d.x() * d.x() + d.y() * d.y());
  const double stretched = tile.bend * (1.0 + view.slope);
  view.third = 4.5 * stretched * view.lean * stretched * (1.0 + view.slope) / (facing * facing);
  view.stretch = 1.05 / facing;
  return true;
}

bool PoseSheet::RingsClear(const SheetView& view, const Asked& asked, int from) const {
  const Tile& tile = tiles_[static_cast<std::size_t>(view.tile)];
  const double wall = std::abs(asked.wall);
  for (std::size_t k = static_cast<std::size_t>(from) + 1; k < kRings; ++k) {
    const double inner = rings_[k - 1] - view.off_centre - wall;
    // Beyond all reach: no metal behind the gap lies further back than the entry.
    if (inner > asked.radius + view.lean * (view.s0 + asked.radius) + wall) return true;
    const double outer = rings_[k] + view.off_centre + wall;
    const double turn = view.lean * (view.slope + view.bend * outer);
    const double r_in = inner / (1.0 + turn);
    const double r_out = outer * (1.0 + turn);
    const double off = std::max(0.0, -tile.lo[k]) * view.stretch;
    const double fall =
        view.slope * r_out + r_out * r_out * (0.5 * view.bend + view.third * r_out / 6.0);
    if (inner - view.lean * (fall + off) > asked.radius + wall) continue;
    if (asked.cot <= 0.0) return false;
    const double needed = off * (1.0 + asked.cot * view.lean);
    const auto room = [&](double r) {
      return (asked.cot - view.slope) * r - r * r * (0.5 * view.bend + view.third * r / 6.0);
    };
    if (!(r_in > 0.0 && room(r_in) >= needed && room(r_out) >= needed)) return false;
  }
  return true;
}

Span PoseSheet::TipTouch(const SheetView& view, const Asked& asked) const {
  const Span unknown{-kNever, kNever};
  // A little more than the drill: metal off the model is carried to it along the region's axis.
  const double a = 1.1 * asked.radius + 0.05;
  const double room = asked.cot - view.slope - a * (0.5 * view.bend + view.third * a / 6.0);
  if (!(room > 0.0) || !RingsClear(view, asked, 0)) return unknown;
  const Tile& tile = tiles_[static_cast<std::size_t>(view.tile)];
  const double shifted = view.s0 - asked.wall * std::sqrt(1.0 + view.slope * view.slope);
  const double bent = asked.wall * asked.wall * view.bend * (view.slope * view.slope + 1e-6);
  const double low = std::max(0.0, -tile.lo[0]) * view.stretch * (1.0 + asked.cot * view.lean);
  const double high = std::max(0.0, tile.hi[0]) * view.stretch;
  return {shifted - low - bent - kRounding, shifted + high + bent + kRounding};
}

Span PoseSheet::RimTouch(const SheetView& view, const PoseDrill& drill, double wall) const {
  const Span unknown{-kNever, kNever};
  const double a = drill.radius();
  const Tile& tile = tiles_[static_cast<std::size_t>(view.tile)];
  const double turn = view.lean * (view.slope + view.bend * a);
  if (view.off_centre + (a + std::abs(wall)) * (1.0 + turn) > rings_[kDiscRing]) return unknown;
  if (!RingsClear(view, {0.0, a, wall}, kDiscRing)) return unknown;
  Span touch;
  for (const PoseDrill::Part& part : drill.parts()) {
    const Span rim = LeastOnCircle(view.view, part.radius);
    Span tip{0.0, 0.0};
    if (part.tip_radius > 0.0) tip = LeastOnCircle(view.view, part.tip_radius);
    const double apart = part.radius - part.tip_radius;
    const double defect = 0.125 * view.bend_up * apart * apart;
    const double flank = part.back > part.front ? defect : 0.0;
    touch.lower =
        std::min({touch.lower, rim.lower + part.back - flank, tip.lower + part.front - flank});
    touch.upper = std::min({touch.upper, rim.upper + part.back, tip.upper + part.front});
  }
  const double most = view.slope + view.bend * a;
  const double least = std::max(0.0, view.slope - view.bend * a);
  const double shift_most = std::sqrt(1.0 + most * most);
  const double shift_least = std::sqrt(1.0 + least * least);
  const double third =
      view.third * a * a * a / 6.0 + wall * wall * view.bend * (most * most + 1e-6);
  const double low =
      std::max(0.0, -tile.lo[kDiscRing]) * view.stretch * (1.0 + drill.cot() * view.lean);
  const double high = std::max(0.0, tile.hi[kDiscRing]) * view.stretch;
  touch.lower +=
      view.s0 - std::max(wall * shift_most, wall * shift_least) - third - low - kRounding;
  touch.upper +=
      view.s0 - std::min(wall * shift_most, wall * shift_least) + third + high + kRounding;
  return touch;
}

Span PoseSheet::FirstTouch(const SheetView& view, const PoseDrill& drill, double wall) const {
  const Span tip = TipTouch(view, {drill.least_cot(), drill.radius(), wall});
  if (std::isfinite(tip.lower)) return tip;
  return RimTouch(view, drill, wall);
}

Span PoseSheet::Breakthrough(const SheetView& view, const PoseDrill& drill, double wall) const {
  const double a = drill.radius();
  const Tile& tile = tiles_[static_cast<std::size_t>(view.tile)];
  const Span unknown{-kNever, kNever};
  const double most = view.slope + a * (view.bend + 0.5 * view.third * a);
  // The rim is last only where the cone rises faster than the wall.
  if (!(most < drill.cot())) return unknown;
  const double farthest =
      view.off_centre + (a + std::abs(wall)) * (1.0 + view.lean * most) + view.lean * drop_;
  if (farthest > rings_[kDiscRing]) return unknown;
  const Span rim = GreatestOnCircle(view.view, a);
  const double third =
      view.third * a * a * a / 6.0 + wall * wall * view.bend * (most * most + 1e-6);
  const double low = std::max(0.0, -tile.lo[kDiscRing]) * view.stretch;
  const double high = std::max(0.0, tile.hi[kDiscRing]) * view.stretch;
  const double steep = std::sqrt(1.0 + most * most);
  const double base = view.s0 + drill.full_behind();
  return {base + rim.lower + std::min(wall, wall * steep) - third - low - kRounding,
          base + rim.upper + std::max(wall, wall * steep) + third + high + kRounding};
}

}  // namespace holeward
