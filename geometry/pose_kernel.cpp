#include "geometry/pose_kernel.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "geometry/pose_kernel_impl.h"

namespace holeward {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();
constexpr double kRounding = 2e-9;
constexpr double kSlack = 1e-6;      // how far a pose may lie outside its region by rounding, mm
constexpr double kLeanSlack = 1e-9;  // likewise of angles and sizes

/// What is known of one body in one pose.
struct Known {
  Span depth;
  int obstacle = -1;
  bool exact = false;  ///< refining gains nothing
  bool far_wall = false;
};

void Take(Span& least, const Span& other) {
  least.lower = std::min(least.lower, other.lower);
  least.upper = std::min(least.upper, other.upper);
}

/// One question being answered.
class Answer {
 public:
  Answer(const PoseKernel::Impl& kernel, const PoseDrill& drill, const PoseErrors& errors,
         const PoseQuestion& question)
      : kernel_(kernel), drill_(drill), errors_(errors), question_(question) {}

  PoseBounds Run(const Pose& pose) {
    bounds_.outcome = Readied(pose);
    if (bounds_.outcome != PoseOutcome::undecided) return bounds_;
    Walls();
    for (std::size_t i = 0; i < kernel_.inner.size(); ++i) Inner(i);
    Others();
    Sum();
    if (question_.refine) Refine();
    Conclude();
    return bounds_;
  }

 private:
  // ---- Readying

  PoseOutcome Readied(const Pose& pose) {
    const PoseRegion& region = kernel_.region;
    const double squared = pose.direction.squaredNorm();
    if (!pose.entry.allFinite() || !(std::abs(squared - 1.0) < 1e-6) ||
        !std::isfinite(errors_.wall) || !std::isfinite(errors_.outline) ||
        std::isnan(question_.gap) || std::isnan(question_.needed)) {
      return PoseOutcome::not_finite;
    }
    if (!kernel_.failure.empty()) return PoseOutcome::no_near_wall;
    pose_.entry = kernel_.frame.ToLocal(pose.entry);
    pose_.direction = kernel_.frame.rotation * pose.direction;
    if (std::abs(squared - 1.0) > 1e-15) pose_.direction /= std::sqrt(squared);
    const double across = pose_.entry.head<2>().squaredNorm();
    const double place = region.place + kSlack;
    const double lean = pose_.direction.head<2>().norm();
    if (across > place * place || std::abs(pose_.entry.z()) > region.rise + kSlack ||
        !(pose_.direction.z() > 0.0) || lean > kernel_.sin_tilt + kLeanSlack) {
      return PoseOutcome::beyond_region;
    }
    if (drill_.radius() > region.radius + kLeanSlack || drill_.side() > region.side + kLeanSlack ||
        std::abs(errors_.wall) > region.wall + kLeanSlack ||
        std::abs(errors_.outline) > region.outline + kLeanSlack) {
      return PoseOutcome::beyond_region;
    }
    return ReadiedShifts();
  }

  PoseOutcome ReadiedShifts() const {
    if (errors_.inner_shift.empty()) return PoseOutcome::undecided;
    if (errors_.inner_shift.size() != kernel_.inner.size()) return PoseOutcome::beyond_region;
    const double most = kernel_.region.inner + kSlack;
    for (const Vec3& shift : errors_.inner_shift) {
      if (!shift.allFinite()) return PoseOutcome::not_finite;
      if (shift.squaredNorm() > most * most) return PoseOutcome::beyond_region;
    }
    return PoseOutcome::undecided;
  }

  [[nodiscard]] double FarWall() const { return errors_.wall - errors_.outline; }

  Known& Add(const Span& depth, int obstacle) {
    Known& known = known_[static_cast<std::size_t>(count_++)];
    known = {depth, obstacle, false, false};
    return known;
  }

  // ---- Walls

  void Walls() {
    const int obstacle = kernel_.round ? kernel_.round_obstacle : kernel_.sheet_obstacle;
    Known& far = Add({-kNever, kNever}, obstacle);
    far.far_wall = true;
    if (!kernel_.round || !RoundWalls(far)) SheetWalls(far);
    if (question_.breakthrough && question_.refine && !std::isfinite(bounds_.breakthrough_upper)) {
      const Span searched = SearchBreakthrough(kernel_.near, pose_, drill_, errors_.wall);
      SetBreakthrough(searched);
      bounds_.refined = true;
    }
  }

