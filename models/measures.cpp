// Builds the two measures of a rule of placement from the job's words.
#include <cmath>

#include <fmt/format.h>

#include "models/datums.h"

namespace holeward {
namespace {

// One measure being built: what it looks up and how it is read.
struct Wish {
  const DatumScope& scope;
  const MeasureRow& row;
  const MeasureRow& other;
  const Marking& marking;
  ReadingWay way;
};

HalfWidth HalfWidthOf(const Marking& marking, Method method) {
  switch (method) {
    case Method::tape: return marking.tape;
    case Method::rule: return marking.rule;
    case Method::square: return marking.square;
    case Method::protractor: return marking.protractor_rad;
    case Method::middle: return marking.middle;
    case Method::in_line: return marking.in_line;
    case Method::line: return marking.line;
  }
  return marking.tape;
}

// The point a measure is read from widens its zone; so does a fitting that readings place.
void NoteDatum(Measure& measure, const Datum& datum) {
  const bool exact = datum.spread && *datum.spread == 0.0;
  if (datum.kind != Datum::Kind::point && exact) return;
  const bool known = measure.datum_spread && datum.spread;
  measure.datum_spread =
      known ? std::optional(std::max(*measure.datum_spread, *datum.spread)) : std::nullopt;
  measure.datum_point =
      measure.datum_point.empty() ? datum.name : measure.datum_point + "+" + datum.name;
}

// Whether two datums are apart along the part or around it.
Result<Run> RunBetween(const Skin& skin, const Datum& a, const Datum& b) {
  auto fixed = [](const Datum& d) -> std::optional<Run> {
    if (d.kind == Datum::Kind::end) return Run::along;
    if (d.kind == Datum::Kind::edge || d.kind == Datum::Kind::line) return Run::around;
    return std::nullopt;
  };
  const auto run_a = fixed(a);
  const auto run_b = fixed(b);
  if (run_a && run_b && *run_a != *run_b) {
    return Fail(ErrorKind::job, fmt::format("there is no middle between \"{}\" and \"{}\": one is "
                                            "read along the part, the other around it",
                                            a.name, b.name));
  }
  if (run_a) return *run_a;
  if (run_b) return *run_b;
  const Vec3 chord = skin.At(b.place).position - skin.At(a.place).position;
  if (!(chord.norm() > 1e-6)) {
    return Fail(ErrorKind::job,
                fmt::format("\"{}\" and \"{}\" lie at the same place", a.name, b.name));
  }
  return RunOf(skin, a, Toward{fmt::format("the way to {}", b.name), chord.normalized(), 0});
}

// Whether the other measure of the rule fixes the place along the part or around it.
Result<Run> RunOfRow(const DatumScope& scope, const MeasureRow& row) {
  const Skin& skin = *scope.part->skin;
  switch (row.method) {
    case Method::protractor:
    case Method::line: return Run::around;
    case Method::in_line: {
      const auto datum = DatumByName(scope, row.from.front());
      if (datum && datum->kind == Datum::Kind::end) return Run::along;
      return Fail(ErrorKind::job,
                  "two measures in line do not say which of them is the station; "
                  "give one of them as a reading with a value");
    }
    case Method::middle: {
      if (row.across_face) return Run::around;
      const auto a = DatumByName(scope, row.from.front());
      const auto b = DatumByName(scope, row.from.back());
      if (!a) return tl::unexpected(a.error());
      if (!b) return tl::unexpected(b.error());
      return RunBetween(skin, *a, *b);
    }
    case Method::tape:
    case Method::rule:
    case Method::square: break;
  }
  const auto datum = DatumByName(scope, row.from.front(), row.to_centre);
  if (!datum) return tl::unexpected(datum.error());
  if (datum->kind == Datum::Kind::end) return Run::along;
  if (datum->kind == Datum::Kind::edge || datum->kind == Datum::Kind::line) return Run::around;
  const auto toward = TowardFrom(scope, row.toward.value_or(""), *datum);
  if (!toward) return tl::unexpected(toward.error());
  return RunOf(skin, *datum, *toward);
}

bool HasNoLine(const DatumScope& scope, const std::string& name) {
  for (const Fitting& fitting : scope.part->fittings) {
    if (fitting.name == name) return fitting.shape == FittingShape::eye && fitting.face.empty();
  }
  return false;
}

tl::unexpected<Error> NoLine(const std::string& name) {
  return Fail(ErrorKind::job, fmt::format("\"{}\" goes across the part and has no line along it to "
                                          "measure around from",
                                          name));
}

Result<Measure> Distance(const Wish& wish) {
  const DatumScope& scope = wish.scope;
  const Skin& skin = *scope.part->skin;
  const auto datum = DatumByName(scope, wish.row.from.front(), wish.row.to_centre);
  if (!datum) return tl::unexpected(datum.error());
  const auto toward = TowardFrom(scope, wish.row.toward.value_or(""), *datum);
  if (!toward) return tl::unexpected(toward.error());
  const auto run = RunOf(skin, *datum, *toward);
  if (!run) return tl::unexpected(run.error());
  if (*run == Run::around && HasNoLine(scope, datum->name)) return NoLine(datum->name);
  const auto origin =
      OriginOf(skin, *datum, OriginWish{*run, toward->direction, toward->end, wish.way.sharp});
  if (!origin) return tl::unexpected(origin.error());

  Measure m;
  m.origin = *origin;
  m.value = wish.row.value;
  m.toward = *toward;
  m.method = Word(wish.way.method);
  m.from = datum->name;
  NoteDatum(m, *datum);
  switch (wish.way.method) {
    case Method::rule: m.form = Measure::Form::rule; break;
    case Method::square:
      m.form = Measure::Form::square;
      // Off a point a square reads from the section's plane, or from the line along the part.
      if (m.origin.kind == Origin::Kind::place) {
        m.origin.kind = *run == Run::along ? Origin::Kind::section : Origin::Kind::line;
      }
      break;
    default: m.form = Measure::Form::tape; break;
  }
  return m;
}

Result<Measure> Protractor(const Wish& wish) {
  const auto datum = DatumByName(wish.scope, wish.row.from.front());
  if (!datum) return tl::unexpected(datum.error());
  const Skin& skin = *wish.scope.part->skin;
  const auto toward = TowardFrom(wish.scope, wish.row.toward.value_or(""), *datum);
  if (!toward) return tl::unexpected(toward.error());
  Measure m;
  m.form = Measure::Form::angle;
  m.method = Word(Method::protractor);
  m.from = datum->name;
  m.value = wish.row.value;
  m.angle_from = skin.OutlineAt(datum->place.u, datum->place.v).normalized();
  const SectionFrame frame = skin.FrameAt(datum->place.u);
  const Vec2 way(toward->direction.dot(frame.a), toward->direction.dot(frame.b));
  const double turn = m.angle_from.x() * way.y() - m.angle_from.y() * way.x();
  if (toward->end != 0 || std::abs(turn) < 0.05) {
    return Fail(ErrorKind::job, fmt::format("toward = \"{}\" does not say which way to turn from "
                                            "\"{}\"",
                                            toward->word, datum->name));
  }
  m.sense = turn > 0.0 ? 1.0 : -1.0;
  return m;
}

Result<Measure> Middle(const Wish& wish) {
  const DatumScope& scope = wish.scope;
  const Skin& skin = *scope.part->skin;
  const auto first = DatumByName(scope, wish.row.from.front());
  if (!first) return tl::unexpected(first.error());
  const auto second = DatumByName(scope, wish.row.from.back());
  if (!second) return tl::unexpected(second.error());
  const auto run = RunBetween(skin, *first, *second);
  if (!run) return tl::unexpected(run.error());
  for (const auto* datum : {&*first, &*second}) {
    if (*run == Run::around && HasNoLine(scope, datum->name)) return NoLine(datum->name);
  }
  const Vec3 chord = skin.At({0.5 * skin.u_end(), second->place.v}).position -
                     skin.At({0.5 * skin.u_end(), first->place.v}).position;
  // An edge's own place lies in the middle of its flat; where it runs is at its corner.
  auto spot = [&](const Datum& d) {
    const double u = *run == Run::along ? d.place.u : 0.5 * skin.u_end();
    return d.kind == Datum::Kind::edge ? skin.SharpCornerAt(u, d.corner)
                                       : skin.At(u, d.place.v).position;
  };
  Vec3 way = spot(*second) - spot(*first);
  if (!(way.norm() > 1e-6)) way = chord;
  const bool edge_sharp = wish.way.sharp;
  Toward toward{fmt::format("the way to {}", second->name), way.normalized(), 0};
  if (*run == Run::along) toward.end = second->place.u > first->place.u ? 1 : -1;
  const auto a = OriginOf(skin, *first, OriginWish{*run, toward.direction, toward.end, edge_sharp});
  if (!a) return tl::unexpected(a.error());
  const auto b =
      OriginOf(skin, *second, OriginWish{*run, -toward.direction, -toward.end, edge_sharp});
  if (!b) return tl::unexpected(b.error());
  Measure m;
  m.form = Measure::Form::middle;
  m.origin = *a;
  m.second = *b;
  m.fraction = wish.row.fraction;
  m.toward = toward;
  m.method = Word(Method::middle);
  m.from = fmt::format("{} / {}", first->name, second->name);
  NoteDatum(m, *first);
  NoteDatum(m, *second);
  return m;
}

// A fraction across a face counts from its bottom, rear or inboard edge.
Measure AcrossFace(const Wish& wish) {
  const Skin& skin = *wish.scope.part->skin;
  const int flat = wish.scope.face->piece;
  const FlatCorners ends = CornersOf(skin, flat);
  const double u = 0.5 * skin.u_end();
  const Vec2 way = skin.VertexAt(u, ends.upper) - skin.VertexAt(u, ends.lower);
  const double leading = std::abs(way.x()) > std::abs(way.y()) ? way.x() : way.y();
  Measure m;
  m.form = Measure::Form::across;
  m.origin.kind = Origin::Kind::line;
  m.origin.line = SkinLine{flat + 0.5, flat, wish.row.fraction, 0.0};
  if (leading < 0.0) m.origin.line.fraction = 1.0 - wish.row.fraction;
  m.method = Word(Method::middle);
  m.from = "face";
  return m;
}

Result<Measure> Line(const Wish& wish) {
  const auto datum = DatumByName(wish.scope, wish.row.line);
  if (!datum) return tl::unexpected(datum.error());
  Measure m;
  m.form = Measure::Form::across;
  m.origin.kind = Origin::Kind::line;
  m.origin.line = datum->line;
  m.method = Word(Method::line);
  m.from = datum->name;
  return m;
}

Result<Measure> InLine(const Wish& wish) {
  const auto datum = DatumByName(wish.scope, wish.row.from.front(), true);
  if (!datum) return tl::unexpected(datum.error());
  Measure m;
  m.method = Word(Method::in_line);
  m.from = datum->name;
  m.origin.place = datum->place;
  NoteDatum(m, *datum);
  bool station = datum->kind == Datum::Kind::end;
  if (!station) {
    const auto other = RunOfRow(wish.scope, wish.other);
    if (!other) return tl::unexpected(other.error());
    station = *other == Run::around;
  }
  if (station) {
    m.form = Measure::Form::station;
    m.origin.kind = Origin::Kind::section;
    return m;
  }
  if (HasNoLine(wish.scope, datum->name)) return NoLine(datum->name);
  if (wish.scope.face && datum->flat != wish.scope.face->piece) {
    return Fail(ErrorKind::job,
                fmt::format("in line with \"{}\" along the part means the same share of the way "
                            "across the face, but \"{}\" is not on the {}",
                            datum->name, datum->name, wish.scope.face->name));
  }
  m.form = Measure::Form::across;
  m.origin.kind = Origin::Kind::line;
  m.origin.line = datum->line;
  return m;
}

Result<Measure> MeasureOf(const Wish& wish) {
  switch (wish.row.method) {
    case Method::tape:
    case Method::rule:
    case Method::square: return Distance(wish);
    case Method::protractor: return Protractor(wish);
    case Method::middle: {
      if (!wish.row.across_face) return Middle(wish);
      if (wish.scope.face) return AcrossFace(wish);
      return Fail(ErrorKind::job, "a round part has no face to be in the middle of");
    }
    case Method::in_line: return InLine(wish);
    case Method::line: return Line(wish);
  }
  return Fail(ErrorKind::job, "no method");
}

}  // namespace

tl::expected<Rule, RuleFault> RuleOf(const DatumScope& scope, const PointRow& point,
                                     const Marking& marking,
                                     const std::array<ReadingWay, 2>& ways) {
  Rule rule;
  rule.flat = scope.face ? scope.face->piece : -1;
  for (std::size_t i = 0; i < 2; ++i) {
    auto measure = MeasureOf(Wish{scope, point.rule[i], point.rule[1 - i], marking, ways[i]});
    if (!measure) return tl::unexpected(RuleFault{i, measure.error().message});
    measure->half_width = HalfWidthOf(marking, ways[i].method);
    rule.measures[i] = std::move(*measure);
  }
  return rule;
}

}  // namespace holeward
