#include "geometry/develop_cutout.h"

#include <algorithm>
#include <cmath>
#include <memory>
#include <random>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "geometry/develop_lines.h"
#include "geometry/develop_piece.h"
#include "geometry/polygon.h"
#include "tests/geometry/made_parts.h"

namespace holeward {
namespace {

using test::Asked;
using test::BoxPart;
using test::BoxSkin;

Part Prism() { return BoxPart(BoxSkin({{0, 0, 0}, {0, 300, 0}}, {{60, 60}, {60, 60}})); }

PieceMark Mark(const std::string& name, double u, double v) {
  PieceMark mark;
  mark.name = name;
  mark.place = {u, v};
  mark.diameters = {8.0};
  return mark;
}

// Across the part at u from front to rear, 8 mm longer than it is wide there; leaning forward.
Fitting Eye(const Skin& skin, double u, double diameter, double lean = 0.0) {
  Fitting f;
  f.name = "eye";
  f.kind = "eye";
  f.shape = FittingShape::eye;
  f.centre = {u, 2.5};
  const Vec3 front = skin.At(u, 2.5).position, rear = skin.At(u, 6.5).position;
  const Vec3 middle = 0.5 * (front + rear);
  const Vec3 way = (front - rear).normalized() + std::tan(lean) * skin.At(u, 2.5).du.normalized();
  const double half = (0.5 * (front - rear).norm() + 8.0) * way.norm();
  f.cylinder_from = middle - half * way.normalized();
  f.cylinder_to = middle + half * way.normalized();
  f.diameter = diameter;
  return f;
}

Fitting Clip(double u_from, double u_to, double v, double around) {
  Fitting f = test::Bracket("front", u_from, u_to, v, around);
  f.name = "clip";
  return f;
}

std::vector<const FlatLine*> Inside(const DevelopedPiece& piece) {
  std::vector<const FlatLine*> out;
  for (std::size_t k = 1; k < piece.lines.size(); ++k) {
    const FlatLine& line = piece.lines[k];
    if (line.kind == FlatLineKind::cut && line.closed) out.push_back(&line);
  }
  return out;
}

const FlatLine* WithWords(const DevelopedPiece& piece, const std::string& words) {
  for (const FlatLine& line : piece.lines) {
    if (line.words.English() == words) return &line;
  }
  return nullptr;
}

double LeastFrom(const Vec2& p, const std::vector<Vec2>& points) {
  double least = 1e300;
  for (const Vec2& q : points) least = std::min(least, (q - p).norm());
  return least;
}

TEST(CutOut, RoundAnEyeAtAnEndIsHalfACircleWithTheGap) {
  Part part = Prism();
  part.fittings = {Eye(*part.skin, 0.0, 24.0)};
  const PieceRequest r = Asked(part, 80, 2.5, {"inner end", "bottom edge"});
  const Result<PieceResult> made = DevelopFacePiece(r, part.faces[1]);
  ASSERT_TRUE(made.has_value()) << made.error().message;
  EXPECT_TRUE(made->layout.not_shown.empty()) << "16 mm of the end are left";
  const Vec2 middle = made->patch.At(0.0, 2.5).at;
  EXPECT_TRUE(Inside(made->piece).empty()) << "a bite, not a hole";
  EXPECT_NEAR(LeastFrom(middle, made->piece.lines.front().points), 14.0, 0.02);
  const FlatLine* eye = WithWords(made->piece, "eye: cut out 2.0 mm clear all round");
  ASSERT_NE(eye, nullptr);
  for (const Vec2& p : eye->points) EXPECT_NEAR((p - middle).norm(), 12.0, 1e-3);
  EXPECT_LT(made->piece.worst_wrap_error, 1e-6);
  EXPECT_FALSE(CrossesItself(made->piece.lines.front().points));
}

TEST(CutOut, AnEyeThatTheSheetIsAlignedToLiesAgainstItsEdge) {
  Part part = Prism();
  part.fittings = {Eye(*part.skin, 0.0, 40.0)};
  const PieceRequest r = Asked(part, 80, 2.5, {"eye", "bottom edge"});
  const Result<PieceResult> made = DevelopFacePiece(r, part.faces[1]);
  ASSERT_TRUE(made.has_value()) << made.error().message;
  EXPECT_TRUE(made->layout.not_shown.empty());
  const FlatLine* edge = WithWords(made->piece, "cut edge against the eye");
  ASSERT_NE(edge, nullptr);
  EXPECT_EQ(edge->kind, FlatLineKind::align);
  const Vec2 middle = made->patch.At(0.0, 2.5).at;
  for (const Vec2& p : edge->points) {
    EXPECT_NEAR((p - middle).norm(), 20.0, 1e-3);
    EXPECT_LT(OffBorder(made->piece.lines.front().points, p), 1e-3);
  }
  EXPECT_TRUE(made->fix.Fixed());
}

// The end is all but cut away by a large eye: it is no datum any more.
TEST(CutOut, AnEndBehindALargeEyeDoesNotCountAsShown) {
  Part part = Prism();
  part.fittings = {Eye(*part.skin, 0.0, 52.0)};
  const PieceRequest r = Asked(part, 80, 2.5, {"inner end", "bottom edge"});
  const Result<PieceResult> made = DevelopFacePiece(r, part.faces[1]);
  ASSERT_TRUE(made.has_value()) << made.error().message;
  EXPECT_EQ(made->layout.not_shown, std::vector<std::string>{"inner end"});
}

TEST(CutOut, IsNotMadeOnAFaceThatTheEyeDoesNotReach) {
  Part part = Prism();
  part.fittings = {Eye(*part.skin, 0.0, 24.0)};
  const PieceRequest r = Asked(part, 80, 4.5, {"inner end", "front edge"});
  const Result<PieceResult> made = DevelopFacePiece(r, part.faces[2]);
  ASSERT_TRUE(made.has_value()) << made.error().message;
  EXPECT_EQ(WithWords(made->piece, "eye: cut out 2.0 mm clear all round"), nullptr);
}

// Wherever the border of the sheet is the cut-out's, it is the gap away from the cylinder.
TEST(CutOut, OfALeaningEyeInABentArmKeepsTheGapAllRound) {
  Part part =
      BoxPart(BoxSkin({{-110, 250, 320}, {-96, 350, 306}, {-101, 430, 288}, {-118, 540, 281}},
                      {{56, 45}, {61, 50}, {57, 48}, {49, 43}}));
  std::mt19937 rng(20261129);
  std::uniform_real_distribution<double> at(110, 150), lean(-0.4, 0.4), wide(14, 22);
  int places = 0;
  for (int k = 0; k < 6; ++k) {
    const Fitting eye = Eye(*part.skin, at(rng), wide(rng), lean(rng));
    part.fittings = {eye};
    PieceRequest r = Asked(part, 60, 2.5, {"inner end", "bottom edge"});
    r.marks.push_back(Mark("B", 210, 2.5));
    const Result<PieceResult> made = DevelopFacePiece(r, part.faces[1]);
    ASSERT_TRUE(made.has_value()) << made.error().message;
    ASSERT_EQ(Inside(made->piece).size(), 1u);
    const Vec3 axis = (eye.cylinder_to - eye.cylinder_from).normalized();
    for (const Vec2& p : Inside(made->piece)[0]->points) {
      const auto place = made->patch.Inverse(p, 1e-3);
      ASSERT_TRUE(place.has_value());
      const Vec3 off = made->patch.SurfaceAt(place->u, place->v).position - eye.cylinder_from;
      EXPECT_NEAR((off - axis * axis.dot(off)).norm(), 0.5 * eye.diameter + 2.0, 0.01);
      ++places;
    }
  }
  EXPECT_GT(places, 300);
}

TEST(CutOut, NearTheBorderIsCutThroughToIt) {
  Part part = Prism();
  const PieceRequest r = [&] {
    PieceRequest asked = Asked(part, 60, 2.5, {"inner end", "bottom edge"});
    asked.marks.push_back(Mark("B", 180, 2.5));
    return asked;
  }();
  // To the border 3.1 mm of corner beyond what is cut 2 mm clear.
  part.fittings = {Clip(110, 130, 2.75, 26.0)};
  const Result<PieceResult> through = DevelopFacePiece(r, part.faces[1]);
  ASSERT_TRUE(through.has_value()) << through.error().message;
  EXPECT_TRUE(Inside(through->piece).empty());
  EXPECT_FALSE(CrossesItself(through->piece.lines.front().points));
  part.fittings = {Clip(110, 130, 2.5, 26.0)};
  const Result<PieceResult> inside = DevelopFacePiece(r, part.faces[1]);
  ASSERT_TRUE(inside.has_value()) << inside.error().message;
  EXPECT_EQ(Inside(inside->piece).size(), 1u) << "15 mm are left on either side";
}

TEST(CutOut, ThatNoSlitLeadsToIsSaid) {
  Part part = Prism();
  part.fittings = {Clip(110, 126, 2.5, 10.0)};
  PieceRequest r = Asked(part, 60, 2.5, {"inner end", "bottom edge"});
  EXPECT_TRUE(DevelopFacePiece(r, part.faces[1])->remarks.empty());
  r.marks.push_back(Mark("B", 180, 2.5));
  const Result<PieceResult> free = DevelopFacePiece(r, part.faces[1]);
  ASSERT_TRUE(free.has_value()) << free.error().message;
  EXPECT_TRUE(free->remarks.empty());
  // Holes of 8 mm all round, 16 apart: a slit 5 mm clear of each finds no way.
  for (int k = 0; k < 4; ++k) {
    for (const double v : {2.16, 2.84}) {
      r.marks.push_back(Mark("C" + std::to_string(2 * k + (v > 2.5)), 94 + 16 * k, v));
    }
  }
  r.marks.push_back(Mark("D", 92, 2.5));
  r.marks.push_back(Mark("E", 144, 2.5));
  const Result<PieceResult> crowded = DevelopFacePiece(r, part.faces[1]);
  ASSERT_TRUE(crowded.has_value()) << crowded.error().message;
  ASSERT_EQ(crowded->remarks.size(), 1u);
  EXPECT_NE(crowded->remarks[0].find("no straight slit to the cut-out round the clip keeps 5 mm"),
            std::string::npos);
}

}  // namespace
}  // namespace holeward
