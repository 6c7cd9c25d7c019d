// A made-up report: a tube with a bar inside, drilled from above, and a box.
#pragma once

#include <cmath>
#include <string>
#include <vector>

#include "export/clearance_input.h"

namespace holeward::testing_tools {

inline std::vector<Vec2> Ring(const Vec2& centre, double radius, int count = 180) {
  std::vector<Vec2> ring;
  for (int i = 0; i < count; ++i) {
    const double t = 2.0 * kPi * i / count;
    ring.emplace_back(centre + radius * Vec2(std::cos(t), std::sin(t)));
  }
  return ring;
}

/// A twist drill of 118 degrees whose tip stands at `tip`, leaning by `lean_rad`.
inline std::vector<Vec2> TwistOutline(double diameter, const Vec2& tip, double lean_rad = 0.0) {
  const double r = diameter / 2.0;
  const double cone = r / std::tan(59.0 * kDegree);
  std::vector<Vec2> out;
  for (const Vec2& p : {Vec2(0, 0), Vec2(r, cone), Vec2(r, 120), Vec2(-r, 120), Vec2(-r, cone)}) {
    out.push_back(tip + Eigen::Rotation2Dd(lean_rad) * p);
  }
  return out;
}

/// A hole of `diameter` through the wall (3.5) of a tube ⌀89 with a bar ⌀24 inside.
inline ClearanceHole TubeHole(double diameter, double stop) {
  ClearanceHole hole;
  HoleCheck& c = hole.check;
  c.point = "T3";
  c.part = "tube";
  c.stage = 2;
  c.diameter = diameter;
  c.near_wall = 3.5;
  c.breakthrough = 3.5 + diameter / 2.0 / std::tan(59.0 * kDegree) + 0.2;
  c.breakthrough_worst = c.breakthrough + 1.0;
  c.outcome = Outcome::met;
  c.free_depth = 33.7;
  c.first_contact = FirstContact{"torsion bar", Vec3(1, 2, 3)};
  c.stop = stop;
  c.stop_from = StopFrom::job;
  c.through = true;
  c.margin = 33.7 - stop;
  c.margin_worst = 28.2 - stop;
  c.access = 50.0;
  c.verdict = Verdict::clear;
  hole.sides = {Side::left, Side::right};
  hole.stages = 2;
  SectionPicture picture;
  picture.plane = "square to the centre line of the tube at station 650";
  const Vec2 centre(0.0, -44.5);
  const Vec2 bar(3.0, -44.5 - 1.2);
  picture.regions.push_back({"tube",
                             SheetRegionKind::wall,
                             {{Ring(centre, 44.5), {}}, {Ring(centre, 41.0), {}}},
                             centre});
  picture.regions.push_back({"torsion bar", SheetRegionKind::inner, {{Ring(bar, 12.0), {}}}, bar});
  picture.regions.push_back({"lever bracket",
                             SheetRegionKind::fitting,
                             {{{{-30, -93}, {30, -93}, {30, -89}, {-30, -89}}, {}}},
                             {}});
  picture.drill_set = {{TwistOutline(diameter, {0.0, -stop}), {}}};
  picture.drill_contact = {{TwistOutline(diameter, {0.0, -33.7}), {}}};
  picture.drill_worst = {{TwistOutline(diameter, {2.0, -30.0}, 4.0 * kDegree), {}}};
  picture.set_depth = stop;
  picture.ways = {SectionWay{Vec2(1.0, 0.0), "FRONT"}, SectionWay{Vec2(0.0, -1.0), "UP"}};
  hole.section = picture;
  ChanceChart chance;
  chance.about = "1 000 000 poses, every error even over its half-width (rectangular), seed 1.";
  double sum = 0.0;
  for (int i = 0; i < 40; ++i) {
    const double x = (i - 19.5) / 9.0;
    chance.bins.push_back({28.2 - stop + 0.25 * i, 28.45 - stop + 0.25 * i, std::exp(-x * x / 2)});
    sum += chance.bins.back().share;
  }
  for (ChartBin& bin : chance.bins) bin.share /= sum;
  chance.probability = 0.0;
  chance.upper_95 = 3e-6;
  for (const double q : {0.001, 0.01, 0.5}) chance.quantiles.push_back({q, 28.2 - stop + 10.0 * q});
  hole.chance = chance;
  hole.shares = {{"tilt", 1.62, 0.41},        {"inner body", 2.0, 0.33}, {"wall", 0.2, 0.02},
                 {"depth", 0.5, 0.10},        {"outline", 0.5, 0.05},    {"protractor", 0.31, 0.05},
                 {"in line", 0.02, 0.0},      {"punch", 0.1, 0.01},      {"template", 0.12, 0.01},
                 {"reading spread", 0.0, 0.0}};
  hole.margin_worst_upper = 28.22 - stop;
  hole.probe_depth = 30.2;
  FigureTable section;
  section.heading = "Section at the hole";
  section.before_after = true;
  section.rows = {{"area, mm²", "940.0", "912.1"},
                  {"second moment about the axis square to the drill, mm⁴", "861 000", "812 000"},
                  {"torsion constant, mm⁴", "1 722 000", "-"}};
  section.notes = {
      "Figures and no verdict: strength is released by a named engineer or not at all."};
  FigureTable round;
  round.heading = "Round the hole, mm";
  round.rows = {{"edge distance over the zone", "57.1", ""}};
  hole.tables = {section, round};
  hole.advice = {"A stop between 8.5 and 22.0 keeps the limit in every case and goes through.",
                 "A spacer tube as a stop: 50.0 mm long."};
  return hole;
}

inline ClearanceReportInput ReportInput(const std::vector<ClearanceHole>& holes) {
  ClearanceReportInput input;
  input.head.title = "Trailing arm and cross tube";
  input.head.set_number = "HW-0107";
  input.head.set_revision = "A";
  input.head.hash = "2222c1e8-0.1.0";
  input.head.program = "holeward 0.1.0";
  input.date = "2026-11-25";
  input.posture = "on a two-post lift, wheels hanging";
  input.limits = "clearance 6.0 mm, side 1.0 mm";
  input.basics.limits.clearance = 6.0;
  input.basics.zeroed = {"punch"};
  input.holes = holes;
  PointCheckOut point;
  point.check.point = "T3";
  point.check.verdict = Verdict::clear;
  point.check.edge_distance = 58.4;
  point.check.nearest_edge = "lever bracket";
  input.points = {point};
  input.bases = {{"tube, wall 3.5 mm", "measured"}, {"torsion bar in tube", "drawn"}};
  input.overall = Verdict::clear;
  input.released = true;
  input.not_checked = {"The condition of the metal."};
  return input;
}

}  // namespace holeward::testing_tools
