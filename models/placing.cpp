#include "models/placing.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <memory>

#include <fmt/format.h>

#include "geometry/fitting_spread.h"
#include "geometry/zone.h"
#include "models/datums.h"
#include "models/place_checks.h"
#include "models/print_error.h"
#include "models/solid_file.h"

namespace holeward {
namespace {

// Two readings' gradients nearer to parallel than this sine nearly say the same thing.
constexpr double kIllConditioned = 0.3;
// Nominal places nearer than this are one, mm.
constexpr double kOnePlace = 1e-6;
constexpr std::size_t kTies = 3;

// How far a sheet may be off with the fittings it is laid by; nothing: not bounded.
std::optional<double> OffWithFittings(const TemplateRow& sheet, const Part& part) {
  double most = 0.0;
  for (const Fitting& fitting : part.fittings) {
    const auto& align = sheet.align;
    if (std::find(align.begin(), align.end(), fitting.name) == align.end()) continue;
    const auto moved = MovedAtMost(*part.skin, fitting, 0.0);
    if (!moved) return std::nullopt;
    most = std::max(most, *moved);
  }
  return most;
}

/// How far a sheet may be off with what the file of the part's solid shows, mm.
double OffWithShown(const Job& job, const TemplateRow& sheet) {
  double most = 0.0;
  for (const PartRow& part : job.parts) {
    if (part.name != sheet.part) continue;
    for (const DatumRow& datum : DatumsOf(part)) {
      const auto named = std::find(sheet.align.begin(), sheet.align.end(), datum.place.name);
      if (named != sheet.align.end()) most = std::max(most, datum.place.off);
    }
  }
  return most;
}

/// Nothing: a sheet the point is on is laid by a fitting of which nobody knows where it stands.
std::optional<ZoneWidening> WideningOf(const Job& job, const PointRow& row, const Part& part) {
  ZoneWidening widening;
  widening.punch = job.marking.punch.Greatest();
  for (const TemplateRow& sheet : job.templates) {
    if (!sheet.Shows(row.part, row.name)) continue;
    const auto off = OffWithFittings(sheet, part);
    if (!off) return std::nullopt;
    // What its print adds is counted when all points of the template are placed.
    widening.sheet =
        std::max(widening.sheet, job.marking.sheet.Greatest() + *off + OffWithShown(job, sheet));
  }
  return widening;
}

std::string InWords(const std::array<ReadingWay, 2>& ways, const PointRow& row) {
  std::string words;
  for (std::size_t i = 0; i < 2; ++i) {
    if (i > 0) words += ", ";
    words += Word(ways[i].method);
    const bool told = row.rule[i].edge == EdgeReading::unstated && !ways[i].sharp;
    if (told) words += " from the tangent line";
  }
  return words;
}

bool Placeable(const Solution& s) { return s.right_side && s.off_face == 0.0; }

Reading ReadingOf(const Placer& placer, const Measure& m, const Sample& s, const SkinPlace& place) {
  Reading reading;
  reading.method = m.method;
  reading.from = m.from;
  reading.is_angle = m.is_angle();
  reading.value = s.value;
  reading.residual = s.residual;
  if (m.form == Measure::Form::across && m.from == "face") {
    // What a person reads there: the distance from the edge the fraction counts from.
    const double width = FlatWidth(placer.skin(), place.u, m.origin.line.flat);
    reading.value = m.origin.line.fraction * width;
  }
  if (m.form == Measure::Form::tape) {
    const double taut = placer.reader().tape().BridgedLength(*s.path);
    const double added = s.value - s.path->length;
    if (std::abs(taut - s.path->length) > kPlacingResidual) reading.bridged = taut + added;
  }
  return reading;
}

// One point at work.
class PointPlacer {
 public:
  PointPlacer(const Job& job, const Scene& scene, const Part& part, const Placer& placer,
              const PointRow& row, Placing& placing)
      : job_(job), part_(part), placer_(placer), row_(row), placing_(placing) {
    scope_.part = &part;
    scope_.row = RowOf(job, part.name);
    scope_.earlier = &placing.points;
    scope_.outboard_y = scene.outboard_y;
    if (row.face && !part.lines.empty()) line_ = *row.face;
    if (row.face && part.lines.empty()) scope_.face = part.FindFace(*row.face);
  }

