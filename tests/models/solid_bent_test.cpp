// Bent tubes, holes and inner bodies of STEP files that other hands would make.
#include <cmath>

#include "models/checking.h"
#include "models/job_reader.h"
#include "models/placing.h"
#include "models/scene.h"
#include "models/solid_file.h"
#include "models/solid_part.h"
#include "models/solid_starter.h"
#include "tests/models/checked_job.h"
#include "tests/models/job_head.h"
#include "tests/models/solid_shapes.h"

namespace holeward {
namespace {

using testing_tools::CheckedFrom;
using testing_tools::CheckedJob;
using testing_tools::Scratch;
using testing_tools::Spine;
using testing_tools::WriteShapes;

constexpr double kOuter = 24.15;  // mm, radii of the tube
constexpr double kInner = 20.95;

/// A stay with two bends in different planes.
Spine Stay() {
  Spine spine({400, 380, 420}, {-1, 0, 0}, 160);
  spine.Add({{0, 0, 1}, 90, 50 * kDegree, 110});
  spine.Add({{0, 1, 0}, 75, 40 * kDegree, 130});
  return spine;
}

TopoDS_Shape Cylinder(const Vec3& from, const Vec3& to, double radius) {
  const Vec3 way = (to - from).normalized();
  const gp_Ax2 axes(gp_Pnt(from.x(), from.y(), from.z()), gp_Dir(way.x(), way.y(), way.z()));
  return BRepPrimAPI_MakeCylinder(axes, radius, (to - from).norm()).Shape();
}

TopoDS_Shape Without(const TopoDS_Shape& body, const TopoDS_Shape& tool) {
  return BRepAlgoAPI_Cut(body, tool).Shape();
}

/// A body taken as a part.
struct Taken {
  PartRow row;
  std::vector<FittingRow> holes;
  std::string error;
};

Taken TakenFrom(const std::string& path, std::size_t number = 1) {
  Taken taken;
  const auto file = ReadSolidFile(path);
  EXPECT_TRUE(file) << (file ? "" : file.error().message);
  if (!file) return taken;
  const SolidBody& body = file->bodies.at(number - 1);
  EXPECT_EQ(body.trouble, "");
  taken.row.name = "stay";
  taken.row.start = "front end";
  taken.row.finish = "rear end";
  taken.row.solid = std::make_shared<const SolidSource>(
      SolidSource{"stay.step", file->unit, number, body, nullptr});
  auto holes = TakeSolid(taken.row, Side::left, std::nullopt);
  if (!holes) {
    taken.error = holes.error().message;
  } else {
    taken.holes = *holes;
  }
  return taken;
}

bool Says(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

std::string StayJob(const std::string& path, const std::string& more) {
  const auto file = ReadSolidFile(path);
  EXPECT_TRUE(file);
  if (!file) return "";
  const Vec3 size = file->bodies.at(0).size();
  std::ostringstream job;
  job << testing_tools::JobHead("bent solid") << "[part.stay]\nsection = \"solid\"\nfile = \""
      << path << "\"\nsize = [" << size.x() << ", " << size.y() << ", " << size.z() << "]\n"
      << (file->bodies.size() > 1 ? "body = \"1\"\n" : "")
      << "start = \"front end\"\nfinish = \"rear end\"\n"
      << more;
  return job.str();
}

const std::string kDrilled = R"(
[[point]]
name = "D1"
use = "drill"
part = "stay"
rule = [ { tape = 235, from = "front end", toward = "rear" }, { protractor = 40, from = "bottom", toward = "outboard" } ]
drill = [3.5, 7]
)";

TEST(SolidBent, LinesAndArcsAreFoundAsTheyAre) {
  const Scratch folder;
  Spine spine = Stay();
  const Taken taken = TakenFrom(WriteShapes({spine.Tube(kOuter, kInner)}, folder, "stay.step"));
  ASSERT_EQ(taken.error, "");
  EXPECT_EQ(taken.row.section, SectionKind::round);
  EXPECT_NEAR(taken.row.wall, kOuter - kInner, 1e-6);
  EXPECT_LT((taken.row.stations.front().centre - Vec3(400, 380, 420)).norm(), 1e-6);
  EXPECT_LT((taken.row.stations.back().centre - spine.end()).norm(), 1e-6);
  EXPECT_EQ(taken.row.ends[0], EndKind::open);
  const auto skin = Skin::Make(LawOf(taken.row, Side::left));
  ASSERT_TRUE(skin) << skin.error().message;
  EXPECT_NEAR(skin->length(), spine.length(), 1e-4);
  double off = 0.0;
  for (int i = 0; i <= 200; ++i) {
    for (int k = 0; k < 8; ++k) {
      const Vec3 p = skin->At(skin->u_end() * i / 200.0, 0.5 * k).position;
      off = std::max(off, std::abs(spine.Distance(p) - kOuter));
    }
  }
  EXPECT_LT(off, 1e-4);
}

TEST(SolidBent, AHoleInABendHasTheWallAndTheHollowOfTheTube) {
  const Scratch folder;
  Spine spine = Stay();
  const std::string path = WriteShapes({spine.Tube(kOuter, kInner)}, folder, "stay.step");
  const CheckedJob checked = CheckedFrom(StayJob(path, kDrilled), folder.path() + "/job.toml");
  ASSERT_EQ(checked.placed.size(), 1U);
  EXPECT_NEAR(spine.Distance(checked.placed[0].position), kOuter, 1e-4);
  ASSERT_EQ(checked.checking.holes.size(), 2U);
  for (const HoleCheck& hole : checked.checking.holes) {
    EXPECT_NEAR(hole.near_wall, kOuter - kInner, 1e-3);
    ASSERT_TRUE(hole.margin_worst.has_value());
    EXPECT_LT(*hole.margin_worst, 2.0 * kInner);
    EXPECT_NE(hole.verdict, Verdict::unproven) << hole.point;
  }
  // The job that lists what was found places its mark.
  const auto starter = SolidStarterJob(path);
  ASSERT_TRUE(starter) << starter.error().message;
  EXPECT_TRUE(Says(*starter, "48.300 across, bent")) << *starter;
  EXPECT_EQ(CheckedFrom(*starter, folder.path() + "/start.toml").placed.size(), 1U) << *starter;
}

TEST(SolidBent, TheEndGivenAsFromIsTheStart) {
  const Scratch folder;
  Spine spine = Stay();
  const std::string path = WriteShapes({spine.Tube(kOuter, kInner)}, folder, "stay.step");
  const auto with = [&](const Vec3& from, const Vec3& to) {
    std::ostringstream text;
    text.precision(12);
    text << "from = [" << from.x() << ", " << from.y() << ", " << from.z() << "]\nto = [" << to.x()
         << ", " << to.y() << ", " << to.z() << "]\n";
    return ReadJobText(StayJob(path, text.str() + kDrilled), folder.path() + "/job.toml");
  };
  const Vec3 front(400, 380, 420);
  const JobReading turned = with(spine.end(), front);
  EXPECT_TRUE(turned.errors.empty() ||
              !Says(turned.errors.front().message, "its centre line is bent"));
  const JobReading beside = with(front + Vec3(0, 0, 1), spine.end());
  ASSERT_FALSE(beside.errors.empty());
  EXPECT_TRUE(Says(beside.errors.front().message,
                   "its centre line is bent and runs from [400.000, 380.000, 420.000] to ["))
      << beside.errors.front().message;
}

TEST(SolidBent, WhatIsNoSuchTubeIsRefusedWithTheReason) {
  const Scratch folder;
  Spine aside = Stay();
  EXPECT_TRUE(Says(
      TakenFrom(WriteShapes({aside.Tube(kOuter, kInner, {0, 0, 0.4})}, folder, "aside.step")).error,
      "its wall is 2.8"));
  Spine spine = Stay();
  // A flat milled on it.
  const Vec3 beside(300, 380, 420 - kOuter - 8.0);
  const TopoDS_Shape milled = Without(
      spine.Tube(kOuter, kInner), Cylinder(beside - Vec3(0, 60, 0), beside + Vec3(0, 60, 0), 10));
  EXPECT_TRUE(Says(TakenFrom(WriteShapes({milled}, folder, "milled.step")).error,
                   "is neither outside, inside nor end"));
}

TEST(SolidBent, AMitredTubeIsRefused) {
  const Scratch folder;
  const TopoDS_Shape outer = BRepAlgoAPI_Fuse(Cylinder({0, 400, 300}, {200, 400, 300}, kOuter),
                                              Cylinder({200, 400, 300}, {340, 400, 440}, kOuter))
                                 .Shape();
  const TopoDS_Shape inner = BRepAlgoAPI_Fuse(Cylinder({0, 400, 300}, {200, 400, 300}, kInner),
                                              Cylinder({200, 400, 300}, {340, 400, 440}, kInner))
                                 .Shape();
  const Taken taken = TakenFrom(WriteShapes({Without(outer, inner)}, folder, "mitre.step"));
  EXPECT_FALSE(taken.error.empty());
  EXPECT_TRUE(Says(taken.error, "follow") || Says(taken.error, "kink") ||
              Says(taken.error, "is neither outside"))
      << taken.error;
}

class SolidHoles : public ::testing::Test {
 protected:
  /// The stay with a bore through its near wall, its axis from the skin's outside at `station` of
  /// the first straight stretch, downward and leant by an angle.
  std::string Bored(double station, double diameter, double lean = 0.0) {
    Spine spine = Stay();
    const Vec3 at(400 - station, 380, 420 + kOuter);
    const Vec3 way(std::sin(lean), 0.0, -std::cos(lean));
    return WriteShapes({Without(spine.Tube(kOuter, kInner),
                                Cylinder(at - 20.0 * way, at + 12.0 * way, 0.5 * diameter))},
                       folder_, "bored.step");
  }

