#include "viewer/hole_section.h"

#include <algorithm>

#include <gtest/gtest.h>

#include "tests/viewer/demo_state.h"

namespace holeward {
namespace {

TEST(HoleSection, ShowsTheWallsTheBarAndTheDrillAtItsStop) {
  HoleSections sections(DemoState());
  const auto section = sections.At({0, "T3", 2, 0.0, std::nullopt});
  ASSERT_TRUE(section) << section.error().message;
  EXPECT_DOUBLE_EQ(section->depth, 10.0);  // the job's stop
  const auto has = [&](CutKind kind) {
    return std::any_of(section->regions.begin(), section->regions.end(),
                       [&](const CutRegion& region) { return region.kind == kind; });
  };
  EXPECT_TRUE(has(CutKind::metal));
  EXPECT_TRUE(has(CutKind::inner_body));
  ASSERT_FALSE(section->dimensions.empty());
  // The tube's wall, square to its skin: 3.5 mm by the job.
  EXPECT_NEAR(section->dimensions.front().to, 3.5, 0.02);
  ASSERT_TRUE(section->worst);
  const auto dimension = [&](const std::string& begin) -> const SectionDimension* {
    for (const SectionDimension& one : section->dimensions) {
      if (one.words.rfind(begin, 0) == 0) return &one;
    }
    ADD_FAILURE() << "no dimension " << begin;
    return &section->dimensions.front();
  };
  // The bar begins where the drill meets it; the hole runs a little beside the bar's middle.
  const auto& check = *std::find_if(
      DemoState()->sides[0].checking.holes.begin(), DemoState()->sides[0].checking.holes.end(),
      [](const HoleCheck& h) { return h.point == "T3" && h.stage == 2; });
  EXPECT_NEAR(dimension("torsion bar")->from, *check.free_depth, 1.5);
  EXPECT_NEAR(dimension("margin")->to - dimension("margin")->from, *check.margin, 1e-9);
  const SectionDimension& far = *dimension("far wall");
  EXPECT_NEAR(far.to - far.from, 3.5, 0.1);
  EXPECT_GT(far.from, dimension("torsion bar")->to);
  EXPECT_GT(section->deepest, far.to);
}

TEST(HoleSection, SaysWhatTheDrillMeetsAtEachDepth) {
  HoleSections sections(DemoState());
  EXPECT_NE(sections.At({0, "T3", 1, 0.0, 1.0})->now.find("still in the near wall"),
            std::string::npos);
  EXPECT_NE(sections.At({0, "T3", 1, 0.0, 10.0})->now.find("through the near wall"),
            std::string::npos);
  EXPECT_NE(sections.At({0, "T3", 1, 0.0, 45.0})->now.find("in torsion bar"), std::string::npos);
}

TEST(HoleSection, TurnedAQuarterItLiesAlongThePart) {
  HoleSections sections(DemoState());
  const auto along = sections.At({0, "T4", 1, 0.5 * kPi, std::nullopt});
  ASSERT_TRUE(along);
  EXPECT_TRUE(along->left_word == "INBOARD" || along->left_word == "OUTBOARD");
  const auto across = sections.At({0, "T4", 1, 0.0, std::nullopt});
  EXPECT_TRUE(across->left_word == "FRONT" || across->left_word == "REAR");
}

TEST(HoleSection, RefusesWhatIsNoHole) {
  HoleSections sections(DemoState());
  EXPECT_FALSE(sections.At({0, "A1", 1, 0.0, std::nullopt}));
  EXPECT_FALSE(sections.At({0, "nowhere", 1, 0.0, std::nullopt}));
  EXPECT_FALSE(sections.At({7, "T3", 1, 0.0, std::nullopt}));
  EXPECT_FALSE(sections.At({0, "T3", 9, 0.0, std::nullopt}));
}

}  // namespace
}  // namespace holeward
