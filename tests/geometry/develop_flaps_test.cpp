#include "geometry/develop_flaps.h"

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
using test::Bracket;
using test::TubePart;

constexpr double kCorner = 8.0;
constexpr double kTurn = 0.5 * kPi * kCorner;  // round one corner, mm

Part Prism() { return BoxPart(BoxSkin({{0, 0, 0}, {0, 300, 0}}, {{60, 50}, {60, 50}})); }

SkinLaw CrankedLaw() {
  return BoxSkin({{-110, 250, 320}, {-96, 350, 306}, {-101, 430, 288}, {-118, 540, 281}},
                 {{56, 45}, {61, 50}, {57, 48}, {49, 43}})
      ->law();
}

Fitting Eye(const Skin& skin) {
  Fitting f;
  f.name = "eye";
  f.kind = "eye";
  f.shape = FittingShape::eye;
  f.centre = {0.0, 0.5};
  const Vec3 middle = 0.5 * (skin.At(0.0, 2.5).position + skin.At(0.0, 6.5).position);
  const Vec3 across = (skin.At(0.0, 2.5).position - middle).normalized();
  f.cylinder_from = middle - 36.0 * across;
  f.cylinder_to = middle + 36.0 * across;
  f.diameter = 40.0;
  return f;
}

std::vector<Flap> OfKind(const std::vector<Flap>& flaps, FlatLineKind kind) {
  std::vector<Flap> out;
  for (const Flap& f : flaps) {
    if (f.line.kind == kind) out.push_back(f);
  }
  return out;
}

std::vector<Flap> Flaps(const PieceRequest& r, const PieceResult& made) {
  return FlapsOf(r, made.layout, made.patch);
}

// How far a flap goes past a line through two places.
double Beyond(const Flap& flap, const Vec2& a, const Vec2& b) {
  const Vec2 run = (b - a).normalized();
  double most = 0.0;
  for (const Vec2& p : flap.outline) {
    const Vec2 off = p - a;
    most = std::max(most, std::abs(run.x() * off.y() - run.y() * off.x()));
  }
  return most;
}

TEST(Flaps, GoOverTheEndAndPastTheCornerThatASheetIsLaidBy) {
  const Part part = Prism();
  const PieceRequest r = Asked(part, 80, 2.4, {"inner end", "bottom edge"});
  const Result<PieceResult> made = DevelopFacePiece(r, part.faces[1]);
  ASSERT_TRUE(made.has_value()) << made.error().message;
  const std::vector<Flap> flaps = Flaps(r, *made);
  const std::vector<Flap> over_end = OfKind(flaps, FlatLineKind::fold);
  const std::vector<Flap> over_corner = OfKind(flaps, FlatLineKind::tangent);
  ASSERT_EQ(over_end.size(), 1u);
  ASSERT_GE(over_corner.size(), 1u);
  const DevelopedPatch& patch = made->patch;
  EXPECT_NEAR(Beyond(over_end[0], patch.At(0, 2.0).at, patch.At(0, 3.0).at), kFlapReach, 1e-6);
  // Past the corner's whole turn and on to the underside: a quarter circle, by its closed form.
  for (const Flap& f : over_corner) {
    EXPECT_NEAR(Beyond(f, patch.At(0, 2.0).at, patch.At(50, 2.0).at), kTurn + kFlapReach, 1e-6);
  }
  double grown = std::abs(AreaOf(made->piece.lines.front().points));
  grown -= std::abs(AreaOf(CutLine(patch).points));
  double sum = 0.0;
  for (const Flap& f : flaps) {
    const double overlap = 0.5 * (f.outline.back() - f.outline.front()).norm();
    sum += std::abs(AreaOf(f.outline)) - overlap;
  }
  EXPECT_NEAR(grown, sum, 0.01) << "each flap is there once, and none lies on the sheet";
  EXPECT_FALSE(CrossesItself(made->piece.lines.front().points));
  EXPECT_LT(made->piece.worst_wrap_error, 1e-6);
}

TEST(Flaps, AreNotMadeWhereAFittingOrAnEyeStands) {
  Part part = Prism();
  part.fittings = {Bracket("underside", 5, 295, 0.5, 44)};
  const PieceRequest r = Asked(part, 80, 2.4, {"inner end", "bottom edge"});
  const Result<PieceResult> beside = DevelopFacePiece(r, part.faces[1]);
  ASSERT_TRUE(beside.has_value()) << beside.error().message;
  EXPECT_TRUE(OfKind(Flaps(r, *beside), FlatLineKind::tangent).empty());
  EXPECT_EQ(OfKind(Flaps(r, *beside), FlatLineKind::fold).size(), 1u);
  EXPECT_EQ(beside->remarks,
            std::vector<std::string>{"no flap finds room past the bottom edge: mark its tangent "
                                     "line with a straightedge first"});
  part.fittings = {Eye(*part.skin)};
  const PieceRequest at_top = Asked(part, 80, 4.4, {"inner end", "front edge"});
  const Result<PieceResult> by_eye = DevelopFacePiece(at_top, part.faces[2]);
  ASSERT_TRUE(by_eye.has_value()) << by_eye.error().message;
  EXPECT_TRUE(OfKind(Flaps(at_top, *by_eye), FlatLineKind::fold).empty());
  EXPECT_FALSE(OfKind(Flaps(at_top, *by_eye), FlatLineKind::tangent).empty());
}

