#include "geometry/misfit_fit.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <tuple>
#include <utility>

#include <Eigen/Cholesky>

namespace holeward {
namespace {

constexpr int kSettleSteps = 8;
constexpr int kLawsonRounds = 16;
constexpr double kSettled = 1e-6;  // mm
// Holds what the lines leave free; relative to the sum of the weights.
constexpr double kHold = 1e-7;

// The nearest place of a polyline, and the unit normal there; none at its ends and corners, where
// every way counts.
struct Nearest {
  Vec2 at = Vec2::Zero();
  std::optional<Vec2> normal;
  double distance = 1e300;
};

Nearest NearestOn(const std::vector<Vec2>& line, const Vec2& p) {
  Nearest best;
  best.at = line.front();
  best.distance = (p - line.front()).norm();
  for (std::size_t k = 1; k < line.size(); ++k) {
    const Vec2 way = line[k] - line[k - 1];
    const double along = way.dot(p - line[k - 1]) / way.squaredNorm();
    const Vec2 at = line[k - 1] + std::clamp(along, 0.0, 1.0) * way;
    const double distance = (p - at).norm();
    if (distance >= best.distance) continue;
    const bool beyond = (along <= 0.0 && k == 1) || (along >= 1.0 && k + 1 == line.size());
    best = {at, std::nullopt, distance};
    if (!beyond) best.normal = Vec2(-way.y(), way.x()).normalized();
  }
  return best;
}

// A chord as a line without ends.
Nearest NearestOnChord(const std::vector<Vec2>& line, const Vec2& p) {
  const Vec2 way = line.back() - line.front();
  if (way.norm() < 1e-9) return {line.front(), std::nullopt, (p - line.front()).norm()};
  const Vec2 normal = Vec2(-way.y(), way.x()).normalized();
  const double off = normal.dot(p - line.front());
  return {p - off * normal, normal, std::abs(off)};
}

Vec2 ChordOf(const Feature& f) { return f.points.back() - f.points.front(); }

// A place of the piece that is to lie on some of the target's lines.
struct Pull {
  Vec2 from = Vec2::Zero();
  std::vector<const Feature*> on;
  double weight = 1.0;
};

// Lays pulls on their lines, starting from a motion.
class Layer {
 public:
  Layer(std::vector<Pull> pulls, const RigidMotion& start)
      : pulls_(std::move(pulls)), motion_(start) {}

  void Settle(bool chords, int steps) {
    for (int k = 0; k < steps; ++k) {
      if (Step(chords) < kSettled) break;
    }
  }

  [[nodiscard]] std::vector<double> Distances() const {
    std::vector<double> out;
    for (const Pull& pull : pulls_) out.push_back(Of(pull, false).distance);
    return out;
  }

  // The root of the weighted mean square.
  [[nodiscard]] double Mean(const std::vector<double>& distances) const {
    double sum = 0.0, weights = 0.0;
    for (std::size_t k = 0; k < distances.size(); ++k) {
      sum += pulls_[k].weight * distances[k] * distances[k];
      weights += pulls_[k].weight;
    }
    return std::sqrt(sum / weights);
  }

  void Reweigh(const std::vector<double>& distances) {
    const double worst = *std::max_element(distances.begin(), distances.end());
    if (!(worst > 0.0)) return;
    double most = 0.0;
    for (std::size_t k = 0; k < distances.size(); ++k) {
      pulls_[k].weight *= distances[k] / worst + 1e-3;
      most = std::max(most, pulls_[k].weight);
    }
    for (Pull& pull : pulls_) pull.weight /= most;
  }

  [[nodiscard]] const RigidMotion& motion() const { return motion_; }

 private:
  [[nodiscard]] Nearest Of(const Pull& pull, bool chord) const {
    Nearest best;
    for (const Feature* line : pull.on) {
      const Vec2 at = motion_(pull.from);
      const Nearest one = chord ? NearestOnChord(line->points, at) : NearestOn(line->points, at);
      if (one.distance < best.distance) best = one;
    }
    return best;
  }

  // One Gauss-Newton step of the weighted squares; how far it moves a place, mm.
  double Step(bool chords) {
    Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
    Vec3 right = Vec3::Zero();
    Vec2 middle = Vec2::Zero();
    for (const Pull& pull : pulls_) middle += motion_(pull.from);
    middle /= static_cast<double>(pulls_.size());
    double weights = 0.0, reach = 1.0;
    for (const Pull& pull : pulls_) {
      const Vec2 at = motion_(pull.from);
      const Nearest near = Of(pull, chords);
      const Vec2 arm = at - middle;
      reach = std::max(reach, arm.norm());
      weights += pull.weight;
      const auto add = [&](const Vec2& way) {
        const Vec3 row(way.dot(Vec2(-arm.y(), arm.x())), way.x(), way.y());
        normal += pull.weight * row * row.transpose();
        right -= pull.weight * row * way.dot(at - near.at);
      };
      if (near.normal) {
        add(*near.normal);
      } else {
        add(Vec2::UnitX());
        add(Vec2::UnitY());
      }
    }
    normal(0, 0) += kHold * weights * reach * reach;
    normal(1, 1) += kHold * weights;
    normal(2, 2) += kHold * weights;
    Vec3 move = normal.ldlt().solve(right);
    if (!move.allFinite()) return 0.0;
    move(0) = std::clamp(move(0), -0.3, 0.3);
    const Eigen::Rotation2Dd turn(move(0));
    motion_.shift = turn * (motion_.shift - middle) + middle + move.tail<2>();
    motion_.angle += move(0);
    return std::abs(move(0)) * reach + move.tail<2>().norm();
  }

