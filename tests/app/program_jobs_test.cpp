// The program run on whole jobs, as its three users run it: what it prints, writes, and leaves
// with.
#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>
#include <sstream>
#include <string>
#include <thread>
#include <tuple>
#include <vector>

#include <fcntl.h>
#include <nlohmann/json.hpp>
#include <sys/wait.h>
#include <unistd.h>

#include <gtest/gtest.h>

#include "tests/app/program_runs.h"

namespace holeward {
namespace {

using namespace testing_tools;

class ProgramJobs : public ProgramRuns {};

// ---- Results

void HasOnlyAllowedNulls(const Json& json, const std::string& path) {
  static const std::set<std::string> kMayBeNull = {"free_depth_mm", "first_contact", "margin_mm",
                                                   "margin_worst_mm"};
  if (json.is_number()) {
    EXPECT_TRUE(std::isfinite(json.get<double>())) << path;
  }
  if (!json.is_structured()) return;
  const bool met = json.is_object() && json.value("outcome", "met") == "met";
  for (const auto& [key, value] : json.items()) {
    if (value.is_null()) {
      EXPECT_TRUE(!met && kMayBeNull.count(key) == 1) << path << '.' << key;
    }
    HasOnlyAllowedNulls(value, path + '.' + key);
  }
}

bool IsPlace(const Json& json) {
  return json.is_array() && json.size() == 3 &&
         std::all_of(json.begin(), json.end(), [](const Json& n) { return n.is_number(); });
}

void IsDocument(const Json& json, const char* command, bool complete) {
  EXPECT_EQ(json.at("holeward_result"), 1);
  EXPECT_EQ(json.at("command"), command);
  EXPECT_EQ(json.at("job"), "job.toml");
  EXPECT_EQ(json.at("complete"), complete);
  HasOnlyAllowedNulls(json, command);
}

void HoldsPoint(const Json& p) {
  for (const char* key : {"name", "side", "part", "face", "use"}) {
    EXPECT_TRUE(p.at(key).is_string()) << key;
  }
  for (const char* key : {"station_mm", "girth_mm", "conditioning", "reading_spread_mm"}) {
    EXPECT_TRUE(p.at(key).is_number()) << key;
  }
  EXPECT_TRUE(IsPlace(p.at("position_mm")));
  EXPECT_TRUE(IsPlace(p.at("normal")));
  EXPECT_TRUE(IsPlace(p.at("zone").at("direction")));
  EXPECT_GE(p.at("zone").at("major_mm").get<double>(), p.at("zone").at("minor_mm").get<double>());
  EXPECT_EQ(p.at("readings").size(), 2U);
  for (const Json& reading : p.at("readings")) {
    EXPECT_TRUE(reading.at("method").is_string());
    EXPECT_TRUE(reading.at("from").is_string());
    EXPECT_NE(reading.contains("value_mm"), reading.contains("value_deg"));
  }
  for (const Json& tie : p.at("ties")) {
    EXPECT_TRUE(tie.at("to").is_string());
    EXPECT_GT(tie.at("straight_mm").get<double>(), 0.0);
  }
}

void HoldsHole(const Json& h) {
  for (const char* key : {"name", "side", "outcome", "stop_from", "verdict"}) {
    EXPECT_TRUE(h.at(key).is_string()) << key;
  }
  for (const char* key : {"stage", "diameter_mm", "near_wall_mm", "breakthrough_mm", "access_mm"}) {
    EXPECT_TRUE(h.at(key).is_number()) << key;
  }
  EXPECT_TRUE(h.at("through").is_boolean());
  EXPECT_EQ(h.contains("stop_mm"), h.at("stop_from") != "none");
  if (h.at("outcome") == "met") {
    EXPECT_TRUE(h.at("free_depth_mm").is_number());
    EXPECT_TRUE(h.at("margin_mm").is_number());
    EXPECT_LE(h.at("margin_worst_mm").get<double>(), h.at("margin_mm").get<double>());
    EXPECT_TRUE(h.at("first_contact").at("body").is_string());
    EXPECT_TRUE(IsPlace(h.at("first_contact").at("position_mm")));
  } else {
    for (const char* key : {"free_depth_mm", "first_contact", "margin_mm", "margin_worst_mm"}) {
      EXPECT_TRUE(h.at(key).is_null()) << key;
    }
  }
}

TEST_F(ProgramJobs, LocatePrintsTheKeysOfItsTable) {
  const Json json = Document("locate " + Write(ClearJob()), 0);
  IsDocument(json, "locate", true);
  ASSERT_EQ(json.at("points").size(), 4U);
  for (const Json& point : json.at("points")) HoldsPoint(point);
}

TEST_F(ProgramJobs, CheckPrintsTheKeysOfItsTable) {
  const Json json = Checked(ClearJob(), 0);
  IsDocument(json, "check", true);
  ASSERT_EQ(json.at("holes").size(), 2U);
  for (const Json& hole : json.at("holes")) HoldsHole(hole);
  ASSERT_EQ(json.at("points").size(), 4U);
  for (const Json& point : json.at("points")) {
    for (const char* key : {"name", "side", "verdict"}) EXPECT_TRUE(point.at(key).is_string());
    for (const char* key : {"edge_distance_mm", "seat_gap_mm", "access_mm"}) {
      EXPECT_TRUE(point.at(key).is_number()) << key;
    }
  }
  EXPECT_EQ(json.at("verdict"), "clear");
}

TEST_F(ProgramJobs, TemplatePrintsTheKeysOfItsTableAndNamesTheFilesItWrote) {
  const Json json = Document("template " + Write(ClearJob()) + " --to out", 0);
  IsDocument(json, "template", true);
  ASSERT_EQ(json.at("sheets").size(), 2U);
  const auto files = Files("out");
  for (const Json& sheet : json.at("sheets")) {
    EXPECT_EQ(files.count(sheet.at("file").get<std::string>()), 1U) << sheet.at("file");
    ASSERT_FALSE(sheet.at("pages").empty());
    for (const Json& page : sheet.at("pages")) {
      const double width = page.at("width_mm").get<double>();
      const double height = page.at("height_mm").get<double>();
      EXPECT_TRUE(page.at("number").is_number_integer());
      EXPECT_EQ(std::min(width, height), 210.0);  // A4, ISO 216
      EXPECT_EQ(std::max(width, height), 297.0);
    }
    EXPECT_EQ(sheet.at("marks").size(), 2U);
    for (const Json& mark : sheet.at("marks")) {
      EXPECT_TRUE(mark.at("name").is_string());
      EXPECT_LE(mark.at("page").get<std::size_t>(), sheet.at("pages").size());
      for (const char* key : {"x_mm", "y_mm", "wrap_error_mm"}) {
        EXPECT_TRUE(mark.at(key).is_number()) << key;
      }
    }
    EXPECT_TRUE(sheet.at("stretch_max").is_number());
    EXPECT_TRUE(sheet.at("stretch_rms").is_number());
  }
}

TEST_F(ProgramJobs, TemplatesOfASideArePackedInOneFile) {
  const std::string second =
      "\n[[template]]\nname = \"second wrap\"\npart = \"tube\"\n"
      "align = [\"inner end\", \"bottom\"]\npaper = \"A4\"\n";
  const Json json = Document("template " + Write(ClearJob() + second) + " --to out", 0);
  const auto files = Files("out");
  ASSERT_EQ(json.at("sheets").size(), 4U) << "as without the packed ones";
  ASSERT_EQ(json.at("packed").size(), 2U);
  for (const Json& packed : json.at("packed")) {
    const std::string file = "templates-" + packed.at("side").get<std::string>() + ".pdf";
    EXPECT_EQ(packed.at("file"), file);
    EXPECT_EQ(files.count(file), 1U) << file;
    EXPECT_GE(packed.at("pages").size(), 2U);
    EXPECT_GE(packed.at("marks").size(), 4U);
  }
  const Json alone = Document("template " + Write(ClearJob()) + " --to alone", 0);
  EXPECT_TRUE(alone.at("packed").empty()) << "one template is its own set";
}

TEST_F(ProgramJobs, IssueWritesWhatItPrints) {
  const Said run = Program("issue " + Write(ClearJob()) + " --to out --json");
  EXPECT_EQ(run.status, 0) << run.err;
  const auto files = Files("out");
  ASSERT_EQ(files.count("result.json"), 1U);
  EXPECT_EQ(files.at("result.json"), run.out);
  const Json json = Json::parse(run.out);
  std::set<std::string> named;
  for (const Json& name : json.at("files")) named.insert(name.get<std::string>());
  std::set<std::string> written;
  for (const auto& [name, bytes] : files) written.insert(name);
  EXPECT_EQ(named, written);
  for (const char* name :
       {"points.csv", "holes.csv", "check-report.txt", "instructions.pdf", "record.pdf"}) {
    EXPECT_EQ(files.count(name), 1U) << name;
  }
}

TEST_F(ProgramJobs, WithoutPicturesEverythingElseIsTheSame) {
  const std::string job = Write(ClearJob());
  ASSERT_EQ(Program("issue " + job + " --to whole").status, 0);
  ASSERT_EQ(Program("issue " + job + " --to bare --no-pictures").status, 0);
  auto whole = Files("whole");
  auto bare = Files("bare");
  EXPECT_GE(std::erase_if(whole,
                          [](const auto& file) {
                            return file.first.starts_with("picture-") &&
                                   file.first.ends_with(".png");
                          }),
            1U);
  for (auto* files : {&whole, &bare}) files->erase("result.json");  // it lists the files
  EXPECT_EQ(whole, bare);
  EXPECT_EQ(Program("check " + job + " --no-pictures").status, 2);
}

TEST_F(ProgramJobs, InstructionsNameTheEndsOfASharedPartAsTheSideSeesThem) {
  std::string job =
      With(ClearJob(), "from = [0, 100, 300]", "shared = true\nfrom = [0, -500, 300]");
  job = With(job, "start = \"inner end\"\nfinish = \"outer end\"",
             "start = \"right end\"\nfinish = \"left end\"");
  job = With(job, "tape = 200, from = \"inner end\", toward = \"outboard\"",
             "tape = 100, from = \"left end\", toward = \"inboard\"");
  job = With(job, "tape = 120, from = \"inner end\", toward = \"outboard\"",
             "tape = 40, from = \"left end\", toward = \"inboard\"");
  job = With(job, "align = [\"inner end\"", "align = [\"left end\"");
  const Said run = Program("issue " + Write(job) + " --to out");
  ASSERT_EQ(run.status, 0) << run.err << run.out;
  std::istringstream pages(PdfText("out/instructions.pdf"));
  int told = 0;
  for (std::string page; std::getline(pages, page, '\f');) {
    const bool left = page.find("LEFT") != std::string::npos;
    EXPECT_EQ(page.find(left ? "right end" : "left end"), std::string::npos) << page;
    told += page.find(left ? "left end" : "right end") != std::string::npos;
  }
  EXPECT_GE(told, 4);  // the rules and the templates of each side
}

TEST_F(ProgramJobs, ShopSheetsAreNotReleasedUnlessAllIsClear) {
  ASSERT_EQ(Program("issue " + Write(Released(TightJob())) + " --to tight").status, 1);
  ASSERT_EQ(Program("issue " + Write(Released(ClearJob())) + " --to clear").status, 0);
  for (const char* sheet : {"instructions.pdf", "record.pdf"}) {
    std::istringstream pages(PdfText(std::string("tight/") + sheet));
    int count = 0;
    for (std::string page; std::getline(pages, page, '\f'); ++count) {
      EXPECT_NE(page.find("NOT RELEASED"), std::string::npos) << sheet;
    }
    EXPECT_GE(count, 1);
    EXPECT_EQ(PdfText(std::string("clear/") + sheet).find("NOT RELEASED"), std::string::npos);
  }
}

TEST_F(ProgramJobs, AClearJobIsNotReleasedUntilBothHalvesAreSignedForIt) {
  const std::string released = Released(ClearJob());
  const std::string half = released.substr(0, released.find("[release.strength]"));
  const std::string voided = With(released, "diameter = 60.3", "diameter = 60.4");
  const std::string commented = "# read again\n" + released;
  const std::vector<std::tuple<std::string, std::string, bool>> cases = {
      {ClearJob(), "Nobody has released drill clearance.", false},
      {half, "Nobody has released strength.", false},
      {voided, "is void: job or program have changed since", false},
      {commented, "", true}};
  for (const auto& [job, reason, is_released] : cases) {
    const Said said = Program("check " + Write(job) + " --json");
    ASSERT_EQ(said.status, 0) << said.err;
    const Json release = Json::parse(said.out)["release"];
    EXPECT_EQ(release["released"], is_released);
    EXPECT_NE(release["reason"].get<std::string>().find(reason), std::string::npos) << release;
    if (is_released) continue;
    EXPECT_NE(Program("check job.toml").out.find("NOT RELEASED."), std::string::npos);
  }
  ASSERT_EQ(Program("issue " + Write(half) + " --to out").status, 0);
  std::string all;
  for (const char* sheet : {"instructions.pdf", "record.pdf", "clearance.pdf", "index.pdf",
                            "template-tube-wrap-left.pdf"}) {
    std::istringstream pages(PdfText(std::string("out/") + sheet));
    for (std::string page; std::getline(pages, page, '\f');) {
      EXPECT_NE(page.find("NOT RELEASED"), std::string::npos) << sheet;
      EXPECT_NE(page.find("strength"), std::string::npos) << sheet;
    }
  }
}

TEST_F(ProgramJobs, TheIndexListsEverySheetWithItsPages) {
  ASSERT_EQ(Program("issue " + Write(Released(ClearJob())) + " --to out").status, 0);
  const std::string index = PdfText("out/index.pdf");
  int listed = 0;
  for (const auto& entry : fs::directory_iterator(folder_ / "out")) {
    const std::string name = entry.path().filename().string();
    if (entry.path().extension() != ".pdf" || name == "index.pdf") continue;
    EXPECT_NE(index.find(name), std::string::npos) << name;
    ++listed;
  }
  EXPECT_GE(listed, 5);
  for (const char* words : {"T-1", "Jane Roe, 2026-11-03", "clear"}) {
    EXPECT_NE(index.find(words), std::string::npos) << words;
  }
}

const char* const kDecisions = R"([[decision]]
when = "remaining < 2.0 at P1 or any test fails"
then = "Replace the tube."
[[decision]]
when = "any test is not tested"
then = "Ask the person responsible."
[[decision]]
when = "otherwise"
then = "The tube stays in use."
)";

TEST_F(ProgramJobs, DecideGivesEachVehiclesDecisionFromTheTableThatIssueWrites) {
  ASSERT_EQ(Program("issue " + Write(ClearJob() + kDecisions) + " --to out").status, 0);
  const std::string record = PdfText("out/record.pdf");
  for (const char* words : {"Replace the tube.", "Otherwise", "The tube stays in use."}) {
    EXPECT_NE(record.find(words), std::string::npos) << words;
  }
  const std::string blank = Text(folder_ / "out/results.csv");
  EXPECT_EQ(blank,
            "vehicle,point,side,part,result,remaining_mm\r\n,P1,left,tube,,\r\n"
            ",P1,right,tube,,\r\n");
  const Said open = Program("decide job.toml out/results.csv");
  EXPECT_EQ(open.status, 3);
  EXPECT_NE(open.out.find("NOT DECIDED, missing: result of left P1, result of right P1"),
            std::string::npos)
      << open.out;
  Write(
      "vehicle,point,side,result,remaining_mm\nV1,P1,left,pass,2.4\nV1,P1,right,pass,1.9\n"
      "V2,P1,left,pass,2.4\nV2,P1,right,pass,2.0\n",
      "filled.csv");
  const Said filled = Program("decide job.toml filled.csv --json");
  EXPECT_EQ(filled.status, 0) << filled.err;
  const Json vehicles = Json::parse(filled.out)["vehicles"];
  ASSERT_EQ(vehicles.size(), 2u);
  EXPECT_EQ(vehicles[0]["then"], "Replace the tube.");
  EXPECT_EQ(vehicles[1]["then"], "The tube stays in use.");
  Write("point,side,result\nP1,left,psas\n", "wrong.csv");
  const Said wrong = Program("decide job.toml wrong.csv");
  EXPECT_EQ(wrong.status, 2);
  EXPECT_NE(wrong.err.find("wrong.csv:2:9: found \"psas\""), std::string::npos) << wrong.err;
  EXPECT_EQ(Program("decide job.toml no.csv").status, 4);
}

TEST_F(ProgramJobs, CompareMeasuresWhatMovedAndJudgesWhatWasDrilled) {
  Write(ClearJob(), "old.toml");
  Write(With(ClearJob(), "tape = 200", "tape = 207.5"), "new.toml");
  const Said said = Program("compare old.toml new.toml --json");
  EXPECT_EQ(said.status, 0) << said.err;
  const Json document = Json::parse(said.out);
  ASSERT_EQ(document["points"].size(), 4u);
  for (const Json& point : document["points"]) {
    const bool hole = point["name"] == "D1";
    EXPECT_EQ(point["change"], hole ? "changed" : "same");
    EXPECT_NEAR(point["moved_mm"].get<double>(), hole ? 7.5 : 0.0, 1e-6);  // along a straight tube
  }
  EXPECT_EQ(document["holes_done"].size(), 2u);
  EXPECT_EQ(document["verdict"], "clear");
  // A bar that the old job did not know of: what was drilled reaches it, wherever it is marked now.
  const std::string bar = std::string(kBar) + "basis = \"measured\"\n";
  Write(TubeJob(With(kHole, "[6]", "[6]\nstop = 30") + kTest), "old.toml");
  Write(TubeJob(With(kTest, "P1", "P2"), bar), "new.toml");
  const Said met = Program("compare old.toml new.toml --json");
  EXPECT_EQ(met.status, 1) << met.err;
  const Json changed = Json::parse(met.out);
  EXPECT_EQ(changed["verdict"], "contact");
  std::map<std::string, int> kinds;
  for (const Json& point : changed["points"]) ++kinds[point["change"].get<std::string>()];
  EXPECT_EQ(kinds["appeared"], 2);
  EXPECT_EQ(kinds["vanished"], 4);
  // Metal that is no longer where the hole was drilled cannot be judged.
  Write(With(TubeJob(kHole), "diameter = 60.3", "diameter = 61.3"), "new.toml");
  EXPECT_EQ(Program("compare old.toml new.toml").status, 3);
}

TEST_F(ProgramJobs, AFilteredRunIsNotCompleteAndNeverBetterThanUnproven) {
  const std::string job = Write(ClearJob());
  for (const char* filter : {"--side left", "--side right", "--part tube"}) {
    const Json json = Document("check " + job + " " + filter, 3);
    EXPECT_EQ(json.at("complete"), false) << filter;
    EXPECT_EQ(json.at("verdict"), "unproven") << filter;
    for (const Json& hole : json.at("holes")) EXPECT_EQ(hole.at("verdict"), "clear");
  }
  const Json located = Document("locate " + job + " --side left", 0);
  EXPECT_EQ(located.at("complete"), false);
  EXPECT_EQ(located.at("points").size(), 2U);
}

// ---- Verdicts and exit statuses

TEST_F(ProgramJobs, LeaveWithTheStatusOfTheirWorstVerdict) {
  const std::vector<std::tuple<std::string, const char*, int>> cases = {
      {ClearJob(), "clear", 0},
      {TightJob(), "tight", 1},
      {ContactJob(), "contact", 1},
      {UnprovenJob(), "unproven", 3},
      {std::string(kHead) + kTube, "unproven", 3},  // nothing to check
  };
  for (const auto& [job, verdict, status] : cases) {
    EXPECT_EQ(Checked(job, status).at("verdict"), verdict) << job;
  }
}

TEST_F(ProgramJobs, UnprovenComesBeforeTightAndContactBeforeBoth) {
  const std::string tight = With(With(kHole, "D1", "D2"), "tape = 200", "tape = 300");
  const std::string assumed = R"([part.other]
section = "round"
diameter = 50
wall = 3
basis = "assumed"
from = [300, 100, 300]
to = [300, 500, 300]
start = "o1"
finish = "o2"
[[point]]
name = "D3"
use = "drill"
part = "other"
rule = [ { tape = 200, from = "o1", toward = "outboard" }, { line = "bottom" } ]
drill = [6]
)";
  const std::string mixed =
      std::string(kHead) + kTube + kHole + With(tight, "[6]", "[6]\nstop = 53") + assumed;
  EXPECT_EQ(Checked(mixed, 3).at("verdict"), "unproven");
  EXPECT_EQ(Checked(With(mixed, "stop = 53", "stop = 58"), 1).at("verdict"), "contact");
}