TEST(Flaps, OfARoundEndAreShortAndSpreadRoundIt) {
  SkinLaw law;
  law.centres = {{0, 0, 0}, {0, 400, 0}};
  law.round = true;
  law.radii = {40, 40};
  law.girth_origin_v = 0.0;
  const Part part = TubePart(std::make_shared<const Skin>(*Skin::Make(law)));
  PieceRequest r = Asked(part, 60, 0.2, {"right end", "bottom"});
  r.wrap_up_to = 300.0;
  const Result<PieceResult> made = DevelopJoinedPiece(r);
  ASSERT_TRUE(made.has_value()) << made.error().message;
  const std::vector<Flap> flaps = Flaps(r, *made);
  ASSERT_EQ(flaps.size(), 4u) << "one for each 60 mm of a girth of 251";
  for (const Flap& f : flaps) EXPECT_NEAR((f.outline[1] - f.outline[4]).norm(), 12.0, 0.05);
  EXPECT_FALSE(CrossesItself(made->piece.lines.front().points));
}

// ---- What holds the sheet

std::vector<const FlatLine*> Closed(const DevelopedPiece& piece, FlatLineKind kind) {
  std::vector<const FlatLine*> out;
  for (std::size_t k = 1; k < piece.lines.size(); ++k) {
    if (piece.lines[k].kind == kind && piece.lines[k].closed) out.push_back(&piece.lines[k]);
  }
  return out;
}

double LeastApart(const std::vector<Vec2>& a, const std::vector<Vec2>& b) {
  double least = 1e300;
  for (const Vec2& p : a) least = std::min(least, OffBorder(b, p));
  for (const Vec2& p : b) least = std::min(least, OffBorder(a, p));
  return least;
}

TEST(Hold, SlotsTakeTheStrapClearOfMarksAndBorders) {
  const Part part = Prism();
  PieceRequest r = Asked(part, 100, 2.5, {"inner end", "bottom edge"});
  r.marks.push_back(r.marks.front());
  r.marks.back().name = "B";
  r.marks.back().place = {220, 2.4};
  r.strap = 20.0;
  const Result<PieceResult> made = DevelopFacePiece(r, part.faces[1]);
  ASSERT_TRUE(made.has_value()) << made.error().message;
  const std::vector<const FlatLine*> slots = Closed(made->piece, FlatLineKind::cut);
  ASSERT_EQ(slots.size(), 4u) << "two pairs";
  const std::vector<Vec2>& outline = made->piece.lines.front().points;
  for (const FlatLine* slot : slots) {
    EXPECT_NEAR(std::abs(AreaOf(slot->points)), 2.0 * 22.0, 1e-6)
        << "2 wide, 2 longer than the strap";
    EXPECT_GE(LeastApart(slot->points, outline), 5.0 - 1e-6);
    for (const FlatMark& m : made->piece.marks) {
      EXPECT_GE(LeastApart(slot->points, m.outline), 5.0 - 1e-6) << m.name;
    }
  }
  EXPECT_TRUE(made->remarks.empty());
}

TEST(Hold, MagnetsLieClearOfMarksCutOutsAndBorders) {
  Part part = Prism();
  part.fittings = {Bracket("front", 130, 160, 2.5, 14)};
  PieceRequest r = Asked(part, 100, 2.5, {"inner end", "bottom edge"});
  r.marks.push_back(r.marks.front());
  r.marks.back().name = "B";
  r.marks.back().place = {220, 2.4};
  r.magnet = 12.0;
  const Result<PieceResult> made = DevelopFacePiece(r, part.faces[1]);
  ASSERT_TRUE(made.has_value()) << made.error().message;
  const std::vector<const FlatLine*> magnets = Closed(made->piece, FlatLineKind::magnet);
  ASSERT_GE(magnets.size(), 2u);
  ASSERT_LE(magnets.size(), 4u);
  const std::vector<const FlatLine*> cuts = Closed(made->piece, FlatLineKind::cut);
  ASSERT_EQ(cuts.size(), 1u);
  for (const FlatLine* magnet : magnets) {
    EXPECT_GE(LeastApart(magnet->points, made->piece.lines.front().points), 5.0 - 1e-6);
    EXPECT_GE(LeastApart(magnet->points, cuts[0]->points), 5.0 - 1e-6);
    for (const FlatMark& m : made->piece.marks) {
      EXPECT_GE(LeastApart(magnet->points, m.outline), 5.0 - 1e-6) << m.name;
    }
  }
}

