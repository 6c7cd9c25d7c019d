#include "app/commands.h"
#include "app/output.h"
#include "app/work.h"
#include "export/tables.h"

namespace holeward {

ExitStatus RunCheck(const Options& options, Console& console) {
  auto work = PlaceWork(options, console);
  if (!work) {
    return work.error();
  }
  if (const Step checked = CheckWork(*work, console); !checked) {
    return checked.error();
  }
  const auto holes = HolesOut(*work);
  if (options.to) {
    const auto table = HolesCsv(holes);
    const auto report = ReportOf(*work);
    if (!table || !report) {
      return Failed(table ? report.error() : table.error(), console);
    }
    const ExitStatus status =
        WriteSet(*options.to, {{"holes.csv", *table}, {"check-report.txt", *report}}, console);
    if (status != ExitStatus::done) {
      return status;
    }
  }
  if (options.json) {
    const ExitStatus printed = PrintDocument(
        CheckJson(HeadOf(*work), BasicsOf(*work), holes, PointChecksOut(*work), work->overall),
        console);
    return printed == ExitStatus::done ? StatusOf(work->overall) : printed;
  }
  PrintVerdicts(*work, console);
  return StatusOf(work->overall);
}

}  // namespace holeward
