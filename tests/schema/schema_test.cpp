// docs/schema/ against the program: the schema of the job file takes every job that the reader
// takes, and the schema of the results every document that a command prints.
#include <array>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include <sys/wait.h>
#include <toml++/toml.h>

#include <gtest/gtest.h>

#include "models/job_reader.h"
#include "tests/models/changed_job.h"

namespace holeward {
namespace {

namespace fs = std::filesystem;

const std::string kSource = HOLEWARD_SOURCE_DIR;

std::string Bytes(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream bytes;
  bytes << file.rdbuf();
  return bytes.str();
}

/// A TOML text as JSON on one line.
std::string AsJson(const std::string& text) {
  const toml::table table = toml::parse(text);
  std::ostringstream json;
  json << toml::json_formatter(table);
  std::string line = json.str();
  for (char& c : line) c = c == '\n' ? ' ' : c;
  return line;
}

class Schema : public testing::Test {
 protected:
  void SetUp() override {
    std::string pattern = (fs::temp_directory_path() / "holeward-schema-XXXXXX").string();
    ASSERT_NE(mkdtemp(pattern.data()), nullptr);
    folder_ = pattern;
  }
  void TearDown() override {
    std::error_code ignored;
    fs::remove_all(folder_, ignored);
  }

  /// What the validator says of each document, a line each.
  [[nodiscard]] std::vector<std::string> Judge(const std::string& schema,
                                               const std::vector<std::string>& documents) const {
    std::ofstream file(folder_ / "documents.jsonl");
    for (const std::string& document : documents) file << document << '\n';
    file.close();
    std::system(("cd '" + folder_.string() + "' && python3 '" + kSource +
                 "/tests/schema/validate.py' '" + kSource + "/docs/schema/" + schema +
                 "' documents.jsonl >said 2>&1")
                    .c_str());
    std::vector<std::string> lines;
    std::istringstream said(Bytes(folder_ / "said"));
    for (std::string line; std::getline(said, line);) lines.push_back(line);
    return lines;
  }

  void ExpectAllTaken(const std::string& schema, const std::vector<std::string>& documents) const {
    const std::vector<std::string> said = Judge(schema, documents);
    ASSERT_EQ(said.size(), documents.size()) << (said.empty() ? "" : said.back());
    for (std::size_t i = 0; i < said.size(); ++i) {
      EXPECT_TRUE(said[i].ends_with(" ok")) << said[i] << '\n' << documents[i].substr(0, 2000);
    }
  }

  /// What a command prints on standard output, on one line.
  [[nodiscard]] std::string Printed(const std::string& arguments) const {
    std::system(("cd '" + folder_.string() + "' && '" HOLEWARD_PROGRAM "' " + arguments +
                 " --json >printed 2>/dev/null")
                    .c_str());
    std::string text = Bytes(folder_ / "printed");
    for (char& c : text) c = c == '\n' ? ' ' : c;
    return text;
  }

