#include "models/place_words.h"

#include <cmath>
#include <cstdlib>
#include <optional>
#include <sstream>

#include <fmt/format.h>

#include "geometry/datum.h"

namespace holeward {
namespace {

/// A word that is a number and nothing else.
std::optional<double> NumberOf(const std::string& word) {
  char* end = nullptr;
  const double value = std::strtod(word.c_str(), &end);
  const bool whole = !word.empty() && end == word.c_str() + word.size();
  return whole && std::isfinite(value) ? std::optional(value) : std::nullopt;
}

std::string Trimmed(const std::string& text) {
  const auto from = text.find_first_not_of(" \t");
  return from == std::string::npos ? ""
                                   : text.substr(from, text.find_last_not_of(" \t") + 1 - from);
}

/// The v of the middle of a face or of a named line at u.
std::optional<double> MiddleOf(const Part& part, const std::string& name, double u) {
  if (const Face* face = part.FindFace(name)) {
    SkinLine middle;
    middle.flat = face->piece;
    return VOfLine(*part.skin, middle, u);
  }
  for (const NamedLine& line : part.lines) {
    if (line.name == name) return line.v;
  }
  return std::nullopt;
}

auto NoPlace(const Part& part, const std::string& words) {
  std::string faces;
  for (const Face& face : part.faces) faces += (faces.empty() ? "" : ", ") + face.name;
  for (const NamedLine& line : part.lines) faces += (faces.empty() ? "" : ", ") + line.name;
  return Fail(
      ErrorKind::job,
      fmt::format("\"{}\" is no place of {}: give a point or fitting by name, a station and "
                  "a girth (120 35), or a station and one of {} (120 {})",
                  words, part.name, faces, faces.substr(0, faces.find(','))));
}

}  // namespace

Result<SkinPlace> PlaceInWords(const Part& part, const std::vector<PlacedPoint>& points,
                               const std::string& words, double unit) {
  const std::string said = Trimmed(words);
  for (const PlacedPoint& point : points) {
    if (point.part == part.name && point.name == said) return point.place;
  }
  for (const Fitting& fitting : part.fittings) {
    if (!fitting.mirrored && fitting.name == said) return fitting.centre;
  }
  std::istringstream in(said);
  std::string first, second, third, more;
  in >> first >> second >> third >> more;
  const auto station = NumberOf(first);
  if (!station || second.empty() || !more.empty()) return NoPlace(part, said);
  if (*station < 0.0 || *station * unit > part.skin->length()) {
    return Fail(ErrorKind::job, fmt::format("station {} is beyond {}, which is {:.1f} long", first,
                                            part.name, part.skin->length() / unit));
  }
  const double u = part.skin->UOfStation(*station * unit);
  if (const auto girth = NumberOf(second); girth && third.empty()) {
    if (std::abs(*girth) * unit > part.skin->Perimeter(u)) {
      return Fail(ErrorKind::job,
                  fmt::format("girth {} is more than once round {} there", second, part.name));
    }
    return SkinPlace{u, part.skin->VOfGirth(u, *girth * unit)};
  }
  const auto middle = MiddleOf(part, second, u);
  const auto aside = third.empty() ? std::optional(0.0) : NumberOf(third);
  if (!middle || !aside) return NoPlace(part, said);
  return SkinPlace{u, WalkAround(*part.skin, u, *middle, *aside * unit)};
}

std::string WordsOfPlace(const Part& part, const SkinPlace& place, double unit) {
  return fmt::format("{:.{}f} {:.{}f}", part.skin->StationOf(place.u) / unit, unit > 1.0 ? 3 : 1,
                     part.skin->GirthOf(place.u, place.v) / unit, unit > 1.0 ? 3 : 1);
}

std::vector<std::string> NamedPlaces(const Part& part, const std::vector<PlacedPoint>& points) {
  std::vector<std::string> names;
  for (const Fitting& fitting : part.fittings) {
    if (!fitting.mirrored) names.push_back(fitting.name);
  }
  for (const PlacedPoint& point : points) {
    if (point.part == part.name) names.push_back(point.name);
  }
  return names;
}

}  // namespace holeward
