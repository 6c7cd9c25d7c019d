// The tape against published geodesics and against other programs' answers.
#include <array>
#include <cmath>
#include <numeric>
#include <random>

#include <GeographicLib/GeodesicExact.hpp>

#include <gtest/gtest.h>

#include "geometry/tape.h"
#include "geometry/tape_facts.h"
#include "geometry/tape_shoot.h"
#include "tests/geometry/cranked_arm.h"
#include "tests/geometry/tape_surfaces.h"

namespace holeward {
namespace {

using testing::Cone;
using testing::Cylinder;
using testing::HyperbolicParaboloid;
using testing::JetSurface;
using testing::Torus;
using testing::TurnedEllipsoid;

TapePath Must(const Result<TapePath>& path) {
  EXPECT_TRUE(path.has_value()) << (path ? "" : path.error().message);
  return path ? *path : TapePath{};
}

// sqrt((R dtheta)^2 + dz^2), the unrolled plane.
TEST(TapeOracle, Cylinder) {
  const TapeSolver tape{Cylinder(30, 200)};
  const TapePath path = Must(tape.Path({20, -0.3}, {100, -0.3 + 120 * kDegree}));
  EXPECT_NEAR(path.length, std::hypot(30 * 120 * kDegree, 80.0), 1e-9);
  EXPECT_NEAR(path.length, 101.724342, 1e-6);
  EXPECT_TRUE(path.proven_shortest);
}

// Developed cone: l1^2 + l2^2 - 2 l1 l2 cos(dphi sin(half angle)).
TEST(TapeOracle, Cone) {
  const TapeSolver tape{Cone(20 * kDegree, 50, 200)};
  EXPECT_NEAR(Must(tape.Path({100, 0.1}, {150, 0.1 + 100 * kDegree})).length, 87.682242, 1e-6);
}

// From the outline of a cone the tape follows the slant.
TEST(TapeOracle, ConeFromItsOutline) {
  const TapeSolver tape{Cone(20 * kDegree, 50, 200)};
  const TapePath path = Must(tape.FromSection(60, {150, 2.0}));
  EXPECT_NEAR(path.length, 90, 1e-9);
  EXPECT_TRUE(path.proven_shortest);
  // Toward the tip the outline bends to the target: focal at the tip, which is off the surface.
  EXPECT_NEAR(Must(tape.FromSection(150, {60, 2.0})).length, 90, 1e-9);
}

// Great circle, r 50, latitudes 20 and -35, 75 degrees apart.
TEST(TapeOracle, Sphere) {
  const double a = 20 * kDegree, b = -35 * kDegree, d = 75 * kDegree;
  const Vec3 p = 50 * Vec3(std::cos(a), 0, std::sin(a));
  const Vec3 q = 50 * Vec3(std::cos(b) * std::cos(d), std::cos(b) * std::sin(d), std::sin(b));
  const TurnedEllipsoid sphere(50, 50, p.cross(q), p);
  const TapeSolver tape{sphere.surface()};
  EXPECT_NEAR(Must(tape.Path(sphere.PlaceOf(p), sphere.PlaceOf(q))).length, 78.387238213, 1e-8);
}

// Torus R 100, r 30, by Clairaut's relation (quadrature, R. Jantzen, Geodesics on the torus), from
// the outer equator at angles of 20, 30 and 60 degrees to it.
TEST(TapeOracle, Torus) {
  struct Row {
    double v_deg, u_deg, s;
  };
  const TapeSolver tape{Torus(100, 30, -1.5, 1.5)};
  for (const Row& row :
       {Row{21.1909625626, 14.195832308681, 33.903925618995},
        Row{32.6002734849, 13.941388165515, 35.592272706817},
        Row{90.0, 15.239699843876, 56.586897371471}, Row{180.0, 70.29104865215, 145.44781522538}}) {
    const SkinPlace to{row.u_deg * kDegree, row.v_deg * kDegree};
    EXPECT_NEAR(Must(tape.Path({0, 0}, to)).length, row.s, 1e-8);
    EXPECT_NEAR(Must(tape.Path(to, {0, 0})).length, row.s, 1e-8);
  }
}

// The outer equator is shortest up to its first conjugate point at pi sqrt(r (R + r)) = 196.19.
TEST(TapeOracle, TorusEquatorStopsBeingShortest) {
  const TapeSolver tape{Torus(100, 30, -1.5, 1.5)};
  const double within = 190.0 / 130.0, beyond = 230.0 / 130.0;
  EXPECT_NEAR(Must(tape.Path({-within / 2, 0}, {within / 2, 0})).length, 190.0, 1e-8);
  const TapePath over = Must(tape.Path({-beyond / 2, 0}, {beyond / 2, 0}));
  EXPECT_LT(over.length, 229.9);
  EXPECT_FALSE(over.proven_shortest);
}

// Rulings of z = x y / 40 are straight: 70 sqrt(1 + (30/40)^2) = 87.5.
TEST(TapeOracle, HyperbolicParaboloidRuling) {
  const TapeSolver tape{HyperbolicParaboloid(40, 60)};
  const TapePath path = Must(tape.Path({30, -20}, {30, 50}));
  EXPECT_NEAR(path.length, 87.5, 1e-9);
  EXPECT_TRUE(path.proven_shortest);
}

// Helicoid (u cos v, u sin v, 10 v): (u^2 + c^2) dv/ds = k, by quadrature.
TEST(TapeOracle, Helicoid) {
  const TapeSolver tape{
      std::make_shared<JetSurface>(std::vector<double>{-40, 40}, std::vector<double>{-3, 3}, false,
                                   [](const Jet& u, const Jet& v) {
                                     return V3<Jet>{u * Cos(v), u * Sin(v), 10.0 * v};
                                   })};
  EXPECT_NEAR(Must(tape.Path({0, 0}, {30, 49.057096471844 * kDegree})).length, 32.742169773603,
              1e-8);
  EXPECT_NEAR(Must(tape.Path({6.63324958, 0}, {30, 95.746232167522 * kDegree})).length,
              37.459516543843, 1e-6);
}

Vec3 OnEllipsoid(double a, double f, double lat_deg, double lon_deg) {
  const double e2 = f * (2 - f);
  const double phi = lat_deg * kDegree, lam = lon_deg * kDegree;
  const double n = a / std::sqrt(1 - e2 * std::sin(phi) * std::sin(phi));
  return {n * std::cos(phi) * std::cos(lam), n * std::cos(phi) * std::sin(lam),
          n * (1 - e2) * std::sin(phi)};
}

double TapeOnEllipsoid(double a, double f, const Vec3& p, const Vec3& q) {
  const double b = a * (1 - f);
  const Vec3 sp(p.x() / a, p.y() / a, p.z() / b), sq(q.x() / a, q.y() / a, q.z() / b);
  const TurnedEllipsoid ellipsoid(a, b, sp.cross(sq), sp);
  const TapeSolver tape{ellipsoid.surface()};
  return Must(tape.Path(ellipsoid.PlaceOf(p), ellipsoid.PlaceOf(q))).length;
}

// GeodSolve -E of GeographicLib 2.1.2.
TEST(TapeOracle, EllipsoidTable) {
  struct Row {
    double a, f, lat1, lat2, lon2, s;
  };
  for (const Row& r :
       {Row{50, 0.2, 30, -20, 70, 66.149749976}, Row{50, 0.5, 30, -20, 70, 61.452307433},
        Row{30, -1.0, 30, -20, 70, 89.220784942}, Row{60, 0.1, 0, 45, 90, 92.146014994},
        Row{40, -0.25, 10, 60, 120, 68.196033293}}) {
    EXPECT_NEAR(TapeOnEllipsoid(r.a, r.f, OnEllipsoid(r.a, r.f, r.lat1, 0),
                                OnEllipsoid(r.a, r.f, r.lat2, r.lon2)),
                r.s, 2e-9);
  }
}

// C. Karney, Algorithms for geodesics, J. Geodesy 87 (2013) 43: GeodesicExact, 200 random pairs
// each.
TEST(TapeOracle, EllipsoidsOfRevolution) {
  for (const double f : {0.2, -0.3}) {
    const double a = 40;
    const GeographicLib::GeodesicExact exact(a, f);
    std::mt19937 random(31);
    std::uniform_real_distribution<double> sine(-1, 1), lon(-170, 170);
    double worst = 0.0;
    for (int i = 0; i < 200; ++i) {
      const double lat1 = std::asin(sine(random)) / kDegree,
                   lat2 = std::asin(sine(random)) / kDegree;
      const double lon2 = lon(random);
      double s = 0.0;
      exact.Inverse(lat1, 0, lat2, lon2, s);
      const double ours =
          TapeOnEllipsoid(a, f, OnEllipsoid(a, f, lat1, 0), OnEllipsoid(a, f, lat2, lon2));
      worst = std::max(worst, std::abs(ours - s));
    }
    EXPECT_LT(worst, 1e-7) << "flattening " << f;
  }
}

/// A straight tapered box: plane flats and conical corners, so it develops.
std::shared_ptr<const Skin> Frustum() {
  SkinLaw law;
  const double w[2] = {64, 44}, h[2] = {50, 36}, r[2] = {10, 6};
  for (int i = 0; i < 2; ++i) {
    law.centres.push_back({0, 220.0 * i, 0});
    law.vertices.push_back({{w[i] / 2, -h[i] / 2},
                            {w[i] / 2, h[i] / 2},
                            {-w[i] / 2, h[i] / 2},
                            {-w[i] / 2, -h[i] / 2}});
    law.corner_radii.push_back({r[i], r[i], r[i], r[i]});
  }
  return std::make_shared<const Skin>(*Skin::Make(law));
}

/// Places of the skin laid out flat, strip by strip of triangles between straight rulings.
class LaidOut {
 public:
  LaidOut(const Skin& skin, double v_from, double v_to, int strips) : skin_(skin) {
    for (int k = 0; k <= strips; ++k) v_.push_back(v_from + (v_to - v_from) * k / strips);
    for (std::size_t k = 0; k < v_.size(); ++k) {
      const Vec3 a = At(0, v_[k]), b = At(skin.u_end(), v_[k]);
      if (k == 0) {
        low_.push_back(Vec2::Zero());
        high_.push_back({0, (b - a).norm()});
        continue;
      }
      const Vec3 a0 = At(0, v_[k - 1]), b0 = At(skin.u_end(), v_[k - 1]);
      low_.push_back(Third(low_.back(), high_.back(), (a - a0).norm(), (a - b0).norm()));
      high_.push_back(Third(low_.back(), high_.back(), (b - a).norm(), (b - b0).norm()));
    }
  }
  /// The place on ruling k at fraction t of its length.
  [[nodiscard]] Vec2 Place(std::size_t k, double t) const {
    return (1 - t) * low_[k] + t * high_[k];
  }

