// The tape: length of the shortest path on a skin, from a point, a section's outline or a line
// along the part to a place.
//
//   TapeSolver tape(std::make_shared<SkinSurface>(skin));     // once a part
//   auto path = tape.Path(from, to);                          // shortest of all ways round
//   auto moved = tape.Path(from, to_moved, &*path);           // warm: same way, target moved
//
// A path is found in three steps: a coarse chord path for each way round (pulled straight in
// space), exact geodesics shot from the start and aimed at the target by their Jacobi field, and
// the shortest of those taken. Where nothing shows that it has no rival, further ways are looked
// for: valleys of the distances on a grid (tape_grid.h) and a fan of geodesics (tape_fan.h); long
// unstable paths are aimed in parts (tape_parts.h). A geodesic keeps its direction across the
// borders of pieces and spans, and goes on as if unfolded across a crease.
//
// Accuracy: 1e-7 mm on surfaces of features down to 1 mm and paths up to some 1000 mm
// (`error_bound` has the estimate of the path at hand). Source of the equations: do Carmo,
// Differential Geometry of Curves and Surfaces, 4-4 (geodesics) and 5-5 (Jacobi fields).
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <utility>
#include <vector>

#include "geometry/placed_point.h"
#include "geometry/result.h"
#include "geometry/surface.h"
#include "geometry/vec.h"

namespace holeward {

/// A shortest path.
struct TapePath {
  double length = 0.0;         ///< mm
  Vec3 leave = Vec3::Zero();   ///< unit tangent at the start, along the path
  Vec3 arrive = Vec3::Zero();  ///< unit tangent at the end, along the path: the gradient of length
                               ///< by the end place
  SkinPlace foot;              ///< where the path begins
  SkinPlace end;               ///< where it ends; v not wrapped: end.v - foot.v tells the way round
  std::vector<SkinPlace> places;  ///< polyline from foot to end, for drawing; v not wrapped
  double spread =
      0.0;  ///< Jacobi field at the end: mm sideways per radian at the start (per mm of foot)
  double error_bound = 0.0;  ///< estimate of |length - true length of this path|, mm
  /// No other path is shorter, by the argument in tape_facts.h (curvature and girth of the surface
  /// are sampled, with a margin). False means not proven, not that a shorter one is known.
  bool proven_shortest = false;
  /// The path runs along an end (or a lip) for a stretch; the length is of that constrained path.
  bool touches_end = false;
};

/// A line along the part, v = f(u).
struct TapeLine {
  struct Value {
    double v = 0.0;
    double v_u = 0.0;   ///< dv/du
    double v_uu = 0.0;  ///< d²v/du²; only the speed of convergence rests on it
  };

  double v = 0.0;  ///< the line v = const, when `curve` is empty
  std::function<Value(double u)> curve;

  [[nodiscard]] static TapeLine Constant(double v_line) { return {v_line, {}}; }
  /// The line at a constant girth (signed, along increasing v) from the line v = v_line. Keeps the
  /// skin.
  [[nodiscard]] static TapeLine GirthOffset(std::shared_ptr<const Skin> skin, double v_line,
                                            double girth_mm);
  [[nodiscard]] Value At(double u) const { return curve ? curve(u) : Value{v, 0.0, 0.0}; }
};

/// A closed range of a parameter.
struct TapeRange {
  double from = 0.0;
  double to = 0.0;
};

struct SurfaceFacts;

/// Shortest paths on one surface. Immutable after construction: one solver serves many threads.
class TapeSolver {
 public:
  /// Samples the surface once (some thousand evaluations).
  explicit TapeSolver(std::shared_ptr<const Surface> surface);

  /// The shortest path between two places. `seed`: an earlier path from the same (or a near) place
  /// to a near target; the path is then followed from it, in its own way round only, which is right
  /// for small moves (derivatives, Newton steps); `proven_shortest` is then false.
  /// Errors (computed): a place off the surface, no path settled.
  [[nodiscard]] Result<TapePath> Path(const SkinPlace& from, const SkinPlace& to,
                                      const TapePath* seed = nullptr) const;

  /// The shortest path from the section outline u = u_section to a place. `v_range` limits the
  /// outline (v not wrapped; from < to); without it the whole outline counts.
  [[nodiscard]] Result<TapePath> FromSection(double u_section, const SkinPlace& to,
                                             std::optional<TapeRange> v_range = std::nullopt,
                                             const TapePath* seed = nullptr) const;

  /// The shortest path from a line along the part to a place, over the whole length of the part or
  /// the u range given.
  [[nodiscard]] Result<TapePath> FromLine(const TapeLine& line, const SkinPlace& to,
                                          std::optional<TapeRange> u_range = std::nullopt,
                                          const TapePath* seed = nullptr) const;

  /// Length of a taut tape laid along the path that bridges hollows: in the strip of surface under
  /// the path, cut out and laid out flat by its normal curvature, the shortest line on the
  /// outside. Equal to `path.length` where the surface is nowhere hollow along the path.
  [[nodiscard]] double BridgedLength(const TapePath& path) const;

  /// The same solver that looks for rivals only where it finds no path otherwise: several times
  /// quicker where `proven_shortest` comes out false, and then the path may not be the shortest.
  [[nodiscard]] TapeSolver WithoutRivals() const {
    TapeSolver quick = *this;
    quick.rivals_ = false;
    return quick;
  }

  [[nodiscard]] const Surface& surface() const { return *surface_; }
  [[nodiscard]] const SurfaceFacts& facts() const { return *facts_; }

 private:
  std::shared_ptr<const Surface> surface_;
  std::shared_ptr<const SurfaceFacts> facts_;
  bool rivals_ = true;
};

}  // namespace holeward
