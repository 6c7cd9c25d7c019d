#include "export/clearance_charts.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "export/clearance_frame.h"
#include "export/lettering.h"
#include "export/symbols.h"

namespace holeward {
namespace {

constexpr double kHeadingStrip = 5.5;
constexpr double kAxisStrip = 11.0;   ///< numbers, caption and the triangle below the axis
constexpr double kNumberStrip = 9.0;  ///< numbers at the left of the axis
constexpr double kLeastBin = 0.9;     ///< narrower bins are not told apart
constexpr double kRow = 4.3;          ///< of a pair of bars

/// Heading over a chart; gives what is left below it.
Box Headed(const std::string& words, const Box& room, Drawing* drawing) {
  const FittedText fit = FitText(words, room.Size().x(), {kText25, kText18}, true);
  BoldLetter(fit.words, {room.low.x(), room.high.y() - fit.height}, fit.height, drawing);
  return {room.low, {room.high.x(), room.high.y() - kHeadingStrip}};
}

void Sentence(const std::string& words, const Box& room, Drawing* drawing) {
  double y = room.high.y() - kText25;
  for (const std::string& line : WrapText(words, room.Size().x(), kText25)) {
    if (y < room.low.y()) return;
    Letter(line, {room.low.x(), y}, kText25, drawing);
    y -= kText25 * 1.6;
  }
}

/// A range of margins on the page.
struct MarginAxis {
  double from = 0.0;
  double to = 1.0;
  Box plot;

