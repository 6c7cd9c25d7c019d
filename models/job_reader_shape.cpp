// Reads the sections and the centre line of a part. A size stands with its station, or once with
// the part for every station that does not give its own.
#include <algorithm>
#include <set>

#include <fmt/format.h>

#include "models/job_reading.h"

namespace holeward {
namespace {

// No part is measured at more; it bounds the work that a wrong file can cause.
constexpr std::size_t kMostRows = 500;

struct Sizes {
  std::optional<double> width, height, corner, diameter;
  std::vector<Vec2> outline;
  std::vector<double> corners;
  std::set<std::string> given;  // keys that are there, even if their values are wrong
};

std::vector<Vec2> ReadOutline(TableWalk& walk, Need need) {
  std::vector<Vec2> outline;
  const TomlNode* list = walk.Find("outline", need);
  if (!list) return outline;
  if (list->kind != TomlKind::list || list->items.size() < 3 || list->items.size() > kMostRows) {
    const auto found =
        list->kind == TomlKind::list ? fmt::format("{} of them", list->items.size()) : Shown(*list);
    walk.Error(list->at, fmt::format("{} must be a list of 3 to 500 corner points [a, b]; found {}",
                                     walk.What("outline"), Shown(*list)));
    return outline;
  }
  for (std::size_t i = 0; i < list->items.size(); ++i) {
    const TomlNode& item = list->items[i];
    const auto what = fmt::format("corner point {} of {}", i + 1, walk.What("outline"));
    if (item.kind != TomlKind::list || item.items.size() != 2) {
      walk.Error(item.at, fmt::format("{} must be [a, b]; found {}", what, Shown(item)));
      continue;
    }
    const auto a = ReadNumber(item.items[0], "a of " + what, CoordinateBounds(), walk.context());
    const auto b = ReadNumber(item.items[1], "b of " + what, CoordinateBounds(), walk.context());
    if (a && b) outline.emplace_back(*a, *b);
  }
  return outline;
}

// Sizes of a station, or of the part for all of them; a size is needed here unless `common` has it.
Sizes ReadSizes(TableWalk& walk, SectionKind section, Need need, const Sizes& common) {
  Sizes sizes = common;
  const auto unless_given = [&](const char* key) {
    if (walk.Has(key)) sizes.given.insert(key);
    return common.given.contains(key) ? Need::optional : need;
  };
  const auto read = [&](const char* key, const Bounds& bounds, std::optional<double>& size) {
    const auto own = walk.Number(key, bounds, unless_given(key));
    if (own) size = own;
  };
  if (section == SectionKind::round) {
    read("diameter", SizeBounds(), sizes.diameter);
  } else if (section == SectionKind::outline) {
    const auto outline = ReadOutline(walk, unless_given("outline"));
    if (!outline.empty()) sizes.outline = outline;
    const auto corners = walk.Numbers("corner", LengthBounds(), true, unless_given("corner"));
    if (!corners.empty()) sizes.corners = corners;
  } else {
    read("width", SizeBounds(), sizes.width);
    read("height", SizeBounds(), sizes.height);
    read("corner", LengthBounds(), sizes.corner);
  }
  return sizes;
}

// Returns false if the outline and its corner radii do not belong together.
bool SetOutline(StationRow& station, const Sizes& sizes, const TableWalk& owner) {
  station.outline = sizes.outline;
  station.corners = sizes.corners;
  if (sizes.outline.size() < 3 || sizes.corners.empty()) return false;
  if (sizes.corners.size() == 1)
    station.corners.assign(sizes.outline.size(), sizes.corners.front());
  if (station.corners.size() == station.outline.size()) return true;
  owner.context().Add(
      owner.PlaceOf("corner"),
      fmt::format("{} must be one radius or one for each of the {} corner points; "
                  "found {}",
                  owner.What("corner"), station.outline.size(), station.corners.size()));
  return false;
}

// `owner` is the table that has the corner radii, for the message.
bool SetSizes(StationRow& station, const Sizes& sizes, SectionKind section,
              const TableWalk& owner) {
  if (section == SectionKind::outline) return SetOutline(station, sizes, owner);
  station.width = sizes.width.value_or(0.0);
  station.height = sizes.height.value_or(0.0);
  station.corner = sizes.corner.value_or(0.0);
  station.diameter = sizes.diameter.value_or(0.0);
  return true;
}

std::optional<StationRow> ReadStation(const TomlNode& node, std::size_t index, TableWalk& walk,
                                      SectionKind section, const Sizes& common) {
  const auto where = fmt::format("station {} of {}", index + 1, walk.where());
  StationRow station;
  station.at = node.at;
  if (node.kind == TomlKind::table) {
    TableWalk own(node, where, walk.context());
    const auto centre = own.Place("centre", Need::required);
    const Sizes sizes = ReadSizes(own, section, Need::required, common);
    own.Finish();
    if (!centre || !own.Sound()) return std::nullopt;
    station.centre = *centre;
    if (!SetSizes(station, sizes, section, own.Has("corner") ? own : walk)) return std::nullopt;
    return station;
  }
  if (node.kind != TomlKind::list) {
    walk.Error(node.at, fmt::format("{} must be a table {{ centre = [x, y, z], ... }} or a place "
                                    "[x, y, z]; found {}",
                                    where, Shown(node)));
    return std::nullopt;
  }
  const auto centre = ReadPlace(node, where, walk.context());
  if (!centre) return std::nullopt;
  station.centre = *centre;
  if (!SetSizes(station, common, section, walk)) return std::nullopt;
  return station;
}

void ReadFromTo(TableWalk& walk, PartRow& part, const Sizes& common) {
  const auto from = walk.Place("from", Need::required);
  const auto to = walk.Place("to", Need::required);
  if (!from || !to) return;
  for (const char* key : {"from", "to"}) {
    StationRow station;
    station.centre = key == std::string("from") ? *from : *to;
    station.at = walk.PlaceOf(key);
    if (SetSizes(station, common, part.section, walk)) {
      part.stations.push_back(station);
    }
  }
}

void ReadStations(TableWalk& walk, PartRow& part, const TomlNode& list, const Sizes& common) {
  if (list.kind != TomlKind::list || list.items.size() < 2 || list.items.size() > kMostRows) {
    walk.Error(list.at, fmt::format("{} must be a list of 2 to 500 stations; found {}",
                                    walk.What("stations"), Shown(list)));
    return;
  }
  for (std::size_t i = 0; i < list.items.size(); ++i) {
    const auto station = ReadStation(list.items[i], i, walk, part.section, common);
    if (station) part.stations.push_back(*station);
  }
}

// Whether a station, or the straight form, leaves its sizes to the part.
bool SizesAreThePartsOwn(const TomlNode* stations) {
  if (!stations || stations->kind != TomlKind::list) return stations == nullptr;
  return std::any_of(stations->items.begin(), stations->items.end(),
                     [](const TomlNode& item) { return item.kind == TomlKind::list; });
}

}  // namespace

bool ReadShape(TableWalk& walk, PartRow& part) {
  const bool straight_form = !walk.Has("stations") && (walk.Has("from") || walk.Has("to"));
  const TomlNode* list = walk.Find("stations", straight_form ? Need::optional : Need::required);
  walk.CallMissing("stations", "\"stations\" (or \"from\" and \"to\")");
  const bool own_sizes = straight_form || (list && SizesAreThePartsOwn(list));
  TableWalk probe(walk.node(), walk.where(), walk.context());
  if (straight_form) {
    walk.Find("from");
  } else if (list) {
    for (const char* key : {"from", "to"}) {
      walk.Refuse(key, fmt::format("\"{}\" in {} cannot stand beside \"stations\"; give one or the "
                                   "other",
                                   key, walk.where()));
    }
  }
  const Sizes common =
      ReadSizes(walk, part.section, own_sizes ? Need::required : Need::optional, {});
  if (straight_form) ReadFromTo(walk, part, common);
  if (!straight_form && !list) walk.Find("from"), walk.Find("to");
  if (list) ReadStations(walk, part, *list, common);
  part.between = walk.Choice("between", {"smooth", "straight"}) == "straight"
                     ? CentreShape::straight
                     : CentreShape::smooth;
  part.up = walk.Place("up");
  part.lies = walk.Choice("lies", {"across", "along", "upright"});
  if (part.section == SectionKind::channel) {
    part.open = walk.Text("open", 60, Need::required);
  }
  const bool sized = !own_sizes || part.section != SectionKind::round || common.diameter;
  const bool boxed = !own_sizes ||
                     (part.section != SectionKind::box && part.section != SectionKind::channel) ||
                     (common.width && common.height && common.corner);
  return probe.Sound() && part.stations.size() >= 2 && sized && boxed;
}

}  // namespace holeward
