// Placing where it is hardest: at corners and lips, where readings touch or say the same, at
// datums.
#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include <gtest/gtest.h>

#include "geometry/place.h"
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

Measure FromSection(Measure::Form form, double value, double u = 0.0) {
  Measure m = Basic(form, Origin::Kind::section, value);
  m.origin.place.u = u;
  return m;
}

Measure FromPlace(Measure::Form form, double value, const SkinPlace& place) {
  Measure m = Basic(form, Origin::Kind::place, value);
  m.origin.place = place;
  return m;
}

Measure FromLine(Measure::Form form, double value, double v) {
  Measure m = Basic(form, Origin::Kind::line, value);
  m.origin.line.v = v;
  return m;
}

/// A prism of many narrow flats, nearly round.
std::shared_ptr<const Skin> ManySided(int sides, double radius, double length) {
  SkinLaw law;
  for (const double y : {0.0, length}) {
    law.centres.emplace_back(0, y, 0);
    std::vector<Vec2> corners;
    for (int k = 0; k < sides; ++k) {
      const double angle = 2.0 * kPi * (k + 0.5) / sides - 0.5 * kPi;
      corners.emplace_back(radius * std::cos(angle), radius * std::sin(angle));
    }
    law.vertices.push_back(corners);
    law.corner_radii.emplace_back(static_cast<std::size_t>(sides), 1.0);
  }
  return test::Made(law);
}

// ---------------------------------------------------------------- readings that say the same

TEST(SineBetween, IsNoneWhereAReadingHasNoDirection) {
  EXPECT_EQ(SineBetween(Vec3::Zero(), Vec3::UnitX(), Vec3::UnitZ()), 0.0);
  EXPECT_EQ(SineBetween(Vec3::UnitY(), Vec3::UnitX(), Vec3::UnitZ()), 1.0);
}

TEST(PlaceLimits, OneReadingSaidTwiceIsMetBesideEveryStartAndIllConditioned) {
  const Placer placer(test::StraightTube(60.3, 200.0));
  const Rule rule{
      {FromSection(Measure::Form::tape, 70.0), FromSection(Measure::Form::square, 70.0)}, -1};
  for (const double v : {0.3, 1.7, 3.2}) {
    const auto found = placer.Follow(rule, {60.0, v});
    ASSERT_TRUE(found);
    EXPECT_LT((found->position - placer.skin().At(70.0, v).position).norm(), 1e-6);
    EXPECT_LT(found->conditioning, 1e-6);
  }
}

// A circle told twice can be begun at hundreds of cells; what it costs is bounded all the same.
TEST(PlaceLimits, OneCircleSaidTwiceIsGivenUpAfterSixtyPlaces) {
  const auto skin = ManySided(60, 200.0, 1000.0);
  const Placer placer(skin);
  const Measure circle = FromPlace(Measure::Form::tape, 480.0, {501.3, 0.3});
  const auto found = placer.Solve({{circle, circle}, -1});
  EXPECT_GT(found.size(), 40u);
  EXPECT_LE(found.size(), 60u);
  for (const Solution& s : found) EXPECT_NEAR(s.samples[0].value, 480.0, 1e-6);
}

// A rule with two places must never be told to have one.
TEST(PlaceLaw, TwoCirclesOnAWideFlatMeetTwice) {
  int tried = 0;
  for (const double width : {100.0, 200.0, 300.0, 500.0}) {
    const auto skin = test::StraightBox(width, 50, 5, 200);
    const Placer placer(skin);
    for (const double value : {5.0, 7.0, 10.0, 14.0, 17.0, 20.0, 22.0, 25.0, 30.0, 35.0}) {
      Rule rule;
      rule.flat = 4;
      for (std::size_t i = 0; i < 2; ++i) {
        const Vec3 from = i == 0 ? Vec3(0, 100 - value, 25) : Vec3(value, 100, 25);
        rule.measures[i] =
            FromPlace(Measure::Form::rule, value, skin->Project(from, {from.y(), 4.5})->place);
      }
      const auto found = placer.Solve(rule);
      ASSERT_EQ(found.size(), 2u) << width << " " << value;
      for (const Solution& s : found) {
        const Vec3 nearer =
            s.position.x() < 0.5 * value ? Vec3(0, 100, 25) : Vec3(value, 100 - value, 25);
        EXPECT_LT((s.position - nearer).norm(), 1e-5) << width << " " << value;
      }
      ++tried;
    }
  }
  EXPECT_EQ(tried, 40);
}

