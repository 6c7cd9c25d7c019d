#include "models/part_words.h"

#include <cmath>

#include <gtest/gtest.h>

namespace holeward {
namespace {

using Words = std::vector<std::string>;

PartRow Part(SectionKind section, const Vec3& chord) {
  PartRow part;
  part.section = section;
  part.stations.resize(2);
  part.stations[1].centre = chord;
  return part;
}

TEST(Faces, OfAPartAcrossAreTopUndersideFrontRear) {
  const auto words = WordsOf(Part(SectionKind::box, {10, 300, 20}), Side::left);
  EXPECT_EQ(words.lies, Lies::across);
  EXPECT_EQ(words.faces, (Words{"top", "underside", "front", "rear"}));
  EXPECT_EQ(words.a_plus, "front");
  EXPECT_EQ(words.b_plus, "top");
}

TEST(Faces, OfAPartAlongAreTopUndersideInboardOutboard) {
  const auto words = WordsOf(Part(SectionKind::box, {300, 10, 20}), Side::left);
  EXPECT_EQ(words.faces, (Words{"top", "underside", "inboard", "outboard"}));
  EXPECT_EQ(words.a_plus, "outboard");
}

TEST(Faces, OfAnUprightPartFollowItsUp) {
  PartRow part = Part(SectionKind::box, {10, 20, 300});
  part.up = Vec3(1, 0, 0);
  auto words = WordsOf(part, Side::left);
  EXPECT_EQ(words.faces, (Words{"front", "rear", "inboard", "outboard"}));
  EXPECT_EQ(words.b_plus, "front");
  EXPECT_EQ(words.a_plus, "outboard");
  part.up = Vec3(0, -1, 0);
  words = WordsOf(part, Side::left);
  EXPECT_EQ(words.b_plus, "inboard");
  EXPECT_EQ(words.a_plus, "front");
  EXPECT_EQ(WordsOf(part, Side::right).b_plus, "outboard");
}

TEST(Faces, UnderstandBottomForUndersideAndLinesTheOtherWay) {
  const auto box = WordsOf(Part(SectionKind::box, {0, 300, 0}), Side::left);
  EXPECT_EQ(box.Face("bottom"), "underside");
  EXPECT_EQ(box.Face("inboard"), std::nullopt);
  const auto tube = WordsOf(Part(SectionKind::round, {0, 300, 0}), Side::left);
  EXPECT_TRUE(tube.faces.empty());
  EXPECT_EQ(tube.lines, (Words{"top", "bottom", "front", "rear"}));
  EXPECT_EQ(tube.Line("underside"), "bottom");
  EXPECT_EQ(tube.FaceOrLine("underside"), "bottom");
}

TEST(Faces, OfAChannelLeaveOutTheOpenSideButKeepItsLips) {
  PartRow part = Part(SectionKind::channel, {300, 0, 0});
  part.open = "inboard";
  const auto words = WordsOf(part, Side::left);
  EXPECT_EQ(words.faces, (Words{"top", "underside", "outboard"}));
  EXPECT_EQ(words.EdgesOf("top"), (Words{"inboard edge", "outboard edge"}));
  EXPECT_TRUE(words.Edge("top", "inboard edge")->lip);
  EXPECT_FALSE(words.Edge("top", "outboard edge")->lip);
}

TEST(Faces, OfAnOutlineAreTheLongestFlatsFacingTheirWay) {
  PartRow part = Part(SectionKind::outline, {0, 300, 0});
  // A house: flat bottom, walls, and a roof of two flats facing up and to the sides.
  part.stations[0].outline = {{-20, -20}, {20, -20}, {20, 10}, {4, 22}, {-20, 10}};
  const auto words = WordsOf(part, Side::left);
  EXPECT_EQ(words.faces, (Words{"top", "underside", "front", "rear"}));
  EXPECT_EQ(words.flat_of_face, (std::vector<std::size_t>{3, 0, 1, 4}));
  EXPECT_EQ(words.EdgesOf("underside"), (Words{"front edge", "rear edge"}));
  EXPECT_EQ(words.EdgesOf("top"), (Words{"rear edge"})) << "the short roof lies between";
}

TEST(Edges, AreNamedByTheFacesTheyMeet) {
  const auto box = WordsOf(Part(SectionKind::box, {0, 300, 0}), Side::left);
  EXPECT_EQ(box.EdgesOf("rear"), (Words{"top edge", "bottom edge"}));
  EXPECT_EQ(box.EdgesOf("top"), (Words{"front edge", "rear edge"}));
  EXPECT_EQ(box.Edge("rear", "bottom edge")->neighbour, "underside");
  EXPECT_EQ(box.Edge("rear", "front edge"), nullptr);
  PartRow post = Part(SectionKind::box, {0, 0, 300});
  post.up = Vec3(1, 0, 0);
  EXPECT_EQ(WordsOf(post, Side::left).EdgesOf("outboard"), (Words{"front edge", "rear edge"}));
}

// The rule of the job file: within 30 degrees of upright, else |dy| >= |dx|; 10 degrees of border.
TEST(Lies, FollowsTheChordAndAsksNearABorder) {
  const auto rule = [](double from_upright, double from_along) {
    return LiesFromChord({std::sin(from_upright * kDegree) * std::cos(from_along * kDegree),
                          std::sin(from_upright * kDegree) * std::sin(from_along * kDegree),
                          std::cos(from_upright * kDegree)});
  };
  EXPECT_EQ(rule(29, 90).by_chord, Lies::upright);
  EXPECT_EQ(rule(31, 90).by_chord, Lies::across);
  EXPECT_EQ(rule(90, 46).by_chord, Lies::across);
  EXPECT_EQ(rule(90, 44).by_chord, Lies::along);
  EXPECT_EQ(rule(90, 56).candidates, (std::vector<Lies>{Lies::across}));
  EXPECT_EQ(rule(90, 54).candidates, (std::vector<Lies>{Lies::across, Lies::along}));
  EXPECT_EQ(rule(90, 34).candidates, (std::vector<Lies>{Lies::along}));
  EXPECT_EQ(rule(19, 90).candidates, (std::vector<Lies>{Lies::upright}));
  EXPECT_EQ(rule(21, 90).candidates, (std::vector<Lies>{Lies::upright, Lies::across}));
  EXPECT_EQ(rule(39, 0).candidates, (std::vector<Lies>{Lies::upright, Lies::along}));
  EXPECT_EQ(rule(41, 0).candidates, (std::vector<Lies>{Lies::along}));
}

TEST(Lies, OfTheJobCountsBeforeTheRule) {
  PartRow part = Part(SectionKind::box, {100, 101, 0});
  part.lies = "along";
  EXPECT_EQ(WordsOf(part, Side::left).lies, Lies::along);
}

TEST(Directions, FlipInboardAndOutboardWithTheDescribedSide) {
  EXPECT_EQ(*DirectionOf("outboard", Side::left), Vec3(0, 1, 0));
  EXPECT_EQ(*DirectionOf("outboard", Side::right), Vec3(0, -1, 0));
  EXPECT_EQ(*DirectionOf("inboard", Side::right), Vec3(0, 1, 0));
  EXPECT_EQ(*DirectionOf("rear", Side::right), Vec3(-1, 0, 0));
  EXPECT_EQ(*DirectionOf("underside", Side::left), Vec3(0, 0, -1));
  EXPECT_FALSE(DirectionOf("left", Side::left).has_value());
}

}  // namespace
}  // namespace holeward
