// Draws poses of a hole: from uniform numbers, shaped to each error's distribution, to where a
// person marks it, how the drill is held and how the metal really lies. The distributions are those
// of models/hole_analysis.h.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "geometry/clearance.h"
#include "geometry/placed_point.h"
#include "geometry/pose_kernel.h"
#include "geometry/result.h"
#include "geometry/tolerance.h"
#include "models/hole_check.h"

namespace holeward {

/// The errors that are drawn, in the order in which the margin's shares are told.
enum class ErrorSource {
  spread,    ///< which way the rule is read
  readings,  ///< both readings, within their half-widths
  datum,     ///< the points it is read from
  punch,
  sheet,
  tilt,
  wall,
  outline,
  inner_body,
  depth,  ///< of the stop, or the run-on without one
};
inline constexpr std::size_t kErrorSources = 10;

/// One pose with everything about it that may be off.
struct DrawnPose {
  static constexpr std::size_t kMostInner = 8;

  Pose pose;
  std::size_t nominal = 0;  ///< which of the point's nominal places
  double wall = 0.0;        ///< thicker by, mm
  double outline = 0.0;     ///< larger by, mm
  double depth = 0.0;       ///< the stop set deeper by, or the run-on, mm
  std::array<Vec3, kMostInner> inner{};
  std::size_t inner_count = 0;
};

/// Draws poses of one stage of one hole.
class PoseSampler {
 public:
  /// @param ready a site made ready by MakeSite; @param stopped false: drilled without a stop
  /// Errors (computed): a zone without bound, or reaching where the skin is not defined; more inner
  /// bodies than DrawnPose holds.
  [[nodiscard]] static Result<PoseSampler> Make(const HoleSite& ready, bool stopped);

  /// How many uniform numbers make a pose.
  [[nodiscard]] std::size_t size() const { return kInner + 2 * inner_.size(); }
  /// Fills `numbers` (size() of them) with those of pose `pose`: drawn evenly from the counter,
  /// then shaped to the distribution that the job states for each error.
  void NumbersOfPose(std::uint64_t seed, std::uint64_t pose, std::span<double> numbers) const;
  /// The same for the numbers of one error; the others stay as they are.
  void DrawOne(ErrorSource source, std::uint64_t seed, std::uint64_t pose,
               std::span<double> numbers) const;
  /// The pose of these numbers, each in [0, 1], size() of them. Evenly drawn numbers give errors
  /// spread evenly over what is stated.
  [[nodiscard]] DrawnPose Draw(std::span<const double> numbers) const;
  /// The numbers that belong to a source, as a range of indices.
  [[nodiscard]] std::pair<std::size_t, std::size_t> NumbersOf(ErrorSource source) const;
  /// The numbers of the pose as intended.
  [[nodiscard]] std::vector<double> Nominal() const;

  /// The region of all poses of nominal place `nominal`, for a kernel. Radius and the like are the
  /// caller's.
  [[nodiscard]] PoseRegion RegionOf(std::size_t nominal) const;
  /// One region that holds those of all nominal places.
  [[nodiscard]] PoseRegion RegionOfAll() const;
  [[nodiscard]] std::size_t nominal_count() const { return zones_.size(); }

 private:
  // Places of the numbers.
  static constexpr std::size_t kSpread = 0;
  static constexpr std::size_t kReadings = 1;
  static constexpr std::size_t kDatum = 3;
  static constexpr std::size_t kPunch = 5;
  static constexpr std::size_t kSheet = 7;
  static constexpr std::size_t kTilt = 9;
  static constexpr std::size_t kWall = 11;
  static constexpr std::size_t kOutline = 12;
  static constexpr std::size_t kDepth = 13;
  static constexpr std::size_t kInner = 14;

  /// The skin about one nominal place, tabulated: places and intended axes on a square grid.
  struct Zone {
    NominalPlace nominal;
    Vec3 first = Vec3::UnitX();  ///< orthonormal pair in the skin
    Vec3 second = Vec3::UnitY();
    Eigen::Matrix<double, 2, 3> chart;  ///< from a small move in the skin to the grid's mm
    double half = 0.0;                  ///< of the square
    int steps = 1;
    std::vector<Vec3> places;
    std::vector<Vec3> axes;
    PoseRegion region;
  };
  struct Inner {
    Vec3 first = Vec3::UnitX();  ///< across its axis
    Vec3 second = Vec3::UnitY();
  };

  [[nodiscard]] std::size_t NominalOf(std::span<const double> numbers) const;
  /// Even numbers of one error to those of its distribution; the rest say which nominal place.
  void Shape(ErrorSource source, std::span<double> numbers) const;
  [[nodiscard]] static Result<Zone> ZoneOf(const HoleSite& ready, const NominalPlace& nominal);
  [[nodiscard]] static Pose At(const Zone& zone, const Vec3& move);

  std::vector<Zone> zones_;
  std::vector<Inner> inner_;
  double tilt_ = 0.0;
  double inner_radius_ = 0.0;
  HalfWidth wall_;
  HalfWidth outline_;
  bool stopped_ = true;
  HalfWidth depth_;  ///< of the stop, or the run-on without one
  ErrorDistributions distributions_;
  Distribution of_depth_ = Distribution::rectangular;  ///< of `depth_`
  bool all_even_ = true;
};

/// The job's word for a source.
[[nodiscard]] const char* Word(ErrorSource source);

}  // namespace holeward
