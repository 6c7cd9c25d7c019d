#include "models/hole_analysis.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <limits>
#include <map>
#include <mutex>
#include <numeric>
#include <utility>

#include <fmt/format.h>

#include "geometry/parallel.h"
#include "models/error_shares.h"
#include "models/hole_settings.h"
#include "models/hole_variant.h"
#include "models/posed_hole.h"
#include "models/site_worst.h"
#include "models/surroundings.h"

namespace holeward {
namespace {

// What the worst pose's own bounds and the table of the skin may be off, mm.
constexpr double kSamplingSlack = 0.01;
// Poses that need the kernel's slow search, at most: a few seconds of it.
constexpr double kSlowPoses = 1000.0;
// A wire's end is flat but for its burr: an included angle just short of 180°.
constexpr double kWireEnd = 179.9 * kDegree;
constexpr double kWire = 1.5;           // nominal wire, mm
constexpr double kWireEndSlack = 0.01;  // what the angle above leaves of a flat end
constexpr double kProbeGap = 0.1;       // its depth is told in tenths, rounded down, mm

/// Starts for the search of the worst pose: the worst one sampled, and hands leaning fully each way
/// with everything else as intended.
std::vector<std::vector<double>> StartsOf(const PosedHole& hole, const Chance& chance,
                                          std::uint64_t seed) {
  std::vector<double> sampled(hole.sampler().size());
  hole.sampler().NumbersOfPose(seed, chance.least_pose, sampled);
  std::vector<std::vector<double>> starts{sampled};
  const auto [tilt, after] = hole.sampler().NumbersOf(ErrorSource::tilt);
  for (int k = 0; after > tilt && k < 4; ++k) {
    std::vector<double> leaning = sampled;
    leaning[tilt] = 1.0;
    leaning[tilt + 1] = 0.25 * k;
    starts.push_back(std::move(leaning));
  }
  return starts;
}

SampledWorst Described(const PosedHole& hole, const FoundPose& found) {
  const DrawnPose drawn = hole.sampler().Draw(found.numbers);
  const PoseMargin margin = hole.Of(drawn);
  SampledWorst worst;
  worst.entry = drawn.pose.entry;
  worst.direction = drawn.pose.direction;
  worst.wall = drawn.wall;
  worst.outline = drawn.outline;
  worst.inner_shift.assign(drawn.inner.begin(),
                           drawn.inner.begin() + static_cast<std::ptrdiff_t>(drawn.inner_count));
  worst.depth_error = drawn.depth;
  worst.depth = margin.depth;
  worst.margin = found.margin;
  worst.body = margin.body;
  return worst;
}

/// How far a wire held in line with the pilot hole passes. Wherever it stands in the hole it lies
/// within a flat-ended drill of the hole's diameter, so that drill's worst free depth is certified.
std::optional<ProbeDepth> ProbeOf(const HoleSite& ready, const HoleCheck& check) {
  const auto wide = Drill::Twist(check.diameter, kWireEnd);
  const auto wire = Drill::Twist(std::min(kWire, check.diameter), kWireEnd);
  if (!wide || !wire) return std::nullopt;
  ProbeDepth probe;
  const Vec3 direction = ready.axis(ready.placed.normal).normalized();
  const std::vector<Obstacle> all = ObstaclesOf(ready, check.diameter).obstacles;
  const Clearance nominal = ClearanceOf(all, {ready.placed.position, direction}, *wire, 0.0,
                                        ready.surroundings.diagonal());
  if (nominal.ok() && nominal.contact) probe.nominal = nominal.contact->depth;
  // The wide one meets no later what the wire meets; it breaks through no later than the drill's
  // point.
  const double deepest = probe.nominal ? *probe.nominal : ready.surroundings.diagonal();
  ProvenDepths proven;
  proven.through = check.breakthrough_worst;
  proven.gap = kProbeGap;
  proven.side = 0.0;
  const WorstDepths worst =
      WorstFreeOfSite(ready, ObstaclesOf(ready, check.diameter, deepest).obstacles, *wide, proven);
  if (!worst.ok()) return std::nullopt;
  if (std::isfinite(worst.lower)) probe.certified = std::max(0.0, worst.lower - kWireEndSlack);
  return probe;
}

}  // namespace

struct HoleAnalyst::Kept {
  const Job& job;
  const Scene& scene;
  const std::vector<PlacedPoint>& placed;
  Side side;
  std::shared_ptr<const Result<Surroundings>> around;  ///< there
  Job judged_by;
  /// Made when first asked for.
  struct LazySteady {
    std::once_flag once;
    std::optional<SteadySurroundings> made;
  };
  mutable LazySteady halved;
  /// Made once, whichever stage asks first.
  struct LazyKernels {
    std::once_flag once;
    std::optional<HoleKernels> made;
  };
  mutable std::mutex kernels_mutex;
  mutable std::map<std::string, LazyKernels> kernels;  ///< by point

