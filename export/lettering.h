// Measures and sets lettering (DejaVu Sans, through Pango), so that what is laid out is what is
// drawn.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include <pango/pangocairo.h>

namespace holeward {

/// Height of a capital letter over the font's size, DejaVu Sans (1493 of 2048 units).
inline constexpr double kCapHeight = 1493.0 / 2048.0;

/// Distance between base lines, in letter heights (ISO 3098: at least 14/10; wider reads better).
inline constexpr double kLineSpacing = 1.65;

struct LayoutDeleter {
  void operator()(PangoLayout* layout) const { g_object_unref(layout); }
};
using Layout = std::unique_ptr<PangoLayout, LayoutDeleter>;

/// One line of text ready to be painted; one unit is one mm. Control characters become spaces and
/// bytes that are not UTF-8 become the replacement character.
/// @param height of a capital letter, mm, > 0
[[nodiscard]] Layout MakeLayout(const std::string& words, double height, bool bold);

/// The same, kept for when the thread asks again: a sheet says most things on every page and in
/// more than one file. Nobody may change it.
[[nodiscard]] Layout KnownLayout(const std::string& words, double height, bool bold);

/// Width of a line of text, mm.
[[nodiscard]] double TextWidth(const std::string& words, double height, bool bold = false);

/// A text that has been made to fit.
struct FittedText {
  std::string words;  ///< shortened with "…" if even the smallest height was too wide
  double height = 0.0;
};

/// The text at the largest of the heights at which it is no wider than `width` mm; shortened with
/// "…" at the last height if it does not fit at any.
/// @param heights largest first, at least one, mm
[[nodiscard]] FittedText FitText(const std::string& words, double width,
                                 const std::vector<double>& heights, bool bold = false);

/// The largest of the heights at which no word of the text is wider than `width` mm; the last of
/// them if there is none.
[[nodiscard]] double HeightForWords(const std::string& words, double width,
                                    const std::vector<double>& heights, bool bold = false);

/// A text in few lines of one height.
struct FewLines {
  double height = 0.0;
  std::vector<std::string> lines;  ///< the last shortened with "…" where there were more
};

/// The text in at most `most` lines no wider than `width` mm, at 2.5 mm or, if that takes more, at
/// 1.8 mm.
[[nodiscard]] FewLines InFewLines(const std::string& words, double width, std::size_t most,
                                  bool bold = false);

/// The text broken into lines no wider than `width` mm, at spaces (inside a word too long for a
/// line). At least one line.
[[nodiscard]] std::vector<std::string> WrapText(const std::string& words, double width,
                                                double height, bool bold = false);

}  // namespace holeward
