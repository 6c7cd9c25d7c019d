// Bodies of STEP files whose tube ends under an eye in one piece with it: the same parts as those
// that sections and fittings describe, the demo's own arm among them.
#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <filesystem>
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
using testing_tools::kTubeLength;
using testing_tools::Less;
using testing_tools::Placed;
using testing_tools::Rod;
using testing_tools::RoundTube;
using testing_tools::Scratch;
using testing_tools::WithEyes;

TopoDS_Shape Joined(const TopoDS_Shape& a, const TopoDS_Shape& b) {
  return BRepAlgoAPI_Fuse(a, b).Shape();
}

std::string EyeTable(const std::string& name, double station, double diameter, double length) {
  return fmt::format(
      "[[part.arm.fitting]]\nname = \"{}\"\nkind = \"eye\"\nstation = {}\ndiameter = {}\nlength = "
      "{}\naxis = [1, 0, 0]\n",
      name, station, diameter, length);
}

/// A body with eyes that a job can describe exactly.
struct EyeCase {
  std::string name;
  std::function<TopoDS_Shape()> body;
  std::string part;      ///< by its sections
  std::string fittings;  ///< the mounts
  bool round = false;    ///< no faces
};

void PrintTo(const EyeCase& one, std::ostream* out) { *out << one.name; }

std::vector<EyeCase> EyeCases() {
  return {
      {"InsideTheBox",  // rims are left above and below it
       [] { return WithEyes(BoxTube(), {0.0}, 20.0, 84.0); }, kBoxPart,
       EyeTable("mount 1", 0.0, 40.0, 84.0)},
      {"ThickerThanTheBox", [] { return WithEyes(BoxTube(), {0.0}, 34.0, 70.0); }, kBoxPart,
       EyeTable("mount 1", 0.0, 68.0, 70.0)},
      {"WithABush",
       [] {
         return Less(WithEyes(BoxTube(), {0.0}, 34.0, 70.0), Rod({-50, 0, 0}, {50, 0, 0}, 12.0));
       },
       kBoxPart, EyeTable("mount 1", 0.0, 68.0, 70.0)},
      {"AtBothEnds",
       [] {
         return WithEyes(BoxTube(), {0.0, kTubeLength}, 34.0, 70.0);
       },
       kBoxPart,
       EyeTable("mount 1", 0.0, 68.0, 70.0) + EyeTable("mount 2", kTubeLength, 68.0, 70.0)},
      {"AcrossARoundTube", [] { return WithEyes(RoundTube(), {0.0}, 34.0, 80.0); }, kRoundPart,
       EyeTable("mount 1", 0.0, 68.0, 80.0), true},
      {"AcrossBothEndsOfARoundTube",
       [] {
         return WithEyes(RoundTube(), {0.0, kTubeLength}, 34.0, 80.0);
       },
       kRoundPart,
       EyeTable("mount 1", 0.0, 68.0, 80.0) + EyeTable("mount 2", kTubeLength, 68.0, 80.0), true},
      {"WithABlockOnTop",
       [] {
         const TopoDS_Shape block = Less(Block({-15, 150, 20}, {15, 190, 56}), BoxTube().filled);
         return Joined(WithEyes(BoxTube(), {0.0}, 34.0, 70.0), block);
       },
       kBoxPart,
       EyeTable("mount 1", 0.0, 68.0, 70.0) + "[[part.arm.fitting]]\nname = \"mount 2\"\nkind = "
                                              "\"bracket\"\nface = \"top\"\nstation = "
                                              "170\nsize = [40, 30]\nheight = 30\n"},
  };
}