  void SetBreakthrough(const Span& depth) {
    if (!question_.breakthrough) return;
    bounds_.breakthrough_lower = std::max(0.0, depth.lower);
    bounds_.breakthrough_upper = depth.upper;
  }

  /// Far and near wall of a round tube. The far wall ahead of a circle across the drill's axis is
  /// nearest, and the near wall deepest, at the same place of it.
  bool RoundWalls(Known& far) {
    const RoundWall& wall = *kernel_.round;
    const AcrossView view = ViewAcross(wall.place - pose_.entry, pose_.direction, wall.axis);
    const double least_radius = wall.radius - wall.grown - std::max(errors_.wall, FarWall());
    if (!(view.x + drill_.radius() < least_radius * (1.0 - 1e-9)) || view.c < 0.5) return false;
    const auto far_of = [&](double radius) {
      Span depth;
      for (const PoseDrill::Part& part : drill_.parts()) {
        const Span tip = Chord(radius, view, part.tip_radius);
        Take(depth, {tip.lower + part.front, tip.upper + part.front});
        const Span rim = Chord(radius, view, part.radius);
        Take(depth, {rim.lower + part.back, rim.upper + part.back});
      }
      const double at = view.y / view.c;
      return Span{at + depth.lower, at + depth.upper};
    };
    const double radius = wall.radius - FarWall();
    far.depth = far_of(radius);
    far.exact = true;
    const double widest = view.x + drill_.radius();
    const double steep =
        wall.radius / (view.c * std::sqrt(least_radius * least_radius - widest * widest));
    const double off = 1.01 * wall.grown * steep + kRounding;
    far.depth.lower -= off;
    far.depth.upper += off;
    const Span near = Chord(wall.radius - errors_.wall, view, drill_.radius());
    const double base = view.y / view.c + drill_.full_behind();
    SetBreakthrough({base - near.upper - off, base - near.lower + off});
    return true;
  }

  static Span Chord(double radius, const AcrossView& view, double p) {
    const Span chord = LeastChord(radius, view.x, p, view.tilt);
    return {chord.lower / view.c, chord.upper / view.c};
  }

  void SheetWalls(Known& far) {
    SheetView view;
    if (question_.breakthrough && kernel_.near_sheet.See(pose_, view)) {
      SetBreakthrough(kernel_.near_sheet.Breakthrough(view, drill_, errors_.wall));
    }
    if (kernel_.far_sheet.See(pose_, view)) {
      far.depth = kernel_.far_sheet.FirstTouch(view, drill_, FarWall());
    }
    if (kernel_.far.empty()) {
      far.depth = {kNever, kNever};
      far.exact = true;
    } else if (!(far.depth.lower > 0.0)) {
      far.depth.lower = 0.0;
    }
  }

  // ---- Inner bodies

  [[nodiscard]] Vec3 ShiftOf(std::size_t i) const {
    Vec3 shift(0.0, 0.0, 0.5 * errors_.outline);
    if (!errors_.inner_shift.empty()) shift += kernel_.frame.rotation * errors_.inner_shift[i];
    return shift;
  }

  void Inner(std::size_t i) {
    const InnerGroup& group = kernel_.inner[i];
    const Vec3 entry = pose_.entry - ShiftOf(i);
    const Span wide =
        InnerTouch(group, entry, drill_.wide_parts(), drill_.radius() + drill_.side());
    Known& known = Add(wide, group.obstacle);
    // Nothing met by the widened drill is met by the drill itself.
    if (drill_.side() <= 0.0 || !std::isfinite(wide.lower)) return;
    known.depth = Either(InnerTouch(group, entry, drill_.parts(), drill_.radius()), wide);
  }

  /// A direct hit counts where it is, else the widened drill's.
  static Span Either(const Span& direct, const Span& wide) {
    if (std::isfinite(direct.upper)) return direct;
    if (!std::isfinite(direct.lower)) return wide;
    return {wide.lower, kNever};
  }

  Span InnerTouch(const InnerGroup& group, const Vec3& entry,
                  const std::vector<PoseDrill::Part>& parts, double radius) const {
    Span least;
    for (const Rod& rod : group.rods) Take(least, RodTouchOf(group, rod, entry, parts));
    for (const BalledPiece& balled : group.rest) {
      const double lower = LeastInBall(balled.middle - entry, pose_.direction, balled.radius,
                                       radius, drill_.least_cot());
      least.lower = std::min(least.lower, std::max(lower, 0.0));
    }
    return least;
  }

