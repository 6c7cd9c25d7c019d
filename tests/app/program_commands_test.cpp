// Commands beside check and issue, and what all of them refuse: the status, the place in the file,
// what was found and what is allowed, and that nothing is left behind.
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <set>
#include <sstream>
#include <string>
#include <utility>

#include <gtest/gtest.h>

#include "tests/app/program_runs.h"

namespace holeward {
namespace {

using namespace testing_tools;

class ProgramCommands : public ProgramRuns {
 protected:
  /// The program on another place, alone or beside files put there.
  Said Elsewhere(const std::string& arguments) const {
    const std::string command = "cd '" + folder_.string() +
                                "' && env -u DISPLAY elsewhere/holeward " + arguments +
                                " >.out 2>.err";
    const int status = std::system(command.c_str());
    return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, Text(folder_ / ".out"),
            Text(folder_ / ".err")};
  }
};

// ---- Filters

TEST_F(ProgramCommands, ASideOrPartThatTheJobDoesNotMakeIsRefusedByEveryCommand) {
  Write(With(ClearJob(), "[\"left\", \"right\"]", "[\"left\"]"));
  for (const char* command : {"locate", "check", "template", "issue"}) {
    Refuses(std::string(command) + " job.toml --side right --to out", 2,
            "--side right: the job does not make that side; see `sides` in [vehicle]");
  }
  Refuses("check job.toml --part tub", 2,
          "--part tub: the job has no such part; did you mean \"tube\"? Its parts: tube");
  Refuses("check job.toml --part bar", 2, "--part bar: the job has no such part. Its parts: tube");
}

TEST_F(ProgramCommands, AReportOfAPartOfAJobSaysThatTheRestWasLeftOut) {
  Write(std::string(kHead) + kTube + kHole);
  EXPECT_EQ(Program("check job.toml --side left --to some").status, 3);
  const std::string some = Text(folder_ / "some/check-report.txt");
  EXPECT_NE(some.find("What --side or --part left out."), std::string::npos) << some;
  EXPECT_EQ(Text(folder_ / "some/holes.csv").find("right"), std::string::npos);
}

// ---- Locate

TEST_F(ProgramCommands, AJobWithoutPointsHasNothingToPlaceAndNothingProven) {
  Write(std::string(kHead) + kTube);
  const Said run = Program("locate job.toml");
  EXPECT_EQ(run.status, 0) << run.err;
  EXPECT_NE(run.out.find("No point to place."), std::string::npos) << run.out;
  EXPECT_EQ(Program("check job.toml").status, 3);
}

// The top of a waisted box is hollow all along: a taut tape from end to end is a straight line.
TEST_F(ProgramCommands, ATapeOverAHollowIsToldBridged) {
  Write(std::string(kHead) + R"([part.arm]
section = "box"
wall = 3
start = "inner end"
finish = "outer end"
stations = [ { centre = [0, 100, 300], width = 60, height = 60, corner = 6 },
             { centre = [0, 300, 300], width = 60, height = 40, corner = 6 },
             { centre = [0, 500, 300], width = 60, height = 60, corner = 6 } ]
[[point]]
name = "K"
use = "reference"
part = "arm"
face = "top"
rule = [ { tape = 390, from = "inner end", toward = "outboard" }, { middle = "face" } ]
)");
  const Json point = Document("locate job.toml", 0).at("points").at(0);
  const Json& at = point.at("position_mm");
  const double straight =
      std::hypot(at[0].get<double>(), at[1].get<double>() - 100.0, at[2].get<double>() - 330.0);
  EXPECT_LT(straight, 389.6);
  EXPECT_NEAR(point.at("readings").at(0).at("bridged_mm").get<double>(), straight, 0.02);
  char words[64];
  std::snprintf(words, sizeof words, "tape 390.00 mm (bridged %.2f mm) from inner end", straight);
  const Said run = Program("locate job.toml");
  EXPECT_NE(run.out.find(words), std::string::npos) << words << '\n' << run.out;
}

// ---- Templates and sets

TEST_F(ProgramCommands, ATemplateIsMadeWhereItHasPoints) {
  Write(TubeJob(kTest + std::string("only = \"left\"\n")) + "points = [\"P1\"]\n");
  const Json json = Document("template job.toml --to out", 0);
  ASSERT_EQ(json.at("sheets").size(), 1U);
  EXPECT_EQ(json.at("sheets").at(0).at("file"), "template-tube-wrap-left.pdf");
  Refuses("template job.toml --side right --to none", 2,
          "the job has no [[template]] for what was asked; nothing was written");
  Refuses("template missing.toml --to none", 4, "missing.toml:1:1: ");
}

TEST_F(ProgramCommands, ATemplateWhoseMarksWouldLandBesideTheirPlacesIsToldAtItsOwn) {
  const std::string job = With(TubeJob(kTest), "from = [0, 100, 300]\nto = [0, 500, 300]",
                               "stations = [[0, 100, 300], [0, 300, 300], [200, 400, 300]]");
  Write(With(job, "[\"left\", \"right\"]", "[\"left\"]"));
  for (const char* command : {"template", "issue --no-pictures"}) {
    const std::set<std::string> before = Names();
    const Said run = Program(std::string(command) + " job.toml --to out");
    EXPECT_EQ(run.status, 2) << command << run.err;
    EXPECT_NE(run.err.find("job.toml:23:1: template \"tube wrap\": "), std::string::npos)
        << run.err;
    EXPECT_NE(run.err.find("the limit wrap_error is 0.5 mm"), std::string::npos) << run.err;
    EXPECT_EQ(run.out, "") << command;
    EXPECT_EQ(Names(), before) << command;
  }
}

// What is only assumed, what shares a section, and a hole whose depths cannot be computed each
// stand in the engineer's report.
TEST_F(ProgramCommands, TheReportSaysWhatItRestsOnAndWhatCouldNotBeComputed) {
  const std::string beside = With(With(kHole, "D1", "D2"), "{ line = \"bottom\" }",
                                  "{ protractor = 60, from = \"bottom\", toward = \"front\" }");
  const std::string off_the_end = With(With(kHole, "D1", "D3"), "tape = 200", "tape = 3");
  Write(std::string(kHead) + kTube + kBar + "basis = \"assumed\"\n" + kHole + beside + off_the_end);
  const Said run = Program("issue job.toml --no-pictures --side left --to out");
  EXPECT_EQ(run.status, 3) << run.err;
  EXPECT_NE(run.out.find("No template in the job."), std::string::npos) << run.out;
  std::istringstream pages(PdfText("out/clearance.pdf"));
  std::string report;  // on one line
  for (std::string word; pages >> word;) report += word + " ";
  for (const char* words :
       {"bar in tube", "assumed", "Holes that share this section are taken out as well: D2.",
        "What --side or --part left out."}) {
    EXPECT_NE(report.find(words), std::string::npos) << words;
  }
  const Json holes = Json::parse(Text(folder_ / "out/result.json")).at("holes");
  ASSERT_EQ(holes.size(), 3U);
  EXPECT_EQ(holes.at(2).at("name"), "D3");
  EXPECT_EQ(holes.at(2).at("outcome"), "not_computed");
  EXPECT_EQ(holes.at(2).at("verdict"), "unproven");
  const Said check = Program("check job.toml --side left");
  EXPECT_NE(check.out.find("not computed"), std::string::npos) << check.out;
}

// ---- Decide

TEST_F(ProgramCommands, ADecisionSaysWhichThicknessItLacksAndRefusesWhatIsNoTable) {
  Write(ClearJob() + R"([[decision]]
when = "any test fails or remaining < 2.0 at any test"
then = "Replace the tube."
[[decision]]
when = "otherwise"
then = "The tube stays in use."
)");
  Write("vehicle,point,side,result,remaining_mm\nV1,P1,left,pass,2.4\nV1,P1,right,pass,\n",
        "results.csv");
  const Said open = Program("decide job.toml results.csv");
  EXPECT_EQ(open.status, 3) << open.err;
  EXPECT_EQ(open.out, "vehicle V1: NOT DECIDED, missing: remaining thickness of right P1\n");
  Write("vehicle,point,side,result,remaining_mm\n,P1,left,fail,\n,P1,right,pass,2.0\n",
        "results.csv");
  const Said decided = Program("decide job.toml results.csv");
  EXPECT_EQ(decided.status, 0) << decided.err;
  EXPECT_EQ(decided.out,
            "vehicle without a name: decision 1 (any test fails or remaining < 2.0 at any test): "
            "Replace the tube.\n");
  Write("vehicle,point,side,result\n", "empty.csv");
  Refuses("decide job.toml empty.csv", 2, "the table of results has no vehicle in it");
  Refuses("decide missing.toml results.csv", 4, "missing.toml:1:1: ");
  Write(ClearJob());
  Refuses("decide job.toml results.csv", 2, "the job has no [[decision]]");
}

// ---- Compare

TEST_F(ProgramCommands, AHoleThatTheNewJobCannotJudgeIsUnprovenAndSaysWhy) {
  Write(TubeJob(kHole), "old.toml");
  Write(With(TubeJob(kHole), "[\"left\", \"right\"]", "[\"left\"]"), "left.toml");
  const Json less = Document("compare old.toml left.toml", 3);
  ASSERT_EQ(less.at("holes_done").size(), 2U);
  EXPECT_EQ(less.at("holes_done").at(0).at("verdict"), "clear");
  const Json& right = less.at("holes_done").at(1);
  EXPECT_EQ(right.at("side"), "right");
  EXPECT_EQ(right.at("verdict"), "unproven");
  EXPECT_FALSE(right.contains("margin_worst_mm") && right.at("margin_worst_mm").is_number());
  EXPECT_EQ(right.at("reasons").at(0), "The new job does not make this side: it cannot be judged.");
  // The same tube, described for the other side: the points stay where they were.
  const std::string other =
      With(With(With(TubeJob(kHole), "described_side = \"left\"", "described_side = \"right\""),
                "[0, 100, 300]", "[0, -100, 300]"),
           "[0, 500, 300]", "[0, -500, 300]");
  for (const auto& [job, name] : {std::pair(TubeJob(kHole), "old.toml"), {other, "other.toml"}}) {
    Write(With(job, "[\"left\", \"right\"]", "[\"left\"]"), name);
  }
  const Said words = Program("compare old.toml other.toml");
  EXPECT_EQ(words.status, 3) << words.err;
  EXPECT_NE(words.out.find("D1     left  same  0.000"), std::string::npos) << words.out;
  EXPECT_NE(words.out.find("D1 left stage 1: The jobs describe different sides: it cannot be "
                           "judged."),
            std::string::npos)
      << words.out;
  EXPECT_NE(words.out.find("Vehicles done by the old job: unproven"), std::string::npos);
  Write(std::string(kHead) + kTube, "bare.toml");
  const Said none = Program("compare bare.toml old.toml");
  EXPECT_EQ(none.status, 0) << none.err;
  EXPECT_NE(none.out.find("appeared"), std::string::npos) << none.out;
  EXPECT_NE(none.out.find("The old job drills no hole."), std::string::npos) << none.out;
  Refuses("compare missing.toml old.toml", 4, "missing.toml:1:1: ");
  Refuses("compare bare.toml missing.toml", 4, "missing.toml:1:1: ");
}

// ---- Words

TEST_F(ProgramCommands, WordsArePrintedWithWhatTheJobsTableSaysAlready) {
  Write(With(ClearJob(), "[vehicle]", "[words]\nfile = \"words.csv\"\n[vehicle]"));
  Write("text,de,es\nlevel,waagerecht,\n", "words.csv");
  const Said run = Program("words job.toml");
  EXPECT_EQ(run.status, 0) << run.err;
  EXPECT_EQ(run.out.rfind("text,de,es", 0), 0U) << run.out;
  EXPECT_NE(run.out.find("\nlevel,waagerecht,\n"), std::string::npos) << run.out;
  EXPECT_NE(run.out.find("\nouter end,,\n"), std::string::npos) << run.out;
  EXPECT_EQ(Text(folder_ / "words.csv"), "text,de,es\nlevel,waagerecht,\n");
  const Said written = Program("words job.toml --to more.csv");
  EXPECT_EQ(written.status, 0) << written.err;
  EXPECT_EQ(Text(folder_ / "more.csv"), run.out);
  Write("text,fr\nlevel,\n", "words.csv");
  Refuses("words job.toml", 2, "words.csv:1:6: unknown column \"fr\"");
  Refuses("words missing.toml", 4, "missing.toml:1:1: ");
}

// ---- Starter jobs of solids

// The model of a drawn tube, taken in as a body of a STEP file, has the drawn tube's hole.
TEST_F(ProgramCommands, AModelTakenInAsASolidHasTheHolesOfTheDrawnPart) {
  Write(std::string(kHead) + kTube + kHole);
  ASSERT_EQ(Program("model job.toml --side left --to tube.step").status, 0);
  const Json made = Document("new solid tube.step --to solid.toml", 0);
  EXPECT_EQ(made.at("command"), "new");
  EXPECT_EQ(made.at("file"), "solid.toml");
  const std::string starter = Text(folder_ / "solid.toml");
  EXPECT_EQ(made.at("text"), starter);
  EXPECT_NE(starter.find("wall    = 3.000"), std::string::npos) << starter;
  Write(starter + With(kHole, "\"tube\"", "\"part1\""), "solid.toml");
  EXPECT_EQ(Program("issue solid.toml --no-pictures --to out").status, 0);
  const Json solid = Json::parse(Text(folder_ / "out/result.json")).at("holes").at(0);
  // R - sqrt(ri² - a²) + a cot(A/2) and 2R - t of a radial hole in a tube.
  EXPECT_NEAR(solid.at("near_wall_mm").get<double>(), 3.0, 1e-3);
  EXPECT_NEAR(solid.at("breakthrough_mm").get<double>(), 4.9689, 1e-3);
  EXPECT_NEAR(solid.at("free_depth_mm").get<double>(), 57.3, 1e-3);
  const std::string report = PdfText("out/clearance.pdf");
  EXPECT_NE(report.find("of tube.step, unit millimetre"), std::string::npos);
}

TEST_F(ProgramCommands, WhatIsNoStepFileMakesNoStarterJob) {
  Write(ClearJob());
  Refuses("new solid missing.step --to solid.toml", 4, "missing.step");
  Refuses("new solid job.toml --to solid.toml", 4,
          "reading job.toml: it is not a STEP file (ISO 10303-21)");
  Refuses("new solid", 2, "'new solid' needs a STEP file");
  Refuses("new tube job.toml", 2,
          "'job.toml' was not expected here: only 'new solid' takes a file");
}

// ---- The window's program

TEST_F(ProgramCommands, AWindowThatIsNotInstalledOrCannotBeRunIsASentence) {
  fs::create_directory(folder_ / "elsewhere");
  fs::copy_file(HOLEWARD_PROGRAM, folder_ / "elsewhere/holeward");
  Write(ClearJob());
  const Said without = Elsewhere("view job.toml");
  EXPECT_EQ(without.status, 4);
  EXPECT_EQ(without.out, "");
  EXPECT_NE(without.err.find("the program holeward-view, which has the window, is not installed"),
            std::string::npos)
      << without.err;
  Write("neither a program nor a script\n", "elsewhere/holeward-view");
  fs::permissions(folder_ / "elsewhere/holeward-view", fs::perms::owner_all);
  const Said broken = Elsewhere("view job.toml --picture job.png");
  EXPECT_EQ(broken.status, 4);
  EXPECT_NE(broken.err.find("holeward-view cannot be run: "), std::string::npos) << broken.err;
  EXPECT_FALSE(fs::exists(folder_ / "job.png"));
}

}  // namespace
}  // namespace holeward
