#include "models/pose_sampler.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include <Eigen/Dense>

#include "geometry/random.h"
#include "geometry/skin.h"

namespace holeward {
namespace {

// Between the table's places the skin is taken straight: on a radius of 5 mm this leaves 6e-4 mm.
constexpr double kTableStep = 0.15;
constexpr int kMostSteps = 64;

double AngleBetween(const Vec3& a, const Vec3& b) {
  return std::atan2(a.cross(b).norm(), a.dot(b));
}

Vec3 AnyAcross(const Vec3& axis) {
  const Vec3 least = std::abs(axis.x()) < 0.6 ? Vec3::UnitX() : Vec3::UnitY();
  return axis.cross(least).normalized();
}

/// Direction of a body's path where it passes nearest to a place.
Vec3 DirectionNear(const std::vector<Vec3>& path, const Vec3& place) {
  Vec3 direction = Vec3::UnitY();
  double nearest = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i + 1 < path.size(); ++i) {
    const Vec3 along = path[i + 1] - path[i];
    if (along.norm() < 1e-9) continue;
    const double t = std::clamp((place - path[i]).dot(along) / along.squaredNorm(), 0.0, 1.0);
    const double distance = (path[i] + t * along - place).norm();
    if (distance >= nearest) continue;
    nearest = distance;
    direction = along.normalized();
  }
  return direction;
}

/// The number at which Within() gives 0.
double AtNothing(const HalfWidth& half) {
  const double whole = half.minus + half.plus;
  return whole > 0.0 ? half.minus / whole : 0.5;
}

}  // namespace

const char* Word(ErrorSource source) {
  switch (source) {
    case ErrorSource::spread: return "reading spread";
    case ErrorSource::readings: return "readings";
    case ErrorSource::datum: return "points read from";
    case ErrorSource::punch: return "punch";
    case ErrorSource::sheet: return "template";
    case ErrorSource::tilt: return "tilt";
    case ErrorSource::wall: return "wall";
    case ErrorSource::outline: return "outline";
    case ErrorSource::inner_body: return "inner_body";
    case ErrorSource::depth: return "depth";
  }
  return "depth";
}

Result<PoseSampler::Zone> PoseSampler::ZoneOf(const HoleSite& ready, const NominalPlace& nominal) {
  if (!nominal.zone.bounded) {
    return Fail(ErrorKind::computed, "the marking zone could not be bounded");
  }
  const Skin& skin = *ready.part.skin;
  Zone zone;
  zone.nominal = nominal;
  zone.half = 1.01 * nominal.zone.radius + 1e-6;
  zone.steps = std::clamp(static_cast<int>(std::ceil(2.0 * zone.half / kTableStep)), 2, kMostSteps);
  const double girth = skin.GirthOf(nominal.place.u, nominal.place.v);
  const double per_u = skin.At(nominal.place).du.norm();
  const auto at = [&](double along, double around) {
    const double u = nominal.place.u + along / per_u;
    return skin.At(u, skin.VOfGirth(u, girth + around));
  };
  constexpr double kDelta = 1e-3;
  Eigen::Matrix<double, 3, 2> moves;
  moves.col(0) = (at(kDelta, 0.0).position - at(-kDelta, 0.0).position) / (2.0 * kDelta);
  moves.col(1) = (at(0.0, kDelta).position - at(0.0, -kDelta).position) / (2.0 * kDelta);
  const Eigen::Matrix2d square = moves.transpose() * moves;
  zone.chart = square.inverse() * moves.transpose();
  zone.first = AnyAcross(nominal.normal);
  zone.second = nominal.normal.cross(zone.first);
  zone.region.middle = {nominal.position, ready.axis(nominal.normal).normalized()};
  const double step = 2.0 * zone.half / zone.steps;
  double tilt = 0.0;
  for (int i = 0; i <= zone.steps; ++i) {
    for (int j = 0; j <= zone.steps; ++j) {
      const SkinPoint point = at(-zone.half + step * i, -zone.half + step * j);
      zone.places.push_back(point.position);
      zone.axes.push_back(ready.axis(point.normal).normalized());
      const Vec3 apart = point.position - nominal.position;
      if (!apart.allFinite() || !zone.axes.back().allFinite()) {
        return Fail(ErrorKind::computed, "the marking zone reaches where there is no skin");
      }
      if (apart.norm() > nominal.zone.radius + 3.0 * step) continue;
      const double along = apart.dot(zone.region.middle.direction);
      zone.region.rise = std::max(zone.region.rise, std::abs(along));
      zone.region.place =
          std::max(zone.region.place, Vec3(apart - along * zone.region.middle.direction).norm());
      tilt = std::max(tilt, AngleBetween(zone.axes.back(), zone.region.middle.direction));
    }
  }
  constexpr double kRounding = 1e-6;
  zone.region.place += kRounding;
  zone.region.rise += kRounding;
  zone.region.tilt = tilt + ready.job.marking.tilt_rad.Greatest() + kRounding;
  return zone;
}

