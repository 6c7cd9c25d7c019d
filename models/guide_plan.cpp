#include "models/guide_plan.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>

#include <fmt/format.h>

#include "geometry/datum.h"
#include "geometry/fitting_spread.h"
#include "models/scene_parts.h"

namespace holeward {
namespace {

constexpr double kFlange = 8.0;       // of the saddle round the block, mm
constexpr double kLeastFlange = 1.5;  // where something is in the way, mm
constexpr double kOverEdge = 10.0;    // the saddle goes this far down the other face of an edge, mm
// A lip goes past the wall by this, mm, and no deeper than this share of the corner it turns round.
constexpr double kPastWall = 1.0;
constexpr double kCornerShare = 0.8;

// A saddle that ends this much before what it is lined up by does not reach it, mm.
constexpr double kShort = 1e-6;
// Being lined up is worth this much of the saddle, mm: more than it ever reaches.
constexpr double kLineWorth = 1000.0;

/// Distances from the hole along the skin, mm: to the start, the finish, lower v, higher v.
struct Reaches {
  double start = 0.0;
  double finish = 0.0;
  double lower = 0.0;
  double higher = 0.0;
};

class Planner {
 public:
  Planner(const Part& part, const GuideAsk& ask)
      : part_(part), skin_(*part.skin), ask_(ask), half_(0.5 * BlockSide(ask.bush)) {
    ask_.at.v = skin_.Wrapped(ask.at.v);
    const double out = half_ + kFlange;
    reach_ = {out, out, out, out};
  }

  Result<GuidePlan> Plan() {
    std::optional<Error> fault;
    for (const std::string& datum : ask_.datums) LineUpBy(datum);
    for (const int end : {0, 1}) fault = fault ? fault : StopAtEnd(end);
    for (const Fitting& fitting : part_.fittings) fault = fault ? fault : StopAt(fitting);
    if (fault) return tl::unexpected<Error>(*fault);
    if (!skin_.closed()) {
      if (auto lips = StopAtLips()) return tl::unexpected<Error>(*lips);
    }
    TellLines();
    plan_.saddle = Rectangle();
    for (const int end : {0, 1}) {
      if (hook_[static_cast<std::size_t>(end)]) AddLip(end);
    }
    return plan_;
  }

 private:
  [[nodiscard]] double EndDistance(int end) const {
    return std::abs(LineLength(skin_, ask_.at.v, ask_.at.u, end == 0 ? 0.0 : skin_.u_end()));
  }

  [[nodiscard]] const std::string& EndName(int end) const {
    return end == 0 ? part_.start : part_.finish;
  }

  void OutOfReach(const std::string& datum, double distance) {
    plan_.not_lined_up.push_back(fmt::format(
        "{} is {:.0f} mm away, more than the {:g} mm it reaches", datum, distance, kGuideReach));
  }

  void LineUpBy(const std::string& datum) {
    for (const int end : {0, 1}) {
      if (datum == EndName(end)) return LineUpByEnd(end);
    }
    const auto fitting = std::find_if(part_.fittings.begin(), part_.fittings.end(),
                                      [&](const Fitting& f) { return f.name == datum; });
    if (fitting != part_.fittings.end()) return LineUpByFitting(*fitting);
    LineUpByEdge(datum);
  }

  void LineUpByEnd(int end) {
    const double distance = EndDistance(end);
    if (distance > kGuideReach) return OutOfReach(EndName(end), distance);
    (end == 0 ? reach_.start : reach_.finish) = distance;
    hook_[static_cast<std::size_t>(end)] = true;
    lines_.push_back({EndName(end), "its lip hooks over the ",
                      end == 0 ? &reach_.start : &reach_.finish, distance, end});
  }

  // An edge of the flat the hole is on: the saddle goes on round the corner.
  void LineUpByEdge(const std::string& datum) {
    const int piece = skin_.PieceOf(skin_.Wrapped(ask_.at.v));
    for (const Face& face : part_.faces) {
      if (face.piece != piece) continue;
      for (const bool higher : {false, true}) {
        if ((higher ? face.second_edge : face.first_edge) != datum) continue;
        const double here = Girth(ask_.at.v);
        const double corner_far = Girth(higher ? piece + 2.0 : piece - 1.0);
        const double corner_near = Girth(higher ? piece + 1.0 : piece);
        const double distance = std::abs(corner_near - here);
        if (distance > kGuideReach) return OutOfReach(datum, distance);
        double& reach = higher ? reach_.higher : reach_.lower;
        reach = std::abs(corner_far - here) + kOverEdge;
        lines_.push_back({datum, "it wraps over the ", &reach, std::abs(corner_far - here), -1});
        return;
      }
    }
    plan_.not_lined_up.push_back(
        fmt::format("{}: nothing to bear against; line the bore up with the mark", datum));
  }

