#include "models/templates.h"

#include <algorithm>
#include <cmath>
#include <memory>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

#include "geometry/develop_lines.h"
#include "geometry/polygon.h"

namespace holeward {
namespace {

// A scene, its job and its placed points, made by hand so that only templates are tried.
struct Bench {
  Job job;
  Scene scene;
  std::vector<PlacedPoint> placed;

  void Add(const std::string& part, const std::string& name, double u, double v, PointUse use,
           std::vector<double> drill = {}) {
    PointRow row;
    row.name = name;
    row.part = part;
    row.use = use;
    row.drill = std::move(drill);
    job.points.push_back(row);
    PlacedPoint p;
    p.name = name;
    p.part = part;
    p.place = {u, v};
    const SkinPoint s = scene.FindPart(part)->skin->At(u, v);
    p.position = s.position;
    p.normal = s.normal;
    placed.push_back(p);
  }
};

std::shared_ptr<const Skin> MakeSkin(SkinLaw law) {
  Result<Skin> skin = Skin::Make(std::move(law));
  EXPECT_TRUE(skin.has_value()) << (skin ? "" : skin.error().message);
  return skin ? std::make_shared<const Skin>(std::move(*skin)) : nullptr;
}

std::vector<Vec2> BoxCorners(double width, double height) {
  const double a = 0.5 * width, b = 0.5 * height;
  return {{a, -b}, {a, b}, {-a, b}, {-a, -b}};
}

Part BoxPart(const std::string& name, std::vector<Vec3> centres, std::vector<Vec2> sizes) {
  SkinLaw law;
  law.centres = std::move(centres);
  for (const Vec2& s : sizes) {
    law.vertices.push_back(BoxCorners(s.x(), s.y()));
    law.corner_radii.push_back(std::vector<double>(4, 8.0));
  }
  Part part;
  part.name = name;
  part.skin = MakeSkin(law);
  part.start = "inner end";
  part.finish = "outer end";
  part.faces = {{"underside", 0, "rear edge", "front edge"},
                {"front", 2, "bottom edge", "top edge"},
                {"top", 4, "front edge", "rear edge"},
                {"rear", 6, "top edge", "bottom edge"}};
  return part;
}

Part TubePart() {
  SkinLaw law;
  law.centres = {{0, -300, 0}, {0, 300, 0}};
  law.round = true;
  law.radii = {36, 36};
  law.girth_origin_v = 0.0;
  Part part;
  part.name = "tube";
  part.skin = MakeSkin(law);
  part.start = "right end";
  part.finish = "left end";
  part.lines = {{"bottom", 0.0}, {"front", 1.0}, {"top", 2.0}, {"rear", 3.0}};
  Fitting strap;
  strap.name = "strap plate";
  strap.kind = "plate";
  strap.face = "top";
  strap.centre = {420, 2.0};
  strap.footprint = {false, 0.0, 395, 445, 90};
  part.fittings = {strap};
  return part;
}

// Opens upward: lip, web side, underside, other side, lip. Faces: rear, underside, front outsides.
Part ChannelPart() {
  SkinLaw law;
  law.centres = {{0, 0, 0}, {0, 250, 0}};
  for (int k = 0; k < 2; ++k) {
    law.vertices.push_back({{-30, 25}, {-30, -25}, {30, -25}, {30, 25}});
    law.corner_radii.push_back({0, 7, 7, 0});
  }
  law.closed = false;
  law.girth_origin_v = 2.5;
  Part part;
  part.name = "rail";
  part.channel = true;
  part.skin = MakeSkin(law);
  part.start = "near end";
  part.finish = "far end";
  part.faces = {{"rear", 0, "top edge", "bottom edge"},
                {"underside", 2, "rear edge", "front edge"},
                {"front", 4, "bottom edge", "top edge"}};
  return part;
}

Bench Prism() {
  Bench b;
  b.scene.parts.push_back(BoxPart("beam", {{0, 0, 0}, {0, 320, 0}}, {{60, 50}, {60, 50}}));
  return b;
}

// Bent as strongly as its section allows: its corners do not lie flat.
Bench Crank() {
  Bench b;
  b.scene.parts.push_back(BoxPart("arm",
                                  {{0, 0, 0}, {40, 110, -30}, {-10, 220, -50}, {0, 330, -10}},
                                  {{58, 46}, {62, 52}, {56, 50}, {50, 44}}));
  return b;
}

TemplateRow Row(const std::string& part, std::vector<std::string> align) {
  TemplateRow row;
  row.name = "sheet";
  row.part = part;
  row.align = std::move(align);
  row.at = {12, 1};
  return row;
}

bool AnyNote(const TemplatePieces& t, const std::string& text) {
  return std::any_of(t.notes.begin(), t.notes.end(),
                     [&](const std::string& note) { return note.find(text) != std::string::npos; });
}

bool HasAlign(const DevelopedPiece& piece, const std::string& text) {
  return std::any_of(piece.lines.begin(), piece.lines.end(), [&](const FlatLine& line) {
    return line.kind == FlatLineKind::align && line.words.English().find(text) != std::string::npos;
  });
}

TEST(Templates, JoinTheFacesOfAPrism) {
  Bench b = Prism();
  b.Add("beam", "A", 80, 0.5, PointUse::reference);
  b.Add("beam", "B", 120, 2.5, PointUse::drill, {3.2, 8});
  const auto made = DevelopTemplate(Row("beam", {"inner end"}), b.job, b.scene, b.placed);
  ASSERT_TRUE(made.has_value()) << made.error().message;
  ASSERT_EQ(made->pieces.size(), 1u);
  EXPECT_EQ(made->pieces[0].marks.size(), 2u);
  EXPECT_LT(made->pieces[0].worst_length_error, 1e-6);
  EXPECT_LT(made->pieces[0].stretch_max, 1e-6);
}

TEST(Templates, GiveOnePieceAFaceWhereTheJoinedPieceDoesNotDevelop) {
  Bench b = Crank();
  b.Add("arm", "A", 60, 0.5, PointUse::test);
  b.Add("arm", "B", 150, 2.5, PointUse::drill, {3.2, 8});
  b.Add("arm", "C", 260, 0.4, PointUse::reference);
  b.Add("arm", "D", 300, 4.5, PointUse::drill, {4});
  const auto made = DevelopTemplate(Row("arm", {"inner end", "bottom edge", "front edge"}), b.job,
                                    b.scene, b.placed);
  ASSERT_TRUE(made.has_value()) << made.error().message;
  ASSERT_EQ(made->pieces.size(), 3u);
  EXPECT_EQ(made->pieces[0].name, "underside");
  EXPECT_EQ(made->pieces[0].marks.size(), 2u);
  EXPECT_EQ(made->pieces[1].name, "front");
  EXPECT_EQ(made->pieces[2].name, "top");
  for (const DevelopedPiece& piece : made->pieces) {
    EXPECT_LE(piece.worst_length_error, 0.2) << piece.name;
    EXPECT_GT(piece.stretch_max, 0.0);
    EXPECT_TRUE(HasAlign(piece, "inner end")) << piece.name;
  }
  EXPECT_TRUE(HasAlign(made->pieces[1], "bottom edge"));
  EXPECT_TRUE(AnyNote(*made, "piece \"front\" cannot show \"front edge\""));
  EXPECT_TRUE(made->pieces[0].marks[0].test);
  EXPECT_DOUBLE_EQ(made->pieces[0].marks[0].foot, b.job.test.foot);
}

TEST(Templates, TakeEveryPointOfThePartWhenNoneIsNamed) {
  Bench b = Prism();
  b.scene.parts.push_back(TubePart());
  b.Add("beam", "A", 80, 0.5, PointUse::reference);
  b.Add("tube", "T", 300, 0.2, PointUse::reference);
  b.Add("beam", "B", 120, 0.6, PointUse::reference);
  const auto made = DevelopTemplate(Row("beam", {"inner end"}), b.job, b.scene, b.placed);
  ASSERT_TRUE(made.has_value()) << made.error().message;
  ASSERT_EQ(made->pieces.size(), 1u);
  EXPECT_EQ(made->pieces[0].marks.size(), 2u);
}

TEST(Templates, ProposeTheTwoBestDatumsWhenNoneOfTheNamedShows) {
  Bench b = Prism();
  b.Add("beam", "A", 250, 2.2, PointUse::reference);
  const auto made = DevelopTemplate(Row("beam", {"rear edge"}), b.job, b.scene, b.placed);
  ASSERT_TRUE(made.has_value()) << made.error().message;
  ASSERT_EQ(made->pieces.size(), 1u);
  EXPECT_TRUE(AnyNote(*made,
                      "it cannot show \"rear edge\"; it is aligned to \"outer end\" and "
                      "\"bottom edge\" instead"))
      << (made->notes.empty() ? "no note" : made->notes[0]);
  EXPECT_TRUE(HasAlign(made->pieces[0], "cut edge flush with the outer end"));
  EXPECT_TRUE(HasAlign(made->pieces[0], "tangent line of the bottom edge"));
}

TEST(Templates, ThatCouldSlideAreAlignedToOneDatumMore) {
  Bench b = Prism();
  b.Add("beam", "A", 250, 2.2, PointUse::reference);
  const auto made = DevelopTemplate(Row("beam", {"bottom edge"}), b.job, b.scene, b.placed);
  ASSERT_TRUE(made.has_value()) << made.error().message;
  EXPECT_TRUE(
      AnyNote(*made,
              "piece \"front\": laid by \"bottom edge\" alone it can slide along the part; it "
              "is aligned to \"outer end\" as well"))
      << (made->notes.empty() ? "no note" : made->notes[0]);
  EXPECT_TRUE(HasAlign(made->pieces[0], "cut edge flush with the outer end"));
}

TEST(Templates, ThatCanSlideAlongATubeAreRefusedWhereNothingHoldsThem) {
  Bench b;
  Part tube = TubePart();
  tube.fittings.clear();
  tube.start = tube.finish = "";
  b.scene.parts.push_back(tube);
  b.Add("tube", "K", 320, 0.0, PointUse::reference);
  const auto made = DevelopTemplate(Row("tube", {"bottom"}), b.job, b.scene, b.placed);
  ASSERT_FALSE(made.has_value());
  EXPECT_EQ(made.error().kind, ErrorKind::job);
  EXPECT_NE(made.error().message.find("laid by \"bottom\" alone it can slide along the part, and "
                                      "nothing else of part \"tube\""),
            std::string::npos)
      << made.error().message;
}

TEST(Templates, ThatOnlyMeetAnEndCanTurnRoundATube) {
  Bench b;
  b.scene.parts.push_back(TubePart());
  b.Add("tube", "K", 40, 0.3, PointUse::reference);
  const auto made = DevelopTemplate(Row("tube", {"right end"}), b.job, b.scene, b.placed);
  ASSERT_TRUE(made.has_value()) << made.error().message;
  EXPECT_TRUE(AnyNote(*made, "laid by \"right end\" alone it can slide round the part"));
  EXPECT_TRUE(HasAlign(made->pieces[0], "along the bottom of the tube"));
}

// ---- Cut-outs

Fitting Bracket(double u_from, double u_to, double v, double around) {
  Fitting f;
  f.name = "clip";
  f.kind = "bracket";
  f.face = "front";
  f.centre = {0.5 * (u_from + u_to), v};
  f.footprint = {false, 0.0, u_from, u_to, around};
  return f;
}

std::vector<const FlatLine*> Cuts(const DevelopedPiece& piece) {
  std::vector<const FlatLine*> out;
  for (const FlatLine& line : piece.lines) {
    if (line.kind == FlatLineKind::cut) out.push_back(&line);
  }
  return out;
}

Vec2 SizeOf(const std::vector<Vec2>& points) {
  Vec2 lo = points.front(), hi = points.front();
  for (const Vec2& p : points) {
    lo = lo.cwiseMin(p);
    hi = hi.cwiseMax(p);
  }
  return hi - lo;
}

TEST(Templates, AreCutOutRoundABracketWithTheGapAndASlit) {
  Bench b = Prism();
  b.scene.parts[0].fittings = {Bracket(100, 120, 2.5, 10)};
  b.Add("beam", "A", 60, 2.5, PointUse::drill, {8});
  b.Add("beam", "B", 160, 2.5, PointUse::drill, {8});
  TemplateRow row = Row("beam", {"inner end", "bottom edge"});
  row.gap = 3.0;
  const auto made = DevelopTemplate(row, b.job, b.scene, b.placed);
  ASSERT_TRUE(made.has_value()) << made.error().message;
  ASSERT_EQ(made->pieces.size(), 1u);
  const std::vector<const FlatLine*> cuts = Cuts(made->pieces[0]);
  ASSERT_EQ(cuts.size(), 3u);
  ASSERT_TRUE(cuts[1]->closed);
  EXPECT_NEAR(SizeOf(cuts[1]->points).x(), 20.0 + 2 * 3.0, 1e-4);
  EXPECT_NEAR(SizeOf(cuts[1]->points).y(), 10.0 + 2 * 3.0, 1e-4);
  ASSERT_FALSE(cuts[2]->closed);
  for (const FlatMark& mark : made->pieces[0].marks) {
    for (const Vec2& p : cuts[2]->points) EXPECT_GT((p - mark.at).norm(), 4.0 + 5.0 - 1e-9);
  }
  EXPECT_LE(made->pieces[0].worst_wrap_error, 1e-6);
}

TEST(Templates, LieAgainstABracketTheyAreAlignedTo) {
  Bench b = Prism();
  b.scene.parts[0].fittings = {Bracket(100, 120, 2.5, 10)};
  b.Add("beam", "A", 60, 2.5, PointUse::drill, {8});
  const auto made = DevelopTemplate(Row("beam", {"clip", "bottom edge"}), b.job, b.scene, b.placed);
  ASSERT_TRUE(made.has_value()) << made.error().message;
  EXPECT_TRUE(HasAlign(made->pieces[0], "edge of the clip"));
  // The bite's near side lies on the bracket, 40 along from A; its long sides are clear of it.
  const DevelopedPiece& piece = made->pieces[0];
  double nearest = 1e9;
  for (const Vec2& p : piece.lines.front().points) {
    const Vec2 off = p - piece.marks[0].at;
    if (std::abs(off.y()) < 7.5 && std::abs(off.x()) > 30.0) {
      nearest = std::min(nearest, std::abs(std::abs(off.x()) - 40.0));
    }
  }
  EXPECT_LT(nearest, 1e-4);
}

TEST(Templates, LeaveLessGapWhereAHoleIsNearAndRefuseAHoleUnderTheFitting) {
  Bench b = Prism();
  b.scene.parts[0].fittings = {Bracket(100, 120, 2.5, 10)};
  b.Add("beam", "A", 94, 2.5, PointUse::drill, {8});  // 2 from the bracket
  const auto near =
      DevelopTemplate(Row("beam", {"inner end", "bottom edge"}), b.job, b.scene, b.placed);
  ASSERT_TRUE(near.has_value()) << near.error().message;
  EXPECT_TRUE(AnyNote(*near, "is only 1.0 mm clear of it, so that A stays whole"));
  b.job.points.clear();
  b.placed.clear();
  b.Add("beam", "A", 97, 2.5, PointUse::drill, {8});  // reaches 1 under it
  const auto under =
      DevelopTemplate(Row("beam", {"inner end", "bottom edge"}), b.job, b.scene, b.placed);
  ASSERT_FALSE(under.has_value());
  EXPECT_NE(under.error().message.find("the outline of A lies over the clip by 1.0 mm"),
            std::string::npos)
      << under.error().message;
}

// Brackets anywhere on the face: the sheet never crosses itself, keeps every mark, and what is cut
// out has the area of the bracket and its gap where it lies inside.
TEST(Templates, NeverOverlapThemselvesRoundBracketsAnywhere) {
  std::mt19937 random(20240611);
  std::uniform_real_distribution<double> share(0.0, 1.0);
  int bites = 0, holes = 0;
  for (int round = 0; round < 25; ++round) {
    Bench b = Prism();
    const double from = 20.0 + 200.0 * share(random), length = 10.0 + 40.0 * share(random);
    b.scene.parts[0].fittings = {
        Bracket(from, from + length, 2.03 + 0.94 * share(random), 6.0 + 14.0 * share(random))};
    b.Add("beam", "A", 10, 2.5, PointUse::reference);
    b.Add("beam", "B", 300, 2.5, PointUse::reference);
    const auto made =
        DevelopTemplate(Row("beam", {"inner end", "bottom edge"}), b.job, b.scene, b.placed);
    ASSERT_TRUE(made.has_value()) << made.error().message;
    for (const DevelopedPiece& piece : made->pieces) {
      EXPECT_FALSE(CrossesItself(piece.lines.front().points)) << round;
      for (const FlatMark& mark : piece.marks) {
        EXPECT_TRUE(IsInside(piece.lines.front().points, mark.at)) << round;
      }
      const std::vector<const FlatLine*> cuts = Cuts(piece);
      (cuts.size() > 1 ? holes : bites) += 1;
      if (cuts.size() < 2) continue;
      const Footprint& foot = b.scene.parts[0].fittings[0].footprint;
      EXPECT_NEAR(std::abs(AreaOf(cuts[1]->points)), (length + 4.0) * (foot.around + 4.0), 1e-2);
    }
  }
  EXPECT_GT(holes, 5);
  EXPECT_GT(bites, 0);
}

TEST(Templates, SayOnThePieceThatTheyAreForACoatedPart) {
  Bench b = Prism();
  PartRow part;
  part.name = "beam";
  part.coating = 2.0;
  b.job.parts.push_back(part);
  b.Add("beam", "A", 60, 2.5, PointUse::reference);
  const auto made =
      DevelopTemplate(Row("beam", {"inner end", "bottom edge"}), b.job, b.scene, b.placed);
  ASSERT_TRUE(made.has_value()) << made.error().message;
  EXPECT_EQ(made->pieces[0].made_for.English(), "for a part coated 2 mm thick");
}

// On a round tube the sheet's middle lies on a cylinder that is larger by the coating and half the
// backing: lengths round it grow as the radius does, lengths along it stay.
TEST(Templates, ACoatingLengthensAWrapRoundATube) {
  const auto apart = [](double coating, double backing) {
    Bench b;
    b.scene.parts.push_back(TubePart());
    PartRow part;
    part.name = "tube";
    part.coating = coating;
    b.job.parts.push_back(part);
    b.Add("tube", "K", 320, 0.0, PointUse::reference);
    b.Add("tube", "P", 320, 0.5, PointUse::reference);
    b.Add("tube", "Q", 350, 0.0, PointUse::reference);
    TemplateRow row = Row("tube", {"strap plate", "bottom"});
    row.backing = backing;
    const auto made = DevelopTemplate(row, b.job, b.scene, b.placed);
    EXPECT_TRUE(made.has_value() && made->pieces.size() == 1);
    if (coating > 0.0) {
      EXPECT_TRUE(AnyNote(*made, "laid out for tube with its coating, 2 mm thick, on"));
    }
    EXPECT_LE(made->pieces[0].marks[1].wrap_error, 1e-6);
    const auto& marks = made->pieces[0].marks;
    return std::pair{(marks[1].at - marks[0].at).norm(), (marks[2].at - marks[0].at).norm()};
  };
  const auto [bare, bare_along] = apart(0.0, 0.0);
  const auto [coated, coated_along] = apart(2.0, 0.1);
  EXPECT_NEAR(coated / bare, (36.0 + 2.0 + 0.05) / 36.0, 1e-9);
  EXPECT_NEAR(coated_along, bare_along, 1e-9);
}

TEST(Templates, LayATubeWrapByABracketAndALine) {
  Bench b;
  b.scene.parts.push_back(TubePart());
  b.Add("tube", "K", 320, 0.0, PointUse::reference);
  b.Add("tube", "P", 330, 3.3, PointUse::test);
  const auto made =
      DevelopTemplate(Row("tube", {"strap plate", "bottom"}), b.job, b.scene, b.placed);
  ASSERT_TRUE(made.has_value()) << made.error().message;
  ASSERT_EQ(made->pieces.size(), 1u);
  EXPECT_TRUE(HasAlign(made->pieces[0], "edge of the strap plate"));
  EXPECT_TRUE(HasAlign(made->pieces[0], "along the bottom of the tube"));
  EXPECT_TRUE(made->notes.empty()) << made->notes[0];
  // Tape from the plate's near side to K is 75 along the tube; the sheet shows the same.
  int sides = 0;
  for (const FlatLine& line : made->pieces[0].lines) {
    if (line.words.English().find("edge of the strap plate") == std::string::npos) continue;
    const Vec2 along = (line.points.back() - line.points.front()).normalized();
    const Vec2 to_mark = made->pieces[0].marks[0].at - line.points.front();
    const double off = std::abs(along.x() * to_mark.y() - along.y() * to_mark.x());
    const double around = 36.0 * kPi - 45.0;  // from the bottom to the plate's side
    const bool across = std::abs(off - 75.0) < 1e-6;
    EXPECT_TRUE(across || std::abs(off - around) < 1e-6) << off;
    sides += across;
  }
  EXPECT_EQ(sides, 1);
}

TEST(Templates, CoverTheOutsideFacesOfAChannel) {
  Bench b;
  b.scene.parts.push_back(ChannelPart());
  b.Add("rail", "A", 60, 0.5, PointUse::drill, {5});
  b.Add("rail", "B", 90, 2.5, PointUse::reference);
  const auto joined =
      DevelopTemplate(Row("rail", {"near end", "top edge"}), b.job, b.scene, b.placed);
  ASSERT_TRUE(joined.has_value()) << joined.error().message;
  ASSERT_EQ(joined->pieces.size(), 1u);
  EXPECT_EQ(joined->pieces[0].name, "rear, underside");
  EXPECT_TRUE(HasAlign(joined->pieces[0], "cut edge flush with the top edge"));
  TemplateRow one = Row("rail", {"near end", "bottom edge"});
  one.points = {"A"};
  const auto face = DevelopTemplate(one, b.job, b.scene, b.placed);
  ASSERT_TRUE(face.has_value()) << face.error().message;
  ASSERT_EQ(face->pieces.size(), 1u);
  EXPECT_EQ(face->pieces[0].name, "rear");
}

TEST(Templates, LeaveOutPointsOfTheOtherSide) {
  Bench b = Prism();
  b.Add("beam", "A", 80, 0.5, PointUse::reference);
  TemplateRow row = Row("beam", {"inner end"});
  row.points = {"A", "Z"};
  const auto made = DevelopTemplate(row, b.job, b.scene, b.placed);
  ASSERT_TRUE(made.has_value());
  ASSERT_EQ(made->pieces.size(), 1u);
  EXPECT_TRUE(AnyNote(*made, "point \"Z\" is not on this side"));
  row.points = {"Z"};
  const auto none = DevelopTemplate(row, b.job, b.scene, b.placed);
  ASSERT_TRUE(none.has_value());
  EXPECT_TRUE(none->pieces.empty());
}

TEST(Templates, RefuseWithTheirNameAndTheStretch) {
  Bench b = Crank();
  // On a rounded corner of a bent arm: no single face holds it, and joined it does not lie flat.
  b.Add("arm", "A", 60, 1.5, PointUse::reference);
  b.Add("arm", "B", 200, 2.5, PointUse::reference);
  b.Add("arm", "C", 120, 7.5, PointUse::reference);
  const auto made = DevelopTemplate(Row("arm", {"inner end"}), b.job, b.scene, b.placed);
  ASSERT_FALSE(made.has_value());
  EXPECT_EQ(made.error().kind, ErrorKind::job);
  EXPECT_EQ(made.error().message.rfind("template \"sheet\": ", 0), 0u) << made.error().message;
  EXPECT_NE(made.error().message.find("stretches by up to"), std::string::npos)
      << made.error().message;
  EXPECT_NE(made.error().message.find("; put fewer points on one template"), std::string::npos);
}

// A tube bent in a bow: no sheet lies on it without an error.
Bench Bow() {
  SkinLaw law;
  law.centres = {{0, -150, 0}, {8, 0, 0}, {0, 150, 0}};
  law.round = true;
  law.radii = {30, 30, 30};
  law.girth_origin_v = 0.0;
  Part part = TubePart();
  part.skin = MakeSkin(law);
  part.fittings.clear();
  Bench b;
  b.scene.parts.push_back(part);
  b.Add("tube", "K", 60, 0.3, PointUse::reference);
  b.Add("tube", "L", 250, 0.3, PointUse::reference);
  return b;
}

double WorstWrap(const TemplatePieces& made) {
  double worst = 0.0;
  for (const DevelopedPiece& piece : made.pieces) {
    worst = std::max(worst, piece.worst_wrap_error);
  }
  return worst;
}

TEST(Templates, AreCutIntoPiecesUntilTheWrapErrorHolds) {
  Bench b = Bow();
  b.job.limits.wrap_error = 100.0;
  const TemplateRow row = Row("tube", {"bottom"});
  const auto whole = DevelopTemplate(row, b.job, b.scene, b.placed);
  ASSERT_TRUE(whole.has_value()) << whole.error().message;
  ASSERT_EQ(whole->pieces.size(), 1u);
  b.job.limits.wrap_error = 0.6 * WorstWrap(*whole);
  const auto cut = DevelopTemplate(row, b.job, b.scene, b.placed);
  ASSERT_TRUE(cut.has_value()) << cut.error().message;
  ASSERT_EQ(cut->pieces.size(), 2u);
  EXPECT_NE(cut->pieces[0].name.find(" at K"), std::string::npos) << cut->pieces[0].name;
  EXPECT_NE(cut->pieces[1].name.find(" at L"), std::string::npos) << cut->pieces[1].name;
  EXPECT_LE(WorstWrap(*cut), b.job.limits.wrap_error);
  EXPECT_TRUE(AnyNote(*cut, "it is cut into pieces"));
}

TEST(Templates, OverTheWrapLimitSayWhichMarkByHowMuch) {
  Bench b = Bow();
  b.job.limits.wrap_error = 1e-3;
  const auto made = DevelopTemplate(Row("tube", {"right end", "bottom"}), b.job, b.scene, b.placed);
  ASSERT_FALSE(made.has_value());
  EXPECT_EQ(made.error().kind, ErrorKind::job);
  for (const char* part : {"template \"sheet\": tube, ", "the mark ", " would land ",
                           "the limit wrap_error is 0.001 mm"}) {
    EXPECT_NE(made.error().message.find(part), std::string::npos) << made.error().message;
  }
}

TEST(Templates, OfAJobComeInItsOrder) {
  Bench b = Prism();
  b.Add("beam", "A", 80, 0.5, PointUse::reference);
  b.job.templates = {Row("beam", {"inner end"}), Row("beam", {"front edge"})};
  b.job.templates[1].name = "second";
  const auto made = DevelopTemplates(b.job, b.scene, b.placed);
  ASSERT_TRUE(made.has_value());
  ASSERT_EQ(made->size(), 2u);
  EXPECT_EQ((*made)[0].name, "sheet");
  EXPECT_EQ((*made)[1].name, "second");
}

TEST(Templates, LeanADrillAsTheJobSays) {
  Bench b = Prism();
  b.Add("beam", "A", 80, 2.5, PointUse::drill, {10});
  b.job.points[0].axis = {AxisRow::Kind::lean, "up", 30.0 * kDegree};
  const auto made = DevelopTemplate(Row("beam", {"inner end"}), b.job, b.scene, b.placed);
  ASSERT_TRUE(made.has_value()) << made.error().message;
  const std::vector<Vec2>& hole = made->pieces[0].marks[0].outline;
  double x_lo = 1e9, x_hi = -1e9, y_lo = 1e9, y_hi = -1e9;
  for (const Vec2& p : hole) {
    x_lo = std::min(x_lo, p.x());
    x_hi = std::max(x_hi, p.x());
    y_lo = std::min(y_lo, p.y());
    y_hi = std::max(y_hi, p.y());
  }
  // A drill leaning by 30 degrees in a flat cuts an ellipse, d by d / cos 30.
  EXPECT_NEAR(x_hi - x_lo, 10.0, 1e-6);
  EXPECT_NEAR(y_hi - y_lo, 10.0 / std::cos(30.0 * kDegree), 1e-6);
}

}  // namespace
}  // namespace holeward
