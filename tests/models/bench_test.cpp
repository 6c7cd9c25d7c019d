#include "models/bench.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <random>
#include <set>
#include <string>

#include <fmt/format.h>

#include <gtest/gtest.h>

#include "geometry/solid.h"
#include "models/bench_choice.h"
#include "models/bench_form.h"
#include "models/bench_instruments.h"
#include "models/bench_reading.h"
#include "models/bench_volume.h"
#include "models/part_law.h"

namespace holeward {
namespace {

std::string JobWith(const std::string& part, const std::string& bench) {
  return "holeward = 1\n[part.arm]\n" + part + "\nstart = \"inner end\"\nfinish = \"outer end\"\n" +
         "[part.arm.bench]\n" + bench + "\n";
}

constexpr const char* kBox = "section = \"box\"\nwall = 3";

std::string FirstError(const std::string& text) {
  const JobReading reading = ReadBenchJobText(text, "job.toml").reading;
  return reading.errors.empty() ? "" : reading.errors.front().Text("job.toml");
}

const PartRow& PartOf(const JobWithBenches& read) {
  const JobReading& reading = read.reading;
  EXPECT_TRUE(reading.ok()) << (reading.errors.empty() ? "" : reading.errors[0].Text("job.toml"));
  return reading.job.parts.front();
}

const BenchFit& FitOf(const JobWithBenches& read) {
  (void)PartOf(read);
  return *read.benches.at(0).fit;
}

// A straight tube 60 x 40, level, its middle 100 mm off the straightedge and 50 mm up.
constexpr const char* kLevelTube =
    "corner = 6\n"
    "rows = [ { distance = 0, top = 70, underside = 30, front = 130, rear = 70 },\n"
    "         { distance = 90, top = 70, underside = 30, front = 130, rear = 70 },\n"
    "         { distance = 180, top = 70, underside = 30, front = 130, rear = 70 } ]\n";

TEST(Bench, RowsOfALevelTubeGiveItsStations) {
  const JobWithBenches reading = ReadBenchJobText(JobWith(kBox, kLevelTube), "job.toml");
  const PartRow& part = PartOf(reading);
  ASSERT_EQ(part.stations.size(), 3u);
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_NEAR(part.stations[i].width, 60.0, 1e-6);
    EXPECT_NEAR(part.stations[i].height, 40.0, 1e-6);
    EXPECT_NEAR(part.stations[i].corner, 6.0, 1e-6);
    // Bare: 300 mm outboard of the centre plane.
    EXPECT_NEAR(
        (part.stations[i].centre - Vec3(100.0, 300.0 + 90.0 * static_cast<double>(i), 50.0)).norm(),
        0.0, 1e-6);
  }
  EXPECT_EQ(part.wall, 3.0);
}

TEST(Bench, ASlopingTubesHeightsAreThoseOfItsFacesInThePlaneOfTheRow) {
  // 20 degrees up along the bench: a 40 mm section stands 40 / cos 20 high in an upright plane.
  const double slope = 20.0 * kDegree;
  std::string rows;
  for (const double d : {0.0, 100.0, 200.0}) {
    const double middle = 50.0 + d * std::tan(slope);
    const double half = 20.0 / std::cos(slope);
    rows += fmt::format("{{ distance = {}, top = {}, underside = {}, front = 130, rear = 70 }},\n",
                        d, middle + half, middle - half);
  }
  const JobWithBenches reading =
      ReadBenchJobText(JobWith(kBox, "corner = 6\nrows = [" + rows + "]"), "job.toml");
  const PartRow& part = PartOf(reading);
  for (const StationRow& s : part.stations) {
    EXPECT_NEAR(s.height, 40.0, 1e-5);
    EXPECT_NEAR(s.width, 60.0, 1e-5);
  }
}

TEST(Bench, MountsAndASlopeSetTheBenchIntoTheVehicle) {
  const std::string mounts =
      "mounts = [ { name = \"inner\", distance = 0, offset = 100, height = 50, place = [-50, 300, "
      "280] },\n { name = \"outer\", distance = 180, offset = 100, height = 50, place = [-50, 480, "
      "280] } ]\nslope = 5\n";
  const JobWithBenches reading = ReadBenchJobText(JobWith(kBox, kLevelTube + mounts), "job.toml");
  const PartRow& part = PartOf(reading);
  EXPECT_NEAR((part.stations[1].centre - Vec3(-50.0, 390.0, 280.0)).norm(), 0.0, 1e-6);
  ASSERT_TRUE(part.up.has_value());
  // Front rises by 5 degrees: the bench's up leans toward the rear.
  EXPECT_NEAR(part.up->x(), -std::sin(5.0 * kDegree), 1e-9);
  EXPECT_NEAR(part.up->z(), std::cos(5.0 * kDegree), 1e-9);
}

TEST(Bench, ThreeMountHeightsSayTheSameAsASlope) {
  const double rise = 100.0 * std::sin(5.0 * kDegree);
  const std::string mounts = fmt::format(
      "mounts = [ {{ name = \"inner\", distance = 0, offset = 100, height = 50, place = [-50, 300, "
      "280] }},\n {{ name = \"outer\", distance = 180, offset = 100, height = 50, place = [-50, "
      "480, 280] }},\n {{ name = \"side\", distance = 90, offset = 200, height = 50, z = {} }} ]\n",
      280.0 + rise);
  const JobWithBenches reading = ReadBenchJobText(JobWith(kBox, kLevelTube + mounts), "job.toml");
  const PartRow& part = PartOf(reading);
  ASSERT_TRUE(part.up.has_value());
  EXPECT_NEAR(part.up->x(), -std::sin(5.0 * kDegree), 1e-9);
}

// EN 10219-2 mass per metre, density 7.85, cold formed corners r_o 2 t.
TEST(Bench, TheWeightIsThatOfPublishedTubes) {
  struct Case {
    double height, width, wall, kg_per_m;
  };
  for (const Case& c : {Case{60, 60, 4, 6.710}, Case{60, 40, 3, 4.245}, Case{120, 80, 5, 14.41}}) {
    PartRow part;
    part.wall = c.wall;
    for (const double y : {0.0, 1000.0}) {
      StationRow s;
      s.centre = {0.0, y, 0.0};
      s.width = c.width;
      s.height = c.height;
      s.corner = 2.0 * c.wall;
      part.stations.push_back(s);
    }
    const auto skin = Skin::Make(LawOf(part, Side::left));
    ASSERT_TRUE(skin.has_value());
    const double kg = MetalVolume(*skin, c.wall, part.ends) * 7.85e-6;
    EXPECT_NEAR(kg / c.kg_per_m, 1.0, 1e-3);
  }
  PartRow round;
  round.section = SectionKind::round;
  for (const double y : {0.0, 1000.0}) {
    StationRow s;
    s.centre = {0.0, y, 0.0};
    s.diameter = 60.3;
    round.stations.push_back(s);
  }
  const auto skin = Skin::Make(LawOf(round, Side::left));
  EXPECT_NEAR(MetalVolume(*skin, 5.0, round.ends) * 7.85e-6, 6.819, 0.001);
}

// A random arm measured by computation: rows with two faces each way and a caliper width, girths,
// heights by caliper, a diagonal each way, the wall again, the weight.
struct Sample {
  PartRow part;
  BenchSheet sheet;
  Eigen::VectorXd truth;
};

void AddReading(BenchSheet& sheet, BenchKind kind, std::size_t row, BenchSide side, bool spare,
                const char* word) {
  BenchReading r;
  r.kind = kind;
  r.row = row;
  r.side = side;
  r.spare = spare;
  r.name = fmt::format("{} {}", row + 1, word);
  r.instrument = UsualInstrument(kind);
  r.sigma = InstrumentSigma(r.instrument, 200.0);
  sheet.readings.push_back(r);
}

void AddAcross(BenchSheet& sheet, BenchKind kind, BenchPlace from, BenchPlace to) {
  BenchReading r;
  r.kind = kind;
  r.from = from;
  r.to = to;
  r.spare = true;
  r.name = fmt::format("{} {}-{}", static_cast<int>(kind), from.row + 1, to.row + 1);
  r.instrument = UsualInstrument(kind);
  r.sigma = InstrumentSigma(r.instrument, 200.0);
  sheet.readings.push_back(r);
}

Sample RandomArm(std::mt19937_64& random) {
  const auto uniform = [&](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
  };
  Sample s;
  s.part.name = "arm";
  s.part.wall = uniform(2.0, 4.0);
  const std::size_t n = 5;
  s.sheet.rows.resize(n);
  for (std::size_t i = 0; i < n; ++i) {
    AddReading(s.sheet, BenchKind::distance, i, BenchSide::b_plus, false, "distance");
    AddReading(s.sheet, BenchKind::face, i, BenchSide::b_plus, false, "top");
    AddReading(s.sheet, BenchKind::face, i, BenchSide::b_minus, false, "underside");
    AddReading(s.sheet, BenchKind::face, i, BenchSide::a_plus, false, "front");
    AddReading(s.sheet, BenchKind::face, i, BenchSide::a_minus, false, "rear");
    AddReading(s.sheet, BenchKind::width, i, BenchSide::b_plus, false, "width");
    AddReading(s.sheet, BenchKind::height, i, BenchSide::b_plus, false, "height");
    AddReading(s.sheet, BenchKind::girth, i, BenchSide::b_plus, true, "girth");
  }
  AddReading(s.sheet, BenchKind::corner, 0, BenchSide::b_plus, false, "corner");
  AddReading(s.sheet, BenchKind::wall, 0, BenchSide::b_plus, false, "wall");
  AddReading(s.sheet, BenchKind::wall, 0, BenchSide::b_plus, true, "wall again");
  AddReading(s.sheet, BenchKind::weight, 0, BenchSide::b_plus, true, "weight");
  for (std::size_t i = 0; i + 1 < n; ++i) {
    AddAcross(s.sheet, BenchKind::diagonal, {i, BenchSide::a_plus}, {i + 1, BenchSide::a_minus});
    AddAcross(s.sheet, BenchKind::diagonal, {i, BenchSide::a_minus}, {i + 1, BenchSide::a_plus});
    AddAcross(s.sheet, BenchKind::tape, {i, BenchSide::b_plus}, {i + 1, BenchSide::b_plus});
    AddAcross(s.sheet, BenchKind::tape, {i, BenchSide::a_plus}, {i + 1, BenchSide::a_plus});
  }
  const BenchModel model(s.part, s.sheet, Side::left);
  s.truth.resize(static_cast<Eigen::Index>(model.unknowns().size()));
  for (std::size_t k = 0; k < model.unknowns().size(); ++k) {
    const BenchUnknown& u = model.unknowns()[k];
    const double i = static_cast<double>(u.row.value_or(0));
    double& x = s.truth[static_cast<Eigen::Index>(k)];
    switch (u.size) {
      case BenchSize::distance: x = 70.0 * i + uniform(-5, 5); break;
      case BenchSize::across: x = 90.0 + uniform(-6, 6); break;
      case BenchSize::up: x = 60.0 - 4.0 * i + uniform(-4, 4); break;
      case BenchSize::width: x = 55.0 + uniform(-4, 4); break;
      case BenchSize::height: x = 45.0 + uniform(-4, 4); break;
      case BenchSize::corner: x = uniform(5, 9); break;
      case BenchSize::wall: x = s.part.wall; break;
      default: break;
    }
  }
  return s;
}

void Measure(Sample& s, std::mt19937_64& random, double noise) {
  BenchModel model(s.part, s.sheet, Side::left);
  (void)model.LayTapes(s.truth);
  const auto readings = model.Readings(s.truth);
  ASSERT_TRUE(readings.has_value());
  std::normal_distribution<double> normal;
  for (std::size_t i = 0; i < s.sheet.readings.size(); ++i) {
    BenchReading& r = s.sheet.readings[i];
    r.value = (*readings)[static_cast<Eigen::Index>(i)];
    if (r.kind == BenchKind::weight) r.sigma = 0.01 * r.value;
    r.value += noise * r.sigma * normal(random);
  }
}

TEST(Bench, ReadingsWithoutErrorGiveTheArmBack) {
  std::mt19937_64 random(11);
  for (int run = 0; run < 3; ++run) {
    Sample s = RandomArm(random);
    Measure(s, random, 0.0);
    const auto fit = FitBench(s.part, s.sheet, Side::left);
    ASSERT_TRUE(fit.has_value()) << fit.error().message;
    EXPECT_LT((fit->found.adjustment.x - s.truth).cwiseAbs().maxCoeff(), 2e-3);
    EXPECT_TRUE(fit->found.suspects.empty());
    EXPECT_TRUE(fit->doubts.empty());
  }
}

TEST(Bench, TheWeightByTheFitIsThatOfTheBuiltSolid) {
  std::mt19937_64 random(17);
  for (int run = 0; run < 2; ++run) {
    const Sample s = RandomArm(random);
    const BenchModel model(s.part, s.sheet, Side::left);
    const auto skin = model.SkinAt(s.truth);
    ASSERT_TRUE(skin.has_value());
    HollowSpec spec;
    spec.what = "arm";
    spec.wall = s.part.wall;
    spec.piece_names = {"1", "2", "3", "4", "5", "6", "7", "8"};
    spec.end_names = {"start", "finish"};
    const auto solid = NamedSolid::BuildHollow(*skin, spec);
    ASSERT_TRUE(solid.has_value()) << solid.error().message;
    EXPECT_NEAR(MetalVolume(*skin, s.part.wall, s.part.ends) / solid->volume(), 1.0, 0.005);
  }
}

double Below(double z) { return 0.5 * std::erfc(-z / std::sqrt(2.0)); }

// A blunder that stands `out` standard deviations out of its own test is not found where the noise
// takes its test below 3.29.
double ChanceMissed(double out) { return Below(3.29 - out); }

// Another reading, its test tied to the blunder's by rho, is as likely as the misread one where
// w² - w'² < 9 (geometry/adjust_snoop.cpp). To the first order that difference is normal with the
// mean m² and the deviation 2 m, m = out sqrt(1 - rho²): both tests are one noise seen along two
// directions whose angle has the cosine rho. Separability of two alternatives: W. Förstner,
// Reliability and discernability of extended Gauss-Markov models, Deutsche Geodätische Kommission A
// 98 (1983; from memory).
double ChanceMistaken(double out, double rho) {
  const double m = out * std::sqrt(std::max(0.0, 1.0 - rho * rho));
  return m > 0.0 ? Below((9.0 - m * m) / (2.0 * m)) : 1.0;
}

// What one run with a blunder comes to.
struct BlunderRun {
  int sizes = 0;
  int inside = 0;
  bool doubt = false;          ///< it could be one of several
  bool allowed = false;        ///< redundancy lets it be found 95 times in 100
  bool named = false;          ///< alone or with those it looks like
  bool alone_allowed = false;  ///< and told from every other as often
  bool alone = false;
};

BlunderRun RunWithBlunder(Sample s, std::size_t wrong, double by) {
  BenchReading& r = s.sheet.readings[wrong];
  r.value += by;
  const auto at = static_cast<Eigen::Index>(wrong);
  BlunderRun run;
  const auto fit = FitBench(s.part, s.sheet, Side::left);
  EXPECT_TRUE(fit.has_value()) << (fit ? "" : fit.error().message) << r.name;
  if (!fit) return run;
  for (Eigen::Index k = 0; k < s.truth.size(); ++k) {
    const BenchSizeOut& size = fit->sizes[static_cast<std::size_t>(k)];
    ++run.sizes;
    run.inside += s.truth[k] > size.low && s.truth[k] < size.high ? 1 : 0;
  }
  for (const SuspectReading& suspect : fit->found.suspects) {
    const auto& rivals = suspect.rivals;
    const bool among = std::find(rivals.begin(), rivals.end(), at) != rivals.end();
    run.doubt = run.doubt || !rivals.empty();
    run.named = run.named || suspect.reading == at || among;
    run.alone = run.alone || (suspect.reading == at && rivals.empty());
  }
  // Redundancy allows it where, by the design alone, the chance that it is not found and named is
  // below 5 in 100.
  const BenchModel model(s.part, s.sheet, Side::left);
  const AdjustProblem problem = ProblemOf(model, s.sheet);
  AdjustProblem there = problem;
  there.start = fit->found.adjustment.x;
  const auto all = Adjust(there, AllOf(there));
  EXPECT_TRUE(all.has_value());
  if (!all) return run;
  const double missed = ChanceMissed(std::abs(by) * std::sqrt(all->redundancy[at]) / r.sigma);
  double mistaken = 0.0;
  for (Eigen::Index j = 0; j < there.readings(); ++j) {
    if (j == at || all->redundancy[j] < kNoRedundancy) continue;
    mistaken += ChanceMistaken(std::abs(by) * std::sqrt(all->redundancy[at]) / r.sigma,
                               all->Correlation(there, at, j));
  }
  run.allowed = missed < 0.05;
  run.alone_allowed = missed + mistaken < 0.05;
  return run;
}

TEST(Bench, ABlunderOfFiveMillimetresIsNamedAndSizesStayInsideTheirIntervals) {
  std::mt19937_64 random(23);
  // A long run tells the shares closely; a short one that they are not far off.
  const bool in_full = std::getenv("HOLEWARD_LONG_TESTS") != nullptr;
  const int runs = in_full ? 200 : 8;
  int allowed = 0;
  int named = 0;
  int alone_allowed = 0;
  int alone = 0;
  int doubts = 0;
  int sizes = 0;
  int inside = 0;
  int worked = 0;
  for (int i = 0; worked < runs; ++i) {
    Sample s = RandomArm(random);
    Measure(s, random, 1.0);
    const auto wrong = static_cast<std::size_t>(random() % s.sheet.readings.size());
    const BenchKind kind = s.sheet.readings[wrong].kind;
    if (kind == BenchKind::weight || kind == BenchKind::wall || kind == BenchKind::corner) continue;
    ++worked;
    const BlunderRun run = RunWithBlunder(s, wrong, i % 2 == 0 ? 5.0 : -5.0);
    sizes += run.sizes;
    inside += run.inside;
    doubts += run.doubt ? 1 : 0;
    allowed += run.allowed ? 1 : 0;
    named += run.allowed && run.named ? 1 : 0;
    alone_allowed += run.alone_allowed ? 1 : 0;
    alone += run.alone_allowed && run.alone ? 1 : 0;
  }
  fmt::print(
      "blunders: {} of {} named, alone {} of {}, {} in doubt; sizes inside 95 %: {:.1f} % of {}\n",
      named, allowed, alone, alone_allowed, doubts, 100.0 * inside / sizes, sizes);
  EXPECT_GE(allowed, runs / 2);
  EXPECT_GE(named, 0.95 * allowed);
  // A few runs may miss one.
  EXPECT_GE(alone_allowed, in_full ? 50 : 3);
  EXPECT_GE(alone, in_full ? 0.95 * alone_allowed : alone_allowed - 1.0);
  // Over all runs, those in doubt as well.
  EXPECT_GE(inside, (in_full ? 0.93 : 0.90) * sizes);
  EXPECT_LE(inside, (in_full ? 0.97 : 0.99) * sizes);
}

TEST(Bench, SparesChosenByTheDesignMatrixLeaveNoRowUnchecked) {
  std::mt19937_64 random(29);
  Sample s = RandomArm(random);
  Measure(s, random, 0.0);
  BenchSheet bare = s.sheet;
  std::erase_if(bare.readings, [](const BenchReading& r) {
    return r.spare || r.kind == BenchKind::width || r.kind == BenchKind::height;
  });
  const BenchModel model(s.part, bare, Side::left);
  const AdjustProblem before = ProblemOf(model, bare);
  const auto fit = Adjust(before, AllOf(before));
  ASSERT_TRUE(fit.has_value());
  EXPECT_LT(fit->redundancy.maxCoeff(), 1e-6);
  const auto spares = ChooseSpares(s.part, bare, Side::left, 30, 0.1);
  EXPECT_GE(spares.size(), 5u);
  EXPECT_LE(spares.size(), 30u);
  const std::size_t own = bare.readings.size();
  for (const BenchReading& r : spares) bare.readings.push_back(r);
  const BenchModel with(s.part, bare, Side::left);
  const AdjustProblem after = ProblemOf(with, bare);
  const auto checked = Adjust(after, AllOf(after));
  ASSERT_TRUE(checked.has_value());
  int unchecked = 0;
  for (std::size_t i = 0; i < own; ++i) {
    const bool face_or_row =
        bare.readings[i].kind == BenchKind::face || bare.readings[i].kind == BenchKind::distance;
    if (face_or_row && checked->redundancy[static_cast<Eigen::Index>(i)] < 0.1) ++unchecked;
  }
  EXPECT_LE(unchecked, 2);
}

TEST(Bench, APartWithALongGapBetweenItsRowsIsUnproven) {
  const std::string rows =
      "corner = 6\n"
      "rows = [ { distance = 0, top = 70, underside = 30, front = 130, rear = 70 },\n"
      "         { distance = 400, top = 70, underside = 30, front = 130, rear = 70 } ]\n";
  const JobWithBenches reading = ReadBenchJobText(JobWith(kBox, rows), "job.toml");
  EXPECT_EQ(PartOf(reading).basis, Basis::assumed);
  ASSERT_EQ(FitOf(reading).doubts.size(), 1u);
  EXPECT_NE(FitOf(reading).doubts[0].find("between the stations 0 and 400"), std::string::npos);
  const std::string measured = rows + "spare = [ { girth = 189.7, at = 200 } ]\n";
  const JobWithBenches again = ReadBenchJobText(JobWith(kBox, measured), "job.toml");
  EXPECT_EQ(PartOf(again).basis, Basis::measured);
  EXPECT_TRUE(FitOf(again).doubts.empty());
}

TEST(Bench, ReadingsThatDisagreeWithoutTellingWhichAreUnproven) {
  std::string rows = kLevelTube;
  rows.replace(rows.find("rear = 70"), 9, "rear = 70, width = 55");
  const JobWithBenches reading = ReadBenchJobText(JobWith(kBox, rows), "job.toml");
  EXPECT_EQ(PartOf(reading).basis, Basis::assumed);
  const auto& doubts = FitOf(reading).doubts;
  ASSERT_EQ(doubts.size(), 1u);
  EXPECT_NE(doubts[0].find("1 width"), std::string::npos);
  EXPECT_NE(doubts[0].find("1 front"), std::string::npos);
}

TEST(Bench, RustedWallsWidenTheWallsErrorToTheThinSide) {
  const std::string rows =
      std::string(kLevelTube) + "spare = [ { wall = 2.6, row = 1 }, { wall = 2.9, row = 2 } ]\n";
  const JobWithBenches reading = ReadBenchJobText(JobWith(kBox, rows), "job.toml");
  const PartRow& part = PartOf(reading);
  EXPECT_GT(FitOf(reading).wall_error.minus, FitOf(reading).wall_error.plus);
  EXPECT_GT(FitOf(reading).wall_error.minus, part.wall - 2.6);
  EXPECT_GE(reading.reading.job.marking.wall.minus, FitOf(reading).wall_error.minus);
}

TEST(Bench, SpreadFromSampleToSampleEntersTheOutline) {
  std::string rows = kLevelTube;
  const JobWithBenches one = ReadBenchJobText(JobWith(kBox, rows), "job.toml");
  rows.replace(rows.find("top = 70"), 8, "top = [68.5, 70, 71.5]");
  const JobWithBenches three = ReadBenchJobText(JobWith(kBox, rows), "job.toml");
  EXPECT_EQ(FitOf(one).part_spread, 0.0);
  EXPECT_GT(FitOf(three).part_spread, 1.0);
  EXPECT_GT(three.reading.job.marking.outline.plus, one.reading.job.marking.outline.plus + 2.0);
}

TEST(Bench, ARoundPartIsItsDiameterAndTwoEndPlaces) {
  const std::string rows =
      "rows = [ { distance = 0, top = 90, front = 130, diameter = 60 },\n"
      "         { distance = 150, top = 90, front = 130, diameter = 60 } ]\n";
  const JobWithBenches reading =
      ReadBenchJobText(JobWith("section = \"round\"\nwall = 3", rows), "job.toml");
  const PartRow& part = PartOf(reading);
  EXPECT_NEAR(part.stations[1].diameter, 60.0, 1e-6);
  EXPECT_NEAR(part.stations[1].centre.x(), 100.0, 1e-6);
  EXPECT_NEAR(part.stations[1].centre.z(), 60.0, 1e-6);
}

TEST(Bench, RefusesWhatCannotBeWithAPlaceAndASentence) {
  const auto swapped = FirstError(JobWith(
      kBox,
      "corner = 6\nrows = [ { distance = 90, top = 70, underside = 30, front = 130, rear = 70 "
      "},\n { distance = 0, top = 70, underside = 30, front = 130, rear = 70 } ]"));
  EXPECT_NE(swapped.find("Were two rows swapped?"), std::string::npos) << swapped;
  const auto faces = FirstError(JobWith(
      kBox,
      "corner = 6\nrows = [ { distance = 0, top = 30, underside = 70, front = 130, rear = 70 "
      "},\n { distance = 90, top = 70, underside = 30, front = 130, rear = 70 } ]"));
  EXPECT_NE(faces.find("Were the two swapped?"), std::string::npos) << faces;
  const auto missing = FirstError(
      JobWith(kBox,
              "corner = 6\nrows = [ { distance = 0, top = 70, underside = 30, front = 130 "
              "},\n { distance = 90, top = 70, underside = 30, front = 130, rear = 70 } ]"));
  EXPECT_NE(missing.find("too few readings: nothing fixes"), std::string::npos) << missing;
  EXPECT_NE(missing.find("width of row 1"), std::string::npos) << missing;
  const auto inches =
      FirstError(JobWith(kBox, std::string(kLevelTube) + "spare = [ { girth = 7.47, row = 2 } ]"));
  EXPECT_NE(inches.find("inches"), std::string::npos) << inches;
  const auto heavy = FirstError(JobWith(
      "section = \"box\"\nwall = 0.12",
      "corner = 0.24\nrows = [ { distance = 1, top = 2.75, underside = 1.2, front = 5.1, rear = "
      "2.75 },\n { distance = 7, top = 2.75, underside = 1.2, front = 5.1, rear = 2.75 } ]\n"
      "spare = [ { weight = 0.71 } ]"));
  EXPECT_NE(heavy.find("inches"), std::string::npos) << heavy;
}

TEST(Bench, AFormAsksForEachRowAndForSparesThatCheckIt) {
  const JobWithBenches reading = ReadBenchJobText(JobWith(kBox, kLevelTube), "job.toml");
  const auto form = FormOf(PartOf(reading), Side::left);
  ASSERT_TRUE(form.has_value());
  EXPECT_EQ(form->rows.size(), 3u);
  EXPECT_EQ(form->columns.size(), 7u);
  EXPECT_EQ(form->toward, "outboard");
  EXPECT_GE(form->spares.size(), 3u);
  std::set<std::string> names;
  for (const BenchReading& r : form->spares) EXPECT_TRUE(names.insert(r.name).second) << r.name;
  EXPECT_NEAR(form->rows[2].distance, 180.0, 1e-6);
  EXPECT_NEAR(form->rows[1].offset[1] - form->rows[1].offset[0], 60.0, 1e-6);
}

TEST(Bench, InstrumentsReadByTheirClass) {
  // OIML R 35-1 class II up to 1 m, hooked: 0.7; class I: 0.2; each with a hand's 0.5.
  EXPECT_NEAR(InstrumentSigma("tape", 350.0), std::hypot(0.7, 0.5) / std::sqrt(3.0), 1e-12);
  EXPECT_NEAR(InstrumentSigma("steel rule", 350.0), std::hypot(0.2, 0.5) / std::sqrt(3.0), 1e-12);
  EXPECT_GT(InstrumentSigma("tape", 1200.0), InstrumentSigma("tape", 900.0));
}

}  // namespace
}  // namespace holeward