  Scratch folder_;
};

TEST_F(SolidHoles, ARoundHoleSquareThroughTheWallIsAHoleAlreadyThere) {
  const Taken taken = TakenFrom(Bored(70, 12));
  ASSERT_EQ(taken.error, "");
  ASSERT_EQ(taken.holes.size(), 1U);
  const FittingRow& hole = taken.holes[0];
  EXPECT_EQ(hole.kind, FittingKind::hole);
  EXPECT_EQ(hole.face, "top");
  EXPECT_NEAR(hole.station, 70.0, 1e-4);
  EXPECT_NEAR(hole.aside, 0.0, 1e-4);
  EXPECT_NEAR(hole.diameter, 12.0, 1e-6);
  EXPECT_TRUE(hole.in_body);
}

TEST_F(SolidHoles, NothingIsDrilledIntoOne) {
  const std::string path = Bored(70, 12);
  const std::string into = R"(
[[point]]
name = "D1"
use = "drill"
part = "stay"
rule = [ { tape = 79, from = "front end", toward = "rear" }, { line = "top" } ]
drill = [7]
)";
  const std::string file = folder_.path() + "/job.toml";
  const JobReading reading = ReadJobText(StayJob(path, into), file);
  ASSERT_TRUE(reading.ok()) << reading.errors.front().message;
  const SceneBuild build = BuildScene(reading.job, Side::left);
  ASSERT_TRUE(build.ok());
  const Placing placing = PlacePoints(reading.job, build.scene, Side::left);
  ASSERT_FALSE(placing.errors.empty());
  EXPECT_TRUE(Says(placing.errors.front().message, "runs into the hole \"hole 1\""))
      << placing.errors.front().message;
}

TEST_F(SolidHoles, OneThatTheJobListsKeepsItsName) {
  const std::string listed = R"([[part.stay.fitting]]
name = "drain"
kind = "hole"
station = 70.3
face = "top"
diameter = 12
)";
  const JobReading reading =
      ReadJobText(StayJob(Bored(70, 12), listed + kDrilled), folder_.path() + "/job.toml");
  ASSERT_TRUE(reading.ok()) << reading.errors.front().message;
  const auto& fittings = reading.job.parts[0].fittings;
  ASSERT_EQ(fittings.size(), 1U);
  EXPECT_EQ(fittings[0].name, "drain");
  EXPECT_TRUE(fittings[0].in_body);
  EXPECT_NEAR(fittings[0].station, 70.0, 1e-4);
}

