#include "models/condition.h"

namespace holeward {
namespace {

Truth Known(bool value) { return value ? Truth::yes : Truth::no; }

Truth ResultHolds(const Condition& condition, const TestEntry& entry) {
  if (!entry.result) return Truth::unknown;
  return Known(*entry.result == condition.result);
}

Truth RemainingHolds(const Condition& condition, const TestEntry& entry) {
  if (!entry.result) return Truth::unknown;
  if (*entry.result == TestResult::not_tested) return Truth::no;
  if (!entry.remaining) return Truth::unknown;
  return Known(Compares(*entry.remaining, condition.compare, condition.limit));
}

/// Over the parts: `settles` as soon as one has that value, else unknown if any is, else the other.
Truth Over(const Condition& condition, const TestEntries& entries, Truth settles) {
  bool unknown = false;
  for (const Condition& part : condition.parts) {
    const Truth truth = Holds(part, entries);
    if (truth == settles) return settles;
    unknown = unknown || truth == Truth::unknown;
  }
  if (unknown) return Truth::unknown;
  return settles == Truth::yes ? Truth::no : Truth::yes;
}

}  // namespace

bool Compares(double value, Compare compare, double limit) {
  switch (compare) {
    case Compare::less: return value < limit;
    case Compare::at_most: return value <= limit;
    case Compare::more: return value > limit;
    case Compare::at_least: return value >= limit;
  }
  return false;
}

Truth Holds(const Condition& condition, const TestEntries& entries) {
  const auto found = entries.find(condition.place);
  const TestEntry entry = found == entries.end() ? TestEntry{} : found->second;
  switch (condition.kind) {
    case Condition::Kind::always: return Truth::yes;
    case Condition::Kind::result: return ResultHolds(condition, entry);
    case Condition::Kind::remaining: return RemainingHolds(condition, entry);
    case Condition::Kind::all: return Over(condition, entries, Truth::no);
    case Condition::Kind::any: return Over(condition, entries, Truth::yes);
    case Condition::Kind::negation: break;
  }
  const Truth truth = Holds(condition.parts.front(), entries);
  if (truth == Truth::unknown) return Truth::unknown;
  return Known(truth == Truth::no);
}

}  // namespace holeward
