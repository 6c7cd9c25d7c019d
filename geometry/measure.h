// A measure: one reading, as a scalar function on the skin. Two of them make a point.
//
//   method      value                                              form
//   tape        shortest path on the skin from the datum's origin  tape
//   rule        straight distance from it                          rule
//   square      from a section's plane, or across in the section   square
//   protractor  angle about the section's centre                   angle
//   middle      equal (or stated share of) tape from two datums    middle
//   middle of a face, line, in line (along)                        across
//   in line (same station)                                         station
//
// Every form has a residual in mm (an angle's in radians) that is zero where the reading agrees
// with the rule, and a gradient: the tangent vector at the place along which the reading grows, per
// mm. Residuals of middle, across and station are distances: their gradients have unit length.
#pragma once

#include <memory>
#include <optional>
#include <string>

#include "geometry/datum.h"
#include "geometry/marking.h"
#include "geometry/skin.h"
#include "geometry/tape.h"

namespace holeward {

struct Measure {
  enum class Form { tape, rule, square, angle, across, station, middle };
  Form form = Form::tape;
  Origin origin;
  Origin second;                   ///< middle: the other datum's
  double value = 0.0;              ///< mm; angle: radians; middle, across, station: unused (0)
  double fraction = 0.5;           ///< middle: share of the way from the first datum
  Vec2 angle_from = Vec2::Zero();  ///< angle: unit direction in the section, (a, b)
  double sense = 1.0;              ///< angle: +1 counts with v, -1 against
  /// Keeps solutions whose step from the datum has a positive component this way; middle: the way
  /// from the first datum to the second, between which the place must lie.
  std::optional<Toward> toward;
  HalfWidth half_width;  ///< mm; angle: radians
  /// Within this of where it is taken to be its datum may lie, mm; 0 unless it is a point or a
  /// fitting that readings place, nothing if unbounded.
  std::optional<double> datum_spread = 0.0;
  std::string datum_point;  ///< name of that point or fitting, or empty
  std::string method;       ///< the job's word
  std::string from;         ///< the datum's name, for the reading

  [[nodiscard]] bool is_angle() const { return form == Form::angle; }
};

/// One measure read at one place.
struct Sample {
  double residual = 0.0;  ///< mm; angle: radians
  double value = 0.0;     ///< what a person reads: mm (middle: tape from the first datum), radians
  Vec3 gradient = Vec3::Zero();  ///< of the residual, in the skin, per mm
  Vec3 start = Vec3::Zero();     ///< where the reading starts, vehicle axes
  double start_u = 0.0;
  std::optional<TapePath> path;
  std::optional<TapePath> second_path;  ///< middle: the tape from its other datum
  double second_value = 0.0;
  Vec3 second_start = Vec3::Zero();
  double second_u = 0.0;
  double foot = 0.0;  ///< rule: the parameter of the nearest place of its line or outline
};

/// Reads measures on one skin. Immutable; one serves a part.
class MeasureReader {
 public:
  explicit MeasureReader(std::shared_ptr<const Skin> skin);

  /// The reading at a place. `warm`: a sample of the same measure at a near place; the tape then
  /// keeps its way round. Nothing where the measure has no reading (off the ends, on the datum
  /// itself where no direction is defined).
  [[nodiscard]] std::optional<Sample> Read(const Measure& measure, const SkinPlace& wanted,
                                           const Sample* warm = nullptr) const;

  [[nodiscard]] const Skin& skin() const { return *skin_; }
  [[nodiscard]] const std::shared_ptr<const Skin>& shared_skin() const { return skin_; }
  [[nodiscard]] const TapeSolver& tape() const { return *tape_; }

  /// True if the sample lies on the side that the measure's `toward` asks for.
  [[nodiscard]] bool OnRightSide(const Measure& measure, const Sample& sample,
                                 const SkinPlace& place) const;

 private:
  [[nodiscard]] std::optional<Sample> ReadTape(const Origin& origin, const SkinPlace& place,
                                               const TapePath* seed) const;
  [[nodiscard]] std::optional<Sample> ReadRule(const Measure& m, const SkinPlace& place,
                                               const Sample* warm) const;
  [[nodiscard]] std::optional<Sample> ReadSquare(const Measure& m, const SkinPlace& place) const;
  [[nodiscard]] std::optional<Sample> ReadMiddle(const Measure& m, const SkinPlace& place,
                                                 const Sample* warm) const;
  [[nodiscard]] std::optional<Sample> ReadAngle(const Measure& m, const SkinPlace& place) const;
  [[nodiscard]] std::optional<Sample> ReadCoordinate(const Measure& m,
                                                     const SkinPlace& place) const;

  std::shared_ptr<const Skin> skin_;
  std::shared_ptr<const TapeSolver> tape_;
};

/// The angle of v on a round section as a direction in (a, b): (0, -1) at v = 0, counter-clockwise.
[[nodiscard]] Vec2 RoundDirection(double v);

/// The line a try square reads off in a section: distances are (p - foot) . normal, (a, b).
struct SectionLine {
  Vec2 foot = Vec2::Zero();
  Vec2 normal = Vec2::UnitX();  ///< unit; from a corner it points across the flat read on
};
/// The line of the section at u that a square measure with origin `origin` (line or corner) reads
/// off: along the other flat that meets at a corner (a lip: square to the flat itself), square to
/// the flat a line lies on, or through a line of a round section and its centre.
[[nodiscard]] SectionLine SquareLine(const Skin& skin, const Origin& origin, double u);

}  // namespace holeward
