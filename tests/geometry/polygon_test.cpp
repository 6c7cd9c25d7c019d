#include "geometry/polygon.h"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

namespace holeward {
namespace {

/// A star of `points` points round the origin, long and short by turns.
std::vector<Vec2> Star(int points) {
  std::vector<Vec2> star;
  for (int k = 0; k < 2 * points; ++k) {
    const double angle = kPi * k / points;
    star.push_back((k % 2 == 0 ? 10.0 : 4.0) * Vec2(std::cos(angle), std::sin(angle)));
  }
  return star;
}

TEST(Polygon, ARowsCrossingsTellInsideAsThePlaceAloneDoes) {
  for (const int points : {3, 5, 8}) {
    const std::vector<Vec2> star = Star(points);
    int inside = 0;
    for (int row = 0; row < 97; ++row) {
      const double y = -12.0 + 0.25 * row;  // some rows go through corners
      const std::vector<double> crossings = CrossingsAt(star, y);
      EXPECT_TRUE(std::is_sorted(crossings.begin(), crossings.end()));
      EXPECT_EQ(crossings.size() % 2, 0U) << y;
      for (double x = -12.0; x <= 12.0; x += 0.25) {
        const auto beyond =
            crossings.end() - std::upper_bound(crossings.begin(), crossings.end(), x);
        EXPECT_EQ(beyond % 2 != 0, IsInside(star, {x, y})) << x << ", " << y;
        inside += static_cast<int>(beyond % 2);
      }
    }
    // A star of n points of radii R and r has the area n R r sin(pi / n).
    EXPECT_NEAR(inside / 16.0, points * 40.0 * std::sin(kPi / points), 4.0);
  }
}

TEST(Polygon, NothingIsCrossedAboveAndBelow) {
  EXPECT_TRUE(CrossingsAt(Star(5), 11.0).empty());
  EXPECT_TRUE(CrossingsAt(Star(5), -11.0).empty());
  EXPECT_TRUE(CrossingsAt({}, 0.0).empty());
  const std::vector<Vec2> square = {{0.0, 0.0}, {2.0, 0.0}, {2.0, 2.0}, {0.0, 2.0}};
  EXPECT_EQ(CrossingsAt(square, 1.0), (std::vector<double>{0.0, 2.0}));
}

}  // namespace
}  // namespace holeward
