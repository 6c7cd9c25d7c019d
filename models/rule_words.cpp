// The rule of a point in plain words.
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "models/placing.h"

namespace holeward {
namespace {

std::string Length(double mm, bool inches, const Words& words) {
  const double shown = std::round(mm * 100.0) / 100.0;
  if (!inches) return words.Say("{:g} mm", shown);
  return words.Say("{:g} mm ({:g} in)", shown, std::round(mm / kInch * 1000.0) / 1000.0);
}

/// Where a reading starts or ends when its datum leaves a choice.
std::string Where(const MeasureRow& m, const Words& words) {
  if (m.edge == EdgeReading::sharp) return words.Say("(where the two flats would meet)");
  if (m.edge == EdgeReading::tangent) return words.Say("(where the flat ends)");
  return m.to_centre ? words.Say("(its centre)") : "";
}

constexpr std::pair<const char*, const char*> kTowards[] = {
    {"front", Told("toward front")},
    {"rear", Told("toward rear")},
    {"inboard", Told("toward inboard")},
    {"outboard", Told("toward outboard")},
    {"up", Told("toward up")},
    {"down", Told("toward down")},
    {"left", Told("toward left")},
    {"right", Told("toward right")},
    {"top", Told("toward top")},
    {"bottom", Told("toward bottom")},
    {"underside", Told("toward underside")}};

std::string Toward(const MeasureRow& m, const Words& words) {
  if (!m.toward) return "";
  for (const auto& [way, said] : kTowards) {
    if (*m.toward == way) return words.Say(said);
  }
  return words.Say("toward {}", words.Own(*m.toward));
}

std::string Share(double fraction, const Words& words) {
  if (std::abs(fraction - 0.5) < 1e-9) return words.Say("half way");
  return words.Say("{:g} % of the way", std::round(fraction * 1000.0) / 10.0);
}

/// A reading of a value from a datum.
std::string Reading(const MeasureRow& m, bool inches, const Words& words) {
  const std::string from = words.Own(m.from.empty() ? "" : m.from.front());
  const std::string length = Length(m.value, inches, words);
  switch (m.method) {
    case Method::tape: return words.Say("{} by tape along the skin from {}", length, from);
    case Method::rule: return words.Say("{} straight by steel rule from {}", length, from);
    case Method::square: return words.Say("{} square off {}", length, from);
    default: break;
  }
  return words.Say("{:g} degrees round from {}", std::round(m.value / kDegree * 100.0) / 100.0,
                   from);
}

constexpr std::pair<const char*, const char*> kLines[] = {
    {"middle", Told("on the middle of the face, by eye")},
    {"top", Told("on the top line")},
    {"bottom", Told("on the bottom line")},
    {"front", Told("on the front line")},
    {"rear", Told("on the rear line")},
    {"inboard", Told("on the inboard line")},
    {"outboard", Told("on the outboard line")}};

std::string OnLine(const std::string& line, const Words& words) {
  for (const auto& [name, said] : kLines) {
    if (line == name) return words.Say(said);
  }
  return words.Say("on the {} line", words.Own(line));
}

std::string InWords(const MeasureRow& m, bool inches, const Words& words) {
  switch (m.method) {
    case Method::middle:
      if (m.across_face) return words.Say("{} across the face", Share(m.fraction, words));
      return words.Say("{} from {} to {}, by tape", Share(m.fraction, words),
                       words.Own(m.from.front()), words.Own(m.from.back()));
    case Method::in_line: return words.Say("in line with {}", words.Own(m.from.front()));
    case Method::line: return OnLine(m.line, words);
    default: break;
  }
  std::string text = Reading(m, inches, words);
  const bool choice = m.method != Method::protractor;
  if (const std::string where = choice ? Where(m, words) : ""; !where.empty()) text += " " + where;
  if (const std::string way = Toward(m, words); !way.empty()) text += ", " + way;
  return text;
}

}  // namespace

std::string RuleInWords(const PointRow& point, bool inches, const Words& words) {
  return InWords(point.rule[0], inches, words) + "; " + InWords(point.rule[1], inches, words);
}

PointRow WithEndsExchanged(PointRow row, const Part& part) {
  for (MeasureRow& measure : row.rule) {
    for (std::string& from : measure.from) {
      if (from == part.start) {
        from = part.finish;
      } else if (from == part.finish) {
        from = part.start;
      }
    }
  }
  return row;
}

}  // namespace holeward
