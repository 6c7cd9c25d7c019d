// Sections of bars, sleeves, neighbours, fittings and the drill.
#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <utility>

#include "geometry/datum.h"
#include "geometry/section_cut.h"
#include "geometry/section_sheet.h"

namespace holeward {
namespace {

constexpr double kSag = 0.002;     // what a chord may miss of a curve, mm
constexpr double kAligned = 1e-9;  // a sine below this is none
constexpr int kMostPoints = 4096;

/// The axis of a cylinder as a plane sees it.
struct Axis {
  Vec2 foot = Vec2::Zero();    // of the cylinder's `from`
  Vec2 along = Vec2::UnitY();  // the axis's shadow, unit
  double height = 0.0;         // of `from` above the plane
  double cosine = 1.0;         // of the angle between axis and plane
  double sine = 0.0;
};

Axis SeenAxis(const CutPlane& plane, const Vec3& from, const Vec3& direction) {
  Axis axis;
  axis.foot = plane.Flat(from);
  axis.height = plane.Height(from);
  axis.sine = direction.dot(plane.Normal());
  const Vec2 shadow(direction.dot(plane.x), direction.dot(plane.y));
  axis.cosine = shadow.norm();
  if (axis.cosine > kAligned) axis.along = shadow / axis.cosine;
  return axis;
}

/// The section of an endless cylinder, as far as the window needs it. A place g across and h along
/// the axis's shadow lies within the radius where g² + (h sine + height cosine)² <= radius².
CutLoop EndlessCut(const Axis& axis, double radius, const Eigen::AlignedBox2d& window) {
  const Vec2 across(-axis.along.y(), axis.along.x());
  const double middle = (window.center() - axis.foot).dot(axis.along);
  const double reach = window.diagonal().norm() + 4.0 * radius;
  auto off = [&](double h) { return (h * axis.sine + axis.height * axis.cosine) / radius; };
  CutLoop loop;
  auto add = [&](double g, double h) {
    loop.points.push_back(axis.foot + g * across + h * axis.along);
    loop.drawn.push_back(true);
  };
  if (std::abs(axis.sine) < kAligned) {
    const double share = off(middle);
    if (std::abs(share) >= 1.0) return {};
    const double half = radius * std::sqrt(1.0 - share * share);
    for (const auto& [g, h] : {std::pair{half, -reach}, std::pair{half, reach},
                               std::pair{-half, reach}, std::pair{-half, -reach}}) {
      add(g, middle + h);
    }
    return loop;
  }
  const double one = off(middle - reach);
  const double two = off(middle + reach);
  const double low = std::max(-1.0, std::min(one, two));
  const double high = std::min(1.0, std::max(one, two));
  if (low >= high) return {};
  const double from = std::acos(high);
  const double to = std::acos(low);
  const double size = radius / std::abs(axis.sine);
  const double step = std::sqrt(8.0 * kSag / std::max(size, radius));
  const int n = std::clamp(static_cast<int>(std::ceil((to - from) / step)), 8, kMostPoints);
  for (const double side : {1.0, -1.0}) {
    for (int k = 0; k <= n; ++k) {
      const double share = static_cast<double>(side > 0.0 ? k : n - k) / n;
      const double angle = from + share * (to - from);
      // Where both sides meet, at the ellipse's end, the point is one.
      if (side < 0.0 && ((k == 0 && to > kPi - 1e-12) || (k == n && from < 1e-12))) continue;
      add(side * radius * std::sin(angle),
          (radius * std::cos(angle) - axis.height * axis.cosine) / axis.sine);
    }
  }
  return loop;
}

/// The loop cut off by the plane through `place` with `inward` (both in space).
CutLoop CutOff(const CutLoop& loop, const CutPlane& plane, const Vec3& place, const Vec3& inward,
               bool drawn) {
  const Vec2 in_plane(inward.dot(plane.x), inward.dot(plane.y));
  const double at_origin = (plane.origin - place).dot(inward);
  if (in_plane.norm() < kAligned) return at_origin >= 0.0 ? loop : CutLoop{};
  const Vec2 unit = in_plane.normalized();
  return Clipped(loop, {-at_origin / in_plane.norm() * unit, unit}, drawn);
}

/// The plane that halves the bend of a path at place i, normal toward the finish; square to the
/// path at its ends.
Vec3 JointNormal(const std::vector<Vec3>& path, std::size_t i) {
  const Vec3 before =
      i > 0 ? Vec3((path[i] - path[i - 1]).normalized()) : Vec3((path[1] - path[0]).normalized());
  const Vec3 after = i + 1 < path.size() ? Vec3((path[i + 1] - path[i]).normalized()) : before;
  return (before + after).normalized();
}

/// The piece of a mitred rod from place i to the next.
CutLoop RodCut(const CutPlane& plane, const std::vector<Vec3>& path, std::size_t i, double radius,
               const Eigen::AlignedBox2d& window, bool ends_drawn) {
  const Vec3 direction = (path[i + 1] - path[i]).normalized();
  CutLoop loop = EndlessCut(SeenAxis(plane, path[i], direction), radius, window);
  loop = CutOff(loop, plane, path[i], JointNormal(path, i), ends_drawn && i == 0);
  return CutOff(loop, plane, path[i + 1], -JointNormal(path, i + 1),
                ends_drawn && i + 2 == path.size());
}

/// Where a rod's axis passes through the plane, if near square and between its ends.
std::optional<Vec2> CentreOf(const CutPlane& plane, const Vec3& from, const Vec3& to) {
  const double at_from = plane.Height(from);
  const double run = plane.Height(to) - at_from;
  if (std::abs(run) < (to - from).norm() * std::sqrt(0.5)) return std::nullopt;
  const double share = -at_from / run;
  if (!(share >= 0.0 && share <= 1.0)) return std::nullopt;
  return plane.Flat(from + share * (to - from));
}

CutLoop SphereCut(const CutPlane& plane, const Vec3& centre, double radius) {
  const double height = plane.Height(centre);
  if (std::abs(height) >= radius) return {};
  const double r = std::sqrt(radius * radius - height * height);
  const int n =
      std::clamp(static_cast<int>(2.0 * kPi / std::sqrt(8.0 * kSag / r)), 12, kMostPoints);
  CutLoop loop;
  for (int k = 0; k < n; ++k) {
    const double angle = 2.0 * kPi * k / n;
    loop.points.push_back(plane.Flat(centre) + r * Vec2(std::cos(angle), std::sin(angle)));
    loop.drawn.push_back(true);
  }
  return loop;
}

void Keep(std::vector<CutRegion>& regions, CutRegion region, const Eigen::AlignedBox2d& window) {
  std::vector<CutLoop> loops;
  for (const CutLoop& loop : region.loops) {
    CutLoop seen = Clipped(loop, window);
    if (!seen.points.empty()) loops.push_back(std::move(seen));
  }
  region.loops = std::move(loops);
  if (!region.loops.empty()) regions.push_back(std::move(region));
}

/// A block as a sheet without a border: round its footprint, over its top and back underneath.
class BlockSheet {
 public:
  BlockSheet(const Fitting& fitting, const Skin& skin) : fitting_(fitting), skin_(skin) {
    per_u_ = skin.At(fitting.centre).du.norm();
  }

