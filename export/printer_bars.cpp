#include "export/printer_bars.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <optional>
#include <string>

#include <fmt/format.h>

#include "export/template_sheet.h"

namespace holeward {
namespace {

constexpr std::size_t kLongestNumber = 12;

/// A plain decimal number ("149.2"); nothing for signs, exponents or anything else.
std::optional<double> PlainNumber(std::string_view text) {
  const bool plain = !text.empty() && text.size() <= kLongestNumber &&
                     text.find_first_not_of("0123456789.") == std::string_view::npos;
  double value = 0.0;
  const auto [end, failure] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (!plain || failure != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return value;
}

bool Correctable(double measured) {
  // A hair more than the share, so that 147 and 153 themselves pass whatever the rounding.
  return std::abs(measured - kCheckBar) <= kMostBarError * kCheckBar + 1e-9;
}

void StretchPage(const Vec2& scale, SheetPage* page) {
  Drawing& drawing = page->drawing;
  const Vec2 laid(drawing.width, drawing.height);
  const Vec2 drawn = laid.cwiseProduct(scale.cwiseMax(1.0));
  drawing.scale = scale;
  drawing.shift = (drawn - laid.cwiseProduct(scale)) / 2.0;
  drawing.width = drawn.x();
  drawing.height = drawn.y();
  const auto move = [&](Vec2* p) { *p = drawing.OnPage(*p); };
  for (CheckBar* bar : {&page->bar_across, &page->bar_up}) {
    move(&bar->from);
    move(&bar->to);
  }
  const auto move_box = [&](Box* box) {
    move(&box->low);
    move(&box->high);
  };
  if (page->card) move_box(&*page->card);
  for (SheetLabel& label : page->labels) move_box(&label.box);
  for (Box& box : page->mark_boxes) move_box(&box);
  for (MatchMark& mark : page->match_marks) move(&mark.at);
}

}  // namespace

Vec2 PrinterBars::Scale() const { return {kCheckBar / x, kCheckBar / y}; }

Result<PrinterBars> ParsePrinterBars(std::string_view text) {
  const std::size_t cross = text.find('x');
  const auto x = PlainNumber(text.substr(0, std::min(cross, text.size())));
  const auto y =
      cross == std::string_view::npos ? std::nullopt : PlainNumber(text.substr(cross + 1));
  const std::string allowed =
      fmt::format("from {:.0f} to {:.0f} mm each is allowed", (1.0 - kMostBarError) * kCheckBar,
                  (1.0 + kMostBarError) * kCheckBar);
  if (!x || !y) {
    return Fail(ErrorKind::job,
                fmt::format("'{}' is not two lengths: write what the check bars measure as x by y "
                            "in mm, such as 149.2x149.6; {}",
                            text, allowed));
  }
  for (const auto& [axis, measured] : {std::pair{'x', *x}, std::pair{'y', *y}}) {
    if (Correctable(measured)) continue;
    return Fail(ErrorKind::job,
                fmt::format("the {} bar of {} mm is more than {:.0f} % off {:.0f} mm: {}. Set the "
                            "print dialog to 100 %, print again and measure again",
                            axis, measured, 100.0 * kMostBarError, kCheckBar, allowed));
  }
  return PrinterBars{*x, *y};
}

PageSize LayoutSize(const PageSize& paper, const Vec2& scale) {
  return {paper.width / std::max(1.0, scale.x()), paper.height / std::max(1.0, scale.y()),
          paper.roll};
}

void StretchPages(const PrinterBars& bars, TemplateSheet* sheet) {
  for (SheetPage& page : sheet->pages) {
    StretchPage((page.on_its_side ? bars.Turned() : bars).Scale(), &page);
  }
  for (SheetMark& mark : sheet->marks) {
    const auto page = std::find_if(sheet->pages.begin(), sheet->pages.end(),
                                   [&](const SheetPage& p) { return p.number == mark.page; });
    const Vec2 at = page->drawing.OnPage({mark.x, mark.y});
    mark.x = at.x();
    mark.y = at.y();
  }
}

}  // namespace holeward
