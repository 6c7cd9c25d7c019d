#include "geometry/tape.h"

#include <array>
#include <cmath>
#include <random>

#include <gtest/gtest.h>

#include "geometry/tape_facts.h"
#include "geometry/tape_seed.h"
#include "geometry/tape_shoot.h"
#include "tests/geometry/tape_surfaces.h"

namespace holeward {
namespace {

using testing::Cone;
using testing::Cylinder;
using testing::JetSurface;

struct BoxStation {
  Vec3 centre;
  double width, height, corner;
};

std::shared_ptr<const Skin> Box(const std::vector<BoxStation>& stations, bool smooth = true) {
  SkinLaw law;
  law.smooth = smooth;
  for (const BoxStation& s : stations) {
    const double a = s.width / 2, b = s.height / 2;
    law.centres.push_back(s.centre);
    law.vertices.push_back({{a, -b}, {a, b}, {-a, b}, {-a, -b}});
    law.corner_radii.push_back({s.corner, s.corner, s.corner, s.corner});
  }
  auto skin = Skin::Make(law);
  EXPECT_TRUE(skin.has_value()) << (skin ? "" : skin.error().message);
  return std::make_shared<const Skin>(*skin);
}

std::shared_ptr<const Skin> Prism(double w, double h, double r, double length) {
  return Box({{{0, 0, 0}, w, h, r}, {{0, length, 0}, w, h, r}});
}

/// A cranked, tapering arm, smooth between its sections.
std::shared_ptr<const Skin> Arm() {
  return Box({{{-100, 200, 300}, 56, 44, 8},
              {{-90, 320, 288}, 60, 50, 9},
              {{-104, 400, 276}, 54, 48, 9},
              {{-110, 500, 274}, 48, 42, 8}});
}

std::shared_ptr<const Skin> Channel(double length) {
  SkinLaw law;
  law.closed = false;
  for (double y : {0.0, length}) {
    law.centres.push_back({0, y, 0});
    law.vertices.push_back({{30, 20}, {30, -20}, {-30, -20}, {-30, 20}});
    law.corner_radii.push_back({0, 6, 6, 0});
  }
  auto skin = Skin::Make(law);
  EXPECT_TRUE(skin.has_value()) << (skin ? "" : skin.error().message);
  return std::make_shared<const Skin>(*skin);
}

TapeSolver SolverOf(std::shared_ptr<const Skin> skin) {
  return TapeSolver(std::make_shared<SkinSurface>(std::move(skin)));
}

TapePath Must(const Result<TapePath>& path) {
  EXPECT_TRUE(path.has_value()) << (path ? "" : path.error().message);
  return path ? *path : TapePath{};
}

/// Length of the chords between the places of a path: no more than its length.
double DrawnLength(const Surface& surface, const TapePath& path) {
  double sum = 0.0;
  Vec3 before = Vec3::Zero();
  for (std::size_t i = 0; i < path.places.size(); ++i) {
    const SkinPlace& p = path.places[i];
    const Vec3 x = PointIn(surface, p, CellOf(surface, p)).position;
    if (i > 0) sum += (x - before).norm();
    before = x;
  }
  return sum;
}

TEST(Tape, FromAPlaceToItselfIsNothing) {
  const TapeSolver tape = SolverOf(Prism(60, 60, 8, 300));
  const TapePath path = Must(tape.Path({100, 4.5}, {100, 4.5}));
  EXPECT_EQ(path.length, 0.0);
  EXPECT_TRUE(path.leave.allFinite());
}

TEST(Tape, RefusesAPlaceOffTheSkin) {
  const TapeSolver tape = SolverOf(Prism(60, 60, 8, 300));
  EXPECT_FALSE(tape.Path({-5, 4.5}, {100, 4.5}));
  EXPECT_FALSE(tape.Path({5, 4.5}, {1000, 4.5}));
  EXPECT_FALSE(tape.Path({5, 4.5}, {std::nan(""), 4.5}));
  EXPECT_FALSE(tape.FromSection(400, {100, 4.5}));
}

TEST(Tape, TellsThatALengthOfOneMicronIsOne) {
  const TapeSolver tape = SolverOf(Prism(60, 60, 8, 300));
  EXPECT_NEAR(Must(tape.Path({100, 4.5}, {100.001, 4.5})).length, 0.001, 1e-12);
}

TEST(Tape, RunsStraightAlongTheTangentLineOfACorner) {
  const TapeSolver tape = SolverOf(Prism(60, 60, 8, 300));
  const TapePath path = Must(tape.Path({50, 4.0}, {250, 4.0}));
  EXPECT_NEAR(path.length, 200.0, 1e-10);
  EXPECT_TRUE(path.proven_shortest);
}

// Square hollow section 60 x 60, outside corner 8: flats of 44, corners of 8 pi / 2. Girth
// 226.2655.
TEST(Tape, CrossesACornerAtTheShortestPlace) {
  const TapeSolver tape = SolverOf(Prism(60, 60, 8, 300));
  EXPECT_NEAR(Must(tape.Path({100, 4.5}, {100, 3.0})).length, 34.566370614, 1e-8);
  EXPECT_NEAR(Must(tape.Path({100, 4.5}, {100, 3.5})).length, 22 + 2 * kPi, 1e-9);
  const TapePath path = Must(tape.Path({100, 4.5}, {160, 2.5}));
  EXPECT_NEAR(path.length, std::hypot(60.0, 226.2654824574 / 4), 1e-9);
  EXPECT_TRUE(path.proven_shortest);
  EXPECT_NEAR(DrawnLength(tape.surface(), path), path.length, 0.02);
}

/// Girth of a prism from v = 0 to v, unrolled.
double PrismGirth(double w, double h, double r, double v) {
  const double flat[2] = {w - 2 * r, h - 2 * r};
  double sum = 0.0;
  const double period = 2 * (flat[0] + flat[1]) + 2 * kPi * r;
  sum += period * std::floor(v / 8);
  v -= 8 * std::floor(v / 8);
  for (int k = 0; k < 8; ++k) {
    const double part = std::clamp(v - k, 0.0, 1.0);
    sum += part * (k % 2 == 1 ? kPi * r / 2 : flat[(k / 2) % 2]);
  }
  return sum;
}

TEST(Tape, IsThePlaneDistanceOnAnUnrolledPrism) {
  const double w = 70, h = 48, r = 10;
  const TapeSolver tape = SolverOf(Prism(w, h, r, 300));
  const double around = PrismGirth(w, h, r, 8);
  std::mt19937 random(20250101);
  std::uniform_real_distribution<double> u(0, 300), v(0, 8);
  int both_ways = 0;
  double worst = 0.0;
  for (int i = 0; i < 300; ++i) {
    const SkinPlace a{u(random), v(random)}, b{u(random), v(random)};
    const double g = std::abs(PrismGirth(w, h, r, a.v) - PrismGirth(w, h, r, b.v));
    both_ways += g > around - g;
    const TapePath path = Must(tape.Path(a, b));
    worst = std::max(worst, std::abs(path.length - std::hypot(a.u - b.u, std::min(g, around - g))));
    EXPECT_TRUE(path.proven_shortest);
  }
  EXPECT_LT(worst, 1e-9);
  EXPECT_GT(both_ways, 50);
}

TEST(Tape, FromASectionRunsSquareOffIt) {
  const TapeSolver tape = SolverOf(Prism(60, 60, 8, 300));
  const TapePath path = Must(tape.FromSection(0, {120, 3.3}));
  EXPECT_NEAR(path.length, 120, 1e-10);
  EXPECT_NEAR(path.foot.v, 3.3, 1e-10);
  EXPECT_TRUE(path.proven_shortest);
  EXPECT_NEAR(Must(tape.FromSection(300, {120, 3.3})).length, 180, 1e-10);
}

TEST(Tape, FromALimitedSectionStartsAtItsEnd) {
  const TapeSolver tape = SolverOf(Prism(60, 60, 8, 300));
  const TapePath path = Must(tape.FromSection(50, {120, 3.5}, TapeRange{4.25, 4.75}));
  EXPECT_NEAR(path.length, std::hypot(70.0, 11 + 2 * kPi), 1e-9);
  EXPECT_NEAR(path.foot.v, 4.25, 1e-12);
}

TEST(Tape, FromALineTakesTheShorterWayRound) {
  const TapeSolver tape = SolverOf(Prism(60, 60, 8, 300));
  const double quarter = 226.2654824574 / 4;
  EXPECT_NEAR(Must(tape.FromLine(TapeLine::Constant(0.5), {120, 2.5})).length, quarter, 1e-9);
  EXPECT_NEAR(Must(tape.FromLine(TapeLine::Constant(0.5), {120, 6.5})).length, quarter, 1e-9);
  const TapePath path = Must(tape.FromLine(TapeLine::Constant(0.5), {120, 2.5}, TapeRange{0, 100}));
  EXPECT_NEAR(path.length, std::hypot(20.0, quarter), 1e-9);
  EXPECT_NEAR(path.foot.u, 100, 1e-12);
}

TEST(Tape, FromALineAtAGirthStartsThere) {
  const auto skin = Box({{{0, 0, 0}, 60, 60, 8}, {{0, 200, 0}, 50, 44, 8}});
  const TapeSolver tape = SolverOf(skin);
  const TapeLine line = TapeLine::GirthOffset(skin, 4.5, 12.0);
  const TapePath path = Must(tape.FromLine(line, {110, 6.4}));
  // The foot is 12 mm of girth from the middle of the top, in its own section.
  EXPECT_NEAR(skin->OutlineLength(path.foot.u, path.foot.v) - skin->OutlineLength(path.foot.u, 4.5),
              12.0, 1e-9);
  double least = 1e300;
  for (int i = -200; i <= 200; ++i) {  // by hand, foot by foot
    const double u = path.foot.u + 0.05 * i;
    least = std::min(least, Must(tape.Path({u, line.At(u).v}, {110, 6.4})).length);
  }
  EXPECT_NEAR(path.length, least, 1e-8);
}

TEST(Tape, OnALineOrSectionIsNothing) {
  const TapeSolver tape = SolverOf(Arm());
  EXPECT_EQ(Must(tape.FromLine(TapeLine::Constant(2.5), {80, 2.5})).length, 0.0);
  EXPECT_EQ(Must(tape.FromSection(80, {80, 2.5})).length, 0.0);
}

TEST(Tape, IsTheSameBothWays) {
  const TapeSolver tape = SolverOf(Arm());
  std::mt19937 random(7);
  std::uniform_real_distribution<double> u(0, 300), v(0, 8);
  for (int i = 0; i < 200; ++i) {
    const SkinPlace a{u(random), v(random)}, b{u(random), v(random)};
    const TapePath there = Must(tape.Path(a, b)), back = Must(tape.Path(b, a));
    EXPECT_NEAR(there.length, back.length, 1e-8);
    EXPECT_LT((there.leave + back.arrive).norm(), 1e-6);
  }
}

TEST(Tape, KeepsTheTriangleInequalityAndIsNoShorterThanTheChord) {
  const auto skin = Arm();
  const TapeSolver tape = SolverOf(skin);
  std::mt19937 random(11);
  std::uniform_real_distribution<double> u(0, 300), v(0, 8);
  for (int i = 0; i < 100; ++i) {
    const SkinPlace a{u(random), v(random)}, b{u(random), v(random)}, c{u(random), v(random)};
    const double ab = Must(tape.Path(a, b)).length;
    EXPECT_LE(ab, Must(tape.Path(a, c)).length + Must(tape.Path(c, b)).length + 1e-8);
    EXPECT_GE(ab, (skin->At(a).position - skin->At(b).position).norm() - 1e-9);
  }
}

TEST(Tape, IsNoLongerThanAnySampledPath) {
  const auto skin = Arm();
  const TapeSolver tape = SolverOf(skin);
  std::mt19937 random(13);
  std::uniform_real_distribution<double> u(10, 290), v(0, 8), bend(-1.5, 1.5);
  for (int i = 0; i < 60; ++i) {
    const SkinPlace a{u(random), v(random)}, b{u(random), v(random)};
    const double length = Must(tape.Path(a, b)).length;
    for (int turn = -1; turn <= 1; ++turn) {
      for (int n = 0; n < 8; ++n) {
        const double bu = 10 * bend(random), bv = bend(random);
        double sampled = 0.0;
        Vec3 before = skin->At(a).position;
        constexpr int kChords = 800;
        for (int k = 1; k <= kChords; ++k) {
          const double t = static_cast<double>(k) / kChords;
          const double s = std::sin(kPi * t);
          const Vec3 x = skin->At(std::clamp(a.u + t * (b.u - a.u) + bu * s, 0.0, skin->u_end()),
                                  skin->Wrapped(a.v + t * (b.v + 8 * turn - a.v) + bv * s))
                             .position;
          sampled += (x - before).norm();
          before = x;
        }
        EXPECT_LE(length, sampled + 1e-3);
      }
    }
  }
}

TEST(Tape, DoesNotChangeWhenThePartIsMoved) {
  const Eigen::AngleAxisd about_z(0.7, Vec3::UnitZ());
  std::vector<BoxStation> here = {
      {{-100, 200, 300}, 56, 44, 8}, {{-90, 320, 288}, 60, 50, 9}, {{-104, 420, 276}, 54, 48, 9}};
  auto law = [](const std::vector<BoxStation>& stations, const Vec3& a_toward) {
    SkinLaw l;
    l.a_toward = a_toward;
    for (const BoxStation& s : stations) {
      const double a = s.width / 2, b = s.height / 2;
      l.centres.push_back(s.centre);
      l.vertices.push_back({{a, -b}, {a, b}, {-a, b}, {-a, -b}});
      l.corner_radii.push_back({s.corner, s.corner, s.corner, s.corner});
    }
    return std::make_shared<const Skin>(*Skin::Make(l));
  };
  std::vector<BoxStation> there = here;
  for (BoxStation& s : there) s.centre = about_z * s.centre + Vec3(10, -20, 30);
  const TapeSolver one = SolverOf(law(here, Vec3::UnitX()));
  const TapeSolver two = SolverOf(law(there, about_z * Vec3::UnitX()));
  std::mt19937 random(17);
  std::uniform_real_distribution<double> u(0, 220), v(0, 8);
  for (int i = 0; i < 50; ++i) {
    const SkinPlace a{u(random), v(random)}, b{u(random), v(random)};
    EXPECT_NEAR(Must(one.Path(a, b)).length, Must(two.Path(a, b)).length, 1e-8);
  }
}

TEST(Tape, ArrivesAlongTheGradientOfItsLength) {
  const auto skin = Arm();
  const TapeSolver tape = SolverOf(skin);
  const SkinPlace a{40, 4.5}, b{170, 2.4};
  const double h = 1e-3;
  auto check = [&](auto path_to) {
    const TapePath path = Must(path_to(b));
    const double by_u =
        (Must(path_to({b.u + h, b.v})).length - Must(path_to({b.u - h, b.v})).length) / (2 * h);
    const double by_v =
        (Must(path_to({b.u, b.v + h})).length - Must(path_to({b.u, b.v - h})).length) / (2 * h);
    EXPECT_NEAR(path.arrive.dot(skin->At(b).du), by_u, 1e-6);
    EXPECT_NEAR(path.arrive.dot(skin->At(b).dv), by_v, 1e-4);
  };
  check([&](SkinPlace p) { return tape.Path(a, p); });
  check([&](SkinPlace p) { return tape.FromSection(20, p); });
  check([&](SkinPlace p) { return tape.FromLine(TapeLine::Constant(4.5), p); });
}

TEST(Tape, WarmAgreesWithCold) {
  const TapeSolver tape = SolverOf(Arm());
  std::mt19937 random(19);
  std::uniform_real_distribution<double> u(10, 290), v(0, 8), move(-1, 1);
  int compared = 0;
  for (int i = 0; i < 100; ++i) {
    const SkinPlace a{u(random), v(random)}, b{u(random), v(random)};
    const SkinPlace c{b.u + 2 * move(random), b.v + 0.05 * move(random)};
    const TapePath first = Must(tape.Path(a, b));
    const TapePath cold = Must(tape.Path(a, c)), warm = Must(tape.Path(a, c, &first));
    EXPECT_GE(warm.length, cold.length - 1e-8);
    if (std::abs((cold.end.v - cold.foot.v) - (warm.end.v - warm.foot.v)) < 1) {
      EXPECT_NEAR(warm.length, cold.length, 1e-8);
      ++compared;
    }
    const TapePath s1 = Must(tape.FromSection(20, b));
    EXPECT_NEAR(Must(tape.FromSection(20, c, std::nullopt, &s1)).length,
                Must(tape.FromSection(20, c)).length, 1e-8);
  }
  EXPECT_GT(compared, 90);
}

TEST(Tape, UnfoldsAcrossACrease) {
  // Two straight lengths of box meeting at a mitre: on the top, flat, both unfold into one plane;
  // on the sides the plates meet at an angle and unfold about the crease.
  const auto skin =
      Box({{{0, 0, 0}, 60, 50, 8}, {{0, 150, 0}, 60, 50, 8}, {{0, 280, 75}, 60, 50, 8}}, false);
  const TapeSolver tape = SolverOf(skin);
  EXPECT_TRUE(tape.facts().creased);
  for (double v : {4.3, 0.4}) {  // top and underside: hinge along x
    const SkinPlace a{60, v}, b{220, v == 4.3 ? 4.8 : 0.9};
    const Vec3 pa = skin->At(a).position, pb = skin->At(b).position;
    const double crease = skin->span_start(1);
    const Vec3 edge = skin->At(crease, v).position;
    // Distances from the hinge line (parallel to x) and along it.
    const double da = std::hypot(pa.y() - edge.y(), pa.z() - edge.z());
    const double db = std::hypot(pb.y() - edge.y(), pb.z() - edge.z());
    EXPECT_NEAR(Must(tape.Path(a, b)).length, std::hypot(da + db, pa.x() - pb.x()), 1e-8);
    EXPECT_NEAR(Must(tape.Path(b, a)).length, std::hypot(da + db, pa.x() - pb.x()), 1e-8);
  }
}

TEST(Tape, AcrossACreaseAndCornersIsTheLeastOverCrossingPlaces) {
  const auto skin =
      Box({{{0, 0, 0}, 60, 50, 8}, {{0, 150, 0}, 60, 50, 8}, {{60, 280, 20}, 60, 50, 8}}, false);
  const TapeSolver tape = SolverOf(skin);
  const SkinPlace a{60, 4.5}, b{250, 2.4};
  const double length = Must(tape.Path(a, b)).length;
  const double crease = skin->span_start(1);
  double least = 1e300;  // golden section over the crossing of the mitre
  double lo = 2.2, hi = 4.6;
  auto through = [&](double v) {
    return Must(tape.Path(a, {crease, v})).length + Must(tape.Path({crease, v}, b)).length;
  };
  for (int n = 0; n < 60; ++n) {
    const double p = lo + 0.381966 * (hi - lo), q = hi - 0.381966 * (hi - lo);
    const double fp = through(p), fq = through(q);
    least = std::min({least, fp, fq});
    (fp < fq ? hi : lo) = fp < fq ? q : p;
  }
  EXPECT_NEAR(length, least, 1e-8);
}

TEST(Tape, FollowsTheCreaseRoundTheInnerCornerOfAMitre) {
  // On the inside of a bend both plates' developments bulge toward each other at the crease: from a
  // place close to it the way to a line along the inner face runs along the crease.
  const auto skin = Box({{{0, 0, 0}, 60, 50, 8},
                         {{0, 150, 0}, 60, 50, 8},
                         {{60, 280, 20}, 60, 50, 8},
                         {{60, 420, 60}, 60, 50, 8}},
                        false);
  const TapeSolver tape = SolverOf(skin);
  const SkinPlace to{150.354, 1.3857};
  const double v_line = 2.4727;
  const TapePath path = Must(tape.FromLine(TapeLine::Constant(v_line), to));
  // By hand: chords pulled straight on the skin itself, from the same foot.
  TapeStart start;
  start.place = path.foot;
  std::vector<SkinPlace> chords;
  for (int i = 0; i <= 200; ++i) {
    const double t = i / 200.0;
    chords.push_back({path.foot.u + t * (to.u - path.foot.u), v_line + t * (to.v - v_line)});
  }
  const TapeSeed pulled = PullStraight(tape.surface(), nullptr, start, chords, 400);
  EXPECT_LE(path.length, pulled.length + 1e-3);
  EXPECT_GE(path.length, pulled.length - 0.05);
  // It lies on the skin: its drawn places are as long.
  EXPECT_NEAR(DrawnLength(tape.surface(), path), path.length, 2e-3);
}

TEST(Tape, GoesAlongTheEndWhereTheStraightPathWouldLeave) {
  // Near the small end of a cone the straight path of its development cuts the end off: the
  // shortest one runs along tangents and the end's arc (plane geometry of the developed sector).
  const double half = 30 * kDegree, inner = 60;
  const TapeSolver tape{Cone(half, inner, 200)};
  const double l = 66, turn = 150 * kDegree;
  const TapePath path = Must(tape.Path({l, 0.2}, {l, 0.2 + turn}));
  const double sector = turn * std::sin(half);
  const double tangent = std::sqrt(l * l - inner * inner);
  const double expected = 2 * tangent + inner * (sector - 2 * std::acos(inner / l));
  EXPECT_TRUE(path.touches_end);
  EXPECT_FALSE(path.proven_shortest);
  EXPECT_NEAR(path.length, expected, 1e-7);
  EXPECT_GT(path.length, 2 * l * std::sin(sector / 2));
}

TEST(Tape, StaysOnAChannelBetweenItsLips) {
  const auto skin = Channel(200);
  const TapeSolver tape = SolverOf(skin);
  const double vs = tape.surface().v_breaks().back();
  const TapePath path = Must(tape.Path({20, 0.2}, {120, vs - 0.2}));
  EXPECT_FALSE(path.touches_end);
  EXPECT_TRUE(path.proven_shortest);
  // Unrolled: straight over both corners, the long way round being open.
  const double girth = skin->OutlineLength(20, vs - 0.2) - skin->OutlineLength(20, 0.2);
  EXPECT_NEAR(path.length, std::hypot(100.0, girth), 1e-8);
}

TEST(Tape, BridgesAHollow) {
  // A sheet bent into a hollow arc of radius R: the tape over it is the chord.
  const double radius = 80;
  const auto sheet = std::make_shared<JetSurface>(
      std::vector<double>{-50, 50}, std::vector<double>{-50, 50}, false,
      [radius](const Jet& u, const Jet& v) {  // normal toward +z, the centre of curvature
        const Jet t = u / Jet(radius);
        return V3<Jet>{radius * Sin(t), v, radius - radius * Cos(t)};
      });
  const TapeSolver tape{sheet};
  const TapePath path = Must(tape.Path({-40, 0}, {40, 0}));
  EXPECT_NEAR(path.length, 80, 1e-9);
  EXPECT_NEAR(tape.BridgedLength(path), 2 * radius * std::sin(0.5), 1e-3);
}

TEST(Tape, BridgesNothingOnAConvexPart) {
  const TapeSolver tape = SolverOf(Prism(60, 60, 8, 300));
  const TapePath path = Must(tape.Path({100, 4.5}, {160, 2.5}));
  EXPECT_EQ(tape.BridgedLength(path), path.length);
}

}  // namespace
}  // namespace holeward
