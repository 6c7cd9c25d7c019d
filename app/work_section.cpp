#include "app/work_section.h"

#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "geometry/drill.h"
#include "models/section_plane.h"

namespace holeward {
namespace {

constexpr double kBehind = 120.0;     ///< of a drill is drawn behind its tip's entry, mm
constexpr double kBeside = 20.0;      ///< shown beside the part, mm
constexpr double kAlongNormal = 0.5;  ///< cosine from which a bar counts as cut across

/// Plane coordinates have y the way the tip travels; on paper that is down.
Vec2 OnPaper(const Vec2& p) { return {p.x(), -p.y()}; }

std::vector<SheetLoop> OnPaper(const CutRegion& region) {
  std::vector<SheetLoop> loops;
  for (const CutLoop& loop : region.loops) {
    SheetLoop out;
    for (const Vec2& p : loop.points) out.points.push_back(OnPaper(p));
    out.drawn = loop.drawn;
    loops.push_back(std::move(out));
  }
  return loops;
}

SheetRegionKind KindOf(const CutRegion& region, const std::string& part) {
  switch (region.kind) {
    case CutKind::inner_body: return SheetRegionKind::inner;
    case CutKind::fitting: return SheetRegionKind::fitting;
    case CutKind::metal:
      return region.part == part ? SheetRegionKind::wall : SheetRegionKind::other;
    case CutKind::neighbour:
    case CutKind::drill: break;
  }
  return SheetRegionKind::other;
}

/// Where the axis of a round inner body goes through the plane, if it does so steeply.
std::optional<Vec2> CentreOf(const Part& part, const std::string& body, const CutPlane& plane) {
  for (const InnerBody& inner : part.inner) {
    if (inner.name != body) continue;
    for (std::size_t i = 0; i + 1 < inner.path.size(); ++i) {
      const Vec3 step = inner.path[i + 1] - inner.path[i];
      const double from = plane.Height(inner.path[i]);
      const double to = plane.Height(inner.path[i + 1]);
      if (from * to > 0.0 || from == to) continue;
      if (std::abs(step.normalized().dot(plane.Normal())) < kAlongNormal) continue;
      return OnPaper(plane.Flat(inner.path[i] + from / (from - to) * step));
    }
  }
  return std::nullopt;
}

/// The two vehicle directions that lie most in the plane.
std::array<SectionWay, 2> WaysOf(const CutPlane& plane, double outboard_y) {
  std::array<std::pair<Vec3, const char*>, 3> all = {
      {{Vec3::UnitX(), "FRONT"}, {outboard_y * Vec3::UnitY(), "OUTBOARD"}, {Vec3::UnitZ(), "UP"}}};
  const auto in_plane = [&](const Vec3& way) { return OnPaper(plane.Flat(plane.origin + way)); };
  std::stable_sort(all.begin(), all.end(), [&](const auto& a, const auto& b) {
    return in_plane(a.first).norm() > in_plane(b.first).norm();
  });
  return {SectionWay{in_plane(all[0].first).normalized(), all[0].second},
          SectionWay{in_plane(all[1].first).normalized(), all[1].second}};
}

SheetRegion RegionOf(const CutRegion& cut, const Part& part, const CutPlane& plane) {
  SheetRegion region;
  region.name = cut.body;
  region.kind = KindOf(cut, part.name);
  region.loops = OnPaper(cut);
  if (cut.kind == CutKind::inner_body) region.centre = CentreOf(part, cut.body, plane);
  return region;
}

}  // namespace

Result<Pose> IntendedPose(const Job& job, const SideWork& side, const std::string& point) {
  const PlacedPoint* placed = FindPlaced(side.points, point);
  const PointRow* row = job.FindPoint(point);
  if (placed == nullptr || row == nullptr) {
    return Fail(ErrorKind::computed, fmt::format("point \"{}\" is not on this side", point));
  }
  return IntendedPose(job, *row, *placed);
}

Result<SectionPicture> SectionPictureOf(const SectionAsk& ask) {
  const HoleCheck& check = ask.check;
  const Part* part = ask.side.scene.FindPart(check.part);
  const auto pose = IntendedPose(ask.job, ask.side, check.point);
  if (!pose) return tl::unexpected<Error>(pose.error());
  const auto drill = Drill::Of(ask.job.drill, check.diameter);
  if (!drill) return tl::unexpected<Error>(drill.error());
  if (part == nullptr || check.outcome == Outcome::not_computed) {
    return Fail(ErrorKind::computed, "the hole's depths were not computed");
  }
  const PlacedPoint* placed = FindPlaced(ask.side.points, check.point);
  const Vec3 tangent = part->skin->FrameAt(placed->place.u).tangent;
  const auto plane = SectionPlane(*part, placed->place, *pose);
  if (!plane) return tl::unexpected<Error>(plane.error());
  const double size = part->skin->Perimeter(placed->place.u) / 2.0 + kBeside;
  const Eigen::AlignedBox2d window(Vec2(-size, -2.0 * kBeside), Vec2(size, size));

  SectionPicture picture;
  const double lean = std::asin(std::min(1.0, std::abs(plane->Normal().dot(tangent)))) / kDegree;
  picture.plane = fmt::format("{} the centre line of the {} at station {:.0f}",
                              lean > 89.0 ? "square to" : "as square as it can be to", part->name,
                              placed->station);
  for (const CutRegion& cut : ask.cutter.Cut(*plane, window).regions) {
    picture.regions.push_back(RegionOf(cut, *part, *plane));
  }
  picture.set_depth = SetDepth(ask.job, check);
  const auto outline = [&](const Pose& at, double depth) {
    return OnPaper(DrillOutline(*plane, at, *drill, {depth, depth + kBehind}));
  };
  picture.drill_set = outline(*pose, picture.set_depth);
  if (check.free_depth) picture.drill_contact = outline(*pose, *check.free_depth);
  if (ask.worst) picture.drill_worst = outline(*ask.worst, ask.worst_depth);
  picture.ways = WaysOf(*plane, ask.side.scene.outboard_y);
  return picture;
}

}  // namespace holeward