  const SteadySurroundings* Halved() const {
    std::call_once(halved.once, [&] {
      auto made = SteadySurroundings::Make(scene, job.marking, 0.5);
      if (made) halved.made = std::move(*made);
    });
    return halved.made ? &*halved.made : nullptr;
  }

  /// Kernels that hold for every stage of a point; null where there are none.
  const HoleKernels* KernelsOf(const HoleSite& ready) const {
    LazyKernels* own = nullptr;
    {
      const std::lock_guard lock(kernels_mutex);
      own = &kernels.try_emplace(ready.placed.name).first->second;
    }
    std::call_once(own->once, [&] { own->made = MadeKernels(ready); });
    return own->made ? &*own->made : nullptr;
  }

  /// Nobody may be using them.
  void ForgetKernels(const std::string& point) const {
    const std::lock_guard lock(kernels_mutex);
    kernels.erase(point);
  }

  static std::optional<HoleKernels> MadeKernels(const HoleSite& ready) {
    const auto sampler = PoseSampler::Make(ready, true);
    if (!sampler) return std::nullopt;
    const double thickest = *std::max_element(ready.row.drill.begin(), ready.row.drill.end());
    auto made = HoleKernels::Make(ready, *sampler, 0.5 * thickest);
    return made ? std::optional(std::move(*made)) : std::nullopt;
  }
};

namespace {

/// One stage's analysis, filled in step by step.
class StageAnalyst {
 public:
  StageAnalyst(const HoleSite& site, const Job& judged_by, std::size_t stage,
               const HoleCheck& check, const AnalysisOptions& options)
      : site_(site),
        judged_by_(judged_by),
        ready_(MakeSite(site)),
        stage_(stage),
        check_(check),
        options_(options) {
    analysis_.point = site.placed.name;
    analysis_.stage = static_cast<int>(stage) + 1;
    analysis_.seed = options.seed;
  }

  [[nodiscard]] const Result<HoleSite>& ready() const { return ready_; }

  void Likelihood(const HoleKernels* kernels) {
    if (check_.outcome == Outcome::not_computed) return Without("its clearance was not computed");
    if (!ready_) return Without(ready_.error().message);
    auto posed = PosedHole::Make(*ready_, check_, kernels);
    if (!posed) return Without(posed.error().message);
    posed_ = std::move(*posed);
    ChanceQuestion question;
    question.poses = options_.poses;
    question.threads = options_.threads;
    question.progress = options_.progress;
    question.proven_clear = ProvenClear();
    // Where the kernel must search, fewer poses are drawn; their number is told.
    const double slow = posed_->SlowShare(options_.seed);
    const auto most = static_cast<std::uint64_t>(kSlowPoses / std::max(slow, kSlowPoses * 1e-9));
    question.sample = std::min(question.sample, most);
    if (!question.proven_clear) question.poses = std::min(question.poses, most);
    auto chance = ChanceOf(
        [&](std::uint64_t pose) { return posed_->MarginOf(options_.seed, pose); }, question);
    if (!chance) return Without(chance.error().message);
    analysis_.chance = std::move(*chance);
    const FoundPose worst = WorstFrom(*posed_, StartsOf(*posed_, *analysis_.chance, options_.seed));
    if (std::isfinite(worst.margin)) analysis_.worst_pose = Described(*posed_, worst);
    BoundHolds();
  }

