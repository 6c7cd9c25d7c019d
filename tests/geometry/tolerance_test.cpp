#include "geometry/tolerance.h"

#include <cmath>
#include <optional>
#include <random>

#include <gtest/gtest.h>

#include "tests/geometry/simple_walls.h"

namespace holeward {
namespace {

using testing::Bar;
using testing::Box;
using testing::Down;
using testing::Tube;

constexpr double kHorizon = 400.0;
constexpr double kNever = std::numeric_limits<double>::infinity();

Drill Twist(double diameter, double angle = 118.0) {
  return *Drill::Twist(diameter, angle * kDegree);
}

PoseCone TiltOnly(const Pose& pose, double degrees) { return {pose, 0.0, 0.0, degrees * kDegree}; }

Skin RoundSkin(double outside, double half = 150.0) {
  SkinLaw law;
  law.centres = {{0, -half, 0}, {0, half, 0}};
  law.round = true;
  law.radii = {0.5 * outside, 0.5 * outside};
  law.girth_origin_v = 0.0;
  return *Skin::Make(law);
}

NominalPlace TopOf(const Skin& skin, double half = 150.0) {
  NominalPlace nominal;
  nominal.place = {half, 2.0};
  const SkinPoint point = skin.At(nominal.place);
  nominal.position = point.position;
  nominal.normal = point.normal;
  return nominal;
}

const AxisRule kNormal = [](const Vec3& normal) { return Vec3(-normal); };

// ---- A slow reference of another kind: lines of the drill, each met with the bodies in closed
// form.

/// Where a line o + s d first comes to the inside of a tube's wall (radius ri about y) from inside.
double FarWallOfTube(const Vec3& o, const Vec3& d, double ri) {
  const double a = d.x() * d.x() + d.z() * d.z();
  const double b = o.x() * d.x() + o.z() * d.z();
  const double c = o.x() * o.x() + o.z() * o.z() - ri * ri;
  const double root = b * b - a * c;
  return root < 0.0 ? kNever : (-b + std::sqrt(root)) / a;
}

/// First meeting of a line with a bar along y through (x, z).
double BarOn(const Vec3& o, const Vec3& d, const Vec2& middle, double radius) {
  const Vec3 p(o.x() - middle.x(), 0.0, o.z() - middle.y());
  const double a = d.x() * d.x() + d.z() * d.z();
  const double b = p.x() * d.x() + p.z() * d.z();
  const double c = p.x() * p.x() + p.z() * p.z() - radius * radius;
  const double root = b * b - a * c;
  return root < 0.0 ? kNever : (-b - std::sqrt(root)) / a;
}

/// Least depth over lines of the drill parallel to its axis; `first` gives where a line meets
/// metal.
template <class First>
double SlowDepth(const Pose& pose, const Drill& drill, const First& first) {
  const AxisFrame frame = AxisFrame::At(pose.entry, pose.direction);
  double depth = first(pose.entry, pose.direction);
  for (int ring = 1; ring <= 8; ++ring) {
    const double r = drill.radius() * ring / 8.0;
    for (int k = 0; k < 24; ++k) {
      const double angle = 2.0 * kPi * k / 24.0;
      const Vec3 o = frame.ToWorld({r * std::cos(angle), r * std::sin(angle), 0.0});
      depth = std::min(depth, first(o, pose.direction) + drill.Behind(r));
    }
  }
  return depth;
}

class Poses {
 public:
  explicit Poses(unsigned seed) : random_(seed) {}
  double Even(double from, double to) {
    return std::uniform_real_distribution<>(from, to)(random_);
  }
  /// Within `degrees` of a direction, often on the border.
  Vec3 Tilted(const Vec3& direction, double degrees) {
    const double angle = degrees * kDegree * (Even(0, 1) < 0.5 ? 1.0 : std::sqrt(Even(0, 1)));
    const double turn = Even(0, 2 * kPi);
    const AxisFrame frame = AxisFrame::At(Vec3::Zero(), direction);
    return frame.ToWorld(
        {std::sin(angle) * std::cos(turn), std::sin(angle) * std::sin(turn), std::cos(angle)});
  }

