#include "models/solid_part.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "geometry/solid_match.h"
#include "geometry/tube_of_solid.h"
#include "models/part_words.h"
#include "models/solid_file.h"

namespace holeward {
namespace {

// A given centre line runs along the tube, and its ends lie in the tube's, within this, mm.
constexpr double kLine = 0.01;
// Sine of the least angle between `up` and the centre line: 5 degrees.
constexpr double kLeastUp = 0.087;
// Corners of a section this near those of a box are a box's, mm.
constexpr double kBox = 1e-3;

std::string WordsFor(const PartRow& part) {
  return fmt::format("part \"{}\" (body {} of {})", part.name, part.solid->number,
                     part.solid->file);
}

/// True if the tube is to start at its second end.
bool StartsAtSecond(const FoundTube& tube, Lies lies) {
  const Vec3& a = tube.ends[0].centre;
  const Vec3& b = tube.ends[1].centre;
  switch (lies) {
    case Lies::across: return std::abs(b.y()) < std::abs(a.y());
    case Lies::along: return b.x() > a.x();
    case Lies::upright: return b.z() < a.z();
  }
  return false;
}

std::optional<Error> UseLine(FoundTube& tube, const std::pair<Vec3, Vec3>& line,
                             const std::string& what) {
  const auto far = [&](const Vec3& p, std::size_t end) {
    return (p - tube.ends[end].centre).norm();
  };
  if (far(line.first, 1) < far(line.first, 0)) std::swap(tube.ends[0], tube.ends[1]);
  const Vec3 axis = (tube.ends[1].centre - tube.ends[0].centre).normalized();
  const Vec3 at_start = line.first - tube.ends[0].centre;
  const Vec3 at_finish = line.second - tube.ends[1].centre;
  const double beyond = std::max(std::abs(at_start.dot(axis)), std::abs(at_finish.dot(axis)));
  const double aside = (at_finish - at_start).norm();
  if (beyond > kLine || aside > kLine) {
    return Error{
        ErrorKind::job,
        fmt::format("{}: its centre line runs from [{:.3f}, {:.3f}, {:.3f}] to [{:.3f}, "
                    "{:.3f}, {:.3f}] through the middles of its ends; \"from\" and \"to\" "
                    "must be these or lie beside them in the planes of the ends",
                    what, tube.ends[0].centre.x(), tube.ends[0].centre.y(), tube.ends[0].centre.z(),
                    tube.ends[1].centre.x(), tube.ends[1].centre.y(), tube.ends[1].centre.z())};
  }
  const Vec3 shift = at_start - at_start.dot(axis) * axis;
  for (TubeEnd& end : tube.ends) end.centre += shift;
  return std::nullopt;
}

/// True for the outline of a box about the centre line.
bool IsBox(const std::vector<Vec2>& outline, const std::vector<double>& corners) {
  if (outline.size() != 4) return false;
  const double half_width = std::abs(outline[0].x());
  const double half_height = std::abs(outline[0].y());
  for (std::size_t i = 0; i < 4; ++i) {
    if (std::abs(std::abs(outline[i].x()) - half_width) > kBox ||
        std::abs(std::abs(outline[i].y()) - half_height) > kBox ||
        std::abs(corners[i] - corners[0]) > kBox) {
      return false;
    }
  }
  return true;
}

/// The outline of an end in the section's axes, counter-clockwise.
StationRow StationOf(const TubeEnd& end, const Vec3& a, const Vec3& b) {
  StationRow station;
  station.centre = end.centre;
  station.diameter = 2.0 * end.radius;
  double area = 0.0;
  for (const Vec3& vertex : end.vertices) {
    const Vec3 off = vertex - end.centre;
    station.outline.emplace_back(off.dot(a), off.dot(b));
  }
  station.corners = end.corner_radii;
  for (std::size_t i = 0; i < station.outline.size(); ++i) {
    const Vec2& p = station.outline[i];
    const Vec2& q = station.outline[(i + 1) % station.outline.size()];
    area += p.x() * q.y() - p.y() * q.x();
  }
  if (area < 0.0) {
    std::reverse(station.outline.begin(), station.outline.end());
    std::reverse(station.corners.begin(), station.corners.end());
  }
  return station;
}

/// The axes of a section: b is `up` across the centre line, a across both to its named side.
std::pair<Vec3, Vec3> SectionAxes(const PartRow& part, const Vec3& axis, Side described) {
  const SkinLaw law = LawOf(part, described);  // of a stand-in box: only its axes count
  const Vec3 b = (law.up - law.up.dot(axis) * axis).normalized();
  Vec3 a = axis.cross(b);
  if (a.dot(law.a_toward) < 0.0) a = -a;
  return {a, b};
}

void SetSections(const FoundTube& tube, const std::pair<Vec3, Vec3>& axes, PartRow& part) {
  part.stations.clear();
  for (const TubeEnd& end : tube.ends) {
    part.stations.push_back(StationOf(end, axes.first, axes.second));
    part.stations.back().at = part.at;
  }
  if (tube.ends[0].round) {
    part.section = SectionKind::round;
    return;
  }
  const bool boxes = std::all_of(part.stations.begin(), part.stations.end(),
                                 [](const auto& s) { return IsBox(s.outline, s.corners); });
  part.section = boxes ? SectionKind::box : SectionKind::outline;
  if (!boxes) return;
  for (StationRow& station : part.stations) {
    station.width = 2.0 * std::abs(station.outline[0].x());
    station.height = 2.0 * std::abs(station.outline[0].y());
    station.corner = station.corners[0];
    station.outline.clear();
    station.corners.clear();
  }
}

HollowSpec SpecOf(const PartRow& row, const PartNames& names) {
  HollowSpec spec;
  spec.what = WordsFor(row);
  spec.wall = row.wall;
  for (std::size_t end = 0; end < 2; ++end) spec.closed[end] = row.ends[end] == EndKind::closed;
  spec.piece_names = names.pieces;
  spec.end_names = {row.start, row.finish};
  return spec;
}

}  // namespace

Result<void> TakeSolid(PartRow& part, Side described,
                       const std::optional<std::pair<Vec3, Vec3>>& centre_line) {
  const std::string what = WordsFor(part);
  auto tube = TubeOfSolid(part.solid->body.shape, what);
  if (!tube) return tl::unexpected(tube.error());
  const Vec3 chord = tube->ends[1].centre - tube->ends[0].centre;
  if (centre_line) {
    if (auto wrong = UseLine(*tube, *centre_line, what)) return tl::unexpected(std::move(*wrong));
  } else if (StartsAtSecond(*tube, LiesFromChord(chord).by_chord)) {
    std::swap(tube->ends[0], tube->ends[1]);
  }
  // The words that tell which way a and b point ask for stations.
  part.section = SectionKind::box;
  part.between = CentreShape::straight;
  part.stations.clear();
  for (const TubeEnd& end : tube->ends) {
    StationRow station;
    station.centre = end.centre;
    station.width = station.height = 1.0;
    part.stations.push_back(station);
  }
  const Vec3 axis = (tube->ends[1].centre - tube->ends[0].centre).normalized();
  const Vec3 up = part.up.value_or(Vec3::UnitZ());
  if (!(up.cross(axis).norm() > kLeastUp * up.norm())) {
    return Fail(ErrorKind::job,
                fmt::format("{}: its centre line runs along \"up\" (without one: [0, 0, 1]); give "
                            "an \"up\" across it",
                            what));
  }
  SetSections(*tube, SectionAxes(part, axis, described), part);
  for (std::size_t end = 0; end < 2; ++end) {
    part.ends[end] = tube->ends[end].closed ? EndKind::closed : EndKind::open;
  }
  const auto skin = Skin::Make(LawOf(part, described));
  if (!skin) {
    return Fail(skin.error().kind, fmt::format("{}: {}", what, skin.error().message));
  }
  const auto wall = WallOfSolid(part.solid->body.shape, *skin, what);
  if (!wall) return tl::unexpected(wall.error());
  part.wall = wall->middle();
  const auto matched = SolidOfSource(part, *skin, NamesOf(part, described));
  if (!matched) return tl::unexpected(matched.error());
  return {};
}

Result<NamedSolid> SolidOfSource(const PartRow& row, const Skin& skin, const PartNames& names) {
  return MatchedSolid(row.solid->body.shape, skin, SpecOf(row, names));
}

}  // namespace holeward
