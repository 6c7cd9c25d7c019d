// Templates on bodies of a STEP file: a channel lies flat as its sections do, a bent tube tells
// what its marks miss when the sheet is laid back.
#include <algorithm>
#include <cmath>

#include "models/solid_file.h"
#include "models/templates.h"
#include "tests/models/checked_job.h"
#include "tests/models/solid_jobs.h"
#include "tests/models/solid_shapes.h"

namespace holeward {
namespace {

using testing_tools::CheckedFrom;
using testing_tools::CheckedJob;
using testing_tools::Scratch;
using testing_tools::SolidCase;
using testing_tools::Spine;

std::string SheetOf(const std::string& points) {
  return "[[template]]\nname = \"sheet\"\npart = \"arm\"\n" +
         (points.empty() ? std::string() : "points = [" + points + "]\n");
}

Result<TemplatePieces> Developed(const CheckedJob& run) {
  EXPECT_EQ(run.job.templates.size(), 1U);
  return DevelopTemplate(run.job.templates.at(0), run.job, run.scene, run.placed);
}

TEST(SolidTemplate, OfAChannelIsThatOfItsSections) {
  const Scratch folder;
  const auto cases = testing_tools::SolidCases();
  const auto channel = std::find_if(cases.begin(), cases.end(),
                                    [](const SolidCase& one) { return one.name == "OpenChannel"; });
  ASSERT_NE(channel, cases.end());
  const std::string file = testing_tools::WriteStep(*channel, folder, "rail.step");
  const auto solids = ReadSolidFile(file);
  ASSERT_TRUE(solids) << solids.error().message;
  const std::string path = folder.path() + "/job.toml";
  const auto of_sections = Developed(CheckedFrom(SectionJob(*channel) + SheetOf(""), path));
  const auto of_solid = Developed(CheckedFrom(
      SolidJob(*channel, "rail.step", solids->bodies.at(0).size()) + SheetOf(""), path));
  ASSERT_TRUE(of_sections) << of_sections.error().message;
  ASSERT_TRUE(of_solid) << of_solid.error().message;
  ASSERT_EQ(of_solid->pieces.size(), of_sections->pieces.size());
  int marks = 0;
  for (std::size_t i = 0; i < of_solid->pieces.size(); ++i) {
    const DevelopedPiece& a = of_solid->pieces[i];
    const DevelopedPiece& b = of_sections->pieces[i];
    EXPECT_EQ(a.name, b.name);
    EXPECT_LT(a.stretch_max, 1e-6);
    ASSERT_EQ(a.marks.size(), b.marks.size());
    for (std::size_t k = 0; k < a.marks.size(); ++k) {
      EXPECT_LT((a.marks[k].at - b.marks[k].at).norm(), 2e-3) << a.marks[k].name;
      EXPECT_LT(a.marks[k].wrap_error, 0.01) << a.marks[k].name;
      ++marks;
    }
    const auto& outline = a.lines.front().points;
    const auto& known = b.lines.front().points;
    ASSERT_EQ(outline.size(), known.size());
    for (std::size_t k = 0; k < outline.size(); ++k) {
      EXPECT_LT((outline[k] - known[k]).norm(), 5e-3);
    }
  }
  EXPECT_EQ(marks, 2);
}

/// A stay of one bend: 160 mm straight, 50 degrees about 90 mm, 110 mm straight.
class SolidTemplateBent : public ::testing::Test {
 protected:
  [[nodiscard]] std::string Job(const std::string& limits, const std::string& sheet) const {
    Spine spine({400, 380, 420}, {-1, 0, 0}, 160);
    spine.Add({{0, 0, 1}, 90, 50 * kDegree, 110});
    const std::string path =
        testing_tools::WriteShapes({spine.Tube(24.15, 20.95)}, folder_, "stay.step");
    const auto file = ReadSolidFile(path);
    EXPECT_TRUE(file);
    const Vec3 size = file ? file->bodies.at(0).size() : Vec3::Zero();
    std::ostringstream job;
    job << testing_tools::kSolidHead << limits << "[part.arm]\nsection = \"solid\"\nfile = \""
        << path << "\"\nsize = [" << size.x() << ", " << size.y() << ", " << size.z()
        << "]\nstart = \"front end\"\nfinish = \"rear end\"\n";
    for (const auto& [name, tape] : {std::pair("M1", 40), {"M2", 100}, {"M3", 200}}) {
      job << "[[point]]\nname = \"" << name
          << "\"\nuse = \"reference\"\npart = \"arm\"\nrule = [ { tape = " << tape
          << ", from = \"front end\", toward = \"rear\" }, { line = \"outboard\" } ]\n";
    }
    job << sheet;
    return job.str();
  }
  [[nodiscard]] CheckedJob Run(const std::string& limits, const std::string& sheet) const {
    return CheckedFrom(Job(limits, sheet), folder_.path() + "/job.toml");
  }

  Scratch folder_;
};

TEST_F(SolidTemplateBent, OnAStraightStretchItsMarksLieAsFarApartAsByTape) {
  const auto made = Developed(Run("", SheetOf("\"M1\", \"M2\"")));
  ASSERT_TRUE(made) << made.error().message;
  std::vector<FlatMark> marks;
  for (const DevelopedPiece& piece : made->pieces) {
    marks.insert(marks.end(), piece.marks.begin(), piece.marks.end());
  }
  ASSERT_EQ(marks.size(), 2U);
  ASSERT_EQ(made->pieces.size(), 1U);
  EXPECT_NEAR((marks[0].at - marks[1].at).norm(), 60.0, 0.05);
  for (const FlatMark& mark : marks) EXPECT_LT(mark.wrap_error, 0.05) << mark.name;
}

// The greatest error of all marks is what the sheet tells; a limit below it refuses the sheet.
TEST_F(SolidTemplateBent, InTheBendWhatItsMarkMissesIsToldOrRefused) {
  const auto made = Developed(Run("[limits]\nwrap_error = 5\n", SheetOf("\"M3\"")));
  ASSERT_TRUE(made) << made.error().message;
  double worst = 0.0;
  for (const DevelopedPiece& piece : made->pieces) {
    for (const FlatMark& mark : piece.marks) worst = std::max(worst, mark.wrap_error);
  }
  EXPECT_GT(worst, 0.01);
  EXPECT_LT(worst, 5.0);
  std::ostringstream limit;
  limit << "[limits]\nwrap_error = " << 0.5 * worst << "\n";
  const auto refused = Developed(Run(limit.str(), SheetOf("\"M3\"")));
  ASSERT_FALSE(refused);
  EXPECT_NE(refused.error().message.find("the mark M3 would land"), std::string::npos)
      << refused.error().message;
}

}  // namespace
}  // namespace holeward