  /// Outline length at the hole's section from v = 0, going on past one turn.
  [[nodiscard]] double Girth(double v) const {
    const int n = skin_.piece_count();
    if (!skin_.closed()) v = std::clamp(v, 0.0, static_cast<double>(n));
    const double turns = skin_.closed() ? std::floor(v / n) : 0.0;
    return turns * skin_.Perimeter(ask_.at.u) + skin_.OutlineLength(ask_.at.u, v - turns * n);
  }

  struct Beside {
    bool block = false;       ///< it is a block on the skin
    double along_from = 0.0;  ///< from the hole, mm, toward the finish
    double along_to = 0.0;
    double around_from = 0.0;  ///< from the hole, mm, toward higher v
    double around_to = 0.0;
  };

  [[nodiscard]] double AlongTo(double u) const {
    return LineLength(skin_, ask_.at.v, ask_.at.u, u);
  }

  /// How far from where it is drawn a fitting that readings place may stand along the skin, mm.
  [[nodiscard]] double MovedOf(const Fitting& fitting) const {
    return MovedAtMost(skin_, fitting, 0.0).value_or(kGuideReach);
  }

  // Where a block or stud lies as seen from the hole, one gap and what it may be off added.
  [[nodiscard]] Beside Seen(const Fitting& fitting) const {
    Beside seen;
    if (fitting.shape != FittingShape::block && fitting.shape != FittingShape::stud) return seen;
    seen.block = true;
    const double u = fitting.centre.u;
    const double perimeter = skin_.Perimeter(u);
    double around = skin_.OutlineLength(u, skin_.Wrapped(fitting.centre.v)) -
                    skin_.OutlineLength(u, skin_.Wrapped(ask_.at.v));
    if (skin_.closed()) around -= perimeter * std::round(around / perimeter);
    const bool disc = fitting.footprint.disc || fitting.shape == FittingShape::stud;
    const double half = disc ? 0.5 * fitting.diameter : 0.5 * fitting.footprint.around;
    const double off = ask_.gap + MovedOf(fitting);
    seen.around_from = around - half - off;
    seen.around_to = around + half + off;
    seen.along_from = (disc ? AlongTo(u) - half : AlongTo(fitting.footprint.u_from)) - off;
    seen.along_to = (disc ? AlongTo(u) + half : AlongTo(fitting.footprint.u_to)) + off;
    return seen;
  }

  // A block that stands beyond the hole along the part is butted against.
  void LineUpByFitting(const Fitting& fitting) {
    const Beside seen = Seen(fitting);
    const bool in_line = seen.block && seen.around_from < half_ && seen.around_to > -half_;
    const double distance = seen.along_from > 0.0 ? seen.along_from : -seen.along_to;
    if (!in_line || distance <= 0.0) {
      plan_.not_lined_up.push_back(fmt::format("{} offers no side to butt against", fitting.name));
      return;
    }
    if (distance > kGuideReach) return OutOfReach(fitting.name, distance);
    double& reach = seen.along_from > 0.0 ? reach_.finish : reach_.start;
    reach = distance;
    lines_.push_back({fitting.name, "it butts against the ", &reach, distance, -1});
  }

  [[nodiscard]] Error NoRoom(const std::string& name, double room) const {
    return {
        ErrorKind::job,
        fmt::format("point \"{}\": the {} is {:.1f} mm from the hole; a guide for a bush of {:g} "
                    "mm needs {:.1f} mm",
                    ask_.point, name, std::max(0.0, room), ask_.bush, half_ + kLeastFlange)};
  }

  std::optional<Error> StopAtEnd(int end) {
    double& reach = end == 0 ? reach_.start : reach_.finish;
    reach = std::min(reach, EndDistance(end));
    if (reach >= half_ + kLeastFlange) return std::nullopt;
    return NoRoom(EndName(end), reach);
  }

  // Lower v and higher v of an open section.
  std::optional<Error> StopAtLips() {
    const double here = Girth(ask_.at.v);
    reach_.lower = std::min(reach_.lower, here);
    reach_.higher = std::min(reach_.higher, Girth(skin_.piece_count()) - here);
    const double least = std::min(reach_.lower, reach_.higher);
    if (least >= half_ + kLeastFlange) return std::nullopt;
    return NoRoom("lip", least);
  }

  // Whether a side that gave way to `room` would lose what it is lined up by.
  [[nodiscard]] bool Breaks(const double* reach, double room) const {
    return std::any_of(lines_.begin(), lines_.end(), [&](const Line& line) {
      return line.reach == reach && room < line.wanted - kShort;
    });
  }

