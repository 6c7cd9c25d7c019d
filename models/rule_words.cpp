// The rule of a point in plain words.
#include <cmath>

#include <fmt/format.h>

#include "models/placing.h"

namespace holeward {
namespace {

constexpr double kInch = 25.4;

std::string Length(double mm, bool inches) {
  return inches ? fmt::format("{:g} in", std::round(mm / kInch * 1000.0) / 1000.0)
                : fmt::format("{:g} mm", std::round(mm * 100.0) / 100.0);
}

std::string Share(double fraction) {
  if (std::abs(fraction - 0.5) < 1e-9) return "half way";
  return fmt::format("{:g} % of the way", std::round(fraction * 1000.0) / 10.0);
}

std::string EdgeWords(const MeasureRow& m) {
  if (m.edge == EdgeReading::sharp) return " (where the two flats would meet)";
  if (m.edge == EdgeReading::tangent) return " (where the flat ends)";
  return m.to_centre ? " (its centre)" : "";
}

std::string InWords(const MeasureRow& m, bool inches) {
  const std::string from = m.from.empty() ? "" : m.from.front();
  const std::string way = m.toward ? ", toward " + *m.toward : "";
  switch (m.method) {
    case Method::tape:
      return fmt::format("{} by tape along the skin from {}{}{}", Length(m.value, inches), from,
                         EdgeWords(m), way);
    case Method::rule:
      return fmt::format("{} straight by steel rule from {}{}{}", Length(m.value, inches), from,
                         EdgeWords(m), way);
    case Method::square:
      return fmt::format("{} square off {}{}{}", Length(m.value, inches), from, EdgeWords(m), way);
    case Method::protractor:
      return fmt::format("{:g} degrees round from {}{}",
                         std::round(m.value / kDegree * 100.0) / 100.0, from, way);
    case Method::middle:
      if (m.across_face) return Share(m.fraction) + " across the face";
      return fmt::format("{} from {} to {}, by tape", Share(m.fraction), from, m.from.back());
    case Method::in_line: return "in line with " + from;
    case Method::line:
      return m.line == "middle" ? "on the middle of the face, by eye"
                                : fmt::format("on the {} line", m.line);
  }
  return {};
}

}  // namespace

std::string RuleInWords(const PointRow& point, bool inches) {
  return InWords(point.rule[0], inches) + "; " + InWords(point.rule[1], inches);
}

}  // namespace holeward
