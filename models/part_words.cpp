#include "models/part_words.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "models/part_flats.h"

namespace holeward {
namespace {

constexpr double kUpright = 30.0 * kDegree;
constexpr double kBorder = 10.0 * kDegree;
// A flat belongs to a face if it looks within this angle of the face's direction.
constexpr double kFlatCone = 45.0 * kDegree;

std::string Opposite(std::string_view face) {
  static constexpr std::array<std::array<std::string_view, 2>, 4> kPairs{
      {{"top", "underside"}, {"top", "bottom"}, {"front", "rear"}, {"outboard", "inboard"}}};
  for (const auto& pair : kPairs) {
    if (face == pair[1]) return std::string(pair[0]);
    if (face == pair[0]) return std::string(pair[1]);
  }
  return {};
}

bool Has(const std::vector<std::string>& words, std::string_view word) {
  return std::find(words.begin(), words.end(), word) != words.end();
}

Vec3 Chord(const PartRow& part) {
  if (part.stations.size() < 2) return Vec3::UnitY();
  return part.stations.back().centre - part.stations.front().centre;
}

// The horizontal face word a direction looks at most.
std::string HorizontalWord(const Vec3& d, Side described) {
  if (std::abs(d.x()) >= std::abs(d.y())) return d.x() >= 0.0 ? "front" : "rear";
  const bool left = d.y() >= 0.0;
  return left == (described == Side::left) ? "outboard" : "inboard";
}

void NameUpright(PartWords& words, const PartRow& part, Side described) {
  const Vec3 chord = Chord(part).normalized();
  const Vec3 up = part.up.value_or(Vec3::UnitX());
  words.b_plus = HorizontalWord(up - up.dot(chord) * chord, described);
  words.b_minus = Opposite(words.b_plus);
  const bool up_fore_aft = words.b_plus == "front" || words.b_plus == "rear";
  words.a_plus = up_fore_aft ? "outboard" : "front";
  words.a_minus = Opposite(words.a_plus);
}

void NameSides(PartWords& words, const PartRow& part, Side described) {
  if (words.lies == Lies::upright) {
    NameUpright(words, part, described);
    return;
  }
  words.b_plus = "top";
  words.b_minus = words.section == SectionKind::round ? "bottom" : "underside";
  words.a_plus = words.lies == Lies::across ? "front" : "outboard";
  words.a_minus = Opposite(words.a_plus);
}

// Faces in the order people read them: top, underside, front, rear, inboard, outboard.
std::vector<std::string> InOrder(const PartWords& words) {
  std::vector<std::string> found;
  for (const char* word : {"top", "underside", "bottom", "front", "rear", "inboard", "outboard"}) {
    for (const auto* side : {&words.a_plus, &words.a_minus, &words.b_plus, &words.b_minus}) {
      if (*side == word) found.emplace_back(word);
    }
  }
  return found;
}

// The direction a side looks in the section, (a, b).
Vec2 SideDirection(const PartWords& words, std::string_view face) {
  if (face == words.a_plus) return Vec2::UnitX();
  if (face == words.a_minus) return -Vec2::UnitX();
  if (face == words.b_plus) return Vec2::UnitY();
  return -Vec2::UnitY();
}

// The longest flat of a counter-clockwise outline that looks within 45 degrees of `direction`.
std::optional<std::size_t> FlatFacing(const std::vector<Vec2>& outline, const Vec2& direction) {
  std::optional<std::size_t> best;
  double longest = 0.0;
  for (std::size_t i = 0; i < outline.size(); ++i) {
    const Vec2 along = outline[(i + 1) % outline.size()] - outline[i];
    const double length = along.norm();
    const Vec2 outward(along.y(), -along.x());
    const bool faces = outward.dot(direction) >= length * (std::cos(kFlatCone) - 1e-9);
    if (faces && length > longest * (1.0 + 1e-9)) {
      longest = length;
      best = i;
    }
  }
  return best;
}

void NameOutline(PartWords& words, const PartRow& part) {
  const auto& outline = part.stations.front().outline;
  for (const auto& face : InOrder(words)) {
    const auto flat = FlatFacing(outline, SideDirection(words, face));
    const bool taken = flat && std::find(words.flat_of_face.begin(), words.flat_of_face.end(),
                                         *flat) != words.flat_of_face.end();
    if (!flat || taken) continue;
    words.faces.push_back(face);
    words.flat_of_face.push_back(*flat);
  }
}

// Two flats of an outline make an edge only where they follow each other.
bool Adjacent(const PartWords& words, std::size_t flats, std::size_t i, std::size_t j) {
  const std::size_t a = words.flat_of_face[i];
  const std::size_t b = words.flat_of_face[j];
  return (a + 1) % flats == b || (b + 1) % flats == a;
}

void NameOutlineEdges(PartWords& words, std::size_t flats) {
  for (std::size_t i = 0; i < words.faces.size(); ++i) {
    for (std::size_t j = 0; j < words.faces.size(); ++j) {
      if (i == j || !Adjacent(words, flats, i, j)) continue;
      words.edges.push_back({EdgeName(words.faces[j]), words.faces[i], words.faces[j], false});
    }
  }
}

void NameEdges(PartWords& words) {
  for (const auto& face : words.faces) {
    for (const auto& other : InOrder(words)) {
      if (other == face || other == Opposite(face)) continue;
      words.edges.push_back({EdgeName(other), face, other, !Has(words.faces, other)});
    }
  }
}

}  // namespace

const char* Word(Lies lies) {
  switch (lies) {
    case Lies::across: return "across";
    case Lies::along: return "along";
    case Lies::upright: return "upright";
  }
  return "across";
}

LiesRule LiesFromChord(const Vec3& chord) {
  LiesRule rule;
  const double flat = std::hypot(chord.x(), chord.y());
  const double from_upright = std::atan2(flat, std::abs(chord.z()));
  const double from_along = std::atan2(std::abs(chord.y()), std::abs(chord.x()));
  const Lies lying = std::abs(chord.y()) >= std::abs(chord.x()) ? Lies::across : Lies::along;
  rule.by_chord = from_upright <= kUpright ? Lies::upright : lying;
  if (from_upright < kUpright + kBorder) rule.candidates.push_back(Lies::upright);
  if (from_upright <= kUpright - kBorder) return rule;
  const bool near_diagonal = std::abs(from_along - kPi / 4.0) < kBorder;
  if (near_diagonal || lying == Lies::across) rule.candidates.push_back(Lies::across);
  if (near_diagonal || lying == Lies::along) rule.candidates.push_back(Lies::along);
  return rule;
}

std::optional<Vec3> DirectionOf(std::string_view word, Side described) {
  const Vec3 outboard = described == Side::left ? Vec3::UnitY() : Vec3(-Vec3::UnitY());
  if (word == "up" || word == "top") return Vec3::UnitZ();
  if (word == "down" || word == "underside" || word == "bottom") return Vec3(-Vec3::UnitZ());
  if (word == "front") return Vec3::UnitX();
  if (word == "rear") return Vec3(-Vec3::UnitX());
  if (word == "outboard") return outboard;
  if (word == "inboard") return Vec3(-outboard);
  return std::nullopt;
}

const std::vector<std::string>& DirectionWords() {
  static const std::vector<std::string> kWords{"up",   "down",    "front",
                                               "rear", "inboard", "outboard"};
  return kWords;
}

std::optional<std::string> PartWords::Face(std::string_view name) const {
  if (name == "bottom" && Has(faces, "underside")) return "underside";
  if (Has(faces, name)) return std::string(name);
  return std::nullopt;
}

std::optional<std::string> PartWords::Line(std::string_view name) const {
  if (name == "underside" && Has(lines, "bottom")) return "bottom";
  if (Has(lines, name)) return std::string(name);
  return std::nullopt;
}

std::optional<std::string> PartWords::FaceOrLine(std::string_view name) const {
  return section == SectionKind::round ? Line(name) : Face(name);
}

const EdgeWord* PartWords::Edge(std::string_view face, std::string_view name) const {
  const auto found = std::find_if(edges.begin(), edges.end(), [&](const EdgeWord& edge) {
    return edge.face == face && edge.name == name;
  });
  return found == edges.end() ? nullptr : &*found;
}

std::vector<std::string> PartWords::EdgesOf(std::string_view face) const {
  std::vector<std::string> names;
  for (const auto& edge : edges) {
    if (edge.face == face) names.push_back(edge.name);
  }
  return names;
}

PartWords WordsByDirection(const PartRow& part, Side described) {
  PartWords words;
  words.section = part.section;
  words.lies = LiesFromChord(Chord(part)).by_chord;
  for (const Lies lies : {Lies::across, Lies::along, Lies::upright}) {
    if (part.lies == Word(lies)) words.lies = lies;
  }
  NameSides(words, part, described);
  if (part.section == SectionKind::round) {
    words.lines = InOrder(words);
    return words;
  }
  if (part.section == SectionKind::outline && !part.stations.empty()) {
    NameOutline(words, part);
    NameOutlineEdges(words, part.stations.front().outline.size());
    return words;
  }
  for (const auto& face : InOrder(words)) {
    if (part.section != SectionKind::channel || part.open != face) words.faces.push_back(face);
  }
  NameEdges(words);
  return words;
}

PartWords WordsOf(const PartRow& part, Side described) {
  PartWords words = WordsByDirection(part, described);
  if (words.section != SectionKind::round) GiveNames(part, words);
  return words;
}

}  // namespace holeward
