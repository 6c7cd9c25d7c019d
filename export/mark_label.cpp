#include "export/mark_label.h"

#include <algorithm>

#include <fmt/format.h>

#include "export/lettering.h"
#include "export/said.h"

namespace holeward {
namespace {

/// Millimetres, with inches beside them where the job has them.
std::string Length(double mm, bool inches) {
  return inches ? fmt::format("{:.1f} ({:.3f} in)", mm, mm / kInch) : fmt::format("{:.1f}", mm);
}

/// A stage in one line, or in two with "(proposed)" below.
std::vector<std::string> StageLines(const StageNote& stage, bool narrow,
                                    const TemplateSheetInput& input) {
  const Words& say = input.words;
  const std::string diameter = Length(stage.diameter, input.inches);
  if (!stage.stop) return {say.Say("⌀{}, no stop", diameter)};
  const std::string words = say.Say("⌀{}, stop {}", diameter, Length(*stage.stop, input.inches));
  if (stage.stop_from != StopFrom::proposed) return {words};
  if (narrow) return {words, say.Say("(proposed)")};
  return {words + " " + say.Say("(proposed)")};
}

}  // namespace

Vec2 Label::Size() const {
  Vec2 size(0.0, 0.0);
  for (const LabelLine& line : lines) {
    size.x() = std::max(size.x(), TextWidth(line.words, line.height, line.bold));
    size.y() += line.height * kLineSpacing;
  }
  size.y() -= lines.back().height * (kLineSpacing - 1.3);  // room for a descender stays
  return turn_rad == 0.0 ? size : Vec2(size.y(), size.x());
}

std::string Label::Words() const {
  std::string words;
  for (const LabelLine& line : lines) {
    words += fmt::format("{}{}", words.empty() ? "" : " ", line.words);
  }
  return words;
}

Label MarkLabel(const FlatMark& mark, const TemplateSheetInput& input, const MarkStyle& style) {
  const Words& say = input.words;
  Label label;
  const auto add = [&](const std::string& words, bool bold = false) {
    label.lines.push_back({words, style.rest, bold});
  };
  const FittedText name = FitText(mark.name, 60.0, {style.name, kText25}, true);
  label.lines.push_back({name.words, name.height, true});
  const auto note = std::find_if(input.notes.begin(), input.notes.end(),
                                 [&](const MarkNote& n) { return n.point == mark.name; });
  const bool noted = note != input.notes.end();
  if (!noted || note->stages.empty()) {
    for (const double diameter : mark.diameters) {
      const std::string size = Length(diameter, input.inches);
      add(mark.test ? say.Say("test tip ⌀{}", size) : say.Say("drill ⌀{}", size));
    }
  }
  if (!noted) return label;
  for (const StageNote& stage : note->stages) {
    for (const std::string& words : StageLines(stage, style.narrow, input)) add(words);
  }
  if (note->probe_depth) add(say.Say("probe ≥ {}", Length(*note->probe_depth, input.inches)));
  if (note->verdict) add(Said(*note->verdict, say), *note->verdict != Verdict::clear);
  return label;
}

Label MarkList(const std::vector<FlatMark>& marks, const TemplateSheetInput& input) {
  Label list;
  list.lines.push_back({input.words.Say("Marks on this page"), kText25, true});
  for (const FlatMark& mark : marks) {
    const Label label = MarkLabel(mark, input, {});
    std::string words;
    for (const LabelLine& line : label.lines) {
      words += fmt::format("{}{}", words.empty() ? "" : (words == mark.name ? ":  " : " · "),
                           line.words);
    }
    list.lines.push_back({words, kText25, false});
  }
  return list;
}

}  // namespace holeward
