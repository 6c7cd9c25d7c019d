// What changed between two jobs, as it is handed over.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "export/result_json.h"

namespace holeward {

/// A point of one side in both jobs, or in one of them.
struct PointChange {
  enum class Kind { same, changed, appeared, vanished } kind = Kind::same;
  std::string name;
  Side side = Side::left;
  std::optional<double> moved;       ///< straight, mm; in both jobs
  std::vector<std::string> changes;  ///< what else changed, a few words each
};

/// A hole drilled by the old job, as the new job judges it.
struct DoneHole {
  std::string point;
  Side side = Side::left;
  int stage = 1;
  double diameter = 0.0;               ///< mm
  std::optional<double> stop;          ///< it was drilled with, mm
  std::optional<double> margin_worst;  ///< mm, certified
  Verdict verdict = Verdict::unproven;
  std::vector<std::string> reasons;
};

struct CompareOut {
  ResultHead old_head, new_head;
  std::vector<PointChange> points;
  std::vector<DoneHole> done;
  Verdict done_verdict = Verdict::clear;  ///< the worst of `done`; clear without any
};

/// The document of `compare`. Errors: a number that is not finite.
[[nodiscard]] Result<Json> CompareJson(const CompareOut& compared);

[[nodiscard]] const char* Word(PointChange::Kind kind);

}  // namespace holeward