  Sheet Make() const {
    Sheet sheet;
    if (fitting_.footprint.disc) {  // rows: underside outward, edge, top inward
      sheet.rows = 2 * kCells + 1;
      sheet.columns = 4 * kCells;
      sheet.at = [this](double s, double t) {
        const double out = std::min({s, static_cast<double>(kCells), 2.0 * kCells + 1.0 - s});
        const double r = fitting_.footprint.radius * out / kCells;
        const double angle = 2.0 * kPi * t / (4 * kCells);
        return On(fitting_.centre.u + r * std::cos(angle) / per_u_, r * std::sin(angle),
                  std::clamp(s - kCells, 0.0, 1.0));
      };
      return sheet;
    }
    // Rows go around the part: a side closed from its middle outward, the girth, the other side
    // inward. Columns: underneath toward the finish, up, back over the top, down.
    sheet.rows = kCells + 2;
    sheet.columns = 2 * kCells + 2;
    sheet.at = [this](double s, double t) {
      const Footprint& print = fitting_.footprint;
      const double across = std::clamp(s - 1.0, 0.0, static_cast<double>(kCells)) / kCells - 0.5;
      const double up = t <= kCells ? 0.0 : std::min({t - kCells, 1.0, 2.0 * kCells + 2.0 - t});
      const double along =
          t <= kCells ? t : std::clamp(2.0 * kCells + 1.0 - t, 0.0, static_cast<double>(kCells));
      const double u = print.u_from + (print.u_to - print.u_from) * along / kCells;
      const Vec3 rim = On(u, print.around * across, up);
      const double out = std::min({s, 1.0, kCells + 2.0 - s});
      if (out >= 1.0) return rim;
      const Vec3 middle = On(0.5 * (print.u_from + print.u_to), print.around * across, 0.5);
      return Vec3(out * rim + (1.0 - out) * middle);
    };
    return sheet;
  }

 private:
  static constexpr int kCells = 12;

  Vec3 On(double u, double around, double up) const {
    const SkinPoint p = skin_.At(u, WalkAround(skin_, u, fitting_.centre.v, around));
    return p.position + up * *fitting_.height * p.normal;
  }

