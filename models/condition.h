// The condition of a decision: a boolean expression over what a record sheet holds of one vehicle.
#pragma once

#include <compare>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "models/job_place.h"

namespace holeward {

/// What a test of a point gave.
enum class TestResult { pass, fail, not_tested };

/// How a thickness is compared with a limit.
enum class Compare { less, at_most, more, at_least };

/// A test point of one side.
struct TestPlace {
  std::string point;
  Side side = Side::left;

  [[nodiscard]] auto operator<=>(const TestPlace&) const = default;
};

/// An expression as a tree: leaves ask one test point of one side.
struct Condition {
  enum class Kind {
    always,     ///< true
    result,     ///< the test of `place` gave `result`
    remaining,  ///< tested, and its remaining thickness compares so with `limit`
    negation,   ///< not the one of `parts`
    all,        ///< every one of `parts`
    any,        ///< at least one of `parts`
  };
  Kind kind = Kind::always;
  TestPlace place;
  TestResult result = TestResult::pass;
  Compare compare = Compare::less;
  double limit = 0.0;  ///< mm, greater than 0
  std::vector<Condition> parts;
};

/// What is known of one test point.
struct TestEntry {
  std::optional<TestResult> result;
  std::optional<double> remaining;  ///< mm
};
using TestEntries = std::map<TestPlace, TestEntry>;

/// Three truth values: what cannot be told without a missing entry is unknown.
enum class Truth { no, yes, unknown };

/// Whether the condition holds for what is known. An entry that is missing, or a thickness that is
/// asked for and missing at a point that was tested, is unknown and makes unknown what hangs on it
/// (Kleene's strong logic). A point that was not tested has no thickness: every comparison is no.
[[nodiscard]] Truth Holds(const Condition& condition, const TestEntries& entries);

/// True if `value` compares so with `limit`.
[[nodiscard]] bool Compares(double value, Compare compare, double limit);

}  // namespace holeward
