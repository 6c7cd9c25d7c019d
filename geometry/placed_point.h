// What placing a point gives: the place on its skin, and how far off a person could mark it.
#pragma once

#include <algorithm>
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "geometry/marking.h"
#include "geometry/vec.h"

namespace holeward {

/// A place on a skin: u is chord length along the centre line (mm, 0 at the start), v runs once
/// round the section, one unit a piece (geometry/skin.h).
struct SkinPlace {
  double u = 0.0;
  double v = 0.0;

  friend bool operator==(const SkinPlace&, const SkinPlace&) = default;
};

/// One reading of a placed point, as a person would take it.
struct Reading {
  std::string method;
  std::string from;    ///< the datum's name ("inner mount", "face", "outer end / damper bracket")
  double value = 0.0;  ///< mm, or radians where `is_angle`
  bool is_angle = false;
  double residual = 0.0;  ///< what the placed point's own reading lacks of the rule's, same unit
  std::optional<double> bridged;  ///< length of a taut tape that bridges a hollow, where it differs

  friend bool operator==(const Reading&, const Reading&) = default;
};

/// What a marking zone is made of, for drawing marks from it.
struct ZoneMakeup {
  /// How the point moves, to first order, for each unit (mm or radian) that a reading is greater.
  std::array<Vec3, 2> per_unit{Vec3::Zero(), Vec3::Zero()};
  std::array<HalfWidth, 2> readings;  ///< their half-widths, mm or radians
  double readings_radius = 0.0;       ///< the readings' part of the zone's radius, mm
  double datum = 0.0;                 ///< likewise that of the points it is read from
  /// How the radius grows for each mm that the points of either measure are off.
  std::array<double, 2> datum_gain{0.0, 0.0};
  double punch = 0.0;  ///< centre-punch error, mm
  double sheet = 0.0;  ///< placing a printed sheet, mm

  friend bool operator==(const ZoneMakeup&, const ZoneMakeup&) = default;
};

/// The marking zone: where a person's mark may lie, all misreadings within their half-widths.
struct Zone {
  double major = 0.0;  ///< semi-axes of the reported ellipse, mm
  double minor = 0.0;
  Vec3 direction = Vec3::UnitX();  ///< unit vector of the major axis, in the skin at the point
  double radius = 0.0;   ///< every place of the zone lies within this of the point, mm (straight)
  bool bounded = false;  ///< false: the zone could not be bounded, nothing on it is proven
  ZoneMakeup makeup;     ///< holds if bounded

  friend bool operator==(const Zone&, const Zone&) = default;
};

/// One honest reading of the rule: a nominal place of its own with its own zone.
struct NominalPlace {
  SkinPlace place;
  Vec3 position = Vec3::Zero();
  Vec3 normal = Vec3::UnitZ();  ///< outward
  Zone zone;
  std::string how;  ///< "tape from the tangent line, rule", for the report

  friend bool operator==(const NominalPlace&, const NominalPlace&) = default;
};

/// Straight distance to a neighbouring point of the same part, to check a marked part with.
struct Tie {
  std::string to;
  double straight = 0.0;

  friend bool operator==(const Tie&, const Tie&) = default;
};

/// A point placed on a part, in the frame of the described side.
struct PlacedPoint {
  std::string name;
  std::string part;
  std::string face;  ///< canonical face name; for a round part the nearest named line
  SkinPlace place;
  Vec3 position = Vec3::Zero();
  Vec3 normal = Vec3::UnitZ();  ///< outward
  double station = 0.0;
  double girth = 0.0;
  std::vector<Reading> readings;
  Zone zone;
  double conditioning = 0.0;           ///< sine of the angle between the readings' gradients
  double reading_spread = 0.0;         ///< mm, greatest distance between any two nominal places
  std::vector<NominalPlace> nominals;  ///< the first is the rule as written
  std::vector<Tie> ties;

  friend bool operator==(const PlacedPoint&, const PlacedPoint&) = default;
};

/// Every place its mark may lie, read by any of its readings, is within this of its place, mm
/// (straight); nothing if a zone is not bounded.
[[nodiscard]] inline std::optional<double> MarkSpread(const PlacedPoint& point) {
  double spread = 0.0;
  for (const NominalPlace& nominal : point.nominals) {
    if (!nominal.zone.bounded) return std::nullopt;
    spread = std::max(spread, (nominal.position - point.position).norm() + nominal.zone.radius);
  }
  return spread;
}

/// The point of that name, or null.
[[nodiscard]] inline const PlacedPoint* FindPlaced(const std::vector<PlacedPoint>& points,
                                                   const std::string& name) {
  for (const PlacedPoint& point : points) {
    if (point.name == name) return &point;
  }
  return nullptr;
}

}  // namespace holeward
