#include "models/rule_reading.h"

#include <algorithm>
#include <cmath>
#include <memory>

#include "geometry/measure.h"
#include "geometry/surface.h"
#include "geometry/tape.h"
#include "models/datums.h"

namespace holeward {
namespace {

bool HasNumber(const MeasureRow& row) {
  return row.method == Method::tape || row.method == Method::rule || row.method == Method::square ||
         row.method == Method::protractor;
}

constexpr double kDrawnStep = 3.0;  // mm between the places of a drawn path

std::vector<Vec3> Drawn(const Skin& skin, const std::vector<SkinPlace>& places) {
  std::vector<Vec3> drawn;
  for (std::size_t i = 0; i + 1 < places.size(); ++i) {
    const SkinPlace& a = places[i];
    const SkinPlace& b = places[i + 1];
    const double apart = std::abs(b.u - a.u) + 20.0 * std::abs(b.v - a.v);
    const int steps = std::max(1, static_cast<int>(std::ceil(apart / kDrawnStep)));
    for (int k = 0; k < steps; ++k) {
      const double t = static_cast<double>(k) / steps;
      drawn.push_back(skin.At(a.u + t * (b.u - a.u), a.v + t * (b.v - a.v)).position);
    }
  }
  if (!places.empty()) drawn.push_back(skin.At(places.back()).position);
  return drawn;
}

}  // namespace

std::array<std::optional<double>, 2> RuleValuesAt(const Job& job, const Scene& scene,
                                                  const std::vector<PlacedPoint>& points,
                                                  const PointRow& row, const SkinPlace& place) {
  std::array<std::optional<double>, 2> values;
  const Part* part = scene.FindPart(row.part);
  if (part == nullptr) return values;
  DatumScope scope;
  scope.part = part;
  scope.row = RowOf(job, part->name);
  scope.earlier = &points;
  scope.outboard_y = scene.outboard_y;
  if (row.face && part->lines.empty()) scope.face = part->FindFace(*row.face);
  std::array<ReadingWay, 2> ways;
  for (std::size_t i = 0; i < 2; ++i) ways[i] = WaysToRead(scope, row.rule[i]).front();
  const auto rule = RuleOf(scope, row, job.marking, ways);
  if (!rule) return values;
  const MeasureReader reader(part->skin);
  for (std::size_t i = 0; i < 2; ++i) {
    if (!HasNumber(row.rule[i])) continue;
    const auto sample = reader.Read(rule->measures[i], place);
    if (sample && std::isfinite(sample->value) && sample->value > 0.0) values[i] = sample->value;
  }
  return values;
}

PlaceReading ReadBetween(const Part& part, const SkinPlace& from, const SkinPlace& to) {
  const Skin& skin = *part.skin;
  PlaceReading reading;
  reading.from = from;
  reading.to = to;
  const Vec3 a = skin.At(from).position;
  const Vec3 b = skin.At(to).position;
  const Vec3 along = skin.FrameAt(from.u).tangent;
  reading.rule = (b - a).norm();
  reading.square_along = std::abs((b - a).dot(along));
  reading.square_across = ((b - a) - (b - a).dot(along) * along).norm();
  reading.station_from = skin.StationOf(from.u);
  reading.station_to = skin.StationOf(to.u);
  reading.girth_from = skin.GirthOf(from.u, from.v);
  reading.girth_to = skin.GirthOf(to.u, to.v);
  reading.girth = std::abs(skin.GirthOf(from.u, to.v) - reading.girth_from);
  if (skin.closed()) {
    reading.girth = std::min(reading.girth, skin.Perimeter(from.u) - reading.girth);
  }
  const TapeSolver tape(std::make_shared<SkinSurface>(part.skin));
  const auto path = tape.Path(from, to);
  if (path) {
    reading.tape = path->length;
    reading.path = Drawn(skin, path->places);
  } else {
    reading.no_tape = path.error().message;
  }
  return reading;
}

}  // namespace holeward