TEST_F(SolidHoles, ASlantedOneIsRefused) {
  const std::string error = TakenFrom(Bored(70, 12, 10 * kDegree)).error;
  EXPECT_TRUE(Says(error, "nor a round hole square")) << error;
}

TEST_F(SolidHoles, ANotchInAnEndIsRefused) {
  const std::string error = TakenFrom(Bored(2, 12)).error;
  EXPECT_TRUE(Says(error, "it has one open end and no flat end opposite")) << error;
}

class SolidInner : public ::testing::Test {
 protected:
  std::string File(const TopoDS_Shape& inner) {
    Spine spine = Stay();
    return WriteShapes({spine.Tube(kOuter, kInner), inner}, folder_, "two.step");
  }
  std::string FirstError(const TopoDS_Shape& inner, const std::string& row) {
    const JobReading reading =
        ReadJobText(StayJob(File(inner), "[[part.stay.inner]]\nname = \"rod\"\n" + row + kDrilled),
                    folder_.path() + "/job.toml");
    return reading.errors.empty() ? "" : reading.errors.front().message;
  }

  Scratch folder_;
  Vec3 from_{395, 384, 424};
  Vec3 to_{260, 384, 424};
};

TEST_F(SolidInner, ABarOfTheFileIsTheBarOfTheJob) {
  const std::string path = File(Cylinder(from_, to_, 7));
  const std::string drilled = R"(
[[point]]
name = "D1"
use = "drill"
part = "stay"
rule = [ { tape = 80, from = "front end", toward = "rear" }, { line = "bottom" } ]
drill = [5]
)";
  const std::string file = folder_.path() + "/job.toml";
  const CheckedJob of_body = CheckedFrom(
      StayJob(path, "[[part.stay.inner]]\nname = \"rod\"\nbody = \"2\"\n" + drilled), file);
  const CheckedJob of_path =
      CheckedFrom(StayJob(path,
                          "[[part.stay.inner]]\nname = \"rod\"\ndiameter = 14\nbasis = \"drawn\"\n"
                          "path = [[395, 384, 424], [260, 384, 424]]\n" +
                              drilled),
                  file);
  ASSERT_EQ(of_body.scene.parts.size(), 1U);
  ASSERT_EQ(of_body.scene.parts[0].inner.size(), 1U);
  EXPECT_NEAR(of_body.scene.parts[0].inner[0].radius, 7.0, 1e-6);
  ASSERT_EQ(of_body.checking.holes.size(), 1U);
  ASSERT_EQ(of_path.checking.holes.size(), 1U);
  const HoleCheck& a = of_body.checking.holes[0];
  const HoleCheck& b = of_path.checking.holes[0];
  EXPECT_EQ(a.verdict, b.verdict);
  ASSERT_TRUE(a.margin_worst && b.margin_worst);
  EXPECT_NEAR(*a.margin_worst, *b.margin_worst, 1e-3);
  const auto starter = SolidStarterJob(path);
  ASSERT_TRUE(starter) << starter.error().message;
  EXPECT_TRUE(Says(*starter, "body = \"2\"    # a bar 14.000 across")) << *starter;
  const CheckedJob started = CheckedFrom(*starter, folder_.path() + "/start.toml");
  ASSERT_EQ(started.scene.parts.size(), 1U) << *starter;
  EXPECT_EQ(started.scene.parts[0].inner.size(), 1U);
}

