#include "export/limit_words.h"

#include <fmt/format.h>

namespace holeward {
namespace {

/// As few decimals as say it, at least one.
std::string Number(double value) {
  std::string text = fmt::format("{:.3f}", value);
  while (text.back() == '0' && text[text.size() - 2] != '.') text.pop_back();
  return text;
}

std::string Half(const HalfWidth& half, const char* unit, double size = 1.0) {
  if (half.minus == half.plus) return fmt::format("±{} {}", Number(half.plus / size), unit);
  return fmt::format("-{} +{} {}", Number(half.minus / size), Number(half.plus / size), unit);
}

/// The same values with their names as `words` says them.
std::vector<ValueWords> Named(std::vector<ValueWords> values, const Words& words) {
  for (ValueWords& value : values) value.name = words.Say(value.name.c_str());
  return values;
}

std::string Joined(const std::vector<ValueWords>& values) {
  std::string text;
  for (const ValueWords& value : values) {
    text += fmt::format("{}{} {}", text.empty() ? "" : ", ", value.name, value.value);
  }
  return text;
}

}  // namespace

std::vector<ValueWords> WordsOf(const Limits& limits, const Words& words) {
  const auto mm = [](double value) { return fmt::format("{} mm", Number(value)); };
  const auto diameters = [&](double value) { return words.Say("{} diameters", Number(value)); };
  return Named(
      {{Told("clearance"), mm(limits.clearance),
        "along the drill's travel, to anything behind the near wall"},
       {Told("side"), mm(limits.side), "passing beside an inner body closer than this meets it"},
       {Told("edge_distance"), diameters(limits.edge_distance), "hole centre to the nearest edge"},
       {Told("spacing"), diameters(limits.spacing), "centre to centre of two holes, of the larger"},
       {Told("seat_gap"), mm(limits.seat_gap), "rocking gap under a test tip's foot"},
       {Told("through"), mm(limits.through),
        "the full diameter must be this far past break-through"},
       {Told("wrap_error"), mm(limits.wrap_error),
        "a template's mark may land this far from its place when laid on"}},
      words);
}

std::vector<ValueWords> WordsOf(const Marking& marking, const Words& words) {
  return Named(
      {{Told("tape"), Half(marking.tape, "mm"), "reading a tape"},
       {Told("rule"), Half(marking.rule, "mm"), "reading a steel rule"},
       {Told("square"), Half(marking.square, "mm"), "reading off a square"},
       {Told("protractor"), Half(marking.protractor_rad, "°", kDegree), "reading a protractor"},
       {Told("line"), Half(marking.line, "mm"), "finding a line or a face's middle by eye"},
       {Told("middle"), Half(marking.middle, "mm"), "halving a distance"},
       {Told("in_line"), Half(marking.in_line, "mm"), "keeping in line with a datum"},
       {Told("punch"), Half(marking.punch, "mm"), "centre punch, any direction"},
       {Told("template"), Half(marking.sheet, "mm"), "placing a printed sheet"},
       {Told("tilt"), Half(marking.tilt_rad, "°", kDegree), "drill off its axis, a cone"},
       {Told("depth"), Half(marking.depth, "mm"), "setting of the depth stop"},
       {Told("run_on"), fmt::format("{} mm", Number(marking.run_on)),
        "jump past break-through without a stop"},
       {Told("wall"), Half(marking.wall, "mm"), "every wall thickness"},
       {Told("outline"), Half(marking.outline, "mm"), "every outside size of a section"},
       {Told("inner_body"), Half(marking.inner_body, "mm"),
        "where an inner body lies, across its axis"}},
      words);
}

std::string WordsOf(const ErrorDistributions& distributions) {
  if (distributions == ErrorDistributions{}) {
    return "each error even over what the job states (rectangular; a disc, a cone)";
  }
  std::string text = "each error over what the job states (an interval, a disc, a cone):";
  const char* between = " ";
  for (const Distribution one :
       {Distribution::normal, Distribution::triangular, Distribution::rectangular}) {
    std::string names;
    for (const DistributionKey& key : kDistributionKeys) {
      if (distributions.*key.of != one) continue;
      names += fmt::format("{}{}", names.empty() ? "" : ", ", key.key);
    }
    if (names.empty()) continue;
    text += fmt::format("{}{} for {}", between, Word(one), names);
    if (one == Distribution::normal) {
      text += fmt::format(" (half-width {:.4g} standard deviations, cut off there)",
                          kDeviationsOfHalfWidth);
    }
    between = "; ";
  }
  return text;
}

std::string LimitsLine(const Limits& limits, const Marking& marking,
                       const std::vector<std::string>& zeroed, const Words& words) {
  std::string line =
      words.Say("{}; marking: {}", Joined(WordsOf(limits, words)), Joined(WordsOf(marking, words)));
  if (zeroed.empty()) return line;
  std::string names;
  for (const std::string& name : zeroed) names += " " + words.Say(name.c_str());
  return line + words.Say("; set to 0 by the job:{}", names);
}

}  // namespace holeward