  // Gives way to a fitting on the side where that costs the saddle least.
  std::optional<Error> StopAt(const Fitting& fitting) {
    const Beside seen = Seen(fitting);
    const bool clear = !seen.block || seen.along_from >= reach_.finish ||
                       seen.along_to <= -reach_.start || seen.around_from >= reach_.higher ||
                       seen.around_to <= -reach_.lower;
    if (clear) return std::nullopt;
    struct Way {
      double* reach;
      double room;
    };
    Way best{nullptr, 0.0};
    double least_lost = std::numeric_limits<double>::infinity();
    for (const Way& way :
         {Way{&reach_.finish, seen.along_from}, Way{&reach_.start, -seen.along_to},
          Way{&reach_.higher, seen.around_from}, Way{&reach_.lower, -seen.around_to}}) {
      const double lost = *way.reach - way.room + (Breaks(way.reach, way.room) ? kLineWorth : 0.0);
      if (way.room < half_ + kLeastFlange || lost >= least_lost) continue;
      best = way;
      least_lost = lost;
    }
    if (best.reach == nullptr) {
      return NoRoom(fitting.name,
                    std::max({seen.along_from, -seen.along_to, seen.around_from, -seen.around_to}));
    }
    *best.reach = best.room;
    return std::nullopt;
  }

  // A saddle that had to give way on a side does not reach what it was to be lined up by there.
  void TellLines() {
    for (const Line& line : lines_) {
      if (*line.reach > line.wanted - kShort) {
        plan_.lined_up.push_back(line.how + line.datum);
        continue;
      }
      plan_.not_lined_up.push_back(
          fmt::format("{} is not reached: something stands between", line.datum));
      if (line.end >= 0) hook_[static_cast<std::size_t>(line.end)] = false;
    }
  }

  [[nodiscard]] SkinRectangle Rectangle() const {
    SkinRectangle r;
    r.u_from = hook_[0] ? WalkAlong(skin_, {0.0, ask_.at.v}, -ask_.gap - kGuideLip)
                        : WalkAlong(skin_, ask_.at, -reach_.start);
    r.u_to = hook_[1] ? WalkAlong(skin_, {skin_.u_end(), ask_.at.v}, ask_.gap + kGuideLip)
                      : WalkAlong(skin_, ask_.at, reach_.finish);
    r.v_from = VAt(-reach_.lower);
    r.v_to = VAt(reach_.higher);
    return r;
  }

  // The v that lies so far round from the hole, going on past one turn.
  [[nodiscard]] double VAt(double around) const {
    const double here = skin_.closed() ? skin_.Wrapped(ask_.at.v) : ask_.at.v;
    const double wanted = Girth(here) + around;
    double low = here - (skin_.closed() ? skin_.piece_count() : here);
    double high = skin_.closed() ? here + skin_.piece_count() : skin_.piece_count();
    for (int i = 0; i < 60; ++i) {
      const double middle = 0.5 * (low + high);
      (Girth(middle) < wanted ? low : high) = middle;
    }
    return 0.5 * (low + high);
  }

  void AddLip(int end) {
    GuideLip lip{plan_.saddle, part_.wall + kPastWall};
    if (end == 0) {
      lip.rectangle.u_to = WalkAlong(skin_, {0.0, ask_.at.v}, -ask_.gap);
    } else {
      lip.rectangle.u_from = WalkAlong(skin_, {skin_.u_end(), ask_.at.v}, ask_.gap);
    }
    if (!skin_.round()) {
      for (int k = 0; k < skin_.vertex_count(); ++k) {
        const double corner = skin_.CornerRadiusAt(end == 0 ? 0.0 : skin_.u_end(), k);
        if (corner > 0.0) lip.sink = std::min(lip.sink, kCornerShare * corner);
      }
    }
    plan_.lips.push_back(lip);
  }

  const Part& part_;
  const Skin& skin_;
  GuideAsk ask_;
  double half_;
  /// What the saddle is to be lined up by, on one of its sides.
  struct Line {
    std::string datum;
    std::string how;
    const double* reach;
    double wanted;  ///< mm the saddle must reach there
    int end;        ///< of the part, or -1
  };

  Reaches reach_;
  std::vector<Line> lines_;
  std::array<bool, 2> hook_{false, false};
  GuidePlan plan_;
};

}  // namespace

Result<GuidePlan> PlanGuide(const Part& part, const GuideAsk& ask) {
  return Planner(part, ask).Plan();
}

}  // namespace holeward
