// Mounts in one piece with a body, in jobs: the same as fittings that the job describes, by the
// job's names, on both sides of a shared part; and what is refused.
#include <algorithm>
#include <cmath>
#include <functional>

#include "geometry/mounted_body.h"
#include "models/solid_file.h"
#include "models/solid_starter.h"
#include "tests/models/filed_body.h"

namespace holeward {
namespace {

using testing_tools::Block;
using testing_tools::BoxTube;
using testing_tools::CheckedFrom;
using testing_tools::CheckedJob;
using testing_tools::Filed;
using testing_tools::kBoxPart;
using testing_tools::kRoundPart;
using testing_tools::Less;
using testing_tools::Placed;
using testing_tools::Rod;
using testing_tools::RoundTube;
using testing_tools::WithMounts;

TopoDS_Shape BlockOnBox() { return WithMounts(BoxTube(), {Block({-15, 150, 20}, {15, 190, 56})}); }

void ExpectSays(const std::string& text, const std::string& part) {
  EXPECT_NE(text.find(part), std::string::npos) << text;
}

/// A mount that a job can describe exactly.
struct DescribedCase {
  std::string name;
  std::function<TopoDS_Shape()> body;
  std::string part;     ///< by its sections
  std::string fitting;  ///< the mount, without a name
  std::string face;     ///< of the points
};

void PrintTo(const DescribedCase& one, std::ostream* out) { *out << one.name; }

std::vector<DescribedCase> DescribedCases() {
  return {
      {"BlockOnTop", BlockOnBox, kBoxPart,
       "kind = \"bracket\"\nface = \"top\"\nstation = 170\nsize = [40, 30]\nheight = 30\n", "top"},
      {"StudOnRear",
       [] {
         return WithMounts(BoxTube(), {Rod({-20, 200, 5}, {-66, 200, 5}, 6.0)});
       },
       kBoxPart,
       "kind = \"stud\"\nface = \"rear\"\nstation = 200\naside = -5\ndiameter = 12\nlength = 35\n",
       "rear"},
      {"StudOnRound",
       [] {
         return WithMounts(RoundTube(), {Rod({0, 200, -20}, {0, 200, -70}, 6.0)});
       },
       kRoundPart,
       "kind = \"stud\"\nface = \"bottom\"\nstation = 200\ndiameter = 12\nlength = 40\n", ""},
  };
}

/// Points measured from the mount, along and beside it.
std::string PointsBeside(const DescribedCase& one) {
  const std::string face = one.face.empty() ? "" : "face = \"" + one.face + "\"\n";
  const std::string across = one.face.empty() ? "{ line = \"bottom\" }" : "{ middle = \"face\" }";
  std::string text;
  int number = 0;
  for (const char* use : {"drill", "test"}) {
    for (const int tape : {12, 30, 70}) {
      text += fmt::format(
          "[[point]]\nname = \"P{}\"\nuse = \"{}\"\npart = \"arm\"\n{}rule = [ {{ tape = {}, from "
          "= \"mount 1\", toward = \"outboard\" }}, {} ]\n{}",
          ++number, use, face, tape, across,
          use == std::string("drill") ? "drill = [3.5, 7]\n" : "");
    }
  }
  return text;
}

class SolidDescribed : public ::testing::TestWithParam<DescribedCase> {};

TEST_P(SolidDescribed, IsThePartThatSectionsAndFittingsDescribe) {
  const DescribedCase& one = GetParam();
  const Filed file(Placed(one.body()));
  const std::string points = PointsBeside(one);
  const CheckedJob of_solid = file.Checked(file.Part() + points);
  const CheckedJob described =
      file.Checked(one.part + "[[part.arm.fitting]]\nname = \"mount 1\"\n" + one.fitting + points);
  ASSERT_EQ(of_solid.placed.size(), 6U);
  ASSERT_EQ(described.placed.size(), 6U);
  for (std::size_t i = 0; i < 6; ++i) {
    EXPECT_LT((of_solid.placed[i].position - described.placed[i].position).norm(), 1e-3)
        << of_solid.placed[i].name;
  }
  ASSERT_EQ(of_solid.checking.holes.size(), 6U);  // two stages a point
  ASSERT_EQ(described.checking.holes.size(), 6U);
  for (std::size_t i = 0; i < 6; ++i) {
    const HoleCheck& a = of_solid.checking.holes[i];
    const HoleCheck& b = described.checking.holes[i];
    EXPECT_EQ(a.verdict, b.verdict) << a.point;
    EXPECT_NEAR(a.access, b.access, 0.03) << a.point;
    EXPECT_NEAR(a.margin_worst.value_or(-1.0), b.margin_worst.value_or(-1.0), 0.05) << a.point;
  }
  ASSERT_EQ(of_solid.checking.points.size(), described.checking.points.size());
  for (std::size_t i = 0; i < of_solid.checking.points.size(); ++i) {
    const PointCheck& a = of_solid.checking.points[i];
    const PointCheck& b = described.checking.points[i];
    EXPECT_EQ(a.verdict, b.verdict) << a.point;
    EXPECT_EQ(a.nearest_edge, b.nearest_edge) << a.point;
    EXPECT_NEAR(a.edge_distance, b.edge_distance, 1e-3) << a.point;
    EXPECT_NEAR(a.access, b.access, 0.03) << a.point;
  }
}

INSTANTIATE_TEST_SUITE_P(Cases, SolidDescribed, ::testing::ValuesIn(DescribedCases()),
                         [](const auto& one) { return one.param.name; });

TEST(SolidMountJobs, AMountThatIsListedKeepsTheJobsNameAndTheFilesSizes) {
  const Filed file(Placed(BlockOnBox()));
  const CheckedJob run = file.Checked(
      file.Part("[[part.arm.fitting]]\nname = \"spring seat\"\nkind = \"plate\"\nface = \"top\"\n"
                "station = 170.3\nsize = [38.9, 30.5]\nheight = 25\n"));
  ASSERT_EQ(run.scene.parts.size(), 1U);
  const Part& part = run.scene.parts.front();
  ASSERT_EQ(part.fittings.size(), 1U);
  const Fitting& seat = part.fittings.front();
  EXPECT_EQ(seat.name, "spring seat");
  EXPECT_EQ(seat.kind, "plate");
  EXPECT_NEAR(seat.height.value_or(0.0), 30.0, 1e-6);
  EXPECT_NEAR(seat.footprint.around, 30.0, 1e-6);
  EXPECT_NE(BodyOfFitting(part.solid.get(), "spring seat"), nullptr);
  ASSERT_TRUE(part.solid->mounted());
  const auto* face = part.solid->mounted()->whole.Find("spring seat");
  ASSERT_NE(face, nullptr);
  EXPECT_EQ(face->role, FaceRole::fitting);
}

TEST(SolidMountJobs, AFittingListedElsewhereOverAMountIsAnError) {
  const Filed file(Placed(BlockOnBox()));
  const JobReading reading = ReadJobText(
      testing_tools::kSolidHead +
          file.Part("[[part.arm.fitting]]\nname = \"seat\"\nkind = \"plate\"\nface = \"top\"\n"
                    "station = 175\nsize = [40, 30]\nheight = 30\n"),
      file.job());
  ASSERT_TRUE(reading.ok());
  const SceneBuild build = BuildScene(reading.job, Side::left);
  ASSERT_FALSE(build.errors.empty());
  ExpectSays(build.errors.front().message, "lies over");
}

TEST(SolidMountJobs, OnlyHasNoSenseForAMountOfTheBody) {
  const Filed file(Placed(BlockOnBox()));
  const JobReading reading = ReadJobText(
      testing_tools::kSolidHead +
          file.Part("[[part.arm.fitting]]\nname = \"seat\"\nkind = \"bracket\"\nface = \"top\"\n"
                    "station = 170\nsize = [40, 30]\nheight = 30\nonly = \"left\"\n"),
      file.job());
  ASSERT_TRUE(reading.ok());
  const SceneBuild build = BuildScene(reading.job, Side::left);
  ASSERT_FALSE(build.errors.empty());
  ExpectSays(build.errors.front().message, "\"only\" of bracket \"seat\" has no sense");
}

TEST(SolidMountJobs, TheStarterListsThem) {
  const Filed file(Placed(BlockOnBox()));
  const auto starter = SolidStarterJob(file.folder.path() + "/arm.step");
  ASSERT_TRUE(starter) << starter.error().message;
  ExpectSays(*starter, "mount 1: a bracket 40.000 along, 30.000 around, 30.000 high");
  EXPECT_EQ(CheckedFrom(*starter, file.job()).placed.size(), 1U);
}

// An eye's rings are flat faces with an opening too.
TEST(SolidMountJobs, TheAxisOfAnEyeIsOfferedAsADatum) {
  const TopoDS_Shape eye =
      Less(Rod({-15, 200, 44}, {15, 200, 44}, 20.0), Rod({-16, 200, 44}, {16, 200, 44}, 12.0));
  const Filed file(Placed(WithMounts(BoxTube(), {eye})));
  const auto starter = SolidStarterJob(file.folder.path() + "/arm.step");
  ASSERT_TRUE(starter) << starter.error().message;
  ExpectSays(*starter, "station 200.00");
  EXPECT_EQ(CheckedFrom(*starter, file.job()).placed.size(), 1U);
}

TEST(SolidMountJobs, WhatCannotBeTakenApartIsRefusedWithThePlace) {
  const Filed collar(Placed(WithMounts(BoxTube(), {Block({-50, 100, -50}, {50, 120, 50})})));
  ExpectSays(collar.Error(), "goes all the way round it");
  const Filed bored(Placed(Less(BlockOnBox(), Rod({0, 170, 0}, {0, 170, 80}, 4.0))));
  ExpectSays(bored.Error(), "partly outside the tube's skin and partly under it");
  const Filed flush(Placed(WithMounts(BoxTube(), {Block({25, 150, -10}, {31, 190, 60})})));
  ExpectSays(flush.Error(), "runs on flush from the tube into a mount");
  const Filed end(Placed(WithMounts(BoxTube(), {Block({-15, 0, 20}, {15, 40, 56})}, true)));
  EXPECT_FALSE(end.Error().empty());
  const Filed slotted(Placed(Less(BlockOnBox(), Block({-40, 250, -5}, {0, 280, 5}))));
  ExpectSays(slotted.Error(), "is neither outside, inside nor end of a tube");
}

TEST(SolidMountJobs, TwoTubesInOnePieceAreRefused) {
  const auto moved = [](const TopoDS_Shape& shape) {
    gp_Trsf move;
    move.SetTranslation(gp_Vec(100.0, 0.0, 0.0));
    return BRepBuilderAPI_Transform(shape, move, true).Shape();
  };
  const TopoDS_Shape web = Block({31, 150, -10}, {69, 250, 10});
  TopoDS_Shape body = BRepAlgoAPI_Fuse(BoxTube().tube(), web).Shape();
  body = BRepAlgoAPI_Fuse(body, moved(BoxTube().tube())).Shape();
  const Filed file(Placed(testing_tools::OnlySolid(body)));
  ExpectSays(file.Error(), "it is two tubes in one piece");
}

std::string SharedJob(const Filed& file) {
  std::string head = testing_tools::kSolidHead;
  const std::string one = "sides = [\"left\"]";
  head.replace(head.find(one), one.size(), "sides = [\"left\", \"right\"]");
  return head +
         file.Part(
             "shared = true\nfrom = [0, -210, 300]\nto = [0, 210, 300]\n"
             "[[point]]\nname = \"D\"\nuse = \"drill\"\npart = \"arm\"\nrule = [ { tape = 80, "
             "from = \"outer end\", toward = \"inner end\" }, { line = \"top\" } ]\ndrill = "
             "[4]\nstop = \"none\"\n");
}

/// Least and greatest y of a body.
std::pair<double, double> SpanOf(const FittingBody& body) {
  std::pair<double, double> span{1e300, -1e300};
  for (const BezierPatch& patch : body.patches) {
    for (const Eigen::Vector4d& pole : patch.poles) {
      span.first = std::min(span.first, pole.y() / pole.w());
      span.second = std::max(span.second, pole.y() / pole.w());
    }
  }
  return span;
}

// On the right side of the vehicle the point lies at the mirror image: there the mount stands.
TEST(SolidMountJobs, OnASharedPartAMountStandsOnItsOwnSideAlone) {
  const Filed file(
      Placed(WithMounts(RoundTube(), {Block({-10, 60, 20}, {10, 100, 60})}), Vec3(0, -210, 300)));
  const JobReading reading = ReadJobText(SharedJob(file), file.job());
  ASSERT_TRUE(reading.ok()) << reading.errors.front().message;
  for (const Side side : {Side::left, Side::right}) {
    const SceneBuild build = BuildScene(reading.job, side);
    ASSERT_TRUE(build.ok());
    const Part& part = build.scene.parts.front();
    ASSERT_EQ(part.fittings.size(), 1U);
    const Fitting& mount = part.fittings.front();
    const FittingBody* const body = BodyOfFitting(part.solid.get(), mount.name);
    ASSERT_NE(body, nullptr) << mount.name;
    const auto span = SpanOf(*body);
    const double sign = side == Side::left ? -1.0 : 1.0;
    EXPECT_NEAR(0.5 * (span.first + span.second), sign * 130.0, 0.01);
    EXPECT_NEAR(part.skin->At(mount.centre).position.y(), sign * 130.0, 0.01);
    const Placing placing = PlacePoints(reading.job, build.scene, side);
    if (side == Side::right) {
      ASSERT_FALSE(placing.errors.empty());
      ExpectSays(placing.errors.front().message, "it lies under the fitting \"mount 1");
      continue;
    }
    const Checking checking = CheckPoints(reading.job, build.scene, placing.points, side);
    ASSERT_EQ(checking.holes.size(), 1U);
    EXPECT_EQ(checking.holes.front().verdict, Verdict::clear);
  }
}

TEST(SolidMountJobs, OnASharedPartMirrorImagesAreOneAnother) {
  const Filed file(Placed(WithMounts(RoundTube(), {Block({-10, 60, 20}, {10, 100, 60}),
                                                   Block({-10, 320, 20}, {10, 360, 60})}),
                          Vec3(0, -210, 300)));
  const JobReading reading = ReadJobText(SharedJob(file), file.job());
  ASSERT_TRUE(reading.ok()) << reading.errors.front().message;
  for (const Side side : {Side::left, Side::right}) {
    const SceneBuild build = BuildScene(reading.job, side);
    ASSERT_TRUE(build.ok());
    const Part& part = build.scene.parts.front();
    ASSERT_EQ(part.fittings.size(), 2U);
    EXPECT_EQ(part.fittings.front().name, "mount 1");
    const FittingBody* const body = BodyOfFitting(part.solid.get(), "mount 1");
    ASSERT_NE(body, nullptr);
    EXPECT_NEAR(SpanOf(*body).first, -150.0, 0.01);
  }
}

}  // namespace
}  // namespace holeward
