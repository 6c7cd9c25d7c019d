#include "app/output.h"

#include <algorithm>
#include <map>
#include <set>
#include <sstream>

#include <fmt/format.h>

#include "app/interrupt.h"
#include "app/last_words.h"
#include "app/watched_memory.h"
#include "export/limit_words.h"
#include "models/misfit_words.h"
#include "models/solid_file.h"

namespace holeward {
namespace {

std::string OrDash(const std::optional<double>& value, int decimals) {
  return value ? Decimal(*value, decimals) : "-";
}

// The worst margin is a bound that decides: printed to 0.1 mm and never better than it is.
std::string RoundedDown(const std::optional<double>& value) {
  return value ? Decimal(std::floor(*value * 10.0) / 10.0, 1) : "-";
}

// What was not computed is a dash and no length of 0.
std::string Measured(const HoleCheck& hole, double length) {
  return hole.outcome == Outcome::not_computed && length == 0.0 ? "-" : Decimal(length, 2);
}

std::string StopWords(const HoleCheck& hole) {
  if (!hole.stop) {
    return "none";
  }
  return Decimal(*hole.stop, 1) + (hole.stop_from == StopFrom::proposed ? " proposed" : "");
}

std::string MetWords(const HoleCheck& hole) {
  if (hole.outcome == Outcome::nothing) {
    return "nothing";
  }
  if (hole.outcome == Outcome::not_computed || !hole.first_contact) {
    return "not computed";
  }
  return Printable(hole.first_contact->body);
}

Table HoleTable(const std::vector<HoleOut>& rows) {
  Table table({{"hole", "", Align::left},
               {"side", "", Align::left},
               {"stage", "", Align::right},
               {"size", "mm", Align::right},
               {"near\nwall", "mm", Align::right},
               {"break-\nthrough", "mm", Align::right},
               {"free\ndepth", "mm", Align::right},
               {"meets first", "", Align::left},
               {"stop", "mm", Align::left},
               {"through", "", Align::left},
               {"margin", "mm", Align::right},
               {"worst", "mm", Align::right},
               {"access", "mm", Align::right},
               {"verdict", "", Align::left}});
  for (const HoleOut& row : rows) {
    const HoleCheck& h = row.check;
    table.Row({Printable(h.point), Word(row.side), std::to_string(h.stage), Decimal(h.diameter, 1),
               Measured(h, h.near_wall), Measured(h, h.breakthrough), OrDash(h.free_depth, 1),
               MetWords(h), StopWords(h), h.through ? "yes" : "no", OrDash(h.margin, 1),
               RoundedDown(h.margin_worst), h.access_known ? Decimal(h.access, 1) : "unknown",
               h.verdict});
  }
  return table;
}

Table PointTable(const std::vector<PointCheckOut>& rows) {
  Table table({{"point", "", Align::left},
               {"side", "", Align::left},
               {"use", "", Align::left},
               {"edge\ndistance", "mm", Align::right},
               {"to", "", Align::left},
               {"nearest\nhole", "mm", Align::right},
               {"seat\ngap", "mm", Align::right},
               {"access", "mm", Align::right},
               {"verdict", "", Align::left}});
  for (const PointCheckOut& row : rows) {
    const PointCheck& p = row.check;
    table.Row({Printable(p.point), Word(row.side), p.test ? "test" : "drill",
               Decimal(p.edge_distance, 1), Printable(p.nearest_edge), OrDash(p.nearest_hole, 1),
               p.test ? Decimal(p.seat_gap, 2) : "-",
               p.access_known ? Decimal(p.access, 1) : "unknown", p.verdict});
  }
  return table;
}

void PrintReasons(const Work& work, Console& console) {
  std::vector<std::string> lines;
  const auto add = [&](const std::string& who, const std::vector<std::string>& reasons) {
    for (const std::string& reason : reasons) {
      const std::string line = fmt::format("  {}: {}", Printable(who), Printable(reason));
      if (std::find(lines.begin(), lines.end(), line) == lines.end()) {
        lines.push_back(line);
      }
    }
  };
  for (const HoleOut& row : HolesOut(work)) {
    add(fmt::format("{} {} stage {}", row.check.point, Word(row.side), row.check.stage),
        row.check.reasons);
  }
  for (const PointCheckOut& row : PointChecksOut(work)) {
    add(fmt::format("{} {}", row.check.point, Word(row.side)), row.check.reasons);
  }
  if (lines.empty()) {
    return;
  }
  console.Print("\nWhy not clear:");
  for (const std::string& line : lines) {
    console.Print(line);
  }
}

}  // namespace

ExitStatus Failed(const Error& error, Console& console) {
  console.Message(Printable(error.message));
  return StatusOf(error.kind);
}

Result<std::string> TextOf(const Result<Json>& document) {
  return document ? JsonText(*document) : tl::unexpected<Error>(document.error());
}

ExitStatus PrintDocument(const Result<Json>& document, Console& console) {
  const auto text = TextOf(document);
  if (!text) {
    return Failed(text.error(), console);
  }
  console.PrintRaw(*text);
  return ExitStatus::done;
}

std::string Spoken(const Console& console, const std::function<void(Console&)>& speak) {
  std::ostringstream text;
  text.exceptions(std::ios::badbit | std::ios::failbit);
  Console to = console.PrintingTo(text);
  speak(to);
  return text.str();
}

ExitStatus WriteSet(const std::string& folder, const std::vector<OutFile>& files,
                    std::string_view said, ExitStatus status, Console& console) {
  if (Interrupted()) {
    return ExitStatus::interrupted;
  }
  if (MemoryRanOut()) {
    return Failed({ErrorKind::file, kOutOfMemory}, console);
  }
  WritingFiles writing;
  const auto written = WriteFileSet(folder, files, FileCalls::System(), WritingFiles::AreToStop);
  if (!written) {
    if (Interrupted()) {
      return ExitStatus::interrupted;
    }
    return Failed(written.error(), console);
  }
  writing.AllAreInPlace();
  return LeaveWith(status, said, console);
}

ExitStatus LeaveWith(ExitStatus status, std::string_view said, Console& console) {
  WatchMemoryNoMore();
  console.PrintRaw(said);
  if (console.Finish()) {
    WorkIsDone(status);
  }
  return status;
}

namespace {

/// Where a sheet's marks land, and where its pieces fit and should not.
void AddSheet(const SheetOut& sheet, CheckReportInput& input) {
  std::set<std::string> seen;  // a mark where two pages overlap is on both
  for (const SheetMark& mark : sheet.sheet.marks) {
    if (seen.insert(mark.name).second) {
      input.wraps.push_back({sheet.name, sheet.side, mark.name, mark.wrap_error});
    }
  }
  std::map<std::string, std::vector<Misfit>> misfits;
  for (const SheetMisfit& misfit : sheet.sheet.misfits) {
    misfits[misfit.piece].push_back(misfit.misfit);
  }
  for (const auto& [piece, of] : misfits) {
    input.misfits.push_back({sheet.name, sheet.side, piece, WrongPlaces(of, Words())});
  }
}

}  // namespace

Result<std::string> ReportOf(const Work& work, const std::vector<SheetOut>& sheets) {
  CheckReportInput input;
  input.head = HeadOf(work);
  input.date = DateOfRun();
  input.posture = work.job.posture;
  for (const SideWork& side : work.sides) {
    input.sides.push_back(side.side);
  }
  input.basics = BasicsOf(work);
  input.holes = HolesOut(work);
  input.points = PointChecksOut(work);
  for (const SheetOut& sheet : sheets) {
    if (!sheet.packed) {  // the same pieces once more
      AddSheet(sheet, input);
    }
  }
  input.overall = work.overall;
  input.not_checked = {
      "The strength of a part with a hole in it. A hole in a highly stressed arm is a strength "
      "matter: it is released by a named engineer or not at all.",
      "The condition of the metal, and anything inside or beside the part that the job does not "
      "name.",
      "Whether the part on the vehicle is the one that was measured."};
  if (!work.complete) {
    input.not_checked.emplace_back("What --side or --part left out.");
  }
  return CheckReport(input);
}

std::string MendedBodies(const Job& job) {
  constexpr int kWidth = 110;
  std::string all;
  for (const PartRow& part : job.parts) {
    if (!part.solid || part.solid->body.healed.empty()) continue;
    const std::string line = fmt::format(
        "{} is body {} of {}. It is not as the file has it, but mended on reading: {}.", part.name,
        part.solid->number, part.solid->file, part.solid->body.healed.front());
    all += (all.empty() ? "" : "\n") + Folded(Printable(line), kWidth);
  }
  return all;
}

std::string LimitsUsed(const Work& work) {
  constexpr int kWidth = 110;
  const std::string line = LimitsLine(work.job.limits, work.job.marking, work.job.zeroed_errors);
  return Folded(Printable("Limits used: " + line), kWidth);
}

void PrintVerdicts(const Work& work, Console& console) {
  const auto holes = HolesOut(work);
  const auto points = PointChecksOut(work);
  console.Print(fmt::format("{}\n", Printable(work.job.title)));
  if (!holes.empty()) {
    console.Print(HoleTable(holes));
    console.Print("");
  }
  if (!points.empty()) {
    console.Print(PointTable(points));
  }
  PrintReasons(work, console);
  if (const std::string mended = MendedBodies(work.job); !mended.empty()) {
    console.Print("\n" + mended);
  }
  console.Print("\n" + LimitsUsed(work));
  console.Print(
      "Depths are tip travel along the drill axis. Worst: a proven lower bound over all stated "
      "errors;\nit alone decides. A hole in a highly stressed arm is a strength matter. The "
      "vehicle "
      "maker's\ninstructions, local codes and licensed practice decide.\n");
  console.PrintVerdict(work.complete ? "Verdict over all" : "Verdict (only part of the job)",
                       work.overall);
  const ResultHead head = HeadOf(work);
  console.Print(fmt::format("Hash to release   {}", head.hash));
  console.Print(Folded(
      Printable(head.release.released ? fmt::format("Released: drill clearance {}; strength {}.",
                                                    head.release.clearance, head.release.strength)
                                      : "NOT RELEASED. " + head.release.reason),
      110));
}

}  // namespace holeward
