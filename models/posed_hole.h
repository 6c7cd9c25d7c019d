// One stage of one hole under any pose: what is left when the drill has gone as deep as it goes.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "geometry/checked.h"
#include "geometry/pose_kernel.h"
#include "geometry/result.h"
#include "models/hole_check.h"
#include "models/pose_sampler.h"

namespace holeward {

/// What one pose gives, mm.
struct PoseMargin {
  double free_depth = 0.0;  ///< certified lower bound; the horizon where nothing is met
  double depth = 0.0;       ///< the tip goes this deep
  double margin = 0.0;      ///< free_depth less depth; not a number if it could not be computed
  double at_most = 0.0;     ///< certified upper bound on the margin
  std::string body;         ///< what is met first
};

/// The kernels of a hole: one for all its nominal places or, where near and far wall can only be
/// told apart over each alone, one each.
struct HoleKernels {
  std::vector<PoseKernel> kernels;
  double radius = 0.0;  ///< of the thickest drill they hold for, mm

  /// @param radius of the thickest drill, mm. Errors (computed): near and far wall cannot be told
  /// apart.
  [[nodiscard]] static Result<HoleKernels> Make(const HoleSite& ready, const PoseSampler& sampler,
                                                double radius);
};

/// Immutable; may be asked from any number of threads.
class PosedHole {
 public:
  /// @param ready a site made ready by MakeSite; @param check the stage's verdict, which gives the
  /// stop; @param kernels those of a drill at least as thick, or null: made for this one.
  /// Errors: those of PoseSampler::Make, Drill::Of and HoleKernels::Make.
  [[nodiscard]] static Result<PosedHole> Make(const HoleSite& ready, const HoleCheck& check,
                                              const HoleKernels* kernels = nullptr);

  [[nodiscard]] const PoseSampler& sampler() const { return sampler_; }
  /// Everything about one pose, its bounds as near each other as the kernel's search brings them.
  [[nodiscard]] PoseMargin Of(const DrawnPose& drawn) const;
  /// Margin of these uniform numbers, mm; not a number if it could not be computed. From the lower
  /// bound on the free depth, so never too great; searched on only where that alone would make it
  /// negative. Not below the certified worst margin, unless the pose is proven to lie below it.
  [[nodiscard]] double Margin(std::span<const double> numbers) const;
  /// The margin is at most this, mm; infinite where that is not known.
  [[nodiscard]] double AtMost(std::span<const double> numbers) const;
  /// Margin of pose `pose` of a run.
  [[nodiscard]] double MarginOf(std::uint64_t seed, std::uint64_t pose) const;
  /// Share of the first poses of a run that need the kernel's slow search, some milliseconds each.
  [[nodiscard]] double SlowShare(std::uint64_t seed) const;

 private:
  PosedHole(PoseSampler sampler, PoseDrill drill)
      : sampler_(std::move(sampler)), drill_(std::move(drill)) {}
  [[nodiscard]] PoseBounds BoundsOf(const DrawnPose& drawn, const PoseQuestion& question) const;
  [[nodiscard]] PoseBounds QuickBoundsOf(const DrawnPose& drawn) const;
  [[nodiscard]] double AtMostOf(const DrawnPose& drawn, const PoseBounds& bounds) const;
  [[nodiscard]] double DepthOf(const DrawnPose& drawn, const PoseBounds& bounds) const;

  PoseSampler sampler_;
  PoseDrill drill_;
  HoleKernels kernels_;
  std::optional<double> stop_;
  std::optional<double> margin_worst_;  ///< certified
  double horizon_ = 0.0;
};

/// The worst pose of a local search over the uniform numbers, from the worst two of several starts.
struct FoundPose {
  std::vector<double> numbers;
  double margin = 0.0;  ///< its margin is at most this, mm; infinite: none was found
};
[[nodiscard]] FoundPose WorstFrom(const PosedHole& hole,
                                  const std::vector<std::vector<double>>& starts);

}  // namespace holeward
