#include <algorithm>
#include <cmath>
#include <filesystem>

#include <fmt/format.h>

#include "app/commands.h"
#include "app/output.h"
#include "app/work.h"
#include "export/fit_json.h"
#include "models/bench.h"
#include "models/bench_other_side.h"
#include "models/bench_reading.h"
#include "models/bench_table_fit.h"
#include "models/next_reading.h"

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
               {"from", "mm", Align::right},
               {"to (95 %)", "mm", Align::right}});
  for (const BenchSizeOut& size : fit.sizes) {
    table.Row({size.name, Decimal(size.value, 2), Decimal(size.low, 2), Decimal(size.high, 2)});
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
  for (const UnprovenReach& reach : fit.unchecked) {
    PrintFolded(fmt::format("Unproven: a hole between the stations {} and {} rests on {}.",
                            Decimal(reach.from, 0), Decimal(reach.to, 0), reach.why),
                console);
  }
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
        fmt::format("Most would be known better by: {}, outside and wall together by {} mm.",
                    fit.advice->what, Decimal(fit.advice->gain, 2)),
        console);
  }
}

void PrintNext(const MarginAdvice& next, Console& console) {
  const auto hole = fmt::format("The worst hole is {}, stage {}: margin {} mm over all errors",
                                Printable(next.point), next.stage, Decimal(next.margin, 2));
  PrintFolded(next.what.empty()
                  ? hole + "; no further reading of the sample would add 0.01 mm to it."
                  : fmt::format("{}. Next reading worth taking: {} of part {}, which would add {} "
                                "mm.",
                                hole, next.what, Printable(next.part), Decimal(next.gain, 2)),
              console);
}

void PrintCompared(const std::string& part, const BenchComparison& compared, Console& console) {
  if (!compared.failure.empty()) {
    return PrintFolded(fmt::format("Part {}: {}.", Printable(part), compared.failure), console);
  }
  if (compared.differences.empty()) {
    PrintFolded(fmt::format("Part {}: none of {} sizes differs from the mirror image by more than "
                            "the readings explain.",
                            Printable(part), compared.compared),
                console);
    return;
  }
  console.Print(fmt::format("Part {}: differs from the mirror image", Printable(part)));
  Table table({{"size", "", Align::left},
               {"mirror image", "mm", Align::right},
               {"this sample", "mm", Align::right},
               {"explained", "mm", Align::right}});
  for (const BenchDifference& d : compared.differences) {
    table.Row({d.what, Decimal(d.first, 2), Decimal(d.second, 2), "± " + Decimal(d.explained, 2)});
  }
  console.Print(table);
}

// A table as a job names it: from its own folder.
std::string BesideJob(const std::string& table, const std::string& job) {
  std::error_code failed;
  const auto folder = std::filesystem::absolute(job, failed).lexically_normal().parent_path();
  const auto file = std::filesystem::absolute(table, failed).lexically_normal();
  return failed ? table : file.lexically_relative(folder).string();
}

// What a job says of a part whose readings are in a table beside it.
void PrintUse(const FitOut& out, const std::string& table, Console& console) {
  const BenchSheet& sheet = out.fit->sheet;
  console.Print(
      fmt::format("\nTo use them, in place of the part's stations and sizes:\n  [part.{}.bench]\n  "
                  "toward       = \"{}\"\n  straightedge = \"{}\"\n  readings     = \"{}\"",
                  Printable(out.part), sheet.toward, sheet.straightedge, Printable(table)));
}

// The fits of a run, kept while they are printed.
struct FitWork {
  Job job;
  std::vector<PartBench> benches;
  std::vector<std::string> fresh;  ///< parts that the job has by stations
  std::optional<MarginAdvice> next;
  std::vector<std::pair<std::string, BenchComparison>> compared;  ///< a part's two samples
};

std::vector<FitOut> FitsOf(const FitWork& work, const Options& options) {
  std::vector<FitOut> fits;
  for (const PartBench& bench : work.benches) {
    if (options.part && bench.part != *options.part) continue;
    const auto compared =
        std::find_if(work.compared.begin(), work.compared.end(),
                     [&](const auto& of_part) { return of_part.first == bench.part; });
    fits.push_back({bench.part, bench.fit.get(),
                    compared == work.compared.end() ? nullptr : &compared->second});
  }
  return fits;
}

