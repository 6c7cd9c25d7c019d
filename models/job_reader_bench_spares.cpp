// Reads the spare readings of a bench: girths, diagonals, tapes, walls, the weight, and any size or
// face once more.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "models/bench_instruments.h"
#include "models/bench_words.h"

namespace holeward {
namespace {

class SpareReader {
 public:
  SpareReader(TableWalk& bench, const PartRow& part, const BenchWords& words, BenchSheet& sheet)
      : bench_(bench), part_(part), words_(words), sheet_(sheet) {}

  void Run() {
    const auto tables = bench_.Tables("spare");
    for (std::size_t i = 0; i < tables.size(); ++i) {
      Spare(TableWalk(*tables[i], ItemName(*tables[i], "spare reading", i, bench_.where()),
                      bench_.context()));
    }
  }

 private:
  [[nodiscard]] std::vector<KindWord> SpareWords() const {
    std::vector<KindWord> words{{"girth", BenchKind::girth},
                                {"diagonal", BenchKind::diagonal},
                                {"tape", BenchKind::tape},
                                {"wall", BenchKind::wall},
                                {"weight", BenchKind::weight}};
    for (const KindWord& size : BenchSizeWords(part_.section)) words.push_back(size);
    return words;
  }

  void Spare(TableWalk spare) {
    const auto name = spare.Has("name") ? spare.Name("name") : std::nullopt;
    std::vector<std::string> words;
    std::optional<BenchReading> found;
    std::string word;
    int count = 0;
    const auto take = [&](const std::string& key, BenchKind kind) {
      words.push_back(key);
      spare.Find(key);
      if (!spare.Has(key)) return false;
      ++count;
      word = key;
      found = ReadBenchReading(spare, key, kind);
      return true;
    };
    for (const KindWord& k : SpareWords()) take(k.word, k.kind);
    for (const std::string& face : words_.Faces()) {
      if (take(face, BenchKind::face) && found) found->side = *words_.Side(face);
    }
    if (count != 1) {
      spare.Error(spare.node().at, fmt::format("{} must have exactly one of {}; found {}",
                                               spare.where(), Listed(words), count));
      spare.IgnoreRest();
    }
    BenchReading reading = found.value_or(BenchReading{});
    reading.spare = true;
    Where(spare, reading);
    Accuracy(spare, reading);
    if (reading.kind == BenchKind::weight) {
      const Bounds others{"a weight in kg of 0 or more", Measured::plain, 0.0, false, 1e4, false};
      reading.others = spare.Number("others", others).value_or(0.0);
      // Steel's density is known within 1 %; common practice, no source.
      reading.sigma = std::hypot(reading.sigma, SigmaOfHalfWidth(0.01 * reading.value));
    }
    spare.Finish();
    if (!found || count != 1) return;
    reading.name = name ? *name : SpareName(reading, word);
    AddBenchReading(reading, sheet_, bench_);
  }

  void Where(TableWalk& spare, BenchReading& reading) {
    if (reading.kind == BenchKind::diagonal || reading.kind == BenchKind::tape) {
      Ends(spare, reading);
    } else {
      AtRow(spare, reading);
    }
  }

  void Ends(TableWalk& spare, BenchReading& reading) {
    const auto from = Place(spare, "from");
    const auto to = Place(spare, "to");
    if (!from || !to) return;
    reading.from = *from;
    reading.to = *to;
    const bool tape = reading.kind == BenchKind::tape;
    if (from->row != to->row && (!tape || from->side == to->side)) return;
    spare.Error(spare.PlaceOf("to"),
                fmt::format("{} must be at another row than \"from\"{}", spare.What("to"),
                            tape ? ", on the same face" : ""));
  }

  void AtRow(TableWalk& spare, BenchReading& reading) {
    const Bounds rows{"the number of a row",
                      Measured::plain,
                      1.0,
                      false,
                      static_cast<double>(std::max<std::size_t>(1, sheet_.rows.size())),
                      false};
    const auto row = spare.Number("row", rows);
    const auto at = spare.Number("at", CoordinateBounds());
    if (row && *row == std::floor(*row)) reading.row = static_cast<std::size_t>(*row) - 1;
    if (row && *row != std::floor(*row)) {
      spare.Error(spare.PlaceOf("row"),
                  fmt::format("{} must be a whole number", spare.What("row")));
    }
    if (at) reading.distance = *at;
    const bool placed = reading.kind != BenchKind::wall && reading.kind != BenchKind::weight;
    if (reading.kind == BenchKind::wall) {
      (void)spare.Choice("face", words_.Faces());  // for the person: the fit has one wall
    }
    if (placed && spare.Has("row") == spare.Has("at")) {
      spare.Error(spare.node().at,
                  fmt::format("{} must say where it was taken: \"row\", the number of a row, or "
                              "\"at\", a distance along the straightedge",
                              spare.where()));
    }
    if (reading.kind == BenchKind::girth && part_.section == SectionKind::channel) {
      spare.Error(spare.PlaceOf("girth"),
                  fmt::format("{}: no tape goes round an open channel", spare.What("girth")));
    }
    if (at) CheckAt(spare, *at);
  }

