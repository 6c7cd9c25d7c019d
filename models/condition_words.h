// The small language in which a trainer writes the condition of a decision.
//
//   condition  = "otherwise" | either
//   either     = both { "or" both }
//   both       = one { "and" one }
//   one        = "not" one | "(" either ")" | asks
//   asks       = tests verb | "remaining" compare NUMBER [ "mm" | "in" ] "at" tests
//   tests      = ( "any" | "every" | "no" ) [ side ] "test" [ "of" PART ] | [ side ] POINT
//   verb       = "passes" | "fails" | "is not tested"
//   compare    = "<" | "<=" | ">" | ">="
//   side       = "left" | "right"
//
// A name with blanks or signs, or that is a word of the language, stands in single quotes. A point
// without its side is asked on every side made: bad news counts on any of them (fails, is not
// tested, < and <=), good news only on all (passes, > and >=).
#pragma once

#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "models/condition.h"

namespace holeward {

/// A test point that a condition can ask for.
struct AskedTest {
  TestPlace place;
  std::string part;
};

/// What the names of a condition may mean.
struct ConditionScope {
  std::vector<AskedTest> tests;     ///< every test point of every side made
  std::vector<std::string> points;  ///< every point of the job
  std::vector<std::string> parts;   ///< every part of the job
  double unit_mm = 1.0;             ///< of a limit without its own unit
};

/// Why a text is no condition, and where: bytes from its start.
struct ConditionFault {
  std::size_t at = 0;
  std::string message;  ///< what was found, what is allowed
};

/// Parses a condition. A limit is greater than 0 and at most 1000 mm; parentheses and `not` nest at
/// most 30 deep.
[[nodiscard]] std::variant<Condition, ConditionFault> ParseCondition(std::string_view text,
                                                                     const ConditionScope& scope);

/// "passes", "fails", "is not tested".
[[nodiscard]] const char* Verb(TestResult result);

}  // namespace holeward