  void Run() {
    if (row_.face && part_.lines.empty() && !scope_.face) {
      Error(row_.at, fmt::format("part \"{}\" has no {} face", part_.name, *row_.face));
      return;
    }
    const auto rule = RuleOf(scope_, row_, job_.marking, Ways(0, 0));
    if (!rule) {
      Error(row_.rule[rule.error().measure].at, rule.error().message);
      return;
    }
    std::vector<Solution> found = placer_.Solve(*rule);
    std::vector<Solution> right;
    std::copy_if(found.begin(), found.end(), std::back_inserter(right), [&](const Solution& s) {
      return Placeable(s) && (line_.empty() || NearestLine(part_, s.place.v) == line_);
    });
    if (right.size() != 1) {
      Error(row_.rule_at, right.empty() ? WhyNone(placer_, part_, *rule, found)
                                        : WhySeveral(placer_.skin(), right));
      return;
    }
    PlacedPoint point = Describe(*rule, right.front());
    if (IsOccupied(point)) return;
    AddReadings(point, right.front());
    Warn(point);
    placing_.points.push_back(std::move(point));
  }

  /// Takes over what an earlier run found for the same rule. Its neighbours may have moved.
  void Take(PlacedPoint point) {
    if (IsOccupied(point)) return;
    Warn(point);
    placing_.points.push_back(std::move(point));
  }

 private:
  void Error(Location at, const std::string& what) {
    placing_.errors.push_back({at, fmt::format("point \"{}\": {}", row_.name, what)});
  }

  bool IsOccupied(const PlacedPoint& point) {
    const Occupied occupied{part_, placer_, job_, placing_.points};
    const auto why = WhyOccupied(occupied, row_, point);
    if (why) Error(row_.rule_at, *why);
    return why.has_value();
  }

  [[nodiscard]] std::array<ReadingWay, 2> Ways(std::size_t i, std::size_t j) {
    if (ways_[0].empty()) {
      for (std::size_t k = 0; k < 2; ++k) ways_[k] = WaysToRead(scope_, row_.rule[k]);
    }
    return {ways_[0][i], ways_[1][j]};
  }

  PlacedPoint Describe(const Rule& rule, const Solution& s) {
    PlacedPoint p;
    p.name = row_.name;
    p.part = row_.part;
    p.face = scope_.face ? scope_.face->name : NearestLine(part_, s.place.v);
    p.place = s.place;
    p.position = s.position;
    p.normal = s.normal;
    p.station = placer_.skin().StationOf(s.place.u);
    p.girth = placer_.skin().GirthOf(s.place.u, s.place.v);
    p.conditioning = s.conditioning;
    for (std::size_t i = 0; i < 2; ++i) {
      p.readings.push_back(ReadingOf(placer_, rule.measures[i], s.samples[i], s.place));
    }
    p.nominals.push_back(NominalOf(rule, s, InWords(Ways(0, 0), row_)));
    p.zone = p.nominals.front().zone;
    return p;
  }

  NominalPlace NominalOf(const Rule& rule, const Solution& s, std::string how) const {
    NominalPlace nominal;
    nominal.place = s.place;
    nominal.position = s.position;
    nominal.normal = s.normal;
    const auto widening = WideningOf(job_, row_, part_);
    if (widening) nominal.zone = ZoneOf(placer_, rule, s, *widening);
    nominal.how = std::move(how);
    return nominal;
  }

  std::optional<Solution> SolveNear(const Rule& rule, const Solution& main) const {
    auto near = placer_.Follow(rule, main.place);
    if (near && Placeable(*near)) return near;
    std::optional<Solution> best;
    for (Solution& s : placer_.Solve(rule)) {
      if (!Placeable(s)) continue;
      const auto gap = [&](const Solution& x) { return (x.position - main.position).norm(); };
      if (!best || gap(s) < gap(*best)) best = std::move(s);
    }
    return best;
  }

  // Every other honest reading of the rule is a nominal place of its own.
  void AddReadings(PlacedPoint& point, const Solution& main) {
    std::string none;
    for (std::size_t i = 0; i < ways_[0].size(); ++i) {
      for (std::size_t j = 0; j < ways_[1].size(); ++j) {
        if (i == 0 && j == 0) continue;
        const auto ways = Ways(i, j);
        // What it reads from is there: the rule as written was read from it.
        const Rule rule = RuleOf(scope_, row_, job_.marking, ways).value();
        const auto s = SolveNear(rule, main);
        if (!s) {
          none += (none.empty() ? "" : "; ") + InWords(ways, row_);
          continue;
        }
        AddNominal(point, NominalOf(rule, *s, InWords(ways, row_)));
      }
    }
    if (!none.empty())
      point.nominals.front().how += fmt::format(" (no place if read by: {})", none);
    for (const NominalPlace& a : point.nominals) {
      for (const NominalPlace& b : point.nominals) {
        point.reading_spread = std::max(point.reading_spread, (a.position - b.position).norm());
      }
    }
  }