TEST_F(ProgramJobs, AHoleOfOneSideOnlyDoesNotMakeTheOtherSideUnproven) {
  const Json json = Checked(std::string(kHead) + kTube + kHole + "only = \"right\"\n", 0);
  EXPECT_EQ(json.at("verdict"), "clear");
  ASSERT_EQ(json.at("holes").size(), 1U);
  EXPECT_EQ(json.at("holes").at(0).at("side"), "right");
}

TEST_F(ProgramJobs, AWrongJobIsToldWithItsPlaceAndNothingElse) {
  const std::string job = Write(With(ClearJob(), "diameter = 60.3", "diametr = 60.3"));
  for (const char* command : {"locate", "check", "template", "issue"}) {
    const Said run = Program(std::string(command) + " " + job + " --json --to out");
    EXPECT_EQ(run.status, 2) << command;
    EXPECT_EQ(run.out, "") << command;
    EXPECT_EQ(run.err.rfind("job.toml:12:1: ", 0), 0U) << run.err;
    EXPECT_NE(run.err.find("did you mean \"diameter\"?"), std::string::npos) << run.err;
    EXPECT_FALSE(fs::exists(folder_ / "out")) << command;
  }
}

TEST_F(ProgramJobs, APlaceBeyondThePartIsToldWithHowFarItReaches) {
  const Said run = Program("locate " + Write(With(ClearJob(), "tape = 200", "tape = 700")));
  EXPECT_EQ(run.status, 2);
  EXPECT_NE(run.err.find("400.0 mm"), std::string::npos) << run.err;
  EXPECT_EQ(run.err.rfind("job.toml:22:8: ", 0), 0U) << run.err;
}

