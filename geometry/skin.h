// The skin of a part: its outside surface as a smooth map from two parameters to space.
//
//   u  chord length along the centre line, 0 at the start, u_end() at the finish, mm (about its
//      length where the law gives tangents).
//      Between two given sections lies one span; the law is smooth inside a span.
//   v  once round the section, one unit a piece, counter-clockwise in the section's (a, b) plane.
//      A box: piece 0 underside flat, 1 its corner, 2 the +a flat, 3, 4 top, 5, 6 the -a flat, 7.
//      A round: v = 0 bottom, 1 the +a side, 2 top, 3 the -a side.
//      A channel: an open chain of the same flats and corners, v = 0 at the first lip.
//
//            b (up)
//        4 <------
//      5 +--------+ 3        a points toward front, else outboard; b is `up` put into the section.
//      | |        | ^
//      6 |        | 2  ---> a
//      v |        | |
//      7 +--------+ 1
//        ------> 0
//
// The skin is tangent-continuous across pieces and spans (creased only at the mitres of a part that
// is straight between bent stations). Evaluation beyond the ends goes on with the end span's law.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "geometry/interpolate.h"
#include "geometry/placed_point.h"
#include "geometry/result.h"
#include "geometry/vec.h"

namespace holeward {

/// Position and first derivatives on a skin. Derivatives are by u (per mm) and v (per piece).
struct SkinPoint {
  Vec3 position = Vec3::Zero();
  Vec3 du = Vec3::Zero();
  Vec3 dv = Vec3::Zero();
  Vec3 normal = Vec3::Zero();  ///< unit, outward
};

/// The same with second derivatives.
struct SkinJet : SkinPoint {
  Vec3 duu = Vec3::Zero();
  Vec3 duv = Vec3::Zero();
  Vec3 dvv = Vec3::Zero();
};

/// The frame of a section: origin on the centre line, tangent toward the finish, axes a and b.
struct SectionFrame {
  Vec3 centre = Vec3::Zero();
  Vec3 tangent = Vec3::UnitY();
  Vec3 a = Vec3::UnitX();
  Vec3 b = Vec3::UnitZ();
};

enum class PieceKind { flat, corner, round };

/// What a skin is made from. Every vector has one entry a station; sizes in mm.
struct SkinLaw {
  std::vector<Vec3> centres;  ///< at least two, in vehicle axes
  bool smooth = true;         ///< false: straight between the stations, mitred
  /// Smooth only: which way the centre line runs at every station, unit vectors. Between two of
  /// them lies the cubic that meets an arc best (docs/methods/solid.md). Empty: a natural spline.
  std::vector<Vec3> tangents;
  Vec3 up = Vec3::UnitZ();  ///< put into the section it gives b
  /// Direction that axis a leans toward (front or outboard); only its side matters.
  Vec3 a_toward = Vec3::UnitX();
  bool round = false;
  std::vector<double> radii;  ///< round only: outside radius a station
  /// Polygons: sharp corners a station, counter-clockwise; flat 2k ends at vertex k, so the
  /// vertices start at the +a end of the underside. An open chain (channel) starts at one lip and
  /// ends at the other, both lips being vertices with no corner.
  std::vector<std::vector<Vec2>> vertices;
  std::vector<std::vector<double>> corner_radii;  ///< as vertices; outer radius
  /// With tangents only: what vertices and radii change by, per mm along the centre line, at every
  /// station; cubics with these slopes lie between. Empty: monotone cubics.
  std::vector<std::vector<Vec2>> vertex_slopes;
  std::vector<std::vector<double>> corner_slopes;
  bool closed = true;
  double girth_origin_v = 0.5;  ///< where girth is 0 (0.0 on a round)
};

/// A place found by projection or by a ray.
struct SkinHit {
  SkinPlace place;
  Vec3 position = Vec3::Zero();
  double distance = 0.0;  ///< unsigned for a projection; along the ray for a ray
};

class Skin {
 public:
  /// Builds a skin. Errors (job): fewer than two stations, coincident centres, `up` along the
  /// centre line, a corner too large for its flats, sections that cross inside the skin.
  [[nodiscard]] static Result<Skin> Make(SkinLaw law);
  /// The skin of a law that differs from one Make has built by no more than the steps of a
  /// derivative: whether sections cross is not looked at again, which is most of Make's work.
  [[nodiscard]] static Result<Skin> MakeNearby(SkinLaw law);

