#include "app/commands.h"
#include "app/output.h"
#include "app/work.h"
#include "export/tables.h"

namespace holeward {
namespace {

Result<std::string> SaidOf(const Work& work, const Options& options, const Console& console) {
  if (options.json) {
    return TextOf(CheckJson(HeadOf(work), BasicsOf(work), HolesOut(work), PointChecksOut(work),
                            work.overall));
  }
  return Spoken(console, [&](Console& to) { PrintVerdicts(work, to); });
}

}  // namespace

ExitStatus RunCheck(const Options& options, Console& console) {
  auto work = PlaceWork(options, console);
  if (!work) {
    return work.error();
  }
  if (const Step checked = CheckWork(*work, console); !checked) {
    return checked.error();
  }
  const auto said = SaidOf(*work, options, console);
  if (!said) {
    return Failed(said.error(), console);
  }
  if (!options.to) {
    console.PrintRaw(*said);
    return StatusOf(work->overall);
  }
  const auto table = HolesCsv(HolesOut(*work));
  const auto report = ReportOf(*work);
  if (!table || !report) {
    return Failed(table ? report.error() : table.error(), console);
  }
  return WriteSet(*options.to, {{"holes.csv", *table}, {"check-report.txt", *report}}, *said,
                  StatusOf(work->overall), console);
}

}  // namespace holeward