TEST_F(ProgramJobs, APartOnTheWrongSideIsRefused) {
  const Said other =
      Program("check " + Write(With(ClearJob(), "\"left\"\nsides", "\"right\"\nsides")));
  EXPECT_EQ(other.status, 2);
  EXPECT_NE(other.err.find("lies on the left side"), std::string::npos) << other.err;
  const Said across =
      Program("check " + Write(With(ClearJob(), "[0, 100, 300]", "[0, -100, 300]")));
  EXPECT_EQ(across.status, 2);
  EXPECT_NE(across.err.find("shared = true"), std::string::npos) << across.err;
}

TEST_F(ProgramJobs, AFolderThatCannotBeWrittenIsAFailureAndNotAVerdict) {
  const std::string job = Write(ClearJob());
  Write("in the way", "taken");
  for (const char* command : {"locate", "check", "template", "issue"}) {
    const Said run = Program(std::string(command) + " " + job + " --json --to taken/out");
    EXPECT_EQ(run.status, 4) << command << run.err;
    EXPECT_EQ(run.out, "") << command;
    EXPECT_NE(run.err.find("taken"), std::string::npos) << run.err;
  }
  EXPECT_EQ(Text(folder_ / "taken"), "in the way");
}

// ---- Nothing lost

TEST_F(ProgramJobs, ARefusalLeavesTheOutputFolderAsItWas) {
  ASSERT_EQ(Program("issue " + Write(ClearJob()) + " --to out").status, 0);
  const auto before = Files("out");
  ASSERT_GT(before.size(), 5U);
  const std::vector<std::string> wrong = {
      With(ClearJob(), "wall = 3", "wall = 40"),
      With(ClearJob(), "tape = 200", "tape = 700"),
      With(ClearJob(), "bottom\", toward", "bottm\", toward"),
      With(ClearJob(), "\"A4\"", "\"A9\""),
      "",
  };
  for (const std::string& job : wrong) {
    const std::string name = Write(job, "wrong.toml");
    for (const char* command : {"locate", "check", "template", "issue"}) {
      const Said run = Program(std::string(command) + " " + name + " --to out");
      EXPECT_EQ(run.status, 2) << command << '\n' << run.err;
      EXPECT_EQ(run.out, "") << command;
      EXPECT_TRUE(Files("out") == before) << command;
    }
  }
}

