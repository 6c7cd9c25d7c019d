// A job's text changed in one place: the new value is read back, all other bytes are the old ones.
#include "models/job_edit.h"

#include <fstream>
#include <iterator>
#include <random>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "models/toml_tree.h"

namespace holeward {
namespace {

std::string FileText(const std::string& name) {
  std::ifstream file(std::string(HOLEWARD_SOURCE_DIR) + "/" + name, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

// Everything that makes finding a value hard.
const char* const kHard =
    "# \xC3\xA9t\xC3\xA9 = 1\r\n"
    "title = \"a # no comment, \\\" [x] = {\"   # a comment\r\n"
    "'quoted key' = 'x'\r\n"
    "long = \"\"\"one\r\n[point]\r\ntwo = 2\\\"\"\"\"\"\r\n"
    "list = [ 1, # one\r\n  [2, 3],\r\n  { a = 4, b.c = \"}\" },\r\n]\r\n"
    "a.b.c = 5\r\n"
    "\r\n"
    "[empty]\r\n"
    "[ part . \"the arm\" ] # here\r\n"
    "  wall = 2.5\r\n"
    "\r\n"
    "[[part.'the arm'.fitting]]\r\n"
    "when = 1979-05-27 07:32:00 # a date\r\n"
    "name = 'eye'\r\n"
    "# above the second\r\n"
    "[[part.'the arm'.fitting]]\r\n"
    "name = 'stud'";

std::string ValueIn(const std::string& text, const TomlPath& path) {
  const auto root = SpotsOf(text);
  if (!root) return root.error().message;
  const TomlSpot* spot = SpotAt(*root, path);
  return spot == nullptr ? "nothing there"
                         : text.substr(spot->span.from, spot->span.to - spot->span.from);
}

void Walk(const TomlSpot& spot, const TomlPath& path, std::vector<TomlPath>& values) {
  if (spot.kind != TomlSpot::Kind::table && spot.kind != TomlSpot::Kind::table_list) {
    values.push_back(path);
  }
  for (const TomlSpotEntry& entry : spot.entries) {
    TomlPath next = path;
    next.emplace_back(entry.key);
    Walk(entry.spot, next, values);
  }
  for (std::size_t i = 0; i < spot.items.size(); ++i) {
    TomlPath next = path;
    next.emplace_back(i);
    Walk(spot.items[i], next, values);
  }
}

std::vector<TomlPath> ValuesOf(const std::string& text) {
  const auto root = SpotsOf(text);
  EXPECT_TRUE(root);
  std::vector<TomlPath> values;
  if (root) Walk(*root, {}, values);
  return values;
}

const TomlNode* NodeAt(const TomlNode& root, const TomlPath& path) {
  const TomlNode* node = &root;
  for (const TomlStep& step : path) {
    if (const auto* key = std::get_if<std::string>(&step)) {
      node = node->Find(*key);
    } else {
      const std::size_t item = std::get<std::size_t>(step);
      node = item < node->items.size() ? &node->items[item] : nullptr;
    }
    if (node == nullptr) return nullptr;
  }
  return node;
}

std::vector<std::string> Texts() {
  return {kHard,
          FileText("models/examples/utility-van.toml"),
          FileText("tests/data/good_job.toml"),
          FileText("models/starter/arm.toml"),
          FileText("models/starter/tube.toml"),
          FileText("models/starter/channel.toml")};
}

TEST(JobEdit, FindsEveryValueWhereTheParserFindsIt) {
  std::size_t seen = 0;
  for (const std::string& text : Texts()) {
    const auto tree = ParseToml(text);
    const auto& root = std::get<TomlNode>(tree);
    const auto spots = SpotsOf(text);
    ASSERT_TRUE(spots);
    for (const TomlPath& path : ValuesOf(text)) {
      const TomlNode* node = NodeAt(root, path);
      const TomlSpot* spot = SpotAt(*spots, path);
      ASSERT_NE(node, nullptr);
      ASSERT_NE(spot, nullptr);
      const TextPlace place = PlaceOfByte(text, spot->span.from);
      EXPECT_EQ(place.line, node->at.line);
      EXPECT_EQ(place.column, node->at.column) << ValueIn(text, path);
      ++seen;
    }
  }
  EXPECT_GT(seen, 400U);
}

TEST(JobEdit, AChangedValueReadsBackAndNothingElseChanges) {
  const std::vector<std::string> values{"12.25",     "\"a \\\" # b\"", "[1, [2]]",
                                        "{ x = 1 }", "true",           "'''t'''"};
  std::mt19937 random{40961};
  std::size_t done = 0;
  for (const std::string& text : Texts()) {
    for (const TomlPath& path : ValuesOf(text)) {
      const std::string& value = values[random() % values.size()];
      const auto spots = SpotsOf(text);
      const TextSpan span = SpotAt(*spots, path)->span;
      const auto changed = WithValue(text, path, value);
      ASSERT_TRUE(changed) << changed.error().message;
      EXPECT_EQ(changed->substr(0, span.from), text.substr(0, span.from));
      EXPECT_EQ(changed->substr(span.from, value.size()), value);
      EXPECT_EQ(changed->substr(span.from + value.size()), text.substr(span.to));
      EXPECT_EQ(ValueIn(*changed, path), value);
      const auto back = WithValue(*changed, path, text.substr(span.from, span.to - span.from));
      ASSERT_TRUE(back) << back.error().message;
      EXPECT_EQ(*back, text);
      ++done;
    }
  }
  EXPECT_GT(done, 400U);
}

TEST(JobEdit, AKeyPutInAndTakenOutLeavesTheTextAsItWas) {
  std::size_t done = 0;
  for (const std::string& text : Texts()) {
    for (const TomlPath& value : ValuesOf(text)) {
      if (!std::holds_alternative<std::string>(value.back())) continue;
      TomlPath path(value.begin(), value.end() - 1);
      path.emplace_back("brand-new");
      const auto table = SpotsOf(text);
      const TomlSpot* owner = SpotAt(*table, {path.begin(), path.end() - 1});
      if (owner->kind == TomlSpot::Kind::table && !owner->header) continue;  // dotted keys
      const auto longer = WithValue(text, path, "7.5");
      ASSERT_TRUE(longer) << longer.error().message;
      EXPECT_EQ(ValueIn(*longer, path), "7.5");
      const auto back = WithoutKey(*longer, path);
      ASSERT_TRUE(back) << back.error().message;
      // A text that ended without a line end has one now.
      EXPECT_TRUE(*back == text || *back == text + "\r\n") << ValueIn(text, value);
      ++done;
    }
  }
  EXPECT_GT(done, 200U);
}

TEST(JobEdit, ANewKeyComesLastInItsTableWithItsEqualsSignUnderTheOthers) {
  const std::string text =
      "[limits]  # all\nclearance = 6.0  # more\n\n# next\n[marking]\nline = 1\n";
  const auto changed = WithValue(text, {"limits", "side"}, "2");
  ASSERT_TRUE(changed);
  EXPECT_EQ(
      *changed,
      "[limits]  # all\nclearance = 6.0  # more\nside      = 2\n\n# next\n[marking]\nline = 1\n");
}

TEST(JobEdit, ATableThatIsNotThereIsMadeAtTheEnd) {
  const auto changed = WithValue("holeward = 1\n", {"limits", "side"}, "2");
  ASSERT_TRUE(changed);
  EXPECT_EQ(*changed, "holeward = 1\n\n[limits]\nside = 2\n");
}

TEST(JobEdit, ANewKeyOfAnInlineTableComesBehindTheOthers) {
  const std::string text = "rule = [ { tape = 84, from = \"eye\" }, {} ]\n";
  const auto first = WithValue(text, {"rule", std::size_t{0}, "toward"}, "\"rear\"");
  ASSERT_TRUE(first);
  EXPECT_EQ(*first, "rule = [ { tape = 84, from = \"eye\", toward = \"rear\" }, {} ]\n");
  const auto second = WithValue(text, {"rule", std::size_t{1}, "line"}, "\"top\"");
  ASSERT_TRUE(second);
  EXPECT_EQ(*second, "rule = [ { tape = 84, from = \"eye\" }, { line = \"top\" } ]\n");
}

TEST(JobEdit, ATableIsTakenOutWithThoseUnderItAndCommentsAboveStay) {
  const std::string text =
      "# parts\n[part.arm]  # one\nwall = 2\n\n[[part.arm.fitting]]\nname = \"a\"\n\n[part.tube]\n"
      "wall = 3\n\n[[part.arm.fitting]]\nname = \"b\"\n# end\n";
  const auto changed = WithoutTable(text, {"part", "arm"});
  ASSERT_TRUE(changed) << changed.error().message;
  EXPECT_EQ(*changed, "# parts\n[part.tube]\nwall = 3\n\n# end\n");
  const auto fitting = WithoutTable(text, {"part", "arm", "fitting", std::size_t{0}});
  ASSERT_TRUE(fitting);
  EXPECT_EQ(*fitting,
            "# parts\n[part.arm]  # one\nwall = 2\n\n[part.tube]\nwall = 3\n\n"
            "[[part.arm.fitting]]\nname = \"b\"\n# end\n");
}

TEST(JobEdit, ATableAddedAndTakenOutAgainLeavesTheTextAsItWas) {
  for (const std::string& text : Texts()) {
    NewTable wish;
    wish.table = {"brand-new"};
    wish.body = "name = \"n\"\n";
    const auto longer = WithTable(text, wish);
    ASSERT_TRUE(longer) << longer.error().message;
    EXPECT_EQ(ValueIn(*longer, {"brand-new", std::size_t{0}, "name"}), "\"n\"");
    const auto back = WithoutTable(*longer, {"brand-new", std::size_t{0}});
    ASSERT_TRUE(back);
    EXPECT_EQ(back->substr(0, text.size()), text);
    EXPECT_LE(back->size(), text.size() + 4);
  }
}

TEST(JobEdit, ACopiedTableFollowsItsModel) {
  const std::string text = "[[point]]\nname = \"A\"  # first\n\n# B\n[[point]]\nname = \"B\"\n";
  const auto body = BodyOfTable(text, {"point", std::size_t{0}});
  ASSERT_TRUE(body);
  EXPECT_EQ(*body, "name = \"A\"  # first\n");
  NewTable wish;
  wish.table = {"point"};
  wish.body = *body;
  wish.after = {"point", std::size_t{0}};
  const auto copied = WithTable(text, wish);
  ASSERT_TRUE(copied);
  EXPECT_EQ(*copied,
            "[[point]]\nname = \"A\"  # first\n\n[[point]]\nname = \"A\"  # first\n\n# B\n"
            "[[point]]\nname = \"B\"\n");
}

TEST(JobEdit, ItemsOfAListOnLinesOfTheirOwnKeepToThem) {
  const std::string text = "s = [  # five\n  { w = 1 },\n  { w = 2 },  # last\n]\n";
  const auto longer = WithItem(text, {"s", std::size_t{9}}, "{ w = 3 }");
  ASSERT_TRUE(longer);
  EXPECT_EQ(*longer, "s = [  # five\n  { w = 1 },\n  { w = 2 },\n  { w = 3 },  # last\n]\n");
  const auto before = WithItem(text, {"s", std::size_t{0}}, "{ w = 0 }");
  ASSERT_TRUE(before);
  EXPECT_EQ(*before, "s = [  # five\n  { w = 0 },\n  { w = 1 },\n  { w = 2 },  # last\n]\n");
  const auto shorter = WithoutItem(text, {"s", std::size_t{0}});
  ASSERT_TRUE(shorter);
  EXPECT_EQ(*shorter, "s = [  # five\n  { w = 2 },  # last\n]\n");
}

TEST(JobEdit, TablesOfAListChangePlacesWithTheirCommentsAndWhatIsUnderThem) {
  const std::string text =
      "# head\n\n# of A\n[[d]]\nn = \"A\"\n[d.x]\nk = 1\n\n# of B\n#  two lines\n[[d]]\nn = \"B\"";
  const auto down = WithMoved(text, {"d", std::size_t{0}}, false);
  ASSERT_TRUE(down) << down.error().message;
  EXPECT_EQ(
      *down,
      "# head\n\n# of B\n#  two lines\n[[d]]\nn = \"B\"\n\n# of A\n[[d]]\nn = \"A\"\n[d.x]\nk = "
      "1\n");
  const auto up = WithMoved(*down, {"d", std::size_t{1}}, true);
  ASSERT_TRUE(up);
  EXPECT_EQ(*up, text + "\n");
  const std::string list = "s = [\n  { w = 1 },  # one\n  { w = 2 },\n]\n";
  const auto moved = WithMoved(list, {"s", std::size_t{1}}, true);
  ASSERT_TRUE(moved);
  EXPECT_EQ(*moved, "s = [\n  { w = 2 },  # one\n  { w = 1 },\n]\n");
}

TEST(JobEdit, WhatHasNoNeighbourThereIsNotMoved) {
  const std::string text = "[[d]]\nn = 1\n[[d]]\nn = 2\n[[e]]\nm = 1\n[a]\nb = 1\n";
  EXPECT_FALSE(WithMoved(text, {"d", std::size_t{0}}, true));
  EXPECT_FALSE(WithMoved(text, {"d", std::size_t{1}}, false));
  EXPECT_FALSE(WithMoved(text, {"d", std::size_t{2}}, true));
  EXPECT_FALSE(WithMoved(text, {"a"}, true));
  EXPECT_FALSE(WithMoved(text, {}, true));
}

TEST(JobEdit, ARenamedPartTakesItsTablesAndThoseThatNameItAlong) {
  const std::string text =
      "[part.arm]  # the arm\nstart = \"arm\"\n[[part.'arm'.fitting]]\nname = "
      "\"arm\"\n[part.arms]\n"
      "[[point]]\npart = \"arm\"\n[[point]]\npart = \"arms\"\n[[template]]\npart = \"arm\" # arm\n";
  const auto named = WithPartRenamed(text, "arm", "left arm");
  ASSERT_TRUE(named) << named.error().message;
  EXPECT_EQ(
      *named,
      "[part.\"left arm\"]  # the arm\nstart = \"arm\"\n[[part.\"left arm\".fitting]]\nname = "
      "\"arm\"\n[part.arms]\n[[point]]\npart = \"left arm\"\n[[point]]\npart = \"arms\"\n"
      "[[template]]\npart = \"left arm\" # arm\n");
  EXPECT_FALSE(WithPartRenamed(text, "arm", "arms")) << "another part's name";
  EXPECT_FALSE(WithPartRenamed(text, "arm", ""));
  EXPECT_FALSE(WithPartRenamed(text, "leg", "foot"));
}

TEST(JobEdit, AKeyOfATableThatIsNotThereComesInBracesWithinAList) {
  const std::string text = "[[step]]\ntitle = \"A\"\n";
  const auto one = WithValue(text, {"step", std::size_t{0}, "caution", "signal"}, "\"notice\"");
  ASSERT_TRUE(one) << one.error().message;
  EXPECT_EQ(*one, "[[step]]\ntitle = \"A\"\ncaution = { signal = \"notice\" }\n");
  const auto two = WithValue(*one, {"step", std::size_t{0}, "caution", "hazard"}, "\"H\"");
  ASSERT_TRUE(two);
  EXPECT_EQ(*two, "[[step]]\ntitle = \"A\"\ncaution = { signal = \"notice\", hazard = \"H\" }\n");
  EXPECT_FALSE(WithValue(text, {"step", std::size_t{3}, "caution", "signal"}, "\"notice\""));
}

TEST(JobEdit, RefusesWhatIsNoValueAndWhereThereIsNone) {
  const std::string text = "[limits]\nside = 1\n";
  for (const char* bad : {"", "1 # c", "1\nb = 2", "two words", "[1", "nope", "1,"}) {
    EXPECT_FALSE(WithValue(text, {"limits", "side"}, bad)) << bad;
  }
  EXPECT_FALSE(WithValue(text, {"limits"}, "1"));
  EXPECT_FALSE(WithValue(text, {"limits", "side", "x"}, "1"));
  EXPECT_FALSE(WithValue("a = = 1", {"a"}, "1"));
  EXPECT_FALSE(WithoutKey(text, {"limits", "other"}));
  EXPECT_FALSE(WithoutTable(text, {"limits", "side"}));
  EXPECT_FALSE(WithoutItem(text, {"limits", std::size_t{0}}));
}

TEST(JobEdit, NumbersAreWrittenShortAndReadBackTheSame) {
  EXPECT_EQ(TomlNumber(84.0), "84");
  EXPECT_EQ(TomlNumber(84.5), "84.5");
  EXPECT_EQ(TomlNumber(-0.1), "-0.1");
  std::mt19937_64 random{11};
  std::uniform_real_distribution<double> size(-900.0, 900.0);
  for (int i = 0; i < 500; ++i) {
    const double value = i % 2 == 0 ? size(random) : size(random) * 1e-7;
    EXPECT_EQ(std::stod(TomlNumber(value)), value);
  }
}

}  // namespace
}  // namespace holeward
