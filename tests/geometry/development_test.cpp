#include "geometry/development.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>
#include <random>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "geometry/develop_lines.h"
#include "geometry/develop_piece.h"
#include "geometry/develop_skin.h"
#include "geometry/tape.h"
#include "tests/geometry/made_parts.h"

namespace holeward {
namespace {

// ---- Skins to try

struct BoxSize {
  double width, height, corner;
};

std::shared_ptr<const Skin> MakeSkin(SkinLaw law) {
  Result<Skin> skin = Skin::Make(std::move(law));
  EXPECT_TRUE(skin.has_value()) << (skin ? "" : skin.error().message);
  return skin ? std::make_shared<const Skin>(std::move(*skin)) : nullptr;
}

std::shared_ptr<const Skin> Round(std::vector<Vec3> centres, std::vector<double> radii,
                                  bool smooth = true) {
  SkinLaw law;
  law.centres = std::move(centres);
  law.round = true;
  law.radii = std::move(radii);
  law.smooth = smooth;
  law.girth_origin_v = 0.0;
  return MakeSkin(law);
}

std::shared_ptr<const Skin> Tube(double radius, double length) {
  return Round({{0, 0, 0}, {0, length, 0}}, {radius, radius});
}

std::shared_ptr<const Skin> Box(std::vector<Vec3> centres, const std::vector<BoxSize>& sizes) {
  SkinLaw law;
  law.centres = std::move(centres);
  for (const BoxSize& s : sizes) {
    const double a = 0.5 * s.width, b = 0.5 * s.height;
    law.vertices.push_back({{a, -b}, {a, b}, {-a, b}, {-a, -b}});
    law.corner_radii.push_back(std::vector<double>(4, s.corner));
  }
  return MakeSkin(law);
}

// A cranked, tapered arm: centre line bent in two directions, smooth between the sections.
std::shared_ptr<const Skin> CrankedArm() {
  return Box({{-110, 250, 320}, {-96, 350, 306}, {-101, 430, 288}, {-118, 540, 281}},
             {{56, 45, 8}, {61, 50, 9}, {57, 48, 9}, {49, 43, 8}});
}

using test::BoxPart;
using test::TubePart;

PieceMark Mark(const std::string& name, double u, double v, std::vector<double> drill = {}) {
  PieceMark mark;
  mark.name = name;
  mark.place = {u, v};
  mark.diameters = std::move(drill);
  return mark;
}

const FlatLine* FindLine(const DevelopedPiece& piece, FlatLineKind kind, const std::string& words) {
  for (const FlatLine& line : piece.lines) {
    if (line.kind == kind && line.words.English().find(words) != std::string::npos) return &line;
  }
  return nullptr;
}

DevelopedPatch Whole(const std::shared_ptr<const Skin>& skin, double v_from, double offset = 0.0) {
  SkinPatchOptions options;
  options.offset = offset;
  return Develop(skin, {0.0, skin->u_end(), v_from, v_from + skin->piece_count()}, options);
}

double Across(const std::vector<Vec2>& points, const Vec2& direction) {
  double lo = 1e9, hi = -1e9;
  for (const Vec2& p : points) {
    lo = std::min(lo, p.dot(direction));
    hi = std::max(hi, p.dot(direction));
  }
  return hi - lo;
}

// ---- The basis

TEST(SpectralBasis, DifferentiatesAndIntegratesPolynomialsExactly) {
  for (const int order : {2, 5, 8, 12}) {
    const SpectralBasis basis(order);
    const Eigen::VectorXd x = basis.nodes();
    const Eigen::VectorXd f = x.array().pow(order);
    const Eigen::VectorXd slope = order * x.array().pow(order - 1);
    EXPECT_LT((basis.derivative() * f - slope).cwiseAbs().maxCoeff(), 1e-11);
    const Eigen::VectorXd sum =
        (x.array().pow(order + 1) - std::pow(-1.0, order + 1)) / (order + 1);
    EXPECT_LT((basis.integral() * f - sum).cwiseAbs().maxCoeff(), 1e-13);
    EXPECT_NEAR(basis.Values(0.3).dot(f), std::pow(0.3, order), 1e-13);
  }
}

// ---- Closed forms

// Parallel-line development of a cylinder cut at 45 degrees: s = R theta, height from the plane.
// Dimensions of a published drawing problem (cylinder of diameter 40, height 50, cut at 45 degrees
// through the extreme point of the top); values by the formula.
TEST(Development, OfATruncatedCylinderMatchesTheParallelLineMethod) {
  // A round tube mitred by 90 degrees ends in a 45 degree cut: 30 long on the axis, 10 to 50.
  const auto skin = Round({{0, 0, 0}, {0, 30, 0}, {400, 30, 0}}, {20.0, 20.0, 20.0}, false);
  ASSERT_NE(skin, nullptr);
  SkinPatchOptions options;
  // From the longest generator all the way round; the cut is at the knot.
  double v_long = 0.0, longest = 0.0;
  for (int q = 0; q < 4; ++q) {
    const double reach = skin->At(30.0 - 1e-12, q, 0, q).position.y();
    if (reach > longest) {
      longest = reach;
      v_long = q;
    }
  }
  ASSERT_NEAR(longest, 50.0, 1e-9);
  const DevelopedPatch patch = Develop(skin, {0.0, 30.0, v_long - 2.0, v_long + 2.0}, options);
  EXPECT_LT(patch.Measured().max, 1e-6);
  const Vec2 base = patch.At(0.0, v_long).at;
  const std::vector<std::array<double, 3>> table = {
      {0, 0, 50},         {30, 10.4720, 47.3205},  {60, 20.9440, 40}, {90, 31.4159, 30},
      {120, 41.8879, 20}, {150, 52.3599, 12.6795}, {180, 62.8319, 10}};
  const Vec2 axis = (patch.At(30.0, v_long).at - base).normalized();
  for (const auto& [degrees, s, height] : table) {
    const double v = v_long + degrees / 90.0;
    const Vec2 foot = patch.At(0.0, v).at, top = patch.At(30.0, v).at;
    EXPECT_NEAR((foot - base).norm(), s, 5e-5) << degrees;
    EXPECT_NEAR((top - foot).norm(), height, 5e-5) << degrees;
    EXPECT_NEAR((top - foot).normalized().dot(axis), 1.0, 1e-9) << degrees;
  }
}

// Sector angle 360 r / L; r 3, h 4: 216 degrees; r 5, h 12: 138.4615 degrees (published table of
// cone developments). Frustum of diameters 5 and 8, 4 apart: R 7.12 and 11.39, 126.4 degrees
// (published example; by the formula 7.12000, 11.39201, 126.40444).
TEST(Development, OfConesIsTheirSector) {
  struct Case {
    double small, large, height, r_in, r_out, degrees, tolerance;
  };
  // The whole cones are cut off at a tenth of their height: a skin has no apex.
  const std::vector<Case> cases = {{0.3, 3, 3.6, 0.5, 5.0, 216.0, 1e-6},
                                   {0.5, 5, 10.8, 1.3, 13.0, 138.4615385, 1e-6},
                                   {2.5, 4, 4, 7.12000, 11.39201, 126.40444, 1e-5},
                                   {25, 40, 60, 103.077641, 164.924225, 87.312825, 1e-6}};
  for (const Case& c : cases) {
    const auto skin = Round({{0, 0, 0}, {0, c.height, 0}}, {c.large, c.small});
    const DevelopedPatch patch = Whole(skin, -2.0);
    EXPECT_LT(patch.Measured().max, 1e-6);
    const Vec2 a = patch.At(0, -2.0).at, b = patch.At(c.height, -2.0).at;
    const Vec2 d = patch.At(0, 2.0).at, e = patch.At(c.height, 2.0).at;
    EXPECT_NEAR((a - b).norm(), c.r_out - c.r_in, c.tolerance * 10);
    // Chords of the sector's two arcs: 2 R sin(angle / 2).
    const double half_sine = std::sin(0.5 * c.degrees * kDegree);
    EXPECT_NEAR((d - a).norm(), 2.0 * c.r_out * half_sine, c.tolerance * 20);
    EXPECT_NEAR((e - b).norm(), 2.0 * c.r_in * half_sine, c.tolerance * 20);
    const Vec2 to_outer = a - b, to_outer_far = d - e;
    double turned = std::atan2(to_outer.x() * to_outer_far.y() - to_outer.y() * to_outer_far.x(),
                               to_outer.dot(to_outer_far)) /
                    kDegree;
    if (turned < 0.0) turned += 360.0;
    if (std::abs(turned - c.degrees) > 1.0) turned = 360.0 - turned;
    EXPECT_NEAR(turned, c.degrees, 1e-4);
  }
}

// Girth of a square hollow section 60 x 60 with outer corners of 8: 4 (60 - 16) + 2 pi 8 =
// 226.265482.
TEST(Development, OfABoxPrismIsGirthByStation) {
  const auto skin = Box({{0, 0, 0}, {0, 300, 0}}, {{60, 60, 8}, {60, 60, 8}});
  const DevelopedPatch patch = Whole(skin, -0.5);
  EXPECT_LT(patch.Measured().max, 1e-9);
  const Vec2 origin = patch.At(0.0, 0.5).at;
  const Vec2 along = (patch.At(300.0, 0.5).at - origin) / 300.0;
  EXPECT_NEAR(along.norm(), 1.0, 1e-12);
  EXPECT_NEAR((patch.At(0.0, 7.5).at - patch.At(0.0, -0.5).at).norm(), 226.265482, 1e-6);
  std::mt19937 rng(20261125);
  std::uniform_real_distribution<double> pick_u(0, 300), pick_v(-0.5, 7.5);
  for (int k = 0; k < 200; ++k) {
    const double u = pick_u(rng), v = pick_v(rng);
    const Vec2 p = patch.At(u, v).at - origin;
    EXPECT_NEAR(p.dot(along), skin->StationOf(u), 1e-9);
    const double girth = OutlineTo(*skin, u, v) - OutlineTo(*skin, u, 0.5);
    EXPECT_NEAR(along.x() * p.y() - along.y() * p.x(), girth, 1e-9) << "seen from outside";
  }
}

// A wrap closes at 2 pi (R + t / 2) when its middle surface keeps its length (common practice, no
// source); girth marks are printed times 1 + t / 2R: R 30.15, t 0.1 gives 1.0016584.
TEST(Development, AllowsForTheBackingsThickness) {
  const auto skin = Tube(30.15, 120.0);
  for (const double t : {0.1, 0.2, 0.3}) {
    const DevelopedPatch patch = Whole(skin, -2.0, 0.5 * t);
    EXPECT_NEAR((patch.At(0, 2.0).at - patch.At(0, -2.0).at).norm(), 2 * kPi * (30.15 + t / 2),
                1e-9);
    EXPECT_NEAR((patch.At(120, 1.0).at - patch.At(0, 1.0).at).norm(), 120.0, 1e-9);
  }
  const DevelopedPatch bare = Whole(skin, -2.0), backed = Whole(skin, -2.0, 0.05);
  const double ratio = (backed.At(0, 1).at - backed.At(0, 0).at).norm() /
                       (bare.At(0, 1).at - bare.At(0, 0).at).norm();
  EXPECT_NEAR(ratio, 1.0016584, 5e-8);
  // On flats nothing is added; each corner grows by its turn times half the thickness.
  const auto box = Box({{0, 0, 0}, {0, 300, 0}}, {{60, 60, 8}, {60, 60, 8}});
  const DevelopedPatch wrap = Whole(box, -0.5, 0.05);
  EXPECT_NEAR((wrap.At(0, 7.5).at - wrap.At(0, -0.5).at).norm(), 226.265482 + 2 * kPi * 0.05, 1e-6);
}

TEST(Development, FoldsAtSharpCornersAndBendsTheBackingThere) {
  const auto box = Box({{0, 0, 0}, {0, 300, 0}}, {{60, 40, 0}, {60, 40, 0}});
  const DevelopedPatch bare = Whole(box, -0.5);
  EXPECT_LT(bare.Measured().max, 1e-6);
  EXPECT_NEAR((bare.At(0, 7.5).at - bare.At(0, -0.5).at).norm(), 200.0, 2e-6);
  const DevelopedPatch backed = Whole(box, -0.5, 0.05);
  EXPECT_NEAR((backed.At(0, 7.5).at - backed.At(0, -0.5).at).norm(), 200.0 + 2 * kPi * 0.05, 1e-6);
}

// Developed width of a radial hole: 2 R asin(d / 2R) round the tube, d along it.
TEST(Development, WidensAHoleRoundATube) {
  const auto skin = Tube(30.15, 200.0);
  const DevelopedPatch patch = Whole(skin, -2.0);
  const Vec2 along = (patch.At(200, 0).at - patch.At(0, 0).at).normalized();
  const Vec2 around(-along.y(), along.x());
  const std::vector<std::array<double, 2>> table = {
      {6, 6.009945}, {10, 10.046414}, {20, 20.386133}};
  for (const auto& [d, width] : table) {
    std::vector<Vec2> outline;
    for (const SkinPlace& p : HoleOutline(*skin, {100.0, 0.4}, d, std::nullopt)) {
      outline.push_back(patch.At(p).at);
    }
    EXPECT_NEAR(Across(outline, around), width, 1e-6);
    EXPECT_NEAR(Across(outline, along), d, 1e-6);
  }
}

// ---- Against the tape

struct LengthCase {
  std::string name;
  std::shared_ptr<const Skin> skin;
};

TEST(Development, KeepsTapeLengthsOnDevelopableSkin) {
  const std::vector<LengthCase> cases = {
      {"tube", Tube(38, 250)},
      {"cone", Round({{0, 0, 0}, {0, 200, 0}}, {45, 25})},
      {"oblique cone", Round({{0, 0, 0}, {0, 180, 0}}, {35, 30})},
      {"box", Box({{0, 0, 0}, {0, 300, 0}}, {{60, 50, 9}, {60, 50, 9}})},
      {"tapered box", Box({{0, 0, 0}, {0, 260, 0}}, {{64, 52, 10}, {46, 40, 6}})}};
  std::mt19937 rng(7);
  int compared = 0;
  for (const LengthCase& c : cases) {
    const DevelopedPatch patch = Whole(c.skin, -0.5);
    EXPECT_LT(patch.Measured().max, 1e-6) << c.name;
    EXPECT_GT(patch.Measured().least_area, 0.0) << c.name;
    const TapeSolver tape(std::make_shared<SkinSurface>(c.skin));
    const double half = 0.5 * c.skin->piece_count();
    std::uniform_real_distribution<double> pick_u(30, c.skin->u_end() - 30);
    std::uniform_real_distribution<double> pick_v(0.0, half), shift(-0.2 * half, 0.2 * half);
    for (int k = 0; k < 25; ++k) {
      const SkinPlace a{pick_u(rng), pick_v(rng) + 0.3 * half};
      const SkinPlace b{pick_u(rng), a.v + shift(rng)};
      const Result<TapePath> path = tape.Path(a, b);
      ASSERT_TRUE(path.has_value()) << c.name << ": " << path.error().message;
      const double flat = (patch.At(a).at - patch.At(b).at).norm();
      EXPECT_NEAR(flat, path->length, 1e-6) << c.name;
      ++compared;
    }
  }
  EXPECT_EQ(compared, 125);
}

TEST(Development, KeepsTapeLengthsOnTheFacesOfACrankedArm) {
  const auto skin = CrankedArm();
  ASSERT_NE(skin, nullptr);
  const TapeSolver tape(std::make_shared<SkinSurface>(skin));
  std::mt19937 rng(11);
  double worst = 0.0;
  for (const int face : {0, 2, 4, 6}) {
    const DevelopedPatch patch =
        Develop(skin, {0, skin->u_end(), 1.0 * face, face + 1.0}, SkinPatchOptions{});
    EXPECT_GT(patch.Measured().least_area, 0.9);
    std::uniform_real_distribution<double> pick_u(10, skin->u_end() - 10), pick_v(0.2, 0.8);
    for (int k = 0; k < 12; ++k) {
      const SkinPlace a{pick_u(rng), face + pick_v(rng)}, b{pick_u(rng), face + pick_v(rng)};
      const Result<TapePath> path = tape.Path(a, b);
      ASSERT_TRUE(path.has_value());
      // Where the tape leaves the face the sheet is not asked to follow it.
      const bool stays = std::all_of(path->places.begin(), path->places.end(), [&](const auto& p) {
        return p.v >= face && p.v <= face + 1.0;
      });
      if (!stays) continue;
      const double flat = (patch.At(a).at - patch.At(b).at).norm();
      worst = std::max(worst, std::abs(flat - path->length));
      const LengthPair own = patch.LengthsBetween(a, b);
      EXPECT_NEAR(own.surface, path->length, 0.02) << "line on the sheet against the tape";
    }
  }
  RecordProperty("worst_length_error_mm", std::to_string(worst));
  std::printf("cranked arm: worst marked length %.4f mm off the tape\n", worst);
  EXPECT_LT(worst, 0.2);
  EXPECT_GT(worst, 0.0);
}

// ---- Pieces

TEST(DevelopFacePiece, CarriesItsDatumsAndWords) {
  const Part part = BoxPart(CrankedArm());
  PieceRequest r;
  r.part = &part;
  r.marks = {Mark("A1", 70, 6.4, {3.2, 8.5}), Mark("A2", 150, 6.6)};
  r.align = {"inner end", "bottom edge", "front edge"};
  const Result<PieceResult> made = DevelopFacePiece(r, part.faces[3]);
  ASSERT_TRUE(made.has_value()) << made.error().message;
  const DevelopedPiece& piece = made->piece;
  std::printf("face piece: stretch %.2e rms %.2e worst length %.4f mm\n", piece.stretch_max,
              piece.stretch_rms, piece.worst_length_error);
  EXPECT_EQ(piece.name, "rear");
  EXPECT_LE(piece.worst_length_error, 0.2);
  ASSERT_EQ(piece.marks.size(), 2u);
  EXPECT_EQ(piece.marks[0].diameters.size(), 2u);
  EXPECT_FALSE(piece.marks[0].outline.empty());
  EXPECT_TRUE(piece.marks[1].outline.empty());
  EXPECT_EQ(made->layout.not_shown, std::vector<std::string>{"front edge"});
  EXPECT_NE(FindLine(piece, FlatLineKind::align, "cut edge flush with the inner end"), nullptr);
  EXPECT_NE(FindLine(piece, FlatLineKind::align, "tangent line of the bottom edge"), nullptr);
  EXPECT_GT(made->layout.range.v_to, 7.0) << "a flap goes past the bottom edge";
  // On the rear, up lies in the sheet and front does not.
  EXPECT_EQ(piece.up_word, "UP");
  EXPECT_GT(piece.up.y(), 0.7);
  EXPECT_EQ(piece.front_word, "OUTBOARD");
  // Seen from outside, looking forward at the rear of a left-hand part, outboard is to the left.
  EXPECT_LT(piece.front.x(), -0.7);
  double lo_x = 1e9, lo_y = 1e9;
  for (const Vec2& p : CutLine(made->patch).points) {
    lo_x = std::min(lo_x, p.x());
    lo_y = std::min(lo_y, p.y());
  }
  EXPECT_NEAR(lo_x, 0.0, 0.01) << "without the flaps over its edges";
  EXPECT_NEAR(lo_y, 0.0, 0.01);
}

TEST(DevelopFacePiece, CutsOutABracketAndNamesTheSidesToLayIt) {
  Part part = BoxPart(Box({{0, 0, 0}, {0, 300, 0}}, {{60, 60, 8}, {60, 60, 8}}));
  Fitting bracket;
  bracket.name = "cable bracket";
  bracket.face = "top";
  bracket.centre = {180, 4.5};
  bracket.footprint = {false, 0.0, 165, 195, 24};
  part.fittings = {bracket};
  PieceRequest r;
  r.part = &part;
  r.marks = {Mark("B", 120, 4.5)};
  r.align = {"cable bracket"};
  const Result<PieceResult> made = DevelopFacePiece(r, part.faces[2]);
  ASSERT_TRUE(made.has_value()) << made.error().message;
  const FlatLine* side = FindLine(made->piece, FlatLineKind::align, "edge of the cable bracket");
  ASSERT_NE(side, nullptr);
  EXPECT_EQ(side->words.English(), "inboard edge of the cable bracket");
  EXPECT_NEAR((side->points.front() - side->points.back()).norm(), 24.0, 1e-6);
  EXPECT_NEAR(std::abs(side->points.front().x() - made->piece.marks[0].at.x()), 45.0, 1e-6);
  EXPECT_NE(FindLine(made->piece, FlatLineKind::fitting, "cable bracket"), nullptr);
  EXPECT_EQ(made->piece.up_word, "OUTBOARD");
  EXPECT_EQ(made->piece.front_word, "FRONT");
  EXPECT_GT(made->piece.front.y(), 0.99) << "front upward on a top face";
}

TEST(DevelopJoinedPiece, WrapsATubeWithItsSeamAwayFromMarksAndLines) {
  const Part part = TubePart(Tube(38, 400));
  PieceRequest r;
  r.part = &part;
  r.marks = {Mark("K", 150, 0.0), Mark("L", 170, 3.4, {4, 9})};
  r.align = {"right end", "bottom"};
  r.backing = 0.2;
  const Result<PieceResult> made = DevelopJoinedPiece(r);
  ASSERT_TRUE(made.has_value()) << made.error().message;
  const PieceLayout& layout = made->layout;
  EXPECT_TRUE(layout.closed);
  EXPECT_LT(made->piece.stretch_max, 1e-9);
  EXPECT_LT(made->piece.worst_length_error, 1e-9);
  const double seam = part.skin->Wrapped(layout.range.v_from);
  for (const double v : {0.0, 3.4}) EXPECT_GT(std::abs(std::remainder(seam - v, 4.0)), 1.0);
  int butts = 0;
  for (const FlatLine& line : made->piece.lines) butts += line.kind == FlatLineKind::butt;
  EXPECT_EQ(butts, 2);
  EXPECT_NE(FindLine(made->piece, FlatLineKind::align, "along the bottom"), nullptr);
  // The sheet is girth by station, with its long way along x.
  double width = 0.0, height = 0.0;
  for (const Vec2& p : made->piece.lines.front().points) {
    width = std::max(width, p.x());
    height = std::max(height, p.y());
  }
  EXPECT_NEAR(std::max(width, height), 2 * kPi * 38.1, 1e-6);
  EXPECT_NEAR(std::min(width, height), 190.0, 1e-6);
  const Vec2 apart = made->piece.marks[1].at - made->piece.marks[0].at;
  EXPECT_NEAR(std::abs(apart.x()) + std::abs(apart.y()), 20.0 + 0.6 * 38.1 * kPi / 2, 1e-6);
}

TEST(DevelopJoinedPiece, JoinsTheFacesOfABoxPrism) {
  const Part part = BoxPart(Box({{0, 0, 0}, {0, 300, 0}}, {{60, 60, 8}, {60, 60, 8}}));
  PieceRequest r;
  r.part = &part;
  r.marks = {Mark("A", 90, 0.5), Mark("B", 140, 2.5)};
  r.align = {"inner end"};
  const Result<PieceResult> made = DevelopJoinedPiece(r);
  ASSERT_TRUE(made.has_value()) << made.error().message;
  EXPECT_FALSE(made->layout.closed);
  EXPECT_EQ(made->piece.name, "underside, front");
  const double girth = 44.0 + 8.0 * kPi / 2;
  EXPECT_NEAR((made->piece.marks[0].at - made->piece.marks[1].at).norm(), std::hypot(50.0, girth),
              1e-9);
  int tangents = 0;
  for (const FlatLine& line : made->piece.lines) tangents += line.kind == FlatLineKind::tangent;
  EXPECT_GE(tangents, 2);
}

TEST(DevelopJoinedPiece, RefusesADoublyCurvedPatchAndStatesItsStretch) {
  // A tube bent on a tight radius is a piece of torus: no sheet lies on all of it.
  const double bend = 120.0;
  std::vector<Vec3> centres;
  std::vector<double> radii;
  for (int k = 0; k <= 6; ++k) {
    const double angle = 15.0 * kDegree * k;
    centres.push_back({bend * std::cos(angle), bend * std::sin(angle), 0.0});
    radii.push_back(40.0);
  }
  const Part part = TubePart(Round(centres, radii));
  PieceRequest r;
  r.part = &part;
  r.marks = {Mark("A", 30, 0.0), Mark("B", 100, 1.0), Mark("C", 150, 3.0)};
  r.align = {"right end"};
  const Result<PieceResult> made = DevelopJoinedPiece(r);
  ASSERT_FALSE(made.has_value());
  EXPECT_EQ(made.error().kind, ErrorKind::job);
  EXPECT_NE(made.error().message.find("stretches by up to"), std::string::npos)
      << made.error().message;
  EXPECT_NE(made.error().message.find("would be off by"), std::string::npos);
  EXPECT_EQ(made.error().message.find(';', made.error().message.find("off by")),
            std::string::npos);  // what to do instead is known to who asks
  r.instead = "ask less";
  EXPECT_NE(DevelopJoinedPiece(r).error().message.find("mm; ask less"), std::string::npos);
}

// ---- Numeric flattening of a surface given directly

PatchSurface SphereCap(double sphere, double cap) {
  PatchSurface patch;
  // The square [-1, 1]^2 onto the disc (elliptic mapping of squares to discs), then azimuthal
  // equidistant onto the sphere.
  auto at = [sphere, cap](double x, double y) -> Vec3 {
    const double a = cap * x * std::sqrt(1.0 - 0.5 * y * y);
    const double b = cap * y * std::sqrt(1.0 - 0.5 * x * x);
    const double r = std::hypot(a, b), angle = r / sphere;
    const double scale = r > 1e-12 ? sphere * std::sin(angle) / r : 1.0;
    return {scale * a, scale * b, sphere * std::cos(angle)};
  };
  patch.at = [at, sphere](double u, double v, int, int) {
    const double h = 1e-5;
    SkinPoint p;
    p.position = at(u, v);
    p.du = (at(u + h, v) - at(u - h, v)) / (2 * h);
    p.dv = (at(u, v + h) - at(u, v - h)) / (2 * h);
    p.normal = p.position / sphere;
    return p;
  };
  // The corners of the square are singular on the disc: stay just inside them.
  for (int k = 0; k <= 4; ++k) {
    patch.u_breaks.push_back(0.98 * (-1.0 + 0.5 * k));
    patch.v_breaks.push_back(0.98 * (-1.0 + 0.5 * k));
  }
  return patch;
}

// Least distortion of a map of a spherical cap: the ratio of greatest to least stretch is at least
// (alpha / sin alpha) for a cap of angular radius alpha, reached by the azimuthal equidistant map.
// Source: J. Milnor, A problem in cartography, Amer. Math. Monthly 76 (1969) 1101-1112. For a cap
// of 40 mm on R 150 that is 1.01195, 0.6 % each way.
TEST(Development, OfASphereCapNearsTheLeastPossibleStretch) {
  const DevelopedPatch patch = DevelopedPatch::Unroll(SphereCap(150, 40), 6);
  const DevelopedPatch relaxed = patch.Relaxed();
  const StretchOfPatch mean = relaxed.Measured();
  const StretchOfPatch minimax = relaxed.Relaxed(30).Measured();
  std::printf(
      "cap R150 r40: least squares max %.4f %% rms %.4f %%, minimax max %.4f %% rms %.4f %%\n",
      100 * mean.max, 100 * mean.rms, 100 * minimax.max, 100 * minimax.rms);
  EXPECT_NEAR(mean.rms, 0.003629, 0.0001);
  EXPECT_NEAR(mean.max, 2.0 * 0.004444, 0.0003);
  EXPECT_LT(minimax.max, 0.0065);
  EXPECT_LT(minimax.max, mean.max);
  EXPECT_GT(minimax.max, 0.0055) << "below the least possible: the measurement is wrong";
  EXPECT_GT(mean.least_area, 0.0);
}

// ---- The other side

TEST(Mirrored, TwiceIsTheSameAndKeepsLettering) {
  const Part part = BoxPart(CrankedArm());
  PieceRequest r;
  r.part = &part;
  r.marks = {Mark("A1", 70, 6.4, {3.2, 8.5}), Mark("A2", 150, 6.6)};
  r.align = {"inner end", "bottom edge"};
  const Result<PieceResult> made = DevelopFacePiece(r, part.faces[3]);
  ASSERT_TRUE(made.has_value());
  const DevelopedPiece once = Mirrored(made->piece), twice = Mirrored(once);
  EXPECT_EQ(once.name, made->piece.name);
  EXPECT_DOUBLE_EQ(once.front.x(), -made->piece.front.x());
  EXPECT_DOUBLE_EQ(once.up.y(), made->piece.up.y());
  ASSERT_EQ(once.marks.size(), made->piece.marks.size());
  for (std::size_t k = 0; k < once.marks.size(); ++k) {
    EXPECT_EQ(once.marks[k].name, made->piece.marks[k].name);
    EXPECT_LT((twice.marks[k].at - made->piece.marks[k].at).norm(), 1e-9);
    EXPECT_DOUBLE_EQ(once.marks[k].at.y(), made->piece.marks[k].at.y());
  }
  const double apart = (made->piece.marks[0].at - made->piece.marks[1].at).x();
  EXPECT_NEAR((once.marks[0].at - once.marks[1].at).x(), -apart, 1e-9);
  EXPECT_GT(std::abs(apart), 50.0);
}

TEST(Mirrored, IsTheDevelopmentOfTheMirroredPart) {
  // The right-hand part built from mirrored sections, its marks at the mirrored places.
  const auto left = CrankedArm();
  SkinLaw law = left->law();
  for (Vec3& c : law.centres) c = Mirrored(c);
  const auto right = MakeSkin(law);
  const Part left_part = BoxPart(left), right_part = BoxPart(right);
  PieceRequest r;
  r.part = &left_part;
  r.marks = {Mark("A", 70, 6.4), Mark("B", 150, 6.6)};
  r.align = {"inner end", "bottom edge"};
  PieceRequest other = r;
  other.part = &right_part;
  other.outboard_y = -1.0;
  const Result<PieceResult> one = DevelopFacePiece(r, left_part.faces[3]);
  const Result<PieceResult> two = DevelopFacePiece(other, right_part.faces[3]);
  ASSERT_TRUE(one.has_value());
  ASSERT_TRUE(two.has_value());
  const DevelopedPiece flipped = Mirrored(one->piece);
  for (std::size_t k = 0; k < 2; ++k) {
    // As seen from the first mark: flaps over the edges move the corner of the whole.
    const Vec2 off = flipped.marks[k].at - flipped.marks[0].at;
    EXPECT_LT((two->piece.marks[0].at + off - two->piece.marks[k].at).norm(), 1e-6);
  }
  EXPECT_LT((flipped.front - two->piece.front).norm(), 1e-6);
  EXPECT_EQ(flipped.front_word, two->piece.front_word);
}

// ---- Laws

TEST(DevelopFacePiece, NeverOverlapsItself) {
  const Part part = BoxPart(CrankedArm());
  std::mt19937 rng(3);
  std::uniform_real_distribution<double> pick_u(40, part.skin->u_end() - 40), pick_v(0.15, 0.85);
  int made_count = 0;
  for (int k = 0; k < 8; ++k) {
    const Face& face = part.faces[k % 4];
    PieceRequest r;
    r.part = &part;
    r.marks = {Mark("A", pick_u(rng), face.piece + pick_v(rng)),
               Mark("B", pick_u(rng), face.piece + pick_v(rng))};
    r.align = {face.first_edge, "inner end"};
    const Result<PieceResult> made = DevelopFacePiece(r, face);
    ASSERT_TRUE(made.has_value()) << made.error().message;
    const std::vector<Vec2>& outline = made->piece.lines.front().points;
    EXPECT_FALSE(CrossesItself(outline));
    EXPECT_GT(made->patch.Measured().least_area, 0.0);
    double area = 0.0;
    for (std::size_t i = 0; i < outline.size(); ++i) {
      const Vec2 &p = outline[i], &q = outline[(i + 1) % outline.size()];
      area += 0.5 * (p.x() * q.y() - p.y() * q.x());
    }
    EXPECT_GT(std::abs(area), 1000.0);
    // The outline's winding is one turn: its area is that of the surface.
    for (const FlatMark& m : made->piece.marks) {
      EXPECT_TRUE(made->patch.Inverse(m.at).has_value());
    }
    ++made_count;
  }
  EXPECT_EQ(made_count, 8);
}

TEST(CrossesItself, SeesAFigureOfEight) {
  EXPECT_FALSE(CrossesItself({{0, 0}, {4, 0}, {4, 4}, {0, 4}}));
  EXPECT_TRUE(CrossesItself({{0, 0}, {4, 4}, {4, 0}, {0, 4}}));
}

TEST(Inverse, FindsThePlaceAgain) {
  const auto skin = CrankedArm();
  const DevelopedPatch patch = Develop(skin, {0, skin->u_end(), 4.0, 5.0}, {});
  std::mt19937 rng(5);
  std::uniform_real_distribution<double> pick_u(0, skin->u_end()), pick_v(4, 5);
  for (int k = 0; k < 50; ++k) {
    const SkinPlace p{pick_u(rng), pick_v(rng)};
    const std::optional<SkinPlace> back = patch.Inverse(patch.At(p).at);
    ASSERT_TRUE(back.has_value());
    EXPECT_NEAR(back->u, p.u, 1e-6);
    EXPECT_NEAR(back->v, p.v, 1e-6);
  }
  EXPECT_FALSE(patch.Inverse(patch.At(0, 4.5).at + Vec2(-1e4, 0)).has_value());
}

}  // namespace
}  // namespace holeward
