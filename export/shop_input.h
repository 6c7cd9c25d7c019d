// Everything the workshop's sheets are made from: plain values, computed elsewhere. Lengths mm.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "export/clearance_frame.h"
#include "export/point_card.h"
#include "export/printer_bars.h"
#include "geometry/checked.h"
#include "geometry/marking.h"
#include "models/job.h"

namespace holeward {

/// A straight distance to another point, to check a marked part with.
struct ShopTie {
  std::string to;
  double straight = 0.0;
  /// Farther off than this, one of the two marks is not where it belongs, mm: outside its marking
  /// zone or, where both are marked from one sheet, off the sheet's own shape. Nothing: a zone
  /// without a bound.
  std::optional<double> allowed;
};

/// How far a marked wire must pass through the pilot hole.
struct ShopProbe {
  enum class Kind { not_computed, free, depth } kind = Kind::not_computed;
  double depth = 0.0;  ///< kind depth: certified, mm
};

/// One drill size at a hole.
struct ShopStage {
  HoleCheck check;
  double projection = 60.0;  ///< drill showing from the chuck
};

/// A point of one side, in that side's words.
struct ShopPoint {
  std::string name;
  PointUse use = PointUse::reference;
  std::string part;
  std::string face;   ///< or the nearest named line of a round part
  std::string rule;   ///< both readings in plain words
  double wall = 0.0;  ///< of the part, as the job states it
  std::vector<ShopTie> ties;
  std::vector<ShopStage> stages;   ///< pilot first; drill points only
  ShopProbe probe;                 ///< holes of two stages or more
  std::string during = "nothing";  ///< access | drain | nothing
  std::string after;               ///< plug | sealant | drain | "" (the job does not say)
  std::optional<Verdict> verdict;  ///< worst of its stages and of the point; test and drill points

  std::optional<ShopPicture> picture;  ///< with its readings drawn and dimensioned

  [[nodiscard]] bool Drilled() const { return use == PointUse::drill && !stages.empty(); }
  [[nodiscard]] bool Clear() const { return !verdict || *verdict == Verdict::clear; }
};

/// A template of one side.
struct ShopTemplate {
  std::string name;
  std::string part;
  std::vector<std::string> points;  ///< names of those it shows
  std::vector<std::string> align;   ///< what the job lines it up with; empty: the sheet says
};

struct ShopSide {
  Side side = Side::left;
  std::vector<ShopPoint> points;  ///< in the order of the job
  std::vector<ShopTemplate> templates;
};

struct ShopInput {
  PageFacts facts;  ///< `document` is set by each sheet
  std::string posture;
  bool inches = false;  ///< the job's lengths are inches: printed beside the millimetres
  TestTool test;
  DrillTool drill;
  std::vector<Method> methods;            ///< by which points are read, each once
  std::vector<std::string> inner_bodies;  ///< names, each once
  std::vector<std::string> neighbours;    ///< names, each once
  std::vector<ShopSide> sides;
  std::vector<VariantRow> variants;    ///< of the vehicle, told by a sign; one is this set
  std::string variant_question;        ///< what the sign answers
  std::vector<StepRow> steps;          ///< the trainer's own
  std::vector<DecisionRow> decisions;  ///< of the record's flow, from its top
  std::optional<PrinterBars> bars;     ///< the printer whose fault the setting gauge makes up for
};

/// Name of the first point with a number that is not finite, and what it is; or empty.
[[nodiscard]] std::string FirstNotFinite(const ShopInput& input);

/// A length as the shop's sheets print it: "7.5 mm", with inches beside it where the job has them.
/// @param mm length, mm; @param decimals of the millimetres
[[nodiscard]] std::string ShopLength(double mm, bool inches, int decimals = 1);

/// A diameter, likewise: "⌀3.5" or "⌀3.5 (0.138 in)".
[[nodiscard]] std::string ShopDiameter(double mm, bool inches);

/// How a hole is closed, as a person would say it: "plug ⌀8".
[[nodiscard]] std::string CloseWords(const ShopPoint& point, bool inches, const Words& words = {});

/// How deep the wire must pass at least, in few words: "24.3 mm".
[[nodiscard]] std::string ProbeWords(const ShopProbe& probe, bool inches, const Words& words = {});

}  // namespace holeward
