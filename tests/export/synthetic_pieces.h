// Pieces and inputs made up for the tests of the templates.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "export/template_sheet.h"

namespace holeward::testing_tools {

inline FlatLine Line(FlatLineKind kind, std::vector<Vec2> points, bool closed = false,
                     std::string words = "") {
  FlatLine line;
  line.kind = kind;
  line.points = std::move(points);
  line.closed = closed;
  line.words = Phrase("{}", {words});
  return line;
}

inline FlatMark Mark(std::string name, const Vec2& at, std::vector<double> diameters,
                     bool test = false) {
  FlatMark mark;
  mark.name = std::move(name);
  mark.at = at;
  mark.diameters = std::move(diameters);
  mark.test = test;
  return mark;
}

/// A flat rectangle with its lower left corner at the origin, an alignment line below and a fold.
inline DevelopedPiece Rectangle(const std::string& name, double width, double height) {
  DevelopedPiece piece;
  piece.name = name;
  piece.lines = {Line(FlatLineKind::cut, {{0, 0}, {width, 0}, {width, height}, {0, height}}, true),
                 Line(FlatLineKind::align, {{0, 0}, {width, 0}}, false, "lay on: bottom edge"),
                 Line(FlatLineKind::fold, {{0, height - 5}, {width, height - 5}})};
  piece.front = Vec2::UnitX();
  piece.up = Vec2::UnitY();
  return piece;
}

/// The flat rectangle 120 x 45 with one mark of each use.
inline DevelopedPiece FlatPiece() {
  DevelopedPiece piece = Rectangle("rear", 120, 45);
  piece.marks = {Mark("D1", {33.25, 21.75}, {3.5, 8.5}), Mark("P1", {82, 24}, {3.0}, true),
                 Mark("K", {106.5, 17.125}, {})};
  return piece;
}

/// A tube of 76 mm wrapped once: 239 mm round, 300 mm along; larger than an A4 page.
inline DevelopedPiece TubeWrap() {
  DevelopedPiece piece = Rectangle("tube", 300, 239);
  piece.front = Vec2::UnitY();
  piece.up = Vec2::Zero();
  piece.lines.push_back(Line(FlatLineKind::butt, {{0, 239}, {300, 239}}, false, "butt"));
  piece.marks = {Mark("D1", {100, 120}, {3.5, 8.5}), Mark("D2", {40.5, 201}, {3.5, 8.5}),
                 Mark("P3", {181.25, 161}, {3.0}, true), Mark("K", {151, 119}, {}),
                 Mark("D3", {270, 20}, {3.5, 8.5})};
  return piece;
}

inline TemplateSheetInput Input(std::vector<DevelopedPiece> pieces) {
  TemplateSheetInput input;
  input.job_title = "Curved arm and cross tube, utility van";
  input.set_number = "HW-0107";
  input.set_revision = "C";
  input.date = "2026-11-25";
  input.hash = "5d20e7aa";
  input.program = "Holeward 0.1.0";
  input.part = "arm";
  input.template_name = "arm rear";
  input.posture = "level on a two-post lift";
  input.limits = "clearance 5.0 mm, side 1.0 mm";
  input.pieces = std::move(pieces);
  MarkNote note;
  note.point = "D1";
  note.stages = {{3.5, 7.5, StopFrom::job}, {8.5, 9.5, StopFrom::proposed}};
  note.verdict = Verdict::clear;
  input.notes = {note};
  input.released = true;
  return input;
}

}  // namespace holeward::testing_tools
