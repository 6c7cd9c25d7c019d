#include "models/scene.h"

#include <algorithm>
#include <cmath>
#include <set>

#include <gtest/gtest.h>

#include "geometry/solid.h"
#include "models/part_solid.h"

namespace holeward {
namespace {

StationRow BoxStation(const Vec3& centre, double width, double height, double corner) {
  StationRow s;
  s.centre = centre;
  s.width = width;
  s.height = height;
  s.corner = corner;
  return s;
}

PartRow Arm() {
  PartRow part;
  part.name = "arm";
  part.wall = 2.6;
  part.ends = {EndKind::open, EndKind::closed};
  part.start = "inner end";
  part.finish = "outer end";
  part.stations = {BoxStation({-120, 240, 310}, 58, 46, 9), BoxStation({-112, 360, 300}, 62, 52, 9),
                   BoxStation({-120, 520, 282}, 50, 44, 9)};
  part.at = {10, 1};
  return part;
}

PartRow Tube() {
  PartRow part;
  part.name = "tube";
  part.section = SectionKind::round;
  part.shared = true;
  part.wall = 3.2;
  part.start = "right end";
  part.finish = "left end";
  for (const double y : {-420.0, 420.0}) {
    StationRow s;
    s.centre = {-20, y, 330};
    s.diameter = 76;
    part.stations.push_back(s);
  }
  part.at = {40, 1};
  return part;
}

PartRow Channel(const std::string& open) {
  PartRow part;
  part.name = "rail";
  part.section = SectionKind::channel;
  part.wall = 3.0;
  part.start = "near end";
  part.finish = "far end";
  part.stations = {BoxStation({0, 300, 200}, 60, 40, 6), BoxStation({400, 300, 200}, 60, 40, 6)};
  part.open = open;
  return part;
}

PartRow Outline() {
  PartRow part = Arm();
  part.name = "lever";
  part.section = SectionKind::outline;
  for (StationRow& s : part.stations) {
    // A top that slopes forward, underside second: the skin must find it.
    s.outline = {{28, -22}, {28, 10}, {10, 26}, {-28, 26}, {-28, -22}};
    s.corners = {8, 8, 8, 8, 8};
  }
  return part;
}

FittingRow Bracket(const std::string& name, const std::string& face, double station, Vec2 size) {
  FittingRow f;
  f.name = name;
  f.kind = FittingKind::bracket;
  f.face = face;
  f.station = station;
  f.size = size;
  f.height = 12.0;
  return f;
}

Job JobOf(std::vector<PartRow> parts) {
  Job job;
  job.parts = std::move(parts);
  return job;
}

SceneBuild Built(const Job& job, Side side = Side::left) {
  SceneBuild build = BuildScene(job, side);
  for (const JobError& e : build.errors) ADD_FAILURE() << e.message;
  for (const JobError& e : build.failures) ADD_FAILURE() << e.message;
  return build;
}

std::string FirstError(const Job& job, Side side = Side::left) {
  const SceneBuild build = BuildScene(job, side);
  return build.errors.empty() ? "" : build.errors.front().message;
}

void ExpectError(const Job& job, const std::string& text) {
  const std::string error = FirstError(job);
  EXPECT_NE(error.find(text), std::string::npos) << "found: " << error;
}

// ---------------------------------------------------------------- faces and lines

Vec3 NormalOf(const Part& part, const std::string& face) {
  const Face* f = part.FindFace(face);
  EXPECT_NE(f, nullptr) << face;
  return f ? part.skin->At(0.5 * part.skin->u_end(), f->piece + 0.5).normal : Vec3::Zero();
}

TEST(Scene, FacesLookTheWayTheyAreCalled) {
  for (const PartRow& row : {Arm(), Outline()}) {
    const auto build = Built(JobOf({row}));
    ASSERT_EQ(build.scene.parts.size(), 1u);
    const Part& part = build.scene.parts.front();
    EXPECT_GT(NormalOf(part, "front").x(), 0.9);
    EXPECT_LT(NormalOf(part, "rear").x(), -0.9);
    EXPECT_GT(NormalOf(part, "top").z(), 0.9);
    EXPECT_LT(NormalOf(part, "underside").z(), -0.9);
    EXPECT_EQ(part.FindFace("underside")->piece, 0);
  }
}

TEST(Scene, PartLyingAlongHasOutboardFacesOnEitherDescribedSide) {
  PartRow row = Arm();
  row.stations = {BoxStation({0, 300, 200}, 60, 40, 6), BoxStation({300, 300, 200}, 60, 40, 6)};
  EXPECT_GT(NormalOf(Built(JobOf({row})).scene.parts.front(), "outboard").y(), 0.9);
  Job right = JobOf({row});
  right.described_side = Side::right;
  for (StationRow& s : right.parts.front().stations) s.centre.y() *= -1.0;
  EXPECT_LT(NormalOf(Built(right, Side::right).scene.parts.front(), "outboard").y(), -0.9);
}

TEST(Scene, EdgesOfAFaceLieWhereTheyAreCalled) {
  const auto build = Built(JobOf({Arm()}));
  const Part& part = build.scene.parts.front();
  for (const Face& face : part.faces) {
    const double u = 0.4 * part.skin->u_end();
    const Vec3 first = part.skin->At(u, face.piece).position;
    const Vec3 second = part.skin->At(u, face.piece + 1.0).position;
    const Vec3 way = second - first;
    for (const auto& [edge, sign] :
         {std::pair{face.first_edge, -1.0}, std::pair{face.second_edge, 1.0}}) {
      if (edge == "top edge") {
        EXPECT_GT(sign * way.z(), 0.0) << face.name;
      }
      if (edge == "bottom edge") {
        EXPECT_LT(sign * way.z(), 0.0) << face.name;
      }
      if (edge == "front edge") {
        EXPECT_GT(sign * way.x(), 0.0) << face.name;
      }
      if (edge == "rear edge") {
        EXPECT_LT(sign * way.x(), 0.0) << face.name;
      }
      EXPECT_FALSE(edge.empty()) << face.name;
    }
  }
  EXPECT_EQ(part.faces.size(), 4u);
}

TEST(Scene, LinesOfARoundPartLieWhereTheyAreCalled) {
  const auto build = Built(JobOf({Tube()}));
  const Part& part = build.scene.parts.front();
  ASSERT_EQ(part.lines.size(), 4u);
  for (const NamedLine& line : part.lines) {
    const Vec3 n = part.skin->At(100.0, line.v).normal;
    if (line.name == "bottom") {
      EXPECT_NEAR(n.z(), -1.0, 1e-9);
    }
    if (line.name == "top") {
      EXPECT_NEAR(n.z(), 1.0, 1e-9);
    }
    if (line.name == "front") {
      EXPECT_NEAR(n.x(), 1.0, 1e-9);
    }
    if (line.name == "rear") {
      EXPECT_NEAR(n.x(), -1.0, 1e-9);
    }
  }
}

TEST(Scene, ChannelIsOpenWhereItSaysAndItsGirthStartsAtTheUnderside) {
  for (const std::string open : {"underside", "top", "inboard", "outboard"}) {
    const auto build = Built(JobOf({Channel(open)}));
    ASSERT_EQ(build.scene.parts.size(), 1u) << open;
    const Part& part = build.scene.parts.front();
    EXPECT_EQ(part.FindFace(open), nullptr);
    EXPECT_EQ(part.faces.size(), 3u);
    EXPECT_TRUE(part.channel);
    const double v = part.skin->VOfGirth(100.0, 0.0);
    const double z = part.skin->At(100.0, v).normal.z();
    EXPECT_NEAR(z, open == "underside" ? 1.0 : -1.0, 1e-9) << open;
    int lips = 0;
    for (const auto& face : part.solid->faces()) lips += face.role == FaceRole::lip;
    EXPECT_EQ(lips, 2);
    // Area by parts: two legs and a web, corners 6 outside and 3 inside.
    const bool side = open == "inboard" || open == "outboard";
    const double leg = side ? 60.0 : 40.0;
    const double web = side ? 40.0 : 60.0;
    const double area = 2.0 * (leg - 6.0) * 3.0 + (web - 12.0) * 3.0 + 0.5 * kPi * (36.0 - 9.0);
    EXPECT_NEAR(part.solid->volume() / (area * 400.0), 1.0, 1e-5) << open;
  }
}

TEST(Scene, EveryFamilyNamesEveryFaceOnce) {
  for (const PartRow& row : {Arm(), Tube(), Channel("underside"), Outline()}) {
    const auto build = Built(JobOf({row}));
    ASSERT_EQ(build.scene.parts.size(), 1u);
    std::set<std::string> names;
    for (const auto& f : build.scene.parts.front().solid->faces()) {
      EXPECT_TRUE(names.insert(f.name).second) << f.name;
    }
    EXPECT_GE(names.size(), 10u);
    EXPECT_TRUE(names.contains(row.start));
  }
  const auto arm = Built(JobOf({Arm()}));
  for (const char* name : {"rear", "rear inner", "corner rear-top", "outer end inner"}) {
    EXPECT_NE(arm.scene.parts.front().solid->Find(name), nullptr) << name;
  }
}

// ---------------------------------------------------------------- fittings

TEST(Scene, BracketFootprintIsItsSizeByTapeAlongItsMiddle) {
  PartRow row = Arm();
  row.fittings = {Bracket("damper bracket", "rear", 205, {36, 30})};
  const auto build = Built(JobOf({row}));
  const Part& part = build.scene.parts.front();
  const Fitting& f = part.fittings.front();
  EXPECT_NEAR(part.skin->StationOf(f.centre.u), 205.0, 1e-9);
  EXPECT_NEAR(f.footprint.around, 30.0, 0.0);
  // Length of the middle line by many short chords.
  double length = 0.0;
  Vec3 last = part.skin->At(f.footprint.u_from, f.centre.v).position;
  for (int i = 1; i <= 4000; ++i) {
    const double u = f.footprint.u_from + (f.footprint.u_to - f.footprint.u_from) * i / 4000;
    const Vec3 p = part.skin->At(u, f.centre.v).position;
    length += (p - last).norm();
    last = p;
  }
  EXPECT_NEAR(length, 36.0, 1e-6);
}

TEST(Scene, EyeLiesHorizontallyAcrossThePart) {
  PartRow row = Arm();
  FittingRow eye;
  eye.name = "inner mount";
  eye.diameter = 44;
  eye.length = 60;
  row.fittings = {eye};
  const auto build = Built(JobOf({row}));
  const Part& part = build.scene.parts.front();
  const Fitting& f = part.fittings.front();
  EXPECT_LT((0.5 * (f.cylinder_from + f.cylinder_to) - Vec3(-120, 240, 310)).norm(), 1e-9);
  const Vec3 axis = f.cylinder_to - f.cylinder_from;
  EXPECT_NEAR(axis.norm(), 60.0, 1e-9);
  EXPECT_NEAR(axis.z(), 0.0, 1e-9);
  EXPECT_NEAR(axis.dot(part.skin->FrameAt(0.0).tangent), 0.0, 1e-9);
}

TEST(Scene, SharedPartCarriesEachFittingAndItsMirrorImage) {
  PartRow row = Tube();
  row.fittings = {Bracket("mounting bracket", "top", 730, {60, 100})};
  const auto build = Built(JobOf({row}));
  const Part& part = build.scene.parts.front();
  ASSERT_EQ(part.fittings.size(), 2u);
  const Fitting& f = part.fittings[0];
  const Fitting& g = part.fittings[1];
  EXPECT_FALSE(f.mirrored);
  EXPECT_TRUE(g.mirrored);
  EXPECT_EQ(g.name, "mounting bracket (other side)");
  EXPECT_LT((Mirrored(part.skin->At(f.centre).position) - part.skin->At(g.centre).position).norm(),
            1e-6);
  EXPECT_NEAR(g.footprint.u_from, part.skin->u_end() - f.footprint.u_to, 1e-9);
  EXPECT_LT(g.footprint.u_from, g.footprint.u_to);
}

TEST(Scene, FittingOfOneSideIsACopyOnTheOther) {
  PartRow row = Tube();
  row.fittings = {Bracket("bracket", "top", 730, {60, 100})};
  row.fittings.front().only = Side::left;
  const auto left = Built(JobOf({row}), Side::left);
  ASSERT_EQ(left.scene.parts.front().fittings.size(), 1u);
  EXPECT_FALSE(left.scene.parts.front().fittings.front().mirrored);
  const auto right = Built(JobOf({row}), Side::right);
  ASSERT_EQ(right.scene.parts.front().fittings.size(), 1u);
  EXPECT_TRUE(right.scene.parts.front().fittings.front().mirrored);

  PartRow arm = Arm();
  arm.fittings = {Bracket("bracket", "rear", 200, {30, 30})};
  arm.fittings.front().only = Side::right;
  EXPECT_TRUE(Built(JobOf({arm}), Side::left).scene.parts.front().fittings.empty());
  EXPECT_EQ(Built(JobOf({arm}), Side::right).scene.parts.front().fittings.size(), 1u);
}

TEST(Scene, FittingOnTheCentrePlaneIsNotCopied) {
  PartRow row = Tube();
  row.fittings = {Bracket("bracket", "top", 420, {60, 100})};
  EXPECT_EQ(Built(JobOf({row})).scene.parts.front().fittings.size(), 1u);
  row.fittings = {Bracket("bracket", "top", 430, {60, 100})};
  ExpectError(JobOf({row}), "bracket \"bracket (other side)\" lies over bracket \"bracket\"");
}

TEST(Scene, ImpossibleFittingsAreNamed) {
  auto with = [](PartRow row, const FittingRow& f) {
    row.fittings.push_back(f);
    return JobOf({row});
  };
  ExpectError(with(Arm(), Bracket("b", "rear", 400, {30, 30})),
              "bracket \"b\" stands at station 400, beyond part \"arm\"");
  ExpectError(with(Arm(), Bracket("b", "rear", 10, {30, 30})), "mm beyond the inner end");
  ExpectError(with(Arm(), Bracket("b", "rear", 280, {30, 30})), "mm beyond the outer end");
  ExpectError(with(Arm(), Bracket("b", "rear", 100, {30, 60})), "does not fit on the rear face");
  FittingRow hole;
  hole.name = "h";
  hole.kind = FittingKind::hole;
  hole.face = "top";
  hole.station = 100;
  hole.diameter = 10;
  hole.aside = 30;
  ExpectError(with(Arm(), hole), "does not fit on the top face");
  PartRow two = Arm();
  two.fittings = {Bracket("first", "rear", 100, {30, 30})};
  ExpectError(with(two, Bracket("second", "rear", 120, {30, 30})),
              "bracket \"second\" lies over bracket \"first\" of part \"arm\" by 1");
  two.fittings.push_back(Bracket("third", "top", 120, {30, 30}));
  EXPECT_TRUE(BuildScene(JobOf({two}), Side::left).ok());
}

// ---------------------------------------------------------------- inner bodies, neighbours

InnerRow Bar(double diameter, const Vec3& offset) {
  InnerRow row;
  row.name = "torsion bar";
  row.diameter = diameter;
  row.offset = offset;
  row.reach = {0.0, 840.0};
  return row;
}

TEST(Scene, InnerBodyOfASharedPartStaysWhereItIs) {
  PartRow row = Tube();
  row.inner = {Bar(22, {4, 0, 6})};
  row.inner.front().reach = {100.0, 840.0};
  const auto left = Built(JobOf({row}), Side::left);
  const auto& path = left.scene.parts.front().inner.front().path;
  EXPECT_LT((path.front() - Vec3(-16, -320, 336)).norm(), 1e-9);
  EXPECT_LT((path.back() - Vec3(-16, 420, 336)).norm(), 1e-9);
  EXPECT_EQ(path.size(), 2u);
  EXPECT_EQ(left.scene.parts.front().inner.front().path_error, 0.0);
  const auto right = Built(JobOf({row}), Side::right);
  EXPECT_LT((right.scene.parts.front().inner.front().path.front() - Vec3(-16, 320, 336)).norm(),
            1e-9);
}

TEST(Scene, BarInABentPartFollowsItsCentreLine) {
  PartRow row = Tube();
  row.shared = false;
  StationRow middle = row.stations.front();
  middle.centre = {40, 0, 350};
  row.stations.insert(row.stations.begin() + 1, middle);
  row.inner = {Bar(22, {0, 0, 3})};
  Job job = JobOf({row});
  job.sides = {Side::left};  // its mirror image would run through it
  const auto build = Built(job);
  const InnerBody& bar = build.scene.parts.front().inner.front();
  EXPECT_GT(bar.path.size(), 4u);
  EXPECT_GT(bar.path_error, 0.0);
  EXPECT_LE(bar.path_error, 0.0626);
  const Skin& skin = *build.scene.parts.front().skin;
  for (int i = 0; i <= 200; ++i) {
    const double u = skin.UOfStation(840.0 * i / 200.0);
    const Vec3 p = skin.FrameAt(u).centre + Vec3(0, 0, 3);
    double nearest = 1e300;
    for (std::size_t k = 0; k + 1 < bar.path.size(); ++k) {
      const Vec3 along = bar.path[k + 1] - bar.path[k];
      const double t = std::clamp((p - bar.path[k]).dot(along) / along.squaredNorm(), 0.0, 1.0);
      nearest = std::min(nearest, (p - bar.path[k] - t * along).norm());
    }
    EXPECT_LE(nearest, bar.path_error + 1e-9);
  }
}

TEST(Scene, BarInTheWallIsNamedWithItsDepth) {
  // 76 tube, wall 3.2: inner radius 34.8; a 22 bar may be 23.8 off the axis.
  PartRow row = Tube();
  row.inner = {Bar(22, {0, 0, 23.7})};
  EXPECT_TRUE(BuildScene(JobOf({row}), Side::left).ok());
  row.inner = {Bar(22, {0, 0, 24.8})};
  ExpectError(JobOf({row}),
              "inner body \"torsion bar\" stands 1.00 mm in the wall of part \"tube\"");
  row.inner = {Bar(22, {0, 0, 60})};
  ExpectError(JobOf({row}), "in the wall of part \"tube\"");
  row.inner = {Bar(22, {0, 0, 0})};
  row.ends = {EndKind::closed, EndKind::closed};
  ExpectError(JobOf({row}), "stands 3.20 mm in the closed right end");
  row.inner.front().reach = {0.0, -1.0};
  EXPECT_TRUE(BuildScene(JobOf({row}), Side::left).ok());
}

TEST(Scene, NeighboursStandOnTheSidesTheyAreGivenFor) {
  Job job = JobOf({Arm()});
  job.neighbours = {{"pipe", {{-160, 240, 340}, {-160, 520, 320}}, 6.0, Basis::measured, {}, {}},
                    {"hose", {{0, 200, 0}, {0, 300, 0}}, 10.0, Basis::drawn, Side::right, {}}};
  const auto left = Built(job, Side::left);
  ASSERT_EQ(left.scene.neighbours.size(), 3u);
  EXPECT_EQ(left.scene.neighbours[0].name, "pipe");
  EXPECT_DOUBLE_EQ(left.scene.neighbours[0].radius, 3.0);
  EXPECT_EQ(left.scene.neighbours[1].name, "pipe (other side)");
  EXPECT_DOUBLE_EQ(left.scene.neighbours[1].path.front().y(), -240.0);
  EXPECT_EQ(left.scene.neighbours[2].name, "hose (other side)");
  const auto right = Built(job, Side::right);
  EXPECT_EQ(right.scene.neighbours[2].name, "hose");
  EXPECT_DOUBLE_EQ(right.scene.neighbours[2].path.front().y(), 200.0);
}

// ---------------------------------------------------------------- the whole scene

TEST(Scene, OverlappingPartsAreBothNamed) {
  PartRow beam = Arm();
  beam.name = "beam";
  beam.stations = {BoxStation({-20, 100, 250}, 40, 40, 6), BoxStation({-20, 100, 320}, 40, 40, 6)};
  beam.up = Vec3::UnitX();
  beam.lies = "upright";
  ExpectError(JobOf({Tube(), beam}), "part \"beam\" stands in part \"tube\"");
  beam.stations[1].centre.z() = 290.0;  // the tube's underside is at 292
  EXPECT_TRUE(BuildScene(JobOf({Tube(), beam}), Side::left).ok());
  EXPECT_TRUE(BuildScene(JobOf({Tube(), Arm()}), Side::left).ok());
}

TEST(Scene, SharedPartThatIsNotItsOwnMirrorImageIsRefused) {
  PartRow row = Tube();
  row.stations[1].centre.x() += 0.05;
  ExpectError(JobOf({row}), "part \"tube\" is shared, but its skin is not its own mirror image");
  row = Tube();
  row.stations[1].diameter = 75.9;
  ExpectError(JobOf({row}), "not its own mirror image");
  row = Tube();
  for (StationRow& s : row.stations) s.centre.y() += 0.02;
  ExpectError(JobOf({row}), "not its own mirror image");
  row = Tube();
  row.stations[1].centre.x() += 0.005;
  EXPECT_TRUE(BuildScene(JobOf({row}), Side::left).ok());
}

TEST(Scene, ImpossibleSkinIsToldWithThePartAndItsPlace) {
  PartRow row = Arm();
  row.stations[2].centre = {-120, 250, 340};  // turns back tighter than the section is high
  const SceneBuild build = BuildScene(JobOf({row, Tube()}), Side::left);
  for (const JobError& e : build.failures) ADD_FAILURE() << e.message;
  ASSERT_FALSE(build.errors.empty());
  EXPECT_EQ(build.errors.front().at.line, 10);
  EXPECT_EQ(build.errors.front().message.find("part \"arm\" (box"), 0u)
      << build.errors.front().message;
  EXPECT_EQ(build.scene.parts.size(), 1u);
}

TEST(Scene, SolidWithItsFittingsKeepsEveryName) {
  PartRow row = Arm();
  FittingRow stud;
  stud.name = "stud";
  stud.kind = FittingKind::stud;
  stud.face = "top";
  stud.station = 150;
  stud.diameter = 8;
  stud.height = 20.0;
  FittingRow hole = stud;
  hole.name = "drain";
  hole.kind = FittingKind::hole;
  hole.face = "underside";
  hole.height.reset();
  row.fittings = {stud, hole, Bracket("damper bracket", "rear", 205, {36, 30})};
  const auto build = Built(JobOf({row}));
  const Part& part = build.scene.parts.front();
  const auto solid = WithFittings(part);
  ASSERT_TRUE(solid) << solid.error().message;
  for (const auto& face : part.solid->faces()) {
    EXPECT_NE(solid->Find(face.name), nullptr) << face.name;
  }
  EXPECT_NE(solid->Find("stud"), nullptr);
  EXPECT_NE(solid->Find("drain"), nullptr);
  EXPECT_TRUE(solid->IsSound());
  const double added = kPi * 16.0 * 20.0 + 36.0 * 30.0 * 12.0 - kPi * 16.0 * 2.6;
  EXPECT_NEAR(solid->volume() - part.solid->volume(), added, 0.02 * added);
}

}  // namespace
}  // namespace holeward
