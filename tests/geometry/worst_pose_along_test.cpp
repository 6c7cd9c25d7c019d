// Bounds along one direction are what docs/methods/worst-pose.md says, worked out here in another
// way.
#include "geometry/worst_pose_along.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <limits>
#include <vector>

#include <gtest/gtest.h>

#include "tests/geometry/random_cells.h"

namespace holeward {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();
constexpr double kSide = 89.995 * kDegree;  // beyond it a direction proves nothing
constexpr double kRounding = 1e-9;
using test::AngleBetween;
using test::AnyDrill;
using test::Random;

/// The greatest depth up to which something holds, by halving.
double GreatestWhere(const std::function<bool(double)>& holds) {
  double low = -1e9;
  double high = 1e9;
  for (int k = 0; k < 90; ++k) {
    const double middle = 0.5 * (low + high);
    (holds(middle) ? low : high) = middle;
  }
  return low;
}

/// What a cell looks like along w: delta and nu of the method at every corner and mix, kappa, and
/// how far nu differs.
struct Seen {
  std::vector<double> delta, nu;
  double kappa = 0.0;
  double differ = 0.0;
  double least = kNever;
  double most = 0.0;
  double spread = 0.0;
};

Seen Look(const Vec3& w, const PlaceCell& cell, const MetalPiece& metal) {
  Seen seen;
  double nearest = kNever;
  double farthest = -kNever;
  for (const Vec3& pole : metal.poles) {
    nearest = std::min(nearest, pole.dot(w));
    farthest = std::max(farthest, pole.dot(w));
  }
  seen.spread = farthest - nearest;
  const auto mixed = [&](const CornerMix& mix, const auto& of) {
    const auto at = [&](int c) { return of(cell.corner[static_cast<std::size_t>(c)]); };
    return at(mix.from) + mix.part * (at(mix.to) - at(mix.from));
  };
  for (std::size_t k = 0; k < cell.mixes; ++k) {
    const double entry = mixed(cell.mix[k], [&](const Stance& s) { return s.entry.dot(w); });
    seen.delta.push_back(nearest - entry - metal.grown - kRounding);
    seen.nu.push_back(mixed(cell.mix[k], [&](const Stance& s) { return AngleBetween(w, s.axis); }));
    seen.least = std::min(seen.least, seen.nu.back());
    seen.most = std::max(seen.most, seen.nu.back());
  }
  seen.differ = seen.most - seen.least;
  const double turn = cell.turn;
  const double steep = std::tan(std::max(0.0, seen.least - turn));
  const double bend = steep > 0.0 ? turn * turn / (4.0 * steep) : kNever;
  seen.kappa = cell.axis_sag + std::min(turn, bend) + turn * turn * turn;
  return seen;
}

/// One part's bound along a direction: the greatest T for which S >= 0 at every corner.
struct ByDefinition {
  Seen seen;
  double sag = 0.0;
  double tilt = 0.0;
  double cut = kNever;
  AxesWithin within;  // limits that bind at every corner

  struct OfDisc {
    double depth = kNever;
    double cell_spread = 0.0;
    double piece_spread = 0.0;
    bool of_cell = false;  // more is lost to what is not linear in the cell than to its size
  };