  Span RodTouchOf(const InnerGroup& group, const Rod& rod, const Vec3& entry,
                  const std::vector<PoseDrill::Part>& parts) const {
    const Cylinder& body = rod.body;
    const Vec3 from = body.place - entry;
    const double along = pose_.direction.dot(body.axis);
    const AcrossView view = ViewAcross(from, pose_.direction, body.axis);
    Span least;
    if (view.c < 0.3) return {0.0, kNever};
    const double off = group.own_error + body.grown;
    const double start = from.dot(body.axis);
    for (const PoseDrill::Part& part : parts) {
      const RodTouch touch = TouchRod(part, view, along, body.radius + off);
      if (!std::isfinite(touch.depth.lower)) continue;
      Span depth = touch.depth;
      if (off > kRounding) depth.upper = TouchRod(part, view, along, body.radius - off).depth.upper;
      const double at = touch.along - start;
      if (at < 0.0 || at > body.length) depth = EndTouch(rod, part, entry, at < 0.0, off);
      if (depth.lower < 0.0) depth = {0.0, kNever};
      Take(least, depth);
    }
    return least;
  }

  /// Touch of the ball at a rod's end, when the endless rod would be met beyond it. A flat end's
  /// ball only bounds it.
  Span EndTouch(const Rod& rod, const PoseDrill::Part& part, const Vec3& entry, bool at_from,
                double off) const {
    const Vec3 end =
        (at_from ? rod.body.place : Vec3(rod.body.place + rod.body.length * rod.body.axis)) - entry;
    const double ahead = end.dot(pose_.direction);
    const double aside = (end - ahead * pose_.direction).norm();
    Span depth = TouchBall(part, ahead, aside, rod.body.radius + off);
    const bool round = at_from ? rod.round_from : rod.round_to;
    if (!round) depth.upper = kNever;
    if (round && off > kRounding) {
      depth.upper = TouchBall(part, ahead, aside, rod.body.radius - off).upper;
    }
    return depth;
  }

  // ---- Everything else

  void Others() {
    if (kernel_.other.empty() || kernel_.other_least > known_[0].depth.upper) return;
    Span least;
    int obstacle = -1;
    const double loose = kernel_.region.wall + kernel_.region.outline;
    for (const BalledPiece& balled : kernel_.other) {
      const double lower =
          std::max(0.0, LeastInBall(balled.middle - pose_.entry, pose_.direction,
                                    balled.radius + loose, drill_.radius(), drill_.least_cot()));
      if (lower >= least.lower) continue;
      least.lower = lower;
      obstacle = balled.piece.obstacle;
    }
    if (std::isfinite(least.lower)) Add(least, obstacle);
    others_ = std::isfinite(least.lower) ? count_ - 1 : -1;
  }

  // ---- Putting together

  void Sum() {
    total_ = {};
    least_ = 0;
    for (int i = 0; i < count_; ++i) {
      const Known& known = known_[static_cast<std::size_t>(i)];
      if (known.depth.lower < total_.lower) least_ = i;
      Take(total_, known.depth);
    }
  }

  [[nodiscard]] bool Decided() const {
    if (total_.lower >= kernel_.region.horizon) return true;
    if (total_.upper - total_.lower <= question_.gap) return true;
    if (std::isinf(question_.needed)) return false;
    return total_.lower > question_.needed || total_.upper <= question_.needed;
  }

  void Refine() {
    for (int round = 0; round < count_ && !Decided(); ++round) {
      Known& known = known_[static_cast<std::size_t>(least_)];
      if (known.exact) break;
      RefineOne(known, least_);
      known.exact = true;
      bounds_.refined = true;
      Sum();
    }
  }

  void RefineOne(Known& known, int index) {
    TouchSearch search;
    search.parts = &drill_.parts();
    search.radius = drill_.radius();
    search.cot = drill_.least_cot();
    search.horizon = std::min(kernel_.region.horizon, HighestOfOthers(index));
    search.gap = question_.gap;
    if (index == 0) {
      search.wall = FarWall();
      Accept(known, SearchTouch(kernel_.far, pose_, search));
    } else if (index == others_) {
      // Far pieces beside a round wall move with it; the rest does not: both are allowed for.
      search.wall = kernel_.round ? std::max(0.0, FarWall()) : 0.0;
      Accept(known, SearchTouch(kernel_.other, pose_, search));
      if (kernel_.round && FarWall() != 0.0) known.depth.upper = kNever;
    } else {
      RefineInner(known, static_cast<std::size_t>(index - 1), search);
    }
  }

