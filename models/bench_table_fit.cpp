#include "models/bench_table_fit.h"

#include <algorithm>
#include <memory>

#include <fmt/format.h>

#include "models/bench.h"
#include "models/bench_form.h"
#include "models/toml_walk.h"

namespace holeward {
namespace {

constexpr Location kTable{1, 1};

class Fits {
 public:
  Fits(const Job& job, const std::vector<PartBench>& benches, const BenchTable& table, bool another)
      : job_(job), benches_(benches), table_(table), another_(another) {}

  TableFits Run() {
    Strangers();
    for (const PartRow& part : job_.parts) {
      if (HoldsPart(table_, part.name)) Fit(part);
    }
    return std::move(made_);
  }

 private:
  void Strangers() {
    std::vector<std::string> names;
    for (const PartRow& part : job_.parts) names.push_back(part.name);
    for (const BenchTableReading& read : table_.readings) {
      if (std::find(names.begin(), names.end(), read.part) != names.end()) continue;
      const std::string meant = Meant(read.part, names);
      made_.errors.push_back(
          {read.at, fmt::format("the job has no part {}{} Its parts: {}", Quoted(read.part),
                                meant.empty() ? "." : meant, Listed(names))});
      names.push_back(read.part);  // told once
    }
  }

  void Fit(const PartRow& part) {
    const auto own = std::find_if(benches_.begin(), benches_.end(),
                                  [&](const PartBench& b) { return b.part == part.name; });
    TableFit fit;
    fit.described_otherwise = own == benches_.end();
    if (another_ && fit.described_otherwise) {
      return made_.errors.push_back(
          {FirstOf(part.name),
           fmt::format("part '{}' has no bench readings in the job ([part.{}.bench]) with which a "
                       "sample of the other side could be compared",
                       part.name, part.name)});
    }
    BenchSheet sheet;
    if (fit.described_otherwise) {
      auto bare = BareSheetOf(part, job_.described_side);
      if (!bare) return made_.errors.push_back({kTable, bare.error().message});
      sheet = std::move(*bare);
      sheet.rows.assign(RowsOf(table_, part.name), kTable);
      sheet.at = kTable;
    } else {
      sheet = own->fit->sheet;
      if (another_) Empty(&sheet);
    }
    const auto errors = TakeReadings(table_, part, kTable, &sheet);
    made_.errors.insert(made_.errors.end(), errors.begin(), errors.end());
    if (!errors.empty()) return;
    auto fitted = FitBench(part, sheet, job_.described_side);
    if (!fitted) {
      return made_.errors.push_back(
          {kTable, fmt::format("part '{}': {}", part.name, fitted.error().message)});
    }
    fit.bench = {part.name, std::make_shared<const BenchFit>(std::move(*fitted))};
    made_.parts.push_back(std::move(fit));
  }

  // Where the table's readings of a part begin.
  [[nodiscard]] Location FirstOf(const std::string& part) const {
    const auto first =
        std::find_if(table_.readings.begin(), table_.readings.end(),
                     [&](const BenchTableReading& read) { return read.part == part; });
    return first == table_.readings.end() ? kTable : first->at;
  }

  // All but how it lies, and the wall as the job has it.
  static void Empty(BenchSheet* sheet) {
    std::erase_if(sheet->readings, [](const BenchReading& r) { return r.name != "wall"; });
    sheet->own_corners = false;
  }

  const Job& job_;
  const std::vector<PartBench>& benches_;
  const BenchTable& table_;
  bool another_ = false;
  TableFits made_;
};

}  // namespace

TableFits FitTable(const Job& job, const std::vector<PartBench>& benches, const BenchTable& table,
                   bool another) {
  return Fits(job, benches, table, another).Run();
}

}  // namespace holeward
