// Placing: two measures make a point. Solves the two equations of a rule of placement on a skin and
// keeps every solution, so that none or several can be told to the user.
//
//   Placer placer(skin);                       // once a part
//   auto found = placer.Solve({tape, line});   // all places where both readings agree
//
// Starts come from a grid on the skin where cheap stand-ins of both readings can vanish together;
// each is finished by damped Newton on the readings themselves, to 1e-6 mm or better in each.
#pragma once

#include <array>
#include <memory>
#include <optional>
#include <vector>

#include "geometry/measure.h"
#include "geometry/placed_point.h"

namespace holeward {

/// What a placed point's readings may lack of the rule's, mm (angles: times the radius).
inline constexpr double kPlacingResidual = 1e-6;

/// A rule of placement: two measures and the flat the point lies on.
struct Rule {
  std::array<Measure, 2> measures;
  int flat = -1;  ///< piece of the face's flat; -1: anywhere on the skin
};

/// A place where both readings agree with the rule.
struct Solution {
  SkinPlace place;  ///< v wrapped
  Vec3 position = Vec3::Zero();
  Vec3 normal = Vec3::UnitZ();  ///< outward
  std::array<Sample, 2> samples;
  double conditioning = 0.0;  ///< sine of the angle between the gradients
  bool right_side = true;     ///< both readings' `toward` are met
  /// How far outside its flat the place lies by the section's outline, mm; 0 on it (or no flat).
  double off_face = 0.0;
};

/// The values one reading takes where the other agrees with the rule.
struct ReadingReach {
  double least = 0.0;
  double greatest = 0.0;
  bool any = false;
};

class Placer {
 public:
  explicit Placer(std::shared_ptr<const Skin> skin);

  /// All places on the part where both readings agree, the wrong sides and places off the flat
  /// included and marked; nearest duplicates merged.
  [[nodiscard]] std::vector<Solution> Solve(const Rule& rule) const;

  /// The solution reached from a place near it, or nothing. `near`: samples of the same measures at
  /// that place or near it; without them the tape takes its shortest way there.
  [[nodiscard]] std::optional<Solution> Follow(const Rule& rule, const SkinPlace& start,
                                               const std::array<Sample, 2>* near = nullptr) const;

  /// What measure `which` reads over the part where the other one agrees (to within the grid), on
  /// the flat and the right side, in its own unit.
  [[nodiscard]] ReadingReach ReachOf(const Rule& rule, int which) const;

  [[nodiscard]] const MeasureReader& reader() const { return reader_; }
  [[nodiscard]] const Skin& skin() const { return reader_.skin(); }

 private:
  struct Node {
    double u = 0.0;
    double v = 0.0;
    Vec3 position = Vec3::Zero();
    Vec2 outline = Vec2::Zero();
    double along = 0.0;  // length of the line v = const from the start
  };
  struct Stand;  // a stand-in prepared for the grid
  struct StandLine;
  struct StandStart;
  struct StandIns {
    std::vector<Vec2> both;     // a node: both stand-ins
    std::vector<double> merit;  // a node: how far from both, if near
  };
  struct Start {
    double merit = 0.0;
    SkinPlace place;
    Vec3 position = Vec3::Zero();
  };

  [[nodiscard]] const Node& At(int i, int j) const { return nodes_[IndexOf(i, j)]; }
  [[nodiscard]] std::size_t IndexOf(int i, int j) const {
    return static_cast<std::size_t>(i) * static_cast<std::size_t>(columns_) +
           static_cast<std::size_t>(j);
  }
  [[nodiscard]] const Node& NextTo(int i, int j) const;
  [[nodiscard]] StandLine LineOf(const Origin& origin) const;
  [[nodiscard]] std::vector<double> AlongAt(double u) const;
  [[nodiscard]] StandStart StartOf(const Origin& origin, bool straight) const;
  void PrepareSquare(const Origin& origin, Stand& stand) const;
  [[nodiscard]] Stand Prepare(const Measure& measure) const;
  [[nodiscard]] double StandIn(const Stand& stand, int i, int j) const;
  /// Whether v lies on the flat or a corner beside it; always if there is no flat.
  [[nodiscard]] bool Wanted(int flat, double v) const;
  [[nodiscard]] StandIns StandInsOf(const Rule& rule) const;
  [[nodiscard]] double CellSize(int i, int j) const;
  static void AddStart(const Start& start, double apart, std::vector<Start>& starts);
  void AddCrossings(const Rule& rule, const StandIns& r, int i, int j,
                    std::vector<Start>& starts) const;
  void AddLeast(const Rule& rule, const StandIns& r, int i, int j,
                std::vector<Start>& starts) const;
  [[nodiscard]] bool NearRightSide(const Rule& rule, int i, int j) const;
  [[nodiscard]] bool NearRightSide(const Measure& measure, int i, int j) const;
  /// Where a reading from `origin` starts for a place nearby, about.
  [[nodiscard]] Vec3 StartBeside(const Origin& origin, const SkinPlace& place) const;
  [[nodiscard]] std::optional<double> ValueOnSide(const Measure& measure,
                                                  const SkinPlace& place) const;
  [[nodiscard]] bool IsLeast(const std::vector<double>& merit, int i, int j) const;
  [[nodiscard]] std::vector<SkinPlace> Starts(const Rule& rule) const;
  /// Both readings at a place, the tape by the way of `near`, else by its shortest; nothing if one
  /// has none there.
  [[nodiscard]] std::optional<std::array<Sample, 2>> ReadBoth(
      const Rule& rule, const SkinPlace& place, const std::array<Sample, 2>* near) const;
  /// Newton from a place with its samples until both agree or nothing gets better.
  void Approach(const Rule& rule, SkinPlace* place, std::array<Sample, 2>* samples) const;
  /// The solution at a place whose samples, if any, agree with the rule.
  [[nodiscard]] std::optional<Solution> Agreeing(
      const Rule& rule, const SkinPlace& place, std::optional<std::array<Sample, 2>> samples) const;
  /// The start beside a solution's mirror image across the datum of measure `which` along the other
  /// measure's line, if it is on the right side and within `within` mm.
  [[nodiscard]] std::optional<SkinPlace> TwinOf(const Rule& rule, const Solution& s,
                                                std::size_t which, double within) const;
  /// A start a little beyond where the tape of measure `which` is as long the other way round,
  /// along the other measure's line, if that is within `within` mm.
  [[nodiscard]] std::optional<SkinPlace> TwinRound(const Rule& rule, const Solution& s,
                                                   std::size_t which, double within) const;
  /// A start well past where the reading of measure `which`, taken along the other's line, turns
  /// back; only where it hardly changes along it.
  [[nodiscard]] std::optional<SkinPlace> TwinPastTouch(const Rule& rule, const Solution& s,
                                                       std::size_t which) const;
  /// From a node along the row or the column, or down the gradient, to where `measure` agrees.
  [[nodiscard]] std::optional<SkinPlace> SlideOnto(const Measure& measure, const SkinPlace& start,
                                                   int flat) const;
  [[nodiscard]] Solution Describe(const Rule& rule, const SkinPlace& place,
                                  std::array<Sample, 2> samples) const;

  MeasureReader reader_;
  int rows_ = 0;
  int columns_ = 0;
  std::vector<Node> nodes_;
  std::vector<double> girth_;      // outline length from v = 0, a node
  std::vector<double> perimeter_;  // a row
  std::vector<double> station_;    // a row
};

/// Sine of the angle between two tangent vectors at a place with this normal.
[[nodiscard]] double SineBetween(const Vec3& a, const Vec3& b, const Vec3& normal);

}  // namespace holeward
