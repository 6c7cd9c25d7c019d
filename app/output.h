// How a command hands over what it made: documents, files and failures.
#pragma once

#include <string>
#include <vector>

#include "app/console.h"
#include "app/exit_status.h"
#include "app/work.h"
#include "export/file_set.h"
#include "export/result_json.h"

namespace holeward {

/// Says what failed; the status to leave with.
[[nodiscard]] ExitStatus Failed(const Error& error, Console& console);

/// Prints a result document on standard output.
[[nodiscard]] ExitStatus PrintDocument(const Result<Json>& document, Console& console);

/// Writes files into a folder, all or none.
[[nodiscard]] ExitStatus WriteSet(const std::string& folder, const std::vector<OutFile>& files,
                                  Console& console);

/// The check report of a run, with what its templates come to if they were made.
[[nodiscard]] Result<std::string> ReportOf(const Work& work,
                                           const std::vector<SheetOut>& sheets = {});

/// What of the parts taken from STEP files was mended on reading, a line a part; empty if nothing.
[[nodiscard]] std::string MendedBodies(const Job& job);

/// "Limits used: ..." over as many lines as it takes.
[[nodiscard]] std::string LimitsUsed(const Work& work);

/// Prints the verdicts of a run as tables, the reasons, and the limits they rest on.
void PrintVerdicts(const Work& work, Console& console);

}  // namespace holeward
