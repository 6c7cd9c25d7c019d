#include "export/lettering.h"

#include <algorithm>
#include <cmath>

namespace holeward {
namespace {

struct LabelFont {
  double height;
  bool bold;
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
                      const LabelFont& font) {
  const std::vector<std::size_t> ends = CharacterEnds(text);
  const auto fits = [&](std::size_t end) {
    return TextWidth(text.substr(0, end) + tail, font.height, font.bold) <= width;
  };
  const auto first_too_wide = std::partition_point(ends.begin(), ends.end(), fits);
  return first_too_wide == ends.begin() ? std::string() : text.substr(0, *(first_too_wide - 1));
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

double TextWidth(const std::string& words, double height, bool bold) {
  const Layout layout = MakeLayout(words, height, bold);
  PangoRectangle logical;
  pango_layout_get_extents(layout.get(), nullptr, &logical);
  return static_cast<double>(logical.width) / PANGO_SCALE;
}

FittedText FitText(const std::string& words, double width, const std::vector<double>& heights,
                   bool bold) {
  const std::string clean = Clean(words);
  for (const double height : heights) {
    if (TextWidth(clean, height, bold) <= width) return {clean, height};
  }
  return {Beginning(clean, "…", width, {heights.back(), bold}) + "…", heights.back()};
}

std::vector<std::string> WrapText(const std::string& words, double width, double height,
                                  bool bold) {
  std::vector<std::string> lines(1);
  std::string rest = Clean(words);
  while (!rest.empty()) {
    const std::size_t space = rest.find(' ');
    std::string word = rest.substr(0, space);
    rest = space == std::string::npos ? std::string() : rest.substr(space + 1);
    const std::string joined = lines.back().empty() ? word : lines.back() + " " + word;
    if (TextWidth(joined, height, bold) <= width) {
      lines.back() = joined;
      continue;
    }
    if (!lines.back().empty()) lines.emplace_back();
    while (TextWidth(word, height, bold) > width) {
      const std::string part = Beginning(word, "", width, {height, bold});
      if (part.empty()) break;  // not even one character fits: let it stick out
      lines.back() = part;
      lines.emplace_back();
      word = word.substr(part.size());
    }
    lines.back() = word;
  }
  return lines;
}

}  // namespace holeward
