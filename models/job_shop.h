// What a job says to the workshop besides points and templates: release, own steps, decisions.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "models/condition.h"
#include "models/job_place.h"

namespace holeward {

/// Signal words by how bad it can get. Source: ANSI Z535.4 and ISO 3864-2: DANGER, death or serious
/// injury will follow; WARNING, it could; CAUTION, minor or moderate injury; NOTICE, damage, no
/// injury. The worst first.
enum class Signal { danger, warning, caution, notice };

/// A variant of the vehicle that a person tells by a sign, and the set that is made for it.
struct VariantRow {
  std::string sign;  ///< "bracket 36 mm wide"
  std::string set;   ///< number of its set
};

/// Whom the set is from, for what it holds and what it replaces.
struct SetRow {
  std::string applies_to;
  std::string effective;  ///< YYYY-MM-DD, or empty
  std::string supersedes;
  std::string variant_question;      ///< "How wide is the bracket?"; empty: no variants
  std::vector<VariantRow> variants;  ///< one of them is this set
};

/// Who released one half of a job.
struct ReleaseRow {
  std::string by;
  std::string date;  ///< YYYY-MM-DD
  std::string hash;  ///< of what was released
};

/// The two releases of a job, each of its own engineer.
struct ReleaseRows {
  std::optional<ReleaseRow> clearance;
  std::optional<ReleaseRow> strength;
};

/// The standard steps of the work, in their order.
enum class StandardStep {
  clean,
  mark,
  ties,
  punch,
  test,
  pilot,
  probe,
  final_size,
  deburr,
  treat,
  close,
  record
};

/// A caution of one of the trainer's steps.
struct StepCaution {
  Signal signal = Signal::caution;
  std::string hazard;
  std::string avoid;
};

/// A step of the trainer's own.
struct StepRow {
  enum class Order { before, after, number } order = Order::after;
  StandardStep standard = StandardStep::clean;  ///< before, after
  int number = 0;                               ///< number: its place among all steps, from 1
  std::string title;
  std::vector<std::string> text;
  std::optional<StepCaution> caution;
  std::vector<std::string> material;
  double minutes = 0.0;        ///< 0: not stated
  std::vector<double> torque;  ///< N·m: none, one, or from and to
  std::optional<Side> only;
};

/// One decision of the flow: the first from the top whose condition holds is the vehicle's.
struct DecisionRow {
  std::string when;  ///< in the trainer's words
  std::string then;
  Condition condition;
  Location at;
};

}  // namespace holeward
