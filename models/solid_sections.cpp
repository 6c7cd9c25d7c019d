#include "models/solid_sections.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "geometry/bent_tube.h"
#include "geometry/channel_of_solid.h"
#include "geometry/tube_of_solid.h"
#include "models/part_law.h"
#include "models/part_words.h"
#include "models/section_axes.h"
#include "models/solid_file.h"

namespace holeward {
namespace {

// A given centre line runs along the tube, and its ends lie in the tube's, within this, mm.
constexpr double kLine = 0.01;
// The open side of a channel looks along an axis of its section within this, radians.
constexpr double kTurned = 1e-5;

using CentreLine = std::optional<std::pair<Vec3, Vec3>>;

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
        fmt::format(
            "{}: its centre line runs from {} through the middles of its ends; \"from\" and "
            "\"to\" must be these or lie beside them in the planes of the ends",
            what, Places(tube.ends[0].centre, tube.ends[1].centre))};
  }
  const Vec3 shift = at_start - at_start.dot(axis) * axis;
  for (TubeEnd& end : tube.ends) end.centre += shift;
  return std::nullopt;
}

/// The outline of an end in the section's axes, counter-clockwise.
StationRow StationOf(const TubeEnd& end, const Vec3& a, const Vec3& b) {
  StationRow station;
  station.centre = end.centre;
  station.diameter = 2.0 * end.radius;
  for (const Vec3& vertex : end.vertices) {
    const Vec3 off = vertex - end.centre;
    station.outline.emplace_back(off.dot(a), off.dot(b));
  }
  station.corners = end.corner_radii;
  if (RunsClockwise(station.outline)) {
    std::reverse(station.outline.begin(), station.outline.end());
    std::reverse(station.corners.begin(), station.corners.end());
  }
  return station;
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

Result<void> TakeBent(PartRow& part, BentTube tube, const CentreLine& centre_line,
                      const std::string& what) {
  const auto turn =
      RunsBack(tube.places.front().centre, tube.places.back().centre, centre_line, what);
  if (!turn) return tl::unexpected(turn.error());
  if (*turn) tube = tube.Reversed();
  part.section = SectionKind::round;
  part.between = CentreShape::smooth;
  part.stations.clear();
  for (const CentrePlace& place : tube.places) {
    StationRow station;
    station.centre = place.centre;
    station.tangent = place.tangent;
    station.diameter = 2.0 * tube.radius;
    station.at = part.at;
    part.stations.push_back(station);
    if (auto wrong = UpFault(part, place.tangent, what)) return tl::unexpected(std::move(*wrong));
  }
  for (std::size_t end = 0; end < 2; ++end) {
    part.ends[end] = tube.closed[end] ? EndKind::closed : EndKind::open;
  }
  return {};
}

/// Sections and open side of a channel, by the axes of its section.
std::optional<Error> SetChannel(const FoundChannel& channel, const std::pair<Vec3, Vec3>& axes,
                                Side described, PartRow& part) {
  const std::string what = Named(part);
  const PartWords words = WordsOf(part, described);
  const Vec3& open = channel.ends[0].open;
  const std::array<std::pair<Vec3, std::string>, 4> sides{
      std::pair(axes.first, words.a_plus), std::pair(Vec3(-axes.first), words.a_minus),
      std::pair(axes.second, words.b_plus), std::pair(Vec3(-axes.second), words.b_minus)};
  const auto side = std::find_if(sides.begin(), sides.end(), [&](const auto& s) {
    return s.first.dot(open) > 0.0 && s.first.cross(open).norm() < kTurned;
  });
  if (side == sides.end()) {
    return Error{
        ErrorKind::job,
        fmt::format("{}: its open side looks along [{:.4f}, {:.4f}, {:.4f}]; give an \"up\" "
                    "along that or square to it",
                    what, open.x(), open.y(), open.z())};
  }
  const bool sideways = side - sides.begin() < 2;
  part.open = side->second;
  part.section = SectionKind::channel;
  part.stations.clear();
  for (const ChannelEnd& end : channel.ends) {
    StationRow station;
    station.centre = end.centre;
    station.width = sideways ? end.flange : end.web;
    station.height = sideways ? end.web : end.flange;
    station.corner = end.corner;
    station.at = part.at;
    part.stations.push_back(station);
  }
  return std::nullopt;
}

Result<void> TakeChannel(PartRow& part, Side described, FoundChannel channel,
                         const CentreLine& centre_line) {
  const std::string what = Named(part);
  FoundTube line;
  for (std::size_t i = 0; i < 2; ++i) line.ends[i].centre = channel.ends[i].centre;
  const Vec3 first = line.ends[0].centre;
  if (centre_line) {
    if (auto wrong = UseLine(line, *centre_line, what)) return tl::unexpected(std::move(*wrong));
    const double beside =
        std::min((line.ends[0].centre - first).norm(), (line.ends[1].centre - first).norm());
    if (beside > kLine) {
      return Fail(
          ErrorKind::job,
          fmt::format("{}: the centre line of a channel is that of its web and flanges, from "
                      "{}",
                      what, Places(channel.ends[0].centre, channel.ends[1].centre)));
    }
  }
  const bool turn = centre_line ? (line.ends[0].centre - first).norm() > kLine
                                : StartsAtSecond(first, channel.ends[1].centre);
  if (turn) std::swap(channel.ends[0], channel.ends[1]);
  StandIn(part, channel.ends[0].centre, channel.ends[1].centre);
  const Vec3 axis = (channel.ends[1].centre - channel.ends[0].centre).normalized();
  if (auto wrong = UpFault(part, axis, what)) return tl::unexpected(std::move(*wrong));
  const auto axes = SectionAxes(part, axis, described);
  if (auto wrong = SetChannel(channel, axes, described, part)) {
    return tl::unexpected(std::move(*wrong));
  }
  part.ends = {EndKind::open, EndKind::open};
  return {};
}

/// Sections of a straight tube of any other outline.
Result<void> TakeTube(PartRow& part, Side described, FoundTube tube,
                      const CentreLine& centre_line) {
  const std::string what = Named(part);
  if (centre_line) {
    if (auto wrong = UseLine(tube, *centre_line, what)) return tl::unexpected(std::move(*wrong));
  } else if (StartsAtSecond(tube.ends[0].centre, tube.ends[1].centre)) {
    std::swap(tube.ends[0], tube.ends[1]);
  }
  StandIn(part, tube.ends[0].centre, tube.ends[1].centre);
  const Vec3 axis = (tube.ends[1].centre - tube.ends[0].centre).normalized();
  if (auto wrong = UpFault(part, axis, what)) return tl::unexpected(std::move(*wrong));
  SetSections(tube, SectionAxes(part, axis, described), part);
  for (std::size_t end = 0; end < 2; ++end) {
    part.ends[end] = tube.ends[end].closed ? EndKind::closed : EndKind::open;
  }
  return {};
}

}  // namespace