TEST_F(ProgramJobs, GiveTheSameBytesForTheSameInput) {
  const std::string job = Write(ClearJob());
  for (const char* folder : {"one", "two"}) {
    ASSERT_EQ(Program("issue " + job + " --to " + folder, "SOURCE_DATE_EPOCH=1700000000").status,
              0);
  }
  const auto one = Files("one");
  EXPECT_GT(one.size(), 5U);
  EXPECT_TRUE(one == Files("two"));
  EXPECT_NE(PdfText("one/template-tube-wrap-left.pdf").find("2023-11-14"), std::string::npos);
}

TEST_F(ProgramJobs, AnInterruptLeavesNoPartOfASet) {
  const std::string job = Write(ClearJob());
  int interrupted = 0;
  // On a busy machine the program begins to listen late: on until one interrupt is told.
  const auto goes_on = [&](int delay_ms) {
    return delay_ms <= 400 || (interrupted == 0 && delay_ms < 20000);
  };
  for (int delay_ms = 0; goes_on(delay_ms); delay_ms += std::max(40, delay_ms / 4)) {
    const pid_t child = fork();
    ASSERT_GE(child, 0);
    if (child == 0) {
      const int nothing = open("/dev/null", O_WRONLY);
      dup2(nothing, STDOUT_FILENO);
      dup2(nothing, STDERR_FILENO);
      if (chdir(folder_.c_str()) != 0) _exit(99);
      execl(HOLEWARD_PROGRAM, HOLEWARD_PROGRAM, "issue", job.c_str(), "--to", "out", nullptr);
      _exit(99);
    }
    std::this_thread::sleep_for(std::chrono::milliseconds(delay_ms));
    kill(child, SIGINT);
    int status = 0;
    ASSERT_EQ(waitpid(child, &status, 0), child);
    // Before the program listens, the signal ends it as any other.
    const bool killed = WIFSIGNALED(status) && WTERMSIG(status) == SIGINT;
    const bool told = WIFEXITED(status) && WEXITSTATUS(status) == 130;
    const bool done = WIFEXITED(status) && WEXITSTATUS(status) == 0;
    EXPECT_TRUE(killed || told || done) << status;
    interrupted += told ? 1 : 0;
    // Either nothing or the whole set, never a temporary.
    const auto files = Files("out");
    EXPECT_TRUE(files.empty() || files.count("result.json") == 1) << delay_ms;
    for (const auto& entry : fs::directory_iterator(folder_)) {
      const std::string name = entry.path().filename().string();
      EXPECT_TRUE(name == "out" || name == "job.toml") << name;
    }
    fs::remove_all(folder_ / "out");
  }
  EXPECT_GT(interrupted, 0);
}