Result<PoseSampler> PoseSampler::Make(const HoleSite& ready, bool stopped) {
  PoseSampler sampler;
  const Marking& marking = ready.job.marking;
  std::vector<NominalPlace> nominals = ready.placed.nominals;
  if (nominals.empty()) {
    nominals.push_back(
        {ready.placed.place, ready.placed.position, ready.placed.normal, ready.placed.zone, ""});
  }
  for (const NominalPlace& nominal : nominals) {
    auto zone = ZoneOf(ready, nominal);
    if (!zone) return tl::unexpected(zone.error());
    sampler.zones_.push_back(std::move(*zone));
  }
  if (ready.part.inner.size() > DrawnPose::kMostInner) {
    return Fail(ErrorKind::computed, "the part holds too many inner bodies to draw poses for");
  }
  for (const InnerBody& body : ready.part.inner) {
    const Vec3 along = DirectionNear(body.path, ready.placed.position);
    const Vec3 across = AnyAcross(along);
    sampler.inner_.push_back({across, along.cross(across)});
  }
  sampler.tilt_ = marking.tilt_rad.Greatest();
  sampler.inner_radius_ = marking.inner_body.Greatest();
  sampler.wall_ = marking.wall;
  sampler.outline_ = marking.outline;
  sampler.stopped_ = stopped;
  sampler.depth_ = stopped ? marking.depth : HalfWidth{0.0, marking.run_on};
  sampler.distributions_ = marking.distribution;
  sampler.of_depth_ = stopped ? marking.distribution.depth : marking.distribution.run_on;
  sampler.all_even_ = marking.distribution == ErrorDistributions{};
  return sampler;
}

Pose PoseSampler::At(const Zone& zone, const Vec3& move) {
  const Vec2 at = zone.chart * move;
  const double scale = zone.steps / (2.0 * zone.half);
  const double x = std::clamp((at.x() + zone.half) * scale, 0.0, static_cast<double>(zone.steps));
  const double y = std::clamp((at.y() + zone.half) * scale, 0.0, static_cast<double>(zone.steps));
  const int i = std::min(static_cast<int>(x), zone.steps - 1);
  const int j = std::min(static_cast<int>(y), zone.steps - 1);
  const double s = x - i;
  const double t = y - j;
  const auto corner = static_cast<std::size_t>(i * (zone.steps + 1) + j);
  const auto next = corner + static_cast<std::size_t>(zone.steps) + 1;
  const auto blend = [&](const std::vector<Vec3>& of) -> Vec3 {
    return (1.0 - s) * ((1.0 - t) * of[corner] + t * of[corner + 1]) +
           s * ((1.0 - t) * of[next] + t * of[next + 1]);
  };
  return {blend(zone.places), blend(zone.axes).normalized()};
}

std::size_t PoseSampler::NominalOf(std::span<const double> numbers) const {
  const auto count = static_cast<double>(zones_.size());
  return std::min(static_cast<std::size_t>(numbers[kSpread] * count), zones_.size() - 1);
}

void PoseSampler::Shape(ErrorSource source, std::span<double> numbers) const {
  const auto interval = [&](Distribution of, const HalfWidth& half, std::size_t at) {
    numbers[at] = EvenInInterval(of, AtNothing(half), numbers[at]);
  };
  // The first of a pair is the distance from the middle, the second the way it lies.
  const auto disc = [&](Distribution of, std::size_t at) {
    numbers[at] = EvenInDisc(of, numbers[at]);
  };
  const ErrorDistributions& of = distributions_;
  switch (source) {
    case ErrorSource::spread: return;
    case ErrorSource::readings: {
      const ZoneMakeup& makeup = zones_[NominalOf(numbers)].nominal.zone.makeup;
      for (std::size_t i = 0; i < 2; ++i) interval(of.readings, makeup.readings[i], kReadings + i);
      return;
    }
    case ErrorSource::datum: return disc(of.datum, kDatum);
    case ErrorSource::punch: return disc(of.punch, kPunch);
    case ErrorSource::sheet: return disc(of.sheet, kSheet);
    case ErrorSource::tilt: return disc(of.tilt, kTilt);
    case ErrorSource::wall: return interval(of.wall, wall_, kWall);
    case ErrorSource::outline: return interval(of.outline, outline_, kOutline);
    case ErrorSource::depth: return interval(of_depth_, depth_, kDepth);
    case ErrorSource::inner_body:
      for (std::size_t i = 0; i < inner_.size(); ++i) disc(of.inner_body, kInner + 2 * i);
      return;
  }
}

