// The search over ways round and starting shapes for the shortest path.
#pragma once

#include <optional>
#include <vector>

#include "geometry/tape.h"
#include "geometry/tape_aim.h"
#include "geometry/tape_facts.h"
#include "geometry/tape_seed.h"

namespace holeward {

/// A path further beyond an end than this is held by the end, mm.
inline constexpr double kTapeOffEnd = 1e-6;

/// True unless the curve's range ends before the foot.
[[nodiscard]] bool FootInRange(const TapeStart& start, const SkinPlace& foot);
/// The v of a range (not wrapped) nearest to a place's v in any turn.
[[nodiscard]] double NearestInRange(const Surface& surface, double v, const TapeRange& range);

class TapeSearch {
 public:
  TapeSearch(const Surface& surface, const SurfaceFacts& facts, TapeStart start, SkinPlace to)
      : surface_(surface), facts_(facts), start_(std::move(start)), to_(to) {}

  /// The shortest path. Errors (computed): none settled.
  /// @param rivals look for rivals of the path found where nothing shows that it has none
  [[nodiscard]] Result<TapePath> Run(bool rivals = true);

 private:
  /// A target on one of its turns, and the foot that the way there starts from.
  struct Way {
    SkinPlace foot;
    SkinPlace to;
    int turns = 0;  ///< turns apart from the shortest way by parameters
  };

  [[nodiscard]] std::vector<Way> Ways() const;
  [[nodiscard]] TapeSeed SeedOf(const Way& way, double bulge, int rounds) const;
  void Try(const Way& way);
  void TryShapes(const Way& way, const TapeSeed& plain);
  [[nodiscard]] double Apart(const TapeSeed& a, const TapeSeed& b) const;
  void TryGrid();
  void TryFan(double longest);
  void TryChain(const TapeStart& start, std::vector<SkinPlace> places);
  [[nodiscard]] bool RunsAlongBest(const TapeSeed& seed) const;
  void AimFine(const TapeStart& start, const TapeSeed& seed);
  void Shoot(const TapeSeed& seed, const SkinPlace& to);
  void Accept(TapeAim& aim, const SkinPlace& to);
  void ShootFromRangeEnd(const SkinPlace& foot, const SkinPlace& to);
  void Keep(TapePath path, bool conjugate = false);
  [[nodiscard]] double Girth(double v) const;
  [[nodiscard]] double VOfGirth(double girth) const;
  /// At most one path this long, its rival no longer than `longest`, goes this way.
  [[nodiscard]] bool Unique(const Way& way, double length, double longest);
  [[nodiscard]] double TotalFocus(double* greatest) const;

  const Surface& surface_;
  const SurfaceFacts& facts_;
  TapeStart start_;
  SkinPlace to_;
  struct Focus {
    double greatest = 0.0;  ///< geodesic curvature of the start curve toward the target, 1/mm
    double total = 0.0;     ///< its integral
  };
  std::optional<Focus> focus_;
  std::optional<TapePath> best_;
  std::vector<TapeSeed> tried_;
  bool best_conjugate_ = false;  ///< not even locally shortest
  std::optional<Error> last_error_;
  double least_missed_ = 1e300;  ///< coarse length of a way that gave no path
  bool all_found_ = true;        ///< every way looked at gave a path or was shown to be longer
};

}  // namespace holeward