// ---- Pages

TEST_F(ProgramJobs, EveryPageSaysNotReleasedUnlessAllIsClear) {
  const std::vector<std::pair<std::string, int>> jobs = {{Released(ClearJob()), 0},
                                                         {Released(TightJob()), 1},
                                                         {Released(ContactJob()), 1},
                                                         {Released(UnprovenJob()), 3}};
  for (const auto& [job, status] : jobs) {
    ASSERT_EQ(Program("template " + Write(job) + " --to out").status, status);
    for (const char* side : {"left", "right"}) {
      const std::string text = PdfText(std::string("out/template-tube-wrap-") + side + ".pdf");
      std::istringstream pages(text);
      std::string page;
      int count = 0;
      while (std::getline(pages, page, '\f')) {
        if (page.find_first_not_of(" \n") == std::string::npos) continue;
        ++count;
        EXPECT_EQ(page.find("NOT RELEASED") == std::string::npos, status == 0) << page;
        EXPECT_NE(page.find(side == std::string("left") ? "LEFT" : "RIGHT"), std::string::npos);
        EXPECT_EQ(page.find(side == std::string("left") ? "RIGHT" : "LEFT"), std::string::npos);
      }
      EXPECT_GT(count, 0);
    }
    fs::remove_all(folder_ / "out");
  }
  ASSERT_EQ(Program("template " + Write(ClearJob()) + " --side left --to out").status, 3);
  EXPECT_NE(PdfText("out/template-tube-wrap-left.pdf").find("NOT RELEASED"), std::string::npos);
}

TEST_F(ProgramJobs, ErrorsSetToNothingAreListedWithTheLimits) {
  const std::string job =
      Write(With(ClearJob(), "[part.tube]", "[marking]\ntilt = 0\nrule = 0\n[part.tube]"));
  const Said run = Program("check " + job);
  EXPECT_EQ(run.status, 0) << run.err;
  EXPECT_NE(run.out.find("Limits used: clearance 5.0 mm"), std::string::npos) << run.out;
  EXPECT_NE(run.out.find("set to 0 by the job:"), std::string::npos) << run.out;
  EXPECT_EQ(Document("check " + job, 0).at("zeroed_errors"), Json::array({"rule", "tilt"}));
}

TEST_F(ProgramJobs, TablesAreNoWiderThanAScreen) {
  const Said run = Program("check " + Write(ClearJob()));
  std::istringstream lines(run.out);
  std::string line;
  int count = 0;
  while (std::getline(lines, line)) {
    EXPECT_LE(line.size(), 122U) << line;  // bytes; a few signs take two
    ++count;
  }
  EXPECT_GT(count, 10);
}

TEST_F(ProgramJobs, AreNotColouredInAFile) {
  const std::string job = Write(ClearJob());
  for (const char* environment : {"NO_COLOR=1 TERM=xterm", "TERM=xterm"}) {
    EXPECT_EQ(Program("check " + job, environment).out.find('\x1b'), std::string::npos);
    EXPECT_EQ(Program("check " + job, environment).err, "");  // no progress but on a terminal
  }
}

// ---- Laws of the whole program

TEST_F(ProgramJobs, TheRightSideIsTheMirrorImageOfTheLeft) {
  const Json json = Document("locate " + Write(ClearJob()), 0);
  const Json& points = json.at("points");
  ASSERT_EQ(points.size(), 4U);
  for (std::size_t i = 0; i < 2; ++i) {
    const Json& left = points[i];
    const Json& right = points[i + 2];
    ASSERT_EQ(left.at("name"), right.at("name"));
    EXPECT_EQ(left.at("side"), "left");
    EXPECT_EQ(right.at("side"), "right");
    for (const char* key : {"position_mm", "normal"}) {
      for (std::size_t axis = 0; axis < 3; ++axis) {
        const double sign = axis == 1 ? -1.0 : 1.0;
        EXPECT_NEAR(left.at(key)[axis].get<double>(), sign * right.at(key)[axis].get<double>(),
                    1e-9);
      }
    }
    EXPECT_EQ(left.at("girth_mm"), right.at("girth_mm"));
  }
}

// The other side's results are taken over where it is the mirror image: they are those it gets
// when it is checked alone.
TEST_F(ProgramJobs, ASideCheckedAloneGivesWhatItGivesAsAnImage) {
  const std::string job = TubeJob(std::string(kHole) + kTest, With(kBar, "[0, 0, 0]", "[4, 0, 6]"));
  const Json both = Document("check " + Write(job), 0);
  const Json alone = Document("check " + Write(job) + " --side right", 3);
  ASSERT_EQ(both.at("holes").size(), 2U);
  ASSERT_EQ(alone.at("holes").size(), 1U);
  const Json& image = both.at("holes").at(1);
  const Json& itself = alone.at("holes").at(0);
  for (const char* key : {"name", "side", "stage", "outcome", "verdict", "reasons", "stop_mm"}) {
    EXPECT_EQ(image.at(key), itself.at(key)) << key;
  }
  for (const char* key : {"near_wall_mm", "breakthrough_mm", "free_depth_mm", "margin_mm",
                          "margin_worst_mm", "access_mm"}) {
    EXPECT_NEAR(image.at(key).get<double>(), itself.at(key).get<double>(), 1e-6) << key;
  }
  const Json& left = both.at("holes").at(0).at("worst_pose");
  const Json& right = image.at("worst_pose");
  EXPECT_LE(left.at("upper_mm").get<double>() - left.at("lower_mm").get<double>(), 0.05);
  for (const char* key : {"depth_mm", "lower_mm", "upper_mm"}) {
    EXPECT_EQ(left.at(key), right.at(key)) << key;
  }
  for (const char* key : {"entry_mm", "direction"}) {
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const double sign = axis == 1 ? -1.0 : 1.0;
      EXPECT_EQ(left.at(key)[axis].get<double>(), sign * right.at(key)[axis].get<double>()) << key;
    }
  }
}