TEST_F(SolidInner, ASleeveHasItsBore) {
  const TopoDS_Shape sleeve = Without(Cylinder({400, 380, 420}, {340, 380, 420}, 19),
                                      Cylinder({401, 380, 420}, {339, 380, 420}, 16));
  const CheckedJob checked = CheckedFrom(
      StayJob(File(sleeve), "[[part.stay.inner]]\nname = \"liner\"\nbody = \"2\"\n" + kDrilled),
      folder_.path() + "/job.toml");
  ASSERT_EQ(checked.scene.parts.size(), 1U);
  ASSERT_EQ(checked.scene.parts[0].inner.size(), 1U);
  EXPECT_EQ(checked.scene.parts[0].inner[0].shape, InnerShape::sleeve);
  EXPECT_NEAR(checked.scene.parts[0].inner[0].bore_radius, 16.0, 1e-6);
}

// The axis of a bar that is bent with its tube is the tube's: the bends are told apart from the
// file by the spine itself.
TEST_F(SolidInner, ABarMayBeBentWithItsTube) {
  Spine spine = Stay();
  const std::string path = File(spine.Tube(7, 0));
  const std::string drilled = R"(
[[point]]
name = "D1"
use = "drill"
part = "stay"
rule = [ { tape = 205, from = "front end", toward = "rear" }, { line = "top" } ]
drill = [5]
stop = 12
[[point]]
name = "D2"
use = "drill"
part = "stay"
rule = [ { tape = 205, from = "front end", toward = "rear" }, { line = "bottom" } ]
drill = [5]
stop = 22
)";
  const std::string file = folder_.path() + "/job.toml";
  const CheckedJob bent = CheckedFrom(
      StayJob(path, "[[part.stay.inner]]\nname = \"rod\"\nbody = \"2\"\n" + drilled), file);
  ASSERT_EQ(bent.scene.parts.size(), 1U);
  ASSERT_EQ(bent.scene.parts[0].inner.size(), 1U);
  const InnerBody& rod = bent.scene.parts[0].inner[0];
  EXPECT_GT(rod.path.size(), 10U);
  double off = 0.0;
  for (std::size_t i = 0; i + 1 < rod.path.size(); ++i) {
    for (const double share : {0.0, 0.25, 0.5, 0.75, 1.0}) {
      off = std::max(off, spine.Distance(rod.path[i] + share * (rod.path[i + 1] - rod.path[i])));
    }
  }
  EXPECT_LT(off, 0.04);
  EXPECT_GT(off, 0.001) << "the chords leave the bends";
  // What the chords leave out is within what they are thickened by.
  EXPECT_GE(rod.radius, 7.0 + off - 1e-4);
  EXPECT_LT(rod.radius, 7.05);
  ASSERT_EQ(bent.checking.holes.size(), 2U);
  // The bar lies 17 mm under the skin: a drill stopped 12 mm deep is off it, one at 22 mm in it.
  ASSERT_TRUE(bent.checking.holes[0].margin_worst);
  EXPECT_GT(*bent.checking.holes[0].margin_worst, 0.0);
  EXPECT_EQ(bent.checking.holes[1].verdict, Verdict::contact);
  const auto starter = SolidStarterJob(path);
  ASSERT_TRUE(starter) << starter.error().message;
  EXPECT_TRUE(Says(*starter, "body = \"2\"    # a bent bar 14.000 across")) << *starter;
  EXPECT_FALSE(Says(*starter, ".datum]]")) << *starter;
}

