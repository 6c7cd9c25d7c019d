// The readings of a table by their names: which reading of the sheet each one is.
#include <algorithm>
#include <charconv>
#include <cmath>
#include <optional>

#include <fmt/format.h>

#include "models/bench_instruments.h"
#include "models/bench_table.h"
#include "models/bench_words.h"
#include "models/toml_walk.h"

namespace holeward {
namespace {

constexpr std::size_t kMostRows = 40;
constexpr std::size_t kMostReadings = 400;

std::optional<std::size_t> Whole(const std::string& text) {
  std::size_t value = 0;
  const char* end = text.data() + text.size();
  const auto [stop, error] = std::from_chars(text.data(), end, value);
  return error == std::errc{} && stop == end ? std::optional(value) : std::nullopt;
}

class Taker {
 public:
  Taker(const BenchTable& table, const PartRow& part, Location at, BenchSheet* sheet)
      : table_(table), part_(part), at_(at), sheet_(*sheet), words_(WordsOfBench(*sheet)) {}

  std::vector<JobError> Run() {
    for (const BenchTableReading& read : table_.readings) {
      if (read.part == part_.name) Take(read);
    }
    return std::move(errors_);
  }

 private:
  void Wrong(const BenchTableReading& read, std::string message) {
    errors_.push_back({read.at, std::move(message)});
  }

  void Take(const BenchTableReading& read) {
    const auto known = std::find_if(sheet_.readings.begin(), sheet_.readings.end(),
                                    [&](const BenchReading& r) { return r.name == read.name; });
    BenchReading reading;
    if (known != sheet_.readings.end()) {
      reading = *known;
    } else if (auto named = Named(read)) {
      reading = *named;
    } else {
      return;
    }
    if (!Fill(read, &reading)) return;
    if (known != sheet_.readings.end()) {
      *known = reading;
    } else if (sheet_.readings.size() < kMostReadings) {
      sheet_.readings.push_back(reading);
    } else {
      Wrong(read, fmt::format("a bench holds at most {} readings", kMostReadings));
    }
  }

  bool Fill(const BenchTableReading& read, BenchReading* r) {
    const bool weight = r->kind == BenchKind::weight;
    const auto& all = InstrumentWords();
    if (read.weight != weight) {
      Wrong(read, fmt::format("reading {} is {}; its unit must be {}", Quoted(read.name),
                              weight ? "a weight" : "a length", weight ? "kg" : "mm or in"));
      return false;
    }
    const bool known =
        read.instrument.empty() || std::find(all.begin(), all.end(), read.instrument) != all.end();
    if (!known || (!read.instrument.empty() && (read.instrument == "scale") != weight)) {
      Wrong(read,
            fmt::format("the instrument of reading {} must be {}; found {}", Quoted(read.name),
                        weight ? "a scale" : OneOf(all), Quoted(read.instrument)));
      return false;
    }
    const bool any = r->kind == BenchKind::distance || r->kind == BenchKind::face;
    for (const double value : read.values) {
      if (any || value > 0.0 || (r->kind == BenchKind::corner && value == 0.0)) continue;
      Wrong(read,
            fmt::format("reading {} must be more than 0; found {:.6g}", Quoted(read.name), value));
      return false;
    }
    SetValues(read, r);
    return true;
  }

  void SetValues(const BenchTableReading& read, BenchReading* r) const {
    const auto n = static_cast<double>(read.values.size());
    r->value = 0.0;
    for (const double v : read.values) r->value += v / n;
    double squares = 0.0;
    for (const double v : read.values) squares += (v - r->value) * (v - r->value);
    r->samples = static_cast<int>(read.values.size());
    r->spread = r->samples > 1 ? std::sqrt(squares / (n - 1.0)) : 0.0;
    r->instrument = read.instrument.empty() ? UsualInstrument(r->kind) : read.instrument;
    r->sigma = ReadingSigma(r->kind, r->instrument, r->value);
    r->at = at_;
  }

  // The reading that a name of the form means.
  std::optional<BenchReading> Named(const BenchTableReading& read) {
    BenchReading r;
    r.name = read.name;
    std::string base = read.name;  // without "again"
    const std::size_t again = base.find(", reading ");
    if (again != std::string::npos && Whole(base.substr(again + 10))) base.resize(again);
    if (base.ends_with(", wrap")) base.resize(base.size() - 6);
    r.spare = base.size() != read.name.size();
    if (Once(base, &r) || AtDistance(base, &r) || Between(base, &r) || AtRow(base, &r)) {
      if (r.kind == BenchKind::corner && r.row) sheet_.own_corners = true;
      return r;
    }
    Wrong(read, fmt::format("{} is no reading of part '{}': the names are those of the measuring "
                            "form, such as \"2 {}\", \"2 girth\", \"{} at 120\", \"diagonal 1 {} "
                            "to 2 {}\" or \"wall, reading 2\"; its rows are 1 to {}",
                            Quoted(read.name), part_.name, words_.lateral[0], Sizes().front().word,
                            words_.lateral[0], words_.lateral[1], sheet_.rows.size()));
    return std::nullopt;
  }