  void RefineInner(Known& known, std::size_t i, TouchSearch search) {
    const InnerGroup& group = kernel_.inner[i];
    LocalPose seen = pose_;
    seen.entry -= ShiftOf(i);
    // Cut off nowhere short of the horizon: whether it is met at all decides which drill counts.
    search.horizon = kernel_.region.horizon;
    const FoundTouch direct = SearchTouch(group.all, seen, search);
    Accept(known, direct);
    if (drill_.side() <= 0.0 || std::isfinite(direct.depth.upper)) return;
    search.parts = &drill_.wide_parts();
    search.radius += drill_.side();
    const Span before = direct.depth;
    const FoundTouch wide = SearchTouch(group.all, seen, search);
    Accept(known, wide);
    known.depth = Either(before, wide.depth);
  }

  /// The least upper bound of all bodies but one: nothing deeper of that one matters.
  [[nodiscard]] double HighestOfOthers(int index) const {
    double least = kNever;
    for (int i = 0; i < count_; ++i) {
      if (i != index) least = std::min(least, known_[static_cast<std::size_t>(i)].depth.upper);
    }
    return least;
  }

  void Accept(Known& known, const FoundTouch& found) {
    if (!found.settled) settled_ = false;
    // What the quick bounds proved stays proven.
    known.depth.lower = std::max(known.depth.lower, found.depth.lower);
    known.depth.upper = std::min(known.depth.upper, found.depth.upper);
    if (found.obstacle >= 0) known.obstacle = found.obstacle;
  }

  void Conclude() {
    const Known& known = known_[static_cast<std::size_t>(least_)];
    bounds_.free_lower = total_.lower;
    bounds_.free_upper = total_.upper;
    const bool beyond = total_.lower >= kernel_.region.horizon;
    if (beyond) {
      bounds_.free_lower = kernel_.region.horizon;
      bounds_.free_upper = kNever;
      bounds_.outcome = PoseOutcome::nothing;
      return;
    }
    bounds_.body = known.obstacle;
    bounds_.far_wall = known.far_wall;
    bounds_.outcome = std::isfinite(total_.upper) ? PoseOutcome::met : PoseOutcome::undecided;
    if (!settled_) bounds_.outcome = PoseOutcome::not_settled;
    if (std::isnan(bounds_.free_lower) || std::isnan(bounds_.free_upper)) {
      bounds_.free_lower = -kNever;
      bounds_.free_upper = kNever;
      bounds_.outcome = PoseOutcome::not_settled;
    }
  }

  const PoseKernel::Impl& kernel_;
  const PoseDrill& drill_;
  const PoseErrors& errors_;
  const PoseQuestion& question_;
  LocalPose pose_;
  std::array<Known, PoseKernel::Impl::kMostInner + 2> known_;
  int count_ = 0;
  int others_ = -1;
  int least_ = 0;
  bool settled_ = true;
  Span total_;
  PoseBounds bounds_;
};

}  // namespace

PoseKernel PoseKernel::Make(const std::vector<Obstacle>& obstacles, const PoseRegion& region) {
  auto impl = std::make_shared<Impl>();
  impl->region = region;
  impl->Build(obstacles);
  PoseKernel kernel;
  kernel.impl_ = std::move(impl);
  return kernel;
}

PoseBounds PoseKernel::Evaluate(const Pose& pose, const PoseDrill& drill, const PoseErrors& errors,
                                const PoseQuestion& question) const {
  return Answer(*impl_, drill, errors, question).Run(pose);
}

const std::string& PoseKernel::failure() const { return impl_->failure; }
const PoseRegion& PoseKernel::region() const { return impl_->region; }
double PoseKernel::near_wall() const { return impl_->near_wall; }
int PoseKernel::inner_count() const { return static_cast<int>(impl_->inner.size()); }

std::string PoseKernel::BodyName(const PoseBounds& bounds) const {
  if (bounds.body < 0 || bounds.body >= static_cast<int>(impl_->names.size())) return {};
  return impl_->names[static_cast<std::size_t>(bounds.body)];
}

}  // namespace holeward
