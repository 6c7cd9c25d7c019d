#include "models/bench.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include <fmt/format.h>

#include "models/bench_choice.h"
#include "models/bench_set.h"

namespace holeward {
namespace {

// Half the span of the differences, mm: far above rounding, far below what a size changes by.
constexpr double kStep = 0.02;
// A place farther than this from every row and reading was not measured. Common practice, no
// source: a dent or a weld's pull is seldom longer.
constexpr double kReach = 100.0;
// Inches typed as millimetres, or the other way about: the girth is off by 25.4.
constexpr double kInchLow = 18.0;
constexpr double kInchHigh = 36.0;
// Likewise of the weight: by its square if the wall is right, by its cube if that is wrong too.
constexpr double kInchWeight = 300.0;
// A tape of half a metre is then off by 0.1 mm, a sixth of what it can read.
constexpr double kTapeMoved = 2e-4;
constexpr std::size_t kMostNamed = 6;
// Two-sided, normal.
constexpr double kNinetyFive = 1.96;
// Less than this share of its error shows in a reading's own residual: nothing checks it.
constexpr double kUnchecked = 0.02;
// A misreading by 1 mm that moves a size by less than this does not decide it.
constexpr double kDecides = 0.3;

std::string UnknownNames(const BenchModel& model, const std::vector<Eigen::Index>& which) {
  std::string names;
  for (std::size_t i = 0; i < which.size() && i < kMostNamed; ++i) {
    names +=
        (i == 0 ? "the " : ", the ") + model.unknowns()[static_cast<std::size_t>(which[i])].Name();
  }
  if (which.size() > kMostNamed) names += fmt::format(" and {} more", which.size() - kMostNamed);
  return names;
}

/// One part's fit under way.
class Fitter {
 public:
  Fitter(const PartRow& part, const BenchSheet& sheet, Side described)
      : part_(part), sheet_(sheet), described_(described), model_(part, sheet, described) {}

  tl::expected<BenchFit, BenchError> Run() {
    if (const auto wrong = Impossible()) return tl::unexpected(*wrong);
    (void)model_.LayTapes(model_.Start());
    AdjustProblem problem = ProblemOf(model_, sheet_);
    auto found = Snoop(problem);
    // The tapes' paths move with the sizes; once more where that shows.
    if (found && model_.LayTapes(found->adjustment.x) > kTapeMoved) {
      problem.start = found->adjustment.x;
      problem.jacobian = found->adjustment.jacobian;
      found = Snoop(problem);
    }
    if (!found) return tl::unexpected(Unfitted(found.error()));
    fit_.sheet = sheet_;
    fit_.found = std::move(*found);
    if (const auto wrong = Set()) return tl::unexpected(*wrong);
    Sizes();
    Widths();
    Doubts();
    Unchecked();
    Notes();
    fit_.advice = NextReading(part_, sheet_, described_, fit_.found.adjustment);
    return std::move(fit_);
  }

 private:
  // What the start already tells: sizes that cannot be, or a wrong unit.
  [[nodiscard]] std::optional<BenchError> Impossible() const {
    if (sheet_.rows.size() < 2) return BenchError{sheet_.at, "a bench needs at least two rows"};
    if (auto swapped = Swapped()) return swapped;
    const Eigen::VectorXd start = model_.Start();
    const auto skin = model_.SkinAt(start);
    if (!skin) {
      return BenchError{
          sheet_.at, fmt::format("the rows of the bench make no part: {}", skin.error().message)};
    }
    for (const BenchReading& r : sheet_.readings) {
      if (r.kind != BenchKind::girth && r.kind != BenchKind::weight) continue;
      const double own = r.value - r.others;
      const double made = model_.ReadingOf(r, *skin, start) - r.others;
      if (!(own > 0.0) || !(made > 0.0)) continue;
      const double ratio = std::max(own / made, made / own);
      const bool unit =
          r.kind == BenchKind::weight ? ratio > kInchWeight : ratio > kInchLow && ratio < kInchHigh;
      if (!unit) continue;
      return BenchError{r.at, fmt::format("reading \"{}\" is {:.4g}, but the rows' sizes make it "
                                          "{:.4g}, {:.3g} times {}: are some lengths in inches "
                                          "and others in millimetres?",
                                          r.name, own, made, ratio, own > made ? "less" : "more")};
    }
    return std::nullopt;
  }

