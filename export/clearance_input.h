// Everything the engineer's report is made from: plain values, computed elsewhere. Lengths mm.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "export/result_json.h"
#include "export/result_rows.h"
#include "geometry/vec.h"

namespace holeward {

/// Printed where a block of the report has no figures.
inline constexpr const char* kNotComputed = "not computed in this version";

enum class SheetRegionKind {
  wall,     ///< the drilled part's own metal
  inner,    ///< an inner body
  fitting,  ///< fixed to the part
  other,    ///< another part or a neighbour
};

/// A closed polyline in the plane of the section.
struct SheetLoop {
  std::vector<Vec2> points;
  /// One a point: the edge from it to the next is the body's border. False: it only closes the
  /// loop. Empty: all are.
  std::vector<bool> drawn;
};

/// Metal cut by the plane of the section: what lies inside an odd number of its closed loops.
struct SheetRegion {
  std::string name;
  SheetRegionKind kind = SheetRegionKind::wall;
  std::vector<SheetLoop> loops;
  std::optional<Vec2> centre;  ///< of a round body, for its centre lines
};

/// A direction of the vehicle in the plane of the section.
struct SectionWay {
  Vec2 to = Vec2::Zero();  ///< unit, or zero: not drawn
  std::string word;        ///< "FRONT"
};

/// What the plane through the drill's axis cuts. The axis meets the skin at the origin, the tip
/// travels along -y. Drills are closed outlines, of several pieces or one; empty: not known. They
/// may reach out of the part as far as they like, the drawing cuts them off.
struct SectionPicture {
  std::string plane;  ///< "square to the centre line of the tube at station 650"
  std::vector<SheetRegion> regions;
  std::vector<SheetLoop> drill_set;      ///< at the stop setting, or after the run-on
  std::vector<SheetLoop> drill_contact;  ///< at first contact
  std::vector<SheetLoop> drill_worst;    ///< the worst pose at its own first contact, in the plane
  double set_depth = 0.0;                ///< tip depth of drill_set, > 0
  std::array<SectionWay, 2> ways;
};

/// Part of the sampled margins, from `from` to `to`.
struct ChartBin {
  double from = 0.0;
  double to = 0.0;
  double share = 0.0;  ///< of all poses, 0 to 1
};

/// How likely contact is.
struct ChanceChart {
  std::string about;  ///< "1 000 000 poses, errors rectangular, seed 1"
  std::vector<ChartBin> bins;
  double probability = 0.0;  ///< of contact
  double upper_95 = 0.0;     ///< 95 % upper bound (Clopper and Pearson)
  struct Quantile {
    double at = 0.0;      ///< 0 to 1
    double margin = 0.0;  ///< mm
  };
  std::vector<Quantile> quantiles;
};

/// What one error eats of the margin.
struct ShareBar {
  std::string error;
  double gain = 0.0;  ///< worst margin with this error at 0, less the worst margin
  std::optional<double> variance_share;  ///< 0 to 1
};

/// One line of a small table.
struct FigureRow {
  std::string name;
  std::string value;
  std::string after;  ///< with the hole, where the table has two columns
};

/// Figures under a heading; without rows `missing` says why.
struct FigureTable {
  std::string heading;
  bool before_after = false;  ///< two columns of figures
  std::array<std::string, 2> columns{"without hole", "with hole"};
  std::vector<FigureRow> rows;
  std::vector<std::string> notes;  ///< sentences below it: limits of a formula, sources
  std::string missing = kNotComputed;
};

/// One stage of one hole. Sides that are each other's mirror image share it.
struct ClearanceHole {
  HoleCheck check;          ///< of the first of the sides
  std::vector<Side> sides;  ///< one, or both: left and right alike
  int stages = 1;
  std::optional<SectionPicture> section;
  std::string no_section = kNotComputed;  ///< why there is none
  std::optional<ChanceChart> chance;
  std::string no_chance = kNotComputed;
  std::vector<ShareBar> shares;
  std::string no_shares = kNotComputed;
  std::optional<double> margin_worst_upper;  ///< attained by some pose, mm
  std::optional<double> probe_depth;         ///< certified, mm
  std::vector<FigureTable> tables;           ///< of the section, round the hole
  std::vector<std::string> advice;           ///< sentences
};

/// How a wall or a body is known.
struct BasisRow {
  std::string what;   ///< "arm, wall 2.9 mm"
  std::string basis;  ///< measured | drawn | assumed
};

struct ClearanceReportInput {
  ResultHead head;
  std::string date;  ///< YYYY-MM-DD
  std::string posture;
  Basics basics;
  std::string limits;  ///< in one line
  std::vector<ClearanceHole> holes;
  std::vector<PointCheckOut> points;
  std::vector<BasisRow> bases;
  Verdict overall = Verdict::unproven;
  bool released = false;
  std::string reason;                    ///< why not released, in a sentence
  std::vector<std::string> not_checked;  ///< sentences
  std::vector<std::string> cautions;     ///< empty: StandardCautions()
};

}  // namespace holeward
