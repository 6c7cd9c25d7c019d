#include "geometry/wrap_back.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include "geometry/develop_basis.h"
#include "geometry/polygon.h"
#include "geometry/tape_shoot.h"
#include "geometry/wrap_surface.h"

namespace holeward {
namespace {

// Error allowed a step of a path, mm: a path has some ten of them.
constexpr double kStepError = 1e-7;
// A path may run this far beyond the outline, which is drawn with straight pieces, mm.
constexpr double kOutlineSlack = 0.05;
constexpr int kPathSamples = 16;
// A mark is reached from the nearest place of an edge and from places to both sides of it, up to as
// far along as the mark is away: a hand smooths outward in a fan of 45 degrees to either side.
constexpr double kFan[] = {0.0, -0.5, 0.5, -1.0, 1.0};
// Edges are measured in stretches of no more than this share of what is printed.
constexpr int kStretches = 12;
constexpr int kFootSamples = 32;
constexpr int kFootSteps = 45;

double Turned(const Vec2& a, const Vec2& b) { return a.x() * b.y() - a.y() * b.x(); }

// By eight-point Gauss-Legendre.
template <class Speed>
double GaussLength(double from, double to, Speed speed) {
  static const GaussRule rule = GaussLegendre(8);
  const double middle = 0.5 * (from + to), half = 0.5 * (to - from);
  double sum = 0.0;
  for (Eigen::Index k = 0; k < rule.at.size(); ++k) {
    sum += rule.weight(k) * speed(middle + half * rule.at(k));
  }
  return half * sum;
}

// An edge on its line of the skin: lengths along both.
class LaidEdge {
 public:
  LaidEdge(const WrapEdge& edge, const Surface& surface) : edge_(edge), surface_(surface) {}

  [[nodiscard]] SkinPlace Place(double t) const {
    return edge_.along ? SkinPlace{t, edge_.at} : SkinPlace{edge_.at, t};
  }
  // Signed length on the sheet from t to t.
  [[nodiscard]] double OnSheet(double from, double to) const {
    return Length(from, to, [&](double t) { return edge_.sheet(t).run.norm(); });
  }
  [[nodiscard]] double OnSkin(double from, double to) const {
    return Length(from, to, [&](double t) { return RunAt(t).norm(); });
  }
  // The t whose length on the skin from `from` is `length`; `guess` is near it.
  [[nodiscard]] double AtSkinLength(double from, double length, double guess) const {
    double t = guess, gone = OnSkin(from, t);
    for (int step = 0; step < 30 && std::abs(length - gone) > 1e-11; ++step) {
      const double next = t + (length - gone) / RunAt(t).norm();
      gone += OnSkin(t, next);
      t = next;
    }
    return t;
  }
  // The t whose length on the sheet from `from` is `length`, held to what is printed.
  [[nodiscard]] double AtSheetLength(double from, double length) const {
    double t = from, gone = 0.0;
    for (int step = 0; step < 30 && std::abs(length - gone) > 1e-11; ++step) {
      const double next =
          std::clamp(t + (length - gone) / edge_.sheet(t).run.norm(), edge_.from, edge_.to);
      if (next == t) break;
      gone += OnSheet(t, next);
      t = next;
    }
    return t;
  }
  // The place of what is printed that is nearest to a place of the sheet.
  [[nodiscard]] double Foot(const Vec2& sheet) const {
    const auto off = [&](double t) { return (edge_.sheet(t).at - sheet).squaredNorm(); };
    const double step = (edge_.to - edge_.from) / kFootSamples;
    int best = 0;
    for (int k = 1; k <= kFootSamples; ++k) {
      if (off(edge_.from + k * step) < off(edge_.from + best * step)) best = k;
    }
    double lo = edge_.from + std::max(0, best - 1) * step;
    double hi = edge_.from + std::min(kFootSamples, best + 1) * step;
    const double golden = 0.3819660112501051;
    for (int k = 0; k < kFootSteps; ++k) {
      const double left = lo + golden * (hi - lo), right = hi - golden * (hi - lo);
      (off(left) < off(right) ? hi : lo) = off(left) < off(right) ? right : left;
    }
    return 0.5 * (lo + hi);
  }
  [[nodiscard]] Vec3 RunAt(double t) const {
    const SkinPlace p = Place(t);
    const SkinPoint s = PointIn(surface_, p, CellOf(surface_, p));
    return edge_.along ? s.du : s.dv;
  }
  [[nodiscard]] const WrapEdge& edge() const { return edge_; }

