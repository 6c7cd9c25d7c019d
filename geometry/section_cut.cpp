#include "geometry/section_cut.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <tuple>
#include <utility>

#include <fmt/format.h>

#include "geometry/section_sheet.h"
#include "geometry/solid_law.h"

namespace holeward {
namespace {

// How closely the strips must follow the law, mm; finer ones are tried until they do.
constexpr double kWished = 0.004;
constexpr int kFirstIntervals = 16;
constexpr int kMostIntervals = 128;
constexpr double kThin = 0.001;  // what dropping points may move the outline, mm

/// An open stretch's end: which stretch, which of its ends, and where.
struct LooseEnd {
  std::size_t trace = 0;
  std::size_t end = 0;
  Vec2 at = Vec2::Zero();
};

/// Stretches joined into loops: those that stop in one end plane of the part by pairs, in order
/// along the line in which the section meets that plane, for along it metal comes and goes.
class Joiner {
 public:
  /// @param groups at the start and at the finish: which plane the sheet stops in; stretches that
  ///        stop in one plane join
  void Add(std::vector<SheetTrace> traces, std::array<int, 2> groups, int rows) {
    for (SheetTrace& trace : traces) {
      if (trace.closed) {
        loops_.push_back(std::move(trace.points));
        continue;
      }
      for (const std::size_t end : {std::size_t{0}, std::size_t{1}}) {
        const std::size_t at = trace.end_row[end] == rows ? 1 : 0;
        ends_[2 * static_cast<std::size_t>(groups[at]) + at].push_back(
            {open_.size(), end, end == 0 ? trace.points.front() : trace.points.back()});
      }
      open_.push_back(std::move(trace));
    }
  }

  /// The loops; nothing if an end is left over.
  std::optional<std::vector<std::vector<Vec2>>> Loops() {
    joint_.assign(open_.size(), {});
    for (auto& plane : ends_) {
      if (!Pair(plane)) return std::nullopt;
    }
    std::vector<bool> used(open_.size(), false);
    for (std::size_t start = 0; start < open_.size(); ++start) {
      if (used[start]) continue;
      std::vector<Vec2> loop;
      std::size_t at = start;
      std::size_t enter = 0;
      while (!used[at]) {
        used[at] = true;
        const auto& points = open_[at].points;
        if (enter == 0) {
          loop.insert(loop.end(), points.begin(), points.end());
        } else {
          loop.insert(loop.end(), points.rbegin(), points.rend());
        }
        std::tie(at, enter) = joint_[at][1 - enter];
      }
      loops_.push_back(std::move(loop));
    }
    return loops_;
  }

 private:
  bool Pair(std::vector<LooseEnd>& ends) {
    if (ends.size() % 2 != 0) return false;
    Vec2 run = Vec2::UnitX();
    double length = 0.0;
    for (const LooseEnd& end : ends) {
      const Vec2 apart = end.at - ends.front().at;
      if (apart.norm() > length) {
        length = apart.norm();
        run = apart / length;
      }
    }
    std::sort(ends.begin(), ends.end(),
              [&](const LooseEnd& p, const LooseEnd& q) { return p.at.dot(run) < q.at.dot(run); });
    for (std::size_t k = 0; k < ends.size(); k += 2) {
      joint_[ends[k].trace][ends[k].end] = {ends[k + 1].trace, ends[k + 1].end};
      joint_[ends[k + 1].trace][ends[k + 1].end] = {ends[k].trace, ends[k].end};
    }
    return true;
  }

  std::vector<std::vector<Vec2>> loops_;
  std::vector<SheetTrace> open_;
  std::array<std::vector<LooseEnd>, 4> ends_;
  std::vector<std::array<std::pair<std::size_t, std::size_t>, 2>> joint_;
};

}  // namespace

/// The sheets a part's metal is bounded by.
struct SectionCutter::Hollow {
  std::vector<Sheet> sheets;     // closed section: outer, inner; open: one round the metal
  std::array<bool, 2> closed{};  // ends

