#include "export/check_report.h"

#include <cmath>

#include <gtest/gtest.h>

namespace holeward {
namespace {

CheckReportInput SomeInput() {
  CheckReportInput input;
  input.head = {"arm.toml", "Curved arm", "HW-0107", "C", "5d20e7aa", "Holeward 0.1.0", true, {}};
  input.date = "2026-11-25";
  input.posture = "level on a two-post lift";
  input.sides = {Side::left, Side::right};
  input.basics.zeroed = {"punch"};
  HoleOut hole;
  hole.check.point = "D1";
  hole.check.part = "arm";
  hole.check.stage = 2;
  hole.check.diameter = 8.5;
  hole.check.outcome = Outcome::met;
  hole.check.free_depth = 18.25;
  hole.check.first_contact = FirstContact{"torsion bar", Vec3::Zero()};
  hole.check.stop = 9.5;
  hole.check.stop_from = StopFrom::proposed;
  hole.check.through = true;
  hole.check.margin = 8.75;
  hole.check.margin_worst = 3.125;
  hole.check.access = 14.0;
  hole.check.verdict = Verdict::tight;
  hole.check.reasons = {"The worst margin, 3.1 mm, is below the limit of 5.0 mm."};
  input.holes = {hole};
  PointCheckOut point;
  point.check.point = "Prüfpunkt";
  point.check.part = "arm";
  point.check.test = true;
  point.check.edge_distance = 21.5;
  point.check.nearest_edge = "bottom edge";
  point.check.verdict = Verdict::clear;
  input.points = {point};
  input.overall = Verdict::tight;
  input.not_checked = {"Access at the damper bracket: its height is not stated."};
  return input;
}

TEST(CheckReport, SaysEverythingAVerdictRestsOn) {
  const std::string report = *CheckReport(SomeInput());
  for (const char* words :
       {"HW-0107 · C", "left, right", "OVERALL VERDICT: TIGHT", "torsion bar", "proposed", "3.1",
        "clearance      5.0 mm", "edge_distance  2.0 diameters", "±1.0 mm", "±5.0 °",
        "Set to 0 by the job: punch.", "D1 left, stage 2 (8.5 mm): tight. The worst margin",
        "its height is not stated", "eye and breathing", "stored energy", "licensed practice"}) {
    EXPECT_NE(report.find(words), std::string::npos) << words << "\n" << report;
  }
  EXPECT_EQ(report.back(), '\n');
}

TEST(CheckReport, SaysHowEachErrorIsDrawn) {
  CheckReportInput input = SomeInput();
  const auto says = [&] {
    // Lines are broken at spaces; in one line here.
    std::string flat;
    const std::string report = *CheckReport(input);
    for (const char c : report) {
      const char one = c == '\n' ? ' ' : c;
      if (one != ' ' || flat.empty() || flat.back() != ' ') flat += one;
    }
    return flat;
  };
  EXPECT_NE(says().find("Drawn for the probability of contact: each error even over what the job "
                        "states (rectangular; a disc, a cone)."),
            std::string::npos);
  input.basics.marking.distribution.tilt = Distribution::normal;
  input.basics.marking.distribution.depth = Distribution::normal;
  input.basics.marking.distribution.sheet = Distribution::triangular;
  EXPECT_NE(says().find("each error over what the job states (an interval, a disc, a cone): normal "
                        "for tilt, depth (half-width 3 standard deviations, cut off there); "
                        "triangular for template; rectangular for readings, datum, punch, wall, "
                        "outline, inner_body, run_on."),
            std::string::npos)
      << says();
}

TEST(CheckReport, ColumnsLineUpCountedInCharacters) {
  const std::string text = Columns({{"name", "value"}, {"Prüfpunkt", "1.5"}, {"K", "-12.25"}});
  EXPECT_EQ(text,
            "  name        value\n"
            "  ---------  ------\n"
            "  Prüfpunkt     1.5\n"
            "  K          -12.25\n");
}

TEST(CheckReport, SaysByTheMarksNameWhereATemplatesMarksLand) {
  CheckReportInput input = SomeInput();
  EXPECT_EQ(CheckReport(input)->find("TEMPLATES"), std::string::npos);
  input.wraps = {{"arm rear", Side::left, "D1", 0.0421}};
  const std::string report = *CheckReport(input);
  EXPECT_NE(report.find("TEMPLATES (mm)"), std::string::npos);
  EXPECT_NE(report.find("arm rear  left  D1         0.042"), std::string::npos) << report;
  EXPECT_NE(report.find("the limit is 0.50 mm"), std::string::npos) << report;
  input.misfits = {{"arm rear", Side::left, "rear", {"on the other side", "at front"}}};
  const Result<std::string> warned = CheckReport(input);
  ASSERT_TRUE(warned.has_value());
  EXPECT_NE(warned->find("Template \"arm rear\", left, piece \"rear\", also fits on the other side "
                         "and at front."),
            std::string::npos)
      << *warned;
  input.wraps[0].error = std::nan("");
  ASSERT_FALSE(CheckReport(input));
  EXPECT_NE(CheckReport(input).error().message.find("template \"arm rear\", mark D1"),
            std::string::npos);
}

TEST(CheckReport, SaysWhenOnlyPartOfAJobWasLookedAt) {
  CheckReportInput input = SomeInput();
  EXPECT_EQ(CheckReport(input)->find("Only part of the job"), std::string::npos);
  input.head.complete = false;
  EXPECT_NE(CheckReport(input)->find("Only part of the job"), std::string::npos);
}

TEST(CheckReport, RefusesWhatIsNotANumber) {
  CheckReportInput input = SomeInput();
  input.holes[0].check.margin_worst = std::nan("");
  ASSERT_FALSE(CheckReport(input));
  EXPECT_NE(CheckReport(input).error().message.find("\"D1\""), std::string::npos);
}

}  // namespace
}  // namespace holeward