TEST_F(SolidInner, ASleeveMayBeBentWithItsTubeAndAnOvalOneIsRefused) {
  Spine spine = Stay();
  const CheckedJob checked =
      CheckedFrom(StayJob(File(spine.Tube(18, 15)),
                          "[[part.stay.inner]]\nname = \"liner\"\nbody = \"2\"\n" + kDrilled),
                  folder_.path() + "/job.toml");
  ASSERT_EQ(checked.scene.parts.size(), 1U);
  ASSERT_EQ(checked.scene.parts[0].inner.size(), 1U);
  const InnerBody& liner = checked.scene.parts[0].inner[0];
  EXPECT_LE(liner.bore_radius, 15.0);
  EXPECT_GT(liner.bore_radius, 14.85);
  EXPECT_GE(liner.radius, 18.0);
  Spine again = Stay();
  EXPECT_TRUE(Says(FirstError(again.Tube(18, 15, {0, 0, 1.0}), "body = \"2\"\n"),
                   "neither a bar nor a sleeve"));
}

TEST_F(SolidInner, WhatIsNoRodIsRefusedWithTheReason) {
  const TopoDS_Shape stepped =
      BRepAlgoAPI_Fuse(Cylinder(from_, to_, 7), Cylinder({350, 384, 424}, {320, 384, 424}, 9))
          .Shape();
  EXPECT_TRUE(Says(FirstError(stepped, "body = \"2\"\n"), "body 2 of "));
  const TopoDS_Shape bar = Cylinder(from_, to_, 7);
  EXPECT_EQ(FirstError(bar, "body = \"2\"\n"), "");
  EXPECT_TRUE(
      Says(FirstError(bar, "body = \"1\"\n"), "must be the name or number of another body"));
  EXPECT_TRUE(Says(FirstError(bar, "body = \"2\"\ndiameter = 14\n"), "the body says it"));
}

}  // namespace
}  // namespace holeward
