#include "viewer/hole_section.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "geometry/drill.h"
#include "models/section_plane.h"

namespace holeward {
namespace {

constexpr double kBehind = 60.0;  // mm of the drill drawn outside the part
constexpr double kBeside = 12.0;  // mm shown beside the part
constexpr double kNearPlane = 3.0;
constexpr double kBehindNearWall = 0.5;  // mm by which what is behind the near wall is behind it
constexpr double kDeepestShown = 160.0;

const HoleCheck* CheckOf(const SideState& side, const SectionWish& wish) {
  const auto check = std::find_if(
      side.checking.holes.begin(), side.checking.holes.end(),
      [&](const HoleCheck& h) { return h.point == wish.point && h.stage == wish.stage; });
  return check == side.checking.holes.end() ? nullptr : &*check;
}

/// The word for a way of the vehicle, where one leads within 50 degrees of it.
std::string WordOfWay(const Vec3& way, double outboard_y) {
  const std::array<std::pair<Vec3, const char*>, 6> words = {
      {{Vec3::UnitX(), "FRONT"},
       {-Vec3::UnitX(), "REAR"},
       {outboard_y * Vec3::UnitY(), "OUTBOARD"},
       {-outboard_y * Vec3::UnitY(), "INBOARD"},
       {Vec3::UnitZ(), "UP"},
       {-Vec3::UnitZ(), "DOWN"}}};
  const auto best = std::max_element(words.begin(), words.end(), [&](const auto& a, const auto& b) {
    return a.first.dot(way) < b.first.dot(way);
  });
  return best->first.dot(way) > 0.64 ? best->second : "";
}

/// Where the axis runs inside a region.
struct AxisSpan {
  double from = 0.0;
  double to = 0.0;
};

std::vector<AxisSpan> SpansOnAxis(const CutRegion& region) {
  std::vector<double> crossings;
  for (const CutLoop& loop : region.loops) {
    for (std::size_t i = 0; i < loop.points.size(); ++i) {
      const Vec2& p = loop.points[i];
      const Vec2& q = loop.points[(i + 1) % loop.points.size()];
      if ((p.x() < 0.0) == (q.x() < 0.0)) continue;
      crossings.push_back(p.y() + (q.y() - p.y()) * p.x() / (p.x() - q.x()));
    }
  }
  std::sort(crossings.begin(), crossings.end());
  std::vector<AxisSpan> spans;
  for (std::size_t i = 0; i + 1 < crossings.size(); i += 2) {
    spans.push_back({crossings[i], crossings[i + 1]});
  }
  return spans;
}

std::string Mm(double value) { return fmt::format("{:.1f}", value); }
/// A margin is never shown better than it is.
std::string DownMm(double value) { return fmt::format("{:.1f}", std::floor(value * 10.0) / 10.0); }

/// Dimensions what the axis passes through behind the near wall: the first inner body, the far
/// wall.
void AddBodiesBehind(const HoleCheck& check, HoleSection& section) {
  std::optional<SectionDimension> wall;
  std::optional<SectionDimension> inner;
  for (const CutRegion& region : section.regions) {
    const bool is_wall = region.kind == CutKind::metal && region.part == check.part;
    if (!is_wall && region.kind != CutKind::inner_body) continue;
    std::optional<SectionDimension>& found = is_wall ? wall : inner;
    for (const AxisSpan& span : SpansOnAxis(region)) {
      if (span.from < check.near_wall + kBehindNearWall) continue;
      if (found && found->from < span.from) continue;
      found = {span.from, span.to,
               fmt::format("{} {}", is_wall ? "far wall" : region.body, Mm(span.to - span.from))};
    }
  }
  for (const auto& found : {inner, wall}) {
    if (found) section.dimensions.push_back(*found);
  }
}

void AddMargin(const HoleCheck& check, HoleSection& section) {
  if (!check.free_depth || !check.margin || *check.margin <= 0.0) return;
  section.dimensions.push_back(
      {*check.free_depth - *check.margin, *check.free_depth,
       fmt::format("margin {}{}", DownMm(*check.margin),
                   check.margin_worst ? ", worst " + DownMm(*check.margin_worst) : "")});
}

void AddDimensions(const HoleCheck& check, HoleSection& section) {
  if (check.outcome == Outcome::not_computed) return;
  section.dimensions.push_back({0.0, check.near_wall, "near wall " + Mm(check.near_wall)});
  section.levels.push_back({check.breakthrough, "break-through " + Mm(check.breakthrough)});
  if (check.stop) {
    section.levels.push_back(
        {*check.stop, fmt::format("stop {}{}", Mm(*check.stop),
                                  check.stop_from == StopFrom::proposed ? ", proposed" : "")});
  }
  if (check.free_depth && check.first_contact) {
    section.levels.push_back(
        {*check.free_depth,
         fmt::format("meets {} at {}", check.first_contact->body, Mm(*check.free_depth))});
  }
  if (check.free_depth_worst) {
    section.levels.push_back(
        {*check.free_depth_worst, "nothing met above " + DownMm(*check.free_depth_worst)});
  }
}

std::string NowWords(const HoleCheck& check, double depth) {
  std::string words = fmt::format("tip at {} mm: ", Mm(depth));
  if (check.outcome == Outcome::not_computed) return words + "not computed";
  if (check.free_depth && depth >= *check.free_depth) {
    return words + fmt::format("in {}", check.first_contact ? check.first_contact->body : "metal");
  }
  if (check.free_depth_worst && depth >= *check.free_depth_worst) {
    return words + "a badly held drill may touch";
  }
  words += depth < check.breakthrough ? "still in the near wall" : "through the near wall";
  if (check.free_depth) {
    words += fmt::format(", {} mm to {} as intended", DownMm(*check.free_depth - depth),
                         check.first_contact ? check.first_contact->body : "metal");
  }
  return words;
}

void AddContact(const HoleCheck& check, const CutPlane& plane, HoleSection& section) {
  if (!check.first_contact) return;
  section.contact_words = fmt::format("meets {} at {} mm", check.first_contact->body,
                                      check.free_depth ? Mm(*check.free_depth) : "?");
  if (std::abs(plane.Height(check.first_contact->position)) < kNearPlane) {
    section.contact = plane.Flat(check.first_contact->position);
  }
}

}  // namespace

Result<HoleSection> HoleSections::At(const SectionWish& wish) {
  if (wish.side >= state_->sides.size()) return Fail(ErrorKind::job, "there is no such side");
  const SideState& side = state_->sides[wish.side];
  const PlacedPoint* placed = state_->Placed(wish.side, wish.point);
  const PointRow* row = state_->job.FindPoint(wish.point);
  const HoleCheck* check = CheckOf(side, wish);
  const Part* part = placed == nullptr ? nullptr : side.scene->FindPart(placed->part);
  if (part == nullptr || row == nullptr || row->use != PointUse::drill) {
    return Fail(ErrorKind::job, "choose a drill point to see its section");
  }
  if (check == nullptr) {
    return Fail(ErrorKind::computed, state_->errors.empty()
                                         ? "it is being checked"
                                         : "the job has errors: nothing is checked");
  }
  const auto drill = Drill::Of(state_->job.drill, check->diameter);
  if (!drill) return tl::unexpected<Error>(drill.error());
  const auto intended = IntendedPose(state_->job, *row, *placed);
  if (!intended) return tl::unexpected<Error>(intended.error());
  const Pose& pose = *intended;
  const auto plane = SectionPlane(*part, placed->place, pose, wish.turn);
  if (!plane) return tl::unexpected<Error>(plane.error());

  cutters_.resize(state_->sides.size());
  if (!cutters_[wish.side]) cutters_[wish.side].emplace(*side.scene);
  const double size = part->skin->Perimeter(placed->place.u) / 2.0 + kBeside;
  HoleSection section;
  section.regions =
      cutters_[wish.side]->Cut(*plane, {Vec2(-size, -2.0 * kBeside), Vec2(size, size)}).regions;
  section.title = fmt::format("{}, {}, stage {}, {:g} mm", wish.point, WordOf(side.side),
                              wish.stage, check->diameter);
  const double run = check->breakthrough + state_->job.marking.run_on;
  const double depth = wish.depth.value_or(SetDepth(state_->job, *check));
  section.drill = DrillOutline(*plane, pose, *drill, {depth, depth + kBehind});
  if (check->worst_pose) {
    const AttainedPose& worst = *check->worst_pose;
    section.worst = DrillOutline(*plane, {worst.entry, worst.direction}, *drill,
                                 {worst.depth, worst.depth + kBehind});
  }
  AddDimensions(*check, section);
  AddMargin(*check, section);
  AddBodiesBehind(*check, section);
  AddContact(*check, *plane, section);
  section.depth = depth;
  section.now = NowWords(*check, depth);
  section.right_word = WordOfWay(plane->x, side.scene->outboard_y);
  section.left_word = WordOfWay(-plane->x, side.scene->outboard_y);
  section.tip_word = WordOfWay(plane->y, side.scene->outboard_y);
  section.deepest = std::max({depth, check->free_depth.value_or(0.0), run});
  for (const SectionDimension& dimension : section.dimensions) {
    if (dimension.to < kDeepestShown) section.deepest = std::max(section.deepest, dimension.to);
  }
  section.deepest += kBeside;
  return section;
}

}  // namespace holeward