/// Points measured from the eye's middle, from near it to far off.
std::string PointsFromEye(bool round) {
  const std::string face = round ? "" : "face = \"rear\"\n";
  const std::string across = round ? "{ line = \"bottom\" }" : "{ middle = \"face\" }";
  std::string text;
  int number = 0;
  for (const char* use : {"drill", "test"}) {
    for (const int tape : {70, 120, 260}) {
      text += fmt::format(
          "[[point]]\nname = \"P{}\"\nuse = \"{}\"\npart = \"arm\"\n{}rule = [ {{ tape = {}, from "
          "= \"mount 1\", toward = \"outboard\" }}, {} ]\n{}",
          ++number, use, face, tape + (use == std::string("test") ? 25 : 0), across,
          use == std::string("drill") ? "drill = [3.5, 7]\n" : "");
    }
  }
  return text;
}

void ExpectSameChecks(const CheckedJob& of_solid, const CheckedJob& described, double within) {
  ASSERT_EQ(of_solid.checking.holes.size(), described.checking.holes.size());
  for (std::size_t i = 0; i < described.checking.holes.size(); ++i) {
    const HoleCheck& a = of_solid.checking.holes[i];
    const HoleCheck& b = described.checking.holes[i];
    EXPECT_EQ(a.verdict, b.verdict) << a.point;
    EXPECT_NEAR(a.access, b.access, within) << a.point;
    EXPECT_NEAR(a.margin_worst.value_or(-1.0), b.margin_worst.value_or(-1.0), within) << a.point;
  }
  ASSERT_EQ(of_solid.checking.points.size(), described.checking.points.size());
  for (std::size_t i = 0; i < described.checking.points.size(); ++i) {
    const PointCheck& a = of_solid.checking.points[i];
    const PointCheck& b = described.checking.points[i];
    EXPECT_EQ(a.verdict, b.verdict) << a.point;
    EXPECT_EQ(a.nearest_edge, b.nearest_edge) << a.point;
    EXPECT_NEAR(a.edge_distance, b.edge_distance, 2e-3) << a.point;
  }
}

void ExpectSamePlaces(const CheckedJob& of_solid, const CheckedJob& described) {
  ASSERT_EQ(of_solid.placed.size(), described.placed.size());
  for (std::size_t i = 0; i < described.placed.size(); ++i) {
    EXPECT_LT((of_solid.placed[i].position - described.placed[i].position).norm(), 1e-3)
        << of_solid.placed[i].name;
  }
}

class SolidEyes : public ::testing::TestWithParam<EyeCase> {};

TEST_P(SolidEyes, AreThoseThatAJobDescribes) {
  const EyeCase& one = GetParam();
  const Filed file(Placed(one.body()));
  const std::string points = PointsFromEye(one.round);
  const CheckedJob of_solid = file.Checked(file.Part() + points);
  const CheckedJob described = file.Checked(one.part + one.fittings + points);
  ASSERT_EQ(of_solid.placed.size(), 6U);
  ExpectSamePlaces(of_solid, described);
  ExpectSameChecks(of_solid, described, 0.3);
  const Part& a = of_solid.scene.parts.front();
  const Part& b = described.scene.parts.front();
  ASSERT_EQ(a.fittings.size(), b.fittings.size());
  for (std::size_t i = 0; i < a.fittings.size(); ++i) {
    EXPECT_EQ(a.fittings[i].name, b.fittings[i].name);
    EXPECT_EQ(a.fittings[i].kind, b.fittings[i].kind);
    EXPECT_NE(BodyOfFitting(a.solid.get(), a.fittings[i].name), nullptr);
  }
  // At least the hole far from the eye is clear.
  EXPECT_EQ(of_solid.checking.holes.back().verdict, Verdict::clear)
      << testing_tools::All(of_solid.checking.holes.back().reasons);
}

INSTANTIATE_TEST_SUITE_P(Cases, SolidEyes, ::testing::ValuesIn(EyeCases()),
                         [](const auto& one) { return one.param.name; });

TEST(SolidEyes, TheStarterListsThem) {
  const Filed file(Placed(WithEyes(BoxTube(), {0.0}, 34.0, 70.0)));
  const auto text = SolidStarterJob(file.folder.path() + "/arm.step");
  ASSERT_TRUE(text) << text.error().message;
  EXPECT_NE(text->find("mount 1: an eye 68.000 across, 70.000 long, 0.00 from the start"),
            std::string::npos)
      << *text;
}