  // A reading that marks the same place within a zone already there adds nothing.
  static void AddNominal(PlacedPoint& point, NominalPlace nominal) {
    for (const NominalPlace& known : point.nominals) {
      const bool same = (known.position - nominal.position).norm() < kOnePlace;
      const auto& gain = nominal.zone.makeup.datum_gain;
      const auto& known_gain = known.zone.makeup.datum_gain;
      // What the points it is read from are off by may still grow.
      const bool within =
          !known.zone.bounded ||
          (nominal.zone.bounded && nominal.zone.radius <= known.zone.radius + kOnePlace &&
           gain[0] <= known_gain[0] + 1e-9 && gain[1] <= known_gain[1] + 1e-9);
      if (same && within) return;
    }
    point.nominals.push_back(std::move(nominal));
  }

  void Warn(const PlacedPoint& point) {
    auto warn = [&](std::string text) {
      placing_.warnings.push_back(
          {row_.rule_at, fmt::format("point \"{}\": {}", row_.name, std::move(text))});
    };
    if (point.conditioning < kIllConditioned) {
      warn(
          fmt::format("its two readings nearly say the same thing (conditioning {:.2f}, at least "
                      "{:.1f} is wanted): a small misreading moves the point far",
                      point.conditioning, kIllConditioned));
    }
    for (const NominalPlace& nominal : point.nominals) {
      if (nominal.zone.bounded) continue;
      warn(fmt::format("its marking zone cannot be bounded (read by {}); nothing on it is proven",
                       nominal.how));
      break;
    }
  }

  const Job& job_;
  const Part& part_;
  const Placer& placer_;
  const PointRow& row_;
  Placing& placing_;
  DatumScope scope_;
  std::string line_;  // the line of a round part the point was asked to lie nearest to
  std::array<std::vector<ReadingWay>, 2> ways_;
};

// A point read from one of these.
bool RestsOn(const PointRow& row, const std::vector<std::string>& missing) {
  for (const MeasureRow& measure : row.rule) {
    for (const std::string& name : measure.from) {
      if (std::find(missing.begin(), missing.end(), name) != missing.end()) return true;
    }
  }
  return false;
}

void AddTies(std::vector<PlacedPoint>& points) {
  for (PlacedPoint& point : points) {
    for (const PlacedPoint& other : points) {
      if (&other == &point || other.part != point.part) continue;
      point.ties.push_back({other.name, (other.position - point.position).norm()});
    }
    std::stable_sort(point.ties.begin(), point.ties.end(),
                     [](const Tie& a, const Tie& b) { return a.straight < b.straight; });
    if (point.ties.size() > kTies) point.ties.resize(kTies);
  }
}

}  // namespace

Placing PlacePoints(const Job& job, const Scene& scene, Side side, PlacingMemo* memo) {
  Placing placing;
  PlacingMemo fresh;
  PlacingMemo& known = memo != nullptr ? *memo : fresh;
  std::map<std::string, PlacingMemo::Kept> kept;
  std::vector<std::string> missing;
  std::vector<std::string> moved;  // points placed anew, or gone
  for (const auto& kept_point : known.points) {
    const std::string& name = kept_point.first;
    const std::string& part = kept_point.second.row.part;
    const auto same = [&](const PointRow& p) { return p.name == name && p.part == part; };
    if (std::none_of(job.points.begin(), job.points.end(), same)) moved.push_back(name);
  }
  for (const PointRow& row : job.points) {
    if (row.only && *row.only != side) continue;
    const Part* part = scene.FindPart(row.part);
    if (!part) {
      placing.errors.push_back(
          {row.at, fmt::format("point \"{}\": there is no part \"{}\"", row.name, row.part)});
      continue;
    }
    if (RestsOn(row, missing)) {
      missing.push_back(row.name);
      continue;
    }
    auto& placer = known.placers[part->name];
    if (!placer) placer = std::make_shared<const Placer>(part->skin);
    const std::size_t errors = placing.errors.size();
    PointPlacer work(job, scene, *part, *placer, row, placing);
    const auto earlier = known.points.find(row.name);
    const bool taken =
        earlier != known.points.end() && earlier->second.row == row && !RestsOn(row, moved);
    if (taken) {
      work.Take(earlier->second.point);
    } else {
      moved.push_back(row.name);
      work.Run();
    }
    if (placing.errors.size() > errors) {
      missing.push_back(row.name);
    } else {
      kept[row.name] = {row, placing.points.back()};
    }
  }
  known.points = std::move(kept);
  AddPrintErrors(job, scene, placing.points);
  AddTies(placing.points);
  return placing;
}

}  // namespace holeward
