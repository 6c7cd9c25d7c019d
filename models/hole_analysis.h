// The engineer's analysis of one stage of one hole: how likely it goes wrong, what eats the margin,
// what to set, and how deep a probe must pass. Builds on the verdict of models/hole_check.h and
// never changes it.
//
// Each error is drawn over what the job states, with the distribution the job names for it
// (geometry/distribution.h), evenly (rectangular) if it names none: readings over their
// half-widths, punch, template and inner bodies over a disc, tilt over a cone by solid angle, wall,
// outline and depth setting over their intervals, run-on from 0 to its limit; where a rule can be
// read in several ways, each way has the same chance.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "geometry/chance.h"
#include "geometry/checked.h"
#include "geometry/margin_shares.h"
#include "geometry/part.h"
#include "geometry/placed_point.h"
#include "geometry/result.h"
#include "models/job.h"
#include "models/surroundings.h"

namespace holeward {

/// The worst pose found by search: drilled so, the margin is at most `margin`. The certified worst
/// margin lies below it.
struct SampledWorst {
  Vec3 entry = Vec3::Zero();
  Vec3 direction = -Vec3::UnitZ();
  double wall = 0.0;     ///< thicker by, mm
  double outline = 0.0;  ///< larger by, mm
  std::vector<Vec3> inner_shift;
  double depth_error = 0.0;  ///< the stop set deeper by (without a stop: run-on), mm
  double depth = 0.0;        ///< tip depth reached, mm
  double margin = 0.0;       ///< mm
  std::string body;          ///< what is met first
};

/// Stop settings that would do, mm.
struct StopRange {
  double least = 0.0;     ///< goes through with the allowance in every case
  double greatest = 0.0;  ///< keeps the limit in every case
  [[nodiscard]] bool any() const { return least <= greatest; }
};

/// How far a probe of the pilot hole passes before it touches, from the skin, mm.
struct ProbeDepth {
  std::optional<double> certified;  ///< at least this, over all errors; nothing: free throughout
  std::optional<double> nominal;    ///< as intended
};

/// One stage, in the frame of the described side.
struct HoleAnalysis {
  std::string point;
  int stage = 1;
  std::string failure;  ///< why `chance` is missing; empty if it is there
  /// A pose lies below the certified worst margin: the bound is wrong and nothing is proven.
  bool bound_broken = false;
  std::optional<Chance> chance;
  std::uint64_t seed = 0;
  std::optional<SampledWorst> worst_pose;
  std::vector<MarginShare> shares;      ///< greatest gain first
  std::optional<StopRange> stops;       ///< nothing: not computed, or no free depth
  std::optional<double> spacer_length;  ///< of a tube as a stop: projection less stop, mm
  std::vector<std::string> advice;      ///< what to set, in sentences
  std::optional<ProbeDepth> probe;      ///< pilot holes only
};

struct AnalysisOptions {
  std::uint64_t poses = 1'000'000;
  std::uint64_t seed = 1;
  int threads = 0;                       ///< 0: as many as the machine has; results are the same
  bool shares = true;                    ///< what eats the margin
  bool settings = true;                  ///< what to set
  std::function<bool(double)> progress;  ///< as in ChanceQuestion
};

/// Writes what the analysis found into the verdict: the probability and, where a pose lies below
/// the certified bound, that nothing is proven.
void Adopt(const HoleAnalysis& analysis, HoleCheck& check);

/// The mirror image about the vehicle's centre plane: the worst pose moves, nothing else.
[[nodiscard]] HoleAnalysis Mirrored(const HoleAnalysis& analysis);

/// Analyses the holes of one side.
class HoleAnalyst {
 public:
  /// @param scene built for `side`; @param placed every point placed on it. All are kept by
  /// reference. @param around the surroundings its check was made with; null: made here.
  /// Errors (computed): those of Surroundings::Make.
  [[nodiscard]] static Result<HoleAnalyst> Make(
      const Job& job, const Scene& scene, const std::vector<PlacedPoint>& placed, Side side,
      std::shared_ptr<const Result<Surroundings>> around = nullptr);

  /// Analyses stage `stage` (0-based) of a drill point. What could not be computed is left out,
  /// with a reason in `failure`.
  /// @param check the verdict of that stage
  [[nodiscard]] HoleAnalysis Analyse(const PlacedPoint& placed, std::size_t stage,
                                     const HoleCheck& check, const AnalysisOptions& options) const;

  /// Analyses every hole of a check, in its order, several at a time. Progress is told of all holes
  /// together, by one thread at a time; false stops the rest, with a reason in `failure`.
  [[nodiscard]] std::vector<HoleAnalysis> AnalyseAll(const std::vector<HoleCheck>& checks,
                                                     const AnalysisOptions& options) const;

 private:
  struct Kept;
  [[nodiscard]] HoleAnalysis AnalyseHole(const HoleCheck& check,
                                         const AnalysisOptions& options) const;
  explicit HoleAnalyst(std::shared_ptr<const Kept> kept) : kept_(std::move(kept)) {}
  std::shared_ptr<const Kept> kept_;
};

}  // namespace holeward