  static Result<Hollow> Of(const Part& part);
  std::optional<std::vector<CutLoop>> Cut(const CutPlane& plane) const;
};

Result<SectionCutter::Hollow> SectionCutter::Hollow::Of(const Part& part) {
  const auto law = HollowLaw::Make(*part.skin, part.wall, part.end_closed);
  if (!law) return tl::unexpected(law.error());
  HollowLaw::Fineness fineness{kFirstIntervals, false};
  auto strips = law->Strips(fineness);
  auto off = [&] {
    return std::max({strips->outer_deviation, strips->wall_greatest - part.wall,
                     part.wall - strips->wall_least});
  };
  while (strips && off() > kWished && fineness.intervals < kMostIntervals) {
    if (fineness.raised) fineness.intervals *= 2;
    fineness.raised = true;
    auto finer = law->Strips(fineness);
    if (!finer) break;
    strips = std::move(finer);
  }
  if (!strips) return tl::unexpected(strips.error());
  Hollow hollow;
  hollow.closed = part.end_closed;
  if (part.skin->closed()) {
    hollow.sheets = {SheetOf(strips->outer), SheetOf(strips->inner)};
  } else {
    hollow.sheets = {SheetRound(*strips)};
  }
  return hollow;
}

std::optional<std::vector<CutLoop>> SectionCutter::Hollow::Cut(const CutPlane& plane) const {
  Joiner joiner;
  // Groups of end planes: 0 those of the outside; the inside stops in the same where the end is
  // open, in planes of its own where it is closed.
  for (std::size_t k = 0; k < sheets.size(); ++k) {
    std::vector<SheetTrace> traces = CutSheet(sheets[k], plane);
    joiner.Add(std::move(traces), {k == 1 && closed[0] ? 1 : 0, k == 1 && closed[1] ? 1 : 0},
               sheets[k].rows);
  }
  const auto loops = joiner.Loops();
  if (!loops) return std::nullopt;
  std::vector<CutLoop> cut;
  for (const std::vector<Vec2>& points : *loops) {
    cut.push_back(Thinned({points, std::vector<bool>(points.size(), true)}, kThin));
  }
  return cut;
}

SectionCutter::SectionCutter(const Scene& scene) : scene_(std::make_shared<const Scene>(scene)) {
  for (const Part& part : scene_->parts) {
    auto hollow = Hollow::Of(part);
    if (hollow) {
      hollows_.push_back(std::make_shared<const Hollow>(std::move(*hollow)));
    } else {
      hollows_.push_back(nullptr);
      faults_.push_back(
          fmt::format("the metal of {} is not drawn: {}", part.name, hollow.error().message));
    }
  }
}

SectionDrawing SectionCutter::Cut(const CutPlane& plane, const Eigen::AlignedBox2d& window) const {
  SectionDrawing drawing;
  drawing.notes = faults_;
  auto add = [&](std::vector<CutRegion> regions, const std::string& part) {
    for (CutRegion& region : regions) {
      region.part = part;
      drawing.regions.push_back(std::move(region));
    }
  };
  for (std::size_t k = 0; k < scene_->parts.size(); ++k) {
    const Part& part = scene_->parts[k];
    if (!hollows_[k]) continue;
    const auto loops = hollows_[k]->Cut(plane);
    if (!loops) {
      drawing.notes.push_back(
          fmt::format("the metal of {} is not drawn: its section did not close", part.name));
      continue;
    }
    CutRegion region{part.name, part.name, CutKind::metal, {}, {}};
    for (const CutLoop& loop : *loops) {
      CutLoop seen = Clipped(loop, window);
      if (!seen.points.empty()) region.loops.push_back(std::move(seen));
    }
    if (!region.loops.empty()) drawing.regions.push_back(std::move(region));
  }
  for (const Part& part : scene_->parts) {
    for (const InnerBody& body : part.inner) add(CutOf(body, plane, window), part.name);
    for (const Fitting& fitting : part.fittings) {
      add(CutOf(fitting, *part.skin, plane, window), part.name);
      if (fitting.shape == FittingShape::block && !fitting.height) {
        drawing.notes.push_back(
            fmt::format("{} has no stated height and is not drawn", fitting.name));
      }
    }
  }
  for (const Neighbour& neighbour : scene_->neighbours) add(CutOf(neighbour, plane, window), "");
  return drawing;
}

}  // namespace holeward