 private:
  // Stretch by stretch, split at the borders of cells, where the law changes.
  template <class Speed>
  [[nodiscard]] double Length(double from, double to, Speed speed) const {
    const double lo = std::min(from, to), hi = std::max(from, to);
    std::vector<double> cuts{lo};
    for (const double b : Breaks(lo, hi)) cuts.push_back(b);
    cuts.push_back(hi);
    const double most = (edge_.to - edge_.from) / kStretches;
    double sum = 0.0;
    for (std::size_t k = 0; k + 1 < cuts.size(); ++k) {
      const double wide = cuts[k + 1] - cuts[k];
      const int parts = std::max(1, static_cast<int>(std::ceil(wide / most - 1e-9)));
      for (int i = 0; i < parts; ++i) {
        sum += GaussLength(cuts[k] + wide * i / parts, cuts[k] + wide * (i + 1) / parts, speed);
      }
    }
    return from <= to ? sum : -sum;
  }
  [[nodiscard]] std::vector<double> Breaks(double lo, double hi) const {
    std::vector<double> out;
    if (edge_.along) {
      for (const double b : surface_.u_breaks()) {
        if (b > lo && b < hi) out.push_back(b);
      }
      return out;
    }
    for (double b = std::floor(lo) + 1.0; b < hi; b += 1.0) out.push_back(b);
    return out;
  }

  const WrapEdge& edge_;
  const Surface& surface_;
};

// Distance from a place to a closed outline, negative inside.
double OffOutline(const std::vector<Vec2>& outline, const Vec2& p) {
  const double off = OffBorder(outline, p);
  return IsInside(outline, p) ? -off : off;
}

// Lays one sheet.
class Layer {
 public:
  explicit Layer(const WrapSheet& sheet) : sheet_(sheet), surface_(sheet.skin, sheet.offset) {}

  Result<std::vector<WrapError>> Run() {
    if (sheet_.edges.empty()) {
      return Fail(ErrorKind::computed, "the sheet has no edge to lay it by");
    }
    std::vector<LaidEdge> edges;
    for (const WrapEdge& edge : sheet_.edges) edges.emplace_back(edge, surface_);
    std::vector<WrapError> worst;
    for (const WrapMark& mark : sheet_.marks) {
      const Vec3 belongs = sheet_.skin->At(mark.place).position;
      worst.push_back({mark.name, -1.0, "", belongs, belongs});
      const std::string lost = Lay(edges, mark, worst.back());
      if (!lost.empty()) {
        return Fail(
            ErrorKind::computed,
            fmt::format("the mark {} cannot be followed on the skin from the {}", mark.name, lost));
      }
    }
    return worst;
  }

 private:
  // The place of an edge that is held: t on the sheet lies on t of the skin's line.
  struct Shift {
    double sheet = 0.0;
    double skin = 0.0;
  };

  // An edge is shifted until one across it lies on its line: where the two cross.
  [[nodiscard]] std::vector<Shift> ShiftsOf(const LaidEdge& laid) const {
    std::vector<Shift> out;
    for (const WrapEdge& other : sheet_.edges) {
      if (other.along != laid.edge().along) out.push_back({other.at, other.at});
    }
    if (!out.empty()) return out;
    const double from = laid.edge().from, to = laid.edge().to, middle = 0.5 * (from + to);
    out.push_back({laid.AtSheetLength(from, 0.5 * laid.OnSheet(from, to)),
                   laid.AtSkinLength(from, 0.5 * laid.OnSkin(from, to), middle)});
    return out;
  }

