#include "viewer/label_layout.h"

#include <random>

#include <gtest/gtest.h>

namespace holeward {
namespace {

TEST(LabelLayout, NoNameCoversAnotherOrAPlace) {
  std::mt19937 random{5};
  std::uniform_real_distribution<double> x(100, 900);
  std::uniform_real_distribution<double> y(100, 600);
  std::size_t looked = 0;
  for (int round = 0; round < 20; ++round) {
    std::vector<LabelWish> labels;
    for (int i = 0; i < 14; ++i) labels.push_back({Vec2(x(random), y(random)), Vec2(90, 20)});
    const auto corners = PlaceLabels(labels, Vec2(1000, 700), 10.0);
    ASSERT_EQ(corners.size(), labels.size());
    for (std::size_t i = 0; i < labels.size(); ++i) {
      const Eigen::AlignedBox2d box(corners[i], Vec2(corners[i] + labels[i].size));
      EXPECT_TRUE(Eigen::AlignedBox2d(Vec2(0, 0), Vec2(1000, 700)).contains(box));
      for (std::size_t k = 0; k < labels.size(); ++k) {
        EXPECT_GT(box.exteriorDistance(labels[k].at), 5.0);
        if (k == i) continue;
        const Eigen::AlignedBox2d other(corners[k], Vec2(corners[k] + labels[k].size));
        EXPECT_GT(box.exteriorDistance(other), 1.0);
        ++looked;
      }
    }
  }
  EXPECT_GT(looked, 3000U);
}

TEST(LabelLayout, ANameAloneLiesBesideItsPlace) {
  const auto corners = PlaceLabels({{Vec2(500, 300), Vec2(60, 20)}}, Vec2(1000, 700), 10.0);
  EXPECT_LT((corners.front() - Vec2(500, 300)).norm(), 40.0);
}

}  // namespace
}  // namespace holeward