  [[nodiscard]] const BenchReading* RowReading(std::size_t row, BenchKind kind,
                                               BenchSide side = BenchSide::b_plus) const {
    for (const BenchReading& r : sheet_.readings) {
      if (r.spare || r.kind != kind || r.row != row) continue;
      if (kind != BenchKind::face || r.side == side) return &r;
    }
    return nullptr;
  }

  // Rows out of their order, or two faces that have changed places.
  [[nodiscard]] std::optional<BenchError> Swapped() const {
    const bool from_low = sheet_.straightedge == "rear" || sheet_.straightedge == "inboard";
    for (std::size_t i = 0; i < sheet_.rows.size(); ++i) {
      const BenchReading* here = RowReading(i, BenchKind::distance);
      if (!here) {
        return BenchError{sheet_.rows[i], fmt::format("row {} has no distance", i + 1)};
      }
      const BenchReading* before = i > 0 ? RowReading(i - 1, BenchKind::distance) : nullptr;
      const BenchReading* after = here;
      double least = 1.0;
      for (const bool up : {true, false}) {
        if (before && !(after->value >= before->value + least)) {
          return BenchError{
              after->at,
              fmt::format("reading \"{}\" ({:.6g} mm) must be at least {:g} mm more "
                          "than \"{}\" ({:.6g} mm). Were the two swapped?",
                          after->name, after->value, least, before->name, before->value)};
        }
        least = 0.1;
        const bool plus_is_more = up || from_low;
        const BenchReading* plus =
            RowReading(i, BenchKind::face, up ? BenchSide::b_plus : BenchSide::a_plus);
        const BenchReading* minus =
            RowReading(i, BenchKind::face, up ? BenchSide::b_minus : BenchSide::a_minus);
        before = plus && minus ? (plus_is_more ? minus : plus) : nullptr;
        after = plus && minus ? (plus_is_more ? plus : minus) : here;
      }
    }
    return std::nullopt;
  }

  [[nodiscard]] BenchError Unfitted(const AdjustFailure& failure) const {
    if (failure.kind == AdjustFailure::Kind::undetermined) {
      return {sheet_.at, fmt::format("too few readings: nothing fixes {}",
                                     UnknownNames(model_, failure.unknowns))};
    }
    return {sheet_.at,
            "the readings of the bench contradict each other so much that no sizes fit "
            "them; check the rows' order and units"};
  }

  std::optional<BenchError> Set() {
    const Eigen::VectorXd& x = fit_.found.adjustment.x;
    fit_.stations = model_.StationsAt(x);
    double longest = 0.0;
    for (const StationRow& s : fit_.stations) {
      longest = std::max(longest, model_.along().dot(s.centre));
    }
    const auto frame = FrameOf(model_, sheet_, longest);
    if (!frame) return frame.error();
    for (StationRow& s : fit_.stations) s.centre = frame->ToVehicle(s.centre);
    fit_.up = frame->turn * Vec3::UnitZ();
    if (std::abs(frame->mount_gap) > 2.0) {
      fit_.notes.push_back(
          fmt::format("the mounts are {:.1f} mm {} apart in the vehicle than on "
                      "the bench",
                      std::abs(frame->mount_gap), frame->mount_gap > 0.0 ? "farther" : "less far"));
    }
    return std::nullopt;
  }

  void Sizes() {
    const Adjustment& a = fit_.found.adjustment;
    for (std::size_t k = 0; k < model_.unknowns().size(); ++k) {
      const auto at = static_cast<Eigen::Index>(k);
      const auto in = fit_.found.IntervalOf(at, kNinetyFive);
      fit_.sizes.push_back({model_.unknowns()[k].Name(), a.x[at], a.SigmaOf(at), in.low, in.high});
    }
    fit_.wall = a.x[a.x.size() - 1];
    const AdjustProblem problem = ProblemOf(model_, sheet_);
    for (Eigen::Index i = 0; i < problem.readings(); ++i) {
      fit_.least_found.push_back(a.LeastFound(problem, i));
    }
  }

