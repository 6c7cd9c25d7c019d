#include "geometry/skin.h"

#include <cmath>
#include <random>

#include <gtest/gtest.h>

namespace holeward {
namespace {

std::vector<Vec2> Box(double width, double height) {
  const double a = width / 2;
  const double b = height / 2;
  return {{a, -b}, {a, b}, {-a, b}, {-a, -b}};
}

Skin Made(SkinLaw law) {
  auto skin = Skin::Make(std::move(law));
  EXPECT_TRUE(skin.has_value()) << (skin ? "" : skin.error().message);
  return *skin;
}

SkinLaw StraightBox(double width, double height, double corner, double length) {
  SkinLaw law;
  law.centres = {{0, 0, 0}, {0, length, 0}};
  law.vertices = {Box(width, height), Box(width, height)};
  law.corner_radii = {{corner, corner, corner, corner}, {corner, corner, corner, corner}};
  return law;
}

SkinLaw CrankedArm() {
  SkinLaw law;
  law.centres = {{-100, 230, 300}, {-95, 330, 296}, {-104, 430, 284}, {-118, 540, 270}};
  const double w[] = {56, 63, 60, 48};
  const double h[] = {44, 54, 50, 42};
  for (int i = 0; i < 4; ++i) {
    law.vertices.push_back(Box(w[i], h[i]));
    law.corner_radii.push_back({8, 8, 8, 8});
  }
  return law;
}

SkinLaw Tube(double radius, double length) {
  SkinLaw law;
  law.centres = {{0, 0, 0}, {0, length, 0}};
  law.round = true;
  law.radii = {radius, radius};
  law.girth_origin_v = 0.0;
  return law;
}

TEST(Skin, RefusesFewerThanTwoStations) {
  SkinLaw law = StraightBox(60, 40, 8, 100);
  law.centres.resize(1);
  EXPECT_FALSE(Skin::Make(law).has_value());
}

TEST(Skin, RefusesCoincidentStationsUpAlongThePartAndCornersTooLarge) {
  SkinLaw same = StraightBox(60, 40, 8, 0.0);
  EXPECT_FALSE(Skin::Make(same).has_value());
  SkinLaw upright = StraightBox(60, 40, 8, 100);
  upright.up = Vec3::UnitY();
  EXPECT_FALSE(Skin::Make(upright).has_value());
  EXPECT_FALSE(Skin::Make(StraightBox(60, 40, 20.1, 100)).has_value());
  EXPECT_TRUE(Skin::Make(StraightBox(60, 40, 20.0, 100)).has_value());
}

TEST(Skin, RefusesSectionsThatCrossInsideTheSkin) {
  SkinLaw law = Tube(30, 100);
  law.centres = {{0, 0, 0}, {0, 30, 0}, {-30, 30, 0}};
  law.radii = {30, 30, 30};
  law.a_toward = Vec3::UnitX();
  EXPECT_FALSE(Skin::Make(law).has_value());
}

// Girth of a square tube 60 x 60 with corners of 8: 4 (60 - 16) + 2 pi 8 = 226.265482 (closed
// form).
TEST(Skin, GirthOfARoundedSquareIsItsClosedForm) {
  const Skin skin = Made(StraightBox(60, 60, 8, 100));
  EXPECT_NEAR(skin.Perimeter(50), 226.265482, 1e-6);
  EXPECT_NEAR(skin.GirthOf(50, 0.5), 0.0, 1e-12);
  EXPECT_NEAR(skin.GirthOf(50, 1.5), 22 + 8 * kPi / 4, 1e-9);
  EXPECT_NEAR(skin.GirthOf(50, 7.5), -(22 + 8 * kPi / 4), 1e-9);
}

TEST(Skin, AxisAIsFrontAndNormalsFaceOutward) {
  const Skin skin = Made(StraightBox(60, 40, 8, 100));
  EXPECT_TRUE(skin.At(50, 0.5).normal.isApprox(Vec3(0, 0, -1), 1e-12));
  EXPECT_TRUE(skin.At(50, 2.5).normal.isApprox(Vec3(1, 0, 0), 1e-12));
  EXPECT_TRUE(skin.At(50, 4.5).normal.isApprox(Vec3(0, 0, 1), 1e-12));
  EXPECT_TRUE(skin.At(50, 6.5).normal.isApprox(Vec3(-1, 0, 0), 1e-12));
  EXPECT_TRUE(skin.At(50, 2.5).position.isApprox(Vec3(30, 50, 0), 1e-12));
}

TEST(Skin, TheReversedPartKeepsFrontAsAxisA) {
  SkinLaw law = StraightBox(60, 40, 8, 100);
  std::swap(law.centres[0], law.centres[1]);
  const Skin skin = Made(law);
  EXPECT_TRUE(skin.At(50, 2.5).normal.isApprox(Vec3(1, 0, 0), 1e-12));
  EXPECT_TRUE(skin.At(50, 0.5).normal.isApprox(Vec3(0, 0, -1), 1e-12));
}

SkinLaw BentTaperedTube() {
  SkinLaw law;
  law.centres = {{0, -200, 240}, {-30, -60, 250}, {20, 90, 235}, {0, 210, 240}};
  law.round = true;
  law.radii = {30, 34, 33, 28};
  law.girth_origin_v = 0.0;
  return law;
}

// A pressed outline whose turns are not right angles.
SkinLaw PressedOutline() {
  SkinLaw law;
  law.centres = {{0, 0, 0}, {6, 110, 4}, {0, 230, -9}};
  law.vertices.assign(3, {{26, -20}, {34, 8}, {5, 30}, {-28, 14}, {-22, -22}});
  law.vertices[1][2] = {7, 34};
  law.corner_radii.assign(3, {6, 5, 8, 6, 5});
  return law;
}

SkinLaw MitredBox() {
  SkinLaw law = CrankedArm();
  law.smooth = false;
  return law;
}

void ExpectDerivativesAgree(const Skin& skin) {
  std::mt19937 random(7);
  std::uniform_real_distribution<double> along(1, skin.u_end() - 1);
  std::uniform_real_distribution<double> within(0.02, 0.98);
  const double h = 1e-5;
  for (int i = 0; i < 200; ++i) {
    const double u = along(random);
    const int piece = i % skin.piece_count();
    const double v = piece + within(random);
    const int span = skin.SpanOf(u);
    const SkinJet s = skin.JetAt(u, v, span, piece);
    const SkinJet pu = skin.JetAt(u + h, v, span, piece);
    const SkinJet mu = skin.JetAt(u - h, v, span, piece);
    const SkinJet pv = skin.JetAt(u, v + h, span, piece);
    const SkinJet mv = skin.JetAt(u, v - h, span, piece);
    EXPECT_LT(((pu.position - mu.position) / (2 * h) - s.du).norm(), 1e-6);
    EXPECT_LT(((pv.position - mv.position) / (2 * h) - s.dv).norm(), 1e-5);
    EXPECT_LT(((pu.du - mu.du) / (2 * h) - s.duu).norm(), 1e-6);
    EXPECT_LT(((pu.dv - mu.dv) / (2 * h) - s.duv).norm(), 1e-5);
    EXPECT_LT(((pv.dv - mv.dv) / (2 * h) - s.dvv).norm(), 1e-4);
    if (skin.law().smooth) {
      EXPECT_LT((s.position - skin.ToWorld(u, skin.OutlineAt(u, v))).norm(), 1e-9);
    }
  }
}

TEST(Skin, TheSharpCornerLiesOnTheFlatsItEnds) {
  for (const SkinLaw& law : {CrankedArm(), PressedOutline(), MitredBox()}) {
    const Skin skin = Made(law);
    for (double u : {20.0, 130.0, 215.0}) {
      for (int k = 0; k < skin.vertex_count(); ++k) {
        const SkinPoint end = skin.At(u, 2 * k + 1, skin.SpanOf(u), 2 * k);
        const Vec3 beyond = skin.SharpCornerAt(u, k) - end.position;
        // Mitred and tapered, the flats are ruled and a little twisted: near them then, not on
        // them.
        EXPECT_LT(beyond.cross(end.dv.normalized()).norm(), skin.law().smooth ? 1e-9 : 0.05);
        EXPECT_NEAR(beyond.dot(end.dv.normalized()), skin.SetBackAt(u, k),
                    skin.law().smooth ? 1e-9 : 0.5);
      }
    }
  }
}

TEST(Skin, DerivativesAgreeWithDifferences) {
  for (const SkinLaw& law : {CrankedArm(), BentTaperedTube(), PressedOutline(), MitredBox()}) {
    ExpectDerivativesAgree(Made(law));
  }
}

TEST(Skin, IsTangentContinuousAcrossPiecesAndSpans) {
  const Skin skin = Made(CrankedArm());
  for (double u : {40.0, 150.0, 260.0}) {
    for (int piece = 0; piece < 8; ++piece) {
      const int span = skin.SpanOf(u);
      const SkinPoint end = skin.At(u, piece + 1.0, span, piece);
      const SkinPoint start = skin.At(u, piece + 1.0, span, (piece + 1) % 8);
      EXPECT_LT((end.position - start.position).norm(), 1e-10);
      EXPECT_LT((end.normal - start.normal).norm(), 1e-9);
    }
  }
  for (int span = 0; span + 1 < skin.span_count(); ++span) {
    const double u = skin.span_start(span + 1);
    for (double v = 0.3; v < 8; v += 0.7) {
      const int piece = skin.PieceOf(v);
      EXPECT_LT((skin.At(u, v, span, piece).normal - skin.At(u, v, span + 1, piece).normal).norm(),
                1e-9);
    }
  }
}

TEST(Skin, StationIsCentreLineLengthAndInverts) {
  const Skin skin = Made(CrankedArm());
  double sampled = 0.0;
  Vec3 last = skin.FrameAt(0).centre;
  for (int i = 1; i <= 200000; ++i) {
    const Vec3 next = skin.FrameAt(skin.u_end() * i / 200000).centre;
    sampled += (next - last).norm();
    last = next;
  }
  EXPECT_NEAR(skin.length(), sampled, 1e-6);
  for (double u : {0.0, 33.0, 101.0, 222.0, skin.u_end()}) {
    EXPECT_NEAR(skin.UOfStation(skin.StationOf(u)), u, 1e-9);
  }
}

TEST(Skin, GirthInverts) {
  const Skin arm = Made(CrankedArm());
  const Skin tube = Made(Tube(30.15, 400));
  for (const Skin* skin : {&arm, &tube}) {
    for (double v = 0.05; v < skin->piece_count(); v += 0.31) {
      EXPECT_NEAR(skin->VOfGirth(120, skin->GirthOf(120, v)), v, 1e-9);
    }
  }
}

TEST(Skin, ProjectionFindsTheFootOfANormal) {
  const Skin skin = Made(CrankedArm());
  std::mt19937 random(11);
  std::uniform_real_distribution<double> along(5, skin.u_end() - 5);
  std::uniform_real_distribution<double> around(0, 8);
  for (int i = 0; i < 300; ++i) {
    const double u = along(random);
    const double v = around(random);
    const SkinPoint s = skin.At(u, v);
    const auto hit = skin.Project(s.position + 3.0 * s.normal);
    ASSERT_TRUE(hit.has_value());
    EXPECT_LT((hit->position - s.position).norm(), 1e-6) << u << " " << v;
    EXPECT_NEAR(hit->distance, 3.0, 1e-9);
  }
}

// A straight tube: the law is the circle itself.
TEST(Skin, TubeIsRoundAndBottomIsWhereVIsZero) {
  const Skin skin = Made(Tube(30.15, 400));
  EXPECT_TRUE(skin.At(100, 0.0).position.isApprox(Vec3(0, 100, -30.15), 1e-12));
  EXPECT_TRUE(skin.At(100, 1.0).position.isApprox(Vec3(30.15, 100, 0), 1e-12));
  EXPECT_NEAR(skin.Perimeter(100), 2 * kPi * 30.15, 1e-9);
  EXPECT_NEAR(skin.GirthOf(100, 3.0), -kPi / 2 * 30.15, 1e-9);
}

TEST(Skin, AMitredPrismKeepsItsSectionSquareToEachLeg) {
  SkinLaw law = StraightBox(60, 40, 8, 100);
  law.smooth = false;
  law.centres = {{0, 0, 0}, {0, 150, 0}, {-80, 290, 0}};
  law.vertices.push_back(law.vertices[0]);
  law.corner_radii.push_back(law.corner_radii[0]);
  const Skin skin = Made(law);
  const Vec3 second = Vec3(-80, 140, 0).normalized();
  for (double v = 0.1; v < 8; v += 0.37) {
    const Vec3 p = skin.At(200, v).position;
    const Vec3 q = skin.At(40, v).position;
    const Vec3 across = p - Vec3(0, 150, 0) - (p - Vec3(0, 150, 0)).dot(second) * second;
    const Vec2 in_second(across.dot(Vec3(second.y(), -second.x(), 0)), across.z());
    EXPECT_NEAR(in_second.x(), q.x(), 1e-9);
    EXPECT_NEAR(in_second.y(), q.z(), 1e-9);
  }
}

TEST(Skin, AnOpenChainRunsFromLipToLip) {
  SkinLaw law = StraightBox(60, 40, 8, 100);
  law.closed = false;
  for (auto& outline : law.vertices) {
    outline = {{-30, 20}, {-30, -20}, {30, -20}, {30, 20}};
  }
  for (auto& corners : law.corner_radii) {
    corners = {0, 6, 6, 0};
  }
  law.girth_origin_v = 2.5;
  const Skin skin = Made(law);
  EXPECT_EQ(skin.piece_count(), 5);
  EXPECT_TRUE(skin.At(50, 0.0).position.isApprox(Vec3(-30, 50, 20), 1e-12));
  EXPECT_TRUE(skin.At(50, 5.0).position.isApprox(Vec3(30, 50, 20), 1e-12));
  EXPECT_TRUE(skin.At(50, 2.5).normal.isApprox(Vec3(0, 0, -1), 1e-12));
  EXPECT_NEAR(skin.Perimeter(50), 2 * (40 - 6) + 48 + 2 * 6 * kPi / 2, 1e-9);
}

TEST(Skin, ASharpCornerFansItsNormals) {
  const Skin skin = Made(StraightBox(60, 40, 0, 100));
  EXPECT_TRUE(skin.At(50, 1.5).normal.isApprox(Vec3(1, 0, -1).normalized(), 1e-9));
}

TEST(Skin, TheMirroredLawGivesTheMirroredSkin) {
  SkinLaw law = CrankedArm();
  const Skin skin = Made(law);
  for (Vec3& c : law.centres) {
    c = Mirrored(c);
  }
  const Skin other = Made(law);
  for (double v = 0.1; v < 8; v += 0.43) {
    EXPECT_LT((Mirrored(skin.At(123, v).position) - other.At(123, v).position).norm(), 1e-9);
    EXPECT_LT((Mirrored(skin.At(123, v).normal) - other.At(123, v).normal).norm(), 1e-9);
  }
}

}  // namespace
}  // namespace holeward