TEST_F(ProgramJobs, ASideWithSomethingOfItsOwnIsCheckedForItself) {
  const std::string hose = R"([[neighbour]]
name = "hose"
path = [[0, 250, 180], [0, 350, 180]]
diameter = 20
only = "right"
)";
  const Json json = Document("check " + Write(TubeJob(kHole, hose)), 1);
  ASSERT_EQ(json.at("holes").size(), 2U);
  EXPECT_EQ(json.at("holes").at(0).at("verdict"), "clear");
  EXPECT_NE(json.at("holes").at(1).at("verdict"), "clear");
  EXPECT_LT(json.at("holes").at(1).at("access_mm").get<double>(), 0.0);
}

TEST_F(ProgramJobs, AJobDescribedForTheRightGivesTheSamePoints) {
  const std::string left = ClearJob();
  const std::string right = With(
      With(With(left, "\"left\"\nsides", "\"right\"\nsides"), "[0, 100, 300]", "[0, -100, 300]"),
      "[0, 500, 300]", "[0, -500, 300]");
  const Json one = Document("locate " + Write(left), 0);
  const Json two = Document("locate " + Write(right), 0);
  const auto place_of = [](const Json& document, const Json& name, const Json& side) {
    for (const Json& point : document.at("points")) {
      if (point.at("name") == name && point.at("side") == side) return point.at("position_mm");
    }
    return Json();
  };
  for (const Json& point : one.at("points")) {
    const Json other = place_of(two, point.at("name"), point.at("side"));
    ASSERT_TRUE(IsPlace(other));
    for (std::size_t axis = 0; axis < 3; ++axis) {
      EXPECT_NEAR(point.at("position_mm")[axis].get<double>(), other[axis].get<double>(), 1e-6);
    }
  }
}

TEST_F(ProgramJobs, OnASharedPartTheOtherSideNamesTheOtherEnd) {
  const std::string tube = With(
      With(
          With(With(kTube, "section", "shared = true\nsection"), "[0, 100, 300]", "[0, -400, 300]"),
          "[0, 500, 300]", "[0, 400, 300]"),
      "\"inner end\"\nfinish = \"outer end\"", "\"right end\"\nfinish = \"left end\"");
  const std::string hole = With(
      With(With(kHole, "inner end", "left end"), "tape = 200", "tape = 10"), "outboard", "inboard");
  const Said run = Program("check " + Write(std::string(kHead) + tube + hole));
  EXPECT_EQ(run.status, 1) << run.out << run.err;  // too near the end
  EXPECT_NE(run.out.find("D1 left: 10.0 mm from 'left end'"), std::string::npos) << run.out;
  EXPECT_NE(run.out.find("D1 right: 10.0 mm from 'right end'"), std::string::npos) << run.out;
}

TEST_F(ProgramJobs, HolesOfBothSidesOfASharedPartKeepTheirSpacing) {
  const std::string tube = With(
      With(
          With(With(kTube, "section", "shared = true\nsection"), "[0, 100, 300]", "[0, -400, 300]"),
          "[0, 500, 300]", "[0, 400, 300]"),
      "\"inner end\"\nfinish = \"outer end\"", "\"right end\"\nfinish = \"left end\"");
  const std::string hole = With(With(kHole, "inner end", "left end"), "outboard", "inboard");
  // One hole 7 mm left of the middle for the left only, one 7 mm right of it for the right only.
  const std::string both = With(hole, "tape = 200", "tape = 393") + "only = \"left\"\n" +
                           With(With(hole, "tape = 200", "tape = 393"), "D1", "D2") +
                           "only = \"right\"\n";
  const Json json = Checked(std::string(kHead) + tube + both, 1);
  EXPECT_EQ(json.at("verdict"), "tight");
  for (const Json& point : json.at("points")) {
    EXPECT_NEAR(point.at("nearest_hole_mm").get<double>(), 14.0, 1e-6) << point;
  }
}

void SameNumbers(const Json& a, const Json& b, const std::string& path) {
  ASSERT_EQ(a.type_name(), std::string(b.type_name())) << path;
  if (a.is_number()) {
    EXPECT_NEAR(a.get<double>(), b.get<double>(), 1e-6) << path;
  } else if (a.is_structured()) {
    ASSERT_EQ(a.size(), b.size()) << path;
    for (auto x = a.begin(), y = b.begin(); x != a.end(); ++x, ++y) SameNumbers(*x, *y, path + "/");
  }
}

TEST_F(ProgramJobs, InchesGiveTheResultsOfMillimetres) {
  const std::string mm = With(std::string(kHead) + kTube + kHole, "60.3", "63.5");
  const std::string whole = With(
      With(With(mm, "wall = 3", "wall = 3.175"), "tape = 200", "tape = 203.2"), "[6]", "[6.35]");
  std::string inches = With(
      With(With(With(whole, "[set]", "units = \"in\"\n[set]"), "63.5", "2.5"), "3.175", "0.125"),
      "203.2", "8");
  inches = With(With(With(inches, "[6.35]", "[0.25]"), "[0, 100, 300]",
                     "[0, 3.93700787401575, 11.8110236220472]"),
                "[0, 500, 300]", "[0, 19.6850393700787, 11.8110236220472]");
  for (const char* command : {"locate ", "check "}) {
    const Json one = Document(command + Write(whole), 0);
    const Json two = Document(command + Write(inches), 0);
    SameNumbers(one.at("points"), two.at("points"), command);
    if (one.contains("holes")) SameNumbers(one.at("holes"), two.at("holes"), command);
  }
}

// ---- Closed forms, through the whole program

