#include "models/part_flats.h"

#include <algorithm>
#include <utility>

#include "models/solid_file.h"

namespace holeward {
namespace {

// The first vertex of the flat that is the underside; of the one that faces down most if none is.
std::size_t UndersideFlat(const PartRow& part, const PartWords& words) {
  for (std::size_t i = 0; i < words.faces.size(); ++i) {
    if (words.faces[i] == words.b_minus) return words.flat_of_face[i];
  }
  const auto& outline = part.stations.front().outline;
  std::size_t best = 0;
  double most = -2.0;
  for (std::size_t i = 0; i < outline.size(); ++i) {
    const Vec2 along = (outline[(i + 1) % outline.size()] - outline[i]).normalized();
    if (along.x() > most) {  // outward of a counter-clockwise flat is (along.y, -along.x)
      most = along.x();
      best = i;
    }
  }
  return best;
}

/// One flat under the name that the job gives it.
class Renaming {
 public:
  Renaming(PartWords& words, Flats flats) : words_(words), flats_(std::move(flats)) {}

  void Give(const FaceNameRow& row) {
    const auto flat = static_cast<std::size_t>(row.flat);
    if (flat >= flats_.names.size()) return;
    const std::string old = std::exchange(flats_.names[flat], row.name);
    if (old.empty()) {
      AddFace(flat);
      return;
    }
    std::replace(words_.faces.begin(), words_.faces.end(), old, row.name);
    for (EdgeWord& edge : words_.edges) {
      if (edge.face == old) edge.face = row.name;
      if (edge.neighbour != old) continue;
      edge.neighbour = row.name;
      edge.name = EdgeName(row.name);
    }
  }

 private:
  /// A flat that no direction names: only an outline has such, and it is closed. With the edges it
  /// has with named flats beside it.
  void AddFace(std::size_t flat) {
    const std::size_t n = flats_.names.size();
    const std::string& name = flats_.names[flat];
    words_.faces.push_back(name);
    words_.flat_of_face.push_back((flat + flats_.first) % n);
    for (const std::size_t beside : {(flat + n - 1) % n, (flat + 1) % n}) {
      const std::string& other = flats_.names[beside];
      if (other.empty()) continue;
      words_.edges.push_back({EdgeName(other), name, other, false});
      words_.edges.push_back({EdgeName(name), other, name, false});
    }
  }

  PartWords& words_;
  Flats flats_;
};

}  // namespace

std::array<std::string, 4> SidesInOrder(const PartWords& words) {
  return {words.b_minus, words.a_plus, words.b_plus, words.a_minus};
}

int OpenSide(const PartRow& part, const PartWords& words) {
  const auto sides = SidesInOrder(words);
  for (int i = 0; i < 4; ++i) {
    if (part.open == sides[static_cast<std::size_t>(i)]) return i;
  }
  return 0;
}

Flats FlatsByDirection(const PartRow& part, const PartWords& words) {
  Flats flats;
  const auto sides = SidesInOrder(words);
  if (part.section == SectionKind::outline) {
    const std::size_t n = part.stations.front().outline.size();
    flats.first = UndersideFlat(part, words);
    flats.names.assign(n, "");
    for (std::size_t i = 0; i < words.faces.size(); ++i) {
      flats.names[(words.flat_of_face[i] + n - flats.first) % n] = words.faces[i];
    }
    return flats;
  }
  if (part.section == SectionKind::box) {
    flats.names.assign(sides.begin(), sides.end());
    return flats;
  }
  const int open = OpenSide(part, words);
  for (int i = 1; i < 4; ++i) {
    flats.names.push_back(sides[static_cast<std::size_t>((open + i) % 4)]);
  }
  return flats;
}

std::vector<std::string> FlatNamesOf(const PartRow& part, const PartWords& words) {
  std::vector<std::string> names = FlatsByDirection(part, words).names;
  if (!part.solid) return names;
  for (const FaceNameRow& row : part.solid->face_names) {
    if (static_cast<std::size_t>(row.flat) < names.size()) {
      names[static_cast<std::size_t>(row.flat)] = row.name;
    }
  }
  return names;
}

void GiveNames(const PartRow& part, PartWords& words) {
  if (!part.solid || part.solid->face_names.empty() || part.stations.empty()) return;
  Renaming renaming(words, FlatsByDirection(part, words));
  for (const FaceNameRow& row : part.solid->face_names) renaming.Give(row);
}

std::string EdgeName(const std::string& neighbour) {
  return (neighbour == "underside" ? "bottom" : neighbour) + " edge";
}

}  // namespace holeward