  // ---- Parameters
  [[nodiscard]] double u_end() const { return knots_.back(); }
  [[nodiscard]] int span_count() const { return static_cast<int>(knots_.size()) - 1; }
  /// Start of span i; span_start(span_count()) is the end.
  [[nodiscard]] double span_start(int i) const { return knots_[static_cast<std::size_t>(i)]; }
  /// The span that holds u; at a knot the later one.
  [[nodiscard]] int SpanOf(double u) const;
  [[nodiscard]] int piece_count() const { return piece_count_; }
  [[nodiscard]] int PieceOf(double v) const;
  [[nodiscard]] PieceKind KindOf(int piece) const;
  [[nodiscard]] bool closed() const { return law_.closed; }
  [[nodiscard]] bool round() const { return law_.round; }
  /// v brought into [0, piece_count) on a closed skin; unchanged on an open one.
  [[nodiscard]] double Wrapped(double v) const;

  // ---- Surface
  [[nodiscard]] SkinPoint At(double u, double v) const;
  [[nodiscard]] SkinPoint At(const SkinPlace& p) const { return At(p.u, p.v); }
  /// One-sided at breaks: the law of this span and piece, whatever u and v.
  [[nodiscard]] SkinPoint At(double u, double v, int span, int piece) const;
  [[nodiscard]] SkinJet JetAt(double u, double v) const;
  [[nodiscard]] SkinJet JetAt(double u, double v, int span, int piece) const;
  /// The place of the skin nearest to `p_world`, by Newton's method from a guess (u clamped to the
  /// part, v to the chain). Nothing if it does not settle.
  [[nodiscard]] std::optional<SkinHit> Project(const Vec3& p_world, SkinPlace guess) const;
  /// The same from the best of a coarse grid of guesses.
  [[nodiscard]] std::optional<SkinHit> Project(const Vec3& p_world) const;

  // ---- Sections
  [[nodiscard]] SectionFrame FrameAt(double u) const;
  /// Place in the section's plane (a, b) of a piece of outline.
  [[nodiscard]] Vec2 OutlineAt(double u, double v) const;
  /// The theoretical sharp corner k in space, in (a, b), and its outer radius. Polygons only.
  [[nodiscard]] Vec3 SharpCornerAt(double u, int k) const;
  [[nodiscard]] Vec2 VertexAt(double u, int k) const;
  [[nodiscard]] double CornerRadiusAt(double u, int k) const;
  /// Length of flat from the sharp corner to the tangent line: r tan(turn / 2).
  [[nodiscard]] double SetBackAt(double u, int k) const;
  [[nodiscard]] int vertex_count() const;
  [[nodiscard]] double RadiusAt(double u) const;  ///< round only
  /// A place of section coordinates (a, b) at u, in vehicle axes. On a part straight between bent
  /// stations its skin is ruled, so there this is near the skin's own place, not on it.
  [[nodiscard]] Vec3 ToWorld(double u, const Vec2& ab) const;

  // ---- Station and girth
  /// Centre-line length from the start to the section at u, mm.
  [[nodiscard]] double StationOf(double u) const;
  /// The inverse; stations beyond the ends go on at the end's rate.
  [[nodiscard]] double UOfStation(double station) const;
  [[nodiscard]] double length() const { return StationOf(u_end()); }
  /// Outline length at u from the girth origin to v, positive with v, in (-half, half] if closed.
  [[nodiscard]] double GirthOf(double u, double v) const;
  /// The v whose girth from the origin is `girth` at u.
  [[nodiscard]] double VOfGirth(double u, double girth) const;
  /// Length of the whole outline at u.
  [[nodiscard]] double Perimeter(double u) const;
  /// Outline length at u of everything up to v from v = 0 (0 <= v <= piece_count).
  [[nodiscard]] double OutlineLength(double u, double v) const;

