// Where Newton starts from: cells of a grid on the skin in which cheap stand-ins of both readings
// can vanish together.
#include <algorithm>
#include <cmath>

#include "geometry/place.h"

namespace holeward {
namespace {

constexpr int kFewestRows = 25;
constexpr int kMostRows = 61;
constexpr double kRowLength = 12.0;  // mm
constexpr int kFlatColumns = 5;
constexpr int kCornerColumns = 2;
constexpr int kRoundColumns = 6;       // a quarter turn
constexpr double kColumnWidth = 16.0;  // mm: a wider piece has more columns

// Stands for "not near", mm.
constexpr double kFar = 1e9;

double Cross(const Vec2& a, const Vec2& b) { return a.x() * b.y() - a.y() * b.x(); }

int ColumnsOf(const Skin& s, int piece) {
  if (s.KindOf(piece) == PieceKind::corner) return kCornerColumns;
  double widest = 0.0;
  for (int station = 0; station <= s.span_count(); ++station) {
    const double u = s.span_start(station);
    widest = std::max(widest, s.OutlineLength(u, piece + 1.0) - s.OutlineLength(u, piece));
  }
  const int fewest = s.KindOf(piece) == PieceKind::round ? kRoundColumns : kFlatColumns;
  return std::max(fewest, static_cast<int>(std::ceil(widest / kColumnWidth)));
}

}  // namespace

/// What a stand-in needs: one entry a row or a column of the grid.
struct Placer::StandLine {
  std::vector<double> girth;     // a row: outline length to the line
  std::vector<double> set_back;  // a row; empty: none
};
struct Placer::StandStart {
  Origin::Kind kind = Origin::Kind::place;
  StandLine line;
  std::vector<double> along;   // a column: length of v = const up to the datum
  std::vector<Vec3> position;  // a row or a column
};
struct Placer::Stand {
  const Measure* measure = nullptr;
  StandStart first, second;
  std::vector<Vec2> foot, normal;  // square in the section, a row
  Vec3 centre = Vec3::Zero();      // square off a section
  Vec3 tangent = Vec3::Zero();
  double station = 0.0;
};

Placer::Placer(std::shared_ptr<const Skin> skin_ptr) : reader_(std::move(skin_ptr)) {
  const Skin& s = skin();
  rows_ =
      std::clamp(static_cast<int>(std::ceil(s.length() / kRowLength)) + 1, kFewestRows, kMostRows);
  std::vector<double> columns;
  for (int piece = 0; piece < s.piece_count(); ++piece) {
    const int count = ColumnsOf(s, piece);
    for (int j = 0; j < count; ++j) columns.push_back(piece + static_cast<double>(j) / count);
  }
  // The last column stands at the end of the last piece; on a closed skin it repeats the first.
  columns.push_back(s.piece_count() - 1e-9);
  columns_ = static_cast<int>(columns.size());
  for (int i = 0; i < rows_; ++i) {
    const double u = s.u_end() * i / (rows_ - 1);
    station_.push_back(s.StationOf(u));
    perimeter_.push_back(s.Perimeter(u));
    for (int j = 0; j < columns_; ++j) {
      Node node;
      node.u = u;
      node.v = columns[static_cast<std::size_t>(j)];
      node.outline = s.OutlineAt(u, node.v);
      node.position = s.ToWorld(u, node.outline);
      if (i > 0) node.along = At(i - 1, j).along + (node.position - At(i - 1, j).position).norm();
      girth_.push_back(s.OutlineLength(u, node.v));
      nodes_.push_back(node);
    }
  }
}

Placer::StandLine Placer::LineOf(const Origin& origin) const {
  const Skin& s = skin();
  StandLine line;
  for (int i = 0; i < rows_; ++i) {
    const double u = At(i, 0).u;
    line.girth.push_back(s.OutlineLength(u, s.Wrapped(VOfLine(s, origin.line, u))));
    if (origin.kind == Origin::Kind::corner) {
      line.set_back.push_back(s.SetBackAt(u, origin.corner));
    }
  }
  return line;
}

// A column: length of the line v = const up to the section at u.
std::vector<double> Placer::AlongAt(double u) const {
  const double share = u / skin().u_end() * (rows_ - 1);
  const int row = std::clamp(static_cast<int>(share), 0, rows_ - 2);
  const double t = share - row;
  std::vector<double> along;
  for (int j = 0; j < columns_; ++j) {
    along.push_back((1.0 - t) * At(row, j).along + t * At(row + 1, j).along);
  }
  return along;
}

Placer::StandStart Placer::StartOf(const Origin& origin, bool straight) const {
  const Skin& s = skin();
  StandStart start;
  start.kind = origin.kind;
  switch (origin.kind) {
    case Origin::Kind::section:
      start.along = AlongAt(origin.place.u);
      for (int j = 0; straight && j < columns_; ++j) {
        start.position.push_back(s.At(origin.place.u, At(0, j).v).position);
      }
      break;
    case Origin::Kind::place: {
      start.along = AlongAt(origin.place.u);
      Origin through = origin;
      through.kind = Origin::Kind::line;
      through.line = SkinLine{origin.place.v, -1, 0.5, 0.0};
      start.line = LineOf(through);
      start.position.push_back(s.At(origin.place).position);
      break;
    }
    case Origin::Kind::line:
    case Origin::Kind::corner:
      start.line = LineOf(origin);
      for (int i = 0; straight && i < rows_; ++i) {
        const double u = At(i, 0).u;
        start.position.push_back(origin.kind == Origin::Kind::corner
                                     ? s.SharpCornerAt(u, origin.corner)
                                     : s.At(u, VOfLine(s, origin.line, u)).position);
      }
      break;
  }
  return start;
}

void Placer::PrepareSquare(const Origin& origin, Stand& stand) const {
  const Skin& s = skin();
  if (origin.kind == Origin::Kind::section) {
    const SectionFrame frame = s.FrameAt(origin.place.u);
    stand.centre = frame.centre;
    stand.tangent = frame.tangent;
    return;
  }
  for (int i = 0; i < rows_; ++i) {
    const SectionLine line = SquareLine(s, origin, At(i, 0).u);
    stand.foot.push_back(line.foot);
    stand.normal.push_back(line.normal);
  }
}

Placer::Stand Placer::Prepare(const Measure& m) const {
  Stand stand;
  stand.measure = &m;
  switch (m.form) {
    case Measure::Form::middle:
      stand.first = StartOf(m.origin, false);
      stand.second = StartOf(m.second, false);
      break;
    case Measure::Form::tape: stand.first = StartOf(m.origin, false); break;
    case Measure::Form::rule: stand.first = StartOf(m.origin, true); break;
    case Measure::Form::across: stand.first.line = LineOf(m.origin); break;
    case Measure::Form::station: stand.station = skin().StationOf(m.origin.place.u); break;
    case Measure::Form::angle: break;
    case Measure::Form::square: PrepareSquare(m.origin, stand); break;
  }
  return stand;
}

double Placer::StandIn(const Stand& stand, int i, int j) const {
  const Measure& m = *stand.measure;
  const Node& node = At(i, j);
  const auto row = static_cast<std::size_t>(i);
  const auto column = static_cast<std::size_t>(j);
  const double girth = girth_[IndexOf(i, j)];
  auto around = [&](const StandLine& line) {
    const double gap = girth - line.girth[row];
    return skin().closed() ? std::remainder(gap, perimeter_[row]) : gap;
  };
  auto tape = [&](const StandStart& start) {
    switch (start.kind) {
      case Origin::Kind::section: return std::abs(node.along - start.along[column]);
      case Origin::Kind::place:
        return std::hypot(node.along - start.along[column], around(start.line));
      case Origin::Kind::line: return std::abs(around(start.line));
      case Origin::Kind::corner: return std::abs(around(start.line)) + start.line.set_back[row];
    }
    return 0.0;
  };
  auto rule = [&](const StandStart& start) {
    const std::size_t at = start.kind == Origin::Kind::place     ? 0
                           : start.kind == Origin::Kind::section ? column
                                                                 : row;
    return (node.position - start.position[at]).norm();
  };
  switch (m.form) {
    case Measure::Form::tape: return tape(stand.first) - m.value;
    case Measure::Form::rule: return rule(stand.first) - m.value;
    case Measure::Form::middle:
      return (1.0 - m.fraction) * tape(stand.first) - m.fraction * tape(stand.second);
    case Measure::Form::across: return around(stand.first.line);
    case Measure::Form::station: return station_[row] - stand.station;
    case Measure::Form::angle: {
      const Vec2& p = node.outline;
      const double angle = m.sense * std::atan2(Cross(m.angle_from, p), m.angle_from.dot(p));
      return std::remainder(angle - m.value, 2.0 * kPi) * p.norm();
    }
    case Measure::Form::square:
      if (m.origin.kind == Origin::Kind::section) {
        return std::abs((node.position - stand.centre).dot(stand.tangent)) - m.value;
      }
      return std::abs((node.outline - stand.foot[row]).dot(stand.normal[row])) - m.value;
  }
  return 0.0;
}

bool Placer::Wanted(int flat, double v) const {
  if (flat < 0) return true;
  double off = v - (flat + 0.5);
  if (skin().closed()) off = std::remainder(off, skin().piece_count());
  return std::abs(off) <= 1.5;
}

Placer::StandIns Placer::StandInsOf(const Rule& rule) const {
  const std::array<Stand, 2> stands{Prepare(rule.measures[0]), Prepare(rule.measures[1])};
  StandIns r{std::vector<Vec2>(nodes_.size(), Vec2(kFar, kFar)),
             std::vector<double>(nodes_.size(), kFar)};
  for (int i = 0; i < rows_; ++i) {
    for (int j = 0; j < columns_; ++j) {
      if (!Wanted(rule.flat, At(i, j).v)) continue;
      const Vec2 both(StandIn(stands[0], i, j), StandIn(stands[1], i, j));
      // Readings grow by at most 1 a millimetre: where one vanishes near a node it is small there.
      // The stand-ins are off by some per cent of the value.
      const double cell = CellSize(i, j);
      const std::size_t k = IndexOf(i, j);
      r.both[k] = both;
      const bool near = std::abs(both.x()) <= cell + 0.08 * rule.measures[0].value &&
                        std::abs(both.y()) <= cell + 0.08 * rule.measures[1].value;
      if (near) r.merit[k] = both.norm();
    }
  }
  return r;
}

// What crosses nowhere on the grid may still touch: the least places, unless one starts there.
void Placer::AddLeast(const Rule& rule, const StandIns& r, int i, int j,
                      std::vector<Start>& starts) const {
  const double here = r.merit[IndexOf(i, j)];
  if (here >= kFar || !IsLeast(r.merit, i, j) || !NearRightSide(rule, i, j)) return;
  const Node& next = NextTo(i, j);
  const Node& node = At(i, j);
  // A little off the node: no start on a border or on the datum itself.
  AddStart(
      {here, {node.u + 0.15 * (next.u - node.u), node.v + 0.15 * (next.v - node.v)}, node.position},
      1.2 * CellSize(i, j), starts);
}

std::vector<SkinPlace> Placer::Starts(const Rule& rule) const {
  const StandIns r = StandInsOf(rule);
  std::vector<Start> starts;
  for (int i = 0; i + 1 < rows_; ++i) {
    for (int j = 0; j + 1 < columns_; ++j) AddCrossings(rule, r, i, j, starts);
  }
  for (int i = 0; i < rows_; ++i) {
    for (int j = 0; j < columns_; ++j) AddLeast(rule, r, i, j, starts);
  }
  // Those on the flat first: what lies off it is looked for only if there is none.
  auto off = [&](const Start& s) {
    return rule.flat >= 0 && skin().PieceOf(s.place.v) != rule.flat;
  };
  std::sort(starts.begin(), starts.end(), [&](const Start& a, const Start& b) {
    return off(a) != off(b) ? off(b) : a.merit < b.merit;
  });
  std::vector<SkinPlace> places;
  places.reserve(starts.size());
  for (const Start& s : starts) places.push_back(s.place);
  return places;
}

// The node across a cell, which is on the other side at the last row and column.
const Placer::Node& Placer::NextTo(int i, int j) const {
  return At(i + 1 < rows_ ? i + 1 : i - 1, j + 1 < columns_ ? j + 1 : j - 1);
}

double Placer::CellSize(int i, int j) const {
  const int next = i + 1 < rows_ ? i + 1 : i - 1;
  const int beside = j + 1 < columns_ - 1 ? j + 1 : j - 1;
  return (At(next, beside).position - At(i, j).position).norm();
}

void Placer::AddStart(const Start& start, double apart, std::vector<Start>& starts) {
  for (const Start& known : starts) {
    if ((known.position - start.position).norm() < apart) return;
  }
  starts.push_back(start);
}

// Both stand-ins taken as linear over the two triangles of a cell: where they cross, inside or a
// little outside of the triangle.
void Placer::AddCrossings(const Rule& rule, const StandIns& r, int i, int j,
                          std::vector<Start>& starts) const {
  constexpr double kOutside = 0.25;
  const std::array<std::array<int, 2>, 4> corner{{{i, j}, {i + 1, j}, {i, j + 1}, {i + 1, j + 1}}};
  std::array<Vec2, 4> value;
  double least[2] = {kFar, kFar};
  for (std::size_t c = 0; c < 4; ++c) {
    value[c] = r.both[IndexOf(corner[c][0], corner[c][1])];
    if (value[c].x() >= kFar) return;
    for (int m = 0; m < 2; ++m) least[m] = std::min(least[m], std::abs(value[c][m]));
  }
  const double cell = CellSize(i, j);
  if (least[0] > cell || least[1] > cell) return;
  for (const auto& t : {std::array<std::size_t, 3>{0, 1, 2}, std::array<std::size_t, 3>{3, 2, 1}}) {
    Eigen::Matrix2d slopes;
    slopes.col(0) = value[t[1]] - value[t[0]];
    slopes.col(1) = value[t[2]] - value[t[0]];
    if (std::abs(slopes.determinant()) < 1e-9) continue;
    const Vec2 at = -slopes.inverse() * value[t[0]];
    const bool inside = at.minCoeff() > -kOutside && at.sum() < 1.0 + kOutside;
    if (!inside || !NearRightSide(rule, i, j)) continue;
    const Node& a = At(corner[t[0]][0], corner[t[0]][1]);
    const Node& b = At(corner[t[1]][0], corner[t[1]][1]);
    const Node& c = At(corner[t[2]][0], corner[t[2]][1]);
    Start start;
    start.place.u = a.u + at.x() * (b.u - a.u) + at.y() * (c.u - a.u);
    start.place.v = a.v + at.x() * (b.v - a.v) + at.y() * (c.v - a.v);
    start.position =
        a.position + at.x() * (b.position - a.position) + at.y() * (c.position - a.position);
    AddStart(start, 0.4 * cell, starts);
  }
}

// Whether a node can lie beside a solution on the side that `toward` asks for.
bool Placer::NearRightSide(const Rule& rule, int i, int j) const {
  return std::all_of(rule.measures.begin(), rule.measures.end(), [&](const Measure& m) {
    const bool distance = m.form == Measure::Form::tape || m.form == Measure::Form::rule ||
                          m.form == Measure::Form::square;
    return !distance || !m.toward || NearRightSide(m, i, j);
  });
}

bool Placer::NearRightSide(const Measure& m, int i, int j) const {
  const Node& node = At(i, j);
  const Node& next = NextTo(i, j);
  // Only what is read along the part is read toward an end of it.
  if (m.toward->end != 0) {
    const double row = std::abs(next.u - node.u);
    return (node.u - m.origin.place.u) * m.toward->end >= -1.5 * row;
  }
  // The reading's own start may lie some way along its line from the one taken here.
  const Vec3 start = StartBeside(m.origin, {node.u, node.v});
  const double cell = (next.position - node.position).norm();
  return (node.position - start).dot(m.toward->direction) >= -1.5 * cell - 0.1 * m.value;
}

Vec3 Placer::StartBeside(const Origin& origin, const SkinPlace& place) const {
  SkinPlace start = place;
  switch (origin.kind) {
    case Origin::Kind::place: start = origin.place; break;
    case Origin::Kind::section: start.u = origin.place.u; break;
    case Origin::Kind::line:
    case Origin::Kind::corner: start.v = VOfLine(skin(), origin.line, place.u); break;
  }
  return skin().At(start).position;
}

// No neighbour has less; of equal ones the first counts. The last column repeats the first.
bool Placer::IsLeast(const std::vector<double>& merit, int i, int j) const {
  const double here = merit[IndexOf(i, j)];
  const int turn = columns_ - 1;
  if (skin().closed() && j == turn) return false;
  for (int near = 0; near < 9; ++near) {
    const int ni = i + near / 3 - 1;
    int nj = j + near % 3 - 1;
    if (skin().closed()) nj = (nj + turn) % turn;
    if (near == 4 || ni < 0 || ni >= rows_ || nj < 0 || nj >= columns_) continue;
    const double there = merit[IndexOf(ni, nj)];
    const bool earlier = near < 4;
    if (there < here || (there == here && earlier)) return false;
  }
  return true;
}

ReadingReach Placer::ReachOf(const Rule& rule, int which) const {
  const Measure& measure = rule.measures[static_cast<std::size_t>(which)];
  const Measure& other = rule.measures[static_cast<std::size_t>(1 - which)];
  const Stand stand = Prepare(other);
  ReadingReach reach;
  for (int i = 0; i < rows_; ++i) {
    for (int j = 0; j < columns_; ++j) {
      const Node& node = At(i, j);
      if (rule.flat >= 0 && (node.v < rule.flat || node.v > rule.flat + 1.0)) continue;
      const double diagonal = (NextTo(i, j).position - node.position).norm();
      if (std::abs(StandIn(stand, i, j)) > 0.75 * diagonal + 0.06 * other.value) continue;
      const auto place = SlideOnto(other, {node.u, node.v}, rule.flat);
      const auto value = place ? ValueOnSide(measure, *place) : std::nullopt;
      if (!value) continue;
      reach.least = reach.any ? std::min(reach.least, *value) : *value;
      reach.greatest = reach.any ? std::max(reach.greatest, *value) : *value;
      reach.any = true;
    }
  }
  return reach;
}

// What a measure reads at a place, if that is on its right side.
std::optional<double> Placer::ValueOnSide(const Measure& measure, const SkinPlace& place) const {
  const auto sample = reader_.Read(measure, place);
  // On the datum itself there is no direction to read in, but the reading is 0.
  if (!sample) {
    const Origin& from = measure.origin;
    const double off = (skin().At(place).position - StartBeside(from, place)).norm();
    if (off > 1e-6) return std::nullopt;
    return from.kind == Origin::Kind::corner ? skin().SetBackAt(place.u, from.corner) : 0.0;
  }
  return reader_.OnRightSide(measure, *sample, place) ? std::optional(sample->value) : std::nullopt;
}

}  // namespace holeward