  void Shares() {
    if (!ready_ || !check_.margin_worst) return;
    HoleVariant as_is = AsIs();
    // The stop stays where it is set.
    if (check_.stop) as_is.row.stop = {StopRow::Kind::given, {*check_.stop}};
    analysis_.shares =
        SharesOf({as_is, *ready_, check_, posed_ ? &*posed_ : nullptr}, options_.seed);
  }

  void Settings(Side side, const std::function<const SteadySurroundings*()>& halved) {
    analysis_.stops = StopsOf(check_, site_.job, site_.surroundings.diagonal());
    const HoleVariant as_is = AsIs();
    const SettingsOfWhat what{as_is,  site_.job, site_.scene, site_.part, site_.surroundings,
                              halved, check_,    side};
    analysis_.advice = AdviceOn(what, analysis_.stops);
    if (check_.stop) {
      const std::vector<double>& projection = site_.job.drill.projection;
      analysis_.spacer_length = projection[std::min(stage_, projection.size() - 1)] - *check_.stop;
    }
  }

  void Probe() {
    if (!ready_ || stage_ + 1 >= site_.row.drill.size()) return;
    if (check_.outcome == Outcome::not_computed) return;
    analysis_.probe = ProbeOf(*ready_, check_);
  }

  [[nodiscard]] const HoleAnalysis& analysis() const { return analysis_; }

 private:
  void Without(std::string why) { analysis_.failure = std::move(why); }
  [[nodiscard]] HoleVariant AsIs() const { return {judged_by_, site_.row, site_.placed, stage_}; }

  /// The certified bound over every pose that can be drawn.
  [[nodiscard]] bool ProvenClear() const {
    if (check_.outcome == Outcome::nothing) return check_.verdict == Verdict::clear;
    return check_.margin_worst && *check_.margin_worst > kSamplingSlack;
  }

  /// No pose may lie below the certified bound.
  void BoundHolds() {
    if (!check_.margin_worst) return;
    const double least = analysis_.worst_pose
                             ? std::min(analysis_.chance->least, analysis_.worst_pose->margin)
                             : analysis_.chance->least;
    if (least >= *check_.margin_worst - kSamplingSlack) return;
    Without(fmt::format("a pose was found with a margin of {:.2f} mm, below the bound {:.2f} mm",
                        least, *check_.margin_worst));
    analysis_.bound_broken = true;
  }

  const HoleSite& site_;
  const Job& judged_by_;
  Result<HoleSite> ready_;
  std::size_t stage_;
  const HoleCheck& check_;
  const AnalysisOptions& options_;
  std::optional<PosedHole> posed_;
  HoleAnalysis analysis_;
};

/// In what order holes are analysed, and when a point is done with.
class Turns {
 public:
  Turns(const std::vector<HoleCheck>& checks, int threads) : order_(checks.size()) {
    std::vector<std::size_t> group(checks.size());
    for (std::size_t i = 0; i < checks.size(); ++i) {
      const auto [point, is_new] = points_.try_emplace(checks[i].point);
      if (is_new)
        point->second.group =
            (points_.size() - 1) / (kPointsAThread * static_cast<std::size_t>(threads));
      ++point->second.left;
      group[i] = point->second.group;
    }
    std::iota(order_.begin(), order_.end(), std::size_t{0});
    // First stages first: the later ones need what is made for them, and would only wait for it. A
    // few points at a time: what is made for them is kept until their last stage is done.
    std::stable_sort(order_.begin(), order_.end(), [&](std::size_t a, std::size_t b) {
      return std::pair(group[a], checks[a].stage) < std::pair(group[b], checks[b].stage);
    });
  }

  [[nodiscard]] std::size_t operator[](std::size_t turn) const { return order_[turn]; }
  /// One more stage is done. @return it was the point's last
  [[nodiscard]] bool Done(const std::string& point) { return --points_.at(point).left == 0; }