  fs::path folder_;
};

TEST_F(Schema, TakesEveryJobOfTheTree) {
  std::vector<std::string> jobs = {AsJson(Bytes(kSource + "/tests/data/good_job.toml"))};
  for (const char* folder : {"/models/examples", "/models/starter"}) {
    for (const auto& entry : fs::directory_iterator(kSource + folder)) {
      if (entry.path().extension() == ".toml") jobs.push_back(AsJson(Bytes(entry.path())));
    }
  }
  ASSERT_GE(jobs.size(), 9U);
  ExpectAllTaken("job.schema.json", jobs);
}

TEST_F(Schema, TakesEveryChangedJobThatTheReaderTakes) {
  testing_tools::JobChanger changer;
  std::vector<std::string> jobs;
  for (int round = 0; round < 1500; ++round) {
    const std::string text = changer.Changed();
    if (ReadJobText(text, "job.toml").ok()) jobs.push_back(AsJson(text));
  }
  ASSERT_GT(jobs.size(), 50U);
  ExpectAllTaken("job.schema.json", jobs);
}

TEST_F(Schema, RefusesWhatIsNoJob) {
  const std::string good = Bytes(kSource + "/tests/data/good_job.toml");
  const std::vector<std::array<std::string, 2>> changes = {
      {"units = \"mm\"", "unit = \"mm\""},
      {"units = \"mm\"", "units = \"cm\""},
      {"holeward = 1\n", "holeward = 2\n"},
      {"holeward = 1\n", ""},
      {"[limits]", "[limit]"},
      {"section = \"box\"", "section = \"square\""},
      {"section = \"box\"", "section = 3"},
      {"use = \"test\"", "use = \"tap\""},
      {"described_side = \"left\"", "described_side = \"port\""},
      {"kind = \"eye\"", "kind = \"ear\""},
  };
  std::vector<std::string> jobs;
  for (const auto& [from, to] : changes) {
    std::string text = good;
    const auto at = text.find(from);
    ASSERT_NE(at, std::string::npos) << from;
    jobs.push_back(AsJson(text.replace(at, from.size(), to)));
    ASSERT_FALSE(ReadJobText(text, "job.toml").ok()) << to;
  }
  const std::vector<std::string> said = Judge("job.schema.json", jobs);
  ASSERT_EQ(said.size(), jobs.size());
  for (std::size_t i = 0; i < said.size(); ++i) {
    EXPECT_FALSE(said[i].ends_with(" ok")) << changes[i][1];
  }
}

TEST_F(Schema, TakesWhatTheFileOfASolidShowsAndNothingBesideIt) {
  const std::string solid = R"(holeward = 1
title = "Solid"
[set]
number = "1"
revision = "A"
[vehicle]
described_side = "left"
sides = ["left"]
posture = "level"
[part.arm]
section = "solid"
file = "arm.step"
size = [62, 420, 52]
start = "inner end"
finish = "outer end"
[[part.arm.datum]]
name = "pivot"
axis = [-150, 350, 312]
body = "2"
[[part.arm.datum]]
name = "mark"
point = [-79, 500, 305]
[[part.arm.face]]
name = "web"
at = [-140, 300, 300]
[[point]]
name = "A"
use = "reference"
part = "arm"
face = "web"
rule = [ { tape = 30, from = "pivot", toward = "outboard" }, { middle = "face" } ]
)";
  const std::vector<std::array<std::string, 2>> changes = {
      {"axis =", "axle ="},
      {"axis = [-150, 350, 312]", "axis = [-150, 350, 312]\nedge = [0, 0, 0]"},
      {"point = [-79", "body = \"2\"\npoint = [-79"},
      {"point = [-79, 500, 305]\n", ""},
      {"at = [-140, 300, 300]\n", ""},
      {"section = \"solid\"", "section = \"box\""},
  };
  std::vector<std::string> jobs = {AsJson(solid)};
  for (const auto& [from, to] : changes) {
    std::string text = solid;
    const auto at = text.find(from);
    ASSERT_NE(at, std::string::npos) << from;
    jobs.push_back(AsJson(text.replace(at, from.size(), to)));
  }
  const std::vector<std::string> said = Judge("job.schema.json", jobs);
  ASSERT_EQ(said.size(), jobs.size());
  EXPECT_TRUE(said[0].ends_with(" ok")) << said[0];
  for (std::size_t i = 1; i < said.size(); ++i) {
    EXPECT_FALSE(said[i].ends_with(" ok")) << changes[i - 1][1];
  }
}

TEST_F(Schema, TakesWhatEveryCommandPrints) {
  std::vector<std::string> documents = {Printed("new arm")};
  for (const char* job : {"box-beam", "bent-tube"}) {
    const std::string path = " '" + kSource + "/models/examples/" + job + ".toml'";
    for (const char* command : {"locate", "check", "template"}) {
      documents.push_back(Printed(command + path));
    }
  }
  documents.push_back(Printed("issue '" + kSource + "/models/examples/box-beam.toml' --to out"));
  const std::string van = "'" + kSource + "/models/examples/utility-van.toml'";
  const std::string beam = "'" + kSource + "/models/examples/box-beam.toml'";
  std::ofstream(folder_ / "results.csv") << "vehicle,point,side,result\r\nV1,A1,left,pass\r\n";
  documents.push_back(Printed("decide " + van + " results.csv"));
  documents.push_back(Printed("compare " + beam + " " + beam));
  documents.push_back(Printed("check --side left '" + kSource + "/models/starter/tube.toml'"));
  documents.push_back(Printed("fit '" + kSource + "/models/examples/bench-arm.toml'"));
  documents.push_back(Printed("model " + beam + " --to beam.stl"));
  documents.push_back(Printed("guide " + beam + " --point B3 --bush 12 --side left --to b3.stl"));
  ExpectAllTaken("result.schema.json", documents);

  // Of each of these a key that has to be there is missed.
  std::vector<std::string> lacking(documents.end() - 3, documents.end());
  const std::array<std::string, 3> keys{"\"chi_square\"", "\"volume_mm3\"", "\"landing_mm\""};
  for (std::size_t i = 0; i < keys.size(); ++i) {
    const auto at = lacking[i].find(keys[i]);
    ASSERT_NE(at, std::string::npos) << keys[i];
    lacking[i].replace(at, keys[i].size(), "\"other\"");
  }
  for (const std::string& said : Judge("result.schema.json", lacking)) {
    EXPECT_FALSE(said.ends_with(" ok")) << said;
  }
}

TEST_F(Schema, RefusesAResultThatSaysClearWithoutAProof) {
  const std::string document = Printed("check '" + kSource + "/models/examples/box-beam.toml'");
  ASSERT_FALSE(document.empty());
  std::vector<std::string> changed;
  for (const auto& [from, to] : std::vector<std::array<std::string, 2>>{
           {"\"outcome\": \"met\"", "\"outcome\": \"not_computed\""},
           {"\"verdict\": \"", "\"verdict\": \"quite "},
           {"\"holeward_result\": 1", "\"holeward_result\": 2"},
           {"\"complete\": true", "\"complete\": null"}}) {
    std::string text = document;
    const auto at = text.find(from);
    ASSERT_NE(at, std::string::npos) << from;
    changed.push_back(text.replace(at, from.size(), to));
  }
  for (const std::string& said : Judge("result.schema.json", changed)) {
    EXPECT_FALSE(said.ends_with(" ok")) << said;
  }
}

}  // namespace
}  // namespace holeward