  // Where the sheet is smoothed outward from, and how far the straight way to the mark leaves it.
  struct Foot {
    double t = 0.0;
    double off = 0.0;
  };
  [[nodiscard]] std::vector<Foot> FeetOf(const LaidEdge& laid, const WrapMark& mark) const {
    const double nearest = laid.Foot(mark.sheet);
    const double reach = (laid.edge().sheet(nearest).at - mark.sheet).norm();
    // Where a flap joins on the line may turn: what is laid is this side of it.
    const double inside = 1e-9 * (laid.edge().to - laid.edge().from);
    std::vector<Foot> feet;
    for (const double share : kFan) {
      const double t = laid.AtSheetLength(nearest, share * reach);
      feet.push_back({std::clamp(t, laid.edge().from + inside, laid.edge().to - inside), 0.0});
    }
    for (Foot& foot : feet) {
      const Vec2 at = laid.edge().sheet(foot.t).at;
      for (int k = 1; k < kPathSamples; ++k) {
        const Vec2 way = (mark.sheet - at) * k / kPathSamples;
        foot.off = std::max(foot.off, OffOutline(sheet_.outline, at + way));
      }
    }
    return feet;
  }

  // Lays one mark by every edge, over the ways that stay on the sheet; where none does, over the
  // one that leaves it least. Empty: done; else the edge from which it cannot be followed.
  std::string Lay(const std::vector<LaidEdge>& edges, const WrapMark& mark,
                  WrapError& worst) const {
    const LaidEdge* least_edge = nullptr;
    Foot least{0.0, 1e300};
    for (const LaidEdge& laid : edges) {
      for (const Foot& foot : FeetOf(laid, mark)) {
        if (foot.off < least.off) {
          least = foot;
          least_edge = &laid;
        }
        if (foot.off <= kOutlineSlack && !Land(laid, foot.t, mark, worst)) return laid.edge().name;
      }
    }
    if (least.off > kOutlineSlack && !Land(*least_edge, least.t, mark, worst)) {
      return least_edge->edge().name;
    }
    return "";
  }

  // Notes where a mark lands if that is worse. False: its path could not be followed.
  bool Land(const LaidEdge& laid, double foot, const WrapMark& mark, WrapError& worst) const {
    const SheetLineJet line = laid.edge().sheet(foot);
    for (const Shift& shift : ShiftsOf(laid)) {
      const std::optional<Vec3> lands = Follow(laid, shift, foot, line, mark.sheet - line.at);
      if (!lands) return false;
      const double error = (*lands - worst.belongs).norm();
      if (error <= worst.error) continue;
      worst.error = error;
      worst.edge = laid.edge().name;
      worst.lands = *lands;
    }
    return true;
  }

  [[nodiscard]] std::optional<Vec3> Follow(const LaidEdge& laid, const Shift& shift, double foot,
                                           const SheetLineJet& line, const Vec2& way) const {
    const double gone = laid.OnSheet(shift.sheet, foot);
    const double t = laid.AtSkinLength(shift.skin, gone, foot);
    const SkinPlace place = laid.Place(t);
    const double length = way.norm();
    if (!(length > 1e-9)) return sheet_.skin->At(place).position;
    TapeLaunch launch;
    launch.place = place;
    launch.cell = CellOf(surface_, place);
    const Vec3 run = laid.RunAt(t).normalized();
    const Vec3 normal = JetIn(surface_, place, launch.cell).normal;
    const double angle = std::atan2(Turned(line.run, way), line.run.dot(way));
    launch.direction = std::cos(angle) * run + std::sin(angle) * normal.cross(run);
    const TapeFlight flight = Shoot(surface_, launch, length, kStepError);
    if (!flight.ok) return std::nullopt;
    // What is pricked through the sheet goes square into the skin.
    return sheet_.skin->At(flight.place).position;
  }

  const WrapSheet& sheet_;
  WrapSurface surface_;
};

}  // namespace

Result<std::vector<WrapError>> WrapErrors(const WrapSheet& sheet) { return Layer(sheet).Run(); }

}  // namespace holeward
