// Whether every number of the clearance report is one.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "export/clearance_report.h"

namespace holeward {
namespace {

/// True if all of them are finite.
bool Finite(const std::vector<Vec2>& points) {
  return std::all_of(points.begin(), points.end(), [](const Vec2& p) { return p.allFinite(); });
}

bool Finite(const std::optional<double>& value) { return !value || std::isfinite(*value); }

bool Finite(const HoleCheck& c) {
  return Finite(c.diameter) && Finite(c.near_wall) && Finite(c.breakthrough) &&
         Finite(c.breakthrough_worst) && Finite(c.free_depth) && Finite(c.stop) &&
         Finite(c.margin) && Finite(c.margin_worst) && Finite(c.access);
}

bool Finite(const SectionPicture& picture) {
  bool ok = std::isfinite(picture.set_depth);
  for (const auto* drill : {&picture.drill_set, &picture.drill_contact, &picture.drill_worst}) {
    for (const SheetLoop& loop : *drill) ok = ok && Finite(loop.points);
  }
  for (const SheetRegion& region : picture.regions) {
    for (const SheetLoop& loop : region.loops) ok = ok && Finite(loop.points);
    ok = ok && (!region.centre || region.centre->allFinite());
  }
  for (const SectionWay& way : picture.ways) ok = ok && way.to.allFinite();
  return ok;
}

bool Finite(const ChanceChart& chance) {
  bool ok = std::isfinite(chance.probability) && std::isfinite(chance.upper_95);
  for (const ChartBin& bin : chance.bins) {
    ok = ok && std::isfinite(bin.from) && std::isfinite(bin.to) && std::isfinite(bin.share);
  }
  for (const ChanceChart::Quantile& q : chance.quantiles) {
    ok = ok && std::isfinite(q.at) && std::isfinite(q.margin);
  }
  return ok;
}

bool Finite(const std::vector<ShareBar>& shares) {
  return std::all_of(shares.begin(), shares.end(), [](const ShareBar& share) {
    return std::isfinite(share.gain) && Finite(share.variance_share);
  });
}

}  // namespace

std::string FirstNotFinite(const ClearanceReportInput& input) {
  for (const ClearanceHole& hole : input.holes) {
    const char* what = !Finite(hole.check)                      ? "check"
                       : hole.section && !Finite(*hole.section) ? "section"
                       : hole.chance && !Finite(*hole.chance)   ? "chance of contact"
                       : !Finite(hole.shares)                   ? "shares of the margin"
                       : !Finite(hole.probe_depth)              ? "probe depth"
                       : !Finite(hole.margin_worst_upper)       ? "worst margin"
                                                                : nullptr;
    if (what != nullptr) {
      return fmt::format("hole \"{}\", stage {}: the {}", hole.check.point, hole.check.stage, what);
    }
  }
  for (const PointCheckOut& row : input.points) {
    const PointCheck& p = row.check;
    if (!(Finite(p.edge_distance) && Finite(p.nearest_hole) && Finite(p.seat_gap) &&
          Finite(p.access))) {
      return fmt::format("point \"{}\": the check", p.point);
    }
  }
  return {};
}

}  // namespace holeward
