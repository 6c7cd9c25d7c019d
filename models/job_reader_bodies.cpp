// Reads the bodies inside a part and those in the way outside.
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>

#include <fmt/format.h>

#include "models/job_reading.h"

namespace holeward {
namespace {

/// Two stations in order, on the part; nothing if they are not given or are in error.
std::optional<std::array<double, 2>> StationsOf(TableWalk& walk, const PartSource& source) {
  const TomlNode* value = walk.Find("reach");
  if (!value) return std::nullopt;
  const bool pair = value->kind == TomlKind::list && value->items.size() == 2;
  if (!pair) {
    walk.Error(value->at, fmt::format("{} must be two stations [from, to]; found {}",
                                      walk.What("reach"), Shown(*value)));
    return std::nullopt;
  }
  const auto from = ReadNumber(value->items[0], "the first station of " + walk.What("reach"),
                               LengthBounds(), walk.context());
  const auto to = ReadNumber(value->items[1], "the second station of " + walk.What("reach"),
                             LengthBounds(), walk.context());
  if (!from || !to) return std::nullopt;
  if (*from >= *to) {
    walk.Error(value->at,
               fmt::format("{} must begin before it ends; found [{}, {}]", walk.What("reach"),
                           Shown(value->items[0]), Shown(value->items[1])));
  } else if (source.shape_known && *to > source.length) {
    walk.Error(value->items[1].at,
               fmt::format("{} goes beyond the part, which is about {:.6g} long; found {}",
                           walk.What("reach"), source.length / walk.context().unit_mm,
                           Shown(value->items[1])));
  }
  return std::array<double, 2>{*from, *to};
}

void ReadReach(TableWalk& walk, InnerRow& inner, const PartSource& source) {
  inner.reach = StationsOf(walk, source).value_or(std::array<double, 2>{0.0, -1.0});
}

void ReadThickness(TableWalk& walk, InnerRow& inner) {
  const auto kind = walk.Choice("kind", {"bar", "sleeve"});
  const auto diameter = walk.Number("diameter", SizeBounds(), Need::required);
  const bool sleeve = kind ? kind == "sleeve" : walk.Has("bore");
  inner.kind = sleeve ? InnerKind::sleeve : InnerKind::bar;
  inner.diameter = diameter.value_or(0.0);
  if (!sleeve && walk.Has("bore")) {
    walk.Refuse("bore", fmt::format("\"bore\" in {} is for a sleeve, not for a bar", walk.where()));
    return;
  }
  const auto bore = walk.Number("bore", SizeBounds(), sleeve ? Need::required : Need::optional);
  inner.bore = bore.value_or(0.0);
  if (!bore || !diameter || *bore < *diameter) return;
  walk.Error(walk.PlaceOf("bore"),
             fmt::format("{} must be less than the diameter ({:.6g}); found {}", walk.What("bore"),
                         *diameter / walk.context().unit_mm, Shown(*walk.Find("bore"))));
}

// Half the room inside the part along each section axis, the largest of its stations.
Vec2 HalfRoom(const PartRow& part) {
  Vec2 room = Vec2::Zero();
  for (const auto& s : part.stations) {
    Vec2 half(s.width / 2.0, s.height / 2.0);
    if (part.section == SectionKind::round) half.setConstant(s.diameter / 2.0);
    for (const auto& corner : s.outline) half = half.cwiseMax(corner.cwiseAbs());
    room = room.cwiseMax(half);
  }
  return room - Vec2::Constant(part.wall);
}

// Whether a body of this radius, this far off a straight part's centre line, must leave the room
// inside it. Only what is certain is told; the built solid decides the rest.
bool Outside(const PartRow& part, const Vec3& offset, double radius) {
  const Vec3 chord = (part.stations.back().centre - part.stations.front().centre).normalized();
  const Vec3 across = offset - offset.dot(chord) * chord;
  const Vec2 room = HalfRoom(part);
  if (part.section == SectionKind::round) return across.norm() + radius > room.x() + 1e-9;
  const Vec3 up = part.up.value_or(Vec3::UnitZ());
  const Vec3 b = (up - up.dot(chord) * chord).normalized();
  const Vec3 a = b.cross(chord);
  return std::abs(across.dot(a)) + radius > room.x() + 1e-9 ||
         std::abs(across.dot(b)) + radius > room.y() + 1e-9;
}

bool StraightPart(const PartRow& part) {
  const Vec3 first = part.stations.front().centre;
  const Vec3 chord = (part.stations.back().centre - first).normalized();
  return std::all_of(part.stations.begin(), part.stations.end(), [&](const StationRow& s) {
    return (s.centre - first).cross(chord).norm() < 1e-6;
  });
}

void CheckInside(TableWalk& walk, const PartRow& part, const InnerRow& inner) {
  if (part.section == SectionKind::channel || !StraightPart(part)) return;
  const Vec3 first = part.stations.front().centre;
  const bool straight = inner.path.empty();
  const bool outside =
      straight ? Outside(part, inner.offset, inner.diameter / 2.0)
               : std::any_of(inner.path.begin(), inner.path.end(), [&](const Vec3& place) {
                   return Outside(part, place - first, inner.diameter / 2.0);
                 });
  if (!outside) return;
  const char* key = straight ? (walk.Has("offset") ? "offset" : "diameter") : "path";
  walk.Error(walk.PlaceOf(key), fmt::format("{} does not fit inside {}: it would stand in the wall",
                                            walk.where(), fmt::format("[part.{}]", part.name)));
}

// Where it lies: a path of its own, or along the part.
void ReadLying(TableWalk& walk, InnerRow& inner, const PartSource& source) {
  if (!walk.Has("path")) {
    inner.offset = walk.Place("offset").value_or(Vec3::Zero());
    ReadReach(walk, inner, source);
    walk.Find("path");
    return;
  }
  for (const char* key : {"offset", "reach"}) {
    walk.Refuse(key, fmt::format("\"{}\" in {} cannot stand beside \"path\", which says where the "
                                 "body lies",
                                 key, walk.where()));
  }
  inner.path = walk.Places("path", 2, Need::optional);
  inner.reach = {0.0, -1.0};
}

}  // namespace

void ReadInnerBodies(TableWalk& walk, PartRow& part, const PartSource& source) {
  NameBook names;
  const auto tables = walk.Tables("inner");
  for (std::size_t i = 0; i < tables.size(); ++i) {
    TableWalk own(*tables[i], ItemName(*tables[i], "inner body", i, walk.where()), walk.context());
    InnerRow inner;
    inner.at = tables[i]->at;
    inner.name = own.Name("name").value_or("");
    names.Claim(inner.name, "an inner body", own.PlaceOf("name"), walk.context());
    const bool body = own.Has("body");
    if (body) {
      ReadInnerBody(own, part, source, inner);
    } else {
      own.Find("body");
      ReadThickness(own, inner);
      ReadLying(own, inner, source);
    }
    inner.basis = ReadBasis(own, "basis", body ? Basis::drawn : Basis::measured);
    if (source.shape_known && own.Sound()) CheckInside(own, part, inner);
    own.Finish();
    part.inner.push_back(std::move(inner));
  }
}

void ReadLaps(TableWalk& walk, PartRow& part, const PartSource& source) {
  NameBook names;
  const auto tables = walk.Tables("lap");
  for (std::size_t i = 0; i < tables.size(); ++i) {
    TableWalk own(*tables[i], ItemName(*tables[i], "lap", i, walk.where()), walk.context());
    Lap lap;
    lap.name = own.Name("name").value_or("");
    names.Claim(lap.name, "a lap", own.PlaceOf("name"), walk.context());
    // Left out: the whole length.
    const bool whole = !own.Has("reach");
    const auto reach = StationsOf(own, source);
    lap.from = reach ? (*reach)[0] : 0.0;
    // The length known here is about right; a lap over all of it must not end before the part does.
    lap.to = reach ? (*reach)[1] : whole ? std::numeric_limits<double>::infinity() : 0.0;
    lap.wall = own.Number("wall", SizeBounds(), Need::required).value_or(0.0);
    lap.basis = ReadBasis(own, "basis", Basis::measured);
    own.Finish();
    part.laps.push_back(std::move(lap));
  }
}

void ReadNeighbours(TableWalk& root, JobReadingState& state) {
  NameBook names;
  const auto tables = root.Tables("neighbour");
  for (std::size_t i = 0; i < tables.size(); ++i) {
    TableWalk walk(*tables[i], ItemName(*tables[i], "neighbour", i, ""), state.context);
    NeighbourRow neighbour;
    neighbour.at = tables[i]->at;
    neighbour.name = walk.Name("name").value_or("");
    names.Claim(neighbour.name, "a neighbour", walk.PlaceOf("name"), state.context);
    neighbour.path = walk.Places("path", 2, Need::required);
    for (std::size_t j = 1; j < neighbour.path.size(); ++j) {
      if ((neighbour.path[j] - neighbour.path[j - 1]).norm() >= 0.1) continue;
      walk.Error(walk.PlaceOf("path"),
                 fmt::format("places {} and {} of {} are the same", j, j + 1, walk.What("path")));
    }
    neighbour.diameter = walk.Number("diameter", SizeBounds(), Need::required).value_or(0.0);
    neighbour.basis = ReadBasis(walk, "basis", Basis::measured);
    neighbour.only = ReadOnly(walk);
    walk.Finish();
    state.job.neighbours.push_back(std::move(neighbour));
  }
}

}  // namespace holeward