// Its outside is not metal of the tube any more where the eye covers it: nothing is clear there.
TEST(SolidEyes, NothingIsClearWhereAnEyeCoversTheTube) {
  const Filed file(Placed(WithEyes(BoxTube(), {0.0}, 20.0, 84.0)));
  const CheckedJob run = file.Checked(
      file.Part() +
      "[[point]]\nname = \"P\"\nuse = \"drill\"\npart = \"arm\"\nface = \"top\"\nrule = [ { "
      "tape = 14, from = \"inner end\", toward = \"outboard\" }, { middle = \"face\" } ]\n"
      "drill = [3]\nstop = \"none\"\n");
  ASSERT_EQ(run.checking.holes.size(), 1U);
  EXPECT_NE(run.hole().verdict, Verdict::clear);
}

TEST(SolidEyes, OneThatLiesBesideTheTubesLineIsRefused) {
  TopoDS_Shape body = Joined(BoxTube().tube(), Rod({-35, 0, -12}, {35, 0, -12}, 34.0));
  const Filed file(Placed(testing_tools::OnlySolid(body)));
  const std::string error = file.Error();
  EXPECT_NE(error.find("the middle of its eye"), std::string::npos) << error;
  EXPECT_NE(error.find("lies 12.0 mm off its centre line"), std::string::npos) << error;
}

/// The demo job with its arm as a body of a file.
std::string DemoWithArmFrom(const std::string& file, const SolidBody& body, std::size_t number) {
  std::string text = testing_tools::ReadAll(std::string(HOLEWARD_SOURCE_DIR) +
                                            "/models/examples/utility-van.toml");
  const std::size_t from = text.find("[part.arm]");
  const std::size_t to = text.find("[[part.arm.fitting]]");
  const Vec3 size = body.size();
  return text.substr(0, from) +
         fmt::format(
             "[part.arm]\nsection = \"solid\"\nfile = \"{}\"\nbody = \"{}\"\nsize = [{:.3f}, "
             "{:.3f}, {:.3f}]\nbasis = \"measured\"\nwall_basis = \"measured\"\nstart = "
             "\"front end\"\nfinish = \"rear end\"\n\n",
             file, number, size.x(), size.y(), size.z()) +
         text.substr(to);
}

TEST(SolidEyes, TheDemosArmIsReadBackFromItsOwnFile) {
  const Scratch folder;
  const std::string examples = std::string(HOLEWARD_SOURCE_DIR) + "/models/examples/";
  const std::string step = folder.path() + "/van.step";
  const std::string run = "'" HOLEWARD_PROGRAM "' model '" + examples + "utility-van.toml' --to '" +
                          step + "' >/dev/null 2>&1";
  ASSERT_EQ(std::system(run.c_str()), 0) << run;
  std::filesystem::copy(examples + "utility-van-words.csv",
                        folder.path() + "/utility-van-words.csv");
  const auto file = ReadSolidFile(step);
  ASSERT_TRUE(file) << file.error().message;
  const auto arm = std::find_if(file->bodies.begin(), file->bodies.end(), [](const SolidBody& b) {
    return b.low.y() > 0.0;  // the left one
  });
  ASSERT_NE(arm, file->bodies.end());
  const auto number = static_cast<std::size_t>(arm - file->bodies.begin()) + 1;
  const CheckedJob of_solid =
      CheckedFrom(DemoWithArmFrom("van.step", *arm, number), folder.path() + "/job.toml");
  const CheckedJob described = CheckedFrom(testing_tools::ReadAll(examples + "utility-van.toml"),
                                           examples + "utility-van.toml");
  ExpectSamePlaces(of_solid, described);
  ExpectSameChecks(of_solid, described, 0.3);
  for (const HoleCheck& hole : of_solid.checking.holes) EXPECT_EQ(hole.verdict, Verdict::clear);
}

}  // namespace
}  // namespace holeward
