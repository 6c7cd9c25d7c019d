#include "models/solid_part.h"

#include <algorithm>
#include <cmath>

#include "models/checking.h"
#include "models/job_reader.h"
#include "models/placing.h"
#include "models/scene.h"
#include "models/solid_starter.h"
#include "tests/models/checked_job.h"
#include "tests/models/solid_jobs.h"

namespace holeward {
namespace {

using testing_tools::CheckedFrom;
using testing_tools::CheckedJob;
using testing_tools::Scratch;
using testing_tools::SolidCase;
using testing_tools::SolidCases;
using testing_tools::SolidJob;

std::string FirstError(const std::string& text, const std::string& file) {
  const JobReading reading = ReadJobText(text, file);
  return reading.errors.empty() ? "" : reading.errors.front().message;
}

bool Says(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

class SolidRoundTrip : public ::testing::TestWithParam<SolidCase> {};

TEST_P(SolidRoundTrip, GivesTheSamePlacesAndVerdictsAndAStarterJob) {
  const Scratch folder;
  const std::string file = testing_tools::WriteStep(GetParam(), folder, "arm.step");
  const auto solids = ReadSolidFile(file);
  ASSERT_TRUE(solids) << solids.error().message;
  ASSERT_EQ(solids->bodies.size(), 1U);
  EXPECT_TRUE(solids->bodies[0].healed.empty()) << solids->bodies[0].healed[0];
  const std::string path = folder.path() + "/job.toml";
  const CheckedJob of_sections = CheckedFrom(testing_tools::SectionJob(GetParam()), path);
  const CheckedJob of_solid =
      CheckedFrom(SolidJob(GetParam(), "arm.step", solids->bodies[0].size()), path);
  ASSERT_FALSE(of_solid.placed.empty());
  ASSERT_EQ(of_solid.placed.size(), of_sections.placed.size());
  for (std::size_t i = 0; i < of_solid.placed.size(); ++i) {
    EXPECT_LT((of_solid.placed[i].position - of_sections.placed[i].position).norm(), 1e-3)
        << of_solid.placed[i].name;
  }
  EXPECT_NEAR(of_solid.job.parts[0].wall, of_sections.job.parts[0].wall, 1e-3);
  ASSERT_EQ(of_solid.checking.holes.size(), of_sections.checking.holes.size());
  EXPECT_FALSE(of_solid.checking.holes.empty());
  for (std::size_t i = 0; i < of_solid.checking.holes.size(); ++i) {
    const HoleCheck& a = of_solid.checking.holes[i];
    const HoleCheck& b = of_sections.checking.holes[i];
    EXPECT_EQ(a.verdict, b.verdict) << a.point;
    EXPECT_NEAR(a.near_wall, b.near_wall, 2e-3) << a.point;
    EXPECT_NEAR(a.breakthrough_worst, b.breakthrough_worst, 0.02) << a.point;
    ASSERT_EQ(a.margin_worst.has_value(), b.margin_worst.has_value()) << a.point;
    EXPECT_NEAR(a.margin_worst.value_or(0.0), b.margin_worst.value_or(0.0), 0.05) << a.point;
  }
  for (std::size_t i = 0; i < of_solid.checking.points.size(); ++i) {
    EXPECT_EQ(of_solid.checking.points[i].verdict, of_sections.checking.points[i].verdict);
  }
  // The job that lists what was found places its mark.
  const auto starter = SolidStarterJob(file);
  ASSERT_TRUE(starter) << starter.error().message;
  EXPECT_EQ(CheckedFrom(*starter, path).placed.size(), 1U) << *starter;
}

INSTANTIATE_TEST_SUITE_P(Cases, SolidRoundTrip, ::testing::ValuesIn(SolidCases()),
                         [](const auto& one) { return one.param.name; });

/// One written box, and jobs on it.
class SolidBox : public ::testing::Test {
 protected:
  SolidBox() : box_(SolidCases()[0]), file_(testing_tools::WriteStep(box_, folder_, "arm.step")) {}

  [[nodiscard]] std::string Error(const std::string& from, const std::string& to) const {
    std::string text = SolidJob(box_, "arm.step", {62, 420, 52});
    const auto at = text.find(from);
    EXPECT_NE(at, std::string::npos) << from;
    text.replace(at, from.size(), to);
    return FirstError(text, folder_.path() + "/job.toml");
  }

  Scratch folder_;
  SolidCase box_;
  std::string file_;
};

TEST_F(SolidBox, ASizeOfAnotherUnitIsRefused) {
  EXPECT_EQ(Error("size = [62, 420, 52]", "size = [62, 420, 52]"), "");
  EXPECT_TRUE(Says(Error("size = [62, 420, 52]", "size = [2.44, 16.54, 2.05]"),
                   "must be the size of the body, [62.00, 420.00, 52.00]"));
}

TEST_F(SolidBox, WhatTheSolidSaysIsNotSaidAgain) {
  EXPECT_TRUE(Says(Error("size =", "width = 62\nsize ="), "the solid says it"));
  EXPECT_TRUE(Says(Error("size =", "wall = 4\nsize ="), "must be that of the body (3.000)"));
}

TEST_F(SolidBox, ABodyThatIsNotThereIsAnsweredWithTheList) {
  const std::string said = Error("size =", "body = \"7\"\nsize =");
  EXPECT_TRUE(Says(said, "found \"7\"")) << said;
  EXPECT_TRUE(Says(said, "62.0 x 420.0 x 52.0 mm")) << said;
}

TEST_F(SolidBox, ACentreLineThatIsNotItsOwnIsRefused) {
  EXPECT_EQ(Error("size =", "from = [-110, 620, 300]\nto = [-110, 200, 300]\nsize ="), "");
  EXPECT_EQ(Error("size =", "from = [-105, 200, 303]\nto = [-105, 620, 303]\nsize ="), "");
  EXPECT_TRUE(Says(Error("size =", "from = [-110, 200, 300]\nto = [-110, 620, 301]\nsize ="),
                   "through the middles of its ends"));
}

TEST_F(SolidBox, AFileThatCannotBeReadIsOneSentence) {
  const std::string job = folder_.path() + "/job.toml";
  const auto reading = [&](const std::string& name) {
    return ReadJobText(SolidJob(box_, name, {62, 420, 52}), job);
  };
  const JobReading missing = reading("none.step");
  EXPECT_TRUE(missing.unreadable);
  ASSERT_EQ(missing.errors.size(), 1U);
  EXPECT_TRUE(Says(missing.errors[0].message, "cannot be opened"));
  (void)folder_.Put("text.step", "this is no such file\n");
  EXPECT_TRUE(Says(reading("text.step").errors.at(0).message, "not a STEP file"));
  (void)folder_.Put("half.step", testing_tools::ReadAll(file_).substr(0, 20000));
  const JobReading half = reading("half.step");
  EXPECT_TRUE(half.unreadable);
  EXPECT_EQ(half.errors.size(), 1U);
}

TEST_F(SolidBox, ADrilledHoleIsAHoleAlreadyThere) {
  (void)testing_tools::WriteStep(box_, folder_, "drilled.step", "--drilled");
  const JobReading reading =
      ReadJobText(SolidJob(box_, "drilled.step", {62, 420, 52}), folder_.path() + "/job.toml");
  ASSERT_TRUE(reading.ok()) << reading.errors.front().message;
  const auto& fittings = reading.job.parts[0].fittings;
  ASSERT_EQ(fittings.size(), 1U);  // D1: the test point is not drilled
  EXPECT_EQ(fittings[0].name, "hole 1");
  EXPECT_TRUE(reading.job.parts[0].solid->body.healed.empty());
  EXPECT_EQ(fittings[0].face, "rear");
  EXPECT_NEAR(fittings[0].diameter, 7.0, 1e-6);
}

// One corner of an edge 2 mm off: the reader widens the edge's tolerance until it fits.
TEST_F(SolidBox, ACornerBesideItsFacesMakesTheBodyNone) {
  std::string text = testing_tools::ReadAll(file_);
  const auto vertex = text.find("VERTEX_POINT('',#");
  ASSERT_NE(vertex, std::string::npos);
  const auto name = vertex + std::string("VERTEX_POINT('',").size();
  const std::string entity =
      text.substr(name, text.find(')', name) - name) + " = CARTESIAN_POINT('',(";
  const auto place = text.find("\n" + entity);
  ASSERT_NE(place, std::string::npos);
  const auto first = place + 1 + entity.size();
  const auto comma = text.find(',', first);
  const double x = std::stod(text.substr(first, comma - first));
  text.replace(first, comma - first, std::to_string(x + 2.0));
  const auto file = ReadSolidFile(folder_.Put("corner.step", text));
  ASSERT_TRUE(file) << file.error().message;
  ASSERT_EQ(file->bodies.size(), 1U);
  EXPECT_TRUE(Says(file->bodies[0].trouble, "meet only within 2 mm, not within 0.02 mm"))
      << file->bodies[0].trouble;
}

TEST_F(SolidBox, TheReleaseHoldsForTheFilesBytes) {
  const std::string job = folder_.path() + "/job.toml";
  const std::string text = SolidJob(box_, "arm.step", {62, 420, 52});
  const std::string before = ReadJobText(text, job).job.content_hash;
  EXPECT_EQ(ReadJobText(text, job).job.content_hash, before);
  (void)folder_.Put("arm.step", testing_tools::ReadAll(file_) + " ");
  EXPECT_NE(ReadJobText(text, job).job.content_hash, before);
}

// Sample files of Debian packages (occt-misc, netgen-doc, gmsh-doc), where they are installed: none
// is a straight tube, all are read.
TEST(SolidStarter, ListsBodiesThatAreNoTubesWithTheReason) {
  const Scratch folder;
  const std::string gmsh = "/usr/share/doc/gmsh-doc/doc/gmsh/";
  int listed = 0;
  for (const std::string& path :
       {std::string("/usr/share/opencascade/data/step/linkrods.step"),
        std::string("/usr/share/opencascade/data/step/screw.step"),
        std::string("/usr/share/doc/netgen/examples/frame.step"),
        std::string("/usr/share/doc/netgen/examples/screw.step"),
        gmsh + "demos/api/as1-tu-203.stp.gz", gmsh + "demos/api/step_boundary_colors.stp.gz",
        gmsh + "demos/boolean/component8.step.gz", gmsh + "tutorial/t20_data.step.gz"}) {
    if (!std::filesystem::exists(path)) continue;
    ++listed;
    const std::string file =
        path.ends_with(".gz")
            ? folder.Put("sample.step", testing_tools::Output("gzip -dc '" + path + "'"))
            : path;
    const auto starter = SolidStarterJob(file);
    ASSERT_TRUE(starter) << path << ": " << starter.error().message;
    EXPECT_TRUE(Says(*starter, "is not a part of a job yet")) << *starter;
    EXPECT_FALSE(Says(*starter, "mended")) << *starter;  // in inches and mm, of four makers
    EXPECT_TRUE(ReadJobText(*starter, "job.toml").errors.size() > 0);  // a job needs a part
  }
  if (listed == 0) GTEST_SKIP() << "the samples are not installed";
}

}  // namespace
}  // namespace holeward
