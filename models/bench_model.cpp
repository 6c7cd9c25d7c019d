#include "models/bench_model.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "geometry/surface.h"
#include "geometry/tape.h"
#include "models/bench_volume.h"
#include "models/part_law.h"

namespace holeward {
namespace {

// A row's own readings that differ by more than this share: one of them is far off.
constexpr double kFarOff = 0.25;
constexpr double kUsualCorner = 5.0;

bool IsAcross(const std::string& toward) { return toward == "outboard" || toward == "inboard"; }

double Median(std::vector<double> values, double otherwise) {
  if (values.empty()) return otherwise;
  std::sort(values.begin(), values.end());
  return values[values.size() / 2];
}

const char* WordOf(BenchSize size) {
  switch (size) {
    case BenchSize::distance: return "distance";
    case BenchSize::across: return "place across";
    case BenchSize::up: return "height above the bench";
    case BenchSize::width: return "width";
    case BenchSize::height: return "height";
    case BenchSize::diameter: return "diameter";
    case BenchSize::corner: return "corner radius";
    case BenchSize::wall: return "wall";
  }
  return "size";
}

}  // namespace

std::string BenchUnknown::Name() const {
  return row ? fmt::format("{} of row {}", WordOf(size), *row + 1) : WordOf(size);
}

BenchModel::BenchModel(const PartRow& part, const BenchSheet& sheet, Side described)
    : part_(part), sheet_(sheet), described_(described) {
  const bool across = IsAcross(sheet.toward);
  along_ = DirectionOf(sheet.toward, described).value_or(Vec3::UnitY());
  across_ = DirectionOf(across ? "front" : "outboard", described).value_or(Vec3::UnitX());
  away_sign_ = sheet.straightedge == "front" || sheet.straightedge == "outboard" ? -1.0 : 1.0;
  part_.lies = across ? "across" : "along";
  part_.up.reset();
  const bool round = part.section == SectionKind::round;
  for (std::size_t i = 0; i < sheet.rows.size(); ++i) {
    for (const BenchSize size : {BenchSize::distance, BenchSize::across, BenchSize::up}) {
      unknowns_.push_back({size, i});
    }
    if (round) {
      unknowns_.push_back({BenchSize::diameter, i});
      continue;
    }
    unknowns_.push_back({BenchSize::width, i});
    unknowns_.push_back({BenchSize::height, i});
    if (sheet.own_corners) unknowns_.push_back({BenchSize::corner, i});
  }
  if (!round && !sheet.own_corners) unknowns_.push_back({BenchSize::corner, std::nullopt});
  unknowns_.push_back({BenchSize::wall, std::nullopt});
  tape_ratio_.assign(sheet.readings.size(), 1.0);
}

std::optional<Eigen::Index> BenchModel::Find(BenchSize size, std::size_t row) const {
  for (std::size_t k = 0; k < unknowns_.size(); ++k) {
    if (unknowns_[k].size != size) continue;
    if (!unknowns_[k].row || *unknowns_[k].row == row) return static_cast<Eigen::Index>(k);
  }
  return std::nullopt;
}

double BenchModel::Value(const Eigen::VectorXd& x, BenchSize size, std::size_t row) const {
  const auto k = Find(size, row);
  return k ? x[*k] : 0.0;
}

// ---- Start

std::optional<double> BenchModel::Own(std::size_t row, BenchKind kind, BenchSide side) const {
  for (const BenchReading& r : sheet_.readings) {
    if (r.spare || r.kind != kind || r.row.value_or(0) != row) continue;
    if (kind == BenchKind::face && r.side != side) continue;
    return r.value;
  }
  return std::nullopt;
}

// A size of a row by its own reading, by the difference of two faces, or what the rows have.
double BenchModel::StartSize(std::size_t row, BenchKind kind, BenchSide high, BenchSide low) const {
  const auto candidates = [&](std::size_t i) {
    std::vector<double> all;
    if (const auto own = Own(i, kind)) all.push_back(*own);
    const auto a = Own(i, BenchKind::face, high);
    const auto b = Own(i, BenchKind::face, low);
    if (a && b) all.push_back(std::abs(*a - *b));
    return all;
  };
  std::vector<double> everywhere;
  for (std::size_t i = 0; i < sheet_.rows.size(); ++i) {
    for (const double size : candidates(i)) everywhere.push_back(size);
  }
  const double usual = Median(everywhere, 40.0);
  std::vector<double> own = candidates(row);
  if (own.empty()) return usual;
  const bool differ = std::abs(own.front() - own.back()) > kFarOff * usual;
  if (!differ) return own.front();
  std::sort(own.begin(), own.end(),
            [&](double p, double q) { return std::abs(p - usual) < std::abs(q - usual); });
  return own.front();
}

double BenchModel::StartOf(const BenchUnknown& unknown) const {
  const std::size_t row = unknown.row.value_or(0);
  const bool round = part_.section == SectionKind::round;
  const auto width = [&] {
    return StartSize(row, round ? BenchKind::diameter : BenchKind::width, BenchSide::a_plus,
                     BenchSide::a_minus);
  };
  const auto height = [&] {
    return StartSize(row, round ? BenchKind::diameter : BenchKind::height, BenchSide::b_plus,
                     BenchSide::b_minus);
  };
  // The middle, from whichever face was read.
  const auto middle = [&](BenchSide high, BenchSide low, double size, double sign) {
    const auto a = Own(row, BenchKind::face, high);
    const auto b = Own(row, BenchKind::face, low);
    if (a && b) return 0.5 * sign * (*a + *b);
    if (a) return sign * *a - 0.5 * size;
    return b ? sign * *b + 0.5 * size : 0.0;
  };
  switch (unknown.size) {
    case BenchSize::distance: return Own(row, BenchKind::distance).value_or(0.0);
    case BenchSize::across:
      return middle(BenchSide::a_plus, BenchSide::a_minus, width(), away_sign_);
    case BenchSize::up: return middle(BenchSide::b_plus, BenchSide::b_minus, height(), 1.0);
    case BenchSize::width:
    case BenchSize::diameter: return width();
    case BenchSize::height: return height();
    case BenchSize::corner: {
      const double least = std::min(width(), height());
      return std::min(Own(row, BenchKind::corner).value_or(kUsualCorner), 0.4 * least);
    }
    case BenchSize::wall: return part_.wall;
  }
  return 0.0;
}

Eigen::VectorXd BenchModel::Start() const {
  Eigen::VectorXd x(static_cast<Eigen::Index>(unknowns_.size()));
  for (std::size_t k = 0; k < unknowns_.size(); ++k) {
    x[static_cast<Eigen::Index>(k)] = StartOf(unknowns_[k]);
  }
  return x;
}

// ---- The part at x

std::vector<StationRow> BenchModel::StationsAt(const Eigen::VectorXd& x) const {
  std::vector<StationRow> stations;
  for (std::size_t i = 0; i < sheet_.rows.size(); ++i) {
    StationRow s;
    s.centre = Value(x, BenchSize::distance, i) * along_ +
               Value(x, BenchSize::across, i) * across_ +
               Value(x, BenchSize::up, i) * Vec3::UnitZ();
    s.width = Value(x, BenchSize::width, i);
    s.height = Value(x, BenchSize::height, i);
    s.corner = Value(x, BenchSize::corner, i);
    s.diameter = Value(x, BenchSize::diameter, i);
    s.at = sheet_.rows[i];
    stations.push_back(s);
  }
  return stations;
}

Result<SkinLaw> BenchModel::LawAt(const Eigen::VectorXd& x) const {
  PartRow part;
  part.section = part_.section;
  part.between = part_.between;
  part.lies = part_.lies;
  part.open = part_.open;
  part.stations = StationsAt(x);
  for (std::size_t i = 0; i < part.stations.size(); ++i) {
    const StationRow& s = part.stations[i];
    const bool sound = part.section == SectionKind::round
                           ? s.diameter > 0.1
                           : s.width > 0.1 && s.height > 0.1 && s.corner >= 0.0;
    if (!sound) {
      return Fail(ErrorKind::job, fmt::format("row {} has a size that is not above 0", i + 1));
    }
  }
  return LawOf(part, described_);
}

Result<Skin> BenchModel::SkinAt(const Eigen::VectorXd& x) const {
  return LawAt(x).and_then(Skin::Make);
}

// ---- Readings of a skin

// The lines along the part that stand for a face: its middle; of a channel's open side both lips.
std::vector<double> BenchModel::FaceLines(const Skin& skin, BenchSide side) const {
  const int k = static_cast<int>(side);
  if (skin.round()) return {static_cast<double>(k)};
  if (skin.closed()) return {2.0 * k + 0.5};
  PartRow row = part_;
  row.stations = {StationRow{}, StationRow{}};
  row.stations.back().centre = along_;
  const PartWords words = WordsOf(row, described_);
  const std::array<std::string, 4> sides{words.b_minus, words.a_plus, words.b_plus, words.a_minus};
  for (int open = 0; open < 4; ++open) {
    if (part_.open != sides[static_cast<std::size_t>(open)]) continue;
    const int flat = (k - open - 1 + 8) % 4;
    if (flat == 3) return {0.0, static_cast<double>(skin.piece_count())};
    return {2.0 * flat + 0.5};
  }
  return {0.5};
}

// The place of a line along the part in the plane square to the straightedge at this distance.
SkinPlace BenchModel::OnFace(const Skin& skin, BenchSide side, double u, double distance) const {
  const double v = FaceLines(skin, side).front();
  for (int i = 0; i < 4; ++i) {
    const SkinPoint p = skin.At(u, v);
    const double rate = along_.dot(p.du);
    if (std::abs(rate) < 0.1) break;
    u += (distance - along_.dot(p.position)) / rate;
  }
  return {u, v};
}

Vec3 BenchModel::FacePlace(const Skin& skin, BenchSide side, double u, double distance) const {
  return skin.At(OnFace(skin, side, u, distance)).position;
}

double BenchModel::FaceValue(const Skin& skin, BenchSide side, double u, double distance) const {
  const bool up = side == BenchSide::b_plus || side == BenchSide::b_minus;
  const Vec3 axis = up ? Vec3(Vec3::UnitZ()) : Vec3(away());
  const auto lines = FaceLines(skin, side);
  if (lines.size() == 1) return axis.dot(FacePlace(skin, side, u, distance));
  return 0.5 * (axis.dot(skin.At(u, lines[0]).position) + axis.dot(skin.At(u, lines[1]).position));
}

// The section whose centre lies at this distance.
double BenchModel::UAtDistance(const Skin& skin, double distance) const {
  int span = 0;
  while (span + 1 < skin.span_count() &&
         along_.dot(skin.FrameAt(skin.span_start(span + 1)).centre) < distance) {
    ++span;
  }
  double u = 0.5 * (skin.span_start(span) + skin.span_start(span + 1));
  for (int i = 0; i < 4; ++i) {
    const SectionFrame frame = skin.FrameAt(u);
    const double rate = std::max(0.2, along_.dot(frame.tangent));
    u += (distance - along_.dot(frame.centre)) / rate;
  }
  return std::clamp(u, 0.0, skin.u_end());
}

double BenchModel::MidLine(const Skin& skin, const BenchReading& reading,
                           const Eigen::VectorXd& x) const {
  const auto place = [&](const BenchPlace& p) {
    return OnFace(skin, p.side, skin.span_start(static_cast<int>(p.row)),
                  Value(x, BenchSize::distance, p.row));
  };
  const SkinPlace a = place(reading.from);
  const SkinPlace b = place(reading.to);
  // Simpson's rule on each span's share.
  double length = 0.0;
  const auto first = static_cast<int>(std::min(reading.from.row, reading.to.row));
  const auto last = static_cast<int>(std::max(reading.from.row, reading.to.row));
  const double low = std::min(a.u, b.u);
  const double high = std::max(a.u, b.u);
  for (int span = first; span < last; ++span) {
    const double from = span == first ? low : skin.span_start(span);
    const double to = span + 1 == last ? high : skin.span_start(span + 1);
    constexpr int kParts = 6;
    const double h = (to - from) / kParts;
    for (int i = 0; i <= kParts; ++i) {
      const double w = i == 0 || i == kParts ? 1.0 : (i % 2 == 1 ? 4.0 : 2.0);
      length += w * h / 3.0 * skin.At(from + i * h, a.v).du.norm();
    }
  }
  return length;
}

double BenchModel::ReadingOf(const BenchReading& reading, const Skin& skin,
                             const Eigen::VectorXd& x) const {
  const bool at_row = reading.row.has_value();
  const std::size_t row = reading.row.value_or(0);
  const double distance = at_row ? Value(x, BenchSize::distance, row) : reading.distance;
  const auto u = [&] {
    return at_row ? skin.span_start(static_cast<int>(row)) : UAtDistance(skin, distance);
  };
  const auto size = [&](int across) {
    if (skin.round()) return 2.0 * skin.RadiusAt(u());
    Vec2 low = skin.VertexAt(u(), 0);
    Vec2 high = low;
    for (int k = 1; k < skin.vertex_count(); ++k) {
      low = low.cwiseMin(skin.VertexAt(u(), k));
      high = high.cwiseMax(skin.VertexAt(u(), k));
    }
    return high[across] - low[across];
  };
  const auto place = [&](const BenchPlace& p) {
    return FacePlace(skin, p.side, skin.span_start(static_cast<int>(p.row)),
                     Value(x, BenchSize::distance, p.row));
  };
  switch (reading.kind) {
    case BenchKind::distance: return distance;
    case BenchKind::face: return FaceValue(skin, reading.side, u(), distance);
    case BenchKind::width:
    case BenchKind::diameter: return size(0);
    case BenchKind::height: return size(1);
    case BenchKind::corner: return skin.CornerRadiusAt(u(), skin.closed() ? 0 : 1);
    case BenchKind::girth: return skin.Perimeter(u());
    case BenchKind::diagonal: return (place(reading.from) - place(reading.to)).norm();
    case BenchKind::tape: return MidLine(skin, reading, x);
    case BenchKind::wall: return Value(x, BenchSize::wall, 0);
    case BenchKind::weight:
      return MetalVolume(skin, Value(x, BenchSize::wall, 0), part_.ends) * sheet_.density * 1e-6 +
             reading.others;
  }
  return 0.0;
}

std::optional<Eigen::VectorXd> BenchModel::Readings(const Eigen::VectorXd& x) const {
  return ReadingsOf(SkinAt(x), x);
}

std::optional<Eigen::VectorXd> BenchModel::ReadingsNearby(const Eigen::VectorXd& x) const {
  return ReadingsOf(LawAt(x).and_then(Skin::MakeNearby), x);
}

std::optional<Eigen::VectorXd> BenchModel::ReadingsOf(const Result<Skin>& skin,
                                                      const Eigen::VectorXd& x) const {
  if (!skin || Value(x, BenchSize::wall, 0) <= 0.0) return std::nullopt;
  Eigen::VectorXd all(static_cast<Eigen::Index>(sheet_.readings.size()));
  for (std::size_t i = 0; i < sheet_.readings.size(); ++i) {
    all[static_cast<Eigen::Index>(i)] = tape_ratio_[i] * ReadingOf(sheet_.readings[i], *skin, x);
  }
  if (!all.allFinite()) return std::nullopt;
  return all;
}

double BenchModel::LayTapes(const Eigen::VectorXd& x) {
  const bool any = std::any_of(sheet_.readings.begin(), sheet_.readings.end(),
                               [](const auto& r) { return r.kind == BenchKind::tape; });
  if (!any) return 0.0;
  auto made = SkinAt(x);
  if (!made) return 0.0;
  double moved = 0.0;
  const auto skin = std::make_shared<const Skin>(std::move(*made));
  const TapeSolver solver = TapeSolver(std::make_shared<const SkinSurface>(skin)).WithoutRivals();
  for (std::size_t i = 0; i < sheet_.readings.size(); ++i) {
    const BenchReading& r = sheet_.readings[i];
    if (r.kind != BenchKind::tape) continue;
    const auto place = [&](const BenchPlace& p) {
      SkinPlace on = OnFace(*skin, p.side, skin->span_start(static_cast<int>(p.row)),
                            Value(x, BenchSize::distance, p.row));
      on.u = std::clamp(on.u, 0.0, skin->u_end());
      return on;
    };
    const double middle = MidLine(*skin, r, x);
    const auto path = solver.Path(place(r.from), place(r.to));
    if (!path || !(middle > 0.0)) continue;
    // Where a place overhangs the end the middle line is a little longer; only the shape counts.
    const double share = path->length / middle;
    if (!(share > 0.5 && share <= 1.0)) continue;
    moved = std::max(moved, std::abs(share - tape_ratio_[i]));
    tape_ratio_[i] = share;
  }
  return moved;
}

}  // namespace holeward
