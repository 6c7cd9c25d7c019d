#include "app/work_clearance.h"

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>

#include "app/work_figures.h"
#include "app/work_section.h"
#include "export/limit_words.h"
#include "geometry/parallel.h"
#include "models/hole_analysis.h"
#include "models/scene_likeness.h"
#include "models/solid_file.h"

namespace holeward {
namespace {

constexpr double kSame = 1e-9;  // mm: both sides go through the same steps in the same frame

bool Same(const std::optional<double>& a, const std::optional<double>& b) {
  return a.has_value() == b.has_value() && (!a || std::abs(*a - *b) <= kSame);
}

/// True if the checks of both sides say the same.
bool Same(const HoleCheck& a, const HoleCheck& b) {
  return a.point == b.point && a.part == b.part && a.stage == b.stage && a.verdict == b.verdict &&
         a.outcome == b.outcome && a.through == b.through && a.reasons == b.reasons &&
         a.first_contact.has_value() == b.first_contact.has_value() &&
         (!a.first_contact || a.first_contact->body == b.first_contact->body) &&
         Same(a.near_wall, b.near_wall) && Same(a.breakthrough, b.breakthrough) &&
         Same(a.breakthrough_worst, b.breakthrough_worst) && Same(a.free_depth, b.free_depth) &&
         Same(a.stop, b.stop) && Same(a.margin, b.margin) && Same(a.margin_worst, b.margin_worst) &&
         Same(a.access, b.access);
}

/// A hole the report has a page on, and the sides it holds for.
struct AskedHole {
  const SideWork* side = nullptr;
  std::size_t index = 0;  ///< of the side's checks
  std::vector<Side> sides;