  [[nodiscard]] double Most() const { return seen.most + tilt + seen.kappa; }
  /// The angle in the range that is nearest to chi. A floor is the low end of all ranges, for those
  /// above it too: else it would put a kink into what is smooth over the cell.
  [[nodiscard]] double Nearest(std::size_t k, double chi) const {
    const double end = std::min(within.ceiling, kSide);
    const double least = within.floor > 0.0 ? within.floor : std::max(0.0, seen.nu[k] - tilt);
    const double low = std::min(end, least);
    const double high = std::max(low, std::min(end, seen.nu[k] + tilt));
    return std::clamp(chi, low, high);
  }
  [[nodiscard]] double Depth(const DrillDisc& disc, std::size_t k, double rest) const {
    return GreatestWhere([&](double depth) {
      const double chi = std::atan2(disc.radius, depth - disc.behind);
      const double arm = std::hypot(disc.radius, depth - disc.behind);
      return seen.delta[k] - rest - arm * std::cos(Nearest(k, chi) - chi) >= 0.0;
    });
  }
  [[nodiscard]] double Least(const DrillDisc& disc, double rest) const {
    double least = kNever;
    for (std::size_t k = 0; k < seen.nu.size(); ++k) {
      least = std::min(least, Depth(disc, k, rest));
    }
    return least;
  }
  /// sigma between two depths.
  [[nodiscard]] double Slope(const DrillDisc& disc, double from, double to) const {
    double steepest = 0.0;
    for (const double depth : {from, to}) {
      for (const double nu : seen.nu) {
        const double chi = std::atan2(disc.radius, depth - disc.behind);
        steepest = std::max(steepest, std::abs(nu - chi) - tilt + seen.kappa + seen.differ);
      }
    }
    return std::sin(std::min(steepest, 0.5 * kPi));
  }
  [[nodiscard]] OfDisc Of(const DrillDisc& disc) const {
    double lowest = kNever;
    double highest = -kNever;
    double psi = 0.0;
    for (std::size_t k = 0; k < seen.nu.size(); ++k) {
      const double depth = Depth(disc, k, 0.0);
      highest = std::max(highest, depth);
      if (depth > lowest) continue;
      lowest = depth;
      psi = Nearest(k, std::atan2(disc.radius, depth - disc.behind));
    }
    const double raw = std::min(cut, lowest);
    const double arm = std::hypot(disc.radius, raw - disc.behind);
    const auto proven = [&](double slope) {
      const double rest =
          slope > 0.0 ? arm * (slope * seen.kappa + seen.differ * seen.differ / 8.0) : 0.0;
      return std::min(raw, Least(disc, sag + rest));
    };
    OfDisc of;
    of.depth = proven(1.0);
    const bool all = within.floor <= 0.0 && within.ceiling == kNever;
    if (all) of.depth = std::max(of.depth, proven(Slope(disc, of.depth, raw)));
    of.cell_spread = std::min(highest, raw + 1000.0) - of.depth;
    of.piece_spread = seen.spread / std::max(std::cos(psi), 1e-3);
    of.of_cell = raw - of.depth > 0.5 * of.cell_spread;
    return of;
  }
  [[nodiscard]] OfDisc Of(const DrillPart& part) const {
    if (within.floor > Most()) return {};
    const OfDisc front = Of(part.disc[0]);
    const OfDisc back = Of(part.disc[1]);
    return back.depth < front.depth ? back : front;
  }
};

/// Where axes may lean until they are square to w: those beyond, along directions turned back
/// toward the middle axis in steps of 0.4 degrees and twice the one before.
double OfAllAxes(const Vec3& w, const PlaceCell& cell, const MetalPiece& metal, const BoundOf& of,
                 const DrillPart& part) {
  ByDefinition bound{Look(w, cell, metal), cell.sag, of.tilt, of.cut, {}};
  double least = bound.Of(part).depth;
  const Vec3& axis = cell.middle.axis;
  const Vec3 about = axis.cross(w).normalized();
  const double nu = AngleBetween(w, axis);
  double turned = 0.0;
  for (double step = 0.4 * kDegree; bound.Most() > kSide && turned < nu && least < of.cut;
       step *= 2.0) {
    step = std::min(step, nu - turned);
    turned += step;
    bound.seen = Look(Eigen::AngleAxisd(-turned, about) * w, cell, metal);
    bound.within.floor = kSide - step - kRounding;
    least = std::min(least, bound.Of(part).depth);
  }
  return least;
}

/// A cell cut off at a corner, its place taken by mixes.
void CutOff(Random& random, PlaceCell& cell) {
  cell.mixes = 6;
  for (int k = 3; k < 6; ++k) {
    cell.mix[static_cast<std::size_t>(k)] = {k - 3, 3, random.Even(0.2, 0.9)};
  }
}

/// The ways of a cell across which delta, and the angle over the arm, differ by how much.
std::array<double, 2> ChangesOf(const Vec3& w, const PlaceCell& cell, const MetalPiece& metal) {
  const double arm = (metal.middle - cell.middle.entry).norm();
  const auto apart = [&](std::size_t c, std::size_t d) {
    const Stance& one = cell.corner[c];
    const Stance& other = cell.corner[d];
    return std::abs((one.entry - other.entry).dot(w)) +
           arm * std::abs(AngleBetween(w, one.axis) - AngleBetween(w, other.axis));
  };
  return {apart(0, 1) + apart(2, 3), apart(0, 2) + apart(1, 3)};
}

/// Whether a cell is best split across a way, judged by the changes across both: either if equal.
bool IsAcross(int way, const std::array<double, 2>& changes) {
  const double apart = changes[0] - changes[1];
  return std::abs(apart) < 1e-12 * (1.0 + changes[0]) || way == (apart > 0.0 ? 0 : 1);
}

/// Equal but for rounding; angles near 90 degrees make much of it, and of what lies metres behind.
bool Same(double a, double b) {
  return a == b || std::abs(a - b) < 1e-6 + 1e-8 * std::abs(b) || std::max(a, b) < -1000.0;
}

TEST(WorstPoseBounds, AlongADirectionTheyAreAsDefined) {
  Random random(20261203);
  int steep = 0;
  int some = 0;
  std::array<int, 2> ways{};
  for (int k = 0; k < 3000; ++k) {
    PlaceCell cell = random.Cell();
    cell.sag = random.Even(0.0, 0.05);
    if (k % 3 == 0) CutOff(random, cell);
    const MetalPiece metal = random.Ahead();
    const std::vector<DrillPart> parts = PartsOf(AnyDrill(random));
    const DrillPart& part = parts[static_cast<std::size_t>(k) % parts.size()];
    const double tilt = k % 5 == 0 ? 0.0 : random.Even(0.0, 0.4);
    const BoundOf of(parts, tilt, k % 4 == 0 ? random.Even(-5.0, 20.0) : kNever);
    const Vec3 w = random.Within(cell.middle.axis, random.Even(0.0, 1.6));
    ByDefinition bound{Look(w, cell, metal), cell.sag, tilt, of.cut, {}};
    const AlongBound along(w, cell, metal, of);
    const CellBound all = along.Of(part);
    const double expected = OfAllAxes(w, cell, metal, of, part);
    ASSERT_TRUE(Same(all.depth, expected)) << k << " " << all.depth << " " << expected;
    if (bound.Most() > kSide) {
      ++steep;
    } else {
      const ByDefinition::OfDisc found = bound.Of(part);
      ASSERT_TRUE(Same(all.cell_spread, found.cell_spread)) << k;
      ASSERT_TRUE(Same(all.piece_spread, found.piece_spread)) << k;
      std::array<double, 2> changes = ChangesOf(w, cell, metal);
      if (found.of_cell) changes = {cell.half.x(), cell.half.y()};
      ASSERT_TRUE(IsAcross(all.way, changes)) << k;
      ++ways[static_cast<std::size_t>(found.of_cell)];
    }

    const AxesWithin within{random.Even(0.0, 0.8), random.Even(0.3, 1.6)};
    if (within.floor > within.ceiling) continue;
    const double of_some = along.Over(part, within).depth;
    if (std::min(within.ceiling, bound.Most()) > kSide) {
      ASSERT_EQ(of_some, -kNever) << k;
      continue;
    }
    if (within.floor > bound.seen.most - tilt + bound.seen.kappa) bound.within.floor = within.floor;
    if (within.ceiling < bound.seen.least + tilt - bound.seen.kappa)
      bound.within.ceiling = within.ceiling;
    some += bound.within.floor > 0.0 || bound.within.ceiling < kNever;
    ASSERT_TRUE(Same(of_some, bound.Of(part).depth)) << k << " " << of_some;
  }
  EXPECT_GT(steep, 200);
  EXPECT_GT(some, 300);
  EXPECT_GT(ways[0], 300);
  EXPECT_GT(ways[1], 300);
}

// Break-through: s <= (delta + g + a sin psi) / cos psi at psi = nu + t, to the metal's far side.
TEST(WorstPoseBounds, ThroughAWallTheyAreAsDefined) {
  Random random(20261204);
  int along_normal = 0;
  int along_axis = 0;
  for (int k = 0; k < 3000; ++k) {
    PlaceCell cell = random.Cell();
    cell.sag = random.Even(0.0, 0.05);
    const MetalPiece metal = random.Ahead();
    const Drill drill = AnyDrill(random);
    const double tilt = random.Even(0.0, 0.3);
    const double grown = random.Even(0.0, 2.0);
    const CellBound bound = GreatestThrough(cell, metal, grown, drill, tilt);
    if (bound.depth == -kNever) continue;  // out of reach: held below
    Vec3 w = metal.middle_normal;
    if (w.dot(cell.middle.axis) < 0.0) w = -w;
    const bool level = AngleBetween(w, cell.middle.axis) + cell.turn + tilt <= 80.0 * kDegree;
    if (!level) w = cell.middle.axis;
    ++(level ? along_normal : along_axis);
    const Seen seen = Look(w, cell, metal);
    const auto depth = [&](std::size_t c, double rest) {
      const double delta = seen.delta[c] + metal.grown + seen.spread + grown + 2.0 * kRounding;
      const double psi = seen.nu[c] + tilt;
      return (delta + rest + drill.radius() * std::sin(psi)) / std::cos(psi);
    };
    std::size_t deepest = 0;
    std::size_t shallowest = 0;
    for (std::size_t c = 1; c < 4; ++c) {
      if (depth(c, 0.0) > depth(deepest, 0.0)) deepest = c;
      if (depth(c, 0.0) < depth(shallowest, 0.0)) shallowest = c;
    }
    const double arm = std::hypot(drill.radius(), std::abs(depth(deepest, 0.0)) + 1.0);
    const double rest = cell.sag + arm * (seen.kappa + seen.differ * seen.differ / 8.0);
    double most = -kNever;
    for (std::size_t c = 0; c < 4; ++c) most = std::max(most, depth(c, rest));
    ASSERT_NEAR(bound.depth, most + drill.FullBehind(), 1e-6) << k;
    ASSERT_NEAR(bound.cell_spread, most - depth(shallowest, 0.0), 1e-6) << k;
    const double psi = seen.nu[deepest] + tilt;
    ASSERT_NEAR(bound.psi, psi, 1e-9) << k;
    ASSERT_NEAR(bound.piece_spread, seen.spread / std::cos(psi), 1e-6) << k;
    ASSERT_TRUE(IsAcross(bound.way, ChangesOf(w, cell, metal))) << k;
  }
  EXPECT_GT(along_normal, 300);
  EXPECT_GT(along_axis, 300);
}

}  // namespace
}  // namespace holeward
