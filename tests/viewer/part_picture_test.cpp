#include "viewer/part_picture.h"

#include <gtest/gtest.h>

#include "viewer/seen_from.h"

namespace holeward {
namespace {

Scene TubeScene() {
  SkinLaw law;
  law.centres = {{0, -200, 300}, {0, 200, 300}};
  law.round = true;
  law.radii = {40, 40};
  law.girth_origin_v = 0.0;
  Part part;
  part.name = "tube";
  part.skin = std::make_shared<const Skin>(*Skin::Make(law));
  Fitting stud;
  stud.shape = FittingShape::stud;
  stud.cylinder_from = {0, 0, 340};
  stud.cylinder_to = {0, 0, 360};
  stud.diameter = 12;
  part.fittings = {stud};
  Scene scene;
  scene.parts = {part};
  return scene;
}

std::vector<PicturePoint> Points() {
  return {{"D1", "clear", {40, 60, 300}, Vec3::UnitX(), true},
          {"D2", "tight", {-40, 60, 300}, -Vec3::UnitX(), true},
          {"P1", "", {0, -90, 340}, Vec3::UnitZ(), false}};
}

TEST(PartPicture, IsTheSameEveryTime) {
  const auto first = DrawPicture(TubeScene(), {}, Points(), {});
  const auto second = DrawPicture(TubeScene(), {}, Points(), {});
  ASSERT_TRUE(first.has_value()) << first.error().message;
  EXPECT_EQ(*first, *second);
}

TEST(PartPicture, ViewsTakeTurnsUntilEveryPointWasShown) {
  std::vector<PicturePoint> left = Points();
  const PictureView first = ViewOf(left, 1.0);
  EXPECT_EQ(left.size(), 1U);  // D1 and D2 face opposite ways: no view shows both
  const PictureView second = ViewOf(left, 1.0);
  EXPECT_TRUE(left.empty());
  EXPECT_LT(first.toward_viewer.x() * second.toward_viewer.x(), 0.0);
}

TEST(PartPicture, ArrowsAreNamedInTheWordsGiven) {
  PictureView german;
  german.compass = {"VORN", "AUSSEN", "OBEN"};
  const auto named = DrawPicture(TubeScene(), {}, Points(), german);
  const auto plain = DrawPicture(TubeScene(), {}, Points(), {});
  ASSERT_TRUE(named && plain);
  EXPECT_NE(*named, *plain);
}

TEST(SeenFrom, TellsTheGreatestShareFirstAndLeavesOutWhatHardlyCounts) {
  const Phrase phrase = SeenFrom(Vec3(0.1, -0.9, 0.42).normalized(), -1.0);
  EXPECT_EQ(phrase.names, (std::vector<std::string>{"outboard", "above"}));
  EXPECT_EQ(SeenFrom(Vec3(-1, 0, 0), 1.0).names, (std::vector<std::string>{"behind"}));
}

TEST(PartPicture, APngHasItsSignatureAndSize) {
  PictureView view;
  view.width_mm = 100;
  view.height_mm = 60;
  const auto png = DrawPicture(TubeScene(), {}, Points(), view);
  ASSERT_TRUE(png.has_value()) << png.error().message;
  ASSERT_GT(png->size(), 24U);
  EXPECT_EQ(png->substr(0, 4), "\x89PNG");
  // Width is the big-endian number at byte 16 (PNG specification, IHDR): 8 pixels a mm.
  EXPECT_EQ(static_cast<unsigned char>((*png)[18]) * 256 + static_cast<unsigned char>((*png)[19]),
            800);
}

TEST(PartPicture, MorePointsChangeThePicture) {
  const auto with = DrawPicture(TubeScene(), {}, Points(), {});
  const auto without = DrawPicture(TubeScene(), {}, {}, {});
  ASSERT_TRUE(with && without);
  EXPECT_NE(*with, *without);
}

TEST(PartPicture, NothingToDrawIsAnErrorInWords) {
  const auto picture = DrawPicture(TubeScene(), {"arm"}, {}, {});
  ASSERT_FALSE(picture.has_value());
  EXPECT_EQ(picture.error().message, "there is no part to draw a picture of");
}

}  // namespace
}  // namespace holeward