TEST(Hold, SaysWhereThereIsNoRoomForIt) {
  const Part part = Prism();
  PieceRequest r = Asked(part, 60, 2.5, {"inner end", "bottom edge"});
  r.strap = 60.0;
  const Result<PieceResult> strapped = DevelopFacePiece(r, part.faces[1]);
  ASSERT_TRUE(strapped.has_value()) << strapped.error().message;
  ASSERT_EQ(strapped->remarks.size(), 1u);
  EXPECT_EQ(strapped->remarks[0], "has no room for the slots of a strap 60 mm wide; tape it on");
  r.strap = 0.0;
  r.magnet = 60.0;
  const Result<PieceResult> pulled = DevelopFacePiece(r, part.faces[1]);
  ASSERT_TRUE(pulled.has_value()) << pulled.error().message;
  ASSERT_EQ(pulled->remarks.size(), 1u);
  EXPECT_EQ(pulled->remarks[0], "has no room for a magnet of 60 mm; tape it on");
}

// ---- The other side

// Greatest distance of a place of either line from the other.
double Apart(const FlatLine& a, const FlatLine& b) {
  auto one_way = [](const FlatLine& from, const FlatLine& to) {
    double most = 0.0;
    for (const Vec2& p : from.points) {
      double nearest = 1e300;
      const std::size_t n = to.points.size();
      for (std::size_t k = 0; k + (to.closed ? 0 : 1) < n; ++k) {
        nearest = std::min(nearest, OffBorder({to.points[k], to.points[(k + 1) % n]}, p));
      }
      most = std::max(most, nearest);
    }
    return most;
  };
  return std::max(one_way(a, b), one_way(b, a));
}

// Every line of one has its like in the other, as seen from their first marks.
void ExpectAlike(DevelopedPiece a, const DevelopedPiece& b) {
  ASSERT_EQ(a.lines.size(), b.lines.size());
  const Vec2 shift = b.marks.front().at - a.marks.front().at;
  for (FlatLine& line : a.lines) {
    for (Vec2& p : line.points) p += shift;
  }
  for (const FlatLine& line : a.lines) {
    double nearest = 1e300;
    for (const FlatLine& other : b.lines) {
      if (other.kind != line.kind || other.closed != line.closed) continue;
      // Of many slits of one length either side may have any.
      const bool slit = line.kind == FlatLineKind::cut && !line.closed;
      nearest = std::min(nearest, slit ? 0.0 : Apart(line, other));
    }
    EXPECT_LT(nearest, 1e-3) << static_cast<int>(line.kind) << " " << line.words.English();
  }
}

TEST(Flaps, CutOutsAndSlotsOfTheRightPartAreTheMirrorImageOfTheLeftOnes) {
  SkinLaw law = CrankedLaw();
  Part left = BoxPart(std::make_shared<const Skin>(*Skin::Make(law)));
  for (Vec3& c : law.centres) c = Mirrored(c);
  Part right = BoxPart(std::make_shared<const Skin>(*Skin::Make(law)));
  std::mt19937 rng(20261129);
  std::uniform_real_distribution<double> at(110, 130), wide(12, 18), v(0.45, 0.6);
  int cut = 0, flapped = 0, slotted = 0;
  for (int k = 0; k < 6; ++k) {
    const Face& face = left.faces[k % 4];
    const double u = at(rng), half = 0.5 * wide(rng);
    const Fitting stands = Bracket(face.name, u - half, u + half, face.piece + v(rng), 10.0);
    left.fittings = right.fittings = {stands};
    PieceRequest r = Asked(left, 60, face.piece + v(rng), {"inner end", face.first_edge});
    r.marks.push_back(r.marks.front());
    r.marks.back().name = "B";
    r.marks.back().place = {190, face.piece + v(rng)};
    r.strap = 15.0;
    PieceRequest other = r;
    other.part = &right;
    other.outboard_y = -1.0;
    const Result<PieceResult> one = DevelopFacePiece(r, left.faces[k % 4]);
    const Result<PieceResult> two = DevelopFacePiece(other, right.faces[k % 4]);
    ASSERT_TRUE(one.has_value()) << one.error().message;
    ASSERT_TRUE(two.has_value()) << two.error().message;
    ExpectAlike(Mirrored(one->piece), two->piece);
    flapped += Flaps(r, *one).empty() ? 0 : 1;
    const std::size_t closed = Closed(one->piece, FlatLineKind::cut).size();
    cut += closed > 0 ? 1 : 0;
    slotted += closed > 1 ? 1 : 0;
  }
  EXPECT_EQ(cut, 6);
  EXPECT_GE(flapped, 4);
  EXPECT_GE(slotted, 3);
}

}  // namespace
}  // namespace holeward