  // What part differs from part by, beyond what the instruments explain.
  void Spread() {
    double sum = 0.0;
    int freedom = 0;
    for (const BenchReading& r : sheet_.readings) {
      if (r.samples < 2 || r.kind == BenchKind::distance || r.kind == BenchKind::weight) continue;
      sum += (r.samples - 1) * std::max(0.0, r.spread * r.spread - r.sigma * r.sigma);
      freedom += r.samples - 1;
    }
    if (freedom > 0) fit_.part_spread = std::sqrt(sum / freedom);
  }

  // How far a size between two rows may be from what the rows make of it: the smooth one less the
  // straight one, at the middle.
  [[nodiscard]] static double JoiningError(const Skin& skin) {
    const auto sizes = [&](double u) -> Vec2 {
      if (skin.round()) return Vec2::Constant(2.0 * skin.RadiusAt(u));
      Vec2 low = skin.VertexAt(u, 0);
      Vec2 high = low;
      for (int k = 1; k < skin.vertex_count(); ++k) {
        low = low.cwiseMin(skin.VertexAt(u, k));
        high = high.cwiseMax(skin.VertexAt(u, k));
      }
      return high - low;
    };
    double most = 0.0;
    for (int span = 0; span < skin.span_count(); ++span) {
      const double from = skin.span_start(span);
      const double to = skin.span_start(span + 1);
      const Vec2 straight = 0.5 * (sizes(from) + sizes(to));
      most = std::max(most, (sizes(0.5 * (from + to)) - straight).cwiseAbs().maxCoeff());
    }
    return most;
  }

  void Widths() {
    Spread();
    const Adjustment& a = fit_.found.adjustment;
    const BenchWidths widths = WidthsOf(model_.unknowns(), fit_.found);
    const auto skin = model_.SkinAt(a.x);
    fit_.joining = skin ? JoiningError(*skin) : 0.0;
    fit_.outline = OutlineOf(fit_, widths);
    fit_.wall_error = WallErrorOf(fit_, widths);
  }

  void Doubts() {
    const Adjustment& a = fit_.found.adjustment;
    const auto skin = model_.SkinAt(a.x);
    if (!skin) return;
    std::vector<double> known;
    for (int i = 0; i <= skin->span_count(); ++i) {
      known.push_back(skin->StationOf(skin->span_start(i)));
    }
    fit_.row_stations = known;
    for (std::size_t i = 0; i < sheet_.readings.size(); ++i) {
      const BenchReading& r = sheet_.readings[i];
      const bool between = !r.row && r.kind != BenchKind::diagonal && r.kind != BenchKind::tape &&
                           r.kind != BenchKind::weight && r.kind != BenchKind::wall &&
                           r.kind != BenchKind::corner;
      if (!between || !a.used[i]) continue;
      known.push_back(skin->StationOf(model_.UAtDistance(*skin, r.distance)));
    }
    std::sort(known.begin(), known.end());
    for (std::size_t i = 0; i + 1 < known.size(); ++i) {
      if (known[i + 1] - known[i] <= 2.0 * kReach) continue;
      fit_.doubts.push_back(fmt::format(
          "no section of part '{}' was measured between the stations {:.0f} and {:.0f}, more than "
          "{:g} mm apart: what rests on the part is unproven",
          part_.name, known[i], known[i + 1], 2.0 * kReach));
    }
    Contradictions();
  }

  void Contradictions() {
    for (const SuspectReading& s : fit_.found.suspects) {
      if (s.rivals.empty()) continue;
      std::string names = sheet_.readings[static_cast<std::size_t>(s.reading)].name;
      for (const Eigen::Index r : s.rivals) {
        names += ", " + sheet_.readings[static_cast<std::size_t>(r)].name;
      }
      fit_.doubts.push_back(fmt::format(
          "one of these bench readings of part '{}' is misread, and which cannot be told: {}; what "
          "rests on the part is unproven",
          part_.name, names));
    }
    if (fit_.found.contradicting) {
      fit_.doubts.push_back(fmt::format(
          "the bench readings of part '{}' contradict each other; what rests on it is unproven",
          part_.name));
    }
  }

