// A made-up shop job: an arm with two holes and a test point, on both sides.
#pragma once

#include <string>
#include <utility>

#include "export/shop_input.h"

namespace holeward::testing_tools {

inline ShopStage Stage(int number, double diameter, std::optional<double> stop,
                       double projection = 60.0) {
  ShopStage stage;
  stage.check.stage = number;
  stage.check.diameter = diameter;
  stage.check.stop = stop;
  stage.check.stop_from = stop ? StopFrom::job : StopFrom::none;
  stage.check.verdict = Verdict::clear;
  stage.projection = projection;
  return stage;
}

inline ShopPoint Hole(const std::string& name, double pilot_stop, double final_stop) {
  ShopPoint point;
  point.name = name;
  point.use = PointUse::drill;
  point.part = "arm";
  point.face = "outboard";
  point.rule =
      "58 mm by tape along the skin from damper bracket, toward rear; half way across the "
      "face";
  point.wall = 2.9;
  point.ties = {{"A1", 94.6, 5.7}};
  point.stages = {Stage(1, 3.5, pilot_stop), Stage(2, 8.0, final_stop)};
  point.probe = {ShopProbe::Kind::depth, 24.3};
  point.during = "access";
  point.after = "plug";
  point.verdict = Verdict::clear;
  return point;
}

inline ShopPoint TestPoint(const std::string& name) {
  ShopPoint point;
  point.name = name;
  point.use = PointUse::test;
  point.part = "arm";
  point.face = "underside";
  point.rule = "84 mm by tape along the skin from pivot eye, toward rear; half way across the face";
  point.wall = 2.9;
  point.verdict = Verdict::clear;
  return point;
}

inline ShopInput Shop() {
  ShopInput input;
  input.facts.head.title = "Trailing arm";
  input.facts.head.set_number = "HW-0107";
  input.facts.head.set_revision = "C";
  input.facts.head.hash = "2222c1e8-0.1.0";
  input.facts.head.program = "holeward 0.1.0";
  input.facts.date = "2026-11-25";
  input.facts.limits = "clearance 6.0 mm, side 1.0 mm";
  input.facts.released = true;
  input.posture = "on a two-post lift, wheels hanging";
  input.methods = {Method::tape, Method::middle, Method::protractor};
  input.inner_bodies = {"torsion bar"};
  input.neighbours = {"brake hose"};
  for (const Side side : {Side::left, Side::right}) {
    ShopSide one;
    one.side = side;
    one.points = {TestPoint("A1"), Hole("A3", 6.5, 8.0), Hole("A4", 7.0, 9.5)};
    one.points.back().after = "sealant";
    one.templates = {{"arm outboard", "arm", {"A1", "A3", "A4"}, {"front end", "bottom edge"}}};
    input.sides.push_back(std::move(one));
  }
  return input;
}

}  // namespace holeward::testing_tools