// Clear: every reading agrees; unproven: something rests on readings that do not, or the sample of
// the other side is another part.
ExitStatus StatusOfFits(const std::vector<FitOut>& fits) {
  const bool doubt = std::any_of(fits.begin(), fits.end(), [](const FitOut& out) {
    const bool differs =
        out.compared && (!out.compared->differences.empty() || !out.compared->failure.empty());
    return differs || !out.fit->doubts.empty() || !out.fit->unchecked.empty() ||
           !out.fit->found.suspects.empty();
  });
  return doubt ? ExitStatus::unproven : ExitStatus::done;
}

tl::expected<FitWork, ExitStatus> TakeTable(FitWork work, const Options& options,
                                            Console& console) {
  const BenchTable table = ReadBenchTableFile(options.results);
  TableFits fits;
  if (table.errors.empty()) fits = FitTable(work.job, work.benches, table, options.other_side);
  fits.errors.insert(fits.errors.end(), table.errors.begin(), table.errors.end());
  for (const JobError& error : fits.errors) {
    console.PlacedMessage(Printable(error.Text(options.results)));
  }
  if (!fits.errors.empty()) {
    return tl::unexpected(table.unreadable ? ExitStatus::failed : ExitStatus::wrong_job);
  }
  for (const TableFit& fit : fits.parts) {
    if (!options.other_side) continue;
    const auto own = std::find_if(work.benches.begin(), work.benches.end(),
                                  [&](const PartBench& b) { return b.part == fit.bench.part; });
    work.compared.emplace_back(own->part, Compare(*own->fit, *fit.bench.fit));
  }
  work.benches.clear();
  for (TableFit& fit : fits.parts) {
    if (fit.described_otherwise) work.fresh.push_back(fit.bench.part);
    work.benches.push_back(std::move(fit.bench));
  }
  return work;
}

tl::expected<FitWork, ExitStatus> FittedWork(const Options& options, Console& console) {
  console.Progress("fitting the readings");
  JobWithBenches read = ReadBenchJobFile(options.job);
  console.EndProgress();
  const JobReading& reading = read.reading;
  if (!reading.ok()) {
    for (const JobError& error : reading.errors) {
      console.PlacedMessage(Printable(error.Text(options.job)));
    }
    return tl::unexpected(reading.unreadable ? ExitStatus::failed : ExitStatus::wrong_job);
  }
  FitWork work;
  if (options.results.empty()) {
    console.Progress("looking for the reading that would help the worst hole");
    work.next = NextReadingAtWorst(read);
    console.EndProgress();
  }
  work.job = std::move(read.reading.job);
  work.benches = std::move(read.benches);
  return options.results.empty() ? work : TakeTable(std::move(work), options, console);
}

}  // namespace

ExitStatus RunFit(const Options& options, Console& console) {
  const auto fitted = FittedWork(options, console);
  if (!fitted) return fitted.error();
  const auto fits = FitsOf(*fitted, options);
  if (fits.empty()) {
    console.Message(options.results.empty()
                        ? "no part of the job asked for has bench readings ([part.NAME.bench])"
                        : fmt::format("{} has no reading filled in of a part asked for",
                                      Printable(options.results)));
    return ExitStatus::wrong_job;
  }
  if (options.json) {
    Work work;
    work.job = fitted->job;
    work.complete = !options.filtered();
    const ExitStatus printed = PrintDocument(
        FitJson(HeadOf(work), fits, fitted->next ? &*fitted->next : nullptr), console);
    return printed == ExitStatus::done ? StatusOfFits(fits) : printed;
  }
  console.Print(fmt::format("{}\n", Printable(fitted->job.title)));
  for (const FitOut& fit : fits) {
    Print(fit, console);
    const bool fresh =
        std::find(fitted->fresh.begin(), fitted->fresh.end(), fit.part) != fitted->fresh.end();
    if (fresh) PrintUse(fit, BesideJob(options.results, options.job), console);
  }
  if (fitted->next) PrintNext(*fitted->next, console);
  for (const FitOut& fit : fits) {
    if (fit.compared) PrintCompared(fit.part, *fit.compared, console);
  }
  return StatusOfFits(fits);
}

}  // namespace holeward