 private:
  static constexpr std::size_t kPointsAThread = 4;
  struct Point {
    std::size_t group = 0;
    std::atomic<int> left{0};
  };
  std::map<std::string, Point> points_;
  std::vector<std::size_t> order_;
};

HoleAnalysis NotAnalysed(const HoleCheck& check, std::string why) {
  HoleAnalysis missing;
  missing.point = check.point;
  missing.stage = check.stage;
  missing.failure = std::move(why);
  return missing;
}

}  // namespace

Result<HoleAnalyst> HoleAnalyst::Make(const Job& job, const Scene& scene,
                                      const std::vector<PlacedPoint>& placed, Side side,
                                      std::shared_ptr<const Result<Surroundings>> around) {
  if (around == nullptr) {
    around = std::make_shared<const Result<Surroundings>>(Surroundings::Make(scene, job.marking));
  }
  if (!*around) return tl::unexpected(around->error());
  return HoleAnalyst(std::shared_ptr<const Kept>(
      new Kept{job, scene, placed, side, std::move(around), JudgedBy(job), {}, {}, {}}));
}

HoleAnalysis HoleAnalyst::Analyse(const PlacedPoint& placed, std::size_t stage,
                                  const HoleCheck& check, const AnalysisOptions& options) const {
  const Part* part = kept_->scene.FindPart(placed.part);
  const PointRow* row = kept_->job.FindPoint(placed.name);
  if (part == nullptr || row == nullptr || stage >= row->drill.size()) {
    return NotAnalysed(check, "its part or its row in the job is not there");
  }
  const HoleSite site{kept_->job, kept_->scene, *part, **kept_->around, *row, placed, {}, {}};
  StageAnalyst analyst(site, kept_->judged_by, stage, check, options);
  analyst.Likelihood(analyst.ready() ? kept_->KernelsOf(*analyst.ready()) : nullptr);
  if (options.shares) analyst.Shares();
  if (options.settings) analyst.Settings(kept_->side, [this] { return kept_->Halved(); });
  analyst.Probe();
  return analyst.analysis();
}

HoleAnalysis HoleAnalyst::AnalyseHole(const HoleCheck& check,
                                      const AnalysisOptions& options) const {
  const PlacedPoint* placed = FindPlaced(kept_->placed, check.point);
  if (placed != nullptr) {
    return Analyse(*placed, static_cast<std::size_t>(check.stage - 1), check, options);
  }
  return NotAnalysed(check, "it was not placed");
}

std::vector<HoleAnalysis> HoleAnalyst::AnalyseAll(const std::vector<HoleCheck>& checks,
                                                  const AnalysisOptions& options) const {
  std::vector<HoleAnalysis> analyses(checks.size());
  const int threads = options.threads > 0 ? options.threads : MachineThreads();
  Turns turns(checks, threads);
  AnalysisOptions one = options;
  one.threads = std::max(1, threads / std::max(1, static_cast<int>(checks.size())));
  std::atomic<std::size_t> done{0};
  std::mutex telling;
  if (options.progress) {
    one.progress = [&](double share) {
      const std::lock_guard lock(telling);
      return options.progress((static_cast<double>(done.load()) + share) /
                              static_cast<double>(checks.size()));
    };
  }
  const auto analyse = [&](std::size_t i) {
    const std::size_t hole = turns[i];
    if (one.progress && !one.progress(0.0)) {
      analyses[hole] = NotAnalysed(checks[hole], "the run was stopped");
      return;
    }
    analyses[hole] = AnalyseHole(checks[hole], one);
    if (turns.Done(checks[hole].point)) kept_->ForgetKernels(checks[hole].point);
    done.fetch_add(1);
  };
  ForEach(checks.size(), analyse, threads);
  return analyses;
}

void Adopt(const HoleAnalysis& analysis, HoleCheck& check) {
  if (analysis.chance) {
    check.probability_contact = ContactChance{analysis.chance->value, analysis.chance->upper_95};
  }
  if (!analysis.bound_broken) return;
  check.verdict = Worse(check.verdict, Verdict::unproven);
  check.reasons.push_back("sampling contradicts the bound: " + analysis.failure);
}

HoleAnalysis Mirrored(const HoleAnalysis& analysis) {
  HoleAnalysis image = analysis;
  if (!image.worst_pose) return image;
  SampledWorst& worst = *image.worst_pose;
  worst.entry = Mirrored(worst.entry);
  worst.direction = Mirrored(worst.direction);
  for (Vec3& shift : worst.inner_shift) shift = Mirrored(shift);
  return image;
}

}  // namespace holeward