 private:
  [[nodiscard]] Vec3 At(double u, double v) const { return skin_.At(u, skin_.Wrapped(v)).position; }
  /// The corner right of the line p q at distances r from p and s from q.
  static Vec2 Third(const Vec2& p, const Vec2& q, double r, double s) {
    const double d = (q - p).norm();
    const double x = (d * d + r * r - s * s) / (2 * d);
    const double y = std::sqrt(std::max(r * r - x * x, 0.0));
    const Vec2 e = (q - p) / d;
    return p + x * e + y * Vec2(e.y(), -e.x());
  }

  const Skin& skin_;
  std::vector<double> v_;
  std::vector<Vec2> low_, high_;
};

// The development of a frustum with conical corners: the tape is the straight line of the plane.
TEST(TapeOracle, TaperedBoxIsItsDevelopment) {
  const auto skin = Frustum();
  const TapeSolver tape{std::make_shared<SkinSurface>(skin)};
  std::mt19937 random(37);
  std::uniform_real_distribution<double> u(10, 210), v(0, 8), span(-3.2, 3.2);
  double worst = 0.0;
  int compared = 0;
  for (int i = 0; i < 40; ++i) {
    const SkinPlace a{u(random), v(random)};
    const SkinPlace b{u(random), a.v + span(random)};
    const TapePath path = Must(tape.Path(a, {b.u, skin->Wrapped(b.v)}));
    if (std::abs((path.end.v - path.foot.v) - (b.v - a.v)) > 1e-9 || path.touches_end) continue;
    const double lo = std::min(a.v, b.v), hi = std::max(a.v, b.v);
    if (hi - lo < 1e-3) continue;
    const LaidOut flat(*skin, lo, hi, 6000);
    // On a ruling of a straight skin the place is at the fraction u / u_end.
    const double ta = a.u / skin->u_end(), tb = b.u / skin->u_end();
    const Vec2 pa = flat.Place(a.v < b.v ? 0 : 6000, ta), pb = flat.Place(a.v < b.v ? 6000 : 0, tb);
    worst = std::max(worst, std::abs(path.length - (pa - pb).norm()));
    ++compared;
    EXPECT_TRUE(path.proven_shortest);
  }
  EXPECT_LT(worst, 1e-5);  // the strips' own error
  EXPECT_GT(compared, 25);
}

TEST(TapeOracle, ShotsConvergeWithTheirTolerance) {
  const SkinSurface surface(test::CrankedArm());
  std::mt19937 random(41);
  std::uniform_real_distribution<double> u(60, 240), v(0, 8), angle(-kPi, kPi);
  for (int i = 0; i < 100; ++i) {
    TapeLaunch launch;
    launch.place = {u(random), v(random)};
    launch.cell = CellOf(surface, launch.place);
    const SkinJet x = JetIn(surface, launch.place, launch.cell);
    const Vec3 e = x.du.normalized();
    const double t = angle(random);
    launch.direction = std::cos(t) * e + std::sin(t) * x.normal.cross(e);
    const TapeFlight fine = Shoot(surface, launch, 150, 1e-12);
    const TapeFlight usual = Shoot(surface, launch, 150, 1e-11);
    const TapeFlight rough = Shoot(surface, launch, 150, 1e-7);
    ASSERT_TRUE(fine.ok && usual.ok && rough.ok);
    EXPECT_LT((usual.position - fine.position).norm(), 1e-8);
    EXPECT_LT((rough.position - fine.position).norm(), 1e-4);
  }
}

// The Jacobi field is the derivative of the end by the direction: checked by turning it, over
// borders of pieces and over the creases of a mitred part.
TEST(TapeOracle, JacobiFieldIsTheDerivativeOverCreasesToo) {
  SkinLaw law;
  law.smooth = false;
  for (const Vec3& c : {Vec3(0, 0, 0), Vec3(0, 150, 0), Vec3(60, 280, 20), Vec3(60, 420, 60)}) {
    law.centres.push_back(c);
    law.vertices.push_back({{30, -25}, {30, 25}, {-30, 25}, {-30, -25}});
    law.corner_radii.push_back({8, 8, 8, 8});
  }
  const SkinSurface surface(std::make_shared<const Skin>(*Skin::Make(law)));
  int crossed = 0;
  for (int i = 0; i < 60; ++i) {
    TapeLaunch launch;
    launch.place = {70, 0.13 * i};
    launch.cell = CellOf(surface, launch.place);
    const SkinJet x = JetIn(surface, launch.place, launch.cell);
    const Vec3 e = x.du.normalized();
    const auto turned = [&](double t) {
      TapeLaunch l = launch;
      l.direction = std::cos(t) * e + std::sin(t) * x.normal.cross(e);
      return Shoot(surface, l, 160, 1e-12);
    };
    const double h = 1e-5;
    const TapeFlight f = turned(0.2), less = turned(0.2 - h), more = turned(0.2 + h);
    crossed += f.cell.span > 0;
    const double slope = (more.position - less.position).dot(f.left) / (2 * h);
    EXPECT_NEAR(f.jacobi, slope, 1e-4 * std::abs(slope) + 1e-3) << i;
  }
  EXPECT_GT(crossed, 40);
}

}  // namespace
}  // namespace holeward
