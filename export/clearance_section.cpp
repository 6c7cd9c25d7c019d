#include "export/clearance_section.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "export/clearance_dimension.h"
#include "export/clearance_frame.h"
#include "export/clearance_hatch.h"
#include "export/clearance_view.h"
#include "export/lettering.h"
#include "export/symbols.h"

namespace holeward {
namespace {

constexpr double kTitleStrip = 9.5;
constexpr double kKeyStrip = 10.5;
constexpr double kSwatch = 8.0;

struct HatchLook {
  double turn_rad;
  double spacing;  ///< mm on the page
};
HatchLook LookOf(SheetRegionKind kind) {
  switch (kind) {
    case SheetRegionKind::wall: return {45.0 * kDegree, 1.6};
    case SheetRegionKind::inner: return {135.0 * kDegree, 2.2};
    case SheetRegionKind::fitting: return {135.0 * kDegree, 3.0};
    case SheetRegionKind::other: return {135.0 * kDegree, 4.0};
  }
  return {45.0 * kDegree, 1.6};
}

double WidthOf(SheetRegionKind kind) {
  return kind == SheetRegionKind::fitting || kind == SheetRegionKind::other ? kMiddleWidth
                                                                            : kWideWidth;
}

void Widen(Box* box, const Vec2& p) {
  box->low = box->low.cwiseMin(p);
  box->high = box->high.cwiseMax(p);
}

/// Draws one stage's section.
class Artist {
 public:
  Artist(const ClearanceHole& hole, const Box& room, Drawing* drawing)
      : hole_(hole),
        picture_(*hole.section),
        room_(room),
        views_{{room.low.x(), room.low.y() + kKeyStrip},
               {room.high.x(), room.high.y() - kTitleStrip}},
        drawing_(drawing) {}

  DrawnSection Draw() {
    drawn_.whole = WholeView(hole_, views_);
    drawn_.detail = DetailView(hole_, views_);
    DrawTitles();
    DrawView(drawn_.whole, 1.0);
    DrawView(drawn_.detail, drawn_.detail.scale > 2.0 ? 1.5 : 1.0);
    Box frame = drawn_.detail.window;
    drawing_->AddBox(Group::mark, frame, kHairWidth);
    DimensionWhole();
    DimensionDetail();
    MarkDetail();
    DrawCompass();
    NameBodies();
    DrawKey();
    return std::move(drawn_);
  }

 private:
  // ---- What is seen

  [[nodiscard]] static std::vector<Vec2> On(const SectionView& view,
                                            const std::vector<Vec2>& points) {
    std::vector<Vec2> out;
    out.reserve(points.size());
    for (const Vec2& p : points) out.push_back(view.At(p));
    return out;
  }

  struct Pen {
    double width;
    LineType type;
  };

  void Run(const SectionView& view, const std::vector<Vec2>& on_page, bool closed,
           const Loops& holes, const Pen& pen) {
    for (const auto& run : Visible(on_page, closed, view.window, holes)) {
      Stroke stroke{run, pen.width, pen.type, false};
      stroke.closed = run.size() > 3 && (run.front() - run.back()).norm() < 1e-6;
      if (stroke.closed) stroke.points.pop_back();
      drawing_->Add(Group::cut, stroke);
      if (&view == &drawn_.whole) seen_.push_back(run);
    }
  }

  /// A body's border: only the edges that are one.
  void Border(const SectionView& view, const SheetLoop& loop, const Loops& holes, const Pen& pen) {
    if (std::find(loop.drawn.begin(), loop.drawn.end(), false) == loop.drawn.end()) {
      return Run(view, On(view, loop.points), true, holes, pen);
    }
    const std::size_t count = loop.points.size();
    // Begin after an edge that is none, so that every run is whole.
    const auto gap = static_cast<std::size_t>(
        std::find(loop.drawn.begin(), loop.drawn.end(), false) - loop.drawn.begin());
    std::vector<Vec2> run;
    for (std::size_t i = 1; i <= count; ++i) {
      const std::size_t at = (gap + i) % count;
      run.push_back(view.At(loop.points[at]));
      if (loop.drawn[at]) continue;
      Run(view, run, false, holes, pen);
      run.clear();
    }
  }

