#include <algorithm>
#include <cmath>
#include <cstdio>
#include <memory>
#include <random>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "geometry/develop_lines.h"
#include "geometry/misfit_fit.h"
#include "geometry/misfit_guard.h"
#include "geometry/misfit_search.h"
#include "tests/geometry/made_parts.h"

namespace holeward {
namespace {

using test::BoxPart;

// A straight box, its sections at both ends; straight between.
std::shared_ptr<const Skin> Box(const Vec2& from, const Vec2& to, double corner = 8.0) {
  return test::BoxSkin({{0, 0, 0}, {0, 300, 0}}, {from, to}, corner);
}

Fitting Bracket(double u, double v, double height) {
  Fitting f;
  f.name = "bracket";
  f.face = "top";
  f.centre = {u, v};
  f.footprint = {false, 0.0, u - 15.0, u + 15.0, 24.0};
  f.height = height;
  return f;
}

PieceRequest Asked(const Part& part, double u, double v, std::vector<std::string> align) {
  return test::Asked(part, u, v, std::move(align), {});
}

std::vector<Misfit> Misfits(const PieceRequest& r, int face) {
  const Result<PieceResult> made =
      DevelopFacePiece(r, r.part->faces[static_cast<std::size_t>(face)]);
  EXPECT_TRUE(made.has_value()) << (made ? "" : made.error().message);
  return made ? FindMisfits(r, *made) : std::vector<Misfit>{};
}

bool Has(const std::vector<Misfit>& all, const std::string& face, bool other_side, bool turned) {
  return std::any_of(all.begin(), all.end(), [&](const Misfit& m) {
    return m.face == face && m.other_side == other_side && m.turned == turned;
  });
}

TEST(Misfit, APieceOfASquareBoxFitsEveryFaceEitherSideAndEndForEnd) {
  const Part part = BoxPart(Box({60, 60}, {60, 60}));
  const std::vector<Misfit> all = Misfits(Asked(part, 80, 4.4, {"inner end", "front edge"}), 2);
  for (const char* face : {"underside", "front", "top", "rear"}) {
    EXPECT_TRUE(Has(all, face, true, true) || Has(all, face, true, false)) << face;
    EXPECT_TRUE(Has(all, face, false, true)) << face << ": end for end";
  }
  for (const Misfit& m : all) EXPECT_LT(m.deviation, 0.01) << m.face;
  EXPECT_FALSE(Has(all, "top", false, false)) << "its own place is no wrong one";
}

TEST(Misfit, OnOneSideOnlyThereIsNoOtherSideToFit) {
  const Part part = BoxPart(Box({60, 60}, {60, 60}));
  PieceRequest r = Asked(part, 80, 4.4, {"inner end", "front edge"});
  r.sides = 1;
  const std::vector<Misfit> all = Misfits(r, 2);
  EXPECT_FALSE(all.empty());
  for (const Misfit& m : all) EXPECT_FALSE(m.other_side) << m.face;
}

TEST(Misfit, ASheetFoldedOverBothEdgesFitsNoFaceOfAnotherWidth) {
  const Part part = BoxPart(Box({60, 44}, {60, 44}));
  const Result<PieceResult> made =
      DevelopFacePiece(Asked(part, 80, 4.5, {"inner end", "front edge"}), part.faces[2]);
  ASSERT_TRUE(made.has_value());
  ASSERT_LT(made->layout.range.v_from, made->layout.core_from);
  ASSERT_GT(made->layout.range.v_to, made->layout.core_to);
  const std::vector<Misfit> all = Misfits(Asked(part, 80, 4.5, {"inner end", "front edge"}), 2);
  EXPECT_TRUE(Has(all, "underside", false, true) || Has(all, "underside", false, false));
  for (const Misfit& m : all) {
    EXPECT_NE(m.face, "front") << "16 mm narrower";
    EXPECT_NE(m.face, "rear");
  }
}

// From one end to the other the face grows from 50 to 64: two folds 14 mm apart cannot be turned.
TEST(Misfit, ATaperTellsTheEnds) {
  const Part part = BoxPart(Box({50, 60}, {64, 60}));
  const PieceRequest r = Asked(part, 60, 4.5, {"inner end", "front edge"});
  const std::vector<Misfit> all = Misfits(r, 2);
  EXPECT_FALSE(Has(all, "top", false, true)) << "end for end on a face 11 mm wider there";
}

TEST(Misfit, APieceLaidByABracketFitsOnlyWhereThereIsOne) {
  Part part = BoxPart(Box({60, 60}, {60, 60}));
  part.fittings = {Bracket(180, 4.5, 30.0)};
  const std::vector<Misfit> all = Misfits(Asked(part, 110, 4.5, {"bracket", "front edge"}), 2);
  EXPECT_FALSE(all.empty()) << "its mirror image has the bracket too";
  for (const Misfit& m : all) EXPECT_EQ(m.face, "top") << "no other face has a bracket";
}

TEST(Misfit, ASheetDoesNotLieOverABracketItHasNoOpeningFor) {
  Part part = BoxPart(Box({60, 60}, {60, 60}));
  const PieceRequest bare = Asked(part, 60, 0.5, {"inner end", "front edge"});
  ASSERT_TRUE(Has(Misfits(bare, 0), "top", true, false) ||
              Has(Misfits(bare, 0), "top", true, true));
  // Where the sheet would come to lie at either end.
  part.fittings = {Bracket(40, 4.5, 30.0), Bracket(260, 4.5, 30.0)};
  for (const Misfit& m : Misfits(Asked(part, 60, 0.5, {"inner end", "front edge"}), 0)) {
    EXPECT_NE(m.face, "top");
  }
  // A flat plate stops no sheet.
  for (Fitting& f : part.fittings) f.height = 2.0;
  const std::vector<Misfit> low = Misfits(Asked(part, 60, 0.5, {"inner end", "front edge"}), 0);
  EXPECT_TRUE(Has(low, "top", true, false) || Has(low, "top", true, true));
}

// An eye across the inner end, between the front and the rear.
Fitting Eye(const Skin& skin) {
  Fitting f;
  f.name = "eye";
  f.kind = "eye";
  f.shape = FittingShape::eye;
  f.centre = {0.0, 2.5};
  const Vec3 front = skin.At(0.0, 2.5).position, rear = skin.At(0.0, 6.5).position;
  f.cylinder_from = rear + 0.1 * (rear - front);
  f.cylinder_to = front + 0.1 * (front - rear);
  f.diameter = 40.0;
  return f;
}

TEST(Misfit, ASheetDoesNotLieOverAnEyeItHasNoOpeningFor) {
  Part part = BoxPart(Box({60, 60}, {60, 60}));
  const PieceRequest r = Asked(part, 240, 4.5, {"outer end", "front edge"});
  ASSERT_TRUE(Has(Misfits(r, 2), "front", false, true));
  ASSERT_TRUE(Has(Misfits(r, 2), "rear", false, true));
  part.fittings = {Eye(*part.skin)};
  const std::vector<Misfit> all = Misfits(r, 2);
  EXPECT_FALSE(Has(all, "front", false, true)) << "the eye comes through the front there";
  EXPECT_FALSE(Has(all, "rear", false, true));
  EXPECT_TRUE(Has(all, "top", false, true)) << "the eye is narrower than the arm is high";
  EXPECT_TRUE(Has(all, "front", false, false)) << "no eye at the outer end";
}

// Past the upper corner of the front nothing stands; past the same corner of the same sheet on the
// rear a bracket does.
TEST(Misfit, AFlapPreventsAPlaceWhereSomethingStandsInItsWay) {
  Part part = BoxPart(Box({60, 60}, {60, 60}));
  part.fittings = {Bracket(80, 0.5, 30.0)};
  part.fittings[0].face = "underside";
  part.fittings[0].footprint.around = 44.0;
  PieceRequest r = Asked(part, 80, 2.5, {"inner end", "top edge"});
  r.sides = 1;
  Result<PieceResult> made = DevelopFacePiece(r, part.faces[1]);
  ASSERT_TRUE(made.has_value()) << made.error().message;
  made->flaps.clear();
  ASSERT_TRUE(Has(FindMisfits(r, *made), "rear", false, false)) << "without any flap it fits";
  const std::size_t lines = made->piece.lines.size();
  GuardAgainstMisfits(r, *made);
  ASSERT_FALSE(made->flaps.empty());
  EXPECT_GT(made->piece.lines.size(), lines);
  EXPECT_FALSE(Has(made->piece.misfits, "rear", false, false));
  EXPECT_TRUE(Has(made->piece.misfits, "top", false, false)) << "nothing stands on the rear";
  EXPECT_FALSE(CrossesItself(made->piece.lines.front().points));
  EXPECT_LT(made->piece.worst_wrap_error, 1e-6);
}

TEST(Misfit, NoFlapIsMadeWhereNothingStandsAnywhere) {
  const Part part = BoxPart(Box({60, 60}, {60, 60}));
  PieceRequest r = Asked(part, 80, 2.5, {"inner end", "top edge"});
  Result<PieceResult> made = DevelopFacePiece(r, part.faces[1]);
  ASSERT_TRUE(made.has_value()) << made.error().message;
  const std::size_t flaps = made->flaps.size();
  GuardAgainstMisfits(r, *made);
  EXPECT_EQ(made->flaps.size(), flaps);
  EXPECT_FALSE(made->piece.misfits.empty()) << "then it is said in words";
}

// A corner of a sheet moved by a known motion is laid back by it, and the bound from below never
// exceeds the distance reached.
TEST(FitLines, UndoesAMotionAndBoundsTheWorstFromBelow) {
  std::mt19937 random(20261128);
  std::uniform_real_distribution<double> angle(-3.0, 3.0), shift(-200.0, 200.0), bend(-4.0, 4.0);
  int worked = 0;
  for (int round = 0; round < 60; ++round) {
    std::vector<Feature> target{{FeatureKind::end, {}}, {FeatureKind::edge, {}}};
    const double bow = bend(random);
    for (int k = 0; k <= 16; ++k) {
      target[0].points.emplace_back(0.0, 60.0 * k / 16.0);
      const double x = 300.0 * k / 16.0;
      target[1].points.emplace_back(x, bow * std::sin(kPi * x / 300.0));
    }
    const RigidMotion moved{angle(random), {shift(random), shift(random)}};
    std::vector<Feature> piece{{FeatureKind::end, {}}, {FeatureKind::edge, {}}};
    for (int k = 0; k <= 8; ++k) {
      piece[0].points.push_back(moved(Vec2(0.0, 5.0 * k)));
      piece[1].points.push_back(moved(Vec2(15.0 * k, 0.0)));
    }
    const std::vector<RigidFit> fits = FitLines(piece, target, 20.0);
    ASSERT_FALSE(fits.empty());
    const auto best =
        std::min_element(fits.begin(), fits.end(),
                         [](const RigidFit& a, const RigidFit& b) { return a.worst < b.worst; });
    for (const RigidFit& fit : fits) EXPECT_LE(fit.least, fit.worst + 1e-9);
    EXPECT_LE(best->worst, std::abs(bow) + 1e-6) << "the motion undone is off by the bow at most";
    EXPECT_NEAR(best->least, best->worst, 0.1 * best->worst + 1e-3);
    worked += std::abs(bow) > 1.0 ? 1 : 0;
  }
  EXPECT_GT(worked, 30);
}

TEST(FitLines, AreNoneWithoutALikeLine) {
  const Feature end{FeatureKind::end, {{0, 0}, {0, 40}}};
  const Feature edge{FeatureKind::edge, {{0, 0}, {100, 0}}};
  EXPECT_TRUE(FitLines({end, edge}, {end}, 100.0).empty());
  EXPECT_TRUE(FitLines({}, {end}, 100.0).empty());
}

}  // namespace
}  // namespace holeward
