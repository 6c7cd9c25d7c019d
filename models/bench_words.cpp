#include "models/bench_words.h"

#include <cmath>

#include <fmt/format.h>

#include "models/bench_instruments.h"

namespace holeward {
namespace {

constexpr std::size_t kMostReadings = 400;
constexpr std::size_t kMostSamples = 50;

}  // namespace

std::optional<BenchSide> BenchWords::Side(const std::string& word) const {
  if (word == "top") return BenchSide::b_plus;
  if (word == "underside" || word == "bottom") return BenchSide::b_minus;
  if (word == lateral[0]) return BenchSide::a_plus;
  return word == lateral[1] ? std::optional(BenchSide::a_minus) : std::nullopt;
}

std::string BenchWords::Face(BenchSide side) const {
  switch (side) {
    case BenchSide::b_plus: return "top";
    case BenchSide::b_minus: return "underside";
    case BenchSide::a_plus: return lateral[0];
    case BenchSide::a_minus: return lateral[1];
  }
  return "";
}

BenchWords WordsOfBench(const BenchSheet& sheet) {
  const bool across = sheet.toward == "outboard" || sheet.toward == "inboard";
  BenchWords words;
  words.lateral = across ? std::array<std::string, 2>{"front", "rear"}
                         : std::array<std::string, 2>{"outboard", "inboard"};
  return words;
}

std::vector<std::string> BenchWords::Faces() const {
  return {"top", "underside", lateral[0], lateral[1]};
}

std::vector<KindWord> BenchSizeWords(SectionKind section) {
  if (section == SectionKind::round) return {{"diameter", BenchKind::diameter}};
  return {
      {"width", BenchKind::width}, {"height", BenchKind::height}, {"corner", BenchKind::corner}};
}

std::optional<BenchReading> ReadBenchReading(TableWalk& walk, const std::string& key,
                                             BenchKind kind) {
  if (!walk.Has(key)) return std::nullopt;
  const bool size =
      kind != BenchKind::face && kind != BenchKind::distance && kind != BenchKind::weight;
  const Bounds weight{"a weight in kg above 0", Measured::plain, 1e-6, false, 1e4, false};
  const Bounds corner = LengthBounds();
  const Bounds bounds = kind == BenchKind::weight   ? weight
                        : kind == BenchKind::corner ? corner
                        : size                      ? SizeBounds()
                                                    : CoordinateBounds();
  const auto values = walk.Numbers(key, bounds, true);
  if (values.empty()) return std::nullopt;
  BenchReading r;
  r.kind = kind;
  r.at = walk.PlaceOf(key);
  if (values.size() > kMostSamples) {
    walk.Error(r.at, fmt::format("{} must be one reading, or one for each of at most {} samples",
                                 walk.What(key), kMostSamples));
    return std::nullopt;
  }
  const auto n = static_cast<double>(values.size());
  for (const double v : values) r.value += v / n;
  double squares = 0.0;
  for (const double v : values) squares += (v - r.value) * (v - r.value);
  r.samples = static_cast<int>(values.size());
  if (r.samples > 1) r.spread = std::sqrt(squares / (n - 1.0));
  r.instrument = UsualInstrument(kind);
  r.sigma = InstrumentSigma(r.instrument, r.value);
  return r;
}

void AddBenchReading(const BenchReading& reading, BenchSheet& sheet, TableWalk& walk) {
  if (sheet.readings.size() < kMostReadings) {
    sheet.readings.push_back(reading);
    return;
  }
  walk.Error(sheet.at, fmt::format("a bench holds at most {} readings", kMostReadings));
}

}  // namespace holeward
