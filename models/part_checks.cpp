// Sizes and places of a part that cannot be, found before anything is built of them.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "models/job_reading.h"

namespace holeward {
namespace {

// Two stations closer than this are one: no centre line can be drawn through them.
constexpr double kSamePlace = 0.1;
// A straight centre line's length is known but for rounding in the job; a smooth one is longer than
// its chords, for a half circle through three stations by 11 %.
constexpr double kStraightSlack = 1.01;
constexpr double kSmoothSlack = 1.15;
// Least angle between `up` and the chord, and the greatest lean of `up` on a part not upright.
constexpr double kLeastUp = 10.0 * kDegree;
constexpr double kGreatestUpLean = 45.0 * kDegree;

// Where the size `key` of station i stands: with the station, else with the part.
Location PlaceOfSize(const TableWalk& walk, std::size_t i, const char* key) {
  const TomlNode* list = walk.node().Find("stations");
  if (list && i < list->items.size() && list->items[i].Find(key))
    return list->items[i].PlaceOf(key);
  return walk.PlaceOf(key);
}

// Who has the size `key` of station i: the station, or the part for all of them.
std::string OwnerOfSize(const TableWalk& walk, std::size_t i, const char* key) {
  const TomlNode* list = walk.node().Find("stations");
  const bool own = list && i < list->items.size() && list->items[i].Find(key);
  return own ? fmt::format("station {} of {}", i + 1, walk.where()) : walk.where();
}

std::string InUnit(const TableWalk& walk, double mm) {
  return fmt::format("{:.6g}", mm / walk.context().unit_mm);
}

void CheckBox(TableWalk& walk, const PartRow& part, std::size_t i) {
  const StationRow& s = part.stations[i];
  const double least = std::min(s.width, s.height);
  const char* name = s.width <= s.height ? "width" : "height";
  if (2.0 * s.corner >= least) {
    walk.Error(PlaceOfSize(walk, i, "corner"),
               fmt::format("\"corner\" in {} must be less than half the {} ({}); found {}",
                           OwnerOfSize(walk, i, "corner"), name, InUnit(walk, least / 2.0),
                           InUnit(walk, s.corner)));
  }
}

Vec2 Extent(const std::vector<Vec2>& outline) {
  Vec2 low = outline.front();
  Vec2 high = outline.front();
  for (const auto& corner : outline) {
    low = low.cwiseMin(corner);
    high = high.cwiseMax(corner);
  }
  return high - low;
}

void CheckOutlineStation(TableWalk& walk, PartRow& part, std::size_t i) {
  StationRow& s = part.stations[i];
  if (!CheckOutline(s, PlaceOfSize(walk, i, "outline"), OwnerOfSize(walk, i, "outline"),
                    walk.context()))
    return;
  if (s.outline.size() != part.stations.front().outline.size()) {
    walk.Error(PlaceOfSize(walk, i, "outline"),
               fmt::format("\"outline\" in {} must have as many corner points as station 1 ({}); "
                           "found {}",
                           OwnerOfSize(walk, i, "outline"), part.stations.front().outline.size(),
                           s.outline.size()));
  }
}

// The smallest size of a section and what it is called.
struct Smallest {
  double size;
  const char* name;
};

Smallest SmallestOf(const PartRow& part, const StationRow& s) {
  if (part.section == SectionKind::round) return {s.diameter, "diameter"};
  if (part.section == SectionKind::outline) return {Extent(s.outline).minCoeff(), "outline"};
  return s.width <= s.height ? Smallest{s.width, "width"} : Smallest{s.height, "height"};
}

void CheckWall(TableWalk& walk, const PartRow& part) {
  if (!(part.wall > 0.0)) return;  // told already
  const auto tightest = std::min_element(
      part.stations.begin(), part.stations.end(), [&](const StationRow& a, const StationRow& b) {
        return SmallestOf(part, a).size < SmallestOf(part, b).size;
      });
  const auto [size, name] = SmallestOf(part, *tightest);
  if (2.0 * part.wall < size) return;
  walk.Error(
      walk.PlaceOf("wall"),
      fmt::format("\"wall\" in {} must be less than half the {} of station {} ({}); found {}",
                  walk.where(), name, tightest - part.stations.begin() + 1,
                  InUnit(walk, size / 2.0), InUnit(walk, part.wall)));
}

void CheckSizes(TableWalk& walk, PartRow& part) {
  // Sizes given once for the part would be found wrong at every station alike.
  const std::size_t before = walk.context().errors.size();
  for (std::size_t i = 0; i < part.stations.size(); ++i) {
    const bool told = walk.context().errors.size() > before && !walk.node().Find("stations");
    if (told) break;
    if (part.section == SectionKind::outline) {
      CheckOutlineStation(walk, part, i);
    } else if (part.section != SectionKind::round) {
      CheckBox(walk, part, i);
    }
  }
  CheckWall(walk, part);
}

void CheckPlaces(TableWalk& walk, const PartRow& part) {
  const auto& stations = part.stations;
  for (std::size_t j = 1; j < stations.size(); ++j) {
    for (std::size_t i = 0; i < j; ++i) {
      if ((stations[i].centre - stations[j].centre).norm() >= kSamePlace) continue;
      const bool straight = !walk.node().Find("stations");
      walk.Error(stations[j].at,
                 straight
                     ? fmt::format("\"from\" and \"to\" in {} are the same place", walk.where())
                     : fmt::format("station {} of {} is at the same place as station {}", j + 1,
                                   walk.where(), i + 1));
      break;
    }
  }
}

std::vector<std::string> WordsOfAll(const std::vector<Lies>& all) {
  std::vector<std::string> words;
  for (const Lies lies : all) words.emplace_back(Word(lies));
  return words;
}

// Returns false if how the part lies is not settled.
bool CheckLies(TableWalk& walk, const PartRow& part, const Vec3& chord) {
  const LiesRule rule = LiesFromChord(chord);
  const auto words = WordsOfAll(rule.candidates);
  if (!part.lies && rule.candidates.size() > 1) {
    walk.Error(part.at, fmt::format("{} lies within 10 degrees of a border between {}; say which "
                                    "with lies = \"...\"",
                                    walk.where(), fmt::join(words, " and ")));
    return false;
  }
  if (part.lies && std::find(words.begin(), words.end(), *part.lies) == words.end()) {
    walk.Error(walk.PlaceOf("lies"),
               fmt::format("{} does not fit: from end to end the part lies "
                           "{}; found {}",
                           walk.What("lies"), OneOf(words), Quoted(*part.lies)));
    return false;
  }
  return true;
}

bool CheckUp(TableWalk& walk, const PartRow& part, const Vec3& chord) {
  const Lies lies = WordsOf(part, Side::left).lies;
  if (!part.up) {
    if (lies != Lies::upright) return true;
    walk.Error(part.at, fmt::format("\"up\" is missing in {}: an upright part says which way up is "
                                    "in its sections, as [x, y, z]",
                                    walk.where()));
    return false;
  }
  if (part.up->norm() < 1e-6) {
    walk.Error(walk.PlaceOf("up"), fmt::format("{} must have a length", walk.What("up")));
    return false;
  }
  const double along = part.up->cross(chord).norm() / (part.up->norm() * chord.norm());
  if (along < std::sin(kLeastUp)) {
    walk.Error(walk.PlaceOf("up"), fmt::format("{} must not point along the part: it is within 10 "
                                               "degrees of the line from end to end",
                                               walk.What("up")));
    return false;
  }
  if (lies != Lies::upright && part.up->z() < part.up->norm() * std::cos(kGreatestUpLean)) {
    walk.Error(walk.PlaceOf("up"),
               fmt::format("{} must be within 45 degrees of [0, 0, 1] on a part "
                           "that is not upright",
                           walk.What("up")));
    return false;
  }
  return true;
}

// The open face of a channel, by its canonical name.
void CheckOpen(TableWalk& walk, PartRow& part, const PartWords& words) {
  const std::vector<std::string> sides{words.b_plus, words.b_minus, words.a_plus, words.a_minus};
  if (part.open == "bottom") part.open = "underside";
  if (std::find(sides.begin(), sides.end(), *part.open) != sides.end()) return;
  walk.Error(
      walk.PlaceOf("open"),
      fmt::format("{} must be {}, the sides of a part that lies {}; found {}{}", walk.What("open"),
                  OneOf(sides), Word(words.lies), Quoted(*part.open), Meant(*part.open, sides)));
}

double SectionGirth(const PartRow& part, const StationRow& s) {
  if (part.section == SectionKind::round) return kPi * s.diameter;
  if (part.section != SectionKind::outline) return 2.0 * (s.width + s.height);
  double around = 0.0;
  for (std::size_t i = 0; i < s.outline.size(); ++i) {
    around += (s.outline[(i + 1) % s.outline.size()] - s.outline[i]).norm();
  }
  return around;
}

double SectionWidest(const PartRow& part, const StationRow& s) {
  if (part.section == SectionKind::round) return s.diameter;
  if (part.section == SectionKind::outline) return Extent(s.outline).norm();
  return std::max(s.width, s.height);
}

void Measure(const PartRow& part, PartSource& source) {
  double chords = 0.0;
  for (std::size_t i = 1; i < part.stations.size(); ++i) {
    chords += (part.stations[i].centre - part.stations[i - 1].centre).norm();
  }
  const bool straight = part.stations.size() == 2 || part.between == CentreShape::straight;
  source.length = chords * (straight ? kStraightSlack : kSmoothSlack);
  for (const auto& s : part.stations) {
    source.girth = std::max(source.girth, SectionGirth(part, s));
    source.widest = std::max(source.widest, SectionWidest(part, s));
  }
}

}  // namespace

void CheckShape(TableWalk& walk, PartRow& part, PartSource& source, Side described) {
  TableWalk probe(walk.node(), walk.where(), walk.context());
  CheckSizes(walk, part);
  CheckPlaces(walk, part);
  source.shape_known = probe.Sound();
  if (!source.shape_known) return;
  const Vec3 chord = part.stations.back().centre - part.stations.front().centre;
  source.shape_known = CheckLies(walk, part, chord) && CheckUp(walk, part, chord);
  if (!source.shape_known) return;
  source.words = WordsOf(part, described);
  if (part.section == SectionKind::channel && part.open) {
    CheckOpen(walk, part, source.words);
    source.words = WordsOf(part, described);
  }
  source.shape_known = probe.Sound();
  Measure(part, source);
}

}  // namespace holeward
