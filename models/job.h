// The job as read from its file: plain values, lengths in mm and angles in radians whatever the
// file's units, every item with its place in the file so that later stages can point at it.
#pragma once

#include <algorithm>
#include <array>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "geometry/lap.h"
#include "geometry/marking.h"
#include "geometry/unproven_reach.h"
#include "geometry/vec.h"
#include "models/job_place.h"
#include "models/job_shop.h"

namespace holeward {

enum class Axle { front, rear };
enum class PointUse { reference, test, drill };
enum class SectionKind { box, round, channel, outline };
enum class CentreShape { smooth, straight };
enum class EndKind { open, closed };
enum class FittingKind { eye, stud, bracket, plate, seam, hole };
enum class InnerKind { bar, sleeve };
enum class Method { tape, rule, square, protractor, middle, in_line, line };
enum class EdgeReading { unstated, sharp, tangent };

/// What the sizes of a section change by, per mm along the centre line; only of a part made of a
/// solid.
struct SizeSlopes {
  double width = 0.0;
  double height = 0.0;
  double corner = 0.0;
  std::vector<Vec2> outline;
  std::vector<double> corners;

  friend bool operator==(const SizeSlopes&, const SizeSlopes&) = default;
};

/// One section of a part. Box: width, height, corner. Round: diameter. Outline: outline, corners.
struct StationRow {
  Vec3 centre = Vec3::Zero();
  double width = 0.0;
  double height = 0.0;
  double corner = 0.0;
  double diameter = 0.0;
  std::vector<Vec2>
      outline;  ///< (a, b) from the centre line, counter-clockwise as the reader leaves it
  std::vector<double> corners;  ///< one a vertex
  std::optional<Vec3> tangent;  ///< of the centre line, unit; only on a bent part made of a solid
  std::optional<SizeSlopes> slopes;
  Location at;

  friend bool operator==(const StationRow&, const StationRow&) = default;
};

/// One measure of a rule of placement, as the job gives it.
struct MeasureRow {
  Method method = Method::tape;
  double value = 0.0;             ///< mm; protractor: radians
  std::vector<std::string> from;  ///< one datum; middle between two: two; middle of face: none
  bool across_face = false;       ///< middle = "face"
  double fraction =
      0.5;  ///< middle: from the first datum; across a face: from its bottom, rear or inboard edge
  std::optional<std::string> toward;
  std::string
      line;  ///< line: the named line ("middle" on a flat face); in line: the datum is in `from`
  EdgeReading edge = EdgeReading::unstated;
  bool to_centre = false;  ///< hole: to = "centre"
  Location at;

  friend bool operator==(const MeasureRow&, const MeasureRow&) = default;
};

/// What is fixed to a part, as the job gives it.
struct FittingRow {
  std::string name;
  FittingKind kind = FittingKind::eye;
  double station = 0.0;
  std::optional<std::string>
      face;                  ///< canonical face or line name ("underside" for "bottom" on a box)
  double aside = 0.0;        ///< off the middle of the face (or line) by tape, positive girth
  double diameter = 0.0;     ///< eye, stud, hole
  double length = 0.0;       ///< eye: across, horizontal unless `axis`; stud: off the skin
  std::optional<Vec3> axis;  ///< eye: direction, unit length
  Vec2 size = Vec2::Zero();  ///< bracket, plate, seam: along the part, around it
  std::optional<double> height;  ///< off the skin; left out, access beside it is unproven
  double weld = 0.0;  ///< stud, bracket, plate: leg of the fillet all round on the skin, mm
  /// Placed by two readings as a point is; station and aside are then found when the part is built.
  std::optional<std::array<MeasureRow, 2>> rule;
  Location rule_at;
  Basis basis = Basis::measured;
  std::optional<Side> only;
  bool in_body = false;  ///< hole: already in the solid that the part is made of
  Location at;

  friend bool operator==(const FittingRow&, const FittingRow&) = default;
};

/// An inner body, as the job gives it.
struct InnerRow {
  std::string name;
  InnerKind kind = InnerKind::bar;
  double diameter = 0.0;
  double bore = 0.0;                      ///< sleeve only
  Vec3 offset = Vec3::Zero();             ///< from the part's centre line, vehicle axes
  std::array<double, 2> reach{0.0, 0.0};  ///< stations; {0, -1}: the whole length, or `path` says
  std::vector<Vec3> path;  ///< bent: places in vehicle axes; empty for a straight one
  Basis basis = Basis::measured;
  Location at;

