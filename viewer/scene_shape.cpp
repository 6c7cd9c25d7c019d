#include "viewer/scene_shape.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "geometry/mirrored.h"
#include "viewer/picture_mesh.h"
#include "viewer/window_model.h"

namespace holeward {
namespace {

constexpr int kRound = 24;          // facets round a bar or a hose
constexpr double kDatumStep = 8.0;  // mm between the places of a datum's line

using Quad = std::array<Vec3, 4>;

void MirrorBody(ShapeBody& body) {
  for (Quad& quad : body.quads) {
    for (Vec3& corner : quad) corner = Mirrored(corner);
    std::swap(quad[1], quad[3]);
  }
  for (auto& line : body.lines) {
    for (Vec3& place : line) place = Mirrored(place);
  }
}

void AddTube(std::vector<Quad>& quads, const std::vector<Vec3>& path, double radius) {
  for (std::size_t i = 0; i + 1 < path.size(); ++i) {
    const Vec3 axis = (path[i + 1] - path[i]).normalized();
    const Vec3 a = axis.unitOrthogonal();
    const Vec3 b = axis.cross(a);
    const auto rim = [&](int k) {
      const double angle = 2.0 * kPi * k / kRound;
      return Vec3(radius * (std::cos(angle) * a + std::sin(angle) * b));
    };
    for (int k = 0; k < kRound; ++k) {
      const Vec3 p = rim(k);
      const Vec3 q = rim(k + 1);
      quads.push_back({path[i] + p, path[i + 1] + p, path[i + 1] + q, path[i] + q});
      quads.push_back({path[i], path[i] + p, path[i] + q, path[i]});
      quads.push_back({path[i + 1], path[i + 1] + q, path[i + 1] + p, path[i + 1]});
    }
  }
}

void AddPart(const Part& part, const SideState& side, SceneShape& shape) {
  ShapeBody skin{BodyKind::skin, part.name, side.side, {}, {}};
  ShapeBody fittings{BodyKind::fitting, part.name, side.side, {}, {}};
  ShapeBody inner{BodyKind::inner, part.name, side.side, {}, {}};
  const PictureMesh mesh = MeshForPicture(part);
  for (const Facet& facet : mesh.facets) {
    Quad quad = facet.corners;
    const Vec3 turn = (quad[2] - quad[0]).cross(quad[3] - quad[1]);
    if (turn.dot(facet.normal) < 0.0) std::swap(quad[1], quad[3]);
    (facet.fitting ? fittings : skin).quads.push_back(quad);
  }
  for (const FeatureLine& line : mesh.lines) skin.lines.push_back(line.points);
  for (const InnerBody& body : part.inner) AddTube(inner.quads, body.path, body.radius);
  for (ShapeBody* body : {&skin, &fittings, &inner}) {
    if (body->quads.empty()) continue;
    if (side.mirrored) MirrorBody(*body);
    shape.bodies.push_back(std::move(*body));
  }
}

std::vector<Vec3> AlongLine(const Skin& skin, double v) {
  std::vector<Vec3> places;
  const int steps = std::max(2, static_cast<int>(skin.u_end() / kDatumStep));
  for (int i = 0; i <= steps; ++i) {
    places.push_back(skin.At(skin.u_end() * i / steps, v).position);
  }
  return places;
}

std::vector<Vec3> RoundEnd(const Skin& skin, double u) {
  std::vector<Vec3> places;
  const int steps = 6 * skin.piece_count();
  for (int i = 0; i <= steps; ++i) {
    places.push_back(skin.At(u, 1.0 * skin.piece_count() * i / steps).position);
  }
  return places;
}

void AddDatums(const Part& part, bool mirrored, SceneShape& shape) {
  const auto add = [&](const std::string& name, std::vector<Vec3> places) {
    if (name.empty()) return;
    for (Vec3& place : places) place = mirrored ? Mirrored(place) : place;
    shape.datums.push_back({fmt::format("{}: {}", part.name, name), std::move(places)});
  };
  const Skin& skin = *part.skin;
  add(part.start, RoundEnd(skin, 0.0));
  add(part.finish, RoundEnd(skin, skin.u_end()));
  for (const Fitting& fitting : part.fittings) {
    std::vector<Vec3> places{skin.At(fitting.centre).position};
    if (fitting.shape == FittingShape::eye || fitting.shape == FittingShape::stud) {
      places = {fitting.cylinder_from, fitting.cylinder_to};
    }
    add(fitting.name, places);
  }
  for (const Face& face : part.faces) {
    add(fmt::format("{} of the {} face", face.first_edge, face.name), AlongLine(skin, face.piece));
    add(fmt::format("{} of the {} face", face.second_edge, face.name),
        AlongLine(skin, face.piece + 1.0));
  }
  for (const NamedLine& line : part.lines) add(line.name + " line", AlongLine(skin, line.v));
}

}  // namespace

SceneShape ShapeOf(const JobState& state) {
  SceneShape shape;
  for (const SideState& side : state.sides) {
    const bool first = &side == &state.sides.front();
    for (const Part& part : side.scene->parts) {
      // A part that serves both sides stands there once, as seen from the first of them.
      if (part.shared && !first) continue;
      AddPart(part, side, shape);
      AddDatums(part, side.mirrored, shape);
    }
    if (!first) continue;
    for (const Neighbour& neighbour : side.scene->neighbours) {
      ShapeBody body{BodyKind::neighbour, neighbour.name, side.side, {}, {}};
      AddTube(body.quads, neighbour.path, neighbour.radius);
      if (side.mirrored) MirrorBody(body);
      shape.bodies.push_back(std::move(body));
    }
  }
  return shape;
}

std::vector<ShapePoint> PointsOf(const JobState& state) {
  std::vector<ShapePoint> points;
  for (const SideState& side : state.sides) {
    for (std::size_t i = 0; i < side.points.size(); ++i) {
      const PlacedPoint& placed = side.points[i];
      const PointRow* row = state.job.FindPoint(placed.name);
      if (row == nullptr) continue;
      ShapePoint point{placed.name,
                       side.side,
                       placed.position,
                       placed.normal,
                       row->use == PointUse::drill,
                       VerdictOf(side, *row),
                       "",
                       {}};
      point.word = VerdictWord(state, *row, point.verdict);
      if (i < side.paths.size()) point.paths = side.paths[i];
      if (side.mirrored) {
        point.position = Mirrored(point.position);
        point.normal = Mirrored(point.normal);
        const Part* part = side.scene->FindPart(placed.part);
        for (ReadingPath& path : point.paths) {
          if (part != nullptr && part->shared) path.from = EndsExchanged(path.from, *part);
          for (Vec3& place : path.places) place = Mirrored(place);
        }
      }
      points.push_back(std::move(point));
    }
  }
  return points;
}

std::string WordsOf(const ReadingPath& path, bool inches) {
  if (!path.measured) return path.from.empty() || path.from == "face" ? "" : "on " + path.from;
  std::string value = path.is_angle ? fmt::format("{:.1f}°", path.value * 180.0 / kPi)
                      : inches      ? fmt::format("{:.3f} in", path.value / kInch)
                                    : fmt::format("{:.1f} mm", path.value);
  const char* method = path.method == Method::tape         ? "tape"
                       : path.method == Method::rule       ? "rule"
                       : path.method == Method::square     ? "square"
                       : path.method == Method::protractor ? "protractor"
                                                           : "middle";
  if (path.from.empty() || path.from == "face") return fmt::format("{} {}", method, value);
  return fmt::format("{} {} from {}", method, value, path.from);
}

}  // namespace holeward