// Newton only halves the way to where one reading touches the other; it ends near enough.
TEST(PlaceLimits, WhereOneReadingOnlyTouchesTheOtherIsFound) {
  const auto skin = test::StraightBox(3000, 3000, 10, 2000);
  const Placer placer(skin);
  const SkinPlace centre = skin->Project(Vec3(0, 200, 1500), {200.0, 4.5})->place;
  const Rule rule{
      {FromPlace(Measure::Form::rule, 800.0, centre), FromSection(Measure::Form::square, 1000.0)},
      4};
  const SkinPlace start = skin->Project(Vec3(700, 1000, 1500), {1000.0, 4.3})->place;
  const auto found = placer.Follow(rule, start);
  ASSERT_TRUE(found);
  // Readings good to 1e-6 leave sqrt(2 R 1e-6) sideways.
  EXPECT_LT((found->position - Vec3(0, 1000, 1500)).norm(), std::sqrt(2.0 * 800.0 * 1e-6));
}

// Half way round the tape's two ways are equally long; farther than that the shorter one is the
// other.
TEST(PlaceLimits, NoPlaceLiesFartherRoundThanHalfWay) {
  const auto skin = test::StraightTube(60.0, 200.0);
  const Placer placer(skin);
  const double half_way = 30.0 * kPi;
  for (const double v : {0.1, 0.37, 1.2, 2.9}) {
    for (const double more : {-10.0, -5.0, -4.0, -3.0, -2.0, -1.0, -0.5, 0.5, 2.0, 6.0}) {
      const Rule rule{{FromPlace(Measure::Form::tape, half_way + more, {100.0, v}),
                       FromSection(Measure::Form::square, 100.0)},
                      -1};
      EXPECT_EQ(placer.Solve(rule).size(), more < 0.0 ? 2u : 0u) << v << " " << more;
    }
  }
}

/// Distinct places within 25 mm of one where both readings, taken anew, agree with the rule: by
/// following it from starts close together.
std::vector<Vec3> PlacesBeside(const Placer& placer, const Rule& rule, const SkinPlace& place) {
  const Skin& skin = placer.skin();
  const Vec3 middle = skin.At(place).position;
  std::vector<Vec3> found;
  for (const int i : {-1, 1}) {
    for (int j = -8; j <= 8; ++j) {
      const auto at = placer.Follow(rule, {place.u + 3.0 * i, place.v + 0.05 * j});
      if (!at || (at->position - middle).norm() > 25.0) continue;
      bool agrees = true;
      for (const Measure& m : rule.measures) {
        const auto read = placer.reader().Read(m, at->place);
        agrees = agrees && read && std::abs(read->residual) < 1e-5;
      }
      const bool known = std::any_of(found.begin(), found.end(), [&](const Vec3& other) {
        return (other - at->position).norm() < 1e-3;
      });
      if (agrees && !known) found.push_back(at->position);
    }
  }
  return found;
}

// Of two places beside the far side of a datum neither is left out: told one, a technician would
// drill there. A tape is as long either way round there, a rule hardly changes.
TEST(PlaceLaw, PlacesOnBothSidesOfHalfWayRoundAreBothFound) {
  using Form = Measure::Form;
  std::mt19937 random(20261130);
  const auto even = [&](double from, double to) {
    return std::uniform_real_distribution<>(from, to)(random);
  };
  int both = 0;
  int missed = 0;
  for (const auto& skin : {test::StraightTube(60.3, 300.0), test::Made(test::BentTubeLaw()),
                           test::Taper(30.0, 18.0, 240.0), test::StraightBox(60, 50, 9, 300)}) {
    const Placer placer(skin);
    for (int k = 0; k < 40; ++k) {
      const double u = skin->u_end() * even(0.3, 0.7);
      const double v = skin->round() ? even(0.0, 4.0) : 2.0 * (k % 4) + 0.5;
      const double off = even(-0.2, 0.2);  // of a quarter or of a flat's width
      const SkinPlace place{u, skin->Wrapped(v + 0.5 * skin->piece_count() + off)};
      const Form form = k % 4 < 2 ? Form::tape : Form::rule;
      const Measure round =
          k % 2 == 0 ? FromLine(form, 0.0, v) : FromPlace(form, 0.0, {u + 5.0, v});
      const Measure along = k % 3 == 0 ? FromPlace(Form::tape, 0.0, {u - 70.0, place.v + 0.2})
                                       : FromSection(Form::square, 0.0);
      Rule rule{{along, round}, -1};
      for (Measure& m : rule.measures) m.value = placer.reader().Read(m, place)->value;
      const std::vector<Vec3> expected = PlacesBeside(placer, rule, place);
      const std::vector<Solution> found = placer.Solve(rule);
      const auto met = std::count_if(expected.begin(), expected.end(), [&](const Vec3& other) {
        return std::any_of(found.begin(), found.end(),
                           [&](const Solution& s) { return (s.position - other).norm() < 1e-3; });
      });
      // A pair may be missed as a whole between other places; never one of it.
      EXPECT_TRUE(met == 0 || met == std::ssize(expected)) << k << " off " << off << " " << met;
      EXPECT_FALSE(found.empty()) << k;
      missed += met == 0;
      both += expected.size() > 1;
    }
  }
  EXPECT_GT(both, 110);
  EXPECT_LE(missed, 1);
}