  std::vector<Pull> pulls_;
  RigidMotion motion_;
};

// The two lines of the piece that fix it best: the longest, and the one most across it (by its
// length there). One line or place alone: twice the same.
std::pair<std::size_t, std::size_t> FixingPair(const std::vector<Feature>& piece) {
  std::size_t first = 0, second = 0;
  for (std::size_t k = 1; k < piece.size(); ++k) {
    if (ChordOf(piece[k]).norm() > ChordOf(piece[first]).norm()) first = k;
  }
  const Vec2 along = ChordOf(piece[first]).stableNormalized();
  double best = 0.0;
  second = first;
  for (std::size_t k = 0; k < piece.size(); ++k) {
    const Vec2 way = ChordOf(piece[k]);
    const double across = std::abs(along.x() * way.y() - along.y() * way.x());
    if (k == first || across <= best) continue;
    best = across;
    second = k;
  }
  return {first, second};
}

std::vector<const Feature*> LikeOf(const Feature& f, const std::vector<Feature>& target) {
  std::vector<const Feature*> out;
  for (const Feature& t : target) {
    if (t.kind == f.kind) out.push_back(&t);
  }
  return out;
}

class Fitter {
 public:
  Fitter(const std::vector<Feature>& piece, const std::vector<Feature>& target, double give_up)
      : piece_(piece), target_(target), give_up_(give_up) {}

  std::vector<RigidFit> Run() {
    for (const Feature& f : piece_) {
      if (LikeOf(f, target_).empty()) return {};
    }
    if (piece_.empty()) return {};
    std::tie(first_, second_) = FixingPair(piece_);
    for (const Feature* a : LikeOf(piece_[first_], target_)) {
      for (const Feature* b : LikeOf(piece_[second_], target_)) {
        if (first_ == second_ && a != b) continue;
        if (first_ != second_ && a == b) continue;
        Try(*a, *b, false);
        Try(*a, *b, true);
      }
    }
    return std::move(out_);
  }

 private:
  [[nodiscard]] std::vector<Pull> Pulls(const Feature& a, const Feature& b, bool all) const {
    std::vector<Pull> out;
    for (std::size_t k = 0; k < piece_.size(); ++k) {
      if (!all && k != first_ && k != second_) continue;
      std::vector<const Feature*> on = LikeOf(piece_[k], target_);
      if (k == second_) on = {&b};
      if (k == first_) on = {&a};
      for (const Vec2& p : piece_[k].points) out.push_back({p, on, 1.0});
    }
    return out;
  }

  void Try(const Feature& a, const Feature& b, bool back) {
    const Vec2 from = ChordOf(piece_[first_]), to = ChordOf(a);
    RigidMotion start;
    start.angle = std::atan2(to.y(), to.x()) - std::atan2(from.y(), from.x()) + (back ? kPi : 0.0);
    const auto middle = [](const Feature& f) -> Vec2 {
      return 0.5 * (f.points.front() + f.points.back());
    };
    start.shift = middle(a) - start.Turned(middle(piece_[first_]));
    Layer rough(Pulls(a, b, false), start);
    rough.Settle(true, 3);
    Layer fine(Pulls(a, b, true), rough.motion());
    fine.Settle(false, kSettleSteps);
    std::vector<double> distances = fine.Distances();
    RigidFit fit;
    fit.least = fine.Mean(distances);
    fit.worst = *std::max_element(distances.begin(), distances.end());
    fit.motion = fine.motion();
    if (fit.least > give_up_) return;
    for (int round = 0; round < kLawsonRounds && fit.worst > 1e-3; ++round) {
      fine.Reweigh(distances);
      fine.Settle(false, 3);
      distances = fine.Distances();
      fit.least = std::max(fit.least, fine.Mean(distances));
      const double worst = *std::max_element(distances.begin(), distances.end());
      if (worst >= fit.worst) continue;
      fit.worst = worst;
      fit.motion = fine.motion();
    }
    if (fit.least > give_up_) return;
    out_.push_back(fit);
  }

  const std::vector<Feature>& piece_;
  const std::vector<Feature>& target_;
  double give_up_;
  std::size_t first_ = 0, second_ = 0;
  std::vector<RigidFit> out_;
};

}  // namespace

double DistanceTo(const std::vector<Vec2>& line, const Vec2& p) {
  return NearestOn(line, p).distance;
}

std::vector<RigidFit> FitLines(const std::vector<Feature>& piece,
                               const std::vector<Feature>& target, double give_up) {
  return Fitter(piece, target, give_up).Run();
}

}  // namespace holeward