  [[nodiscard]] std::vector<KindWord> Sizes() const {
    std::vector<KindWord> sizes = BenchSizeWords(part_.section);
    if (part_.section != SectionKind::channel) sizes.push_back({"girth", BenchKind::girth});
    return sizes;
  }

  bool Once(const std::string& base, BenchReading* r) const {
    if (base == "wall" || base == "weight") {
      r->kind = base == "wall" ? BenchKind::wall : BenchKind::weight;
      r->spare = true;
      return true;
    }
    if (base != "corner" || part_.section == SectionKind::round || sheet_.own_corners) return false;
    r->kind = BenchKind::corner;
    return true;
  }

  // A size, face or wall by its word alone.
  bool Kind(const std::string& word, BenchReading* r) const {
    if (const auto side = words_.Side(word)) {
      r->kind = BenchKind::face;
      r->side = *side;
      return true;
    }
    for (const KindWord& size : Sizes()) {
      if (word != size.word) continue;
      r->kind = size.kind;
      return true;
    }
    return false;
  }

  bool AtDistance(const std::string& base, BenchReading* r) const {
    const std::size_t at = base.find(" at ");
    if (at == std::string::npos || !Kind(base.substr(0, at), r)) return false;
    const std::string text = base.substr(at + 4);
    const char* end = text.data() + text.size();
    const auto [stop, error] = std::from_chars(text.data(), end, r->distance);
    r->spare = true;
    return error == std::errc{} && stop == end && std::isfinite(r->distance) &&
           r->kind != BenchKind::corner;
  }

  bool AtRow(const std::string& base, BenchReading* r) const {
    const std::size_t blank = base.find(' ');
    if (blank == std::string::npos) return false;
    const auto row = Whole(base.substr(0, blank));
    const std::string word = base.substr(blank + 1);
    if (!row || *row < 1 || *row > sheet_.rows.size()) return false;
    if (word == "wall") {
      r->kind = BenchKind::wall;
      r->spare = true;
      return true;
    }
    r->row = *row - 1;
    if (word == "distance") {
      r->kind = BenchKind::distance;
      return true;
    }
    if (!Kind(word, r)) return false;
    if (r->kind == BenchKind::girth) r->spare = true;
    return r->kind != BenchKind::corner || !CommonCorner();
  }

  [[nodiscard]] bool CommonCorner() const {
    return std::any_of(sheet_.readings.begin(), sheet_.readings.end(),
                       [](const BenchReading& r) { return r.kind == BenchKind::corner && !r.row; });
  }

  [[nodiscard]] std::optional<BenchPlace> Place(const std::string& text) const {
    const std::size_t blank = text.find(' ');
    if (blank == std::string::npos) return std::nullopt;
    const auto row = Whole(text.substr(0, blank));
    const auto side = words_.Side(text.substr(blank + 1));
    if (!row || *row < 1 || *row > sheet_.rows.size() || !side) return std::nullopt;
    return BenchPlace{*row - 1, *side};
  }

  bool Between(const std::string& base, BenchReading* r) const {
    const bool tape = base.starts_with("tape ");
    if (!tape && !base.starts_with("diagonal ")) return false;
    const std::string ends = base.substr(tape ? 5 : 9);
    const std::size_t to = ends.find(" to ");
    if (to == std::string::npos) return false;
    const auto a = Place(ends.substr(0, to));
    const auto b = Place(ends.substr(to + 4));
    if (!a || !b || a->row == b->row || (tape && a->side != b->side)) return false;
    r->kind = tape ? BenchKind::tape : BenchKind::diagonal;
    r->from = *a;
    r->to = *b;
    r->spare = true;
    return true;
  }

  const BenchTable& table_;
  const PartRow& part_;
  Location at_;
  BenchSheet& sheet_;
  BenchWords words_;
  std::vector<JobError> errors_;
};

}  // namespace

bool HoldsPart(const BenchTable& table, const std::string& part) {
  return std::any_of(table.readings.begin(), table.readings.end(),
                     [&](const BenchTableReading& read) { return read.part == part; });
}

std::size_t RowsOf(const BenchTable& table, const std::string& part) {
  std::size_t rows = 0;
  for (const BenchTableReading& read : table.readings) {
    if (read.part != part) continue;
    const auto row = Whole(read.name.substr(0, read.name.find(' ')));
    if (row && *row <= kMostRows) rows = std::max(rows, *row);
  }
  return rows;
}

std::vector<JobError> TakeReadings(const BenchTable& table, const PartRow& part, Location at,
                                   BenchSheet* sheet) {
  return Taker(table, part, at, sheet).Run();
}

}  // namespace holeward
