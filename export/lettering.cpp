#include "export/lettering.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <span>
#include <tuple>
#include <unordered_map>

#include "export/drawing.h"

namespace holeward {
namespace {

/// Widths already measured, in heights of a capital letter. Breaking and fitting texts asks for the
/// same ones again and again, and shaping them takes long.
class KnownWidths {
 public:
  /// Those of the calling thread: what they hold depends on the text alone.
  static KnownWidths& Of(bool bold) {
    thread_local std::array<KnownWidths, 2> known{KnownWidths(false), KnownWidths(true)};
    return known[bold ? 1 : 0];
  }

  /// Width of a clean text over the height of its capitals.
  double operator()(const std::string& clean) {
    if (const auto known = widths_.find(clean); known != widths_.end()) return known->second;
    if (widths_.size() >= kMost) widths_.clear();
    pango_layout_set_text(layout_.get(), clean.data(), static_cast<int>(clean.size()));
    PangoRectangle logical;
    pango_layout_get_extents(layout_.get(), nullptr, &logical);
    const double width = static_cast<double>(logical.width) / PANGO_SCALE / kHeight;
    widths_.emplace(clean, width);
    return width;
  }

 private:
  explicit KnownWidths(bool bold) : layout_(MakeLayout("", kHeight, bold)) {}

  // Lettering is not hinted: its width goes with its height. Measured large, it is rounded less.
  static constexpr double kHeight = 10.0;
  static constexpr std::size_t kMost = 20000;
  Layout layout_;
  std::unordered_map<std::string, double> widths_;
};

/// Measures line after line in one size.
class Ruler {
 public:
  Ruler(double height, bool bold) : height_(height), known_(KnownWidths::Of(bold)) {}

  /// Width of a clean text, mm.
  [[nodiscard]] double operator()(const std::string& clean) const {
    return height_ * known_(clean);
  }

  [[nodiscard]] double height() const { return height_; }

 private:
  double height_;
  KnownWidths& known_;
};

std::string Clean(const std::string& words) {
  gchar* valid = g_utf8_make_valid(words.data(), static_cast<gssize>(words.size()));
  std::string clean(valid);
  g_free(valid);
  for (char& c : clean) {
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) c = ' ';
  }
  return clean;
}

/// Where characters end in a UTF-8 text, in bytes.
std::vector<std::size_t> CharacterEnds(const std::string& text) {
  std::vector<std::size_t> ends;
  for (std::size_t i = 1; i <= text.size(); ++i) {
    const bool inside = i < text.size() && (static_cast<unsigned char>(text[i]) & 0xC0) == 0x80;
    if (!inside) ends.push_back(i);
  }
  return ends;
}

/// The longest beginning of `text` that, with `tail` behind it, is no wider than `width`.
std::string Beginning(const std::string& text, const std::string& tail, double width,
                      const Ruler& ruler) {
  const std::vector<std::size_t> ends = CharacterEnds(text);
  const auto fits = [&](std::size_t end) { return ruler(text.substr(0, end) + tail) <= width; };
  const auto first_too_wide = std::partition_point(ends.begin(), ends.end(), fits);
  return first_too_wide == ends.begin() ? std::string() : text.substr(0, *(first_too_wide - 1));
}

/// What stands between single spaces; two in a row hold an empty word, one at the end holds none.
std::vector<std::string> WordsOf(const std::string& text) {
  std::vector<std::string> words;
  for (std::size_t from = 0; from < text.size();) {
    const std::size_t space = std::min(text.find(' ', from), text.size());
    words.push_back(text.substr(from, space - from));
    from = space + 1;
  }
  return words;
}

/// A line and how many words were taken into it.
struct FilledLine {
  std::string line;
  std::size_t taken = 0;
};

/// Takes as many of `words` into a line, from the first on, as fit. A guess from the letters'
/// number saves most measuring.
FilledLine Filled(const std::string& begun, std::span<const std::string> words, double width,
                  const Ruler& ruler) {
  const auto joined = [&](std::size_t count) {
    std::string line = begun;
    for (const std::string& word : words.first(count)) {
      if (!line.empty()) line += ' ';
      line += word;
    }
    return line;
  };
  constexpr double kByte = 0.7;  // of a letter's height, roughly
  std::size_t guess = 0;
  for (double bytes = static_cast<double>(begun.size());
       guess < words.size() && bytes < width / (kByte * ruler.height()); ++guess) {
    bytes += static_cast<double>(words[guess].size()) + 1.0;
  }
  FilledLine best{joined(guess), guess};
  while (best.taken > 0 && ruler(best.line) > width)
    best = {joined(best.taken - 1), best.taken - 1};
  const bool shrunk = best.taken < guess;
  while (!shrunk && best.taken < words.size()) {
    std::string longer = joined(best.taken + 1);
    if (ruler(longer) > width) break;
    best = {std::move(longer), best.taken + 1};
  }
  return best;
}

}  // namespace