  void DrawView(const SectionView& view, double wider) {
    Loops holes;
    for (const SheetLoop& loop : picture_.drill_set) holes.push_back(On(view, loop.points));
    for (const SheetRegion& region : picture_.regions) {
      Loops loops;
      for (const SheetLoop& loop : region.loops) loops.push_back(On(view, loop.points));
      const HatchLook look = LookOf(region.kind);
      for (const Segment2& line :
           Hatch(loops, look.turn_rad, look.spacing * wider, view.window, holes)) {
        drawing_->AddLine(Group::fold, line.first, line.second, kHairWidth);
        if (&view == &drawn_.whole) seen_.push_back({line.first, line.second});
      }
      for (const SheetLoop& loop : region.loops) {
        Border(view, loop, holes, {WidthOf(region.kind), LineType::continuous});
      }
      if (region.centre) CentreCross(view, region, loops);
    }
    const Pen contact{kNarrowWidth, LineType::dash_double_dot};
    const Pen worst{kHairWidth, LineType::continuous};
    const Pen set{kWideWidth, LineType::continuous};
    for (const SheetLoop& loop : picture_.drill_contact) Border(view, loop, holes, contact);
    for (const SheetLoop& loop : picture_.drill_worst) Border(view, loop, {}, worst);
    for (const SheetLoop& loop : picture_.drill_set) Border(view, loop, {}, set);
    const Vec2 top(view.entry.x(), view.window.high.y());
    const Vec2 low(view.entry.x(), view.window.low.y());
    drawing_->Add(Group::fold, Stroke{{top, low}, kNarrowWidth, LineType::dash_dot, false});
    if (&view == &drawn_.whole) seen_.push_back({top, low});
  }

  void CentreCross(const SectionView& view, const SheetRegion& region, const Loops& loops) {
    Box box{view.At(*region.centre), view.At(*region.centre)};
    for (const auto& loop : loops) {
      for (const Vec2& p : loop) Widen(&box, p);
    }
    const Vec2 centre = view.At(*region.centre);
    const Vec2 half = box.Size() / 2.0 + Vec2::Constant(2.0);
    for (const Vec2& arm : {Vec2(half.x(), 0.0), Vec2(0.0, half.y())}) {
      for (const auto& run : Visible({centre - arm, centre + arm}, false, view.window, {})) {
        drawing_->Add(Group::fold, Stroke{run, kHairWidth, LineType::dash_dot, false});
        if (&view == &drawn_.whole) seen_.push_back(run);
      }
    }
  }

  // ---- Words

  void Keep(const std::vector<Box>& boxes) {
    drawn_.words.insert(drawn_.words.end(), boxes.begin(), boxes.end());
  }

  void DrawTitles() {
    const double width = kWholeWindow + kWholeWords - 4.0;
    const std::string words = fmt::format("Section through the drill axis, {}. Scale {}",
                                          picture_.plane, drawn_.whole.scale_words);
    auto lines = WrapText(words, width, kText25, true);
    if (lines.size() > 2) {
      lines = {lines[0],
               FitText(fmt::format("… Scale {}", drawn_.whole.scale_words), width, {kText25}, true)
                   .words};
    }
    double y = room_.high.y() - kText25;
    for (const std::string& line : lines) {
      BoldLetter(line, {room_.low.x(), y}, kText25, drawing_);
      y -= 3.9;
    }
    BoldLetter(fmt::format("Detail A, scale {}", drawn_.detail.scale_words),
               {drawn_.detail.window.low.x(), drawn_.detail.window.high.y() + 1.6}, kText25,
               drawing_);
  }

  [[nodiscard]] const char* SetWord() const { return hole_.check.stop ? "stop" : "run-on"; }

