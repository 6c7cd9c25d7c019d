#include "viewer/rule_picture.h"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

namespace holeward {
namespace {

using Look = PictureStroke::Look;

constexpr double kRadius = 40.0;

Part Tube() {
  SkinLaw law;
  law.centres = {{0, -200, 300}, {0, 200, 300}};
  law.round = true;
  law.radii = {kRadius, kRadius};
  law.girth_origin_v = 0.0;
  Part part;
  part.name = "tube";
  part.wall = 3.0;
  part.skin = std::make_shared<const Skin>(*Skin::Make(law));
  return part;
}

Vec3 OnTube(double y, double degrees_from_top) {
  const double a = degrees_from_top * kPi / 180.0;
  return {kRadius * std::sin(a), y, 300.0 + kRadius * std::cos(a)};
}

RuleLine Arc(double from, double to) {
  RuleLine line;
  for (int i = 0; i <= 60; ++i) line.places.push_back(OnTube(0.0, from + (to - from) * i / 60.0));
  line.words = "some mm";
  line.from = "datum";
  return line;
}

RuleAsk TopPoint(RuleLine line) {
  RuleAsk ask;
  ask.name = "P1";
  ask.position = OnTube(0.0, 0.0);
  ask.normal = Vec3::UnitZ();
  ask.lines = {std::move(line)};
  return ask;
}

double LengthOf(const RulePicture& picture, Look look) {
  double length = 0.0;
  for (const PictureStroke& stroke : picture.strokes) {
    if (stroke.look != look) continue;
    for (std::size_t i = 0; i + 1 < stroke.points.size(); ++i) {
      length += (stroke.points[i + 1] - stroke.points[i]).norm();
    }
  }
  return length;
}

TEST(RulePicture, ALineOnTheNearSideIsSeenWhole) {
  const RulePicture picture = RulePainter(Tube(), 1.0).Draw(TopPoint(Arc(50.0, 0.0)));
  EXPECT_GT(LengthOf(picture, Look::reading), 5.0);
  EXPECT_LT(LengthOf(picture, Look::hidden_reading), 1.5);
}

TEST(RulePicture, WhatRunsRoundTheFarSideIsDashed) {
  const RulePicture picture = RulePainter(Tube(), 1.0).Draw(TopPoint(Arc(180.0, 0.0)));
  EXPECT_GT(LengthOf(picture, Look::reading), 5.0);
  EXPECT_GT(LengthOf(picture, Look::hidden_reading), 2.0);
}

TEST(RulePicture, TheOutlineOfATubeIsTwoWholeLines) {
  // Seen from anywhere but its ends a long tube has two straight outlines across the picture.
  const RulePicture picture = RulePainter(Tube(), 1.0).Draw(TopPoint(Arc(50.0, 0.0)));
  const double across = std::hypot(picture.width, picture.height);
  const double outline = LengthOf(picture, Look::outline);
  EXPECT_GT(outline, 2.0 * 0.55 * picture.width);
  EXPECT_LT(outline, 3.0 * across);
}

TEST(RulePicture, StaysOnItsPaperAndSaysFromWhereItIsSeen) {
  const RulePicture picture = RulePainter(Tube(), 1.0).Draw(TopPoint(Arc(120.0, 0.0)));
  for (const PictureStroke& stroke : picture.strokes) {
    for (const Vec2& p : stroke.points) {
      EXPECT_GT(p.x(), -1.0);
      EXPECT_LT(p.x(), picture.width + 1.0);
      EXPECT_GT(p.y(), -1.0);
      EXPECT_LT(p.y(), picture.height + 1.0);
    }
  }
  const std::string seen_from = picture.seen_from.English();
  EXPECT_NE(seen_from.find("above"), std::string::npos) << seen_from;
}

TEST(RulePicture, TheOtherSidesPictureIsTheMirrorImageWithTheSameWords) {
  const RulePicture picture = RulePainter(Tube(), 1.0).Draw(TopPoint(Arc(50.0, 0.0)));
  const RulePicture mirrored = Mirrored(picture);
  ASSERT_EQ(mirrored.strokes.size(), picture.strokes.size());
  for (std::size_t i = 0; i < picture.strokes.size(); ++i) {
    for (std::size_t k = 0; k < picture.strokes[i].points.size(); ++k) {
      const Vec2& p = picture.strokes[i].points[k];
      const Vec2& q = mirrored.strokes[i].points[k];
      EXPECT_DOUBLE_EQ(q.x(), picture.width - p.x());
      EXPECT_DOUBLE_EQ(q.y(), p.y());
    }
  }
  ASSERT_EQ(mirrored.words.size(), picture.words.size());
  for (std::size_t i = 0; i < picture.words.size(); ++i) {
    EXPECT_EQ(mirrored.words[i].words, picture.words[i].words);
  }
}

TEST(RulePicture, IsTheSameEveryTime) {
  const RulePicture a = RulePainter(Tube(), 1.0).Draw(TopPoint(Arc(50.0, 0.0)));
  const RulePicture b = RulePainter(Tube(), 1.0).Draw(TopPoint(Arc(50.0, 0.0)));
  ASSERT_EQ(a.strokes.size(), b.strokes.size());
  for (std::size_t i = 0; i < a.strokes.size(); ++i) {
    EXPECT_EQ(a.strokes[i].points, b.strokes[i].points);
  }
}

}  // namespace
}  // namespace holeward
