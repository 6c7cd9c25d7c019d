// What a job says to the workshop: release and its hash, own steps, decisions, results.
#include <algorithm>
#include <string>

#include <gtest/gtest.h>

#include "models/release.h"
#include "models/test_results.h"
#include "tests/models/job_texts.h"

namespace holeward {
namespace {

using test::FileText;
using test::kGoodJob;
using test::Messages;

Job Read(const std::string& text) {
  const JobReading reading = ReadJobText(text, "job.toml");
  EXPECT_TRUE(reading.ok()) << Messages(reading);
  return reading.job;
}

std::string Errors(const std::string& more) {
  return Messages(ReadJobText(FileText(kGoodJob) + more, "job.toml"));
}

std::string With(std::string text, const std::string& from, const std::string& to) {
  const auto at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return text.replace(at, from.size(), to);
}

// ---- The hash and what is bound to it

TEST(ContentHash, DoesNotCountHowTheFileIsWritten) {
  const std::string good = FileText(kGoodJob);
  const std::string hash = Read(good).content_hash;
  EXPECT_EQ(hash.size(), 16u);
  EXPECT_EQ(Read("# a comment\n" + good + "\n\n").content_hash, hash);
  EXPECT_EQ(
      Read(With(good, "clearance = 4.0\nside = 1.5", "side = 1.50\nclearance = 4")).content_hash,
      hash);
  EXPECT_EQ(Read(With(good, "number = \"UV-7\"", "number = 'UV-7'  # why")).content_hash, hash);
}

TEST(ContentHash, ChangesWithAnyValue) {
  const std::string good = FileText(kGoodJob);
  const std::string hash = Read(good).content_hash;
  EXPECT_NE(Read(With(good, "clearance = 4.0", "clearance = 4.1")).content_hash, hash);
  EXPECT_NE(Read(With(good, "revision = \"C\"", "revision = \"D\"")).content_hash, hash);
  EXPECT_NE(Read(With(good, "side = 1.5\n", "")).content_hash, hash);
}

std::string Released(const std::string& hash) {
  return "\n[release.clearance]\nby = \"Jane Roe\"\ndate = 2026-11-03\nhash = \"" + hash +
         "\"\n[release.strength]\nby = \"John Roe\"\ndate = \"2026-11-04\"\nhash = \"" + hash +
         "\"\n";
}

TEST(Release, HoldsForTheJobAndProgramItWasGivenFor) {
  const std::string good = FileText(kGoodJob);
  const std::string hash = ReleaseHash(Read(good), "0.1.0");
  const Job job = Read(good + Released(hash) + "# signed\n");
  EXPECT_EQ(ReleaseHash(job, "0.1.0"), hash);  // the release itself does not count
  EXPECT_TRUE(WhyNotSigned(job.release, hash).empty());
  EXPECT_EQ(ReleaseWords(job.release.clearance, hash), "Jane Roe, 2026-11-03");
}

TEST(Release, IsVoidedByOneValueAndByAnotherProgram) {
  const std::string good = FileText(kGoodJob);
  const std::string hash = ReleaseHash(Read(good), "0.1.0");
  const Job changed = Read(With(good, "clearance = 4.0", "clearance = 4.1") + Released(hash));
  const auto why = WhyNotSigned(changed.release, ReleaseHash(changed, "0.1.0"));
  ASSERT_EQ(why.size(), 2u);
  EXPECT_EQ(why[0],
            "The release of drill clearance by Jane Roe, 2026-11-03, is void: job or program have "
            "changed since.");
  const Job same = Read(good + Released(hash));
  EXPECT_EQ(WhyNotSigned(same.release, ReleaseHash(same, "0.2.0")).size(), 2u);
}

TEST(Release, NeedsBothHalves) {
  const std::string good = FileText(kGoodJob);
  const std::string hash = ReleaseHash(Read(good), "0.1.0");
  EXPECT_EQ(WhyNotSigned({}, hash),
            (std::vector<std::string>{"Nobody has released drill clearance.",
                                      "Nobody has released strength."}));
  const std::string both = Released(hash);
  const Job half = Read(good + both.substr(0, both.find("[release.strength]")));
  EXPECT_EQ(WhyNotSigned(half.release, hash),
            std::vector<std::string>{"Nobody has released strength."});
}

// ---- Errors, each at its place

std::string Line(const std::string& more_before) {
  const std::string text = FileText(kGoodJob) + more_before;
  return std::to_string(1 + std::count(text.begin(), text.end(), '\n'));
}

TEST(ShopTables, SayWhatIsWrongAtItsPlace) {
  const std::pair<std::string, std::string> cases[] = {
      {"[release.clearance]\nby = \"J\"\ndate = \"2026-02-30\"\nhash = "
       "\"1f2e3d4c5b6a7988-0.1.0\"\n",
       "job.toml:" + Line("\n\n") +
           ":8: \"date\" in [release.clearance] must be a day such as \"2026-03-31\" "
           "(year-month-day); found \"2026-02-30\"\n"},
      {"[release.strength]\nby = \"J\"\ndate = 2026-02-28\nhash = \"1f2e\"\n",
       "job.toml:" + Line("\n\n\n") +
           ":8: \"hash\" in [release.strength] must be the hash that check prints, such as "
           "\"1f2e3d4c5b6a7988-0.1.0\"; found \"1f2e\"\n"},
      {"[[step]]\ntitle = \"Wax\"\nafter = \"tret\"\ntext = \"Spray.\"\n",
       "job.toml:" + Line("\n\n") +
           ":9: \"after\" in step 1 must be clean, mark, ties, punch, test, pilot, probe, final, "
           "deburr, treat, close or record; found \"tret\"; did you mean \"treat\"?\n"},
      {"[[step]]\ntitle = \"Wax\"\ntext = \"Spray.\"\n",
       "job.toml:" + Line("") +
           ":1: step 1 must say where it goes by exactly one of before, after and number; found "
           "none\n"},
      {"[[step]]\ntitle = \"Wax\"\nnumber = 2\ntext = \"Spray.\"\ntorque = [90, 80]\n",
       "job.toml:" + Line("\n\n\n\n") +
           ":10: \"torque\" in step 1 must be one torque or [least, greatest], in N·m\n"},
      {"[[step]]\ntitle = \"Wax\"\nnumber = 2\ntext = \"Spray.\"\n"
       "caution = { signal = \"warn\", hazard = \"h\", avoid = \"a\" }\n",
       "job.toml:" + Line("\n\n\n\n") +
           ":22: \"signal\" in \"caution\" in step 1 must be danger, warning, caution or notice; "
           "found \"warn\"\n"},
      {"[[decision]]\nwhen = \"any test fials\"\nthen = \"Stop.\"\n",
       "job.toml:" + Line("\n") +
           ":18: \"when\" in decision 1: found 'fials' where passes, fails or is not tested is "
           "allowed; did you mean 'fails'?\n"}};
  for (const auto& [more, message] : cases) EXPECT_EQ(Errors(more), message) << more;
}

TEST(ShopTables, DecisionsThatAreNotReachedOrLeaveACaseAreErrors) {
  const std::string flow = "[[decision]]\nwhen = \"any test fails\"\nthen = \"Replace.\"\n";
  const std::string open = Errors(flow);
  EXPECT_NE(open.find("job.toml:" + Line("\n") + ":8: the decisions leave a case undecided: "),
            std::string::npos)
      << open;
  const std::string twice =
      Errors(flow + flow + "[[decision]]\nwhen = \"otherwise\"\nthen = \"Go\"\n");
  EXPECT_EQ(twice, "job.toml:" + Line("\n\n\n\n") +
                       ":8: decision 2 can never be reached: those above it take every case for "
                       "which \"any test fails\" holds\n");
}

// ---- Results

const char* const kFlow =
    "[[decision]]\nwhen = \"any test fails\"\nthen = \"Replace.\"\n"
    "[[decision]]\nwhen = \"any test is not tested\"\nthen = \"Ask.\"\n"
    "[[decision]]\nwhen = \"otherwise\"\nthen = \"In use.\"\n";

std::string Table(const Job& job, const std::string& result) {
  std::string text = "point,side,result\r\n";
  for (const TestPlace& place : TestPlaces(job)) {
    text += place.point + (place.side == Side::left ? ",left," : ",right,") + result + "\r\n";
  }
  return text;
}

TEST(Results, DecideAVehicle) {
  const Job job = Read(FileText(kGoodJob) + kFlow);
  ASSERT_FALSE(TestPlaces(job).empty());
  const std::pair<const char*, std::size_t> cases[] = {{"pass", 2}, {"fail", 0}, {"not tested", 1}};
  for (const auto& [result, decision] : cases) {
    const ResultsReading reading = ReadResultsText(Table(job, result), job);
    ASSERT_TRUE(reading.errors.empty()) << reading.errors[0].Text("r.csv");
    ASSERT_EQ(reading.vehicles.size(), 1u);
    EXPECT_EQ(Decide(job, reading.vehicles[0].entries).decision, decision) << result;
  }
}

TEST(Results, ThatLackAnEntryDecideNothingUnlessItDoesNotMatter) {
  const Job job = Read(FileText(kGoodJob) + kFlow);
  TestEntries entries = ReadResultsText(Table(job, "pass"), job).vehicles[0].entries;
  const TestPlace place = entries.begin()->first;
  entries.erase(place);
  const VehicleDecision open = Decide(job, entries);
  EXPECT_FALSE(open.decision);
  EXPECT_EQ(open.missing, std::vector<TestPlace>{place});
  if (!entries.empty()) {
    entries.begin()->second.result = TestResult::fail;
    EXPECT_EQ(Decide(job, entries).decision, 0u);
  }
}

TEST(Results, ThatAreWrongSayWhereAndWhatIsAllowed) {
  const Job job = Read(FileText(kGoodJob) + kFlow);
  const TestPlace place = TestPlaces(job).front();
  const std::string row = place.point + (place.side == Side::left ? ",left," : ",right,");
  const auto first = [&](const std::string& text) {
    const auto reading = ReadResultsText(text, job);
    return reading.errors.empty() ? "none" : reading.errors[0].Text("r.csv");
  };
  EXPECT_EQ(
      first("point,side,reslt\n"),
      "r.csv:1:12: unknown column \"reslt\"; did you mean \"result\"?; the columns are vehicle, "
      "point, side, part, result, remaining_mm");
  EXPECT_EQ(first("point,side\n"), "r.csv:1:1: the column \"result\" is missing");
  EXPECT_NE(first("point,side,result\nX9,left,pass\n").find("r.csv:2:1: found \"X9\" where a test"),
            std::string::npos);
  EXPECT_NE(first("point,side,result\n" + row + "fial\n")
                .find("found \"fial\" where pass, fail, not "
                      "tested or nothing is allowed; did "
                      "you mean \"fail\"?"),
            std::string::npos);
  EXPECT_NE(first("point,side,result\n" + row + "pass\n" + row + "fail\n").find("r.csv:3:1: "),
            std::string::npos);
  EXPECT_NE(first("point,side,result,remaining_mm\n" + row + "pass,two\n").find("thickness"),
            std::string::npos);
  EXPECT_NE(first("point,side,result\n" + row + "\n" + place.point + "\n").find("found 1 fields"),
            std::string::npos);
  EXPECT_EQ(first(""),
            "r.csv:1:1: the table is empty; it begins with "
            "point,side,result,remaining_mm");
}

TEST(Results, AreFaultedInTheOrderOfTheTable) {
  const Job job = Read(FileText(kGoodJob) + kFlow);
  for (const char* text : {"side,result,point\nup,maybe,X9\n", ",\"u"}) {
    SCOPED_TRACE(text);
    const auto reading = ReadResultsText(text, job);
    EXPECT_GE(reading.errors.size(), 2u);
    for (std::size_t i = 1; i < reading.errors.size(); ++i) {
      EXPECT_LE(reading.errors[i - 1].at.column, reading.errors[i].at.column);
    }
  }
}

}  // namespace
}  // namespace holeward