  void DimensionWhole() {
    const SectionView& view = drawn_.whole;
    const HoleCheck& check = hole_.check;
    const double x = view.window.high.x() + 3.0;
    const double set = view.At({0.0, -picture_.set_depth}).y();
    const double skin = view.entry.y();
    std::vector<Level> levels = {
        {(skin + set) / 2.0, {fmt::format("{} {:.2f}", SetWord(), picture_.set_depth)}}};
    const auto across = [&](double y) {
      if (y < view.window.low.y()) return;
      drawing_->AddLine(Group::mark, {view.entry.x(), y}, {x + 1.0, y}, kHairWidth);
      seen_.push_back({{view.entry.x(), y}, {x + 1.0, y}});
    };
    across(skin);
    across(set);
    DrawUpright(x, skin, set, drawing_);
    drawn_.dimensions.push_back({"set", {x, skin}, {x, set}, picture_.set_depth, view.scale});
    if (check.outcome == Outcome::met && check.free_depth && check.margin) {
      const double met = view.At({0.0, -*check.free_depth}).y();
      std::vector<std::string> words = {fmt::format("margin {:.1f}", *check.margin)};
      if (check.margin_worst)
        words.push_back(fmt::format("worst {:.1f}", RoundedDown(*check.margin_worst)));
      if (met >= view.window.low.y()) {
        across(met);
        DrawUpright(x, set, met, drawing_);
        drawn_.dimensions.push_back({"margin", {x, set}, {x, met}, *check.margin, view.scale});
      }
      levels.push_back({(set + std::max(met, view.window.low.y())) / 2.0, words});
      if (levels[1].y > levels[0].y) std::swap(levels[0], levels[1]);
    }
    Keep(DrawLevels({x, x, x + 3.0}, levels, drawing_));
  }

  void DimensionDetail() {
    const SectionView& view = drawn_.detail;
    const HoleCheck& check = hole_.check;
    std::vector<std::pair<double, std::string>> depths = {{0.0, "skin"},
                                                          {check.near_wall, "near wall"},
                                                          {check.breakthrough, "break-through"},
                                                          {picture_.set_depth, SetWord()}};
    std::stable_sort(depths.begin(), depths.end(),
                     [](const auto& a, const auto& b) { return a.first < b.first; });
    const double x = view.window.high.x() + 2.5;
    std::vector<Level> levels;
    for (const auto& [depth, word] : depths) {
      const double y = view.At({0.0, -depth}).y();
      levels.push_back({y, {depth == 0.0 ? word : fmt::format("{:.2f} {}", depth, word)}});
      if (depth == 0.0) {
        drawing_->Add(Group::mark, Circle{{x, y}, 0.8, kNarrowWidth, LineType::continuous});
        continue;
      }
      DrawArrowhead({x, y}, -Vec2::UnitY(), drawing_);
      drawn_.dimensions.push_back({word, {x, view.entry.y()}, {x, y}, depth, view.scale});
    }
    drawing_->AddLine(Group::mark, {x, levels.front().y}, {x, levels.back().y}, kNarrowWidth);
    Keep(DrawLevels({view.entry.x(), x, x + 3.6}, levels, drawing_));
  }

  void MarkDetail() {
    const double scale = drawn_.whole.scale / drawn_.detail.scale;
    const Box& from = drawn_.detail.window;
    const Box box{drawn_.whole.entry + scale * (from.low - drawn_.detail.entry),
                  drawn_.whole.entry + scale * (from.high - drawn_.detail.entry)};
    drawing_->AddBox(Group::mark, box, kHairWidth);
    // On the side that the worst-case drill does not lean to.
    double lean = 0.0;
    for (const SheetLoop& loop : picture_.drill_worst) {
      for (const Vec2& p : loop.points) lean += p.y() > 0.0 ? p.x() : 0.0;
    }
    const Vec2 at(lean < 0.0 ? box.high.x() + 0.6 : box.low.x() - 3.4, box.high.y() + 0.7);
    BoldLetter("A", at, kText35, drawing_);
    const Box words{at, at + Vec2(2.9, kText35)};
    Keep({words});
    std::vector<Vec2> corners = CornersOf(box);
    corners.push_back(corners.front());
    seen_.push_back(corners);
  }

  void DrawCompass() {
    Compass compass;
    compass.front = picture_.ways[0].to;
    compass.front_word = picture_.ways[0].word;
    compass.up = picture_.ways[1].to;
    compass.up_word = picture_.ways[1].word;
    if (compass.front.isZero() && compass.up.isZero()) return;
    const Box extent = compass.Extent();
    const Box room{{drawn_.detail.window.low.x(), views_.low.y()},
                   {room_.high.x(), views_.low.y() + kCompassStrip - 2.0}};
    compass.Draw(room.Centre() - extent.Centre(), drawing_);
  }

