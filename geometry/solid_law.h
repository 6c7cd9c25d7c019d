// The surfaces a hollow part is bounded by, as strips of B-spline along it: the outer skin and the
// skin one wall inside it. Pure mathematics; geometry/solid_hollow.cpp makes the solid of them.
#pragma once

#include <array>
#include <optional>
#include <vector>

#include <Eigen/Core>

#include "geometry/result.h"
#include "geometry/skin.h"
#include "geometry/vec.h"

namespace holeward {

/// A rational B-spline strip of one piece of a skin along one segment of a part.
/// Along the part it is of degree 1, or of degree 3 with double knots (continuous tangents); around
/// it is one Bezier span. `rows` are homogeneous poles (w x, w y, w z, w): of degree 1 one row a
/// node, of degree 3 two rows a node (all but the ends straddle theirs).
struct Strip {
  int piece = 0;
  bool inner = false;
  int segment = 0;
  int degree_along = 1;
  std::vector<double> nodes;  ///< u of the breaks
  std::vector<std::vector<Eigen::Vector4d>> rows;

  [[nodiscard]] int degree_around() const { return static_cast<int>(rows.front().size()) - 1; }
  /// The place at fraction `along` of interval i and fraction `around` of the piece.
  [[nodiscard]] Vec3 At(int interval, double along, double around) const;
};

/// What building the strips came to.
struct HollowStrips {
  std::vector<Strip> outer;  ///< segment by segment, pieces in order
  std::vector<Strip> inner;
  int segments = 1;
  double outer_deviation = 0.0;  ///< greatest distance of the outer strips from the skin, mm
  double wall_least = 0.0;       ///< sampled range of the wall, normal to the skin, mm
  double wall_greatest = 0.0;
};

/// The metal of a hollow part: all places inside the skin within `wall` of it, and within `wall` of
/// the plane of a closed end.
///
/// The inner skin is P - wall N of the outer one, P its place and N its normal; where the corner is
/// no larger than the wall the inner corner is the edge in which the offset flats meet. At the ends
/// it stops in the end's plane (open) or one wall inside it (closed), at a mitre in the mitre's
/// plane.
class HollowLaw {
 public:
  /// @param wall mm, greater than 0
  /// @param closed at the start, at the finish
  /// Errors (job): a wall that does not fit; corners below the wall at one station and above it at
  /// another; a sharp inward corner.
  [[nodiscard]] static Result<HollowLaw> Make(const Skin& skin, double wall,
                                              std::array<bool, 2> closed);

  /// How closely strips follow the law.
  struct Fineness {
    int intervals = 16;   ///< breaks along the part, about
    bool raised = false;  ///< two degrees more around the inner skin
  };
  /// The strips, their deviation measured by sampling.
  /// Errors (computed): the offset flats do not meet, or the ends cannot be found.
  [[nodiscard]] Result<HollowStrips> Strips(const Fineness& fineness) const;

  /// Volume inside the outer skin less that inside the inner one, by the divergence theorem with
  /// Gauss quadrature on the law itself, mm³. Closed sections only.
  /// Accuracy: 1e-4 of the volume or better on parts of ordinary proportions.
  [[nodiscard]] double VolumeByLaw(int intervals) const;

  /// The volume swept by the normals over one wall, for open sections: w - k w²/2 + K w³/3 over the
  /// skin, k the sum and K the product of its principal curvatures (Steiner's formula), mm³.
  /// Accuracy: what sharp inner corners and sloping ends hold, under 0.03 of the volume.
  [[nodiscard]] double VolumeBySweep(int intervals) const;

  /// A plane the part stops or turns in.
  struct Plane {
    Vec3 origin = Vec3::Zero();
    Vec3 normal = Vec3::UnitY();
  };
  /// The plane in which the outer (inner) skin ends: end 0 the start, 1 the finish.
  [[nodiscard]] Plane EndPlane(int end, bool inner) const;

 private:
  enum class Corner { none, round, sharp };
  struct Segment {
    int first_span = 0;
    int last_span = 0;
    bool outer_linear = false;
    bool inner_linear = false;
  };
  // A line along the inner skin: fraction t of a piece, with what it moves at the two ends.
  struct Column {
    int piece = 0;
    double t = 0.0;
    std::array<double, 2> shift{0.0, 0.0};
  };
  struct Range {
    double from = 0.0;
    double to = 0.0;
    double blend = 0.0;
  };
  struct FlatPlace {
    double u = 0.0;
    double v = 0.0;
  };

  HollowLaw(const Skin& skin, double wall, std::array<bool, 2> closed)
      : skin_(&skin), wall_(wall), closed_(closed) {}

  [[nodiscard]] std::optional<Error> SortCorners();
  [[nodiscard]] std::optional<Error> TubeFault() const;
  [[nodiscard]] std::array<double, 2> SizesOf(int piece) const;
  [[nodiscard]] Result<Corner> CornerOf(int piece, double least, double most) const;
  [[nodiscard]] int VertexOf(int piece) const;  // the sharp corner a corner rounds
  void FindSegments();
  [[nodiscard]] bool IsLinear(const Segment& segment, bool inner) const;
  [[nodiscard]] bool Present(int piece, bool inner) const;
  [[nodiscard]] double Weight(int piece, double u) const;
  [[nodiscard]] double TurnAt(int corner, double u) const;
  [[nodiscard]] Plane SegmentPlane(int segment, int end, bool inner) const;

  [[nodiscard]] std::array<Vec3, 3> OffsetAt(const FlatPlace& place, int span, int piece) const;
  [[nodiscard]] std::array<FlatPlace, 2> SharpEdge(int corner_piece, double u, int span) const;
  [[nodiscard]] Vec3 RawInner(int piece, double t, double u, int span) const;
  [[nodiscard]] int SpanIn(const Segment& segment, double u) const;
  [[nodiscard]] Range InnerRange(int segment) const;
  [[nodiscard]] Column MakeColumn(int segment, const Range& range, int piece, double t) const;
  [[nodiscard]] Vec3 InnerAt(const Column& column, const Range& range, double s, int span) const;

  [[nodiscard]] std::vector<double> Nodes(int segment, int intervals, const Range* range) const;
  [[nodiscard]] Strip OuterStrip(int segment, int piece, int intervals) const;
  [[nodiscard]] Strip InnerStrip(int segment, int piece, const Fineness& fineness) const;
  void JoinMitres(std::vector<Strip>& inner) const;
  void Measure(HollowStrips& strips) const;
  [[nodiscard]] double SignedDistance(const Vec3& p_world, FlatPlace guess, int span,
                                      int piece) const;
  [[nodiscard]] std::vector<double> Panels(const Segment& segment, const Range& range,
                                           int intervals) const;
  [[nodiscard]] double Flux(int segment, int piece, bool inner, int intervals) const;
  [[nodiscard]] double CapFlux(int end, bool inner) const;

  const Skin* skin_;
  double wall_ = 0.0;
  std::array<bool, 2> closed_{false, false};
  std::vector<Segment> segments_;
  std::vector<Corner> inner_corner_;  // a piece: only corners are other than none
  std::vector<bool> outer_present_;
};

}  // namespace holeward