  const Fitting& fitting_;
  const Skin& skin_;
  double per_u_ = 1.0;
};

std::vector<CutLoop> BlockCut(const Fitting& fitting, const Skin& skin, const CutPlane& plane) {
  const BlockSheet block(fitting, skin);
  std::vector<CutLoop> loops;
  for (const SheetTrace& trace : CutSheet(block.Make(), plane)) {
    loops.push_back({trace.points, std::vector<bool>(trace.points.size(), true)});
  }
  return loops;
}

}  // namespace

CutLoop CylinderCut(const CutPlane& plane, const Vec3& from, const Vec3& to, double radius,
                    const Eigen::AlignedBox2d& window) {
  return RodCut(plane, {from, to}, 0, radius, window, true);
}

std::vector<CutRegion> CutOf(const InnerBody& body, const CutPlane& plane,
                             const Eigen::AlignedBox2d& window) {
  std::vector<CutRegion> regions;
  for (std::size_t i = 0; i + 1 < body.path.size(); ++i) {
    CutLoop outside = RodCut(plane, body.path, i, body.radius, window, true);
    CutRegion region{
        body.name, {}, CutKind::inner_body, {}, CentreOf(plane, body.path[i], body.path[i + 1])};
    if (outside.points.empty()) continue;
    if (body.shape == InnerShape::sleeve && body.bore_radius > 0.0) {
      const CutLoop bore = RodCut(plane, body.path, i, body.bore_radius, window, false);
      if (!bore.points.empty()) {
        outside = HiddenInside(outside, bore);
        region.loops.push_back(bore);
      }
    }
    region.loops.insert(region.loops.begin(), outside);
    Keep(regions, region, window);
  }
  return regions;
}

std::vector<CutRegion> CutOf(const Neighbour& neighbour, const CutPlane& plane,
                             const Eigen::AlignedBox2d& window) {
  std::vector<CutLoop> loops;
  auto keep = [&](CutLoop loop) {
    if (!loop.points.empty()) loops.push_back(std::move(loop));
  };
  for (std::size_t i = 0; i + 1 < neighbour.path.size(); ++i) {
    if ((neighbour.path[i + 1] - neighbour.path[i]).norm() < kAligned) continue;
    keep(CylinderCut(plane, neighbour.path[i], neighbour.path[i + 1], neighbour.radius, window));
    if (i > 0) keep(SphereCut(plane, neighbour.path[i], neighbour.radius));
  }
  std::vector<CutRegion> regions;
  for (const CutLoop& loop : Joined(loops)) {
    Keep(regions, {neighbour.name, {}, CutKind::neighbour, {loop}, {}}, window);
  }
  return regions;
}

std::vector<CutRegion> CutOf(const Fitting& fitting, const Skin& skin, const CutPlane& plane,
                             const Eigen::AlignedBox2d& window) {
  std::vector<CutRegion> regions;
  CutRegion region{fitting.name, {}, CutKind::fitting, {}, {}};
  switch (fitting.shape) {
    case FittingShape::eye:
    case FittingShape::stud:
      region.loops.push_back(CylinderCut(plane, fitting.cylinder_from, fitting.cylinder_to,
                                         0.5 * fitting.diameter, window));
      region.centre = CentreOf(plane, fitting.cylinder_from, fitting.cylinder_to);
      break;
    case FittingShape::block:
      if (!fitting.height || !(*fitting.height > 0.0)) return {};
      region.loops = BlockCut(fitting, skin, plane);
      break;
    case FittingShape::hole: return {};
  }
  Keep(regions, region, window);
  return regions;
}

CutRegion DrillOutline(const CutPlane& plane, const Pose& pose, const Drill& drill,
                       const DrillReach& reach) {
  const Vec3 direction = pose.direction.normalized();
  Vec3 e1 = direction.cross(plane.Normal());
  e1 = e1.norm() > kAligned ? Vec3(e1.normalized()) : plane.x;
  const Vec3 e2 = direction.cross(e1);
  auto ring = [&](double behind, double radius, std::vector<Vec2>& points) {
    constexpr int kAround = 128;
    const Vec3 centre = pose.entry + (reach.depth - behind) * direction;
    for (int k = 0; k < kAround; ++k) {
      const double angle = 2.0 * kPi * k / kAround;
      points.push_back(plane.Flat(centre + radius * (std::cos(angle) * e1 + std::sin(angle) * e2)));
    }
  };
  std::vector<CutLoop> frustums;
  auto add = [&](double from, double r_from, double to, double r_to) {
    if (from >= reach.behind || to - from < kAligned) return;
    if (to > reach.behind) {
      r_to = r_from + (r_to - r_from) * (reach.behind - from) / (to - from);
      to = reach.behind;
    }
    std::vector<Vec2> points;
    ring(from, r_from, points);
    ring(to, r_to, points);
    frustums.push_back(HullOf(std::move(points)));
  };
  const auto& rises = drill.rises();
  for (std::size_t i = 0; i < rises.size(); ++i) {
    const double coned = rises[i].behind + (rises[i].to - rises[i].from) * rises[i].cot;
    const double next = i + 1 < rises.size() ? rises[i + 1].behind : std::max(reach.behind, coned);
    add(rises[i].behind, rises[i].from, coned, rises[i].to);
    add(coned, rises[i].to, next, rises[i].to);
  }
  return {"drill", {}, CutKind::drill, Joined(frustums), {}};
}

}  // namespace holeward
