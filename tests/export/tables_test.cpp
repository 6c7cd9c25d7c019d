#include "export/tables.h"

#include <cmath>

#include <gtest/gtest.h>

namespace holeward {
namespace {

PointOut SomePoint() {
  PointOut row;
  row.side = Side::right;
  row.use = PointUse::test;
  row.point.name = "P1";
  row.point.part = "arm";
  row.point.face = "rear";
  row.point.position = {-101.25, -302.5, 310.0004};
  row.point.normal = {-1, 0, 0};
  row.point.station = 95.0;
  row.point.girth = -0.0001;
  return row;
}

HoleOut SomeHole() {
  HoleOut row;
  row.check.point = "D1";
  row.check.part = "arm";
  row.check.stage = 2;
  row.check.diameter = 8.5;
  row.check.near_wall = 2.6;
  row.check.breakthrough = 5.15;
  row.check.breakthrough_worst = 6.25;
  row.check.outcome = Outcome::met;
  row.check.free_depth = 40.5;
  row.check.first_contact = FirstContact{"torsion bar", {1, 2, 3}};
  row.check.stop = 9.5;
  row.check.stop_from = StopFrom::proposed;
  row.check.through = true;
  row.check.margin = 31.0;
  row.check.margin_worst = 24.25;
  row.check.access = 12.0;
  row.check.verdict = Verdict::clear;
  return row;
}

TEST(Csv, QuotesWhatRfc4180Quotes) {
  // RFC 4180, section 2, rules 5 to 7.
  EXPECT_EQ(CsvField("plain"), "plain");
  EXPECT_EQ(CsvField("a,b"), "\"a,b\"");
  EXPECT_EQ(CsvField("say \"P1\""), "\"say \"\"P1\"\"\"");
  EXPECT_EQ(CsvField("two\r\nlines"), "\"two\r\nlines\"");
  EXPECT_EQ(CsvField("Träger ⌀9"), "Träger ⌀9");
}

TEST(Csv, PointsHaveUnitsInTheirHeaderAndFixedDecimals) {
  const std::string csv = *PointsCsv({SomePoint()});
  EXPECT_EQ(csv,
            "name,side,part,face,use,x_mm,y_mm,z_mm,normal_x,normal_y,normal_z,station_mm,girth_mm,"
            "zone_major_mm,zone_minor_mm,conditioning,reading_spread_mm\r\n"
            "P1,right,arm,rear,test,-101.250,-302.500,310.000,-1.000000,0.000000,0.000000,95.000,"
            "0.000,0.000,0.000,0.000,0.000\r\n");
}

TEST(Csv, HolesLeaveEmptyWhatDoesNotExist) {
  HoleOut free = SomeHole();
  free.check.point = "D2, rear";
  free.check.outcome = Outcome::nothing;
  free.check.free_depth.reset();
  free.check.first_contact.reset();
  free.check.margin.reset();
  free.check.margin_worst.reset();
  free.check.stop.reset();
  free.check.stop_from = StopFrom::none;
  const std::string csv = *HolesCsv({SomeHole(), free});
  EXPECT_NE(csv.find("\r\nD1,left,arm,2,8.500,2.600,5.150,6.250,met,40.500,torsion bar,9.500,"
                     "proposed,yes,31.000,24.250,12.000,clear\r\n"),
            std::string::npos);
  EXPECT_NE(csv.find("\r\n\"D2, rear\",left,arm,2,8.500,2.600,5.150,6.250,nothing,,,,none,yes,,,"
                     "12.000,clear\r\n"),
            std::string::npos);
}

TEST(Csv, RefusesWhatIsNotANumber) {
  PointOut point = SomePoint();
  point.point.station = std::nan("");
  const Result<std::string> csv = PointsCsv({SomePoint(), point});
  ASSERT_FALSE(csv);
  EXPECT_EQ(csv.error().message, "point \"P1\": station_mm is not a number");
  HoleOut hole = SomeHole();
  hole.check.access = INFINITY;
  ASSERT_FALSE(HolesCsv({hole}));
  EXPECT_EQ(HolesCsv({hole}).error().message, "hole \"D1\": access_mm is not a number");
}

}  // namespace
}  // namespace holeward
