#include "geometry/measure.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>
#include <vector>

#include <gtest/gtest.h>

#include "tests/geometry/skins.h"

namespace holeward {
namespace {

Measure Basic(Measure::Form form, Origin::Kind kind) {
  Measure m;
  m.form = form;
  m.origin.kind = kind;
  return m;
}

// ---------------------------------------------------------------- lines and walks

TEST(SkinLine, MiddleOfATaperedFlatIsHalfWayBetweenItsSharpCorners) {
  const auto skin = test::Made(test::ArmLaw());
  const SkinLine middle{6.5, 6, 0.5, 0.0};
  for (const double u : {10.0, 120.0, 240.0}) {
    const double v = VOfLine(*skin, middle, u);
    EXPECT_NEAR(FractionAcross(*skin, u, v, 6), 0.5, 1e-12);
    const FlatCorners ends = CornersOf(*skin, 6);
    const Vec3 half =
        0.5 * (skin->SharpCornerAt(u, ends.lower) + skin->SharpCornerAt(u, ends.upper));
    EXPECT_LT((skin->At(u, v).position - half).norm(), 1e-9);
  }
}

TEST(SkinLine, WalksRoundTheOutlineByItsLengthAcrossTheSeam) {
  const auto skin = test::StraightTube(60.3, 100.0);
  const double v = WalkAround(*skin, 50.0, 0.1, -10.0);
  EXPECT_NEAR(v, 0.1 - 10.0 / (30.15 * kPi / 2.0), 1e-12);
  EXPECT_LT(v, 0.0);  // not wrapped: it stays beside the line it came from
}

TEST(SkinLine, WalksAlongATaperByItsSlant) {
  // Slant of a taper 25 to 40 over 60: axial 30 = slant 30.923292 (right triangle, 30 sqrt(1 +
  // 1/16)).
  const auto skin = test::Taper(25.0, 40.0, 60.0);
  EXPECT_NEAR(WalkAlong(*skin, {10.0, 0.3}, 30.923292), 40.0, 1e-6);
}

// ---------------------------------------------------------------- readings round a tube

TEST(Measure, RoundATubeTapeRuleAndSquareReadArcChordAndProjection) {
  // D 60.3: arc s, chord 2 R sin(s / 2R), sideways R sin(s / R).
  const auto skin = test::StraightTube(60.3, 200.0);
  const MeasureReader reader(skin);
  struct Case {
    double girth, chord, sideways;
  };
  for (const Case& c : {Case{20, 19.635317, 18.565158}, Case{40, 37.130317, 29.256236},
                        Case{60, 50.577982, 27.538802}}) {
    const SkinPlace place{80.0, c.girth / (30.15 * kPi / 2.0)};
    for (const Origin::Kind kind : {Origin::Kind::line, Origin::Kind::place}) {
      Measure m = Basic(Measure::Form::tape, kind);
      m.origin.place = {80.0, 0.0};
      m.origin.line.v = 0.0;
      EXPECT_NEAR(reader.Read(m, place)->value, c.girth, 1e-6);
      m.form = Measure::Form::rule;
      EXPECT_NEAR(reader.Read(m, place)->value, c.chord, 1e-6);
    }
    const Measure square = Basic(Measure::Form::square, Origin::Kind::line);
    EXPECT_NEAR(reader.Read(square, place)->value, c.sideways, 1e-6);
  }
}

TEST(Measure, ProtractorCountsFromItsLineTheWayItTurns) {
  const auto skin = test::StraightTube(60.3, 200.0);
  const MeasureReader reader(skin);
  Measure m = Basic(Measure::Form::angle, Origin::Kind::line);
  m.angle_from = RoundDirection(0.0);
  m.value = 38.00715 * kDegree;
  const SkinPlace place{50.0, 20.0 / (30.15 * kPi / 2.0)};  // girth 20 is 38.00715 degrees
  EXPECT_NEAR(reader.Read(m, place)->residual, 0.0, 1e-7);
  m.sense = -1.0;
  EXPECT_NEAR(reader.Read(m, place)->residual, -2.0 * 38.00715 * kDegree, 1e-6);
}

// ---------------------------------------------------------------- along

TEST(Measure, AlongATaperTapeReadsTheSlantAndSquareTheAxis) {
  const auto skin = test::Taper(25.0, 40.0, 60.0);
  const MeasureReader reader(skin);
  Measure m = Basic(Measure::Form::tape, Origin::Kind::section);
  const SkinPlace place{30.0, 0.7};
  EXPECT_NEAR(reader.Read(m, place)->value, 30.923292, 1e-6);
  m.form = Measure::Form::rule;
  EXPECT_NEAR(reader.Read(m, place)->value, 30.923292, 1e-6);
  m.form = Measure::Form::square;
  EXPECT_NEAR(reader.Read(m, place)->value, 30.0, 1e-9);
}

TEST(Measure, TapeOnATopThatFallsReadsItsSlope) {
  // A top falling 20 in 300: tape 150 is axial 149.667774 (cosine of atan(20 / 300)).
  auto law = test::BoxLaw({{{0, 0, 0}, 60, 80, 8}, {{0, 300, 0}, 60, 80, 8}});
  law.vertices[1][1].y() -= 20.0;
  law.vertices[1][2].y() -= 20.0;
  const auto skin = test::Made(law);
  const MeasureReader reader(skin);
  const Measure m = Basic(Measure::Form::tape, Origin::Kind::section);
  const double fraction_u = 149.667774;
  const SkinLine middle{4.5, 4, 0.5, 0.0};
  const auto sample = reader.Read(m, {fraction_u, VOfLine(*skin, middle, fraction_u)});
  ASSERT_TRUE(sample);
  EXPECT_NEAR(sample->value, 150.0, 1e-5);
}

TEST(Measure, FromASharpCornerTapeAddsTheSetBackRuleAndSquareReachTheCorner) {
  const auto skin = test::StraightBox(60, 50, 9, 200);
  const MeasureReader reader(skin);
  // The -a flat (6) runs down: its lower corner (first v) is the top one, its upper the bottom one.
  const FlatCorners ends = CornersOf(*skin, 6);
  const SkinLine line{6.5, 6, 1.0 - 20.0 / 50.0, 0.0};  // 20 up from the bottom corner
  const SkinPlace place{70.0, VOfLine(*skin, line, 70.0)};
  for (const auto form : {Measure::Form::tape, Measure::Form::rule, Measure::Form::square}) {
    Measure m = Basic(form, Origin::Kind::corner);
    m.origin.corner = ends.upper;
    m.origin.flat = 6;
    m.origin.line.v = 7.0;
    const auto sharp = reader.Read(m, place);
    ASSERT_TRUE(sharp);
    EXPECT_NEAR(sharp->value, 20.0, 1e-7);
    m.origin.kind = Origin::Kind::line;
    const auto tangent = reader.Read(m, place);
    ASSERT_TRUE(tangent);
    EXPECT_NEAR(tangent->value, 11.0, 1e-7);
  }
}

TEST(Measure, MiddleIsZeroHalfWayAndReadsTheFirstTape) {
  const auto skin = test::StraightBox(60, 50, 9, 200);
  const MeasureReader reader(skin);
  Measure m = Basic(Measure::Form::middle, Origin::Kind::section);
  m.origin.place.u = 20.0;
  m.second = m.origin;
  m.second.place.u = 120.0;
  auto sample = reader.Read(m, {70.0, 2.4});
  ASSERT_TRUE(sample);
  EXPECT_NEAR(sample->residual, 0.0, 1e-7);
  EXPECT_NEAR(sample->value, 50.0, 1e-7);
  m.fraction = 0.25;
  EXPECT_NEAR(reader.Read(m, {45.0, 2.4})->residual, 0.0, 1e-7);
}

// The edges of a mitred part have a kink; beside the inner one the kink is nearest to many places.
TEST(Measure, RuleFromAnEdgeOfAMitredPartIsTheShortestDistanceToIt) {
  constexpr double kTurn = 0.6;
  SkinLaw law;
  law.smooth = false;
  law.centres = {{0, 0, 0}, {0, 150, 0}, {150 * std::sin(kTurn), 150 + 150 * std::cos(kTurn), 0}};
  for (int k = 0; k < 3; ++k) {
    law.vertices.push_back(test::BoxVertices(60, 50));
    law.corner_radii.push_back({9, 9, 9, 9});
  }
  const auto skin = test::Made(law);
  const MeasureReader reader(skin);
  std::mt19937 random(20261129);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  int at_the_kink = 0;
  for (int i = 0; i < 1000; ++i) {
    Measure m = Basic(Measure::Form::rule, Origin::Kind::corner);
    m.origin.corner = i % 4;
    const SkinPlace place{150.0 + 40.0 * (unit(random) - 0.5), 8.0 * unit(random)};
    const Vec3 x = skin->At(place).position;
    double shortest = 1e9;
    for (int span = 0; span < 2; ++span) {
      const Vec3 from = skin->SharpCornerAt(skin->span_start(span), i % 4);
      const Vec3 way = skin->SharpCornerAt(skin->span_start(span + 1), i % 4) - from;
      const double t = std::clamp(way.dot(x - from) / way.squaredNorm(), 0.0, 1.0);
      shortest = std::min(shortest, (from + t * way - x).norm());
    }
    const auto sample = reader.Read(m, place);
    ASSERT_TRUE(sample);
    EXPECT_NEAR(sample->value, shortest, 1e-5) << place.u << " " << place.v << " " << i % 4;
    at_the_kink += std::abs(sample->start_u - 150.0) < 1e-9;
  }
  EXPECT_GT(at_the_kink, 20);
}

// ---------------------------------------------------------------- where there is no reading

// Inside the bend there are places that lie all but on the axis of the tube's end: they are nearly
// as far from every place of its outline, and the nearest is hard to find.
TEST(Measure, RuleFromTheEndOfABentTubeIsTheShortestDistanceToItsOutline) {
  const auto skin = test::Made(test::BentTubeLaw());
  const MeasureReader reader(skin);
  const Measure m = Basic(Measure::Form::rule, Origin::Kind::section);
  constexpr int kFine = 4000;
  std::vector<Vec3> outline;
  for (int k = 0; k < kFine; ++k) outline.push_back(skin->At(0.0, 4.0 * k / kFine).position);
  const SectionFrame end = skin->FrameAt(0.0);
  int near_axis = 0;
  for (double u = 20.0; u < skin->u_end(); u += 3.0) {
    for (double v = 0.0; v < 4.0; v += 0.1) {
      const Vec3 place = skin->At(u, v).position;
      const Vec3 off = place - end.centre;
      near_axis += (off - off.dot(end.tangent) * end.tangent).norm() < 3.0;
      double least = 1e9;
      for (const Vec3& p : outline) least = std::min(least, (p - place).norm());
      const auto sample = reader.Read(m, {u, v});
      ASSERT_TRUE(sample);
      // Between two places of the fine outline, 0.05 mm apart, it is nearer by less than 1e-4.
      EXPECT_LE(sample->value, least + 1e-9) << u << ", " << v;
      EXPECT_GE(sample->value, least - 1e-4) << u << ", " << v;
    }
  }
  EXPECT_GT(near_axis, 5);
}

TEST(Measure, HasNoReadingWhereNumbersEnd) {
  const auto skin = test::Taper(25.0, 40.0, 60.0);
  const MeasureReader reader(skin);
  const double nan = std::nan("");
  Measure m = Basic(Measure::Form::station, Origin::Kind::section);
  EXPECT_TRUE(reader.Read(m, {30.0, 0.5}));
  EXPECT_FALSE(reader.Read(m, {nan, 0.5}));
  EXPECT_FALSE(reader.Read(m, {30.0, nan}));
  m = Basic(Measure::Form::square, Origin::Kind::section);
  EXPECT_TRUE(reader.Read(m, {30.0, 0.5}));
  m.value = std::numeric_limits<double>::infinity();
  EXPECT_FALSE(reader.Read(m, {30.0, 0.5}));
  // So far beyond the part that the taper's radius squared is no number.
  m = Basic(Measure::Form::angle, Origin::Kind::line);
  m.angle_from = RoundDirection(0.0);
  EXPECT_TRUE(reader.Read(m, {1e6, 0.5}));
  EXPECT_FALSE(reader.Read(m, {1e160, 0.5}));
}

TEST(Measure, RuleHasNoReadingFromAPlaceToItself) {
  const MeasureReader reader(test::StraightTube(60.3, 200.0));
  Measure m = Basic(Measure::Form::rule, Origin::Kind::place);
  m.origin.place = {80.0, 0.5};
  EXPECT_FALSE(reader.Read(m, {80.0, 0.5}));
  EXPECT_NEAR(reader.Read(m, {81.0, 0.5})->value, 1.0, 1e-9);
}

TEST(Measure, MiddleHasNoReadingOnItsDatumsNorWhereBothTapesGrowAlike) {
  const MeasureReader reader(test::StraightBox(60, 50, 9, 200));
  Measure m = Basic(Measure::Form::middle, Origin::Kind::section);
  m.origin.place.u = 20.0;
  m.second = m.origin;
  m.second.place.u = 120.0;
  for (const double u : {20.0, 120.0, 150.0}) EXPECT_FALSE(reader.Read(m, {u, 2.4})) << u;
  EXPECT_TRUE(reader.Read(m, {110.0, 2.4}));
}

TEST(Measure, ASampleThatHoldsNoTapeDoesNotLeadTheTape) {
  const MeasureReader reader(test::StraightTube(60.3, 200.0));
  Measure m = Basic(Measure::Form::tape, Origin::Kind::line);
  m.second = m.origin;
  m.second.line.v = 1.6;
  for (const auto form : {Measure::Form::tape, Measure::Form::middle}) {
    m.form = form;
    const Sample bare;
    const auto warm = reader.Read(m, {80.0, 0.9}, &bare);
    ASSERT_TRUE(warm);
    EXPECT_DOUBLE_EQ(warm->residual, reader.Read(m, {80.0, 0.9})->residual);
    EXPECT_NEAR(warm->value, 0.9 * 30.15 * kPi / 2.0, 1e-6);
  }
}

// ---------------------------------------------------------------- corners and lips

// Across a flat nothing changes on its neighbour: there is no reading of it.
TEST(Measure, APlaceOnASharpCornerIsReadOnTheFlatItIsNearer) {
  struct Case {
    std::shared_ptr<const Skin> skin;
    int flat;
    double half;
  };
  for (const Case& c : {Case{test::StraightBox(60, 50, 0, 200), 4, 30.0},
                        Case{test::StraightChannel(0.0, 200.0), 0, 20.0}}) {
    const MeasureReader reader(c.skin);
    Measure m = Basic(Measure::Form::across, Origin::Kind::line);
    m.origin.line = SkinLine{c.flat + 0.5, c.flat, 0.5, 0.0};
    const auto nearer = reader.Read(m, {70.0, c.flat + 1.2});
    ASSERT_TRUE(nearer);
    EXPECT_NEAR(nearer->value, c.half, 1e-6);
    EXPECT_FALSE(reader.Read(m, {70.0, c.flat + 1.8}));
  }
}

TEST(Measure, ACornerTooNarrowForADirectionHasNoReading) {
  const MeasureReader reader(test::StraightBox(60, 50, 1e-8, 200));
  const Measure m = Basic(Measure::Form::station, Origin::Kind::section);
  EXPECT_TRUE(reader.Read(m, {70.0, 4.5}));
  EXPECT_FALSE(reader.Read(m, {70.0, 5.5}));
}

TEST(Measure, FromTheLowerOfAFlatsSharpCornersTapeStartsThere) {
  const auto skin = test::StraightBox(60, 50, 0, 200);
  const MeasureReader reader(skin);
  const SkinLine line{6.5, 6, 20.0 / 50.0, 0.0};
  Measure m = Basic(Measure::Form::tape, Origin::Kind::corner);
  m.origin.corner = CornersOf(*skin, 6).lower;
  m.origin.flat = 6;
  m.origin.line.v = 6.0;
  for (const auto kind : {Origin::Kind::corner, Origin::Kind::line}) {
    m.origin.kind = kind;
    const auto sample = reader.Read(m, {70.0, VOfLine(*skin, line, 70.0)});
    ASSERT_TRUE(sample);
    EXPECT_NEAR(sample->value, 20.0, 1e-6);
    EXPECT_NEAR(sample->start.z(), 25.0, 1e-6);
  }
}

TEST(Measure, FromALipSquareReadsAcrossItsFlangeAndLessThanNothingBeyondIt) {
  const auto skin = test::StraightChannel(6.0, 200.0, 60.0);
  const MeasureReader reader(skin);
  Measure m = Basic(Measure::Form::square, Origin::Kind::corner);
  m.origin.flat = 0;
  m.origin.corner = 0;
  const auto at = [&](int flat, double a) {
    const double b = flat == 0 ? -25.0 : 25.0;
    return skin->Project(Vec3(a, 70.0, b), {70.0, flat + 0.5})->place;
  };
  EXPECT_NEAR(reader.Read(m, at(0, -8.0))->value, 12.0, 1e-9);
  EXPECT_NEAR(reader.Read(m, at(4, -30.0))->value, -10.0, 1e-9);  // the upper flange goes on
  m.origin.flat = 4;
  m.origin.corner = 3;
  EXPECT_NEAR(reader.Read(m, at(4, -28.0))->value, 12.0, 1e-9);
}

TEST(Measure, InLineOnAChannelsCornerIsReadByItsArc) {
  const MeasureReader reader(test::StraightChannel(8.0, 200.0));
  Measure m = Basic(Measure::Form::across, Origin::Kind::line);
  m.origin.line.v = 1.5;
  EXPECT_NEAR(reader.Read(m, {70.0, 1.25})->residual, -0.25 * 8.0 * kPi / 2.0, 1e-6);
}

// ---------------------------------------------------------------- between two datums

TEST(Measure, MiddleLiesBeforeTheSecondEndItRunsTo) {
  const MeasureReader reader(test::StraightBox(60, 50, 9, 200));
  Measure m = Basic(Measure::Form::middle, Origin::Kind::section);
  m.fraction = 0.25;  // so that both sides of either datum have a reading
  m.origin.place.u = 20.0;
  m.second = m.origin;
  m.second.place.u = 120.0;
  m.toward = Toward{"the way to it", Vec3::Zero(), 1};
  for (const auto& [u, right] : {std::pair{70.0, true}, {150.0, false}, {10.0, false}}) {
    const SkinPlace place{u, 2.4};
    EXPECT_EQ(reader.OnRightSide(m, *reader.Read(m, place), place), right) << u;
  }
}

TEST(Measure, MiddleRoundAChannelLiesBetweenItsLines) {
  const MeasureReader reader(test::StraightChannel(6.0, 200.0));
  Measure m = Basic(Measure::Form::middle, Origin::Kind::line);
  m.fraction = 0.25;
  m.origin.line.v = 2.2;
  m.second = m.origin;
  m.second.line.v = 2.8;
  m.toward = Toward{"up", Vec3::UnitZ(), 0};
  for (const auto& [v, right] : {std::pair{2.4, true}, {0.5, false}, {4.5, false}}) {
    const SkinPlace place{70.0, v};
    EXPECT_EQ(reader.OnRightSide(m, *reader.Read(m, place), place), right) << v;
  }
}

// ---------------------------------------------------------------- law: gradients

// Central difference of the residual along a tangent of the skin.
double Slope(const MeasureReader& reader, const Measure& m, const SkinPlace& p, double du,
             double dv) {
  const auto after = reader.Read(m, {p.u + du, p.v + dv});
  const auto before = reader.Read(m, {p.u - du, p.v - dv});
  return (after->residual - before->residual) / 2.0;
}

TEST(Measure, GradientsAgreeWithDifferencesOnABentTaperedArm) {
  const auto skin = test::Made(test::ArmLaw());
  const MeasureReader reader(skin);
  std::vector<Measure> measures;
  for (const auto form : {Measure::Form::tape, Measure::Form::rule, Measure::Form::square}) {
    for (const auto kind :
         {Origin::Kind::place, Origin::Kind::section, Origin::Kind::line, Origin::Kind::corner}) {
      if (form == Measure::Form::square && kind == Origin::Kind::place) continue;
      Measure m = Basic(form, kind);
      m.origin.place = {40.0, 6.4};
      m.origin.corner = CornersOf(*skin, 6).upper;
      m.origin.flat = 6;
      m.origin.line.v = 7.0;
      measures.push_back(m);
    }
  }
  Measure across = Basic(Measure::Form::across, Origin::Kind::line);
  across.origin.line = SkinLine{6.5, 6, 0.5, 0.0};
  measures.push_back(across);
  measures.push_back(Basic(Measure::Form::station, Origin::Kind::section));
  Measure middle = Basic(Measure::Form::middle, Origin::Kind::section);
  middle.second.kind = Origin::Kind::section;
  middle.second.place.u = skin->u_end();
  measures.push_back(middle);
  int tried = 0;
  for (const Measure& m : measures) {
    for (const SkinPlace& p : {SkinPlace{150.0, 6.3}, SkinPlace{210.0, 6.7}}) {
      const auto sample = reader.Read(m, p);
      ASSERT_TRUE(sample);
      const SkinPoint at = skin->At(p);
      constexpr double kStep = 1e-3;
      // Normalised residuals change their unit along the skin where they are not zero: skip those.
      const bool normalised = m.form == Measure::Form::across || m.form == Measure::Form::station ||
                              m.form == Measure::Form::middle;
      const double tolerance = normalised ? 0.2 : 2e-4;
      EXPECT_NEAR(Slope(reader, m, p, kStep, 0.0) / kStep, sample->gradient.dot(at.du), tolerance);
      EXPECT_NEAR(Slope(reader, m, p, 0.0, 1e-5) / 1e-5 / at.dv.norm(),
                  sample->gradient.dot(at.dv.normalized()), tolerance);
      EXPECT_LT(std::abs(sample->gradient.dot(at.normal)), 1e-6);
      ++tried;
    }
  }
  EXPECT_EQ(tried, 28);
}

// ---------------------------------------------------------------- along or around

TEST(RunOf, FollowsTheDirectionMoreAndRefusesTheDiagonal) {
  const auto skin = test::StraightTube(60.3, 200.0);
  Datum d;
  d.kind = Datum::Kind::point;
  d.name = "K";
  d.place = {100.0, 0.0};
  EXPECT_EQ(*RunOf(*skin, d, {"outboard", Vec3::UnitY(), 0}), Run::along);
  EXPECT_EQ(*RunOf(*skin, d, {"front", Vec3::UnitX(), 0}), Run::around);
  EXPECT_EQ(*RunOf(*skin, d, {"left end", Vec3::Zero(), 1}), Run::along);
  EXPECT_FALSE(RunOf(*skin, d, {"aslant", Vec3(1, 1, 0).normalized(), 0}));
  EXPECT_FALSE(RunOf(*skin, d, {"aslant", Vec3(1, 0.76, 0).normalized(), 0}));
  EXPECT_TRUE(RunOf(*skin, d, {"aslant", Vec3(1, 0.74, 0).normalized(), 0}));
}

TEST(RunOf, RefusesToReadAnEndAroundOrALineAlong) {
  const auto skin = test::StraightTube(60.3, 200.0);
  Datum d;
  d.kind = Datum::Kind::end;
  EXPECT_FALSE(RunOf(*skin, d, {"front", Vec3::UnitX(), 0}));
  d.kind = Datum::Kind::line;
  EXPECT_FALSE(RunOf(*skin, d, {"outboard", Vec3::UnitY(), 0}));
  EXPECT_FALSE(RunOf(*skin, d, {"left end", Vec3::Zero(), 1}));
}

TEST(OriginOf, AnOutlineStartsOnTheSideTheDirectionAsksFor) {
  const auto skin = test::StraightTube(60.3, 200.0);
  Datum d;
  d.kind = Datum::Kind::outline;
  d.place = {100.0, 2.0};  // on top
  d.line.v = 2.0;
  d.u_from = 80.0;
  d.u_to = 130.0;
  d.around_half = 15.0;
  EXPECT_EQ(OriginOf(*skin, d, {Run::along, Vec3::UnitY(), 0, true})->place.u, 130.0);
  EXPECT_EQ(OriginOf(*skin, d, {Run::along, -Vec3::UnitY(), 0, true})->place.u, 80.0);
  EXPECT_EQ(OriginOf(*skin, d, {Run::along, Vec3::Zero(), -1, true})->place.u, 80.0);
  // Over the top v runs toward the rear: the front side lies against it.
  EXPECT_EQ(OriginOf(*skin, d, {Run::around, Vec3::UnitX(), 0, true})->line.offset, -15.0);
  EXPECT_FALSE(OriginOf(*skin, d, {Run::around, Vec3::UnitZ(), 0, true}));
}

}  // namespace
}  // namespace holeward