  void CheckAt(TableWalk& spare, double at) {
    double first = 0.0;
    double last = 0.0;
    bool any = false;
    for (const BenchReading& r : sheet_.readings) {
      if (r.kind != BenchKind::distance) continue;
      first = any ? std::min(first, r.value) : r.value;
      last = any ? std::max(last, r.value) : r.value;
      any = true;
    }
    if (!any || (at >= first && at <= last)) return;
    const double unit = bench_.context().unit_mm;
    spare.Error(spare.PlaceOf("at"),
                fmt::format("{} must be between the first row and the last ({:.6g} to {:.6g}); "
                            "found {:.6g}",
                            spare.What("at"), first / unit, last / unit, at / unit));
  }

  // "3 front": the middle of a face at a row.
  std::optional<BenchPlace> Place(TableWalk& spare, const std::string& key) {
    const auto text = spare.Text(key, 60, Need::required);
    if (!text) return std::nullopt;
    const std::size_t blank = text->find(' ');
    const std::string number = text->substr(0, blank);
    const bool digits = !number.empty() && number.size() < 4 &&
                        number.find_first_not_of("0123456789") == std::string::npos;
    const std::size_t row = digits ? std::stoul(number) : 0;
    const auto side =
        blank == std::string::npos ? std::nullopt : words_.Side(text->substr(blank + 1));
    if (row >= 1 && row <= sheet_.rows.size() && side) return BenchPlace{row - 1, *side};
    spare.Error(spare.PlaceOf(key),
                fmt::format("{} must be the number of a row (1 to {}) and one of {}, such as "
                            "\"1 {}\"; found {}",
                            spare.What(key), sheet_.rows.size(), Listed(words_.Faces()),
                            words_.lateral[0], Quoted(*text)));
    return std::nullopt;
  }

  static void Accuracy(TableWalk& spare, BenchReading& reading) {
    const auto instrument = spare.Choice("instrument", InstrumentWords());
    const bool scale = instrument == "scale";
    if (instrument && scale != (reading.kind == BenchKind::weight)) {
      spare.Error(
          spare.PlaceOf("instrument"),
          fmt::format("{}: a scale reads weight, and nothing else does", spare.What("instrument")));
    }
    if (instrument) {
      reading.instrument = *instrument;
      reading.sigma = InstrumentSigma(*instrument, reading.value);
    }
    const Bounds kilograms{"a weight in kg above 0", Measured::plain, 1e-6, false, 1e4, false};
    const auto error =
        spare.Number("error", reading.kind == BenchKind::weight ? kilograms : SizeBounds());
    if (error) reading.sigma = SigmaOfHalfWidth(*error);
  }

  [[nodiscard]] std::string SpareName(const BenchReading& r, const std::string& word) {
    std::string name;
    if (r.kind == BenchKind::diagonal || r.kind == BenchKind::tape) {
      name = fmt::format("{} {} {} to {} {}", word, r.from.row + 1, words_.Face(r.from.side),
                         r.to.row + 1, words_.Face(r.to.side));
    } else if (r.row) {
      name = fmt::format("{} {}", *r.row + 1, word);
    } else if (r.kind == BenchKind::wall || r.kind == BenchKind::weight) {
      name = word;
    } else {
      name = fmt::format("{} at {:.6g}", word, r.distance / bench_.context().unit_mm);
    }
    const auto taken = [&](const std::string& wanted) {
      return std::any_of(sheet_.readings.begin(), sheet_.readings.end(),
                         [&](const BenchReading& other) { return other.name == wanted; });
    };
    if (!taken(name)) return name;
    for (int again = 2;; ++again) {
      const auto numbered = fmt::format("{}, reading {}", name, again);
      if (!taken(numbered)) return numbered;
    }
  }

  TableWalk& bench_;
  const PartRow& part_;
  const BenchWords& words_;
  BenchSheet& sheet_;
};

}  // namespace

void ReadSpareReadings(TableWalk& bench, const PartRow& part, const BenchWords& words,
                       BenchSheet& sheet) {
  SpareReader(bench, part, words, sheet).Run();
}

}  // namespace holeward