Layout MakeLayout(const std::string& words, double height, bool bold) {
  PangoContext* context = pango_font_map_create_context(pango_cairo_font_map_get_default());
  cairo_font_options_t* options = cairo_font_options_create();
  // Hinting would round widths to device pixels: lengths must not depend on the device.
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
  pango_cairo_context_set_font_options(context, options);
  pango_cairo_context_set_resolution(context, 72.0);
  pango_context_set_round_glyph_positions(context, FALSE);
  cairo_font_options_destroy(options);

  Layout layout(pango_layout_new(context));
  g_object_unref(context);
  PangoFontDescription* font = pango_font_description_new();
  pango_font_description_set_family_static(font, "DejaVu Sans");
  pango_font_description_set_weight(font, bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
  pango_font_description_set_absolute_size(font, height / kCapHeight * PANGO_SCALE);
  pango_layout_set_font_description(layout.get(), font);
  pango_font_description_free(font);
  pango_layout_set_single_paragraph_mode(layout.get(), TRUE);
  const std::string clean = Clean(words);
  pango_layout_set_text(layout.get(), clean.data(), static_cast<int>(clean.size()));
  return layout;
}

Layout KnownLayout(const std::string& words, double height, bool bold) {
  constexpr std::size_t kMost = 2000;
  thread_local std::map<std::tuple<std::string, double, bool>, Layout> known;
  if (known.size() >= kMost) known.clear();
  Layout& kept = known[{words, height, bold}];
  if (kept == nullptr) kept = MakeLayout(words, height, bold);
  return Layout(PANGO_LAYOUT(g_object_ref(kept.get())));
}

double TextWidth(const std::string& words, double height, bool bold) {
  return Ruler(height, bold)(Clean(words));
}

FittedText FitText(const std::string& words, double width, const std::vector<double>& heights,
                   bool bold) {
  const std::string clean = Clean(words);
  for (const double height : heights) {
    if (TextWidth(clean, height, bold) <= width) return {clean, height};
  }
  const Ruler ruler(heights.back(), bold);
  return {Beginning(clean, "…", width, ruler) + "…", heights.back()};
}

double HeightForWords(const std::string& words, double width, const std::vector<double>& heights,
                      bool bold) {
  const std::vector<std::string> all = WordsOf(Clean(words));
  for (const double height : heights) {
    const Ruler ruler(height, bold);
    const bool fits = std::all_of(all.begin(), all.end(),
                                  [&](const std::string& word) { return ruler(word) <= width; });
    if (fits) return height;
  }
  return heights.back();
}

FewLines InFewLines(const std::string& words, double width, std::size_t most, bool bold) {
  FewLines few{kText25, WrapText(words, width, kText25, bold)};
  if (few.lines.size() <= most) return few;
  few = {kText18, WrapText(words, width, kText18, bold)};
  if (few.lines.size() <= most) return few;
  std::string rest = few.lines[most - 1];
  for (std::size_t i = most; i < few.lines.size(); ++i) rest += " " + few.lines[i];
  few.lines.resize(most);
  few.lines.back() = FitText(rest, width, {kText18}, bold).words;
  return few;
}

std::vector<std::string> WrapText(const std::string& words, double width, double height,
                                  bool bold) {
  const Ruler ruler(height, bold);
  const std::vector<std::string> all = WordsOf(Clean(words));
  std::vector<std::string> lines(1);
  for (std::size_t next = 0;;) {
    const FilledLine filled = Filled(lines.back(), std::span(all).subspan(next), width, ruler);
    lines.back() = filled.line;
    next += filled.taken;
    if (next == all.size()) return lines;
    std::string word = all[next++];
    if (!lines.back().empty()) lines.emplace_back();
    while (ruler(word) > width) {
      const std::string part = Beginning(word, "", width, ruler);
      if (part.empty()) break;  // not even one character fits: let it stick out
      lines.back() = part;
      lines.emplace_back();
      word = word.substr(part.size());
    }
    lines.back() = word;
  }
}

}  // namespace holeward
