// What the readings of a sample would be if its sizes were these: the part's own skin, measured by
// computation. Works in the bench's axes: the part as it lies, in the directions of the vehicle.
#pragma once

#include <array>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "geometry/skin.h"
#include "models/bench_rows.h"
#include "models/job.h"

namespace holeward {

/// Sizes of one row, mm; axes of the bench.
enum class BenchSize { distance, across, up, width, height, diameter, corner, wall };

/// One unknown of the fit. Rows count from 0; nothing: one for the whole part.
struct BenchUnknown {
  BenchSize size = BenchSize::wall;
  std::optional<std::size_t> row;

  /// "width of row 2", "wall".
  [[nodiscard]] std::string Name() const;
};

class BenchModel {
 public:
  /// @param part section, wall, ends, between, open: as read; its stations do not count
  BenchModel(const PartRow& part, const BenchSheet& sheet, Side described);

  [[nodiscard]] const std::vector<BenchUnknown>& unknowns() const { return unknowns_; }
  /// Index of an unknown; the part's common one where rows have none of their own.
  [[nodiscard]] std::optional<Eigen::Index> Find(BenchSize size, std::size_t row) const;
  /// Sizes straight from the rows' own readings; the middle of the others where a row's differ.
  [[nodiscard]] Eigen::VectorXd Start() const;

  /// The stations at x in the bench's axes, origin at the straightedge's 0 on the bench.
  [[nodiscard]] std::vector<StationRow> StationsAt(const Eigen::VectorXd& x) const;
  /// The skin at x. Errors (job): sizes that cannot be.
  [[nodiscard]] Result<Skin> SkinAt(const Eigen::VectorXd& x) const;
  /// All readings at x, in the order of the sheet; nothing where the sizes cannot be.
  [[nodiscard]] std::optional<Eigen::VectorXd> Readings(const Eigen::VectorXd& x) const;
  /// The same a derivative's step beside sizes that can be (Skin::MakeNearby).
  [[nodiscard]] std::optional<Eigen::VectorXd> ReadingsNearby(const Eigen::VectorXd& x) const;
  /// One reading, which need not be of the sheet; a tape by the middle line of its face.
  [[nodiscard]] double ReadingOf(const BenchReading& reading, const Skin& skin,
                                 const Eigen::VectorXd& x) const;
  /// From now on the taut tape's paths are those at x: they move little while the sizes settle.
  /// @return the most that a path's share of its middle line changed; 0 without a tape
  double LayTapes(const Eigen::VectorXd& x);

  /// Directions of the bench in vehicle axes as the part lies: along the straightedge, away from
  /// it in offsets that grow.
  [[nodiscard]] const Vec3& along() const { return along_; }
  [[nodiscard]] Vec3 away() const { return away_sign_ * across_; }
  [[nodiscard]] const Vec3& across() const { return across_; }
  /// The parameter of the section whose centre lies at this distance along the straightedge.
  [[nodiscard]] double UAtDistance(const Skin& skin, double distance) const;

 private:
  [[nodiscard]] Result<SkinLaw> LawAt(const Eigen::VectorXd& x) const;
  [[nodiscard]] std::optional<Eigen::VectorXd> ReadingsOf(const Result<Skin>& skin,
                                                          const Eigen::VectorXd& x) const;
  [[nodiscard]] double FaceValue(const Skin& skin, BenchSide side, double u, double distance) const;
  [[nodiscard]] Vec3 FacePlace(const Skin& skin, BenchSide side, double u, double distance) const;
  [[nodiscard]] SkinPlace OnFace(const Skin& skin, BenchSide side, double u, double distance) const;
  [[nodiscard]] double MidLine(const Skin& skin, const BenchReading& reading,
                               const Eigen::VectorXd& x) const;
  [[nodiscard]] double Value(const Eigen::VectorXd& x, BenchSize size, std::size_t row) const;
  [[nodiscard]] std::vector<double> FaceLines(const Skin& skin, BenchSide side) const;
  [[nodiscard]] double StartSize(std::size_t row, BenchKind kind, BenchSide high,
                                 BenchSide low) const;
  [[nodiscard]] std::optional<double> Own(std::size_t row, BenchKind kind,
                                          BenchSide side = BenchSide::b_plus) const;
  [[nodiscard]] double StartOf(const BenchUnknown& unknown) const;

  PartRow part_;
  BenchSheet sheet_;
  Side described_ = Side::left;
  Vec3 along_ = Vec3::UnitY();
  Vec3 across_ = Vec3::UnitX();  // toward front (else outboard)
  double away_sign_ = 1.0;
  std::vector<BenchUnknown> unknowns_;
  std::vector<double> tape_ratio_;  // a reading: taut path by middle line
};

}  // namespace holeward