// R - sqrt(ri² - a²) + a cot(A/2) and 2R - t of a radial hole in a tube.
TEST_F(ProgramJobs, ARoundTubeGivesItsClosedForms) {
  const Json json = Checked(ClearJob(), 0);
  const Json& hole = json.at("holes").at(0);
  EXPECT_NEAR(hole.at("near_wall_mm").get<double>(), 3.0, 1e-6);
  EXPECT_NEAR(hole.at("breakthrough_mm").get<double>(), 4.9689, 1e-4);
  EXPECT_NEAR(hole.at("free_depth_mm").get<double>(), 57.3, 5e-4);
  EXPECT_EQ(hole.at("first_contact").at("body"), "far wall");
  EXPECT_EQ(hole.at("outcome"), "met");
  EXPECT_EQ(hole.at("stop_from"), "proposed");
  EXPECT_NEAR(hole.at("margin_mm").get<double>(),
              hole.at("free_depth_mm").get<double>() - hole.at("stop_mm").get<double>(), 1e-9);
}

// t + (d/2) cot(A/2) in a flat wall, and a depth of the inside to the far one.
TEST_F(ProgramJobs, AFlatWallGivesItsClosedForm) {
  const std::string box = R"([part.tube]
section = "box"
wall = 3
ends = ["open", "closed"]
start = "inner end"
finish = "outer end"
stations = [ { centre = [0, 100, 300], width = 60, height = 50, corner = 8 },
             { centre = [0, 500, 300], width = 60, height = 50, corner = 8 } ]
)";
  const std::string point = With(With(kHole, "rule =", "face = \"underside\"\nrule ="),
                                 "{ line = \"bottom\" }", "{ middle = \"face\" }");
  const Json json = Checked(std::string(kHead) + box + point, 0);
  const Json& hole = json.at("holes").at(0);
  EXPECT_NEAR(hole.at("breakthrough_mm").get<double>(), 4.8026, 1e-4);
  EXPECT_NEAR(hole.at("free_depth_mm").get<double>(), 47.0, 5e-4);
}

// A bar across the drill's plane, its centre 30 mm below the entry: tip, flank, corner, miss.
TEST_F(ProgramJobs, ABarInsideGivesItsClosedForms) {
  struct Case {
    const char* offset;
    double depth;
  };
  // zc 30, rb 12, d 8, 118 degrees, at x0 of 0, 4, 8, 14 mm to the side.
  const std::vector<Case> cases = {{"0", 18.0}, {"4", 18.6863}, {"8", 20.8073}, {"14", 25.7702}};
  const std::string tube = With(kTube, "60.3", "80");
  for (const Case& c : cases) {
    // The tube's bottom lies 40 mm below its centre line: the bar's centre 10 mm below that.
    const std::string bar = With(kBar, "[0, 0, 0]", std::string("[") + c.offset + ", 0, -10]");
    const std::string job = std::string(kHead) + tube + bar + With(kHole, "[6]", "[8]");
    const Json json = Document("check " + Write(job), 0);
    const Json& hole = json.at("holes").at(0);
    EXPECT_EQ(hole.at("first_contact").at("body"), "bar") << c.offset;
    EXPECT_NEAR(hole.at("free_depth_mm").get<double>(), c.depth, 2e-4) << c.offset;
  }
  const std::string past = With(kBar, "[0, 0, 0]", "[17.5, 0, -10]");  // beyond the drill's side
  const Json json =
      Document("check " + Write(std::string(kHead) + tube + past + With(kHole, "[6]", "[8]")), 0);
  EXPECT_EQ(json.at("holes").at(0).at("first_contact").at("body"), "far wall");
}

// Radius times angle round a cylinder; a helix for a tape that does both.
TEST_F(ProgramJobs, ATapeRoundACylinderGivesItsClosedForm) {
  const std::string from_k = With(With(kHole, "D1", "K"), "drill = [6]", "");
  const std::string job =
      std::string(kHead) + kTube + With(from_k, "\"drill\"", "\"reference\"") +
      With(kHole,
           "{ tape = 200, from = \"inner end\", toward = \"outboard\" }, { line = \"bottom\" }",
           "{ tape = 20, from = \"K\", toward = \"front\" }, { in_line = \"K\" }");
  const Json json = Document("locate " + Write(job), 0);
  const Json& point = json.at("points").at(1);
  ASSERT_EQ(point.at("name"), "D1");
  EXPECT_NEAR(point.at("girth_mm").get<double>(), 20.0, 1e-4);
  const double angle = 20.0 / 30.15;
  EXPECT_NEAR(point.at("position_mm")[0].get<double>(), 30.15 * std::sin(angle), 1e-4);
  EXPECT_NEAR(point.at("position_mm")[2].get<double>(), 300.0 - 30.15 * std::cos(angle), 1e-4);
  // Chord of 20 mm of girth on a radius of 30.15: 19.6353.
  EXPECT_NEAR(point.at("ties").at(0).at("straight_mm").get<double>(), 19.635317, 1e-4);
}

// ---- A drill that leans, a wide one: still told apart and proven

TEST_F(ProgramJobs, ALeaningDrillAndAWideOneAreProvenInATube) {
  const std::string tube = std::string(kHead) + kTube;
  for (const char* change : {"[6]\naxis = { toward = \"outboard\", lean = 20 }", "[16]", "[20]"}) {
    const Json json = Checked(tube + With(kHole, "[6]", change), 0);
    EXPECT_EQ(json.at("verdict"), "clear") << change << json.at("holes").at(0).at("reasons");
  }
}

TEST_F(ProgramJobs, EveryExampleAndStarterRuns) {
  for (const char* kind : {"arm", "tube", "channel"}) {
    ASSERT_EQ(Program(std::string("new ") + kind + " --to " + kind + ".toml").status, 0);
    const Said run = Program(std::string("issue ") + kind + ".toml --to out-" + kind);
    EXPECT_EQ(run.status, 0) << kind << run.out << run.err;
  }
  int count = 0;
  for (const auto& entry : fs::directory_iterator(HOLEWARD_SOURCE_DIR "/models/examples")) {
    if (entry.path().extension() != ".toml") continue;
    const Said run = Program("issue '" + entry.path().string() + "' --to out");
    EXPECT_TRUE(run.status == 0 || run.status == 1) << entry.path() << run.err;
    if (entry.path().stem() == "bench-arm") {
      EXPECT_NE(run.err.find("\"3 front\" is most likely misread: 100.5 mm"), std::string::npos)
          << run.err;
    } else {
      EXPECT_EQ(run.err, "") << entry.path();
    }
    fs::remove_all(folder_ / "out");
    ++count;
  }
  EXPECT_GE(count, 5);
}