  // The sizes that hang on a reading nothing checks, a row at a time.
  void Unchecked() {
    const Adjustment& a = fit_.found.adjustment;
    std::map<std::size_t, std::vector<std::string>> of_row;
    std::vector<std::string> of_wall;
    for (std::size_t i = 0; i < sheet_.readings.size(); ++i) {
      const auto at = static_cast<Eigen::Index>(i);
      const BenchReading& r = sheet_.readings[i];
      const bool assumed = r.instrument == "assumed";
      const bool checked = a.redundancy[at] >= kUnchecked || r.instrument == "drawing";
      if (!a.used[i] || (checked && !assumed)) continue;
      const std::string name = r.name + (assumed ? " (assumed)" : "");
      const Eigen::VectorXd moves =
          a.covariance * a.jacobian.row(at).transpose() / (r.sigma * r.sigma);
      for (std::size_t k = 0; k < model_.unknowns().size(); ++k) {
        const BenchUnknown& unknown = model_.unknowns()[k];
        if (!(std::abs(moves[static_cast<Eigen::Index>(k)]) > kDecides)) continue;
        if (unknown.size == BenchSize::wall) of_wall.push_back(name);
        const bool outside = unknown.size == BenchSize::width ||
                             unknown.size == BenchSize::height ||
                             unknown.size == BenchSize::diameter;
        if (outside) of_row[*unknown.row].push_back(name);
      }
    }
    const auto& s = fit_.row_stations;
    if (s.empty()) return;
    for (auto& [row, names] : of_row) {
      Uncheck(s[row > 0 ? row - 1 : 0], s[std::min(row + 1, s.size() - 1)], names);
    }
    if (!of_wall.empty()) Uncheck(s.front(), s.back(), of_wall);
  }

  void Uncheck(double from, double to, std::vector<std::string>& names) {
    std::sort(names.begin(), names.end());
    names.erase(std::unique(names.begin(), names.end()), names.end());
    std::string why = names.size() > 1 ? "the bench readings " : "the bench reading ";
    for (std::size_t i = 0; i < names.size(); ++i) {
      why += (i == 0 ? "\"" : i + 1 == names.size() ? "\" and \"" : "\", \"") + names[i];
    }
    fit_.unchecked.push_back({from, to, why + "\", which nothing checks"});
  }

  void Notes() {
    std::vector<std::string> unchecked;
    for (std::size_t i = 0; i < sheet_.readings.size(); ++i) {
      const auto at = static_cast<Eigen::Index>(i);
      const Adjustment& a = fit_.found.adjustment;
      if (a.used[i] && a.redundancy[at] < kUnchecked) unchecked.push_back(sheet_.readings[i].name);
    }
    if (unchecked.empty()) return;
    const std::size_t shown = std::min(kMostNamed, unchecked.size());
    std::string names;
    for (std::size_t i = 0; i < shown; ++i) names += (i == 0 ? "" : ", ") + unchecked[i];
    if (unchecked.size() > shown) names += fmt::format(" and {} more", unchecked.size() - shown);
    fit_.notes.push_back(
        fmt::format("nothing checks {} of the {} readings, so a misreading of "
                    "them would not be found: {}",
                    unchecked.size(), sheet_.readings.size(), names));
  }

  const PartRow& part_;
  const BenchSheet& sheet_;
  Side described_;
  BenchModel model_;
  BenchFit fit_;
};

}  // namespace

AdjustProblem ProblemOf(const BenchModel& model, const BenchSheet& sheet) {
  AdjustProblem problem;
  const auto n = static_cast<Eigen::Index>(sheet.readings.size());
  problem.observed.resize(n);
  problem.sigma.resize(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const BenchReading& r = sheet.readings[static_cast<std::size_t>(i)];
    problem.observed[i] = r.value;
    // Of several samples the mean is off by their spread, shared out, beside the instrument.
    problem.sigma[i] = std::hypot(r.sigma, r.samples > 1 ? r.spread / std::sqrt(r.samples) : 0.0);
  }
  problem.start = model.Start();
  problem.step = Eigen::VectorXd::Constant(problem.start.size(), kStep);
  problem.model = [&model](const Eigen::VectorXd& x) { return model.Readings(x); };
  problem.nearby = [&model](const Eigen::VectorXd& x) { return model.ReadingsNearby(x); };
  return problem;
}

tl::expected<BenchFit, BenchError> FitBench(const PartRow& part, const BenchSheet& sheet,
                                            Side described) {
  return Fitter(part, sheet, described).Run();
}

}  // namespace holeward
