// Good jobs: every key read, defaults, units.
#include "models/job_reader.h"

#include <functional>
#include <string>
#include <vector>

#include <fmt/format.h>

#include <gtest/gtest.h>

#include "tests/models/job_texts.h"

namespace holeward {
namespace {

using test::FileText;
using test::Good;
using test::kGoodJob;
using test::kShortest;
using test::Messages;

TEST(GoodJob, GivesEveryGeneralKey) {
  const Job job = Good(FileText(kGoodJob));
  EXPECT_EQ(job.title, "Front link and cross tube, utility van");
  EXPECT_EQ(job.set_number, "UV-7");
  EXPECT_EQ(job.set_revision, "C");
  EXPECT_EQ(job.posture, "on stands, wheels hanging");
  EXPECT_FALSE(job.inches);
  EXPECT_EQ(job.described_side, Side::left);
  EXPECT_EQ(job.sides, (std::vector<Side>{Side::left, Side::right}));
  EXPECT_EQ(job.limits.clearance, 4.0);
  EXPECT_EQ(job.limits.side, 1.5);
  EXPECT_EQ(job.limits.edge_distance, 1.8);
  EXPECT_EQ(job.limits.spacing, 2.5);
  EXPECT_EQ(job.limits.seat_gap, 0.4);
  EXPECT_EQ(job.limits.through, 1.2);
  EXPECT_EQ(job.limits.wrap_error, 0.5);  // left out: the default
  std::string text = FileText(kGoodJob);
  const std::string through = "through = 1.2\n";
  text.insert(text.find(through) + through.size(), "wrap_error = 0.3\n");
  EXPECT_EQ(Good(text).limits.wrap_error, 0.3);
}

TEST(GoodJob, GivesEveryMarkingErrorLopsidedOrEven) {
  const Job job = Good(FileText(kGoodJob));
  const Marking& m = job.marking;
  const auto is = [](const HalfWidth& error, double minus, double plus) {
    EXPECT_DOUBLE_EQ(error.minus, minus);
    EXPECT_DOUBLE_EQ(error.plus, plus);
  };
  is(m.tape, 1.2, 1.2);
  is(m.rule, 0.4, 0.6);
  is(m.square, 0.0, 0.0);
  is(m.protractor_rad, 1.5 * kDegree, 1.5 * kDegree);
  is(m.line, 2.2, 2.2);
  is(m.middle, 0.0, 1.1);
  is(m.in_line, 0.9, 0.9);
  is(m.punch, 0.4, 0.4);
  is(m.sheet, 0.8, 0.8);
  is(m.tilt_rad, 3.0 * kDegree, 4.0 * kDegree);
  is(m.depth, 0.3, 0.3);
  EXPECT_EQ(m.run_on, 10.0);
  is(m.wall, 0.7, 0.1);
  is(m.outline, 0.9, 0.9);
  is(m.inner_body, 1.7, 1.7);
  EXPECT_EQ(job.zeroed_errors, (std::vector<std::string>{"square", "middle.minus"}));
}

TEST(Marking, HasADistributionForEachErrorRectangularUnlessItSays) {
  EXPECT_EQ(Good(FileText(kGoodJob)).marking.distribution, ErrorDistributions{});
  // Each key alone, so that none is read into another's place.
  for (const DistributionKey& key : kDistributionKeys) {
    for (const Distribution one : {Distribution::triangular, Distribution::normal}) {
      std::string text = FileText(kGoodJob);
      const std::string line = "inner_body = 1.7\n";
      const auto at = text.find(line);
      ASSERT_NE(at, std::string::npos);
      text.insert(at + line.size(),
                  std::string("distribution.") + key.key + " = \"" + Word(one) + "\"\n");
      ErrorDistributions expected;
      expected.*key.of = one;
      EXPECT_EQ(Good(text).marking.distribution, expected) << key.key;
    }
  }
}

TEST(GoodJob, GivesEveryToolKey) {
  const Job job = Good(FileText(kGoodJob));
  EXPECT_EQ(job.test.tip, 2.5);
  EXPECT_EQ(job.test.foot, 7.5);
  EXPECT_EQ(job.test.body.diameter, 30.0);
  EXPECT_EQ(job.test.body.length, 150.0);
  EXPECT_DOUBLE_EQ(job.drill.point_angle_rad, 130.0 * kDegree);
  EXPECT_EQ(job.drill.chuck.diameter, 40.0);
  EXPECT_EQ(job.drill.chuck.length, 200.0);
  EXPECT_EQ(job.drill.kind, DrillKind::step);
  ASSERT_EQ(job.drill.steps.size(), 2u);
  EXPECT_EQ(job.drill.steps[1].diameter, 8.0);
  EXPECT_EQ(job.drill.steps[1].length, 16.0);
  EXPECT_EQ(job.drill.projection, (std::vector<double>{45.0, 55.0}));
  EXPECT_EQ(job.drill.collar.diameter, 15.0);
  EXPECT_EQ(job.drill.collar.length, 9.0);
}

TEST(GoodJob, GivesABoxPartWithItsStations) {
  const Job job = Good(FileText(kGoodJob));
  ASSERT_EQ(job.parts.size(), 4u);
  const PartRow& link = job.parts[0];
  EXPECT_EQ(link.name, "link");
  EXPECT_EQ(link.section, SectionKind::box);
  EXPECT_EQ(link.wall, 2.4);
  EXPECT_EQ(link.wall_basis, Basis::drawn);
  EXPECT_EQ(link.basis, Basis::measured);
  EXPECT_EQ(link.ends[0], EndKind::open);
  EXPECT_EQ(link.ends[1], EndKind::closed);
  EXPECT_EQ(link.start, "pivot end");
  EXPECT_EQ(link.finish, "wheel end");
  ASSERT_EQ(link.stations.size(), 3u);
  EXPECT_EQ(link.stations[1].centre, Vec3(-95.0, 380.0, 292.0));
  EXPECT_EQ(link.stations[1].width, 60.0);
  EXPECT_EQ(link.stations[1].height, 50.0);
  EXPECT_EQ(link.stations[1].corner, 8.0);
  EXPECT_EQ(link.stations[1].at.line, 63);
}

TEST(GoodJob, GivesFittingsOfEveryKindRead) {
  const Job job = Good(FileText(kGoodJob));
  const auto& fittings = job.parts[0].fittings;
  ASSERT_EQ(fittings.size(), 4u);
  EXPECT_EQ(fittings[0].kind, FittingKind::eye);
  EXPECT_EQ(fittings[0].diameter, 42.0);
  EXPECT_EQ(fittings[0].length, 58.0);
  EXPECT_EQ(*fittings[0].axis, Vec3(1.0, 0.0, 0.0)) << "made a unit vector";
  EXPECT_EQ(fittings[1].kind, FittingKind::bracket);
  EXPECT_EQ(*fittings[1].face, "rear");
  EXPECT_EQ(fittings[1].size, Vec2(34.0, 28.0));
  EXPECT_EQ(*fittings[1].height, 50.0);
  EXPECT_EQ(fittings[1].basis, Basis::assumed);
  EXPECT_EQ(fittings[2].kind, FittingKind::hole);
  EXPECT_EQ(*fittings[2].face, "underside") << "bottom is understood on a box";
  EXPECT_EQ(fittings[2].aside, -3.0);
  EXPECT_EQ(fittings[3].kind, FittingKind::stud);
  EXPECT_EQ(*fittings[3].height, 14.0);
  EXPECT_EQ(fittings[3].length, 14.0);
  EXPECT_EQ(*fittings[3].only, Side::left);
}

TEST(GoodJob, GivesARoundPartWithItsInnerBodies) {
  const Job job = Good(FileText(kGoodJob));
  const PartRow& cross = job.parts[1];
  EXPECT_EQ(cross.section, SectionKind::round);
  EXPECT_TRUE(cross.shared);
  ASSERT_EQ(cross.stations.size(), 2u);
  EXPECT_EQ(cross.stations[0].diameter, 70.0);
  EXPECT_EQ(cross.stations[1].centre, Vec3(-30.0, 400.0, 320.0));
  ASSERT_EQ(cross.inner.size(), 2u);
  EXPECT_EQ(cross.inner[0].kind, InnerKind::bar);
  EXPECT_EQ(cross.inner[0].offset, Vec3(3.0, 0.0, 5.0));
  EXPECT_EQ(cross.inner[0].reach, (std::array<double, 2>{10.0, 790.0}));
  EXPECT_EQ(cross.inner[0].basis, Basis::drawn);
  EXPECT_EQ(cross.inner[1].kind, InnerKind::sleeve);
  EXPECT_EQ(cross.inner[1].bore, 50.0);
  EXPECT_EQ(cross.inner[1].reach, (std::array<double, 2>{0.0, -1.0})) << "the whole length";
}

TEST(GoodJob, GivesAChannelAndAnOutline) {
  const Job job = Good(FileText(kGoodJob));
  const PartRow& rail = job.parts[2];
  EXPECT_EQ(rail.section, SectionKind::channel);
  EXPECT_EQ(*rail.open, "inboard");
  EXPECT_EQ(rail.stations[1].height, 120.0) << "sizes of the part count at every station";
  const PartRow& strut = job.parts[3];
  EXPECT_EQ(strut.section, SectionKind::outline);
  EXPECT_EQ(*strut.up, Vec3(1.0, 0.0, 0.0));
  // Given clockwise; left counter-clockwise with the first corner point first.
  const auto& outline = strut.stations[0].outline;
  ASSERT_EQ(outline.size(), 4u);
  EXPECT_EQ(outline[0], Vec2(-20.0, -30.0));
  EXPECT_EQ(outline[1], Vec2(20.0, -30.0));
  EXPECT_EQ(strut.stations[0].corners, (std::vector<double>{4.0, 7.0, 6.0, 5.0}));
}

TEST(GoodJob, GivesPointsWithEveryMethod) {
  const Job job = Good(FileText(kGoodJob));
  ASSERT_EQ(job.points.size(), 6u);
  const PointRow& r1 = job.points[0];
  EXPECT_EQ(r1.rule[0].method, Method::tape);
  EXPECT_EQ(r1.rule[0].value, 85.0);
  EXPECT_EQ(r1.rule[0].from, (std::vector<std::string>{"saddle"}));
  EXPECT_EQ(*r1.rule[0].toward, "inboard");
  EXPECT_EQ(r1.rule[1].method, Method::line);
  EXPECT_EQ(r1.rule[1].line, "bottom") << "underside is understood on a round part";
  EXPECT_EQ(job.points[1].rule[1].method, Method::in_line);
  EXPECT_EQ(job.points[1].rule[1].from, (std::vector<std::string>{"R1"}));
  const PointRow& t2 = job.points[2];
  EXPECT_EQ(*t2.face, "underside");
  EXPECT_EQ(t2.rule[0].from, (std::vector<std::string>{"wheel end", "pivot eye"}));
  EXPECT_EQ(t2.rule[0].fraction, 0.4);
  EXPECT_FALSE(t2.rule[0].across_face);
  EXPECT_TRUE(t2.rule[1].across_face);
  EXPECT_EQ(t2.rule[1].fraction, 0.6);
  const PointRow& h1 = job.points[3];
  EXPECT_EQ(h1.rule[0].method, Method::square);
  EXPECT_EQ(*h1.rule[0].toward, "pivot end");
  EXPECT_EQ(h1.rule[1].method, Method::rule);
  EXPECT_EQ(h1.rule[1].edge, EdgeReading::tangent);
  EXPECT_EQ(job.points[4].rule[1].method, Method::protractor);
  EXPECT_DOUBLE_EQ(job.points[4].rule[1].value, 35.0 * kDegree);
  EXPECT_TRUE(job.points[5].rule[0].to_centre);
  EXPECT_EQ(job.points[5].rule[1].line, "middle");
}

TEST(GoodJob, GivesWhatIsDrilled) {
  const Job job = Good(FileText(kGoodJob));
  const PointRow& h1 = job.points[3];
  EXPECT_EQ(h1.drill, (std::vector<double>{4.0, 8.0}));
  EXPECT_EQ(h1.stop.kind, StopRow::Kind::given);
  EXPECT_EQ(h1.stop.depth, (std::vector<double>{7.0, 8.5}));
  EXPECT_EQ(h1.axis.kind, AxisRow::Kind::lean);
  EXPECT_EQ(h1.axis.direction, "up");
  EXPECT_DOUBLE_EQ(h1.axis.lean_rad, 15.0 * kDegree);
  EXPECT_EQ(h1.during, "drain");
  EXPECT_EQ(h1.after, "plug");
  const PointRow& h2 = job.points[4];
  EXPECT_EQ(h2.stop.kind, StopRow::Kind::none);
  EXPECT_EQ(h2.axis.kind, AxisRow::Kind::direction);
  EXPECT_EQ(h2.axis.direction, "up");
  EXPECT_EQ(*h2.only, Side::left);
  EXPECT_EQ(h2.during, "nothing");
  EXPECT_EQ(h2.after, "");
}

TEST(GoodJob, GivesTemplatesAndNeighbours) {
  const Job job = Good(FileText(kGoodJob));
  ASSERT_EQ(job.templates.size(), 2u);
  EXPECT_EQ(job.templates[0].points, (std::vector<std::string>{"H1", "T2"}));
  EXPECT_EQ(job.templates[0].align, (std::vector<std::string>{"pivot end", "bottom edge"}));
  EXPECT_EQ(job.templates[0].backing, 0.12);
  EXPECT_EQ(job.templates[0].paper.roll_width, 610.0);
  EXPECT_TRUE(job.templates[1].points.empty());
  EXPECT_EQ(job.templates[1].paper.name, "A4 or Letter");
  ASSERT_EQ(job.neighbours.size(), 1u);
  EXPECT_EQ(job.neighbours[0].path.size(), 2u);
  EXPECT_EQ(job.neighbours[0].diameter, 8.0);
  EXPECT_EQ(*job.neighbours[0].only, Side::right);
  EXPECT_EQ(job.neighbours[0].basis, Basis::drawn);
}

TEST(Reference, HasAnExampleThatReadsWithoutErrors) {
  const std::string page = FileText(std::string(HOLEWARD_SOURCE_DIR) + "/docs/job-file.md");
  const auto begin = page.find("```toml\n");
  ASSERT_NE(begin, std::string::npos);
  const auto end = page.find("```", begin + 8);
  const Job job = Good(page.substr(begin + 8, end - begin - 8));
  EXPECT_EQ(job.parts.size(), 2u);
  EXPECT_EQ(job.points.size(), 5u);
  EXPECT_EQ(job.templates.size(), 2u);
}

TEST(Template, MayLeaveOutWhatItIsAlignedTo) {
  std::string text = FileText(kGoodJob);
  const std::string align = "align = [\"saddle\", \"bottom\"]\n";
  text.erase(text.find(align), align.size());
  EXPECT_TRUE(Good(text).templates[1].align.empty());
}

TEST(ShortestJob, HasTheDefaults) {
  const Job job = Good(kShortest);
  EXPECT_EQ(job.title, "job") << "the file's name";
  EXPECT_EQ(job.limits.clearance, 5.0);
  EXPECT_EQ(job.marking.tape.plus, 1.0);
  EXPECT_DOUBLE_EQ(job.marking.tilt_rad.plus, 5.0 * kDegree);
  EXPECT_EQ(job.marking.run_on, 12.0);
  EXPECT_TRUE(job.zeroed_errors.empty());
  EXPECT_EQ(job.described_side, Side::left);
  EXPECT_EQ(job.sides.size(), 2u);
  EXPECT_EQ(job.drill.kind, DrillKind::twist);
  EXPECT_EQ(job.drill.projection, (std::vector<double>{60.0}));
  EXPECT_EQ(job.test.body.length, 180.0);
  EXPECT_EQ(job.parts[0].ends[0], EndKind::open);
  EXPECT_EQ(job.parts[0].ends[1], EndKind::open);
  EXPECT_EQ(job.parts[0].between, CentreShape::smooth);
  EXPECT_FALSE(job.parts[0].shared);
}

TEST(ShortestJob, InInchesHasDefaultsThatStayMillimetres) {
  std::string text = kShortest;
  text.insert(text.find('\n') + 1, "units = \"in\"\n");
  const Job job = Good(text);
  EXPECT_TRUE(job.inches);
  EXPECT_EQ(job.limits.clearance, 5.0);
  EXPECT_EQ(job.drill.chuck.length, 220.0);
  EXPECT_DOUBLE_EQ(job.parts[0].wall, 2.0 * 25.4);
}

// One job in both units, its numbers formatted from millimetres by `unit`.
std::string JobIn(const char* name, const std::function<std::string(double)>& unit) {
  const auto place = [&](double x, double y, double z) {
    return fmt::format("[{}, {}, {}]", unit(x), unit(y), unit(z));
  };
  return "holeward = 1\nunits = \"" + std::string(name) +
         "\"\n[limits]\nclearance = " + unit(6.35) +
         "\nspacing = 2.5\n[marking]\ntape = { minus = " + unit(0.508) + ", plus = " + unit(1.27) +
         " }\ntilt = 4\n[tool.drill]\nprojection = " + unit(50.8) +
         "\n[part.a]\nsection = \"box\"\nwall = " + unit(2.54) +
         "\nstart = \"s\"\nfinish = \"f\"\nstations = [{ centre = " + place(0, 254, 127) +
         ", width = " + unit(50.8) + ", height = " + unit(38.1) + ", corner = " + unit(6.35) +
         " }, { centre = " + place(12.7, 508, 127) + ", width = " + unit(63.5) +
         ", height = " + unit(38.1) + ", corner = " + unit(6.35) +
         " }]\n[[point]]\nname = \"H\"\nuse = \"drill\"\npart = \"a\"\nface = \"top\"\nrule = [{ "
         "tape = " +
         unit(76.2) + ", from = \"s\", toward = \"outboard\" }, { middle = \"face\" }]\ndrill = [" +
         unit(3.175) + "]\nstop = " + unit(9.525) + "\n";
}

TEST(Units, GiveTheSameJobInInchesAsInMillimetres) {
  const auto in_mm = [](double mm) { return std::to_string(mm); };
  const auto in_inches = [](double mm) { return std::to_string(mm / 25.4); };
  const Job mm = Good(JobIn("mm", in_mm));
  const Job inches = Good(JobIn("in", in_inches));
  // Six decimals of an inch are written: half of the last is 1.3e-5 mm.
  constexpr double kWritten = 1.3e-5;
  EXPECT_NEAR(inches.limits.clearance, mm.limits.clearance, kWritten);
  EXPECT_EQ(inches.limits.spacing, mm.limits.spacing);
  EXPECT_NEAR(inches.marking.tape.minus, mm.marking.tape.minus, kWritten);
  EXPECT_NEAR(inches.marking.tape.plus, mm.marking.tape.plus, kWritten);
  EXPECT_EQ(inches.marking.tilt_rad.plus, mm.marking.tilt_rad.plus) << "an angle has no inches";
  EXPECT_NEAR(inches.drill.projection[0], mm.drill.projection[0], kWritten);
  EXPECT_NEAR(inches.parts[0].wall, mm.parts[0].wall, kWritten);
  for (std::size_t i = 0; i < 2; ++i) {
    const auto& a = inches.parts[0].stations[i];
    const auto& b = mm.parts[0].stations[i];
    EXPECT_LT((a.centre - b.centre).norm(), 2 * kWritten);
    EXPECT_NEAR(a.width, b.width, kWritten);
    EXPECT_NEAR(a.height, b.height, kWritten);
    EXPECT_NEAR(a.corner, b.corner, kWritten);
  }
  EXPECT_NEAR(inches.points[0].rule[0].value, mm.points[0].rule[0].value, kWritten);
  EXPECT_NEAR(inches.points[0].drill[0], mm.points[0].drill[0], kWritten);
  EXPECT_NEAR(inches.points[0].stop.depth[0], mm.points[0].stop.depth[0], kWritten);
  EXPECT_NEAR(mm.parts[0].stations[0].width, 50.8, 1e-9) << "the comparison compared something";
}

TEST(Units, AreTheFilesOwnInMessages) {
  std::string text = JobIn("in", [](double mm) { return std::to_string(mm / 25.4); });
  text.replace(text.find("wall = 0.1"), 10, "wall = 0.8");
  const JobReading reading = ReadJobText(text, "job.toml");
  ASSERT_EQ(reading.errors.size(), 1u) << Messages(reading);
  EXPECT_EQ(
      reading.errors[0].message,
      "\"wall\" in [part.a] must be less than half the height of station 1 (0.75); found 0.8");
}

TEST(Order, OfPartsIsThatOfTheFileNotTheAlphabets) {
  std::string text = kShortest;
  text += std::string(kShortest).substr(std::string(kShortest).find("[part"));
  text.replace(text.rfind("[part.post]"), 11, "[part.arch]");
  const Job job = Good(text);
  ASSERT_EQ(job.parts.size(), 2u);
  EXPECT_EQ(job.parts[0].name, "post");
  EXPECT_EQ(job.parts[1].name, "arch");
}

TEST(Stations, OfARoundPartMayBePlacesOrTablesWithADiameter) {
  std::string text = kShortest;
  const auto from = text.find("from");
  const auto stations =
      "stations = [[0, 300, 200], { centre = [0, 400, 210], diameter = 44 }, [0, 500, 200]]\n";
  text.replace(from, text.find("start") - from, stations);
  const Job job = Good(text);
  ASSERT_EQ(job.parts[0].stations.size(), 3u);
  EXPECT_EQ(job.parts[0].stations[0].diameter, 40.0);
  EXPECT_EQ(job.parts[0].stations[1].diameter, 44.0);
}

TEST(Numbers, MayBeWholeWhereFractionsAreExpected) {
  EXPECT_EQ(Good(kShortest).parts[0].wall, 2.0);
}

}  // namespace
}  // namespace holeward
