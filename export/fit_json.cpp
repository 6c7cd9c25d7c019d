#include "export/fit_json.h"

#include <cmath>

namespace holeward {
namespace {

double Rounded(double value) { return std::round(value * 1e9) / 1e9 + 0.0; }

Json ReadingJson(const BenchFit& fit, std::size_t i) {
  const BenchReading& r = fit.sheet.readings[i];
  const Adjustment& a = fit.found.adjustment;
  const auto at = static_cast<Eigen::Index>(i);
  Json out{{"name", r.name},
           {"instrument", r.instrument},
           {"unit", r.kind == BenchKind::weight ? "kg" : "mm"},
           {"samples", r.samples},
           {"value", Rounded(r.value)},
           {"sigma", Rounded(r.sigma)},
           {"fitted", Rounded(a.fitted[at])},
           {"residual", Rounded(a.residual[at])},
           {"standardized", Rounded(a.standardized[at])},
           {"redundancy", Rounded(a.redundancy[at])},
           {"used", static_cast<bool>(a.used[i])}};
  if (std::isfinite(fit.least_found[i])) out["least_found"] = Rounded(fit.least_found[i]);
  return out;
}

Json SuspectJson(const BenchFit& fit, const SuspectReading& s) {
  Json rivals = Json::array();
  for (const Eigen::Index r : s.rivals) {
    rivals.push_back(fit.sheet.readings[static_cast<std::size_t>(r)].name);
  }
  return {{"reading", fit.sheet.readings[static_cast<std::size_t>(s.reading)].name},
          {"standardized", Rounded(s.standardized)},
          {"probable", Rounded(s.probable)},
          {"probable_sigma", Rounded(s.probable_sigma)},
          {"rivals", rivals}};
}

Json HalfJson(const HalfWidth& half) {
  return {{"minus", Rounded(half.minus)}, {"plus", Rounded(half.plus)}};
}

Json ComparedJson(const BenchComparison& compared) {
  Json differences = Json::array();
  for (const BenchDifference& d : compared.differences) {
    differences.push_back({{"what", d.what},
                           {"mirror_image_mm", Rounded(d.first)},
                           {"this_sample_mm", Rounded(d.second)},
                           {"explained_mm", Rounded(d.explained)}});
  }
  Json json{{"compared", compared.compared}, {"differences", differences}};
  if (!compared.failure.empty()) json["failure"] = compared.failure;
  return json;
}

Json PartJson(const FitOut& out) {
  const BenchFit& fit = *out.fit;
  Json readings = Json::array();
  for (std::size_t i = 0; i < fit.sheet.readings.size(); ++i) {
    readings.push_back(ReadingJson(fit, i));
  }
  Json suspects = Json::array();
  for (const SuspectReading& s : fit.found.suspects) suspects.push_back(SuspectJson(fit, s));
  Json sizes = Json::array();
  for (const BenchSizeOut& size : fit.sizes) {
    sizes.push_back({{"name", size.name},
                     {"value_mm", Rounded(size.value)},
                     {"sigma_mm", Rounded(size.sigma)},
                     {"low_mm", Rounded(size.low)},
                     {"high_mm", Rounded(size.high)}});
  }
  Json unchecked = Json::array();
  for (const UnprovenReach& reach : fit.unchecked) {
    unchecked.push_back({{"from_station_mm", Rounded(reach.from)},
                         {"to_station_mm", Rounded(reach.to)},
                         {"why", reach.why}});
  }
  Json part{{"part", out.part},
            {"readings", readings},
            {"suspects", suspects},
            {"contradicting", fit.found.contradicting},
            {"chi_square", Rounded(fit.found.adjustment.chi_square)},
            {"freedom", fit.found.adjustment.freedom},
            {"sizes", sizes},
            {"outline_mm", HalfJson(fit.outline)},
            {"wall_mm", HalfJson(fit.wall_error)},
            {"part_spread_mm", Rounded(fit.part_spread)},
            {"unproven", fit.doubts},
            {"unchecked", unchecked},
            {"notes", fit.notes}};
  if (fit.advice) {
    part["next_reading"] = {{"what", fit.advice->what}, {"gain_mm", Rounded(fit.advice->gain)}};
  }
  if (out.compared) part["other_side"] = ComparedJson(*out.compared);
  return part;
}

}  // namespace

Result<Json> FitJson(const ResultHead& head, const std::vector<FitOut>& fits,
                     const MarginAdvice* next) {
  Json parts = Json::array();
  for (const FitOut& fit : fits) parts.push_back(PartJson(fit));
  Json document{{"holeward_result", 1},      {"command", "fit"},  {"job", head.job},
                {"title", head.title},       {"hash", head.hash}, {"program", head.program},
                {"complete", head.complete}, {"parts", parts}};
  if (next) {
    document["worst_hole"] = {
        {"point", next->point}, {"stage", next->stage}, {"margin_worst_mm", Rounded(next->margin)}};
    if (!next->what.empty()) {
      document["worst_hole"]["next_reading"] = {
          {"part", next->part}, {"what", next->what}, {"gain_mm", Rounded(next->gain)}};
    }
  }
  if (const auto text = JsonText(document); !text) return tl::unexpected(text.error());
  return document;
}

}  // namespace holeward
