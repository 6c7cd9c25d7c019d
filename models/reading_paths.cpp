#include "models/reading_paths.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <memory>

#include "models/datums.h"

namespace holeward {
namespace {

constexpr double kStep = 3.0;        // mm between the places of a drawn line, about
constexpr double kShortest = 0.5;    // mm; a shorter line is none
constexpr double kLineShown = 40.0;  // mm of a line the point lies on, to either side of it

double LengthOf(const std::vector<Vec3>& places) {
  double length = 0.0;
  for (std::size_t i = 0; i + 1 < places.size(); ++i) length += (places[i + 1] - places[i]).norm();
  return length;
}

// The skin's line through both places, straight in (u, v).
std::vector<Vec3> LineBetween(const Skin& skin, const SkinPlace& a, const SkinPlace& b) {
  const double apart = (skin.At(a).position - skin.At(b).position).norm();
  const double pieces = std::abs(b.v - a.v);
  const int steps = std::max(2, static_cast<int>(std::ceil(apart / kStep + 6.0 * pieces)));
  std::vector<Vec3> places;
  for (int i = 0; i <= steps; ++i) {
    const double t = static_cast<double>(i) / steps;
    places.push_back(skin.At(a.u + t * (b.u - a.u), a.v + t * (b.v - a.v)).position);
  }
  return places;
}

// The end of `v` that lies nearest to `near` counting whole turns.
double Unwrapped(const Skin& skin, double v, double near) {
  const double turn = skin.piece_count();
  return skin.closed() ? v + turn * std::round((near - v) / turn) : v;
}

class Tracer {
 public:
  Tracer(const Skin& skin, const PlacedPoint& point) : skin_(skin), point_(point) {}

  void Add(const Measure& m, const MeasureRow& row, const Sample& s) {
    ReadingPath path;
    path.method = row.method;
    path.from = m.from;
    path.value = s.value;
    path.is_angle = m.is_angle();
    switch (m.form) {
      case Measure::Form::tape: Keep(path, Taped(s.path, s.start)); break;
      case Measure::Form::middle:
        path.from = row.from.front();
        Keep(path, Taped(s.path, s.start));
        path.from = row.from.back();
        path.value = s.second_value;
        Keep(path, Taped(s.second_path, s.second_start));
        break;
      case Measure::Form::rule:
      case Measure::Form::square:
        path.on_skin = false;
        Keep(path, {s.start, point_.position});
        break;
      case Measure::Form::angle: Keep(path, Arc(m)); break;
      case Measure::Form::across: AddAcross(path, m, row); break;
      case Measure::Form::station:
        path.measured = false;
        Keep(path, Around(m));
        break;
    }
  }

  [[nodiscard]] std::vector<ReadingPath> Take() { return std::move(paths_); }

 private:
  void Keep(ReadingPath path, std::vector<Vec3> places) {
    if (places.size() < 2 || !(LengthOf(places) > kShortest)) return;
    path.places = std::move(places);
    paths_.push_back(std::move(path));
  }

  // From a sharp corner the tape starts before the skin does.
  [[nodiscard]] std::vector<Vec3> Taped(const std::optional<TapePath>& path,
                                        const Vec3& start) const {
    if (!path) return {};
    std::vector<Vec3> places{start};
    for (std::size_t i = 0; i + 1 < path->places.size(); ++i) {
      const auto between = LineBetween(skin_, path->places[i], path->places[i + 1]);
      places.insert(places.end(), between.begin(), between.end());
    }
    places.push_back(point_.position);
    return places;
  }

  // Round the section from the named direction to the point, the way the angle counts.
  [[nodiscard]] std::vector<Vec3> Arc(const Measure& m) const {
    const double turn = skin_.piece_count();
    const double angle = std::atan2(m.angle_from.x(), -m.angle_from.y());  // 0 at the bottom
    const double from = angle / (2.0 * kPi) * turn;
    double way = std::fmod(m.sense * (point_.place.v - from), turn);
    if (way < 0.0) way += turn;
    return LineBetween(skin_, {point_.place.u, point_.place.v - m.sense * way}, point_.place);
  }

  [[nodiscard]] std::vector<Vec3> Around(const Measure& m) const {
    if (m.origin.kind != Origin::Kind::place) return {};
    const double v = Unwrapped(skin_, m.origin.place.v, point_.place.v);
    return LineBetween(skin_, {point_.place.u, v}, point_.place);
  }

  // Across a face from the edge its share counts from; else along the line the point lies on.
  void AddAcross(ReadingPath path, const Measure& m, const MeasureRow& row) {
    if (row.across_face && m.origin.line.flat >= 0) {
      const FlatCorners corners = CornersOf(skin_, m.origin.line.flat);
      const Vec3 a = skin_.SharpCornerAt(point_.place.u, corners.lower);
      const Vec3 b = skin_.SharpCornerAt(point_.place.u, corners.upper);
      const double share = m.origin.line.fraction;
      const double width = (b - a).norm();
      path.value = share * width;
      Keep(path, {a, point_.position});
      path.value = (1.0 - share) * width;
      Keep(path, {b, point_.position});
      return;
    }
    path.measured = false;
    const double low = std::max(0.0, point_.place.u - kLineShown);
    const double high = std::min(skin_.u_end(), point_.place.u + kLineShown);
    Keep(path, LineBetween(skin_, {low, point_.place.v}, {high, point_.place.v}));
  }

  const Skin& skin_;
  const PlacedPoint& point_;
  std::vector<ReadingPath> paths_;
};

// The readers of the parts, made when they are first wanted.
using Readers = std::map<std::string, std::unique_ptr<MeasureReader>>;

std::vector<ReadingPath> PathsOf(const Job& job, const Scene& scene,
                                 const std::vector<PlacedPoint>& points, const PlacedPoint& point,
                                 Readers& readers) {
  const PointRow* row = job.FindPoint(point.name);
  const Part* part = scene.FindPart(point.part);
  if (row == nullptr || part == nullptr) return {};
  DatumScope scope;
  scope.part = part;
  scope.row = RowOf(job, part->name);
  scope.earlier = &points;
  scope.outboard_y = scene.outboard_y;
  if (row->face && part->lines.empty()) scope.face = part->FindFace(*row->face);
  const auto rule =
      RuleOf(scope, *row, job.marking,
             {WaysToRead(scope, row->rule[0]).front(), WaysToRead(scope, row->rule[1]).front()});
  if (!rule) return {};
  auto& reader = readers[part->name];
  if (!reader) reader = std::make_unique<MeasureReader>(part->skin);
  Tracer tracer(*part->skin, point);
  for (std::size_t i = 0; i < 2; ++i) {
    const Measure& measure = rule->measures[i];
    if (const auto sample = reader->Read(measure, point.place)) {
      tracer.Add(measure, row->rule[i], *sample);
    }
  }
  return tracer.Take();
}

}  // namespace

std::vector<std::vector<ReadingPath>> ReadingPathsOf(
    const Job& job, const Scene& scene, const std::vector<PlacedPoint>& points,
    const std::function<const std::vector<ReadingPath>*(std::size_t)>& known) {
  Readers readers;
  std::vector<std::vector<ReadingPath>> all;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const std::vector<ReadingPath>* earlier = known ? known(i) : nullptr;
    all.push_back(earlier != nullptr ? *earlier : PathsOf(job, scene, points, points[i], readers));
  }
  return all;
}

}  // namespace holeward