TEST_F(ProgramJobs, FitNamesTheMisreadReadingOfTheBenchArm) {
  const std::string job = "'" HOLEWARD_SOURCE_DIR "/models/examples/bench-arm.toml'";
  const Said run = Program("fit " + job + " --json");
  EXPECT_EQ(run.status, 3) << run.err;
  const Json fit = Json::parse(run.out).at("parts").at(0);
  ASSERT_EQ(fit.at("suspects").size(), 1U);
  const Json& suspect = fit.at("suspects").at(0);
  EXPECT_EQ(suspect.at("reading"), "3 front");
  EXPECT_TRUE(suspect.at("rivals").empty());
  EXPECT_NEAR(suspect.at("probable").get<double>(), 95.5, 0.7);
  EXPECT_TRUE(fit.at("unproven").empty());
  EXPECT_NE(Program("fit " + job).out.find("LEFT OUT"), std::string::npos);
  EXPECT_EQ(Program("fit '" HOLEWARD_SOURCE_DIR "/models/examples/box-beam.toml'").status, 2);
}

TEST_F(ProgramJobs, TheFormAsksForReadingsByTheNamesTheResultsHave) {
  const std::string job = "'" HOLEWARD_SOURCE_DIR "/models/examples/bench-arm.toml'";
  ASSERT_EQ(Program("form " + job + " --to form").status, 0);
  EXPECT_TRUE(fs::exists(folder_ / "form" / "measuring-form.pdf"));
  std::ifstream file(folder_ / "form" / "measuring-form.csv");
  const std::string csv{std::istreambuf_iterator<char>(file), {}};
  const Json fit = Json::parse(Program("fit " + job + " --json").out).at("parts").at(0);
  int named = 0;
  for (const Json& reading : fit.at("readings")) {
    const std::string name = ",\"" + reading.at("name").get<std::string>() + "\",";
    named += csv.find(name) != std::string::npos ? 1 : 0;
  }
  EXPECT_GE(named, 37);  // all of the five rows, the corner, the wall
}

// ---- Sheets in other languages

/// A table of words that says every text of the job as "de: text" and "es: text".
std::string FilledTable(const std::string& blank) {
  std::istringstream lines(blank);
  std::string filled;
  for (std::string line; std::getline(lines, line);) {
    if (line == "text,de,es") {
      filled += line + "\n";
      continue;
    }
    const std::string text = line.substr(0, line.rfind(",,"));
    const std::string plain = text.front() == '"' ? text.substr(1, text.size() - 2) : text;
    filled += text + ",\"de: " + plain + "\",\"es: " + plain + "\"\n";
  }
  return filled;
}

TEST_F(ProgramJobs, ALanguageWithoutATableIsRefusedWithWhatIsMissing) {
  const Said run = Program("issue " + Write(ClearJob()) + " --language de --to out");
  EXPECT_EQ(run.status, 2);
  EXPECT_NE(run.err.find("job.toml:2:9: \"Tube to test with\" has no German text"),
            std::string::npos)
      << run.err;
  EXPECT_NE(run.err.find("\"inner end\" has no German text"), std::string::npos);
  EXPECT_NE(run.err.find("holeward words job.toml --to words.csv"), std::string::npos);
  EXPECT_FALSE(fs::exists(folder_ / "out"));
}

TEST_F(ProgramJobs, AFilledTableGivesTheSheetsInItsLanguages) {
  const std::string named =
      With(ClearJob(), "[vehicle]", "[words]\nfile = \"words.csv\"\n[vehicle]");
  Write(named);
  const Said blank = Program("words job.toml --to words.csv");
  ASSERT_EQ(blank.status, 0) << blank.err;
  Write(FilledTable(Text(folder_ / "words.csv")), "words.csv");
  for (const auto& [code, left, own] : {std::tuple("de", "LINKS", "de: inner end"),
                                        std::tuple("es", "IZQUIERDA", "es: inner end")}) {
    const Said run = Program(std::string("issue job.toml --to out --language ") + code);
    EXPECT_EQ(run.status, 0) << run.err;
    const std::string instructions = PdfText("out/instructions.pdf");
    EXPECT_NE(instructions.find(left), std::string::npos);
    EXPECT_NE(instructions.find(own), std::string::npos);
    EXPECT_EQ(instructions.find("Step by step"), std::string::npos);
    EXPECT_NE(PdfText("out/template-tube-wrap-left.pdf").find(left), std::string::npos);
    // The engineer's report stays English.
    EXPECT_NE(PdfText("out/clearance.pdf").find("Clearance report"), std::string::npos);
  }
  // What a later table says is told apart by its hash on the page.
  const std::string before = PdfText("out/index.pdf");
  Write(Text(folder_ / "words.csv") + "\n", "words.csv");
  ASSERT_EQ(Program("issue job.toml --to out --language es").status, 0);
  EXPECT_NE(PdfText("out/index.pdf"), before);
}

TEST_F(ProgramJobs, AMissingWordStopsItsLanguageAlone) {
  Write(With(ClearJob(), "[vehicle]", "[words]\nfile = \"words.csv\"\n[vehicle]"));
  ASSERT_EQ(Program("words job.toml --to words.csv").status, 0);
  const std::string table = FilledTable(Text(folder_ / "words.csv"));
  Write(With(table, "\"de: outer end\"", ""), "words.csv");
  const Said german = Program("template job.toml --to out --language de");
  EXPECT_EQ(german.status, 2);
  EXPECT_NE(german.err.find("\"outer end\" has no German text"), std::string::npos) << german.err;
  EXPECT_EQ(german.err.find("\"inner end\""), std::string::npos);
  EXPECT_FALSE(fs::exists(folder_ / "out"));
  EXPECT_EQ(Program("template job.toml --to out --language es").status, 0);
  // What is filled in stays when the table is written again.
  ASSERT_EQ(Program("words job.toml --to words.csv").status, 0);
  EXPECT_EQ(Text(folder_ / "words.csv").find("de: inner end") != std::string::npos, true);
}

TEST_F(ProgramJobs, ATableWithAFaultIsRefusedAtItsPlace) {
  Write(With(ClearJob(), "[vehicle]", "[words]\nfile = \"words.csv\"\n[vehicle]"));
  Write("text,fr\n", "words.csv");
  const Said run = Program("issue job.toml --to out --language de");
  EXPECT_EQ(run.status, 2);
  EXPECT_NE(run.err.find("words.csv:1:6: unknown column \"fr\""), std::string::npos) << run.err;
  fs::remove(folder_ / "words.csv");
  EXPECT_EQ(Program("issue job.toml --to out --language de").status, 4);
}

}  // namespace
}  // namespace holeward
