// What is known of a surface as a whole: enough to say when a geodesic is the shortest path.
#pragma once

#include <vector>

#include "geometry/surface.h"

namespace holeward {

/// Positions on a grid in every cell, joined bilinearly: a fast rough copy for coarse paths.
class SurfaceTable {
 public:
  static constexpr int kParts = 8;  ///< each way in a cell

  [[nodiscard]] static SurfaceTable Of(const Surface& surface);
  [[nodiscard]] const std::vector<double>& u_lines() const { return u_; }
  [[nodiscard]] const std::vector<double>& v_lines() const { return v_; }
  [[nodiscard]] bool closed() const { return closed_; }

  struct Place {
    Vec3 position;
    Vec3 du;
    Vec3 dv;
  };
  /// v not wrapped; places off the surface by its nearest cell.
  [[nodiscard]] Place At(const SkinPlace& place) const;

 private:
  [[nodiscard]] std::size_t Index(int i, int k) const {
    return static_cast<std::size_t>(i) * (v_.size()) + static_cast<std::size_t>(k);
  }

  std::vector<double> u_, v_;  // grid lines
  bool closed_ = false;
  std::vector<Vec3> x_;
};

/// The part of a surface that two rival paths can touch.
struct TapeReach {
  double u_from = 0.0;
  double u_to = 0.0;
  double length = 0.0;     ///< mean of the two lengths, mm
  double longest = 0.0;    ///< the longer of the two
  bool from_line = false;  ///< they start anywhere on a line along the part: u_from does not count
};

/// Bounds on a surface's curvature and girth, from samples of every cell with a margin: the
/// curvature grown by a quarter, the total curvature by a fifth, the loop shrunk by a tenth. Not
/// certified: a law that varies strongly between samples could escape them.
///
/// The argument that rests on them (PathIsUnique, OtherWayRoundIsLonger):
/// two geodesics between the same ends, going the same way round, bound a disc. Its interior angles
/// add up to the curvature it holds (Gauss-Bonnet), so on a surface that is nowhere positively
/// curved there is none. Else, of the points of the disc that two shortest paths from its first
/// corner reach, the nearest is either conjugate, which needs a length of pi / sqrt(Kmax) (Rauch),
/// or closes a loop with one angle, which needs a total positive curvature of pi. Below both limits
/// there is at most one geodesic each way round; the nearest such point is no further than half the
/// two paths together, so a rival shorter than L to a geodesic of length M is excluded by (L +
/// M)/2. From a line or outline the first corner becomes a stretch of it with two right angles: its
/// own bending toward the target counts with the curvature of the surface, and the focal length
/// takes the place of the conjugate one (FootIsUnique). A path the other way round closes, with the
/// one found, a loop round the part, and no loop round the centre line is shorter than 2 pi r when
/// the surface keeps a distance of r from that line (Osserman, linked curves).
struct SurfaceFacts {
  std::vector<double> curvature_max;  ///< greatest positive Gaussian curvature by table row, 1/mm²
  std::vector<double> curvature_total;  ///< integral of the positive Gaussian curvature by row
  double least_loop = 0.0;  ///< no loop round the part is shorter, mm; 0 on an open surface
  bool creased = false;     ///< some border is a crease: the argument does not hold
  /// Length that any path needs to get from the start to each u line of the table, mm.
  std::vector<double> advance;
  SurfaceTable table;
  std::vector<double> girth;  ///< mean outline length up to each v break

  [[nodiscard]] static SurfaceFacts Of(const Surface& surface);

  /// True when at most one geodesic no longer than the reach's length joins two places each way
  /// round. Only rows within reach count, once for every turn that the longer path could make.
  [[nodiscard]] bool PathIsUnique(const TapeReach& reach) const;
  /// True when at most one such geodesic leaves a curve square and reaches a place each way round.
  /// `bend`: greatest geodesic curvature of the curve toward the target, 1/mm, `total_bend`: its
  /// integral where positive.
  [[nodiscard]] bool FootIsUnique(const TapeReach& reach, double bend, double total_bend) const;
  /// True when no path that goes `turns` more times round than one of `length` can be as short.
  [[nodiscard]] bool OtherWayRoundIsLonger(double length, int turns) const;
  /// Less than any path between two section outlines.
  [[nodiscard]] double LeastAdvance(double u_from, double u_to) const;
  /// Less than any path between two section outlines that goes once round or more.
  [[nodiscard]] double LeastHelix(double u_from, double u_to) const;

 private:
  struct Curvature {
    double greatest = 0.0;
    double total = 0.0;
  };
  [[nodiscard]] Curvature Within(const TapeReach& reach) const;
  [[nodiscard]] double AdvanceTo(double u) const;
};

}  // namespace holeward