// ---------------------------------------------------------------- Newton's way

TEST(PlaceLimits, AStartOnASharpCornerLeavesItOnTheSideOfThePlace) {
  const auto skin = test::StraightBox(60, 50, 0, 200);
  const Placer placer(skin);
  for (const int flat : {4, 6}) {
    Measure across = Basic(Measure::Form::across, Origin::Kind::line);
    across.origin.line = SkinLine{flat + 0.5, flat, 0.5, 0.0};
    const Rule rule{{FromSection(Measure::Form::tape, 120.0), across}, flat};
    // The half of the corner that is read on this flat.
    const auto found = placer.Follow(rule, {100.0, flat == 4 ? 5.3 : 5.7});
    ASSERT_TRUE(found) << flat;
    const Vec3 expected = flat == 4 ? Vec3(0, 120, 25) : Vec3(-30, 120, 0);
    EXPECT_LT((found->position - expected).norm(), 1e-6) << flat;
  }
}

TEST(PlaceLimits, AFirstStepOfMoreThanAWholeTurnStillEndsAtThePlace) {
  // Where the square reading off the bottom line is greatest it has next to no slope: the first
  // step is as long as steps may be, a little more than once round.
  const double radius = 10.0;
  const double round = 2.0 * kPi * radius;
  const Placer placer(test::StraightTube(2.0 * radius, 1.01 * round / 0.3));
  const Rule rule{
      {FromSection(Measure::Form::tape, 100.0), FromLine(Measure::Form::square, 5.0, 0.0)}, -1};
  const auto found = placer.Follow(rule, {100.0, 0.999});
  ASSERT_TRUE(found);
  EXPECT_NEAR(std::abs(found->position.x()), 5.0, 1e-6);
  EXPECT_NEAR(found->position.y(), 100.0, 1e-6);
}

// ---------------------------------------------------------------- open and closed sections

TEST(PlaceLimits, OnAChannelsFlangePlacesLieUpToItsLips) {
  const auto skin = test::StraightChannel(6.0, 200.0);
  const Placer placer(skin);
  for (const int flat : {0, 4}) {
    Measure lip = Basic(Measure::Form::tape, Origin::Kind::corner, 2.0);
    lip.origin.flat = flat;
    lip.origin.corner = flat == 0 ? 0 : 3;
    lip.origin.line.v = flat == 0 ? 0.0 : 5.0;
    const auto found = placer.Solve({{FromSection(Measure::Form::tape, 70.0), lip}, flat});
    ASSERT_EQ(found.size(), 1u) << flat;
    EXPECT_LT((found[0].position - Vec3(-18, 70, flat == 0 ? -25 : 25)).norm(), 1e-6) << flat;
    EXPECT_EQ(found[0].off_face, 0.0);
  }
}

TEST(PlaceLimits, APlaceRoundTheCornerOfAChannelIsMarkedOffItsFlat) {
  // The flange is 34 wide to the tangent line; 37 from the lip lies 3 mm on.
  const Placer placer(test::StraightChannel(6.0, 200.0));
  Measure lip = Basic(Measure::Form::tape, Origin::Kind::corner, 37.0);
  lip.origin.flat = 0;
  lip.origin.corner = 0;
  lip.origin.line.v = 0.0;
  const auto found = placer.Solve({{FromSection(Measure::Form::tape, 70.0), lip}, 0});
  ASSERT_FALSE(found.empty());
  for (const Solution& s : found) EXPECT_NEAR(s.off_face, 3.0, 1e-6);
}

TEST(PlaceLimits, BothPlacesOffAFlatAreTold) {
  // The flat is 32 high: 20 mm up and down from its middle line lie 4 mm round either corner.
  const auto skin = test::StraightBox(60, 50, 9, 200);
  const Placer placer(skin);
  Measure aside = Basic(Measure::Form::tape, Origin::Kind::line, 20.0);
  aside.origin.line = SkinLine{6.5, 6, 0.5, 0.0};
  const auto found = placer.Solve({{FromSection(Measure::Form::tape, 90.0), aside}, 6});
  ASSERT_EQ(found.size(), 2u);
  for (const Solution& s : found) EXPECT_NEAR(s.off_face, 4.0, 1e-6);
  EXPECT_LT(found[0].position.z() * found[1].position.z(), 0.0);
}

// ---------------------------------------------------------------- how far a reading reaches

