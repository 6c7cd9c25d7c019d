#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "app/commands.h"
#include "app/output.h"
#include "app/work.h"
#include "export/fit_json.h"
#include "models/bench.h"
#include "models/bench_reading.h"

namespace holeward {
namespace {

constexpr int kWidth = 100;

std::string Shown(const BenchReading& r, double value) {
  return r.kind == BenchKind::weight ? Decimal(value, 3) : Decimal(value, 2);
}

Table ReadingTable(const BenchFit& fit) {
  Table table({{"reading", "", Align::left},
               {"instrument", "", Align::left},
               {"read", "mm, kg", Align::right},
               {"fitted", "mm, kg", Align::right},
               {"residual", "mm, kg", Align::right},
               {"stand-\nardized", "", Align::right},
               {"redun-\ndancy", "", Align::right},
               {"finds\nfrom", "mm, kg", Align::right},
               {"", "", Align::left}});
  const Adjustment& a = fit.found.adjustment;
  for (std::size_t i = 0; i < fit.sheet.readings.size(); ++i) {
    const BenchReading& r = fit.sheet.readings[i];
    const auto at = static_cast<Eigen::Index>(i);
    const bool checked = std::isfinite(fit.least_found[i]);
    table.Row({Printable(r.name), r.instrument, Shown(r, r.value), Shown(r, a.fitted[at]),
               Shown(r, a.residual[at]), checked ? Decimal(a.standardized[at], 1) : "-",
               Decimal(a.redundancy[at], 2), checked ? Shown(r, fit.least_found[i]) : "-",
               a.used[i] ? (checked ? "" : "unchecked") : "LEFT OUT"});
  }
  return table;
}

Table SizeTable(const BenchFit& fit) {
  Table table({{"size", "", Align::left},
               {"fitted", "mm", Align::right},
               {"within (95 %)", "mm", Align::right}});
  for (const BenchSizeOut& size : fit.sizes) {
    table.Row({size.name, Decimal(size.value, 2), Decimal(1.96 * size.sigma, 2)});
  }
  return table;
}

std::string HalfWords(const HalfWidth& half) {
  if (half.minus == half.plus) return fmt::format("± {} mm", Decimal(half.plus, 2));
  return fmt::format("- {} + {} mm", Decimal(half.minus, 2), Decimal(half.plus, 2));
}

void PrintFolded(const std::string& text, Console& console) { console.Print(Folded(text, kWidth)); }

void Print(const FitOut& out, Console& console) {
  const BenchFit& fit = *out.fit;
  const Adjustment& a = fit.found.adjustment;
  console.Print(fmt::format("Part {}: {} readings, {} more than its sizes need",
                            Printable(out.part), fit.sheet.readings.size(),
                            a.freedom + static_cast<int>(fit.found.suspects.size())));
  console.Print("");
  console.Print(ReadingTable(fit));
  console.Print("");
  console.Print(SizeTable(fit));
  console.Print("");
  for (const std::string& words : SuspectWords(fit))
    PrintFolded("MISREAD: " + words + ".", console);
  if (fit.found.suspects.empty() && !fit.found.contradicting) {
    PrintFolded(
        "No reading stands out: none is further off than chance would have it once in a thousand.",
        console);
  }
  for (const std::string& doubt : fit.doubts) PrintFolded("Unproven: " + doubt + ".", console);
  for (const std::string& note : fit.notes) PrintFolded("Note: " + note + ".", console);
  PrintFolded(
      fmt::format("For the checks: every outside size {}, every wall {} (three standard deviations "
                  "of the fit{}).",
                  HalfWords(fit.outline), HalfWords(fit.wall_error),
                  fit.part_spread > 0.0
                      ? fmt::format(", and a spread of {} mm from sample to sample",
                                    Decimal(fit.part_spread, 2))
                      : ""),
      console);
  if (fit.advice) {
    PrintFolded(
        fmt::format(
            "Next reading worth taking: {}; it would add {} mm to the worst margin at every "
            "hole.",
            fit.advice->what, Decimal(fit.advice->gain, 2)),
        console);
  }
}

std::vector<FitOut> FitsOf(const std::vector<PartBench>& benches, const Options& options) {
  std::vector<FitOut> fits;
  for (const PartBench& bench : benches) {
    if (!options.part || bench.part == *options.part) {
      fits.push_back({bench.part, bench.fit.get()});
    }
  }
  return fits;
}

// Clear: every reading agrees; unproven: something rests on readings that do not.
ExitStatus StatusOfFits(const std::vector<FitOut>& fits) {
  const bool doubt = std::any_of(fits.begin(), fits.end(), [](const FitOut& out) {
    return !out.fit->doubts.empty() || !out.fit->found.suspects.empty();
  });
  return doubt ? ExitStatus::unproven : ExitStatus::done;
}

}  // namespace

ExitStatus RunFit(const Options& options, Console& console) {
  console.Progress("fitting the readings");
  const JobWithBenches read = ReadBenchJobFile(options.job);
  const JobReading& reading = read.reading;
  console.EndProgress();
  if (!reading.ok()) {
    for (const JobError& error : reading.errors) {
      console.PlacedMessage(Printable(error.Text(options.job)));
    }
    return reading.unreadable ? ExitStatus::failed : ExitStatus::wrong_job;
  }
  const auto fits = FitsOf(read.benches, options);
  if (fits.empty()) {
    console.Message("no part of the job asked for has bench readings ([part.NAME.bench])");
    return ExitStatus::wrong_job;
  }
  if (options.json) {
    Work work;
    work.job = reading.job;
    work.complete = !options.filtered();
    const ExitStatus printed = PrintDocument(FitJson(HeadOf(work), fits), console);
    return printed == ExitStatus::done ? StatusOfFits(fits) : printed;
  }
  console.Print(fmt::format("{}\n", Printable(reading.job.title)));
  for (const FitOut& fit : fits) Print(fit, console);
  return StatusOfFits(fits);
}

}  // namespace holeward