  void NameBodies() {
    const double right = drawn_.whole.window.high.x();
    LabelPlacer placer({views_.low, {right, views_.high.y()}});
    for (const Box& box : drawn_.words) placer.AvoidBox(box);
    for (const auto& line : seen_) placer.AvoidPolyline(line, false);
    std::set<std::string> named;  // a body in several pieces is named once
    for (const SheetRegion& region : picture_.regions) {
      LabelPlacer::Request request;
      for (const SheetLoop& loop : region.loops) AddAnchors(loop.points, &request.anchors);
      if (request.anchors.empty() || region.name.empty()) continue;
      if (!named.insert(region.name).second) continue;
      const FittedText fit = FitText(region.name, 45.0, {kText25, kText18});
      request.size = {TextWidth(fit.words, fit.height), fit.height};
      const auto placed = placer.Place(request);
      if (!placed) continue;
      if (placed->over_lines) {
        drawing_->Add(Group::text, Fill{CornersOf(placed->box.Grown(0.4)), Ink::white});
      }
      Letter(fit.words, placed->box.low, fit.height, drawing_);
      Keep({placed->box});
      if (!placed->leader) continue;
      drawing_->AddLine(Group::mark, placed->leader_from, placed->leader_to, kHairWidth);
      const Vec2 way = placed->leader_to - placed->leader_from;
      if (way.norm() > 3.0) DrawArrowhead(placed->leader_to, way.normalized(), drawing_);
    }
  }

  /// Some places of a loop that are seen, well spread.
  void AddAnchors(const std::vector<Vec2>& loop, std::vector<Vec2>* anchors) const {
    std::vector<Vec2> seen;
    for (const Vec2& p : loop) {
      if (drawn_.whole.window.Contains(drawn_.whole.At(p))) seen.push_back(drawn_.whole.At(p));
    }
    const std::size_t step = std::max<std::size_t>(1, seen.size() / 12);
    for (std::size_t i = 0; i < seen.size(); i += step) anchors->push_back(seen[i]);
  }

  void DrawKey() {
    Vec2 at(room_.low.x(), room_.low.y() + kKeyStrip - 4.0);
    const auto next = [&](const std::string& words) {
      Letter(words, {at.x() + kSwatch + 1.5, at.y() - kText25 / 2.0}, kText25, drawing_);
      at.x() += 0.3 * room_.Size().x();
    };
    const auto line = [&](const std::string& words, double width, LineType type) {
      drawing_->Add(Group::mark, Stroke{{at, at + Vec2(kSwatch, 0.0)}, width, type, false});
      next(words);
    };
    const auto swatch = [&](const std::string& words, SheetRegionKind kind) {
      const Box box{at - Vec2(0.0, 1.5), at + Vec2(kSwatch, 1.5)};
      const HatchLook look = LookOf(kind);
      for (const Segment2& piece : Hatch({CornersOf(box)}, look.turn_rad, look.spacing, box, {})) {
        drawing_->AddLine(Group::fold, piece.first, piece.second, kHairWidth);
      }
      drawing_->AddBox(Group::mark, box, WidthOf(kind));
      next(words);
    };
    line(hole_.check.stop ? "drill at the stop setting" : "drill after its run-on", kWideWidth,
         LineType::continuous);
    if (!picture_.drill_contact.empty()) {
      line("drill at first contact", kNarrowWidth, LineType::dash_double_dot);
    }
    if (!picture_.drill_worst.empty())
      line("worst-case drill where it would meet", kHairWidth, LineType::continuous);
    at = {room_.low.x(), at.y() - 4.6};
    swatch("wall", SheetRegionKind::wall);
    swatch("inner body", SheetRegionKind::inner);
    swatch("fitting, other body", SheetRegionKind::fitting);
  }

  const ClearanceHole& hole_;
  const SectionPicture& picture_;
  Box room_;
  Box views_;
  Drawing* drawing_;
  DrawnSection drawn_;
  Loops seen_;  ///< lines of the whole view, in the way of its labels
};

}  // namespace

DrawnSection DrawSection(const ClearanceHole& hole, const Box& room, Drawing* drawing) {
  return Artist(hole, room, drawing).Draw();
}

}  // namespace holeward