  [[nodiscard]] const SkinLaw& law() const { return law_; }
  /// True when the centre line is one straight line.
  [[nodiscard]] bool is_straight() const { return straight_line_; }
  /// True when every section is the same.
  [[nodiscard]] bool is_prismatic() const { return prismatic_; }

 private:
  template <class S>
  struct Frame;
  template <class S>
  Frame<S> FrameT(const S& u, int span) const;
  template <class S>
  V2<S> OutlineT(const S& u, const S& v, int span, int piece) const;
  template <class S>
  V2<S> FlatT(const S& u, const S& v, int span, int piece) const;
  template <class S>
  V2<S> CornerT(const S& u, const S& v, int span, int piece) const;
  template <class S>
  V2<S> VertexT(const S& u, int span, int k) const;
  template <class S>
  V2<S> EdgeT(const S& u, int span, int from, int to) const;
  template <class S>
  S TurnT(const S& u, int span, int at) const;
  template <class S>
  S SetBackT(const S& u, int span, int at) const;
  [[nodiscard]] bool IsLip(int k) const;
  [[nodiscard]] int FlatStart(int piece) const;
  [[nodiscard]] int CornerVertex(int piece) const;
  [[nodiscard]] int NeighbourVertex(int k, int by) const;
  template <class S>
  V3<S> StraightPointT(const S& u, const S& v, int span, int piece) const;

  [[nodiscard]] JetU UprightSetBack(const JetU& u, int span, int at) const;
  [[nodiscard]] V2<Jet> OutlineJet(double u, double v, int span, int piece) const;
  [[nodiscard]] V2<Jet> RoundJet(const JetU& u, double v, int span, int piece) const;
  [[nodiscard]] V2<Jet> UprightFlatJet(const JetU& u, double v, int span, int piece) const;
  [[nodiscard]] V2<Jet> UprightCornerJet(const JetU& u, double v, int span, int piece) const;
  [[nodiscard]] SkinJet SmoothJet(double u, double v, int span, int piece) const;
  [[nodiscard]] SkinJet StraightJet(double u, double v, int span, int piece) const;

  // Making, in this order (skin_make.cpp).
  [[nodiscard]] std::optional<Error> TakeLaw(SkinLaw law);
  void InterpolateCentres();
  void InterpolateSections();
  void FindUprightEdges();
  void BuildMitres();
  void SumStations();
  [[nodiscard]] std::optional<Error> FirstFault() const;
  [[nodiscard]] std::optional<Error> CornerFault() const;
  [[nodiscard]] std::optional<Error> SectionFault(double u, int span) const;
  template <class ValueAt>
  PiecewiseCubic SizeLaw(ValueAt value_at) const;
  template <class ValueAt, class SlopeAt>
  PiecewiseCubic SlopedLaw(ValueAt value_at, SlopeAt slope_at) const;

  [[nodiscard]] SkinPlace Clamped(SkinPlace p) const;
  [[nodiscard]] Vec3 TangentAt(double u, int span) const;
  [[nodiscard]] double CentreSpeed(double u, int span) const;
  [[nodiscard]] double CentreLength(double u, int span) const;
  [[nodiscard]] double PieceLength(double u, int span, int piece) const;

  SkinLaw law_;
  double a_sign_ = 1.0;  // a = a_sign (T x b)
  int piece_count_ = 0;
  bool straight_line_ = false;
  bool prismatic_ = false;
  bool upright_edges_ = false;     // every edge runs along a or b at every station
  std::vector<Vec2> fixed_edges_;  // then: direction of the edge that starts at each vertex
  std::vector<double> knots_;
  std::vector<double> stations_;  // centre-line length at the knots
  PiecewiseCubic centre_[3];
  PiecewiseCubic radius_;
  std::vector<PiecewiseCubic> vertex_a_, vertex_b_, corner_;
  std::vector<SectionFrame> mitre_frames_;  // straight between: one a station
  std::vector<Eigen::Matrix3d> mitre_stretch_;
};

}  // namespace holeward