std::string Named(const PartRow& part) {
  return fmt::format("part \"{}\" (body {} of {})", part.name, part.solid->number,
                     part.solid->file);
}

HollowSpec SpecOf(const PartRow& row, const PartNames& names) {
  HollowSpec spec;
  spec.what = Named(row);
  spec.wall = row.wall;
  for (std::size_t end = 0; end < 2; ++end) spec.closed[end] = row.ends[end] == EndKind::closed;
  spec.piece_names = names.pieces;
  spec.end_names = {row.start, row.finish};
  spec.lip_names = names.lips;
  return spec;
}

Result<void> TakeSections(PartRow& part, Side described, const CentreLine& centre_line,
                          const TopoDS_Shape& joined) {
  const std::string what = Named(part);
  if (HasRoundEnds(joined)) {
    auto bent = BentTubeOfSolid(joined, what);
    if (!bent) return tl::unexpected(bent.error());
    if (!bent->is_straight()) return TakeBent(part, std::move(*bent), centre_line, what);
  }
  if (HasChannelEnds(joined)) {
    auto channel = ChannelOfSolid(joined, what);
    if (!channel) return tl::unexpected(channel.error());
    return TakeChannel(part, described, std::move(*channel), centre_line);
  }
  auto tube = TubeOfSolid(joined, what);
  if (!tube) return tl::unexpected(tube.error());
  return TakeTube(part, described, std::move(*tube), centre_line);
}

}  // namespace holeward