 private:
  std::mt19937 random_;
};

// ---- Closed forms

// Flat wall t, drill leaning by up to b: t / cos b + a tan b + p; a level far wall is never nearer.
TEST(Tolerance, ALeaningDrillBreaksThroughAFlatWallByTheClosedForm) {
  const double tilt = 5 * kDegree;
  const auto worst =
      WorstOver(Box(80, 60, 3), {TiltOnly(Down(0, 30), 5)}, Twist(6), {1, kHorizon, {}});
  ASSERT_TRUE(worst.ok()) << worst.failure;
  const double exact = 3 / std::cos(tilt) + 3 * std::tan(tilt) + 3 / std::tan(59 * kDegree);
  EXPECT_GE(worst.breakthrough, exact - 1e-9);
  EXPECT_LE(worst.breakthrough, exact + 0.02);
  EXPECT_LE(worst.free_depth, 57.0 + 1e-9);
  EXPECT_GE(worst.free_depth, 57.0 - 0.02);
}

TEST(Tolerance, WithoutErrorsTheWorstCaseIsTheNominalOne) {
  auto scene = Tube(60.3, 5);
  scene.push_back(Bar(8, 0.15, 12));
  const auto worst = WorstOver(scene, {TiltOnly(Down(0, 30.15), 0)}, Twist(8), {0, kHorizon, {}});
  ASSERT_TRUE(worst.ok()) << worst.failure;
  EXPECT_NEAR(worst.breakthrough, 7.7236, 0.03);
  EXPECT_GE(worst.breakthrough, 7.7236);
  EXPECT_NEAR(worst.free_depth, 20.8073, 0.02);
  EXPECT_LE(worst.free_depth, 20.8073 + 1e-4);
  EXPECT_EQ(worst.body, "bar");
}

// From a tube's top, leaning by b across: tip at R cos b + sqrt(ri² - R² sin² b).
TEST(Tolerance, ALeaningDrillMeetsTheTubesFarWallOnTheShorterChord) {
  const auto worst =
      WorstOver(Tube(60.3, 5), {TiltOnly(Down(0, 30.15), 5)}, Twist(0.5), {1, kHorizon, {}});
  ASSERT_TRUE(worst.ok()) << worst.failure;
  const double sine = 30.15 * std::sin(5 * kDegree);
  const double tip = 30.15 * std::cos(5 * kDegree) + std::sqrt(25.15 * 25.15 - sine * sine);
  EXPECT_LE(worst.free_depth, tip + 1e-9);
  EXPECT_GE(worst.free_depth, tip - 0.06);
}

// Ø4 off the axis by 10° to the side: a bar beside the intended line comes into reach.
TEST(Tolerance, TiltBringsABarIntoReach) {
  auto scene = Box(100, 80, 3);
  scene.push_back(Bar(12, 0, 5));
  const auto straight = WorstOver(scene, {TiltOnly(Down(0, 40), 0)}, Twist(4), {0, kHorizon, {}});
  const auto leaning = WorstOver(scene, {TiltOnly(Down(0, 40), 10)}, Twist(4), {0, kHorizon, {}});
  ASSERT_TRUE(straight.ok() && leaning.ok()) << straight.failure << leaning.failure;
  EXPECT_EQ(straight.body, "far wall");
  EXPECT_EQ(leaning.body, "bar");
  EXPECT_LT(leaning.free_depth, 45.0);
  EXPECT_GT(leaning.free_depth, 35.0);
}

// ---- No sampled pose beats the bound

TEST(Tolerance, NoSampledPoseOnATubeWithABarBeatsTheBound) {
  Poses poses(20261125);
  int worked = 0;
  double gap_sum = 0.0;
  double gap_most = 0.0;
  for (int hole = 0; hole < 24; ++hole) {
    const double outside = poses.Even(50, 100);
    const double wall = poses.Even(2, 5);
    const double zone = hole % 4 == 0 ? 0.0 : poses.Even(0.3, 3.0);
    const double tilt = hole % 3 == 0 ? 0.0 : poses.Even(0, 6);
    const double side = hole % 2 == 0 ? 0.0 : 1.0;
    const Drill drill = Twist(poses.Even(3, 10), hole % 2 == 0 ? 118 : 135);
    const double radius = 0.5 * outside;
    const double wall_error = 0.2, outline = 1.0, inner = 2.0;
    const Vec2 bar(poses.Even(-8, 8), poses.Even(-8, 4));
    const double bar_radius = poses.Even(5, 10);
    auto scene = Tube(outside, wall);
    for (Obstacle& obstacle : scene) {
      obstacle.wall_error = wall_error;
      obstacle.outline_error = outline;
      obstacle.shift = wall_error + outline;
    }
    scene.push_back(Bar(bar.x(), bar.y(), bar_radius));
    scene.back().shift = inner + 0.7072 * outline;
    const Skin skin = RoundSkin(outside);
    const NominalPlace nominal = TopOf(skin);
    const auto cones = ConesOver(skin, nominal, zone, tilt * kDegree, kNormal);
    ASSERT_TRUE(cones);
    const auto worst = WorstOver(scene, *cones, drill, {side, kHorizon, {}});
    if (!worst.ok()) continue;
    ++worked;
    double sampled = kNever;
    double through = 0.0;
    for (int k = 0; k < 1500; ++k) {
      // The entry, within `zone` of the top of a tube that is itself off its size.
      const double r = radius - 0.5 * outline * (k % 2);
      const double off = zone * (k % 3 == 0 ? 1.0 : std::sqrt(poses.Even(0, 1)));
      const double turn = poses.Even(0, 2 * kPi);
      const double around = std::asin(std::min(0.95, off * std::cos(turn) / radius));
      const Vec3 outward(std::sin(around), 0, std::cos(around));
      Pose pose{r * outward, poses.Tilted(-outward, tilt)};
      pose.entry.y() = off * std::sin(turn) * 0.999;
      if ((pose.entry - r * Vec3::UnitZ()).norm() > zone + 1e-12) continue;
      const double t = wall + wall_error * (k % 2);
      const Vec2 moved =
          bar +
          inner * Vec2(std::cos(poses.Even(0, 2 * kPi)), std::sin(poses.Even(0, 2 * kPi))) * 0.7;
      sampled =
          std::min(sampled, SlowDepth(pose, drill, [&](const Vec3& o, const Vec3& d) {
                     return std::min(FarWallOfTube(o, d, r - t), BarOn(o, d, moved, bar_radius));
                   }));
      const AxisFrame frame = AxisFrame::At(pose.entry, pose.direction);
      for (int edge = 0; edge < 24; ++edge) {
        const double angle = 2 * kPi * edge / 24;
        const Vec3 o =
            frame.ToWorld({drill.radius() * std::cos(angle), drill.radius() * std::sin(angle), 0});
        // Leaving the near wall: the first of the two places on the inner circle.
        const double a =
            pose.direction.x() * pose.direction.x() + pose.direction.z() * pose.direction.z();
        const double b = o.x() * pose.direction.x() + o.z() * pose.direction.z();
        const double c = o.x() * o.x() + o.z() * o.z() - (r - t) * (r - t);
        through = std::max(through, (-b - std::sqrt(b * b - a * c)) / a + drill.FullBehind());
      }
    }
    EXPECT_LE(worst.free_depth, sampled + 1e-9) << "hole " << hole << " " << worst.body;
    EXPECT_GE(worst.breakthrough, through - 1e-9) << "hole " << hole;
    EXPECT_LT(worst.breakthrough - through, 2.0) << "hole " << hole;
    gap_sum += sampled - worst.free_depth;
    gap_most = std::max(gap_most, sampled - worst.free_depth);
  }
  EXPECT_GE(worked, 18);
  RecordProperty("mean_gap_mm", std::to_string(gap_sum / worked));
  RecordProperty("most_gap_mm", std::to_string(gap_most));
  std::printf(
      "tube and bar: %d holes, bound below the best sampled pose by %.3f on average, %.3f at "
      "most\n",
      worked, gap_sum / worked, gap_most);
  EXPECT_LT(gap_sum / worked, 3.0);
}

TEST(Tolerance, NoSampledPoseInABoxWithABarBeatsTheBound) {
  Poses poses(7);
  int worked = 0;
  double gap_sum = 0.0;
  for (int hole = 0; hole < 16; ++hole) {
    const double width = poses.Even(60, 90), height = poses.Even(40, 70), wall = poses.Even(2, 4);
    const Drill drill = Twist(poses.Even(3, 10));
    const double zone = poses.Even(0, 3), tilt = poses.Even(0, 6);
    const double outline = 1.0, wall_error = 0.2, inner = 2.0;
    const double bar_up = poses.Even(-6, 6), bar_across = poses.Even(-15, 15);
    const Vec2 bar(bar_across, bar_up);
    auto scene = Box(width, height, wall);
    for (Obstacle& obstacle : scene) {
      obstacle.wall_error = wall_error;
      obstacle.outline_error = outline;
      obstacle.shift = wall_error + outline;
    }
    scene.push_back(Bar(bar.x(), bar.y(), 6));
    scene.back().shift = inner + 0.7072 * outline;
    const Vec3 entry(poses.Even(-8, 8), 0, 0.5 * height);
    const auto worst = WorstOver(scene, {{{entry, -Vec3::UnitZ()}, zone, 0.0, tilt * kDegree}},
                                 drill, {0, kHorizon, {}});
    if (!worst.ok()) continue;
    ++worked;
    double sampled = kNever;
    for (int k = 0; k < 1500; ++k) {
      const double off = zone * std::sqrt(poses.Even(0, 1)), turn = poses.Even(0, 2 * kPi);
      const Vec3 start = entry + off * Vec3(std::cos(turn), std::sin(turn), 0);
      const Pose pose{start, poses.Tilted(-Vec3::UnitZ(), tilt)};
      const double angle = poses.Even(0, 2 * kPi);
      const Vec2 moved =
          bar + inner * Vec2(std::cos(angle), std::sin(angle)) + Vec2(0, 0.5 * outline);
      const double x = 0.5 * width - wall - wall_error - 0.5 * outline;
      const double floor = 0.5 * height - (height - outline) + wall + wall_error;
      sampled = std::min(sampled, SlowDepth(pose, drill, [&](const Vec3& o, const Vec3& d) {
                           double first = (floor - o.z()) / d.z();
                           if (std::abs(d.x()) > 1e-9)
                             first = std::min(first, ((d.x() > 0 ? x : -x) - o.x()) / d.x());
                           return std::min(first, BarOn(o, d, moved, 6));
                         }));
    }
    EXPECT_LE(worst.free_depth, sampled + 1e-9) << "hole " << hole << " " << worst.body;
    gap_sum += sampled - worst.free_depth;
  }
  EXPECT_GE(worked, 12);
  std::printf("box and bar: %d holes, bound below the best sampled pose by %.3f on average\n",
              worked, gap_sum / worked);
  EXPECT_LT(gap_sum / worked, 3.0);
}

// The bound on one place, against every pose of a cone.
TEST(Tolerance, TheLeastDepthOfAPlaceHoldsForEveryPoseOfTheCone) {
  Poses poses(3);
  int touched = 0;
  for (int k = 0; k < 30000; ++k) {
    const PoseCone cone{
        {Vec3::Zero(), Vec3::UnitZ()}, poses.Even(0, 3), poses.Even(0, 0.5), poses.Even(0, 0.2)};
    const Drill drill =
        k % 3 == 0 ? *Drill::Step(9, 118 * kDegree, {{4, 6}, {6, 3}}) : Twist(poses.Even(2, 12));
    const double l = poses.Even(0, 15), z = poses.Even(0.0, 40),
                 grown = k % 2 == 0 ? 0.0 : poses.Even(0, 2);
    const double bound = LeastDepthOver(cone, drill, {z, z, l, l, grown});
    for (int j = 0; j < 60; ++j) {
      const double off = cone.place * poses.Even(0, 1), turn = poses.Even(0, 2 * kPi);
      const Vec3 entry(off * std::cos(turn), off * std::sin(turn),
                       poses.Even(-cone.rise, cone.rise));
      const Vec3 direction = poses.Tilted(Vec3::UnitZ(), cone.tilt / kDegree);
      const Vec3 metal = Vec3(l, 0, z) + grown * poses.Tilted(Vec3::UnitZ(), 180.0);
      const double s = (metal - entry).dot(direction);
      const double r = (metal - entry - s * direction).norm();
      const double depth = s + drill.Behind(r);
      if (std::isfinite(depth)) ++touched;
      ASSERT_LE(bound, depth + 1e-9)
          << "z " << z << " l " << l << " grown " << grown << " s " << s << " r " << r;
    }
  }
  EXPECT_GT(touched, 10000);
}

TEST(Tolerance, CellsOfAZoneCoverEveryPlaceOfIt) {
  Poses poses(5);
  const Skin skin = RoundSkin(60);
  const NominalPlace nominal = TopOf(skin);
  const auto cones = ConesOver(skin, nominal, 3.0, 0.05, kNormal);
  ASSERT_TRUE(cones);
  int inside = 0;
  for (int k = 0; k < 3000; ++k) {
    const double u = 150 + poses.Even(-3, 3);
    const SkinPoint point = skin.At(u, 2.0 + poses.Even(-0.1, 0.1));
    if ((point.position - nominal.position).norm() > 3.0) continue;
    ++inside;
    bool held = false;
    for (const PoseCone& cone : *cones) {
      const Vec3 apart = point.position - cone.pose.entry;
      const double along = apart.dot(cone.pose.direction);
      const double across = (apart - along * cone.pose.direction).norm();
      const double angle = std::acos(std::min(1.0, cone.pose.direction.dot(-point.normal)));
      held = held || (across <= cone.place && std::abs(along) <= cone.rise &&
                      angle + 0.05 <= cone.tilt + 1e-7);
    }
    EXPECT_TRUE(held);
  }
  EXPECT_GT(inside, 1500);
}

// ---- Nothing that fails is clear

TEST(Tolerance, FailuresAreNamed) {
  EXPECT_FALSE(WorstOver(Tube(60, 3), {}, Twist(6), {1, kHorizon, {}}).ok());
  EXPECT_FALSE(WorstOver({}, {TiltOnly(Down(0, 30), 5)}, Twist(6), {1, kHorizon, {}}).ok());
  PoseCone cone = TiltOnly(Down(0, 30), 5);
  cone.tilt = std::nan("");
  EXPECT_FALSE(WorstOver(Tube(60, 3), {cone}, Twist(6), {1, kHorizon, {}}).ok());
  cone = TiltOnly(Down(0, 30), 5);
  cone.place = kNever;
  EXPECT_FALSE(WorstOver(Tube(60, 3), {cone}, Twist(6), {1, kHorizon, {}}).ok());
  // A corner that only the zone reaches.
  cone = TiltOnly(Down(20, 30), 5);
  EXPECT_TRUE(WorstOver(Box(60, 60, 3), {cone}, Twist(6), {1, kHorizon, {}}).ok());
  cone.place = 4.0;
  EXPECT_FALSE(WorstOver(Box(60, 60, 3), {cone}, Twist(6), {1, kHorizon, {}}).ok());
}

TEST(Tolerance, AZoneWithoutBoundGivesNoCones) {
  const Skin skin = RoundSkin(60);
  EXPECT_FALSE(ConesOver(skin, TopOf(skin), kNever, 0.05, kNormal));
  EXPECT_FALSE(ConesOver(skin, TopOf(skin), std::nan(""), 0.05, kNormal));
  EXPECT_FALSE(ConesOver(skin, TopOf(skin), 80.0, 0.05, kNormal));
}

}  // namespace
}  // namespace holeward