void PoseSampler::NumbersOfPose(std::uint64_t seed, std::uint64_t pose,
                                std::span<double> numbers) const {
  UniformsOf(seed, pose, numbers);
  if (all_even_) return;
  for (std::size_t i = 0; i < kErrorSources; ++i) Shape(static_cast<ErrorSource>(i), numbers);
}

void PoseSampler::DrawOne(ErrorSource source, std::uint64_t seed, std::uint64_t pose,
                          std::span<double> numbers) const {
  std::vector<double> drawn(size());
  UniformsOf(seed, pose, drawn);
  const auto [from, to] = NumbersOf(source);
  for (std::size_t i = from; i < to; ++i) numbers[i] = drawn[i];
  Shape(source, numbers);
}

DrawnPose PoseSampler::Draw(std::span<const double> numbers) const {
  DrawnPose drawn;
  drawn.nominal = NominalOf(numbers);
  const Zone& zone = zones_[drawn.nominal];
  const ZoneMakeup& makeup = zone.nominal.zone.makeup;
  Vec3 move = Vec3::Zero();
  for (std::size_t i = 0; i < 2; ++i) {
    move += Within(makeup.readings[i], numbers[kReadings + i]) * makeup.per_unit[i];
  }
  Vec2 discs = InDisc(makeup.punch, numbers[kPunch], numbers[kPunch + 1]);
  if (makeup.datum > 0.0) discs += InDisc(makeup.datum, numbers[kDatum], numbers[kDatum + 1]);
  if (makeup.sheet > 0.0) discs += InDisc(makeup.sheet, numbers[kSheet], numbers[kSheet + 1]);
  move += discs.x() * zone.first + discs.y() * zone.second;
  drawn.pose = At(zone, move);
  drawn.pose.direction =
      InCone(drawn.pose.direction, tilt_, numbers[kTilt], numbers[kTilt + 1]).normalized();
  drawn.wall = Within(wall_, numbers[kWall]);
  drawn.outline = Within(outline_, numbers[kOutline]);
  drawn.depth = Within(depth_, numbers[kDepth]);
  drawn.inner_count = inner_.size();
  for (std::size_t i = 0; i < inner_.size(); ++i) {
    const Vec2 shift = InDisc(inner_radius_, numbers[kInner + 2 * i], numbers[kInner + 2 * i + 1]);
    drawn.inner[i] = shift.x() * inner_[i].first + shift.y() * inner_[i].second;
  }
  return drawn;
}

std::pair<std::size_t, std::size_t> PoseSampler::NumbersOf(ErrorSource source) const {
  switch (source) {
    case ErrorSource::spread: return {kSpread, kReadings};
    case ErrorSource::readings: return {kReadings, kDatum};
    case ErrorSource::datum: return {kDatum, kPunch};
    case ErrorSource::punch: return {kPunch, kSheet};
    case ErrorSource::sheet: return {kSheet, kTilt};
    case ErrorSource::tilt: return {kTilt, kWall};
    case ErrorSource::wall: return {kWall, kOutline};
    case ErrorSource::outline: return {kOutline, kDepth};
    case ErrorSource::depth: return {kDepth, kInner};
    case ErrorSource::inner_body: return {kInner, size()};
  }
  return {0, 0};
}

std::vector<double> PoseSampler::Nominal() const {
  std::vector<double> numbers(size(), 0.0);  // discs and cones have their middle at 0
  const ZoneMakeup& makeup = zones_.front().nominal.zone.makeup;
  numbers[kReadings] = AtNothing(makeup.readings[0]);
  numbers[kReadings + 1] = AtNothing(makeup.readings[1]);
  numbers[kWall] = AtNothing(wall_);
  numbers[kOutline] = AtNothing(outline_);
  // As intended without a stop still counts on the whole run-on.
  numbers[kDepth] = stopped_ ? AtNothing(depth_) : 1.0;
  return numbers;
}

PoseRegion PoseSampler::RegionOf(std::size_t nominal) const { return zones_[nominal].region; }

PoseRegion PoseSampler::RegionOfAll() const {
  PoseRegion all = zones_.front().region;
  for (const Zone& zone : zones_) {
    const PoseRegion& region = zone.region;
    const Vec3 apart = region.middle.entry - all.middle.entry;
    const double along = apart.dot(all.middle.direction);
    const double across = Vec3(apart - along * all.middle.direction).norm();
    const double angle = AngleBetween(region.middle.direction, all.middle.direction);
    all.place = std::max(all.place, across + region.place + region.rise * std::sin(angle));
    all.rise = std::max(all.rise, std::abs(along) + region.rise + region.place * std::sin(angle));
    all.tilt = std::max(all.tilt, angle + region.tilt);
  }
  return all;
}

}  // namespace holeward
