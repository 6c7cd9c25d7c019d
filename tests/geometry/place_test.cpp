#include "geometry/place.h"

#include <chrono>
#include <cmath>
#include <random>

#include <gtest/gtest.h>

#include "tests/geometry/skins.h"

namespace holeward {
namespace {

Measure Basic(Measure::Form form, Origin::Kind kind, double value = 0.0) {
  Measure m;
  m.form = form;
  m.origin.kind = kind;
  m.value = value;
  return m;
}

Measure FromEnd(Measure::Form form, double value) {
  return Basic(form, Origin::Kind::section, value);
}

Measure OnLine(double v) {
  Measure m = Basic(Measure::Form::across, Origin::Kind::line);
  m.origin.line.v = v;
  return m;
}

std::vector<Solution> Right(const std::vector<Solution>& found) {
  std::vector<Solution> right;
  for (const Solution& s : found) {
    if (s.right_side && s.off_face == 0.0) right.push_back(s);
  }
  return right;
}

// ---------------------------------------------------------------- closed forms

TEST(Place, TapeAlongATubeOnANamedLine) {
  const Placer placer(test::StraightTube(60.3, 200.0));
  const auto found = placer.Solve({{FromEnd(Measure::Form::tape, 70.0), OnLine(0.0)}, -1});
  ASSERT_EQ(found.size(), 1u);
  EXPECT_LT((found[0].position - Vec3(0, 70, -30.15)).norm(), 1e-6);
  EXPECT_LT((found[0].normal - Vec3(0, 0, -1)).norm(), 1e-9);
  EXPECT_NEAR(found[0].conditioning, 1.0, 1e-9);
}

TEST(Place, CommonPracticeOffsetsOnATube) {
  // Common practice, no source: tape offsets of 100 and 50 mm along, a point 45 degrees round.
  const Placer placer(test::StraightTube(70.0, 300.0));
  Measure angle = Basic(Measure::Form::angle, Origin::Kind::line, 45.0 * kDegree);
  angle.angle_from = RoundDirection(0.0);
  for (const double offset : {100.0, 50.0}) {
    const auto found = placer.Solve({{FromEnd(Measure::Form::tape, offset), angle}, -1});
    ASSERT_EQ(found.size(), 1u);
    const double r = 35.0 * std::sqrt(0.5);
    EXPECT_LT((found[0].position - Vec3(r, offset, -r)).norm(), 1e-6);
  }
}

TEST(Place, ThreeMethodsOfOneValuePutThePointInThreePlaces) {
  // D 60.3, 20 mm from the bottom line: by tape 38.00715 degrees, by rule and square further round.
  const Placer placer(test::StraightTube(60.3, 200.0));
  auto angle_by = [&](Measure::Form form) {
    Measure around = Basic(form, Origin::Kind::line, 20.0);
    around.toward = Toward{"front", Vec3::UnitX(), 0};
    auto found = Right(placer.Solve({{FromEnd(Measure::Form::tape, 70.0), around}, -1}));
    // Square also meets the upper half; the place nearest the bottom is the one read.
    std::sort(found.begin(), found.end(),
              [](const Solution& a, const Solution& b) { return a.place.v < b.place.v; });
    EXPECT_FALSE(found.empty());
    return found.empty() ? 0.0 : found[0].place.v * 90.0;
  };
  EXPECT_NEAR(angle_by(Measure::Form::tape), 38.00715, 1e-5);
  EXPECT_NEAR(angle_by(Measure::Form::rule), 2.0 * std::asin(10.0 / 30.15) / kDegree, 1e-6);
  EXPECT_NEAR(angle_by(Measure::Form::square), std::asin(20.0 / 30.15) / kDegree, 1e-6);
}

TEST(Place, TwoTapesFromOneEndOfAFlatMakeATriangle) {
  const auto skin = test::StraightBox(60, 50, 9, 200);
  const Placer placer(skin);
  // From two places on the top flat, 3-4-5 triangles.
  Rule rule;
  rule.flat = 4;
  for (int i = 0; i < 2; ++i) {
    auto& m = rule.measures[static_cast<std::size_t>(i)];
    m = Basic(Measure::Form::tape, Origin::Kind::place, 25.0);
    const auto hit = skin->Project(Vec3(-10, i == 0 ? 80 : 110, 25));
    m.origin.place = hit->place;
  }
  const auto all = Right(placer.Solve(rule));
  ASSERT_EQ(all.size(), 1u);  // the other, 20 mm the rear way, lies beyond the corner
  EXPECT_LT((all[0].position - Vec3(10, 95, 25)).norm(), 1e-6);
}

// ---------------------------------------------------------------- none, several, ill-conditioned

TEST(Place, TapeFromAPointOnALineHasTwoPlacesUntilTowardChooses) {
  const Placer placer(test::StraightTube(60.3, 300.0));
  Measure tape = Basic(Measure::Form::tape, Origin::Kind::place, 60.0);
  tape.origin.place = {150.0, 0.5};
  EXPECT_EQ(Right(placer.Solve({{tape, OnLine(0.0)}, -1})).size(), 2u);
  tape.toward = Toward{"outboard", Vec3::UnitY(), 0};
  const auto one = Right(placer.Solve({{tape, OnLine(0.0)}, -1}));
  ASSERT_EQ(one.size(), 1u);
  const double around = 30.15 * kPi / 4.0;
  EXPECT_NEAR(one[0].position.y(), 150.0 + std::sqrt(3600.0 - around * around), 1e-6);
}

TEST(Place, ShortReadingsFromASectionFindBothSides) {
  const Placer placer(test::StraightTube(60.3, 300.0));
  for (const double value : {0.3, 1.0, 4.0, 11.0}) {
    Measure tape = FromEnd(Measure::Form::tape, value);
    tape.origin.place.u = 151.0;
    EXPECT_EQ(Right(placer.Solve({{tape, OnLine(1.0)}, -1})).size(), 2u) << value;
    tape.toward = Toward{"inboard", -Vec3::UnitY(), 0};
    const auto one = Right(placer.Solve({{tape, OnLine(1.0)}, -1}));
    ASSERT_EQ(one.size(), 1u) << value;
    EXPECT_NEAR(one[0].position.y(), 151.0 - value, 1e-6);
  }
}

TEST(Place, ATapeLongerThanThePartHasNoPlaceAndSaysHowFarItReaches) {
  const Placer placer(test::StraightTube(60.3, 200.0));
  const Rule rule{{FromEnd(Measure::Form::tape, 230.0), OnLine(0.0)}, -1};
  EXPECT_TRUE(placer.Solve(rule).empty());
  const ReadingReach reach = placer.ReachOf(rule, 0);
  ASSERT_TRUE(reach.any);
  EXPECT_NEAR(reach.greatest, 200.0, 1e-6);
}

TEST(Place, NearlyTheSameReadingTwiceIsIllConditioned) {
  const auto skin = test::StraightBox(60, 50, 9, 200);
  const Placer placer(skin);
  Rule rule;
  rule.flat = 4;
  rule.measures[0] = FromEnd(Measure::Form::tape, 100.0);
  rule.measures[1] = Basic(Measure::Form::tape, Origin::Kind::place, std::hypot(80.0, 10.0));
  rule.measures[1].origin.place = skin->Project(Vec3(0, 20, 25))->place;
  const auto found = Right(placer.Solve(rule));
  ASSERT_EQ(found.size(), 2u);  // 10 mm to either side
  EXPECT_NEAR(found[0].conditioning, 10.0 / std::hypot(80.0, 10.0), 1e-6);
}

TEST(Place, APlaceOnACornerIsMarkedOffItsFlat) {
  const auto skin = test::StraightBox(60, 50, 9, 200);
  const Placer placer(skin);
  Measure up = Basic(Measure::Form::tape, Origin::Kind::line, 36.0);  // the flat is 32 high
  up.origin.line.v = 7.0;
  const auto found = placer.Solve({{FromEnd(Measure::Form::tape, 90.0), up}, 6});
  ASSERT_FALSE(found.empty());
  EXPECT_TRUE(Right(found).empty());
  double least = 1e9;
  for (const auto& s : found) least = std::min(least, s.off_face);
  EXPECT_NEAR(least, 4.0, 1e-6);
}

// ---------------------------------------------------------------- laws

// Rules whose readings are taken off a known place, so that placing must come back to it.
std::vector<Rule> RulesThrough(const Placer& placer, const SkinPlace& place, int flat,
                               std::mt19937& random) {
  const Skin& skin = placer.skin();
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  const SkinPlace near{std::clamp(place.u + 60.0 * (unit(random) - 0.5), 5.0, skin.u_end() - 5.0),
                       skin.round() ? 4.0 * unit(random) : flat + unit(random)};
  std::vector<Measure> along, around;
  for (const auto form : {Measure::Form::tape, Measure::Form::rule, Measure::Form::square}) {
    Measure m = Basic(form, Origin::Kind::section);
    m.origin.place.u = near.u;
    along.push_back(m);
    m = Basic(form, Origin::Kind::line);
    if (skin.round()) {
      m.origin.line.v = std::floor(near.v);
    } else {
      m.origin.line.v = flat + 1.0;
      m.origin.flat = flat;
      m.origin.corner = CornersOf(skin, flat).upper;
      m.origin.kind = Origin::Kind::corner;
    }
    around.push_back(m);
    if (form == Measure::Form::square) continue;
    m = Basic(form, Origin::Kind::place);
    m.origin.place = near;
    along.push_back(m);
  }
  if (skin.round()) {
    Measure angle = Basic(Measure::Form::angle, Origin::Kind::line);
    angle.angle_from = RoundDirection(0.0);
    around.push_back(angle);
    around.push_back(OnLine(place.v));
  } else {
    Measure across = Basic(Measure::Form::across, Origin::Kind::line);
    across.origin.line = LineThrough(skin, place);
    around.push_back(across);
  }
  std::vector<Rule> rules;
  for (Measure a : along) {
    for (Measure b : around) {
      const auto read_a = placer.reader().Read(a, place);
      const auto read_b = placer.reader().Read(b, place);
      if (!read_a || !read_b) continue;
      const SkinPoint at = skin.At(place);
      if (SineBetween(read_a->gradient, read_b->gradient, at.normal) < 0.3) continue;
      if (read_a->value < 3.0 ||
          (b.form != Measure::Form::across && !b.is_angle() && read_b->value < 3.0) ||
          read_a->gradient.norm() < 0.3 ||
          read_b->gradient.norm() * (b.is_angle() ? 30.0 : 1.0) < 0.3)
        continue;
      a.value = read_a->value;
      if (b.form != Measure::Form::across) b.value = read_b->value;
      rules.push_back({{a, b}, flat});
    }
  }
  return rules;
}

void ReadAndPlaceAgain(const std::shared_ptr<const Skin>& skin, bool round, int rounds) {
  const Placer placer(skin);
  std::mt19937 random(20261125);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  int placed = 0;
  double worst = 0.0, worst_residual = 0.0;
  double seconds = 0.0;
  for (int i = 0; i < rounds; ++i) {
    const int flat = round ? -1 : 2 * static_cast<int>(4.0 * unit(random));
    const double u = skin->u_end() * (0.1 + 0.8 * unit(random));
    const SkinPlace place{u, round ? 4.0 * unit(random) : flat + 0.05 + 0.9 * unit(random)};
    for (const Rule& rule : RulesThrough(placer, place, flat, random)) {
      const auto start = std::chrono::steady_clock::now();
      const auto found = placer.Solve(rule);
      seconds += std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
      double nearest = 1e9;
      for (const Solution& s : found) {
        nearest = std::min(nearest, (s.position - skin->At(place).position).norm());
        for (std::size_t k = 0; k < 2; ++k) {
          const double radius = rule.measures[k].is_angle() ? 30.0 : 1.0;
          worst_residual = std::max(worst_residual, std::abs(s.samples[k].residual) * radius);
        }
      }
      EXPECT_LT(nearest, 1e-5) << "u " << place.u << " v " << place.v << " forms "
                               << static_cast<int>(rule.measures[0].form) << "/"
                               << static_cast<int>(rule.measures[0].origin.kind) << " "
                               << static_cast<int>(rule.measures[1].form) << "/"
                               << static_cast<int>(rule.measures[1].origin.kind) << " values "
                               << rule.measures[0].value << " " << rule.measures[1].value
                               << " found " << found.size();
      worst = std::max(worst, nearest);
      ++placed;
    }
  }
  EXPECT_LE(worst_residual, kPlacingResidual);
  EXPECT_GT(placed, 5 * rounds);
  testing::Test::RecordProperty("placed", placed);
  printf("  %d rules, worst return %.2e mm, worst residual %.2e mm, %.3f ms each\n", placed, worst,
         worst_residual, 1e3 * seconds / placed);
}

TEST(PlaceLaw, ReadingsOffAPlaceOfAStraightTubePlaceItAgain) {
  ReadAndPlaceAgain(test::StraightTube(60.3, 300.0), true, 20);
}
TEST(PlaceLaw, ReadingsOffAPlaceOfABentTubePlaceItAgain) {
  ReadAndPlaceAgain(test::Made(test::BentTubeLaw()), true, 20);
}
TEST(PlaceLaw, ReadingsOffAPlaceOfAnArmPlaceItAgain) {
  ReadAndPlaceAgain(test::Made(test::ArmLaw()), false, 20);
}

TEST(PlaceLaw, ATurnedSkinTurnsItsPlaces) {
  const SkinLaw law = test::ArmLaw();
  const Eigen::Matrix3d turn =
      (Eigen::AngleAxisd(0.7, Vec3(0.3, -0.5, 0.8).normalized())).toRotationMatrix();
  const Vec3 shift(40.0, -20.0, 15.0);
  SkinLaw turned = law;
  for (Vec3& centre : turned.centres) centre = turn * centre + shift;
  turned.up = turn * law.up;
  turned.a_toward = turn * law.a_toward;
  const Placer here(test::Made(law));
  const Placer there(test::Made(turned));
  Measure up = Basic(Measure::Form::tape, Origin::Kind::corner, 22.0);
  up.origin.corner = CornersOf(here.skin(), 6).upper;
  up.origin.flat = 6;
  up.origin.line.v = 7.0;
  int placed = 0;
  for (const auto form : {Measure::Form::tape, Measure::Form::rule, Measure::Form::square}) {
    const Rule rule{{FromEnd(form, 120.0), up}, 6};
    const auto a = Right(here.Solve(rule));
    const auto b = Right(there.Solve(rule));
    ASSERT_EQ(a.size(), 1u);
    ASSERT_EQ(b.size(), 1u);
    EXPECT_LT((turn * a[0].position + shift - b[0].position).norm(), 1e-8);
    EXPECT_LT((turn * a[0].normal - b[0].normal).norm(), 1e-9);
    ++placed;
  }
  EXPECT_EQ(placed, 3);
}

TEST(PlaceLaw, AMirroredSkinMirrorsItsPlaces) {
  const SkinLaw law = test::ArmLaw();
  SkinLaw mirrored = law;
  for (Vec3& centre : mirrored.centres) centre = Mirrored(centre);
  const Placer here(test::Made(law));
  const Placer there(test::Made(mirrored));
  Measure up = Basic(Measure::Form::rule, Origin::Kind::corner, 22.0);
  up.origin.corner = CornersOf(here.skin(), 6).upper;
  up.origin.flat = 6;
  up.origin.line.v = 7.0;
  for (const auto form : {Measure::Form::tape, Measure::Form::rule, Measure::Form::square}) {
    const Rule rule{{FromEnd(form, 120.0), up}, 6};
    const auto a = Right(here.Solve(rule));
    const auto b = Right(there.Solve(rule));
    ASSERT_EQ(a.size(), 1u);
    ASSERT_EQ(b.size(), 1u);
    EXPECT_LT((Mirrored(a[0].position) - b[0].position).norm(), 1e-9);
  }
}

}  // namespace
}  // namespace holeward
