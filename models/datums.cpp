#include "models/datums.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "geometry/fitting_spread.h"
#include "models/part_words.h"
#include "models/solid_file.h"

namespace holeward {
namespace {

// Nearer to the centre plane than this, outboard is what it is on the described side, mm.
constexpr double kOnCentrePlane = 0.5;

const std::vector<DatumRow> kNoDatums;

int FlatAt(const Skin& skin, double v) {
  const int piece = skin.PieceOf(v);
  return skin.KindOf(piece) == PieceKind::flat ? piece : -1;
}

Datum EndDatum(const Skin& skin, const std::string& name, bool finish, const Face* face) {
  Datum d;
  d.kind = Datum::Kind::end;
  d.name = name;
  d.place = {finish ? skin.u_end() : 0.0, face ? face->piece + 0.5 : 0.0};
  return d;
}

Datum EdgeDatum(const Skin& skin, const Face& face, const std::string& name, bool upper) {
  const FlatCorners ends = CornersOf(skin, face.piece);
  Datum d;
  d.kind = Datum::Kind::edge;
  d.name = name;
  d.flat = face.piece;
  d.corner = upper ? ends.upper : ends.lower;
  // The tangent line, a hair inside the flat where it is a place of that piece.
  d.line.v = upper ? face.piece + 1.0 : face.piece;
  d.place = {0.5 * skin.u_end(), face.piece + 0.5};
  return d;
}

Datum FittingDatum(const Skin& skin, const Fitting& fitting, bool to_centre) {
  Datum d;
  d.name = fitting.name;
  d.place = fitting.centre;
  d.flat = fitting.shape == FittingShape::eye ? -1 : FlatAt(skin, fitting.centre.v);
  d.line = LineThrough(skin, fitting.centre);
  const bool outlined =
      fitting.shape == FittingShape::block || (fitting.shape == FittingShape::hole && !to_centre);
  d.kind = outlined ? Datum::Kind::outline : Datum::Kind::centre;
  d.spread = MovedAtMost(skin, fitting, 0.0);
  if (!outlined) return d;
  if (fitting.footprint.disc || fitting.shape == FittingShape::hole) {
    const double radius =
        fitting.footprint.disc ? fitting.footprint.radius : 0.5 * fitting.diameter;
    d.u_from = WalkAlong(skin, fitting.centre, -radius);
    d.u_to = WalkAlong(skin, fitting.centre, radius);
    d.around_half = radius;
  } else {
    d.u_from = fitting.footprint.u_from;
    d.u_to = fitting.footprint.u_to;
    d.around_half = 0.5 * fitting.footprint.around;
  }
  return d;
}

Datum NamedDatum(const Skin& skin, const NamedPlace& named, const Face* face) {
  Datum d;
  d.name = named.name;
  d.spread = named.off;
  d.place = named.place;
  if (named.form == NamedPlace::Form::section) {
    d.kind = Datum::Kind::end;
    d.place.v = face ? face->piece + 0.5 : 0.0;
    return d;
  }
  d.flat = FlatAt(skin, named.place.v);
  d.line = LineThrough(skin, named.place);
  d.kind = Datum::Kind::centre;
  if (named.form == NamedPlace::Form::place) return d;
  d.kind = Datum::Kind::line;
  d.place = {0.5 * skin.u_end(), VOfLine(skin, d.line, 0.5 * skin.u_end())};
  return d;
}

Datum PointDatum(const Skin& skin, const PlacedPoint& point) {
  Datum d;
  d.kind = Datum::Kind::point;
  d.name = point.name;
  d.place = point.place;
  d.flat = FlatAt(skin, point.place.v);
  d.line = LineThrough(skin, point.place);
  d.spread = MarkSpread(point);
  return d;
}

}  // namespace

const char* Word(Method method) {
  switch (method) {
    case Method::tape: return "tape";
    case Method::rule: return "rule";
    case Method::square: return "square";
    case Method::protractor: return "protractor";
    case Method::middle: return "middle";
    case Method::in_line: return "in line";
    case Method::line: return "line";
  }
  return "";
}

const PartRow* RowOf(const Job& job, const std::string& part) {
  const auto row = std::find_if(job.parts.begin(), job.parts.end(),
                                [&](const PartRow& p) { return p.name == part; });
  return row == job.parts.end() ? nullptr : &*row;
}

Result<Datum> DatumByName(const DatumScope& scope, const std::string& name, bool to_centre) {
  const Part& part = *scope.part;
  const Skin& skin = *part.skin;
  if (name == part.start) return EndDatum(skin, name, false, scope.face);
  if (name == part.finish) return EndDatum(skin, name, true, scope.face);
  for (const Fitting& fitting : part.fittings) {
    if (fitting.name == name && !fitting.mirrored) return FittingDatum(skin, fitting, to_centre);
  }
  for (const DatumRow& row : scope.row != nullptr ? DatumsOf(*scope.row) : kNoDatums) {
    if (row.place.name == name) return NamedDatum(skin, row.place, scope.face);
  }
  for (const NamedLine& line : part.lines) {
    if (line.name != name) continue;
    Datum d;
    d.kind = Datum::Kind::line;
    d.name = name;
    d.place = {0.5 * skin.u_end(), line.v};
    d.line.v = line.v;
    return d;
  }
  if (scope.face && name == scope.face->first_edge)
    return EdgeDatum(skin, *scope.face, name, false);
  if (scope.face && name == scope.face->second_edge)
    return EdgeDatum(skin, *scope.face, name, true);
  if (scope.face && name == "middle") {
    Datum d;
    d.kind = Datum::Kind::line;
    d.name = name;
    d.flat = scope.face->piece;
    d.line = SkinLine{scope.face->piece + 0.5, scope.face->piece, 0.5, 0.0};
    d.place = {0.5 * skin.u_end(), VOfLine(skin, d.line, 0.5 * skin.u_end())};
    return d;
  }
  if (scope.earlier) {
    for (const PlacedPoint& point : *scope.earlier) {
      if (point.name == name && point.part == part.name) return PointDatum(skin, point);
    }
  }
  const std::string where = scope.face
                                ? fmt::format("the {} of part \"{}\"", scope.face->name, part.name)
                                : fmt::format("part \"{}\"", part.name);
  return Fail(ErrorKind::job, fmt::format("\"{}\" is not a datum of {}", name, where));
}

Result<Toward> TowardFrom(const DatumScope& scope, const std::string& word, const Datum& datum) {
  Toward toward;
  toward.word = word;
  if (word == scope.part->start || word == scope.part->finish) {
    toward.end = word == scope.part->start ? -1 : 1;
    return toward;
  }
  const double y = scope.part->skin->At(datum.place).position.y();
  const bool left = std::abs(y) < kOnCentrePlane ? scope.outboard_y > 0.0 : y > 0.0;
  const auto direction = DirectionOf(word, left ? Side::left : Side::right);
  if (!direction) {
    return Fail(ErrorKind::job,
                fmt::format("\"{}\" is neither a direction nor an end of part \"{}\"", word,
                            scope.part->name));
  }
  toward.direction = *direction;
  return toward;
}

std::vector<ReadingWay> WaysToRead(const DatumScope& scope, const MeasureRow& row) {
  const bool distance =
      row.method == Method::tape || row.method == Method::rule || row.method == Method::square;
  if (!distance) return {{row.method, row.edge != EdgeReading::tangent}};
  std::vector<bool> readings{row.edge != EdgeReading::tangent};
  const auto datum = DatumByName(scope, row.from.front(), row.to_centre);
  const bool edge = datum && datum->kind == Datum::Kind::edge;
  // A lip has no corner: both readings of it are one.
  const bool two =
      edge && row.edge == EdgeReading::unstated &&
      scope.part->skin->SetBackAt(0.5 * scope.part->skin->u_end(), datum->corner) > 0.0;
  if (two) readings.push_back(false);
  std::vector<Method> methods{row.method};
  for (const Method method : {Method::tape, Method::rule, Method::square}) {
    if (method != row.method) methods.push_back(method);
  }
  std::vector<ReadingWay> ways;
  for (const bool sharp : readings) {
    for (const Method method : methods) ways.push_back({method, sharp});
  }
  return ways;
}

}  // namespace holeward
