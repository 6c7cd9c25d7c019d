#include "export/setting_gauge.h"

#include <algorithm>
#include <cmath>
#include <tuple>

#include <fmt/format.h>

#include "export/lettering.h"
#include "geometry/drill.h"

namespace holeward {
namespace {

constexpr double kTitle = kText35;
constexpr double kNote = kText25;
constexpr double kTitleGap = 1.5;
constexpr double kLine = kNote * 1.5;
constexpr double kTipInset = 5.0;   ///< of the tip from the area's left border
constexpr double kDimension = 6.0;  ///< below the drill, for the dimension
constexpr double kBelow = 2.0;      ///< free below it all
constexpr double kOverhang = 2.5;   ///< of the centre line beyond the drill
constexpr double kArrow = 2.5;      ///< length of an arrowhead, ISO 129-1: closed, filled
constexpr double kLeastTube = 1.0;  ///< a spacer tube shorter than this is none

/// A hole, and its stage if it has several.
std::string HoleStage(const std::string& name, std::size_t stage, std::size_t count,
                      const Words& words) {
  if (count == 1) return name;
  if (stage == 0) return words.Say("{} pilot", name);
  if (stage + 1 == count) return words.Say("{} final", name);
  return words.Say("{} stage {}", name, stage + 1);
}

bool Same(const GaugeSetting& a, const GaugeSetting& b) {
  constexpr double kAlike = 1e-6;
  return std::abs(a.diameter - b.diameter) < kAlike &&
         std::abs(a.projection - b.projection) < kAlike &&
         a.stop.has_value() == b.stop.has_value() &&
         (!a.stop || std::abs(*a.stop - *b.stop) < kAlike);
}

/// What stops the drill, as it is drawn.
enum class StopKind { none, collar, tube };

StopKind KindOf(const GaugeSetting& setting, const DrillTool& tool) {
  if (!setting.stop) return StopKind::none;
  const double room = setting.projection - *setting.stop;
  if (tool.collar.length <= room) return StopKind::collar;
  return room >= kLeastTube ? StopKind::tube : StopKind::none;
}

std::string Title(const GaugeSetting& setting, bool inches, const Words& words) {
  const std::string diameter = ShopDiameter(setting.diameter, inches);
  return setting.stop ? words.Say("{}, stop at {}", diameter, ShopLength(*setting.stop, inches))
                      : words.Say("{}, NO STOP", diameter);
}

std::string Note(const GaugeSetting& setting, const ShopInput& input) {
  const Words& words = input.facts.words;
  std::string note = setting.holes;
  if (!setting.proposed.empty()) {
    note += " " + (setting.all_proposed ? words.Say("(stop proposed)")
                                        : words.Say("(stop proposed: {})", setting.proposed));
  }
  note += ". ";
  if (!setting.stop) return note + words.Say("Hold the drill back: it jumps past break-through.");
  const double tube = setting.projection - *setting.stop;
  switch (KindOf(setting, input.drill)) {
    case StopKind::collar: return note + words.Say("Or tube: {}", ShopLength(tube, input.inches));
    case StopKind::tube:
      return note + words.Say(
                        "The collar is too long here: use a tube of {} between stop face and "
                        "jaws.",
                        ShopLength(tube, input.inches));
    case StopKind::none: break;
  }
  return note + words.Say("Neither collar nor tube fits: let more drill show from the chuck.");
}

/// Half the height of what is drawn about the axis.
double Half(const GaugeSetting& setting, const DrillTool& tool) {
  return std::max(setting.diameter, setting.stop ? tool.collar.diameter : 0.0) / 2.0;
}

/// The upper border of the drill from its tip to `end`, axis at y = 0, tip at x = 0.
std::vector<Vec2> Profile(const Drill& drill, double end) {
  std::vector<Vec2> line;
  const auto add = [&](const Vec2& p) {
    if (line.empty() || (p - line.back()).norm() > 1e-9) line.push_back(p);
  };
  for (const Drill::Rise& rise : drill.rises()) {
    const Vec2 a(rise.behind, rise.from);
    const Vec2 b(rise.behind + (rise.to - rise.from) * rise.cot, rise.to);
    if (a.x() >= end) break;
    add(a);
    if (b.x() <= end) {
      add(b);
      continue;
    }
    add(a + (b - a) * ((end - a.x()) / (b.x() - a.x())));
    return line;
  }
  add({end, line.empty() ? 0.0 : line.back().y()});
  return line;
}

/// A filled arrowhead whose tip is at `tip`, pointing along `way`.
void Arrow(const Vec2& tip, const Vec2& way, Drawing* drawing) {
  const Vec2 aside(-way.y(), way.x());
  const Vec2 foot = tip - kArrow * way;
  drawing->Add(Group::frame, Fill{{tip, foot + 0.42 * aside, foot - 0.42 * aside}, Ink::black});
}

/// The dimension of the stop below the drill, from tip to stop face.
void DrawDimension(const Vec2& tip, double half, double stop, const std::string& words,
                   Drawing* drawing) {
  const double y = tip.y() - half - 4.0;
  for (const double x : {tip.x(), tip.x() + stop}) {
    drawing->AddLine(Group::frame, {x, tip.y() - half - 0.8}, {x, y - 1.2}, kHairWidth);
  }
  const bool inside = stop > 3.0 * kArrow;
  const double out = inside ? 0.0 : 5.0;
  drawing->AddLine(Group::frame, {tip.x() - (inside ? 0.0 : kTipInset - 0.5), y},
                   {tip.x() + stop + out, y}, kHairWidth);
  const Vec2 right = Vec2::UnitX();
  Arrow({tip.x(), y}, inside ? -right : right, drawing);
  Arrow({tip.x() + stop, y}, inside ? right : -right, drawing);
  Letter(words, {tip.x() + stop + out + 1.5, y - kNote / 2.0}, kNote, drawing);
}

/// The collar or the tube: a frame about the axis.
void DrawStop(const Vec2& face, double length, double half, StopKind kind, Drawing* drawing) {
  const Box box{{face.x(), face.y() - half}, {face.x() + length, face.y() + half}};
  Stroke stroke{CornersOf(box), kWideWidth, LineType::continuous, true};
  if (kind == StopKind::tube) stroke.type = LineType::dashed;
  drawing->Add(Group::frame, stroke);
  // The face that lands on the skin stands out.
  drawing->AddLine(Group::frame, {face.x(), face.y() - half}, {face.x(), face.y() + half},
                   kExtraWidth);
}

void DrawDrill(const Drill& drill, const Vec2& tip, double end, Drawing* drawing) {
  const std::vector<Vec2> upper = Profile(drill, end);
  std::vector<Vec2> outline;
  for (const Vec2& p : upper) outline.push_back(tip + p);
  for (auto p = upper.rbegin(); p != upper.rend(); ++p) {
    if (p->y() > 0.0) outline.push_back(tip + Vec2(p->x(), -p->y()));
  }
  drawing->Add(Group::frame, Stroke{outline, kMiddleWidth, LineType::continuous, true});
  drawing->Add(Group::frame,
               Stroke{{tip - Vec2(kOverhang / 2.0, 0.0), tip + Vec2(end + kOverhang, 0.0)},
                      kHairWidth,
                      LineType::dash_dot,
                      false});
}

}  // namespace

std::vector<GaugeSetting> SettingsOf(const ShopSide& side, const Words& words) {
  std::vector<GaugeSetting> settings;
  for (const ShopPoint& point : side.points) {
    for (std::size_t i = 0; i < point.stages.size(); ++i) {
      const HoleCheck& c = point.stages[i].check;
      GaugeSetting one{c.diameter, c.stop, point.stages[i].projection, {}, {}, true};
      auto known = std::find_if(settings.begin(), settings.end(),
                                [&](const GaugeSetting& other) { return Same(one, other); });
      if (known == settings.end()) known = settings.insert(settings.end(), std::move(one));
      const auto append = [](std::string* list, const std::string& name) {
        *list += (list->empty() ? "" : ", ") + name;
      };
      const std::string hole = HoleStage(point.name, i, point.stages.size(), words);
      append(&known->holes, point.Clear() ? hole : words.Say("{} NOT CLEAR, DO NOT DRILL", hole));
      if (c.stop_from == StopFrom::proposed) {
        append(&known->proposed, hole);
      } else {
        known->all_proposed = false;
      }
    }
  }
  std::stable_sort(settings.begin(), settings.end(),
                   [](const GaugeSetting& a, const GaugeSetting& b) {
                     const auto key = [](const GaugeSetting& s) {
                       return std::make_tuple(s.diameter, s.stop.value_or(1e9), s.projection);
                     };
                     return key(a) < key(b);
                   });
  return settings;
}

double GaugeHeight(const GaugeSetting& setting, const ShopInput& input, double width) {
  const auto notes = WrapText(Note(setting, input), width, kNote);
  return kTitle + kTitleGap + kLine * static_cast<double>(notes.size()) + 1.5 +
         2.0 * Half(setting, input.drill) + kDimension + kBelow;
}

Result<GaugePlace> DrawGauge(const GaugeSetting& setting, const ShopInput& input,
                             const FlowArea& area) {
  const auto drill = Drill::Of(input.drill, setting.diameter);
  if (!drill) return tl::unexpected<Error>(drill.error());
  Drawing* drawing = area.drawing;
  const double width = area.box.Size().x();
  double y = area.box.high.y() - kTitle;
  const FittedText title = FitText(Title(setting, input.inches, input.facts.words), width,
                                   {kTitle, kText25, kText18}, true);
  BoldLetter(title.words, {area.box.low.x(), y}, title.height, drawing);
  y -= kTitleGap;
  for (const std::string& line : WrapText(Note(setting, input), width, kNote)) {
    Letter(line, {area.box.low.x(), y - kNote}, kNote, drawing);
    y -= kLine;
  }
  const double half = Half(setting, input.drill);
  GaugePlace place;
  place.diameter = setting.diameter;
  place.stop = setting.stop;
  place.tip = {area.box.low.x() + kTipInset, y - 1.5 - half};
  const double room = width - kTipInset - kOverhang;
  const double end = std::min(setting.projection, room);
  place.end = place.tip.x() + end;
  DrawDrill(*drill, place.tip, end, drawing);
  // The jaws: where the chuck holds it.
  if (setting.projection <= room) {
    drawing->AddLine(Group::frame, {place.end, place.tip.y() - half},
                     {place.end, place.tip.y() + half}, kExtraWidth);
  }
  if (!setting.stop || *setting.stop > room) return place;
  place.stop_face = place.tip + Vec2(*setting.stop, 0.0);
  const StopKind kind = KindOf(setting, input.drill);
  const double length =
      kind == StopKind::collar ? input.drill.collar.length : setting.projection - *setting.stop;
  if (kind != StopKind::none) {
    DrawStop(*place.stop_face, std::min(length, room - *setting.stop), half, kind, drawing);
  }
  DrawDimension(place.tip, half, *setting.stop, ShopLength(*setting.stop, input.inches), drawing);
  return place;
}

}  // namespace holeward
