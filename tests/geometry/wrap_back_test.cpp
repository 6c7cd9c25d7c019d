#include "geometry/wrap_back.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <memory>
#include <string>
#include <vector>

#include <fmt/format.h>

#include <gtest/gtest.h>

#include "geometry/develop_piece.h"
#include "geometry/wrap_piece.h"
#include "geometry/wrap_surface.h"
#include "tests/geometry/made_parts.h"
#include "tests/geometry/skins.h"

namespace holeward {
namespace {

// ---- Sheets made by hand, without the development

constexpr double kRadius = 40.0;
constexpr double kAround = kRadius * kPi / 2.0;  // mm a unit of v on a tube of kRadius

WrapEdge Straight(const std::string& name, bool along, double at, double from, double to,
                  const Vec2& start, const Vec2& run) {
  return {name, along, at,
          from, to,    [=](double t) {
            return SheetLineJet{Vec2(start + t * run), run}; }};
}

// A sheet for a tube along +y of radius kRadius: x is v (times `around`), y is -u, seen from
// outside (du x dv is inward on a round skin that runs along +y with a to the front).
WrapSheet TubeSheet(const std::shared_ptr<const Skin>& skin, double around = kAround) {
  const SkinPoint s = skin->At(100.0, 1.0);
  const double hand = s.du.cross(s.dv).dot(s.normal) > 0.0 ? 1.0 : -1.0;
  const auto flat = [=](double u, double v) { return Vec2(u, hand * around * v); };
  WrapSheet sheet;
  sheet.skin = skin;
  sheet.edges = {Straight("front line", true, 1.0, 0.0, 200.0, flat(0.0, 1.0), {1.0, 0.0}),
                 Straight("end", false, 0.0, 0.0, 2.0, flat(0.0, 0.0), {0.0, hand * around})};
  sheet.outline = {flat(0, 0), flat(200, 0), flat(200, 2), flat(0, 2)};
  for (const SkinPlace p : {SkinPlace{30, 0.3}, {150, 1.8}, {90, 1.0}}) {
    sheet.marks.push_back({"M" + std::to_string(sheet.marks.size()), flat(p.u, p.v), p});
  }
  return sheet;
}

TEST(WrapBack, LaysAnExactSheetExactly) {
  const auto laid = WrapErrors(TubeSheet(test::StraightTube(2.0 * kRadius, 200.0)));
  ASSERT_TRUE(laid.has_value()) << laid.error().message;
  ASSERT_EQ(laid->size(), 3U);
  for (const WrapError& mark : *laid) EXPECT_LT(mark.error, 1e-9) << mark.mark;
}

TEST(WrapBack, FindsAMarkThatIsShifted) {
  WrapSheet sheet = TubeSheet(test::StraightTube(2.0 * kRadius, 200.0));
  sheet.marks[1].sheet += Vec2(0.3, -0.4);
  const auto laid = WrapErrors(sheet);
  ASSERT_TRUE(laid.has_value()) << laid.error().message;
  EXPECT_LT((*laid)[0].error, 1e-9);
  // 0.4 round the tube is a chord of it.
  EXPECT_NEAR((*laid)[1].error, std::hypot(0.3, 2.0 * kRadius * std::sin(0.2 / kRadius)), 1e-9);
  EXPECT_LT((*laid)[2].error, 1e-9);
}

TEST(WrapBack, FindsAnEdgeThatIsShiftedOrTurned) {
  const auto skin = test::StraightTube(2.0 * kRadius, 200.0);
  WrapSheet moved = TubeSheet(skin);
  const Vec2 start = moved.edges[1].sheet(0.0).at - Vec2(0.7, 0.0);
  moved.edges[1] = Straight("end", false, 0.0, 0.0, 2.0, start, moved.edges[1].sheet(0.0).run);
  auto laid = WrapErrors(moved);
  ASSERT_TRUE(laid.has_value());
  for (const WrapError& mark : *laid) {
    EXPECT_NEAR(mark.error, 0.7, 1e-9);
    EXPECT_EQ(mark.edge, "end");
  }
  // Turned about the crossing with the end by 2 milliradians: a mark d from it moves d times that.
  WrapSheet turned = TubeSheet(skin);
  turned.edges.pop_back();
  turned.edges[0] = Straight("front line", true, 1.0, 0.0, 200.0, turned.edges[0].sheet(0.0).at,
                             {std::cos(0.002), std::sin(0.002)});
  laid = WrapErrors(turned);
  ASSERT_TRUE(laid.has_value());
  const double far = (turned.marks[1].sheet - turned.edges[0].sheet(0.0).at).norm();
  EXPECT_NEAR((*laid)[1].error, 0.002 * far, 1e-4);
}

TEST(WrapBack, OfASheetPrintedTooLargeGrowsWithTheDistanceFromTheCrossing) {
  WrapSheet sheet = TubeSheet(test::StraightTube(2.0 * kRadius, 200.0));
  const double scale = 1.002;
  for (WrapMark& mark : sheet.marks) mark.sheet *= scale;
  for (Vec2& p : sheet.outline) p *= scale;
  for (WrapEdge& edge : sheet.edges) {
    const auto exact = edge.sheet;
    edge.sheet = [=](double t) { return SheetLineJet{scale * exact(t).at, scale * exact(t).run}; };
  }
  const Vec2 crossing = sheet.edges[0].sheet(0.0).at;
  const auto laid = WrapErrors(sheet);
  ASSERT_TRUE(laid.has_value());
  for (std::size_t k = 0; k < 3; ++k) {
    const double expected = 0.002 * (sheet.marks[k].sheet - crossing).norm() / scale;
    EXPECT_NEAR((*laid)[k].error, expected, 1e-4) << k;
  }
}

TEST(WrapBack, FindsThatTheBackingsThicknessWasForgotten) {
  // Printed for the skin itself, but its middle lies 0.1 off it: a quarter turn of s on the sheet
  // lands s R / (R + 0.1) round the skin.
  WrapSheet sheet = TubeSheet(test::StraightTube(2.0 * kRadius, 200.0));
  sheet.edges.pop_back();
  sheet.offset = 0.1;
  sheet.marks = {{"Q", sheet.edges[0].sheet(100.0).at + Vec2(0.0, kAround), {}}};
  const double hand = sheet.outline[2].y() > 0.0 ? 1.0 : -1.0;
  sheet.marks[0].place = {100.0, 1.0 + hand};
  const auto laid = WrapErrors(sheet);
  ASSERT_TRUE(laid.has_value());
  const double short_by = kAround * (1.0 - kRadius / (kRadius + 0.1));
  EXPECT_NEAR((*laid)[0].error, short_by, 1e-5);
  EXPECT_GT(short_by, 0.15);
}

TEST(WrapBack, RefusesASheetWithNothingToLayItBy) {
  WrapSheet sheet = TubeSheet(test::StraightTube(2.0 * kRadius, 200.0));
  sheet.edges.clear();
  ASSERT_FALSE(WrapErrors(sheet).has_value());
  EXPECT_EQ(WrapErrors(sheet).error().kind, ErrorKind::computed);
}

// ---- The surface it lies on

TEST(WrapSurface, HasTheDerivativesOfTheSkinMovedOutward) {
  auto law = test::ArmLaw();
  law.corner_radii[1] = std::vector<double>(4, 9.0);
  const auto skin = test::Made(law);
  for (const double distance : {0.0, 0.1, 0.8}) {
    const WrapSurface surface(skin, distance);
    int tried = 0;
    for (const SkinPlace p : {SkinPlace{40, 0.3}, {120, 1.6}, {200, 5.2}}) {
      const int span = skin->SpanOf(p.u), piece = skin->PieceOf(p.v);
      const SkinJet s = surface.JetAt(p.u, p.v, span, piece);
      const double hu = 1e-3, hv = 1e-4;
      const auto at = [&](double du, double dv) {
        return surface.At(p.u + du, p.v + dv, span, piece);
      };
      EXPECT_LT((s.position - skin->At(p).position - distance * s.normal).norm(), 1e-12);
      EXPECT_LT((s.du - (at(hu, 0).position - at(-hu, 0).position) / (2 * hu)).norm(), 1e-6);
      EXPECT_LT((s.dv - (at(0, hv).position - at(0, -hv).position) / (2 * hv)).norm(), 1e-5);
      EXPECT_LT((s.duu - (at(hu, 0).du - at(-hu, 0).du) / (2 * hu)).norm(), 1e-6);
      EXPECT_LT((s.duv - (at(hu, 0).dv - at(-hu, 0).dv) / (2 * hu)).norm(), 1e-6);
      EXPECT_LT((s.dvv - (at(0, hv).dv - at(0, -hv).dv) / (2 * hv)).norm(), 1e-4);
      ++tried;
    }
    EXPECT_EQ(tried, 3);
  }
}

// ---- Developed pieces

using test::BoxPart;
using test::TubePart;

PieceRequest Request(const Part& part, std::vector<SkinPlace> places,
                     std::vector<std::string> align, double backing) {
  PieceRequest r;
  r.part = &part;
  r.align = std::move(align);
  r.backing = backing;
  for (const SkinPlace& p : places) {
    PieceMark mark;
    mark.name = "M" + std::to_string(r.marks.size());
    mark.place = p;
    r.marks.push_back(mark);
  }
  return r;
}

TEST(WrapBack, HoldsOnDevelopableParts) {
  const Part tube = TubePart(test::StraightTube(76.0, 400.0));
  const Part cone = TubePart(test::Taper(38.0, 30.0, 300.0));
  const Part box = BoxPart(test::StraightBox(60.0, 50.0, 8.0, 300.0));
  const Part sharp = BoxPart(test::StraightBox(60.0, 50.0, 0.0, 300.0));
  struct Case {
    const char* name;
    const Part* part;
    std::vector<SkinPlace> places;
    std::vector<std::string> align;
  };
  const std::vector<Case> cases = {
      {"tube", &tube, {{150, 0.0}, {190, 3.4}, {120, 1.4}}, {"right end", "bottom"}},
      {"cone", &cone, {{90, 0.2}, {160, 1.3}}, {"right end", "bottom"}},
      {"box", &box, {{90, 0.4}, {150, 2.6}, {110, 1.5}}, {"inner end", "bottom edge"}},
      {"sharp box", &sharp, {{90, 0.4}, {150, 2.6}}, {"inner end", "bottom edge"}}};
  for (const Case& c : cases) {
    for (const double backing : {0.0, 0.2}) {
      const auto made = DevelopJoinedPiece(Request(*c.part, c.places, c.align, backing));
      ASSERT_TRUE(made.has_value()) << c.name << ": " << made.error().message;
      ASSERT_EQ(made->layout.align.size(), 2U) << c.name;
      for (const FlatMark& mark : made->piece.marks) {
        EXPECT_LT(mark.wrap_error, 1e-5) << c.name << " " << mark.name << " backing " << backing;
      }
      std::printf("%s, backing %.1f: wrap error %.1e mm\n", c.name, backing,
                  made->piece.worst_wrap_error);
    }
  }
}

// A tapered arm whose section turns by 18 degrees about its centre line on the way.
std::shared_ptr<const Skin> TwistedArm() {
  SkinLaw law;
  law.centres = {{0, 0, 0}, {6, 130, 4}, {4, 260, -3}};
  const double width[3] = {60, 55, 48}, height[3] = {50, 46, 40};
  for (int k = 0; k < 3; ++k) {
    const Eigen::Rotation2Dd turn(9.0 * kDegree * k);
    std::vector<Vec2> corners;
    for (const Vec2& p : test::BoxVertices(width[k], height[k])) corners.push_back(turn * p);
    law.vertices.push_back(corners);
    law.corner_radii.push_back(std::vector<double>(4, 9.0));
  }
  law.girth_origin_v = 0.5;
  return test::Made(law);
}

// ---- The dense computation: a walk in space in small straight steps, each put back on the skin by
// projection; the step taken halves the angle between the directions before and after it. Knows
// nothing of the geodesic equation or of the development.

Vec3 WalkIn(const Skin& skin, SkinPlace place, const Vec3& direction, double length, int steps) {
  const double arc = length / steps;
  Vec3 at = skin.At(place).position, way = direction;
  for (int k = 0; k < steps; ++k) {
    // The chord of an arc is shorter by its bend, found by the projection itself.
    double chord = arc;
    Vec3 next = at;
    for (int pass = 0; pass < 3; ++pass) {
      const auto hit = skin.Project(at + chord * way, place);
      EXPECT_TRUE(hit.has_value());
      if (!hit) return at;
      next = hit->position;
      place = hit->place;
      const Vec3 step = next - at;
      const double half_turn = std::acos(std::min(1.0, step.normalized().dot(way)));
      const double as_arc =
          half_turn > 1e-9 ? step.norm() * half_turn / std::sin(half_turn) : step.norm();
      chord += arc - as_arc;
    }
    const Vec3 step = (next - at).normalized();
    const Vec3 normal = skin.At(place).normal;
    const Vec3 mirrored = 2.0 * step * step.dot(way) - way;
    way = (mirrored - normal * normal.dot(mirrored)).normalized();
    at = next;
  }
  return at;
}

Vec3 Walk(const Skin& skin, const SkinPlace& place, const Vec3& direction, double length) {
  const Vec3 coarse = WalkIn(skin, place, direction, length, 600);
  const Vec3 fine = WalkIn(skin, place, direction, length, 1200);
  return 2.0 * fine - coarse;  // Richardson; the walk is of order 1
}

double PolylineLength(const WrapEdge& edge, const Skin& skin, double from, double to, bool sheet) {
  const int steps = 4000;
  double sum = 0.0;
  for (int k = 0; k < steps; ++k) {
    const double a = from + (to - from) * k / steps, b = from + (to - from) * (k + 1) / steps;
    const auto on_skin = [&](double t) {
      return edge.along ? skin.At(t, edge.at).position : skin.At(edge.at, t).position;
    };
    sum += sheet ? (edge.sheet(b).at - edge.sheet(a).at).norm() : (on_skin(b) - on_skin(a)).norm();
  }
  return from <= to ? sum : -sum;
}

// The worst landing of one mark over all edges and feet, all of which stay on the sheet.
double DenseWorst(const WrapSheet& sheet, const WrapMark& mark) {
  const Skin& skin = *sheet.skin;
  double worst = 0.0;
  for (const WrapEdge& edge : sheet.edges) {
    const WrapEdge& other = sheet.edges[&edge == &sheet.edges[0] ? 1 : 0];
    double nearest = edge.from;
    for (int k = 0; k <= 20000; ++k) {
      const double t = edge.from + (edge.to - edge.from) * k / 20000;
      if ((edge.sheet(t).at - mark.sheet).norm() < (edge.sheet(nearest).at - mark.sheet).norm()) {
        nearest = t;
      }
    }
    // To both sides up to as far as the mark is away, a step of the line at a time.
    const double reach = (edge.sheet(nearest).at - mark.sheet).norm();
    std::vector<double> feet{nearest};
    for (const double share : {-1.0, -0.5, 0.5, 1.0}) {
      const double step = (share > 0.0 ? 1.0 : -1.0) * (edge.to - edge.from) / 20000;
      double t = nearest, gone = 0.0;
      while (gone < std::abs(share) * reach && t + step >= edge.from && t + step <= edge.to) {
        gone += (edge.sheet(t + step).at - edge.sheet(t).at).norm();
        t += step;
      }
      feet.push_back(t);
    }
    for (const double foot : feet) {
      const double gone = PolylineLength(edge, skin, other.at, foot, true);
      double t = foot;
      for (int k = 0; k < 6; ++k) {
        const SkinPoint s = edge.along ? skin.At(t, edge.at) : skin.At(edge.at, t);
        t += (gone - PolylineLength(edge, skin, other.at, t, false)) /
             (edge.along ? s.du : s.dv).norm();
      }
      const SkinPlace start = edge.along ? SkinPlace{t, edge.at} : SkinPlace{edge.at, t};
      const SkinPoint s = skin.At(start);
      const Vec3 run = (edge.along ? s.du : s.dv).normalized();
      // On the printed side of its ends, where a flap may join on.
      const double h = 1e-6 * (edge.to - edge.from);
      const double ahead = std::min(foot + h, edge.to), behind = std::max(foot - h, edge.from);
      const Vec2 line = edge.sheet(ahead).at - edge.sheet(behind).at;
      const Vec2 way = mark.sheet - edge.sheet(foot).at;
      const double angle = std::atan2(way.y(), way.x()) - std::atan2(line.y(), line.x());
      const Vec3 leave = std::cos(angle) * run + std::sin(angle) * s.normal.cross(run);
      const Vec3 lands = Walk(skin, start, leave, way.norm());
      worst = std::max(worst, (lands - skin.At(mark.place).position).norm());
    }
  }
  return worst;
}

TEST(WrapBack, OfATwistedTaperedArmAgreesWithADenseWalk) {
  const Part part = BoxPart(TwistedArm());
  PieceRequest r =
      Request(part, {{70, 2.45}, {150, 2.6}, {205, 2.4}}, {"inner end", "bottom edge"}, 0.0);
  const auto made = DevelopFacePiece(r, part.faces[1]);
  ASSERT_TRUE(made.has_value()) << made.error().message;
  WrapSheet sheet = WrapSheetOf(r, made->layout, made->patch, made->piece.marks);
  ASSERT_EQ(sheet.edges.size(), 2U);
  // Every way counts in both computations, so that they take the same ones.
  sheet.outline = {{-1e4, -1e4}, {1e4, -1e4}, {1e4, 1e4}, {-1e4, 1e4}};
  const auto laid = WrapErrors(sheet);
  ASSERT_TRUE(laid.has_value()) << laid.error().message;
  for (std::size_t k = 0; k < sheet.marks.size(); ++k) {
    const double dense = DenseWorst(sheet, sheet.marks[k]);
    std::printf("twisted arm %s: wrap error %.5f mm, dense walk %.5f mm, on the sheet %.5f mm\n",
                sheet.marks[k].name.c_str(), (*laid)[k].error, dense,
                made->piece.marks[k].wrap_error);
    EXPECT_NEAR((*laid)[k].error, dense, 1e-4) << k;
    EXPECT_GT((*laid)[k].error, 1e-3);
    EXPECT_LE(made->piece.marks[k].wrap_error, (*laid)[k].error + 1e-9);
    EXPECT_LE(made->piece.marks[k].wrap_error, 0.5);
  }
}

TEST(WrapBack, OverItsLimitRefusesThePieceByTheMarksName) {
  const Part part = TubePart(test::Made(test::BentTubeLaw()));
  PieceRequest r = Request(part, {{60, 0.2}, {80, 0.5}}, {"right end", "bottom"}, 0.0);
  const auto held = DevelopJoinedPiece(r);
  ASSERT_TRUE(held.has_value()) << held.error().message;
  const double error = held->piece.worst_wrap_error;
  EXPECT_GT(error, 0.01);
  r.wrap_limit = 0.5 * error;
  const auto refused = DevelopJoinedPiece(r);
  ASSERT_FALSE(refused.has_value());
  EXPECT_EQ(refused.error().kind, ErrorKind::job);
  const std::string limit = fmt::format("the limit wrap_error is {:g} mm", r.wrap_limit);
  EXPECT_NE(refused.error().message.find(limit), std::string::npos) << refused.error().message;
  EXPECT_NE(refused.error().message.find("the mark M"), std::string::npos);
}

}  // namespace
}  // namespace holeward
