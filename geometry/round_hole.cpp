#include "geometry/round_hole.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "geometry/datum.h"
#include "geometry/near_things.h"

namespace holeward {
namespace {

constexpr double kMostTurn = 150.0 * kDegree;  // beyond it a chord says too little of its arc
constexpr double kTurnMargin = 1.25;           // on a sampled turn
constexpr double kMostWalls = 6.0;             // longer than so many walls the axis runs along one
constexpr double kReached = 1e-7;              // mm

double AngleBetween(const Vec3& a, const Vec3& b) {
  return std::atan2(a.cross(b).norm(), a.dot(b));
}

/// Places round one on rings: `rings` of `around`, the outermost `radius` (mm on the skin) away.
std::vector<SkinPlace> Rings(const Skin& skin, const SkinPlace& centre, double radius, int rings,
                             int around) {
  std::vector<SkinPlace> places;
  const double per_u = skin.At(centre).du.norm();
  for (int ring = 1; ring <= rings; ++ring) {
    for (int k = 0; k < around; ++k) {
      const double angle = 2.0 * kPi * k / around;
      const double out = radius * ring / rings;
      const double u = std::clamp(centre.u + out * std::cos(angle) / per_u, 0.0, skin.u_end());
      double v = WalkAround(skin, u, centre.v, out * std::sin(angle));
      if (!skin.closed()) v = std::clamp(v, 0.0, static_cast<double>(skin.piece_count()));
      places.push_back({u, v});
    }
  }
  return places;
}

/// Depth of a place under the skin, and the foot it was found at.
struct Depth {
  double depth = 0.0;
  SkinPlace foot;
};

/// From the last foot and, on a polygon, from the flats beside it: near a sharp corner the next
/// flat may be nearer.
std::optional<Depth> DepthOf(const Skin& skin, const Vec3& p_world, const SkinPlace& guess) {
  std::optional<Depth> best;
  std::array<double, 3> tried{guess.v, guess.v, guess.v};
  if (!skin.round()) {
    const int piece = skin.PieceOf(guess.v);
    const int flat = piece % 2 == 0 ? piece : piece - 1;
    const int other = piece % 2 == 0 ? piece - 2 : piece + 1;
    tried = {guess.v, other + 0.5, flat + (piece % 2 == 0 ? 2.5 : 0.5)};
  }
  for (std::size_t k = 0; k < (skin.round() ? 1 : tried.size()); ++k) {
    if (!skin.closed() && (tried[k] < 0.0 || tried[k] > skin.piece_count())) continue;
    const auto hit = skin.Project(p_world, {guess.u, tried[k]});
    if (hit && (!best || hit->distance < best->depth)) best = Depth{hit->distance, hit->place};
  }
  return best;
}

/// Keeps the least of the same thing seen from another nominal place.
void Merge(std::vector<NearThing>& things, const NearThing& thing) {
  for (NearThing& kept : things) {
    if (kept.to != thing.to || kept.kind != thing.kind) continue;
    kept.least = std::min(kept.least, thing.least);
    kept.metal_least = std::min(kept.metal_least, thing.metal_least);
    kept.proven = kept.proven && thing.proven;
    return;
  }
  things.push_back(thing);
}

/// The nominal places of a point: those of its readings, else the place itself without a bound.
std::vector<NominalPlace> NominalsOf(const PlacedPoint& placed) {
  if (!placed.nominals.empty()) return placed.nominals;
  NominalPlace only;
  only.place = placed.place;
  only.position = placed.position;
  only.normal = placed.normal;
  only.zone = placed.zone;
  return {only};
}

void AddThings(RoundHole& result, const Part& part, const TapeSolver& tape,
               const std::vector<NominalPlace>& nominals, const RoundHoleQuestion& question) {
  const double radius = 0.5 * question.diameter;
  for (const NominalPlace& nominal : nominals) {
    const auto walk = WalkWithin(*part.skin, nominal.place, nominal.zone.radius);
    const bool bounded = nominal.zone.bounded && walk.has_value();
    if (!bounded)
      result.faults.push_back("the marking zone has no bound; distances are not proven");
    const MarkReach reach{nominal.place, walk.value_or(0.0), nominal.zone.radius,
                          question.nearest_only && bounded};
    const NearThings near = NearThingsFrom(part, tape, reach, question.others);
    for (NearThing thing : near.things) {
      thing.proven = thing.proven && bounded;
      thing.metal_least -= radius;
      Merge(result.things, thing);
    }
    result.faults.insert(result.faults.end(), near.faults.begin(), near.faults.end());
  }
  std::sort(result.faults.begin(), result.faults.end());
  result.faults.erase(std::unique(result.faults.begin(), result.faults.end()), result.faults.end());
  std::sort(result.things.begin(), result.things.end(),
            [](const NearThing& p, const NearThing& q) { return p.least < q.least; });
}

/// The direction itself and six leaning off it by `tilt`.
std::vector<Vec3> Leaning(const Vec3& direction, double tilt) {
  std::vector<Vec3> directions{direction};
  if (!(tilt > 0.0)) return directions;
  constexpr int kAround = 6;
  const Vec3 side = direction.unitOrthogonal();
  const Vec3 other = direction.cross(side);
  for (int k = 0; k < kAround; ++k) {
    const double angle = 2.0 * kPi * k / kAround;
    directions.push_back(std::cos(tilt) * direction +
                         std::sin(tilt) * (std::cos(angle) * side + std::sin(angle) * other));
  }
  return directions;
}

/// Greatest wall length over the zones, widened by the greatest step between neighbouring places.
std::optional<double> GreatestWall(const Part& part, const std::vector<NominalPlace>& nominals,
                                   const RoundHoleQuestion& question) {
  constexpr int kRings = 2;
  constexpr int kAround = 8;
  const Skin& skin = *part.skin;
  double greatest = 0.0;
  double step = 0.0;
  for (const NominalPlace& nominal : nominals) {
    const double walk = WalkWithin(skin, nominal.place, nominal.zone.radius).value_or(0.0);
    std::vector<SkinPlace> places{nominal.place};
    const auto rings = Rings(skin, nominal.place, walk, kRings, kAround);
    places.insert(places.end(), rings.begin(), rings.end());
    std::vector<std::vector<double>> lengths;
    for (const SkinPlace& place : places) {
      std::vector<double> here;
      for (const Vec3& d : Leaning(question.axis(skin.At(place).normal), question.tilt_rad)) {
        const auto length = WallLengthAlong(part, place, d);
        if (!length) return std::nullopt;
        here.push_back(*length);
        greatest = std::max(greatest, *length);
      }
      const std::size_t ring = lengths.size();  // the place one ring in, on the same spoke
      const std::size_t inner = ring > kAround ? ring - kAround : 0;
      if (ring > 0) {
        for (std::size_t k = 0; k < here.size(); ++k) {
          step = std::max(step, std::abs(here[k] - lengths[inner][k]));
        }
      }
      lengths.push_back(std::move(here));
    }
  }
  return greatest + step;
}

}  // namespace

std::optional<double> WallLengthAlong(const Part& part, const SkinPlace& place,
                                      const Vec3& direction) {
  const Skin& skin = *part.skin;
  const Vec3 entry = skin.At(place).position;
  // Depth under the skin changes no faster than one walks: a step of what is lacking never passes
  // the place sought (Hart, The Visual Computer 12 (1996) 527).
  double at = part.wall;
  SkinPlace foot = place;
  for (int step = 0; step < 2000 && at < kMostWalls * part.wall; ++step) {
    const auto depth = DepthOf(skin, entry + at * direction, foot);
    if (!depth) return std::nullopt;
    const double lacking = part.wall - depth->depth;
    if (lacking < kReached) return at;
    at += lacking;
    foot = depth->foot;
  }
  return std::nullopt;
}

std::optional<double> WalkWithin(const Skin& skin, const SkinPlace& place, double radius) {
  if (!(radius >= 0.0) || !std::isfinite(radius)) return std::nullopt;
  if (radius == 0.0) return 0.0;
  constexpr int kRings = 5;
  constexpr int kAround = 16;
  const Vec3 normal = skin.At(place).normal;
  double walk = radius;
  for (int round = 0; round < 3; ++round) {  // the turn is sampled as far as the walk may lead
    double turn = 0.0;
    for (const SkinPlace& at : Rings(skin, place, walk, kRings, kAround)) {
      turn = std::max(turn, kTurnMargin * AngleBetween(normal, skin.At(at).normal));
    }
    if (!(turn < kMostTurn)) return std::nullopt;
    walk = std::max(walk, radius / std::cos(0.5 * turn));
  }
  return walk;
}

const NearThing* RoundHole::Nearest(NearKind kind) const {
  for (const NearThing& thing : things) {
    if (thing.kind == kind) return &thing;
  }
  return nullptr;
}

RoundHole RoundHoleOf(const Part& part, const TapeSolver& tape, const PlacedPoint& placed,
                      const RoundHoleQuestion& question) {
  RoundHole result;
  const std::vector<NominalPlace> nominals = NominalsOf(placed);
  AddThings(result, part, tape, nominals, question);
  const auto nominal = WallLengthAlong(part, placed.place, question.axis(placed.normal));
  if (nominal) {
    result.wall = WallAlongAxis{*nominal, part.wall, GreatestWall(part, nominals, question)};
  } else {
    result.faults.push_back("the axis does not leave the wall within six times its thickness");
  }
  return result;
}

}  // namespace holeward
