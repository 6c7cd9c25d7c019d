#include "models/part_law.h"

#include <algorithm>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include "models/part_flats.h"

namespace holeward {
namespace {

std::vector<Vec2> BoxVertices(double width, double height) {
  const double w = 0.5 * width;
  const double h = 0.5 * height;
  return {{w, -h}, {w, h}, {-w, h}, {-w, -h}};
}

template <class T>
std::vector<T> RotatedTo(std::vector<T> values, std::size_t first) {
  std::rotate(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(first % values.size()),
              values.end());
  return values;
}

void AddSection(SkinLaw& law, const PartRow& part, const PartWords& words, const StationRow& s) {
  switch (part.section) {
    case SectionKind::round: law.radii.push_back(0.5 * s.diameter); return;
    case SectionKind::box:
      law.vertices.push_back(BoxVertices(s.width, s.height));
      law.corner_radii.push_back(std::vector<double>(4, s.corner));
      if (!s.slopes) return;
      law.vertex_slopes.push_back(BoxVertices(s.slopes->width, s.slopes->height));
      law.corner_slopes.push_back(std::vector<double>(4, s.slopes->corner));
      return;
    case SectionKind::channel: {
      auto chain = BoxVertices(s.width, s.height);
      law.vertices.push_back(
          RotatedTo(std::move(chain), static_cast<std::size_t>(OpenSide(part, words))));
      law.corner_radii.push_back({0.0, s.corner, s.corner, 0.0});
      return;
    }
    case SectionKind::outline: {
      const std::size_t first = FlatsByDirection(part, words).first + 1;
      law.vertices.push_back(RotatedTo(s.outline, first));
      law.corner_radii.push_back(RotatedTo(s.corners, first));
      if (!s.slopes) return;
      law.vertex_slopes.push_back(RotatedTo(s.slopes->outline, first));
      law.corner_slopes.push_back(RotatedTo(s.slopes->corners, first));
      return;
    }
  }
}

std::string EdgeBetween(const PartWords& words, const std::string& face,
                        const std::string& neighbour) {
  for (const EdgeWord& edge : words.edges) {
    if (edge.face == face && edge.neighbour == neighbour) return edge.name;
  }
  return {};
}

// A corner is called by the flats on both sides, the lateral one first.
std::string CornerName(const PartWords& words, const std::string& before,
                       const std::string& after) {
  const bool lateral = after == words.a_plus || after == words.a_minus;
  return lateral ? fmt::format("corner {}-{}", after, before)
                 : fmt::format("corner {}-{}", before, after);
}

void NameRound(PartNames& names, const PartWords& words) {
  const auto sides = SidesInOrder(words);
  for (int i = 0; i < 4; ++i) {
    const auto k = static_cast<std::size_t>(i);
    names.lines.push_back({sides[k], static_cast<double>(i)});
    names.pieces.push_back(fmt::format("quarter {}-{}", sides[k], sides[(k + 1) % 4]));
  }
}

}  // namespace

SkinLaw LawOf(const PartRow& part, Side described) {
  const PartWords words = WordsByDirection(part, described);
  SkinLaw law;
  law.smooth = part.between == CentreShape::smooth;
  law.up = part.up.value_or(Vec3::UnitZ());
  law.a_toward = DirectionOf(words.a_plus, described).value_or(Vec3::UnitX());
  law.round = part.section == SectionKind::round;
  law.closed = part.section != SectionKind::channel;
  law.girth_origin_v = law.round ? 0.0 : 0.5;
  if (!law.closed) {
    // The underside is flat 0, 1 or 2 of the chain; where it is the open side the web counts.
    static constexpr std::array<double, 4> kOrigin{2.5, 4.5, 2.5, 0.5};
    law.girth_origin_v = kOrigin[static_cast<std::size_t>(OpenSide(part, words))];
  }
  for (const StationRow& s : part.stations) {
    law.centres.push_back(s.centre);
    if (s.tangent) law.tangents.push_back(*s.tangent);
    AddSection(law, part, words, s);
  }
  return law;
}

PartNames NamesOf(const PartRow& part, Side described) {
  const PartWords words = WordsOf(part, described);
  PartNames names;
  if (part.section == SectionKind::round) {
    NameRound(names, words);
    return names;
  }
  const bool closed = part.section != SectionKind::channel;
  const std::vector<std::string> flats = FlatNamesOf(part, WordsByDirection(part, described));
  const std::size_t n = flats.size();
  auto shown = [&](std::size_t k) {
    return flats[k].empty() ? fmt::format("flat {}", k + 1) : flats[k];
  };
  for (std::size_t k = 0; k < n; ++k) {
    names.pieces.push_back(shown(k));
    if (closed || k + 1 < n)
      names.pieces.push_back(CornerName(words, shown(k), shown((k + 1) % n)));
  }
  const std::string open = part.open.value_or("");
  for (const std::string& face : words.faces) {
    const auto k =
        static_cast<std::size_t>(std::find(flats.begin(), flats.end(), face) - flats.begin());
    if (k >= n) continue;
    const std::string before = closed || k > 0 ? flats[(k + n - 1) % n] : open;
    const std::string after = closed || k + 1 < n ? flats[(k + 1) % n] : open;
    names.faces.push_back({face, static_cast<int>(2 * k), EdgeBetween(words, face, before),
                           EdgeBetween(words, face, after)});
  }
  if (!closed) names.lips = {"lip " + flats.front(), "lip " + flats.back()};
  return names;
}

std::string Described(const PartRow& part) {
  auto sizes = [&](const StationRow& s) {
    switch (part.section) {
      case SectionKind::round: return fmt::format("{:g} across", s.diameter);
      case SectionKind::outline: return fmt::format("of {} corners", s.outline.size());
      default: return fmt::format("{:g} x {:g}, corner {:g}", s.width, s.height, s.corner);
    }
  };
  static constexpr const char* kSections[] = {"box", "round", "channel", "outline"};
  const std::string first = sizes(part.stations.front());
  const std::string last = sizes(part.stations.back());
  return fmt::format("part \"{}\" ({} {}{}, wall {:g})", part.name,
                     kSections[static_cast<int>(part.section)], first,
                     first == last ? "" : " to " + last, part.wall);
}

}  // namespace holeward
