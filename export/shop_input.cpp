#include "export/shop_input.h"

#include <cmath>

#include <fmt/format.h>

namespace holeward {
namespace {

bool Bad(const std::optional<double>& value) { return value && !std::isfinite(*value); }

std::string FirstNotFinite(const ShopPoint& point) {
  for (const ShopTie& tie : point.ties) {
    if (!std::isfinite(tie.straight) || Bad(tie.allowed))
      return fmt::format("{}: tie to {}", point.name, tie.to);
  }
  for (const ShopStage& stage : point.stages) {
    const HoleCheck& c = stage.check;
    if (!std::isfinite(c.diameter)) return point.name + ": diameter";
    if (!std::isfinite(stage.projection)) return point.name + ": projection";
    if (Bad(c.stop)) return point.name + ": stop";
  }
  if (!std::isfinite(point.probe.depth)) return point.name + ": probe depth";
  return std::isfinite(point.wall) ? "" : point.name + ": wall";
}

std::string Inches(double mm) { return fmt::format("{:.3f} in", mm / kInch); }

}  // namespace

std::string FirstNotFinite(const ShopInput& input) {
  for (const ShopSide& side : input.sides) {
    for (const ShopPoint& point : side.points) {
      std::string what = FirstNotFinite(point);
      if (!what.empty()) return what;
    }
  }
  return "";
}

std::string ShopLength(double mm, bool inches, int decimals) {
  const std::string words = fmt::format("{:.{}f} mm", mm + 0.0, decimals);
  return inches ? fmt::format("{} ({})", words, Inches(mm)) : words;
}

std::string ShopDiameter(double mm, bool inches) {
  const std::string words = fmt::format("⌀{:g}", std::round(mm * 100.0) / 100.0);
  return inches ? fmt::format("{} ({})", words, Inches(mm)) : words;
}

std::string CloseWords(const ShopPoint& point, bool inches, const Words& words) {
  const double size = point.stages.empty() ? 0.0 : point.stages.back().check.diameter;
  if (point.after == "plug") return words.Say("plug for {}", ShopDiameter(size, inches));
  if (point.after == "sealant") return words.Say("sealant");
  if (point.after == "drain") return words.Say("open: drain");
  return words.Say("not stated: ask");
}

std::string ProbeWords(const ShopProbe& probe, bool inches, const Words& words) {
  switch (probe.kind) {
    case ShopProbe::Kind::depth: return ShopLength(probe.depth, inches);
    case ShopProbe::Kind::free: return words.Say("any depth");
    case ShopProbe::Kind::not_computed: break;
  }
  return words.Say("not computed");
}

}  // namespace holeward
