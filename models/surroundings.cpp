#include "models/surroundings.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "geometry/fitting_spread.h"
#include "geometry/mounted_body.h"
#include "geometry/parallel.h"
#include "geometry/solid.h"

namespace holeward {
namespace {

// What a block of unstated height is taken to stand off the skin, mm: more than any tool is near.
constexpr double kTall = 400.0;
// Half a size's error lies each side of the centre line, across and up: √2 / 2 of it together.
constexpr double kHalfDiagonal = 0.7072;

void Append(std::vector<Obstacle>& to, const std::vector<Obstacle>& more) {
  to.insert(to.end(), more.begin(), more.end());
}

/// What a marking lets a wall or an inner body be off. @param times -1 takes it away again
void AddErrors(const Marking& marking, double times, Obstacle& obstacle) {
  if (obstacle.kind == ObstacleKind::wall) {
    obstacle.wall_error += times * marking.wall.plus;
    obstacle.outline_error += times * marking.outline.Greatest();
    obstacle.shift += times * (marking.wall.plus + marking.outline.minus);
  } else if (obstacle.kind == ObstacleKind::inner) {
    obstacle.shift +=
        times * (marking.inner_body.Greatest() + kHalfDiagonal * marking.outline.Greatest());
  }
}

Obstacle WallOf(const Part& part, const FacePatches& face, const Marking& marking) {
  Obstacle wall{face.role == FaceRole::fitting ? face.name : "far wall", ObstacleKind::wall,
                face.role, face.patches};
  wall.wall_error = wall.shift = part.wall_deviation;
  AddErrors(marking, 1.0, wall);
  wall.round = part.skin->round();
  // A fitting that readings place is metal of the part that may stand elsewhere.
  for (const Fitting& fitting : part.fittings) {
    if (face.role != FaceRole::fitting || fitting.name != face.name) continue;
    const double moved =
        MovedAtMost(*part.skin, fitting, fitting.height.value_or(0.0)).value_or(0.0);
    for (BezierPatch& patch : wall.patches) patch.grown += moved;
  }
  return wall;
}

/// The faces of a part's solid as what they are to a hole.
struct PartFaces {
  std::vector<Obstacle> walls;
  Obstacle outside;  ///< skin, ends and lips, by the part's name
  Obstacle whole;    ///< all faces, by the part's name
};

Result<PartFaces> FacesOf(const Part& part, const Marking& marking) {
  if (part.solid == nullptr || part.skin == nullptr) {
    return Fail(ErrorKind::computed,
                fmt::format("part '{}' has no solid to check against", part.name));
  }
  const auto faces = part.solid->Patches();
  if (!faces) return tl::unexpected(faces.error());
  PartFaces own;
  own.outside = {part.name, ObstacleKind::other, FaceRole::outer, {}};
  own.whole = own.outside;
  for (const FacePatches& face : *faces) {
    own.walls.push_back(WallOf(part, face, marking));
    auto& whole = own.whole.patches;
    whole.insert(whole.end(), face.patches.begin(), face.patches.end());
    if (face.role == FaceRole::inner || face.role == FaceRole::hole) continue;
    auto& outside = own.outside.patches;
    outside.insert(outside.end(), face.patches.begin(), face.patches.end());
  }
  return own;
}

std::vector<Obstacle> InnerOf(const Part& part, const Marking& marking) {
  std::vector<Obstacle> inner;
  for (const InnerBody& body : part.inner) {
    inner.push_back(ObstacleOf(body));
    AddErrors(marking, 1.0, inner.back());
  }
  return inner;
}

NearObstacles Picked(const ObstacleField& field, const Chosen& chosen) {
  NearObstacles near;
  near.looked_at = chosen.looked_at;
  for (const std::size_t i : chosen.indices) near.obstacles.push_back(field.all()[i]);
  return near;
}

}  // namespace

void ChangeErrors(const Marking& from, const Marking& to, std::vector<Obstacle>& obstacles) {
  for (Obstacle& obstacle : obstacles) {
    AddErrors(from, -1.0, obstacle);
    // Rounding must not leave less than nothing.
    obstacle.wall_error = std::max(0.0, obstacle.wall_error);
    obstacle.outline_error = std::max(0.0, obstacle.outline_error);
    obstacle.shift = std::max(0.0, obstacle.shift);
    AddErrors(to, 1.0, obstacle);
  }
}

Result<Surroundings> Surroundings::Make(const Scene& scene, const Marking& marking) {
  Surroundings all;
  std::map<std::string, std::vector<std::pair<Obstacle, Beside>>> by_part;
  std::vector<Obstacle> outside;
  std::vector<Obstacle> tall;
  std::vector<Obstacle> everything;  // that the horizon is taken from
  int number = 0;
  auto faces_of_parts = MadeOfEach(scene.parts.size(),
                                   [&](std::size_t i) { return FacesOf(scene.parts[i], marking); });
  for (std::size_t i = 0; i < scene.parts.size(); ++i) {
    const Part& part = scene.parts[i];
    auto& faces = faces_of_parts[i];
    if (!faces) return tl::unexpected(faces.error());
    OfPart own{std::move(faces->walls), InnerOf(part, marking), number++};
    everything.push_back(faces->whole);
    Append(everything, own.inner);
    auto& around = by_part[part.name];
    for (const Fitting& fitting : part.fittings) {
      if (fitting.shape == FittingShape::hole) continue;
      const bool known = fitting.shape != FittingShape::block || fitting.height.has_value();
      Obstacle body = ObstacleOf(fitting, *part.skin, fitting.height.value_or(kTall));
      if (const auto* mount = BodyOfFitting(part.solid.get(), fitting.name)) {
        body.patches = mount->patches;
      }
      const auto moved = MovedAtMost(*part.skin, fitting, fitting.height.value_or(kTall));
      for (BezierPatch& patch : body.patches) patch.grown += moved.value_or(0.0);
      const bool assumed = fitting.basis == Basis::assumed || !moved;
      if (assumed) all.assumed_.push_back(fitting.name);
      if (!known) {
        tall.push_back(std::move(body));
        continue;
      }
      everything.push_back(body);
      around.push_back({std::move(body), {Heeded::by_all, own.number}});
    }
    around.push_back({std::move(faces->outside), {Heeded::by_own, own.number}});
    around.push_back({std::move(faces->whole), {Heeded::by_others, own.number}});
    for (Obstacle body : own.inner) {
      body.kind = ObstacleKind::other;
      body.shift = 0.0;
      around.push_back({std::move(body), {Heeded::by_others, own.number}});
    }
    if (part.basis == Basis::assumed) all.assumed_.push_back(part.name);
    all.parts_.emplace(part.name, std::move(own));
  }
  for (const Neighbour& neighbour : scene.neighbours) {
    outside.push_back(ObstacleOf(neighbour));
    all.beside_.emplace_back();
    if (neighbour.basis == Basis::assumed) all.assumed_.push_back(neighbour.name);
  }
  Append(everything, outside);
  all.diagonal_ = DiagonalOf(everything);
  for (auto& [name, around] : by_part) {
    for (auto& [obstacle, beside] : around) {
      outside.push_back(std::move(obstacle));
      all.beside_.push_back(beside);
    }
  }
  all.outside_ = ObstacleField(std::move(outside));
  all.tall_ = ObstacleField(std::move(tall));
  return all;
}

ObstacleField::Counts Surroundings::CountsFor(const std::string& part, bool own_skin) const {
  const auto found = parts_.find(part);
  const int own = found == parts_.end() ? -1 : found->second.number;
  return [this, own, own_skin](std::size_t i) {
    const Beside& beside = beside_[i];
    switch (beside.heeded) {
      case Heeded::by_all: return true;
      case Heeded::by_own: return own_skin && beside.part == own;
      case Heeded::by_others: return beside.part != own;
    }
    return true;
  };
}

NearObstacles Surroundings::ForDrill(const std::string& part,
                                     const std::optional<PosesReach>& reach) const {
  const OfPart& own = parts_.at(part);
  const auto counts = CountsFor(part, false);
  const auto any = [](std::size_t) { return true; };
  const NearObstacles beside =
      Picked(outside_, reach ? outside_.Within(*reach, counts) : outside_.All(counts));
  const NearObstacles tall = Picked(tall_, reach ? tall_.Within(*reach, any) : tall_.All(any));
  NearObstacles near{own.walls, beside.looked_at + tall.looked_at};
  Append(near.obstacles, own.inner);
  Append(near.obstacles, beside.obstacles);
  Append(near.obstacles, tall.obstacles);
  return near;
}

NearObstacles Surroundings::Outside(const std::string& part, bool own_skin,
                                    const ToolRoom& tool) const {
  return Picked(outside_, outside_.NearestTo(tool, CountsFor(part, own_skin)));
}

NearObstacles Surroundings::Tall(const ToolRoom& tool) const {
  return Picked(tall_, tall_.NearestTo(tool, [](std::size_t) { return true; }));
}

bool Surroundings::IsAssumed(const std::string& body) const {
  return std::find(assumed_.begin(), assumed_.end(), body) != assumed_.end();
}

bool Surroundings::IsTall(const std::string& body) const {
  return std::any_of(tall_.all().begin(), tall_.all().end(),
                     [&](const Obstacle& o) { return o.body == body; });
}

}  // namespace holeward