  [[nodiscard]] double X(double margin) const {
    return plot.low.x() + (margin - from) / (to - from) * plot.Size().x();
  }
};

MarginAxis AxisOf(const ClearanceHole& hole, double limit, const Box& plot) {
  MarginAxis axis;
  axis.plot = plot;
  axis.from = std::min(0.0, limit);
  axis.to = std::max(0.0, limit);
  for (const ChartBin& bin : hole.chance->bins) {
    axis.from = std::min({axis.from, bin.from, bin.to});
    axis.to = std::max({axis.to, bin.from, bin.to});
  }
  if (hole.check.margin_worst) {
    axis.from = std::min(axis.from, *hole.check.margin_worst);
    axis.to = std::max(axis.to, *hole.check.margin_worst);
  }
  const double step = RoundStep(std::max(axis.to - axis.from, 1e-6));
  axis.from = std::floor(axis.from / step) * step;
  axis.to = std::max(std::ceil(axis.to / step), std::floor(axis.from / step) + 1.0) * step;
  return axis;
}

void DrawAxis(const MarginAxis& axis, Drawing* drawing) {
  const Box& plot = axis.plot;
  drawing->AddLine(Group::mark, plot.low, {plot.high.x(), plot.low.y()}, kMiddleWidth);
  const double step = RoundStep(axis.to - axis.from);
  const long first = std::lround(axis.from / step);
  const long last = std::lround(axis.to / step);
  for (long i = first; i <= last; ++i) {
    const double margin = static_cast<double>(i) * step;
    const double x = axis.X(margin);
    drawing->AddLine(Group::mark, {x, plot.low.y()}, {x, plot.low.y() - 1.0}, kNarrowWidth);
    Letter(fmt::format("{:g}", margin), {x, plot.low.y() - 1.6 - kText18}, kText18, drawing,
           AlignX::centre);
  }
}

void DrawBins(const MarginAxis& axis, const std::vector<ChartBin>& bins, double greatest,
              Drawing* drawing) {
  const Box& plot = axis.plot;
  std::vector<Vec2> outline;
  for (const ChartBin& bin : bins) {
    const double y = plot.low.y() + bin.share / greatest * plot.Size().y();
    outline.insert(outline.end(), {{axis.X(bin.from), y}, {axis.X(bin.to), y}});
    if (axis.X(bin.to) - axis.X(bin.from) < kLeastBin) continue;
    drawing->AddLine(Group::mark, {axis.X(bin.to), plot.low.y()}, {axis.X(bin.to), y}, kHairWidth);
  }
  outline.insert(outline.begin(), {axis.X(bins.front().from), plot.low.y()});
  outline.push_back({axis.X(bins.back().to), plot.low.y()});
  drawing->Add(Group::mark, Stroke{outline, kMiddleWidth, LineType::continuous, false});
}

/// Words at a line's top, on the side where there is more room.
void WordsBeside(const std::string& words, double x, double y, const Box& plot, Drawing* drawing) {
  const bool right = plot.high.x() - x > TextWidth(words, kText25, true) + 1.5;
  BoldLetter(words, {x + (right ? 1.2 : -1.2), y}, kText25, drawing,
             right ? AlignX::left : AlignX::right);
}

void DrawMarks(const MarginAxis& axis, const ClearanceHole& hole, double limit, Drawing* drawing) {
  const Box& plot = axis.plot;
  const double x = axis.X(limit);
  const double top = plot.high.y() + 4.0;
  drawing->Add(Group::mark,
               Stroke{{{x, plot.low.y()}, {x, top}}, kExtraWidth, LineType::dashed, false});
  WordsBeside(fmt::format("limit {:.1f}", limit), x, top - kText25, plot, drawing);
  if (!hole.check.margin_worst) return;
  const double worst = axis.X(*hole.check.margin_worst);
  DrawPointer({worst, plot.low.y() - 4.2}, Vec2::UnitY(), drawing);
  const std::string words = fmt::format("worst {:.1f}", RoundedDown(*hole.check.margin_worst));
  const bool right = plot.high.x() - worst > TextWidth(words, kText25) + 3.0;
  Letter(words, {worst + (right ? 1.8 : -1.8), plot.low.y() - 4.6 - kText25}, kText25, drawing,
         right ? AlignX::left : AlignX::right);
}

}  // namespace

double RoundStep(double range) {
  const double rough = range / 6.0;
  const double ten = std::pow(10.0, std::floor(std::log10(rough)));
  for (const double times : {1.0, 2.0, 5.0}) {
    if (times * ten >= rough) return times * ten;
  }
  return 10.0 * ten;
}

void DrawHistogram(const ClearanceHole& hole, double limit, const Box& room, Drawing* drawing) {
  const Box rest = Headed("Margin over all errors, mm", room, drawing);
  if (!hole.chance || hole.chance->bins.empty()) {
    return Sentence(hole.no_chance, rest, drawing);
  }
  double greatest = 0.0;
  for (const ChartBin& bin : hole.chance->bins) greatest = std::max(greatest, bin.share);
  if (greatest <= 0.0) return Sentence(hole.no_chance, rest, drawing);
  const Box plot{{rest.low.x() + kNumberStrip, rest.low.y() + kAxisStrip},
                 {rest.high.x() - 3.0, rest.high.y() - 4.0}};
  const MarginAxis axis = AxisOf(hole, limit, plot);
  DrawBins(axis, hole.chance->bins, greatest, drawing);
  DrawAxis(axis, drawing);
  Letter(fmt::format("{:.1f} %", 100.0 * greatest),
         {plot.low.x() - 1.2, plot.high.y() - kText18 / 2.0}, kText18, drawing, AlignX::right);
  drawing->AddLine(Group::mark, {plot.low.x() - 0.8, plot.high.y()}, {plot.low.x(), plot.high.y()},
                   kNarrowWidth);
  drawing->AddLine(Group::mark, plot.low, {plot.low.x(), plot.high.y()}, kNarrowWidth);
  DrawMarks(axis, hole, limit, drawing);
}

void DrawShares(const ClearanceHole& hole, const Box& room, Drawing* drawing) {
  Box rest = Headed("What eats the margin", room, drawing);
  if (hole.shares.empty()) return Sentence(hole.no_shares, rest, drawing);
  std::vector<ShareBar> shares = hole.shares;
  std::stable_sort(shares.begin(), shares.end(),
                   [](const ShareBar& a, const ShareBar& b) { return a.gain > b.gain; });
  const double foot = 7.0;  // the key of the bars
  const auto room_for = static_cast<std::size_t>((rest.Size().y() - foot) / kRow);
  double greatest = 1e-9;
  double names = 0.0;
  for (std::size_t i = 0; i < std::min(room_for, shares.size()); ++i) {
    greatest = std::max(greatest, shares[i].gain);
    names = std::max(names, TextWidth(shares[i].error, kText25));
  }
  names = std::min(names, 30.0);
  const double left = rest.low.x() + names + 2.0;
  const double full = rest.high.x() - left - 24.0;
  double y = rest.high.y();
  for (std::size_t i = 0; i < std::min(room_for, shares.size()); ++i) {
    const ShareBar& share = shares[i];
    const FittedText name = FitText(share.error, names, {kText25, kText18});
    Letter(name.words, {rest.low.x(), y - 3.0}, name.height, drawing);
    const double gain = std::max(0.0, share.gain / greatest * full);
    drawing->Add(Group::mark,
                 Fill{CornersOf({{left, y - 2.1}, {left + gain, y - 0.5}}), Ink::black});
    std::string words = fmt::format("{:.2f}", share.gain + 0.0);
    if (share.variance_share) {
      const double part = std::clamp(*share.variance_share, 0.0, 1.0) * full;
      drawing->AddBox(Group::mark, {{left, y - 3.6}, {left + part, y - 2.4}}, kHairWidth);
      words += fmt::format(" · {:.0f} %", 100.0 * *share.variance_share);
    }
    Letter(words, {rest.high.x(), y - 3.0}, kText25, drawing, AlignX::right);
    y -= kRow;
  }
  drawing->AddLine(Group::mark, {left, rest.high.y()}, {left, y}, kNarrowWidth);
  std::string key =
      "Black: mm the worst margin gains with the error at 0. Outlined: its share of "
      "the variance.";
  if (shares.size() > room_for) {
    const std::size_t left_out = shares.size() - room_for;
    key += left_out == 1 ? std::string(" One smaller error is left out.")
                         : fmt::format(" {} smaller errors are left out.", left_out);
  }
  y = rest.low.y() + foot - kText18 - 0.5;
  for (const std::string& line : WrapText(key, rest.Size().x(), kText18)) {
    if (y < rest.low.y() - 1.0) break;
    Letter(line, {rest.low.x(), y}, kText18, drawing);
    y -= kText18 * 1.5;
  }
}

}  // namespace holeward