TEST(ReachOf, BeginsAtTheDatumItself) {
  const auto skin = test::StraightTube(60.3, 200.0);
  const Placer placer(skin);
  const Measure on_line = FromLine(Measure::Form::across, 0.0, 1.0);
  const Measure at_station = FromSection(Measure::Form::station, 0.0, 75.0);
  struct Case {
    Rule rule;
    double greatest;
  };
  const double half_round = 30.15 * kPi;
  for (const Case& c :
       {Case{{{FromSection(Measure::Form::tape, 300.0), on_line}, -1}, 200.0},
        Case{{{FromPlace(Measure::Form::tape, 300.0, {75.0, 1.0}), on_line}, -1}, 125.0},
        Case{{{FromPlace(Measure::Form::rule, 300.0, {75.0, 1.0}), on_line}, -1}, 125.0},
        Case{{{FromLine(Measure::Form::tape, 300.0, 0.0), at_station}, -1}, half_round}}) {
    const ReadingReach reach = placer.ReachOf(c.rule, 0);
    ASSERT_TRUE(reach.any);
    EXPECT_EQ(reach.least, 0.0);
    EXPECT_NEAR(reach.greatest, c.greatest, 1e-6);
  }
}

TEST(ReachOf, FromACornerBeginsWithItsSetBack) {
  const auto skin = test::StraightBox(60, 50, 9, 200);
  const Placer placer(skin);
  Measure up = Basic(Measure::Form::tape, Origin::Kind::corner, 60.0);
  up.origin.corner = CornersOf(*skin, 6).lower;
  up.origin.flat = 6;
  up.origin.line.v = 6.0;
  const ReadingReach reach =
      placer.ReachOf({{up, FromSection(Measure::Form::station, 0.0, 75.0)}, 6}, 0);
  ASSERT_TRUE(reach.any);
  EXPECT_NEAR(reach.least, 9.0, 1e-9);
  EXPECT_NEAR(reach.greatest, 41.0, 1e-6);
}

TEST(ReachOf, OfAMiddleEndsBetweenItsDatums) {
  const Placer placer(test::StraightTube(60.3, 200.0));
  Measure middle = FromSection(Measure::Form::middle, 0.0, 25.0);
  middle.second = middle.origin;
  middle.second.place.u = 125.0;
  const ReadingReach reach =
      placer.ReachOf({{middle, FromLine(Measure::Form::across, 0.0, 1.0)}, -1}, 0);
  ASSERT_TRUE(reach.any);
  EXPECT_EQ(reach.least, 0.0);
  EXPECT_LT(reach.greatest, 100.0);  // no reading at the other datum nor beyond it
  EXPECT_GT(reach.greatest, 90.0);   // and the nodes are 200 / 24 apart
}

TEST(ReachOf, CountsOnlyWhatLiesOnTheFlat) {
  // A tape of 28 round a place in the middle of a flat that is 42 wide: its sides run off the flat,
  // where the circle leaves it it is 18.5 mm along.
  const auto skin = test::StraightBox(60, 50, 9, 200);
  const Placer placer(skin);
  const SkinPlace centre = skin->Project(Vec3(0, 100, 25), {100.0, 4.5})->place;
  const Rule rule{{FromSection(Measure::Form::square, 500.0, 100.0),
                   FromPlace(Measure::Form::tape, 28.0, centre)},
                  4};
  const ReadingReach reach = placer.ReachOf(rule, 0);
  ASSERT_TRUE(reach.any);
  EXPECT_GE(reach.least, std::sqrt(28.0 * 28.0 - 21.0 * 21.0) - 1e-5);
  EXPECT_LE(reach.greatest, 28.0 + 1e-6);
  EXPECT_GT(reach.greatest, 27.0);
}

TEST(ReachOf, WhereTheOtherReadingOnlyTouchesThePartIsAlongItsTouch) {
  // Square off the bottom line reads the radius at the sides alone, with no slope there.
  const Placer placer(test::StraightTube(60.3, 200.0));
  const Rule rule{
      {FromSection(Measure::Form::tape, 300.0), FromLine(Measure::Form::square, 30.15, 0.0)}, -1};
  const ReadingReach reach = placer.ReachOf(rule, 0);
  ASSERT_TRUE(reach.any);
  EXPECT_EQ(reach.least, 0.0);
  EXPECT_NEAR(reach.greatest, 200.0, 1e-6);
}

TEST(ReachOf, IsTheWholeLengthBesideACornerTooNarrowForADirection) {
  const Placer placer(test::StraightBox(60, 50, 1e-8, 200));
  Measure up = FromLine(Measure::Form::square, 49.0, 7.0);
  up.origin.flat = 6;
  const Rule rule{{FromSection(Measure::Form::tape, 300.0), up}, -1};
  const ReadingReach reach = placer.ReachOf(rule, 0);
  ASSERT_TRUE(reach.any);
  EXPECT_EQ(reach.least, 0.0);
  EXPECT_NEAR(reach.greatest, 200.0, 1e-6);
}

}  // namespace
}  // namespace holeward
