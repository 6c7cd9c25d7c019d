#include "export/label_placer.h"

#include <random>

#include <gtest/gtest.h>

namespace holeward {
namespace {

TEST(LabelPlacer, KeepsLabelsOffMarksLinesAndEachOther) {
  std::mt19937 random(77120);
  int placed_labels = 0;
  for (int round = 0; round < 20; ++round) {
    LabelPlacer placer({{0, 0}, {180, 120}});
    std::uniform_real_distribution<double> x(10, 170);
    std::uniform_real_distribution<double> y(10, 110);
    std::vector<Box> taken;
    std::vector<std::pair<Vec2, Vec2>> lines;
    for (int i = 0; i < 4; ++i) {
      lines.emplace_back(Vec2(x(random), y(random)), Vec2(x(random), y(random)));
      placer.AvoidLine(lines.back().first, lines.back().second);
    }
    std::vector<Vec2> marks;
    for (int i = 0; i < 12; ++i) {
      marks.emplace_back(x(random), y(random));
      taken.push_back({marks.back() - Vec2::Constant(4), marks.back() + Vec2::Constant(4)});
      placer.AvoidBox(taken.back());
    }
    for (const Vec2& mark : marks) {
      LabelPlacer::Request request;
      request.anchors = {mark};
      request.size = {22, 9};
      request.clear = 4.5;
      request.over_lines = false;
      const auto placed = placer.Place(request);
      if (!placed) continue;
      ++placed_labels;
      EXPECT_TRUE(Box({{0, 0}, {180, 120}}).Contains(placed->box));
      EXPECT_NEAR((placed->box.Size() - request.size).norm(), 0.0, 1e-9);
      for (const Box& box : taken) EXPECT_FALSE(placed->box.Overlaps(box));
      for (const auto& [a, b] : lines) EXPECT_FALSE(Crosses(placed->box, a, b));
      taken.push_back(placed->box);
    }
  }
  EXPECT_GT(placed_labels, 180) << "of 240: the check must not pass for want of labels";
}

TEST(LabelPlacer, DrawsALeaderOnlyWhereTheLabelIsFar) {
  LabelPlacer placer({{0, 0}, {100, 100}});
  LabelPlacer::Request request;
  request.anchors = {{50, 50}};
  request.size = {20, 8};
  request.clear = 3.0;
  EXPECT_FALSE(placer.Place(request)->leader);

  LabelPlacer full({{0, 0}, {100, 100}});
  full.AvoidBox({{30, 30}, {70, 70}});
  const auto far = full.Place(request);
  ASSERT_TRUE(far);
  EXPECT_TRUE(far->leader);
  EXPECT_NEAR((far->leader_to - Vec2(50, 50)).norm(), 3.0, 1e-9);
}

TEST(LabelPlacer, SaysSoWhenThePageIsFull) {
  LabelPlacer placer({{0, 0}, {30, 30}});
  placer.AvoidBox({{5, 5}, {25, 25}});
  LabelPlacer::Request request;
  request.anchors = {{15, 15}};
  request.size = {20, 8};
  EXPECT_FALSE(placer.Place(request));
}

TEST(LabelPlacer, CrossesALineOnlyIfNothingElseIsLeftAndSaysSo) {
  LabelPlacer placer({{0, 0}, {40, 20}});
  for (double x = 2; x < 40; x += 4) placer.AvoidLine({x, 0}, {x, 20});
  LabelPlacer::Request request;
  request.anchors = {{20, 10}};
  request.size = {10, 4};
  request.over_lines = false;
  EXPECT_FALSE(placer.Place(request));
  request.over_lines = true;
  ASSERT_TRUE(placer.Place(request));
}

TEST(LabelPlacer, StaysInsideThePieceIfAsked) {
  const std::vector<Vec2> piece = {{0, 0}, {60, 0}, {60, 40}, {0, 40}};
  LabelPlacer placer({{-50, -50}, {150, 150}});
  placer.AvoidPolyline(piece, true);
  LabelPlacer::Request request;
  request.anchors = {{55, 35}};
  request.size = {20, 8};
  request.clear = 2.0;
  request.inside = &piece;
  request.only_inside = true;
  const auto placed = placer.Place(request);
  ASSERT_TRUE(placed);
  EXPECT_TRUE(Box({{0, 0}, {60, 40}}).Contains(placed->box));
}

TEST(Geometry, OfBoxesAndLinesAgreesWithSampling) {
  std::mt19937 random(5);
  std::uniform_real_distribution<double> at(-10, 10);
  int hits = 0;
  for (int i = 0; i < 2000; ++i) {
    const Vec2 a(at(random), at(random));
    const Vec2 b(at(random), at(random));
    const Box box{{-3, -2}, {4, 5}};
    bool sampled = false;
    for (int k = 0; k <= 1000; ++k)
      sampled = sampled || box.Contains(Vec2(a + (b - a) * k / 1000.0));
    hits += sampled ? 1 : 0;
    if (sampled) {
      EXPECT_TRUE(Crosses(box, a, b));
    }
    if (!Crosses(box.Grown(0.03), a, b)) {
      EXPECT_FALSE(sampled);
    }
    if (Crosses(box.Grown(-0.03), a, b)) {
      EXPECT_TRUE(sampled);
    }
  }
  EXPECT_GT(hits, 300);
}

}  // namespace
}  // namespace holeward