  friend bool operator==(const InnerRow&, const InnerRow&) = default;
};

struct SolidSource;  // models/solid_file.h

/// A part, as the job gives it. One of a solid has the section, stations, ends and wall found in
/// it.
struct PartRow {
  std::string name;
  SectionKind section = SectionKind::box;
  bool shared = false;
  double wall = 0.0;
  double coating = 0.0;  ///< thickness of what lies on the skin where templates are laid
  std::array<EndKind, 2> ends{EndKind::open, EndKind::open};
  std::string start;  ///< name of the end at the first station
  std::string finish;
  CentreShape between = CentreShape::smooth;
  std::vector<StationRow> stations;  ///< at least two, whatever form the file used
  std::optional<Vec3> up;
  std::optional<std::string> lies;  ///< "across" | "along" | "upright"
  std::optional<std::string> open;  ///< channel: the open face
  Basis basis = Basis::measured;
  Basis wall_basis = Basis::measured;
  std::vector<FittingRow> fittings;
  std::vector<InnerRow> inner;
  std::shared_ptr<const SolidSource> solid;  ///< what it is made of, or null: of its sections
  std::vector<Lap> laps;
  std::vector<UnprovenReach> unproven;  ///< of a part measured on a bench: what nothing checks
  Location at;

  friend bool operator==(const PartRow&, const PartRow&) = default;
};

struct NeighbourRow {
  std::string name;
  std::vector<Vec3> path;
  double diameter = 0.0;
  Basis basis = Basis::measured;
  std::optional<Side> only;
  Location at;

  friend bool operator==(const NeighbourRow&, const NeighbourRow&) = default;
};

/// The way the tip travels.
struct AxisRow {
  enum class Kind { normal, direction, lean } kind = Kind::normal;
  std::string direction;  ///< direction: the tip travels this way; lean: toward this way
  double lean_rad = 0.0;  ///< lean: this far off the normal

  friend bool operator==(const AxisRow&, const AxisRow&) = default;
};

struct StopRow {
  enum class Kind { proposed, given, none } kind = Kind::proposed;
  std::vector<double> depth;  ///< given: one, or one a stage

  friend bool operator==(const StopRow&, const StopRow&) = default;
};

struct PointRow {
  std::string name;
  PointUse use = PointUse::reference;
  std::string part;
  std::optional<std::string> face;  ///< canonical name
  std::array<MeasureRow, 2> rule;
  std::vector<double> drill;  ///< stages: pilot first, final last
  StopRow stop;
  AxisRow axis;
  std::string during = "nothing";  ///< access | drain | nothing
  std::string after;               ///< plug | sealant | drain | "" (not stated)
  std::optional<Side> only;
  Location at;
  Location rule_at;

  friend bool operator==(const PointRow&, const PointRow&) = default;
};

/// Paper of a template: a named size, "A4 or Letter", or a roll of a width.
struct Paper {
  std::string name = "A4";
  double roll_width = 0.0;  ///< > 0 for a roll

  friend bool operator==(const Paper&, const Paper&) = default;
};

/// What keeps a template on the part.
enum class Hold { sticker, strap, magnet };

struct TemplateRow {
  std::string name;
  std::string part;
  std::vector<std::string> points;  ///< empty: every point of the part
  std::vector<std::string> align;   ///< empty: proposed
  double backing = 0.0;
  double gap = 2.0;  ///< between a cut-out and the fitting in it, mm
  Hold hold = Hold::sticker;
  double strap = 25.0;   ///< hold = strap: its width, mm
  double magnet = 20.0;  ///< hold = magnet: its diameter, mm
  Paper paper;
  Location at;

  /// True if it shows the point of that part.
  [[nodiscard]] bool Shows(const std::string& of_part, const std::string& point) const {
    return part == of_part &&
           (points.empty() || std::find(points.begin(), points.end(), point) != points.end());
  }

  friend bool operator==(const TemplateRow&, const TemplateRow&) = default;
};

/// A text of the job in the trainer's own words, and where it stands first.
struct JobText {
  std::string text;
  Location at;
};

/// The whole job.
struct Job {
  std::string file;          ///< the path as the user gave it, for messages
  std::string text_hash;     ///< short hash of the file's bytes
  std::string content_hash;  ///< hash of what the file says but for its release (ContentHash)
  std::string title;
  bool inches = false;  ///< the file's lengths were inches
  std::string set_number;
  std::string set_revision;
  SetRow set;
  ReleaseRows release;
  Side described_side = Side::left;
  std::vector<Side> sides{Side::left, Side::right};
  std::string posture;
  std::optional<Axle> axle;  ///< which end of the vehicle the parts are at
  Limits limits;
  Marking marking;
  std::vector<std::string> zeroed_errors;  ///< names of marking errors the job sets to 0
  TestTool test;
  DrillTool drill;
  std::vector<PartRow> parts;  ///< in the order of the file
  std::vector<NeighbourRow> neighbours;
  std::vector<PointRow> points;  ///< in the order of the file
  std::vector<TemplateRow> templates;
  std::vector<StepRow> steps;          ///< in the order of the file
  std::vector<DecisionRow> decisions;  ///< from the top of the flow to its foot
  std::string words_file;  ///< the table of the trainer's words in other languages, or empty
  Location words_at;
  std::vector<JobText> texts;  ///< what that table says, in the order of the file, each once

  /// The row of a point, or null.
  [[nodiscard]] const PointRow* FindPoint(const std::string& point) const {
    for (const PointRow& row : points) {
      if (row.name == point) return &row;
    }
    return nullptr;
  }
};

}  // namespace holeward
