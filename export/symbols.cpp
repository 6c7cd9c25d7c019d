#include "export/symbols.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "export/lettering.h"

namespace holeward {
namespace {

Vec2 Across(const Vec2& way) { return {-way.y(), way.x()}; }

/// Where the word at an arrow's head lies, its foot at the origin.
Box WordBox(const Vec2& way, double arrow, const std::string& word) {
  const Vec2 half(TextWidth(word, kText25, true) / 2.0, kText25 / 2.0);
  const Vec2 push(std::clamp(way.x() * 1.5, -1.0, 1.0), std::clamp(way.y() * 1.5, -1.0, 1.0));
  const Vec2 centre = way * (arrow + 1.2) + half.cwiseProduct(push);
  return {centre - half, centre + half};
}

void Widen(Box* box, const Box& by) {
  box->low = box->low.cwiseMin(by.low);
  box->high = box->high.cwiseMax(by.high);
}

void DrawArrow(const Vec2& foot, const Vec2& arrow, const std::string& word, Drawing* drawing) {
  const Vec2 way = arrow.normalized();
  const Vec2 tip = foot + arrow;
  drawing->AddLine(Group::text, foot, tip - 3.0 * way, kMiddleWidth);
  DrawPointer(tip, way, drawing);
  const Box box = WordBox(way, arrow.norm(), word);
  drawing->Add(Group::text, TextAt(word, foot + Vec2(box.Centre().x(), box.low.y()), kText25, true,
                                   AlignX::centre));
}

std::vector<Vec2> Square(const Vec2& at, double h) {
  return {at + Vec2(-h, -h), at + Vec2(h, -h), at + Vec2(h, h), at + Vec2(-h, h)};
}

std::vector<Vec2> Diamond(const Vec2& at, double h) {
  return {at + Vec2(-h, 0), at + Vec2(0, -h), at + Vec2(h, 0), at + Vec2(0, h)};
}

// ---- Legend ----

enum class Symbol {
  cut,
  fold,
  tangent,
  align,
  fitting,
  butt,
  drill,
  test,
  reference,
  pointer,
  match
};

struct LegendEntry {
  const char* words;
  Symbol symbol;
};
constexpr std::array<LegendEntry, 11> kLegend = {{{Told("cut"), Symbol::cut},
                                                  {Told("fold"), Symbol::fold},
                                                  {Told("tangent"), Symbol::tangent},
                                                  {Told("align"), Symbol::align},
                                                  {Told("fitting"), Symbol::fitting},
                                                  {Told("butt"), Symbol::butt},
                                                  {Told("drill"), Symbol::drill},
                                                  {Told("test"), Symbol::test},
                                                  {Told("reference"), Symbol::reference},
                                                  {Told("line up here"), Symbol::pointer},
                                                  {Told("match"), Symbol::match}}};

constexpr double kLegendGap = 4.0;  ///< between two entries, mm

double SampleLength(Symbol symbol) {
  if (symbol == Symbol::align) return 20.0;  // long enough to show its dots
  return symbol <= Symbol::butt ? 13.0 : 5.0;
}

FlatLineKind KindOf(Symbol symbol) {
  switch (symbol) {
    case Symbol::fold: return FlatLineKind::fold;
    case Symbol::tangent: return FlatLineKind::tangent;
    case Symbol::align: return FlatLineKind::align;
    case Symbol::fitting: return FlatLineKind::fitting;
    case Symbol::butt: return FlatLineKind::butt;
    default: return FlatLineKind::cut;
  }
}

void DrawSample(Symbol symbol, const Vec2& from, Drawing* drawing) {
  const double length = SampleLength(symbol);
  const Vec2 centre = from + Vec2(length / 2.0, 0.0);
  if (symbol <= Symbol::butt) {
    const LineLook look = LookOf(KindOf(symbol));
    drawing->Add(Group::frame,
                 Stroke{{from, from + Vec2(length, 0.0)}, look.width, look.type, false});
    return;
  }
  if (symbol == Symbol::pointer) {
    DrawPointer(centre + Vec2(0.0, 1.6), Vec2::UnitY(), drawing);
    return;
  }
  drawing->AddLine(Group::frame, centre - Vec2(2.0, 0.0), centre + Vec2(2.0, 0.0), kHairWidth);
  drawing->AddLine(Group::frame, centre - Vec2(0.0, 2.0), centre + Vec2(0.0, 2.0), kHairWidth);
  if (symbol == Symbol::reference) {
    drawing->Add(Group::frame, Stroke{Diamond(centre, 1.3), kNarrowWidth, {}, true});
    return;
  }
  const double radius = symbol == Symbol::drill ? 1.4 : 0.8;
  drawing->Add(Group::frame, Circle{centre, radius, kNarrowWidth, {}});
  if (symbol == Symbol::test) {
    drawing->Add(Group::frame, Stroke{Square(centre, 1.3), kNarrowWidth, {}, true});
  }
}

}  // namespace

LineLook LookOf(FlatLineKind kind) {
  switch (kind) {
    case FlatLineKind::cut: return {Group::cut, kWideWidth, LineType::continuous};
    case FlatLineKind::fold: return {Group::fold, kMiddleWidth, LineType::dash_dot};
    case FlatLineKind::tangent: return {Group::fold, kNarrowWidth, LineType::dashed};
    case FlatLineKind::align: return {Group::align, kExtraWidth, LineType::dash_double_dot};
    case FlatLineKind::fitting: return {Group::fitting, kNarrowWidth, LineType::continuous};
    case FlatLineKind::butt: return {Group::cut, kWideWidth, LineType::dashed};
    case FlatLineKind::magnet: return {Group::mark, kNarrowWidth, LineType::dashed};
  }
  return {};
}

double ReachOf(const FlatMark& mark) {
  double radius = 0.0;
  for (const double diameter : mark.diameters) radius = std::max(radius, diameter / 2.0);
  if (mark.test) radius = std::max(radius, mark.foot / 2.0);
  return std::max(5.0, std::max(radius, OutlineReach(mark)) + 3.0);
}

void DrawMark(const FlatMark& mark, const Vec2& at, const std::vector<Vec2>& outline,
              Drawing* drawing) {
  const double reach = ReachOf(mark);
  drawing->AddLine(Group::mark, at - reach * Vec2::UnitX(), at + reach * Vec2::UnitX());
  drawing->AddLine(Group::mark, at - reach * Vec2::UnitY(), at + reach * Vec2::UnitY());
  const double largest = mark.diameters.empty()
                             ? 0.0
                             : *std::max_element(mark.diameters.begin(), mark.diameters.end());
  for (const double diameter : mark.diameters) {
    if (diameter == largest && !outline.empty() && !mark.test) {
      drawing->Add(Group::mark, Stroke{outline, kMiddleWidth, LineType::continuous, true});
    } else {
      drawing->Add(Group::mark, Circle{at, diameter / 2.0, kMiddleWidth, LineType::continuous});
    }
  }
  if (mark.test) {
    if (!outline.empty()) {
      drawing->Add(Group::mark, Stroke{outline, kNarrowWidth, LineType::dashed, true});
    } else if (mark.foot > 0.0) {
      drawing->Add(Group::mark, Circle{at, mark.foot / 2.0, kNarrowWidth, LineType::dashed});
    }
    drawing->Add(Group::mark, Stroke{Square(at, largest / 2.0 + 0.8), kMiddleWidth, {}, true});
  } else if (mark.diameters.empty()) {
    drawing->Add(Group::mark, Stroke{Diamond(at, 2.0), kMiddleWidth, {}, true});
  }
}

Box Compass::Extent() const {
  Box box{Vec2::Constant(-1.0), Vec2::Constant(1.0)};
  for (const bool is_front : {true, false}) {
    const Vec2& way = is_front ? front : up;
    if (way.isZero()) continue;
    Widen(&box, WordBox(way, arrow, is_front ? front_word : up_word));
    Widen(&box,
          {(arrow * way).cwiseMin(0.0) - Vec2::Ones(), (arrow * way).cwiseMax(0.0) + Vec2::Ones()});
  }
  return box;
}

void Compass::Draw(const Vec2& foot, Drawing* drawing) const {
  if (!front.isZero()) DrawArrow(foot, arrow * front, front_word, drawing);
  if (!up.isZero()) DrawArrow(foot, arrow * up, up_word, drawing);
  drawing->Add(Group::text, Circle{foot, 0.9, kMiddleWidth, LineType::continuous});
}

void DrawPointer(const Vec2& tip, const Vec2& way, Drawing* drawing) {
  const Vec2 back = tip - 3.2 * way;
  drawing->Add(Group::text,
               Fill{{tip, back + 1.1 * Across(way), back - 1.1 * Across(way)}, Ink::black});
}

void DrawMatchMark(const Vec2& at, Drawing* drawing) {
  drawing->AddLine(Group::mark, at - kMatchReach * Vec2::UnitX(), at + kMatchReach * Vec2::UnitX());
  drawing->AddLine(Group::mark, at - kMatchReach * Vec2::UnitY(), at + kMatchReach * Vec2::UnitY());
  drawing->Add(Group::mark, Circle{at, 2.0, kMiddleWidth, LineType::continuous});
}

namespace {

double LegendWidth(const LegendEntry& entry, const Words& words) {
  return SampleLength(entry.symbol) + 1.5 + TextWidth(words.Say(entry.words), kText18);
}

/// The legend broken into lines.
std::vector<std::vector<LegendEntry>> LegendLines(double width, const Words& words) {
  std::vector<std::vector<LegendEntry>> lines(1);
  double x = 0.0;
  for (const LegendEntry& entry : kLegend) {
    const double wide = LegendWidth(entry, words);
    if (x > 0.0 && x + wide > width) {
      lines.emplace_back();
      x = 0.0;
    }
    lines.back().push_back(entry);
    x += wide + kLegendGap;
  }
  return lines;
}

}  // namespace

void DrawLegend(const Box& box, const Words& words, Drawing* drawing) {
  const auto lines = LegendLines(box.Size().x(), words);
  // The lines move together where there are more of them than usual.
  const double pitch = std::min(
      4.6, (box.Size().y() - 3.2) / std::max(1.0, static_cast<double>(lines.size()) - 1.0));
  double y = box.high.y() - 2.2;
  for (const std::vector<LegendEntry>& line : lines) {
    double x = box.low.x();
    for (const LegendEntry& entry : line) {
      const double sample = SampleLength(entry.symbol);
      DrawSample(entry.symbol, {x, y}, drawing);
      drawing->Add(Group::text,
                   TextAt(words.Say(entry.words), {x + sample + 1.5, y - kText18 / 2.0}, kText18,
                          false, AlignX::left));
      x += LegendWidth(entry, words) + kLegendGap;
    }
    y -= pitch;
  }
}

}  // namespace holeward
