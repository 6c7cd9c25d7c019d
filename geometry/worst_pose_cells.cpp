#include "geometry/worst_pose_cells.h"

#include <algorithm>
#include <cmath>
#include <optional>

namespace holeward {
namespace {

constexpr std::size_t kSteps = 4;    // a cell and way
constexpr std::size_t kSamples = 5;  // both ends of every step
constexpr double kRoot = 1.25;       // aimed-at half-width of a first cell, mm
constexpr int kMostRoots = 6;        // a way
constexpr double kMostTurn = 60.0 * kDegree;

double AngleBetween(const Vec3& a, const Vec3& b) {
  return std::atan2(a.cross(b).norm(), a.dot(b));
}

bool IsFinite(const PoseZone& zone) {
  return zone.skin != nullptr && zone.axis != nullptr && std::isfinite(zone.radius) &&
         zone.radius >= 0.0 && std::isfinite(zone.tilt) && zone.tilt >= 0.0 &&
         std::isfinite(zone.nominal.place.u) && std::isfinite(zone.nominal.place.v) &&
         zone.nominal.normal.allFinite();
}

}  // namespace

Stance PlaceCells::StanceAt(const Vec2& at) const {
  const SkinPoint point = around_.front().At(at.x(), at.y());
  Stance stance;
  stance.entry = frame_.ToLocal(point.position);
  stance.axis = frame_.rotation * zone_.axis(point.normal).normalized();
  stance.inside = stance.entry.norm() <= zone_.radius;
  return stance;
}

PlaceCell PlaceCells::CellAt(const Vec2& at, const Vec2& half) const {
  std::array<std::array<Stance, kSamples>, kSamples> stances;
  const auto part = [](std::size_t i) { return static_cast<double>(i) / kSteps; };
  for (std::size_t i = 0; i < kSamples; ++i) {
    for (std::size_t j = 0; j < kSamples; ++j) {
      stances[i][j] =
          StanceAt({at.x() + half.x() * (2 * part(i) - 1), at.y() + half.y() * (2 * part(j) - 1)});
    }
  }
  PlaceCell cell;
  cell.at = at;
  cell.half = half;
  cell.corner = {stances[0][0], stances[kSteps][0], stances[0][kSteps], stances[kSteps][kSteps]};
  cell.middle = stances[kSteps / 2][kSteps / 2];
  // What the samples lack of the weighted corners; between samples one step's change more.
  std::array<std::array<Vec3, kSamples>, kSamples> lack;
  std::array<std::array<Vec3, kSamples>, kSamples> axis_lack;
  double step = 0.0;
  double axis_step = 0.0;
  for (std::size_t i = 0; i < kSamples; ++i) {
    for (std::size_t j = 0; j < kSamples; ++j) {
      const double x = part(i);
      const double y = part(j);
      const std::array<double, 4> weight{(1 - x) * (1 - y), x * (1 - y), (1 - x) * y, x * y};
      Vec3 entry = Vec3::Zero();
      Vec3 axis = Vec3::Zero();
      for (std::size_t c = 0; c < 4; ++c) {
        entry += weight[c] * cell.corner[c].entry;
        axis += weight[c] * cell.corner[c].axis;
      }
      lack[i][j] = stances[i][j].entry - entry;
      axis_lack[i][j] = stances[i][j].axis - axis.normalized();
      cell.sag = std::max(cell.sag, lack[i][j].norm());
      cell.axis_sag = std::max(cell.axis_sag, axis_lack[i][j].norm());
      if (i > 0) step = std::max(step, (lack[i][j] - lack[i - 1][j]).norm());
      if (j > 0) step = std::max(step, (lack[i][j] - lack[i][j - 1]).norm());
      if (i > 0) axis_step = std::max(axis_step, (axis_lack[i][j] - axis_lack[i - 1][j]).norm());
      if (j > 0) axis_step = std::max(axis_step, (axis_lack[i][j] - axis_lack[i][j - 1]).norm());
    }
  }
  cell.sag += 0.5 * step + 1e-9;
  cell.axis_sag = 1.01 * (cell.axis_sag + 0.5 * axis_step) + 1e-12;
  for (const Stance& a : cell.corner) {
    cell.radius = std::max(cell.radius, (a.entry - cell.middle.entry).norm());
    for (const Stance& b : cell.corner)
      cell.turn = std::max(cell.turn, AngleBetween(a.axis, b.axis));
  }
  cell.turn += 2.0 * cell.axis_sag;
  cell.radius += cell.sag;
  Clip(cell);
  return cell;
}

/// The zone lies on this side of the plane that touches its ball where the cell looks out.
void PlaceCells::Clip(PlaceCell& cell) const {
  std::array<double, 4> spare{};
  const double off = cell.middle.entry.norm();
  const Vec3 outward = off > 1e-9 ? Vec3(cell.middle.entry / off) : Vec3::Zero();
  cell.mixes = 0;
  for (int c = 0; c < 4; ++c) {
    const auto i = static_cast<std::size_t>(c);
    spare[i] = zone_.radius + cell.sag - cell.corner[i].entry.dot(outward);
    if (spare[i] >= 0.0) cell.mix[cell.mixes++] = {c, c, 0.0};
  }
  for (int c = 0; c < 4; ++c) {
    for (int d = 0; d < 4; ++d) {
      const double in = spare[static_cast<std::size_t>(c)];
      const double out = spare[static_cast<std::size_t>(d)];
      if (in >= 0.0 && out < 0.0) cell.mix[cell.mixes++] = {c, d, in / (in - out)};
    }
  }
}

bool PlaceCells::Outside(const PlaceCell& cell) const { return cell.mixes == 0; }

Result<PlaceCells> PlaceCells::Over(const PoseZone& zone) {
  if (!IsFinite(zone)) {
    return Fail(ErrorKind::computed, "the hole's place, zone or tilt is not a finite number");
  }
  PlaceCells all;
  all.zone_ = zone;
  all.around_.emplace_back(*zone.skin, zone.nominal.place);
  const Vec3 middle = all.around_.front().At(0.0, 0.0).position;
  const Vec3 intended = zone.axis(zone.nominal.normal).normalized();
  if (!middle.allFinite() || !intended.allFinite()) {
    return Fail(ErrorKind::computed, "the hole's place or direction is not a finite number");
  }
  all.frame_ = AxisFrame::At(middle, intended);
  if (zone.radius < 1e-9) {
    Stance stance;
    PlaceCells single = Single(stance);
    single.frame_ = all.frame_;
    return single;
  }
  const std::optional<double> half = CoveringHalf(all.around_.front(), middle, zone.radius);
  if (!half) return Fail(ErrorKind::computed, "the marking zone reaches round the part");
  const int count = std::clamp(static_cast<int>(std::ceil(*half / kRoot)), 1, kMostRoots);
  const double cell_half = *half / count;
  for (int i = 0; i < count; ++i) {
    for (int j = 0; j < count; ++j) {
      PlaceCell cell =
          all.CellAt(Vec2(-*half + cell_half * (2 * i + 1), -*half + cell_half * (2 * j + 1)),
                     Vec2::Constant(cell_half));
      if (all.Outside(cell)) continue;
      for (const Stance& stance : cell.corner) {
        // Not a number: not less.
        if (AngleBetween(stance.axis, Vec3::UnitZ()) + cell.turn < kMostTurn) continue;
        return Fail(ErrorKind::computed,
                    "the skin turns more than 60 degrees within the marking zone");
      }
      all.cells_.push_back(cell);
    }
  }
  all.roots_ = static_cast<int>(all.cells_.size());
  return all;
}

PlaceCells PlaceCells::Single(const Stance& stance) {
  PlaceCells all;
  PlaceCell cell;
  cell.corner.fill(stance);
  cell.middle = stance;
  cell.mixes = 1;
  all.cells_.push_back(cell);
  all.roots_ = 1;
  return all;
}

PlaceCells PlaceCells::Single(const Pose& pose) {
  PlaceCells all = Single(Stance{});
  all.frame_ = AxisFrame::At(pose.entry, pose.direction);
  return all;
}

std::pair<int, int> PlaceCells::Halves(int cell, int way) {
  const auto index = static_cast<std::size_t>(cell);
  const auto w = static_cast<std::size_t>(way);
  if (cells_[index].child[w] < 0) {
    Vec2 half = cells_[index].half;
    half[way] *= 0.5;
    Vec2 step = Vec2::Zero();
    step[way] = half[way];
    const Vec2 at = cells_[index].at;
    cells_[index].child[w] = static_cast<int>(cells_.size());
    cells_.push_back(CellAt(at - step, half));
    cells_.push_back(CellAt(at + step, half));
  }
  const int first = cells_[index].child[w];
  return {Outside((*this)[first]) ? -1 : first, Outside((*this)[first + 1]) ? -1 : first + 1};
}

Stance PlaceCells::Inside(int cell, int mix) const {
  const PlaceCell& of = (*this)[cell];
  const CornerMix& at_mix = of.mix[static_cast<std::size_t>(mix)];
  const Stance& corner = of.corner[static_cast<std::size_t>(at_mix.from)];
  if (around_.empty() || (at_mix.from == at_mix.to && corner.inside)) return corner;
  const auto sign = [](int c) { return Vec2(c % 2 == 0 ? -1.0 : 1.0, c < 2 ? -1.0 : 1.0); };
  const Vec2 where = (1.0 - at_mix.part) * sign(at_mix.from) + at_mix.part * sign(at_mix.to);
  return PulledIn(of.at + of.half.cwiseProduct(where));
}

Stance PlaceCells::NearTo(const Vec3& entry) const {
  if (around_.empty()) return cells_.front().middle;
  constexpr double kStep = 1e-3;
  Vec2 at = Vec2::Zero();
  for (int k = 0; k < 4; ++k) {
    const Vec2 here = StanceAt(at).entry.head<2>();
    Eigen::Matrix2d slope;
    for (int way = 0; way < 2; ++way) {
      const Vec2 by = kStep * Vec2::Unit(way);
      slope.col(way) = (StanceAt(at + by).entry.head<2>() - here) / kStep;
    }
    const Vec2 step = slope.fullPivLu().solve(entry.head<2>() - here);
    if (!(step.norm() <= 1e3)) break;  // not a number: not less
    at += step;
    if (step.norm() < 1e-4) break;
  }
  return PulledIn(at);
}

Stance PlaceCells::PulledIn(const Vec2& place) const {
  const Stance stance = StanceAt(place);
  if (stance.inside) return stance;
  double within = 0.0;
  double without = 1.0;
  double guess = zone_.radius / stance.entry.norm();
  Stance best = StanceAt(Vec2::Zero());
  for (int k = 0; k < 12; ++k) {
    const double t = std::clamp(guess, within, without);
    const Stance at = StanceAt(t * place);
    if (at.inside) {
      within = t;
      best = at;
      // The distance is all but linear in t: step a hair short of the border.
      guess = t * (1.0 + (zone_.radius * (1.0 - 1e-7) - at.entry.norm()) / zone_.radius);
      if (zone_.radius - at.entry.norm() < 1e-5) break;
    } else {
      without = t;
      guess = t * zone_.radius * (1.0 - 1e-6) / at.entry.norm();
    }
  }
  return best;
}

Reach PlaceCells::HullReach(double tilt, double radius) const {
  Reach reach;
  reach.radius = radius;
  for (int i = 0; i < roots_; ++i) {
    const PlaceCell& cell = (*this)[i];
    for (const Stance& stance : cell.corner) {
      reach.place = std::max(reach.place, stance.entry.head<2>().norm() + cell.sag);
      reach.rise = std::max(reach.rise, std::abs(stance.entry.z()) + cell.sag);
      reach.tilt =
          std::max(reach.tilt, AngleBetween(stance.axis, Vec3::UnitZ()) + cell.axis_sag + tilt);
    }
  }
  return reach;
}

}  // namespace holeward
