#include "geometry/zone.h"

#include <algorithm>
#include <cmath>
#include <random>

#include <gtest/gtest.h>

#include "tests/geometry/skins.h"

namespace holeward {
namespace {

Measure FromSection(double u, double value) {
  Measure m;
  m.form = Measure::Form::tape;
  m.origin.kind = Origin::Kind::section;
  m.origin.place.u = u;
  m.value = value;
  return m;
}

Measure FromTangent(double v, double value) {
  Measure m;
  m.form = Measure::Form::tape;
  m.origin.kind = Origin::Kind::line;
  m.origin.line.v = v;
  m.value = value;
  return m;
}

Solution Only(const Placer& placer, const Rule& rule) {
  for (const Solution& s : placer.Solve(rule)) {
    if (s.right_side && s.off_face == 0.0) return s;
  }
  throw std::runtime_error("not placed");
}

TEST(Zone, OnAFlatFaceTwoSquareReadingsGiveTheBoxAndItsEllipse) {
  const Placer placer(test::StraightBox(60, 50, 9, 200));
  Rule rule{{FromSection(0.0, 90.0), FromTangent(7.0, 14.0)}, 6};
  rule.measures[0].half_width = HalfWidth::Even(1.0);
  rule.measures[1].half_width = HalfWidth::Even(0.5);
  const Solution s = Only(placer, rule);
  const Zone zone = ZoneOf(placer, rule, s, {0.5, 0.0});
  ASSERT_TRUE(zone.bounded);
  EXPECT_NEAR(zone.major, std::sqrt(2.0) * 1.0 + 0.5, 1e-6);
  EXPECT_NEAR(zone.minor, std::sqrt(2.0) * 0.5 + 0.5, 1e-6);
  EXPECT_NEAR(std::abs(zone.direction.y()), 1.0, 1e-6);
  // The corner of the box, plus the punch; the bound may only be a hair wider.
  EXPECT_GE(zone.radius, std::hypot(1.0, 0.5) + 0.5 - 1e-9);
  EXPECT_LT(zone.radius, std::hypot(1.0, 0.5) + 0.5 + 1e-3);
}

TEST(Zone, LopsidedHalfWidthsReachAsFarAsTheirWorseSide) {
  const Placer placer(test::StraightBox(60, 50, 9, 200));
  Rule rule{{FromSection(0.0, 90.0), FromTangent(7.0, 14.0)}, 6};
  rule.measures[0].half_width = {0.2, 2.0};
  rule.measures[1].half_width = {0.0, 0.0};
  const Zone zone = ZoneOf(placer, rule, Only(placer, rule), {0.0, 1.0});
  ASSERT_TRUE(zone.bounded);
  EXPECT_NEAR(zone.radius, 2.0 + 1.0, 1e-3);  // the sheet adds its own
}

TEST(Zone, SkewReadingsStretchItByTheSineBetweenThem) {
  // Two tapes from places on a flat, crossing at the angle 2 atan(10 / 40).
  const auto skin = test::StraightBox(80, 50, 5, 200);
  const Placer placer(skin);
  Rule rule;
  rule.flat = 4;
  for (int i = 0; i < 2; ++i) {
    auto& m = rule.measures[static_cast<std::size_t>(i)];
    m.form = Measure::Form::tape;
    m.origin.kind = Origin::Kind::place;
    m.origin.place = skin->Project(Vec3(i == 0 ? -10 : 10, 50, 25))->place;
    m.value = std::hypot(40.0, 10.0);
    m.half_width = HalfWidth::Even(0.1);
    m.toward = Toward{"finish", Vec3::Zero(), 1};
  }
  const Solution s = Only(placer, rule);
  const double half = std::atan(0.25);
  EXPECT_NEAR(s.conditioning, std::sin(2.0 * half), 1e-6);
  const Zone zone = ZoneOf(placer, rule, s, {0.0, 0.0});
  ASSERT_TRUE(zone.bounded);
  // Gradients (±sin, cos): the worst corner is opposite misreadings, 0.1 / sin(half) sideways.
  EXPECT_NEAR(zone.major, std::sqrt(2.0) * 0.1 / (std::sqrt(2.0) * std::sin(half)), 1e-4);
  EXPECT_GE(zone.radius, 0.1 / std::sin(half) * (1.0 - 1e-6));
  EXPECT_LT(zone.radius, 1.2 * 0.1 / std::sin(half));
}

TEST(Zone, ASingularRuleIsNotBounded) {
  const Placer placer(test::StraightBox(60, 50, 9, 200));
  Rule rule{{FromSection(0.0, 90.0), FromTangent(7.0, 14.0)}, 6};
  Solution s = Only(placer, rule);
  rule.measures[1] = rule.measures[0];
  s.samples[1] = s.samples[0];
  EXPECT_FALSE(ZoneOf(placer, rule, s, {0.5, 0.0}).bounded);
}

TEST(Zone, APointReadFromAnUnboundedPointIsNotBounded) {
  const Placer placer(test::StraightBox(60, 50, 9, 200));
  Rule rule{{FromSection(0.0, 90.0), FromTangent(7.0, 14.0)}, 6};
  const Solution s = Only(placer, rule);
  rule.measures[0].datum_spread = 1.5;
  rule.measures[0].datum_point = "K";
  const Zone zone = ZoneOf(placer, rule, s, {0.0, 0.0});
  EXPECT_TRUE(zone.bounded);
  EXPECT_NEAR(zone.radius, 1.5, 1e-6);
  rule.measures[0].datum_spread.reset();
  EXPECT_FALSE(ZoneOf(placer, rule, s, {0.0, 0.0}).bounded);
}

TEST(Zone, TheSecondReadingsDatumCountsAsTheFirsts) {
  const Placer placer(test::StraightBox(60, 50, 9, 200));
  Rule rule{{FromSection(0.0, 90.0), FromTangent(7.0, 14.0)}, 6};
  const Solution s = Only(placer, rule);
  rule.measures[1].datum_spread = 1.5;
  EXPECT_NEAR(ZoneOf(placer, rule, s, {0.0, 0.0}).radius, 1.5, 1e-6);
  rule.measures[1].datum_spread.reset();
  EXPECT_FALSE(ZoneOf(placer, rule, s, {0.0, 0.0}).bounded);
}

// By a line on a corner, which has no flat to be a share of, the point moves as its datum does.
TEST(Zone, InLineWithAPlaceOnACornerMovesWithIt) {
  const Placer placer(test::StraightBox(60, 50, 9, 200));
  Measure across;
  across.form = Measure::Form::across;
  across.origin.kind = Origin::Kind::line;
  across.origin.line.v = 5.5;
  across.datum_spread = 1.5;
  across.datum_point = "K";
  const Rule rule{{FromSection(0.0, 90.0), across}, -1};
  const Zone zone = ZoneOf(placer, rule, Only(placer, rule), {0.0, 0.0});
  ASSERT_TRUE(zone.bounded);
  EXPECT_NEAR(zone.makeup.datum, 1.5, 1e-3);
}

TEST(Zone, AReadingThatMayBeNothingHasNoBound) {
  // Half a millimetre from its section, read to half a millimetre: it may lie on the section
  // itself.
  const Placer placer(test::StraightBox(60, 50, 9, 200));
  Rule rule{{FromSection(50.0, 0.5), FromTangent(7.0, 14.0)}, 6};
  rule.measures[0].toward = Toward{"finish", Vec3::Zero(), 1};
  rule.measures[0].half_width = HalfWidth::Even(0.5);
  rule.measures[1].half_width = HalfWidth::Even(0.5);
  const Solution s = Only(placer, rule);
  EXPECT_FALSE(ZoneOf(placer, rule, s, {0.0, 0.0}).bounded);
  rule.measures[0].half_width = HalfWidth::Even(0.1);
  rule.measures[1].half_width = HalfWidth::Even(0.1);
  EXPECT_TRUE(ZoneOf(placer, rule, s, {0.0, 0.0}).bounded);
}

TEST(Zone, BesideAnEndOrALipReachesAsFarAsElsewhere) {
  const auto skin = test::StraightChannel(6.0, 200.0);
  const Placer placer(skin);
  for (const int flat : {0, 4}) {
    for (const double along : {0.3, 100.0, 199.7}) {
      Rule rule{{FromSection(0.0, along), FromTangent(flat == 0 ? 0.0 : 5.0, 0.3)}, flat};
      const Solution s = Only(placer, rule);
      EXPECT_LT((s.position - Vec3(-19.7, along, flat == 0 ? -25 : 25)).norm(), 1e-6);
      // The tape has no reading on its datums; the rest of the zone may hang over the edge.
      rule.measures[0].half_width = {0.2, 1.0};
      rule.measures[1].half_width = {0.2, 1.0};
      if (along > 1.0) {
        rule.measures[0] = FromSection(0.0, along);
        rule.measures[0].half_width = {1.0, 1.0};
      }
      const Zone zone = ZoneOf(placer, rule, s, {0.0, 0.0});
      ASSERT_TRUE(zone.bounded) << flat << " " << along;
      EXPECT_NEAR(zone.radius, std::hypot(1.0, 1.0), 1e-2) << flat << " " << along;
    }
  }
}

// Two tapes from places a few millimetres away: the readings' directions change within the zone.
TEST(ZoneLaw, FromDatumsNearbyItIsWiderThanItsEllipseOrHasNoBound) {
  const auto skin = test::StraightBox(60, 50, 5, 200);
  const Placer placer(skin);
  int bounded = 0, unbounded = 0;
  for (const double near : {2.0, 4.0, 6.0, 7.0, 8.0, 10.0, 14.0, 20.0}) {
    Rule rule;
    rule.flat = 4;
    for (std::size_t i = 0; i < 2; ++i) {
      Measure& m = rule.measures[i];
      m.form = Measure::Form::rule;
      m.origin.kind = Origin::Kind::place;
      const Vec3 from = i == 0 ? Vec3(0, 100 - near, 25) : Vec3(near, 100, 25);
      m.origin.place = skin->Project(from, {from.y(), 4.5})->place;
      m.value = near;
      m.half_width = HalfWidth::Even(1.0);
    }
    const auto beside = skin->Project(Vec3(-0.1, 100.1, 25), {100.0, 4.5})->place;
    const auto placed = placer.Follow(rule, beside);
    ASSERT_TRUE(placed) << near;
    const Solution& s = *placed;
    ASSERT_LT((s.position - Vec3(0, 100, 25)).norm(), 1e-5) << near;
    const Zone zone = ZoneOf(placer, rule, s, {0.0, 0.0});
    (zone.bounded ? bounded : unbounded) += 1;
    if (!zone.bounded) continue;
    for (int k = 0; k < 16; ++k) {
      Rule misread = rule;
      misread.measures[0].value += std::clamp(2.0 * std::cos(kPi * k / 8.0), -1.0, 1.0);
      misread.measures[1].value += std::clamp(2.0 * std::sin(kPi * k / 8.0), -1.0, 1.0);
      const auto marked = placer.Follow(misread, s.place, &s.samples);
      ASSERT_TRUE(marked) << near << " " << k;
      EXPECT_LE((marked->position - s.position).norm(), zone.radius) << near << " " << k;
    }
  }
  EXPECT_GE(bounded, 4);
  EXPECT_GE(unbounded, 1);
}

TEST(ZoneLaw, EveryMisreadingWithinItsHalfWidthsLandsWithinTheRadius) {
  std::mt19937 random(7);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  const auto skin = test::Made(test::BentTubeLaw());
  const Placer placer(skin);
  int tried = 0;
  double tightest = 1e9;
  for (int i = 0; i < 12; ++i) {
    Rule rule;
    rule.measures[0] = FromSection(0.0, 120.0 + 200.0 * unit(random));
    rule.measures[1] = FromTangent(0.0, 15.0 + 30.0 * unit(random));
    rule.measures[1].toward = Toward{"front", Vec3::UnitX(), 0};
    if (i % 2 == 0) {
      rule.measures[0].origin.kind = Origin::Kind::place;
      rule.measures[0].origin.place = {40.0, 0.6};
      rule.measures[0].toward = Toward{"finish", Vec3::Zero(), 1};
    }
    rule.measures[0].half_width = HalfWidth{1.0, 3.0};
    rule.measures[1].half_width = HalfWidth{2.0, 1.0};
    const Solution s = Only(placer, rule);
    const Zone zone = ZoneOf(placer, rule, s, {0.0, 0.0});
    ASSERT_TRUE(zone.bounded);
    double farthest = 0.0;
    for (int k = 0; k < 40; ++k) {
      Rule misread = rule;
      // Corners and sides of the box count most.
      auto pick = [&](const HalfWidth& h) {
        const double t = k < 20 ? std::round(unit(random)) : unit(random);
        return -h.minus + t * (h.minus + h.plus);
      };
      misread.measures[0].value += pick(rule.measures[0].half_width);
      misread.measures[1].value += pick(rule.measures[1].half_width);
      const auto marked = placer.Follow(misread, s.place, &s.samples);
      ASSERT_TRUE(marked);
      farthest = std::max(farthest, (marked->position - s.position).norm());
      ++tried;
    }
    EXPECT_LE(farthest, zone.radius);
    EXPECT_GT(farthest, 0.6 * zone.radius);  // the bound is not idle
    tightest = std::min(tightest, zone.radius - farthest);
  }
  EXPECT_EQ(tried, 480);
  EXPECT_GE(tightest, 0.0);
}

}  // namespace
}  // namespace holeward
