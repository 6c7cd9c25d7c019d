// Published and computed examples of pattern development against our development of the same
// surfaces.
#include <array>
#include <cmath>
#include <memory>
#include <vector>

#include <gtest/gtest.h>

#include "geometry/develop_skin.h"

namespace holeward {
namespace {

std::shared_ptr<const Skin> Round(std::vector<Vec3> centres, std::vector<double> radii) {
  SkinLaw law;
  law.centres = std::move(centres);
  law.round = true;
  law.radii = std::move(radii);
  law.smooth = false;
  law.girth_origin_v = 0.0;
  return std::make_shared<const Skin>(*Skin::Make(law));
}

// A tube of diameter 60.3 cut at an angle to its cross-section: parallel-line method, height R tan
// alpha cos theta over the middle, girth R theta, 15.7865 a twelfth. A tube that turns by twice
// alpha is mitred at alpha.
TEST(PatternExamples, ATubeCutAtThirtyAndFortyFiveDegreesHasItsParallelLines) {
  struct Case {
    double alpha;
    std::array<double, 4> heights;  // at 0, 30, 60, 90 degrees from the longest line
    double perimeter;               // of the cut's ellipse
  };
  const double r = 30.15, length = 200.0;
  for (const Case& c : {Case{30.0, {17.4071, 15.0750, 8.7036, 0.0}, 204.35422},
                        Case{45.0, {30.15, 26.1107, 15.075, 0.0}, 230.35793}}) {
    const double turn = 2.0 * c.alpha * kDegree;
    const auto skin = Round(
        {{0, 0, 0}, {0, length, 0}, {length * std::sin(turn), length + length * std::cos(turn), 0}},
        {r, r, r});
    double v_long = 0.0, longest = 0.0;
    for (int q = 0; q < 4; ++q) {
      const double reach = skin->At(length - 1e-9, q, 0, q).position.y();
      if (reach <= longest) continue;
      longest = reach;
      v_long = q;
    }
    const DevelopedPatch patch = Develop(skin, {0.0, length, v_long - 2.0, v_long + 2.0}, {});
    EXPECT_LT(patch.Measured().max, 1e-6);
    const Vec2 base = patch.At(0.0, v_long).at;
    for (int k = 0; k <= 6; ++k) {
      const double v = v_long + k / 3.0;
      const Vec2 foot = patch.At(0.0, v).at, top = patch.At(length, v).at;
      const double height = k <= 3 ? c.heights[static_cast<std::size_t>(k)]
                                   : -c.heights[static_cast<std::size_t>(6 - k)];
      EXPECT_NEAR((foot - base).norm(), 15.7865 * k, 5e-4) << c.alpha << " " << k;
      EXPECT_NEAR((top - foot).norm() - length, height, 1e-4) << c.alpha << " " << k;
    }
    double perimeter = 0.0;
    const int steps = 4000;
    for (int k = 0; k < steps; ++k) {
      const double v = v_long - 2.0 + 4.0 * k / steps;
      perimeter += (patch.At(length, v + 4.0 / steps).at - patch.At(length, v).at).norm();
    }
    EXPECT_NEAR(perimeter, c.perimeter, 1e-3) << c.alpha;
  }
}

// A cone of 90 degrees at its tip is a sector of 254.6 degrees (published): 360 sin 45. The skin
// begins at a twentieth of the way from the tip.
TEST(PatternExamples, AConeOfNinetyDegreesIsASectorOf254Point6) {
  const auto skin = Round({{0, 0, 0}, {0, 57, 0}}, {60.0, 3.0});
  const DevelopedPatch patch = Develop(skin, {0.0, 57.0, -2.0, 2.0}, {});
  EXPECT_LT(patch.Measured().max, 1e-6);
  double turned = 0.0;
  const int steps = 72;
  for (int k = 0; k < steps; ++k) {
    const auto line = [&](int at) -> Vec2 {
      const double v = -2.0 + 4.0 * at / steps;
      return patch.At(57.0, v).at - patch.At(0.0, v).at;
    };
    const Vec2 a = line(k), b = line(k + 1);
    turned += std::atan2(a.x() * b.y() - a.y() * b.x(), a.dot(b));
  }
  EXPECT_NEAR(std::abs(turned) / kDegree, 254.6, 0.05);
  EXPECT_NEAR(std::abs(turned) / kDegree, 360.0 * std::sin(45.0 * kDegree), 1e-5);
}

// Paper wrapped once closes at 2 pi (R + t/2): pi t more than the tube's girth; computed on the
// assumption that the middle of the sheet keeps its length (no published source).
TEST(PatternExamples, ThickPaperClosesLaterByPiTimesItsThickness) {
  const double r = 30.15;
  const auto skin = Round({{0, 0, 0}, {0, 100, 0}}, {r, r});
  struct Case {
    double thickness, more;
  };
  for (const Case& c : {Case{0.1, 0.3142}, Case{0.2, 0.6283}, Case{0.3, 0.9425}}) {
    SkinPatchOptions options;
    options.offset = 0.5 * c.thickness;
    const DevelopedPatch patch = Develop(skin, {0.0, 100.0, 0.0, 4.0}, options);
    const double girth = (patch.At(50.0, 4.0).at - patch.At(50.0, 0.0).at).norm();
    EXPECT_NEAR(girth - 2.0 * kPi * r, c.more, 5e-5) << c.thickness;
  }
}

// A saddle of a branch of outside diameter 48.3 on a header of 60.3: the branch's edge dips by
// R - sqrt(R^2 - (a sin theta)^2) below the header's top line (computed). The header's development
// puts the same curve's girth at R asin(a sin theta / R): read back, both must agree.
TEST(PatternExamples, ASaddleOnATubeComesBackFromItsDevelopment) {
  const double r = 30.15, a = 24.15;
  const auto skin = Round({{0, 0, 0}, {0, 200, 0}}, {r, r});
  const DevelopedPatch patch = Develop(skin, {0.0, 200.0, 0.0, 4.0}, {});
  const Vec2 middle = patch.At(100.0, 2.0).at;
  const Vec2 across = (patch.At(100.0, 2.01).at - middle).normalized();
  const std::array<double, 7> depths = {0.0,      0.655017,  2.523620, 5.302239,
                                        8.433517, 11.048469, 12.100069};
  for (std::size_t k = 0; k < depths.size(); ++k) {
    const double theta = 15.0 * static_cast<double>(k) * kDegree;
    const double girth = r * std::asin(a * std::sin(theta) / r);
    const auto place = patch.Inverse(middle + girth * across);
    ASSERT_TRUE(place.has_value());
    const double top = skin->At(100.0, 2.0).position.z();
    EXPECT_NEAR(top - skin->At(*place).position.z(), depths[k], 1e-6) << k;
  }
}

// A transition from a square of 60 to a circle of diameter 40, 50 higher: flat triangles and, at
// each corner of the square, a part of an oblique cone whose point is the corner. A part's sections
// are all round or all of one polygon, so the cone is developed by itself. True lengths from the
// corner (30, 30, 0) to the circle at 0, 30, 45, 60, 90 degrees, and a circle chord of 30 degrees.
TEST(PatternExamples, ASquareToRoundTransitionHasItsTrueLengths) {
  const Vec3 corner(30, 30, 0);
  // From a tenth of the way, as the point itself has no tangent plane.
  constexpr double kFrom = 0.1;
  PatchSurface cone;
  cone.u_breaks = {0.0, 45.0 * kDegree, 90.0 * kDegree};
  cone.v_breaks = {kFrom, 0.4, 1.0};
  cone.at = [&](double u, double v, int, int) {
    const Vec3 circle(20.0 * std::cos(u), 20.0 * std::sin(u), 50.0);
    SkinPoint p;
    p.position = corner + v * (circle - corner);
    p.du = v * Vec3(-20.0 * std::sin(u), 20.0 * std::cos(u), 0.0);
    p.dv = circle - corner;
    p.normal = p.du.cross(p.dv).normalized();
    return p;
  };
  const DevelopedPatch patch = DevelopedPatch::Unroll(cone, 16);
  EXPECT_LT(patch.Measured().max, 1e-6);

  const struct {
    double degrees, length;
  } rulings[] = {
      {0, 59.160798}, {30, 55.324222}, {45, 54.799122}, {60, 55.324222}, {90, 59.160798}};
  // The rulings lie straight and meet in the corner.
  const auto end = [&](double degrees) { return patch.At(degrees * kDegree, 1.0).at; };
  const auto from = [&](double degrees) { return patch.At(degrees * kDegree, kFrom).at; };
  const Vec2 point = from(0) - kFrom / (1.0 - kFrom) * (end(0) - from(0));
  double arc = 0.0;
  for (const auto& ruling : rulings) {
    EXPECT_NEAR((end(ruling.degrees) - point).norm(), ruling.length, 1e-5) << ruling.degrees;
    EXPECT_NEAR((from(ruling.degrees) - point).norm(), kFrom * ruling.length, 1e-5);
  }
  for (int k = 0; k < 900; ++k) arc += (end(0.1 * (k + 1)) - end(0.1 * k)).norm();
  EXPECT_NEAR(arc, 3 * 10.471976, 1e-4);
  // The pattern drawn by triangles: two rulings and the arc between them, which is longer flat than
  // the chord of 10.352762.
  const double flat_chord = (end(30) - end(0)).norm();
  EXPECT_GT(flat_chord, 10.352762);
  EXPECT_LT(flat_chord, 10.471976);
}

}  // namespace
}  // namespace holeward