  [[nodiscard]] const HoleCheck& check() const { return side->checking.holes[index]; }
};

/// What is made once and used for several holes.
struct Shared {
  using Point = std::pair<const SideWork*, std::string>;
  std::map<const SideWork*, SectionCutter> cutters;
  std::map<Point, FigureTable> round;  ///< FiguresRound of each point
};

const char* Word(Basis basis) {
  switch (basis) {
    case Basis::measured: return "measured";
    case Basis::drawn: return "drawn";
    case Basis::assumed: return "assumed";
  }
  return "assumed";
}

/// Of a solid from outside: which, and what confirms its unit.
std::string WhereFrom(const PartRow& part) {
  if (!part.solid) return "";
  const SolidBody& body = part.solid->body;
  return fmt::format(" (body {} of {}, unit {})", Described(body, part.solid->number),
                     part.solid->file, part.solid->unit);
}

std::vector<BasisRow> BasesOf(const Work& work) {
  std::vector<BasisRow> rows;
  for (const PartRow& part : work.job.parts) {
    rows.push_back({fmt::format("{}, outside{}", part.name, WhereFrom(part)), Word(part.basis)});
    rows.push_back(
        {fmt::format("{}, wall {:.2f} mm", part.name, part.wall), Word(part.wall_basis)});
    for (const InnerRow& inner : part.inner) {
      rows.push_back({fmt::format("{} in {}", inner.name, part.name), Word(inner.basis)});
    }
    for (const FittingRow& fitting : part.fittings) {
      rows.push_back({fmt::format("{} on {}", fitting.name, part.name), Word(fitting.basis)});
    }
  }
  for (const NeighbourRow& neighbour : work.job.neighbours) {
    rows.push_back({fmt::format("{}, beside", neighbour.name), Word(neighbour.basis)});
  }
  return rows;
}

/// A count in groups of three digits.
std::string Grouped(std::uint64_t count) {
  std::string digits = std::to_string(count);
  for (std::size_t at = digits.size(); at > 3;) digits.insert(at -= 3, " ");
  return digits;
}

ChanceChart ChartOf(const HoleAnalysis& analysis, const ErrorDistributions& distributions) {
  const Chance& chance = *analysis.chance;
  ChanceChart chart;
  chart.about = fmt::format("{} poses drawn, {}, seed {}; the distribution is that of {} poses.",
                            Grouped(chance.poses), WordsOf(distributions), analysis.seed,
                            Grouped(chance.computed));
  if (chance.undecided > 0) {
    chart.about += fmt::format(" {} could not be decided and count as contact.", chance.undecided);
  }
  chart.probability = chance.value;
  chart.upper_95 = chance.upper_95;
  double total = 0.0;
  for (const std::uint64_t count : chance.histogram.counts) total += static_cast<double>(count);
  for (std::size_t i = 0; i < chance.histogram.counts.size(); ++i) {
    const double from = chance.histogram.from + static_cast<double>(i) * chance.histogram.width;
    chart.bins.push_back(
        {from, from + chance.histogram.width,
         total > 0.0 ? static_cast<double>(chance.histogram.counts[i]) / total : 0.0});
  }
  for (const MarginQuantile& q : chance.quantiles) chart.quantiles.push_back({q.share, q.margin});
  return chart;
}

/// What some pose attains of the worst margin; nothing: none was found.
std::optional<double> WorstAttained(const Job& job, const HoleCheck& check,
                                    const HoleAnalysis* analysis) {
  std::optional<double> attained;
  if (check.worst_pose && check.stop) {
    attained = check.worst_pose->upper - (*check.stop + job.marking.depth.plus);
  }
  if (analysis != nullptr && analysis->worst_pose) {
    attained =
        std::min(attained.value_or(analysis->worst_pose->margin), analysis->worst_pose->margin);
  }
  // Both are of bounds on the same depth: rounding must not turn them round.
  if (attained && check.margin_worst) attained = std::max(*attained, *check.margin_worst);
  return attained;
}

/// Chance, shares, settings and probe depth of a stage.
void AddAnalysis(const HoleAnalysis& analysis, const ErrorDistributions& distributions,
                 ClearanceHole* hole) {
  if (analysis.chance) {
    hole->chance = ChartOf(analysis, distributions);
  } else if (!analysis.failure.empty()) {
    hole->no_chance = analysis.failure;
  }
  for (const MarginShare& share : analysis.shares) {
    hole->shares.push_back({share.error, share.gain, share.variance_share});
  }
  if (hole->shares.empty() && !analysis.failure.empty()) hole->no_shares = analysis.failure;
  if (analysis.probe) hole->probe_depth = analysis.probe->certified;
  hole->advice = analysis.advice;
  if (hole->check.outcome != Outcome::nothing) return;
  // Where nothing is met the samples tell of the horizon, not of a margin.
  hole->no_chance = hole->no_shares = "Nothing is met, so there is no margin.";
  hole->shares.clear();
  if (hole->chance) {
    hole->chance->bins.clear();
    hole->chance->quantiles.clear();
  }
}

ClearanceHole HoleOf(const Work& work, const AskedHole& asked, const Shared& shared) {
  const SideWork& side = *asked.side;
  const HoleCheck& check = asked.check();
  ClearanceHole hole;
  hole.check = side.mirrored ? Mirrored(check) : check;
  hole.sides = asked.sides;
  hole.stages = static_cast<int>(
      std::count_if(side.checking.holes.begin(), side.checking.holes.end(),
                    [&](const HoleCheck& other) { return other.point == check.point; }));
  SectionAsk ask{work.job, side, shared.cutters.at(&side), check, {}, 0.0};
  const HoleAnalysis* analysis =
      asked.index < side.analyses.size() ? &side.analyses[asked.index] : nullptr;
  if (analysis != nullptr) AddAnalysis(*analysis, work.job.marking.distribution, &hole);
  if (check.outcome == Outcome::met) {
    hole.margin_worst_upper = WorstAttained(work.job, check, analysis);
    if (check.worst_pose) {
      ask.worst = Pose{check.worst_pose->entry, check.worst_pose->direction};
      ask.worst_depth = check.worst_pose->depth;
    }
  }
  auto picture = SectionPictureOf(ask);
  if (picture) {
    hole.section = std::move(*picture);
  } else {
    hole.no_section = picture.error().message;
  }
  hole.tables = FiguresOfHole(work.job, side, check, shared.round.at({&side, check.point}));
  return hole;
}

/// One a hole; of holes that are alike on both sides, the first.
std::vector<AskedHole> AskedOf(const Work& work) {
  std::vector<AskedHole> asked;
  std::vector<HoleCheck> checks;  // as the report gives them
  for (const SideWork& side : work.sides) {
    const bool alike =
        &side != &work.sides.front() && SameMetal(side.scene, work.sides.front().scene);
    for (std::size_t i = 0; i < side.checking.holes.size(); ++i) {
      const HoleCheck& check = side.checking.holes[i];
      const auto twin = std::find_if(checks.begin(), checks.end(), [&](const HoleCheck& other) {
        return alike && Same(other, check);
      });
      if (twin != checks.end()) {
        asked[static_cast<std::size_t>(twin - checks.begin())].sides.push_back(side.side);
        continue;
      }
      asked.push_back({&side, i, {side.side}});
      checks.push_back(side.mirrored ? Mirrored(check) : check);
    }
  }
  return asked;
}

Shared SharedBy(const std::vector<AskedHole>& asked, const Job& job) {
  Shared shared;
  std::vector<const AskedHole*> first;  // stage of each point
  for (const AskedHole& hole : asked) {
    shared.cutters.try_emplace(hole.side, hole.side->scene);
    const Shared::Point point{hole.side, hole.check().point};
    if (shared.round.try_emplace(point).second) first.push_back(&hole);
  }
  ForEach(first.size(), [&](std::size_t i) {
    const AskedHole& hole = *first[i];
    shared.round.at({hole.side, hole.check().point}) = FiguresRound(job, *hole.side, hole.check());
  });
  return shared;
}

std::vector<std::string> NotChecked(const Work& work) {
  std::vector<std::string> sentences = {
      "The strength of a part with a hole in it: figures of the section are given, no verdict.",
      "The condition of the metal, and anything inside or beside a part that the job does not "
      "name.",
      "Whether the part on the vehicle is the one that was measured: pass a marked wire through "
      "the "
      "pilot hole to the probe depth before the final drill.",
      "Errors greater than their stated half-widths."};
  if (!work.complete) sentences.emplace_back("What --side or --part left out.");
  return sentences;
}

}  // namespace

ClearanceReportInput ClearanceInputOf(const Work& work, Console& console) {
  ClearanceReportInput input;
  input.head = HeadOf(work);
  input.date = DateOfRun();
  input.posture = work.job.posture;
  input.basics = BasicsOf(work);
  input.limits = LimitsLine(work.job.limits, work.job.marking, work.job.zeroed_errors);
  input.points = PointChecksOut(work);
  input.bases = BasesOf(work);
  input.overall = work.overall;
  input.reason = WhyNotReleased(work);
  input.released = input.reason.empty();
  input.not_checked = NotChecked(work);
  const std::vector<AskedHole> asked = AskedOf(work);
  const Shared shared = SharedBy(asked, work.job);
  input.holes = MadeOfEach(asked.size(), [&](std::size_t i) {
    console.Progress(fmt::format("{}: report on {}, stage {}", Word(asked[i].side->side),
                                 Printable(asked[i].check().point), asked[i].check().stage));
    return HoleOf(work, asked[i], shared);
  });
  console.EndProgress();
  return input;
}

}  // namespace holeward
