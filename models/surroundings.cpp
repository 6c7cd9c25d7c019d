#include "models/surroundings.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

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

Obstacle WallOf(const Part& part, const FacePatches& face, const Marking& marking) {
  Obstacle wall{face.role == FaceRole::fitting ? face.name : "far wall", ObstacleKind::wall,
                face.role, face.patches};
  wall.wall_error = marking.wall.plus + part.wall_deviation;
  wall.outline_error = marking.outline.Greatest();
  wall.shift = wall.wall_error + marking.outline.minus;
  wall.round = part.skin->round();
  return wall;
}

}  // namespace

Result<Surroundings> Surroundings::Make(const Scene& scene, const Marking& marking) {
  Surroundings all;
  std::vector<Obstacle> everything;
  for (const Part& part : scene.parts) {
    if (part.solid == nullptr || part.skin == nullptr) {
      return Fail(ErrorKind::computed,
                  fmt::format("part '{}' has no solid to check against", part.name));
    }
    const auto faces = part.solid->Patches();
    if (!faces) return tl::unexpected(faces.error());
    OfPart own;
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
    for (const InnerBody& body : part.inner) {
      own.inner.push_back(ObstacleOf(body));
      own.inner.back().shift +=
          marking.inner_body.Greatest() + kHalfDiagonal * marking.outline.Greatest();
    }
    for (const Fitting& fitting : part.fittings) {
      if (fitting.shape == FittingShape::hole) continue;
      const bool known = fitting.shape != FittingShape::block || fitting.height.has_value();
      (known ? own.fittings : all.tall_)
          .push_back(ObstacleOf(fitting, *part.skin, fitting.height.value_or(kTall)));
      if (fitting.basis == Basis::assumed) all.assumed_.push_back(fitting.name);
    }
    if (part.basis == Basis::assumed) all.assumed_.push_back(part.name);
    everything.push_back(own.whole);
    Append(everything, own.inner);
    Append(everything, own.fittings);
    all.parts_.emplace(part.name, std::move(own));
  }
  for (const Neighbour& neighbour : scene.neighbours) {
    all.neighbours_.push_back(ObstacleOf(neighbour));
    if (neighbour.basis == Basis::assumed) all.assumed_.push_back(neighbour.name);
  }
  Append(everything, all.neighbours_);
  all.diagonal_ = DiagonalOf(everything);
  return all;
}

std::vector<Obstacle> Surroundings::ForDrill(const std::string& part) const {
  const OfPart& own = parts_.at(part);
  std::vector<Obstacle> obstacles = own.walls;
  Append(obstacles, own.inner);
  Append(obstacles, Outside(part, false));
  Append(obstacles, tall_);
  return obstacles;
}

std::vector<Obstacle> Surroundings::Outside(const std::string& part, bool own_skin) const {
  std::vector<Obstacle> obstacles = neighbours_;
  for (const auto& [name, other] : parts_) {
    Append(obstacles, other.fittings);
    if (name == part) {
      if (own_skin) obstacles.push_back(other.outside);
      continue;
    }
    obstacles.push_back(other.whole);
    for (Obstacle body : other.inner) {
      body.kind = ObstacleKind::other;
      body.shift = 0.0;
      obstacles.push_back(std::move(body));
    }
  }
  return obstacles;
}

bool Surroundings::IsAssumed(const std::string& body) const {
  return std::find(assumed_.begin(), assumed_.end(), body) != assumed_.end();
}

bool Surroundings::IsTall(const std::string& body) const {
  return std::any_of(tall_.begin(), tall_.end(), [&](const Obstacle& o) { return o.body == body; });
}

}  // namespace holeward
