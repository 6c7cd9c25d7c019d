// Conditions of decisions: what they mean, what is wrong with them, and whether a flow of them
// decides every case.
#include <random>

#include <fmt/format.h>

#include <gtest/gtest.h>

#include "models/condition_cases.h"
#include "models/condition_words.h"

namespace holeward {
namespace {

ConditionScope Scope() {
  ConditionScope scope;
  for (const Side side : {Side::left, Side::right}) {
    scope.tests.push_back({{"A1", side}, "arm"});
    scope.tests.push_back({{"T 2", side}, "tube"});
  }
  scope.tests.push_back({{"A9", Side::left}, "arm"});
  scope.points = {"A1", "T 2", "A9", "D1"};
  scope.parts = {"arm", "tube"};
  return scope;
}

Condition Parsed(const std::string& text) {
  const ConditionScope scope = Scope();
  auto parsed = ParseCondition(text, scope);
  const auto* fault = std::get_if<ConditionFault>(&parsed);
  EXPECT_EQ(fault, nullptr) << text << ": " << (fault ? fault->message : "");
  return fault != nullptr ? Condition() : std::get<Condition>(parsed);
}

std::string FaultOf(const std::string& text) {
  const ConditionScope scope = Scope();
  const auto parsed = ParseCondition(text, scope);
  const auto* fault = std::get_if<ConditionFault>(&parsed);
  return fault == nullptr ? "none" : fmt::format("{}: {}", fault->at, fault->message);
}

const TestPlace kA1Left{"A1", Side::left};
const TestPlace kA1Right{"A1", Side::right};
const TestPlace kA9{"A9", Side::left};

TestEntries AllPass() {
  TestEntries entries;
  for (const AskedTest& test : Scope().tests) entries[test.place] = {TestResult::pass, 3.0};
  return entries;
}

TEST(Condition, BadNewsCountsOnAnySideAndGoodNewsOnAll) {
  TestEntries entries = AllPass();
  EXPECT_EQ(Holds(Parsed("A1 passes"), entries), Truth::yes);
  entries[kA1Right].result = TestResult::fail;
  EXPECT_EQ(Holds(Parsed("A1 fails"), entries), Truth::yes);
  EXPECT_EQ(Holds(Parsed("left A1 fails"), entries), Truth::no);
  EXPECT_EQ(Holds(Parsed("A1 passes"), entries), Truth::no);
  EXPECT_EQ(Holds(Parsed("left A1 passes"), entries), Truth::yes);
  entries[kA1Left].remaining = 1.9;
  EXPECT_EQ(Holds(Parsed("remaining < 2.0 at A1"), entries), Truth::yes);
  EXPECT_EQ(Holds(Parsed("remaining >= 2.0 at A1"), entries), Truth::no);
  EXPECT_EQ(Holds(Parsed("remaining >= 2.0 mm at right A1"), entries), Truth::yes);
  EXPECT_EQ(Holds(Parsed("remaining < 0.08 in at A1"), entries), Truth::yes);  // 2.032 mm
}

TEST(Condition, QuantifiersReachTheTestsOfAPartAndSide) {
  TestEntries entries = AllPass();
  EXPECT_EQ(Holds(Parsed("any test fails"), entries), Truth::no);
  entries[{"T 2", Side::right}].result = TestResult::fail;
  EXPECT_EQ(Holds(Parsed("any test fails"), entries), Truth::yes);
  EXPECT_EQ(Holds(Parsed("any test of arm fails"), entries), Truth::no);
  EXPECT_EQ(Holds(Parsed("any left test fails"), entries), Truth::no);
  EXPECT_EQ(Holds(Parsed("no left test fails"), entries), Truth::yes);
  EXPECT_EQ(Holds(Parsed("'T 2' fails and every test of arm passes"), entries), Truth::yes);
}

TEST(Condition, AndBindsTighterThanOrAndNotTighterThanBoth) {
  TestEntries entries = AllPass();
  entries[kA9].result = TestResult::fail;
  EXPECT_EQ(Holds(Parsed("A9 fails or A1 fails and A1 fails"), entries), Truth::yes);
  EXPECT_EQ(Holds(Parsed("(A9 fails or A1 fails) and A1 fails"), entries), Truth::no);
  EXPECT_EQ(Holds(Parsed("not A1 fails and A9 fails"), entries), Truth::yes);
  EXPECT_EQ(Holds(Parsed("not (A1 fails or A9 fails)"), entries), Truth::no);
}

TEST(Condition, WhatHangsOnAMissingResultIsUnknown) {
  TestEntries entries = AllPass();
  entries.erase(kA1Left);
  EXPECT_EQ(Holds(Parsed("A1 fails"), entries), Truth::unknown);
  EXPECT_EQ(Holds(Parsed("not A1 fails"), entries), Truth::unknown);
  entries[kA1Right].result = TestResult::fail;
  EXPECT_EQ(Holds(Parsed("A1 fails"), entries), Truth::yes);  // whatever the missing one gives
  entries[kA9] = {TestResult::pass, std::nullopt};
  EXPECT_EQ(Holds(Parsed("remaining < 2 at A9"), entries), Truth::unknown);
  entries[kA9] = {TestResult::not_tested, std::nullopt};
  EXPECT_EQ(Holds(Parsed("remaining < 2 at A9"), entries), Truth::no);
  EXPECT_EQ(Holds(Parsed("A9 is not tested"), entries), Truth::yes);
}

TEST(Condition, FaultsNameThePlaceWhatWasFoundAndWhatIsAllowed) {
  const std::pair<const char*, const char*> cases[] = {
      {"A1 fials",
       "3: found 'fials' where passes, fails or is not tested is allowed; did you mean 'fails'?"},
      {"A1", "2: it ends where passes, fails or is not tested is allowed"},
      {"A1 fails adn A9 fails",
       "9: found 'adn' where and, or, or the end is allowed; did you mean 'and'?"},
      {"any test of amr fails",
       "12: found 'amr' where the name of a part (arm, tube) is allowed; did you mean 'arm'?"},
      {"D1 fails", "0: 'D1' is no test point; the test points are A1, T 2, A9"},
      {"right A9 fails", "6: 'A9' is not tested on that side of the vehicle"},
      {"any right test of arm fails and any test of tube is tested",
       "52: found 'tested' where not is allowed"},
      {"remaining = 2 at A1", "10: found '=' where <, <=, > or >= is allowed"},
      {"remaining < two at A1", "12: found 'two' where a thickness such as 2.0 is allowed"},
      {"remaining < 0 at A1",
       "12: found '0' where a thickness greater than 0 and at most 1000 mm is allowed"},
      {"(A1 fails", "9: it ends where and, or, or ) is allowed"},
      {"'A1 fails", "0: a name begins with ' and has no ' behind it"},
      {"otherwise A1", "10: found 'A1' where nothing is allowed"}};
  for (const auto& [text, fault] : cases) EXPECT_EQ(FaultOf(text), fault) << text;
  EXPECT_NE(FaultOf(std::string(200, '(') + "A1 fails").find("deeper than 30"), std::string::npos);
}

FlowFaults Check(const std::vector<std::string>& texts) {
  std::vector<Condition> conditions;
  for (const std::string& text : texts) conditions.push_back(Parsed(text));
  std::vector<const Condition*> flow;
  for (const Condition& condition : conditions) flow.push_back(&condition);
  return CheckFlow(flow);
}

TEST(Flow, ThatLeavesACaseUndecidedNamesIt) {
  const FlowFaults faults = Check({"any test fails", "remaining < 2 at left A1",
                                   "remaining > 2 at left A1", "any test is not tested"});
  EXPECT_TRUE(faults.unreachable.empty());
  ASSERT_TRUE(faults.undecided);
  EXPECT_EQ(*faults.undecided->at(kA1Left).remaining, 2.0);  // just at the limit
  EXPECT_NE(CaseWords(*faults.undecided).find("left A1 passes with 2 mm remaining"),
            std::string::npos);
  const FlowFaults whole = Check({"any test fails", "remaining < 2 at left A1",
                                  "remaining >= 2 at left A1", "any test is not tested"});
  EXPECT_FALSE(whole.undecided) << CaseWords(*whole.undecided);
}

TEST(Flow, FindsDecisionsThatNoCaseComesTo) {
  EXPECT_EQ(Check({"any test fails", "left A1 fails", "otherwise"}).unreachable,
            std::vector<std::size_t>{1});
  EXPECT_EQ(Check({"remaining < 3 at A9", "remaining < 2 at A9", "otherwise"}).unreachable,
            std::vector<std::size_t>{1});
  EXPECT_EQ(Check({"otherwise", "any test fails"}).unreachable, std::vector<std::size_t>{1});
  EXPECT_EQ(Check({"A9 passes and A9 fails", "otherwise"}).unreachable,
            std::vector<std::size_t>{0});
  EXPECT_TRUE(
      Check({"remaining < 2 at A9", "remaining < 3 at A9", "otherwise"}).unreachable.empty());
}

TEST(Flow, OfATwoThousandTestsIsDecided) {
  ConditionScope scope;
  for (int i = 0; i < 2000; ++i)
    scope.tests.push_back({{fmt::format("P{}", i), Side::left}, "arm"});
  scope.parts = {"arm"};
  std::vector<Condition> conditions;
  for (const char* text : {"any test fails", "any test is not tested", "every test passes"}) {
    conditions.push_back(std::get<Condition>(ParseCondition(text, scope)));
  }
  const FlowFaults faults = CheckFlow({&conditions[0], &conditions[1], &conditions[2]});
  EXPECT_FALSE(faults.too_entangled);
  EXPECT_FALSE(faults.undecided);
  EXPECT_TRUE(faults.unreachable.empty());
}

// ---- Against every case, one by one

std::string RandomCondition(std::mt19937& dice, int depth) {
  const auto roll = [&](int sides) {
    return static_cast<int>(dice() % static_cast<unsigned>(sides));
  };
  if (depth > 0 && roll(3) > 0) {
    const std::string a = RandomCondition(dice, depth - 1);
    if (roll(4) == 0) return "not (" + a + ")";
    return "(" + a + ") " + (roll(2) == 0 ? "and" : "or") + " (" +
           RandomCondition(dice, depth - 1) + ")";
  }
  const char* const who[] = {
      "A1", "left A1", "right A1", "A9", "any test of arm", "no test of arm", "every test of arm"};
  const std::string tests = who[roll(7)];
  if (roll(2) == 0) {
    const char* const signs[] = {"<", "<=", ">", ">="};
    return fmt::format("remaining {} {} at {}", signs[roll(4)], 2 + roll(2), tests);
  }
  const char* const verbs[] = {"passes", "fails", "is not tested"};
  return tests + " " + verbs[roll(3)];
}

/// Every case of the three test points of the arm; thicknesses on a grid finer than the limits.
std::vector<TestEntries> EveryCase() {
  std::vector<TestEntry> one = {{TestResult::not_tested, std::nullopt}};
  for (const TestResult result : {TestResult::pass, TestResult::fail}) {
    for (const double value : {0.0, 1.0, 2.0, 2.5, 3.0, 9.0}) one.push_back({result, value});
  }
  std::vector<TestEntries> cases;
  for (const TestEntry& a : one) {
    for (const TestEntry& b : one) {
      for (const TestEntry& c : one) cases.push_back({{kA1Left, a}, {kA1Right, b}, {kA9, c}});
    }
  }
  return cases;
}

TEST(Flow, AgreesWithTryingEveryCase) {
  const std::vector<TestEntries> cases = EveryCase();
  std::mt19937 dice(20261128);
  int undecided = 0;
  int unreachable = 0;
  int sound = 0;
  for (int trial = 0; trial < 150; ++trial) {
    std::vector<Condition> conditions;
    for (int i = 0; i < 3; ++i) conditions.push_back(Parsed(RandomCondition(dice, 2)));
    std::vector<bool> reached(3, false);
    bool open = false;
    for (const TestEntries& entries : cases) {
      std::size_t taken = 0;
      while (taken < 3 && Holds(conditions[taken], entries) != Truth::yes) ++taken;
      if (taken < 3) reached[taken] = true;
      open = open || taken == 3;
    }
    std::vector<std::size_t> missed;
    for (std::size_t i = 0; i < 3; ++i) {
      if (!reached[i]) missed.push_back(i);
    }
    const FlowFaults faults = CheckFlow({&conditions[0], &conditions[1], &conditions[2]});
    EXPECT_EQ(faults.undecided.has_value(), open) << trial;
    EXPECT_EQ(faults.unreachable, missed) << trial;
    if (faults.undecided) {
      for (const Condition& condition : conditions) {
        EXPECT_EQ(Holds(condition, *faults.undecided), Truth::no) << trial;
      }
    }
    undecided += static_cast<int>(open);
    unreachable += static_cast<int>(!missed.empty());
    sound += static_cast<int>(!open && missed.empty());
  }
  EXPECT_GT(undecided, 10);
  EXPECT_GT(unreachable, 10);
  EXPECT_GT(sound, 3);
}

}  // namespace
}  // namespace holeward
