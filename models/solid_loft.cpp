#include "models/solid_loft.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "geometry/loft_of_solid.h"
#include "models/part_words.h"
#include "models/section_axes.h"
#include "models/solid_sections.h"

namespace holeward {
namespace {

/// Sections in the axes that a part's own have: b is `up` across the line, a to its named side.
class Axes {
 public:
  /// @param part a stand-in from end to end
  Axes(const PartRow& part, Side described) : up_(part.up.value_or(Vec3::UnitZ()).normalized()) {
    const Vec3 chord = (part.stations.back().centre - part.stations.front().centre).normalized();
    const auto [a, b] = SectionAxes(part, chord, described);
    sign_ = chord.cross(b).dot(a) < 0.0 ? -1.0 : 1.0;
  }

  /// The corners of a section from its centre, (a, b).
  [[nodiscard]] std::vector<Vec2> Of(const PlaneOutline& outline) const {
    const Vec3 b = (up_ - up_.dot(outline.normal) * outline.normal).normalized();
    const Vec3 a = sign_ * outline.normal.cross(b);
    std::vector<Vec2> corners;
    for (const Vec3& vertex : outline.vertices) {
      const Vec3 off = vertex - outline.centre;
      corners.emplace_back(off.dot(a), off.dot(b));
    }
    return corners;
  }

 private:
  Vec3 up_;
  double sign_ = 1.0;
};

StationRow StationOf(const LoftPlace& place, const Axes& axes) {
  StationRow station;
  station.centre = place.outline.centre;
  station.tangent = place.outline.normal;
  station.outline = axes.Of(place.outline);
  station.corners = place.outline.radii;
  SizeSlopes slopes;
  const std::vector<Vec2> first = axes.Of(place.beside[0]);
  const std::vector<Vec2> second = axes.Of(place.beside[1]);
  for (std::size_t k = 0; k < first.size(); ++k) {
    slopes.outline.push_back(place.Slope(station.outline[k], first[k], second[k]));
    slopes.corners.push_back(
        place.Slope(station.corners[k], place.beside[0].radii[k], place.beside[1].radii[k]));
  }
  station.slopes = std::move(slopes);
  return station;
}

void Turn(StationRow& station) {
  std::reverse(station.outline.begin(), station.outline.end());
  std::reverse(station.corners.begin(), station.corners.end());
  std::reverse(station.slopes->outline.begin(), station.slopes->outline.end());
  std::reverse(station.slopes->corners.begin(), station.slopes->corners.end());
}

/// Twice the mean distance of four corners from the middle, along a or b, and what it changes by.
std::pair<double, double> Across(const StationRow& station, int axis) {
  double size = 0.0;
  double slope = 0.0;
  for (std::size_t k = 0; k < 4; ++k) {
    const double off = station.outline[k][axis];
    size += 0.5 * std::abs(off);
    slope += 0.5 * std::copysign(1.0, off) * station.slopes->outline[k][axis];
  }
  return {size, slope};
}

void MakeBox(StationRow& station) {
  SizeSlopes slopes;
  std::tie(station.width, slopes.width) = Across(station, 0);
  std::tie(station.height, slopes.height) = Across(station, 1);
  station.corner = 0.0;
  for (std::size_t k = 0; k < 4; ++k) {
    station.corner += 0.25 * station.corners[k];
    slopes.corner += 0.25 * station.slopes->corners[k];
  }
  station.outline.clear();
  station.corners.clear();
  station.slopes = std::move(slopes);
}

}  // namespace

Result<void> TakeLoft(PartRow& part, Side described,
                      const std::optional<std::pair<Vec3, Vec3>>& centre_line,
                      const TopoDS_Shape& ends, const TopoDS_Shape& body) {
  const std::string what = Named(part);
  auto loft = LoftOfSolid(ends, body, what);
  if (!loft) return tl::unexpected(loft.error());
  const auto turn = RunsBack(loft->places.front().outline.centre,
                             loft->places.back().outline.centre, centre_line, what);
  if (!turn) return tl::unexpected(turn.error());
  if (*turn) loft = loft->Reversed();
  for (const LoftPlace& place : loft->places) {
    if (auto wrong = UpFault(part, place.outline.normal, what)) {
      return tl::unexpected(std::move(*wrong));
    }
  }
  StandIn(part, loft->places.front().outline.centre, loft->places.back().outline.centre);
  const Axes axes(part, described);
  part.stations.clear();
  for (const LoftPlace& place : loft->places) {
    StationRow station = StationOf(place, axes);
    station.at = part.at;
    if (RunsClockwise(station.outline)) Turn(station);
    part.stations.push_back(std::move(station));
  }
  const bool boxes = std::all_of(part.stations.begin(), part.stations.end(),
                                 [](const auto& s) { return IsBox(s.outline, s.corners); });
  part.section = boxes ? SectionKind::box : SectionKind::outline;
  part.between = CentreShape::smooth;
  if (boxes) std::for_each(part.stations.begin(), part.stations.end(), MakeBox);
  for (std::size_t end = 0; end < 2; ++end) {
    part.ends[end] = loft->closed[end] ? EndKind::closed : EndKind::open;
  }
  return {};
}

}  // namespace holeward
