// How a command hands over what it made: documents, files and failures.
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "app/console.h"
#include "app/exit_status.h"
#include "app/work.h"
#include "export/file_set.h"
#include "export/result_json.h"

namespace holeward {

/// Says what failed; the status to leave with.
[[nodiscard]] ExitStatus Failed(const Error& error, Console& console);

/// The text of a result document.
[[nodiscard]] Result<std::string> TextOf(const Result<Json>& document);

/// Prints a result document on standard output.
[[nodiscard]] ExitStatus PrintDocument(const Result<Json>& document, Console& console);

/// What `speak` would print on a console, as text. Where memory runs out it throws and leaves
/// nothing out.
[[nodiscard]] std::string Spoken(const Console& console,
                                 const std::function<void(Console&)>& speak);

/// Writes files into a folder, all or none, then prints `said`. What a run says after its files is
/// made ready before, so that once they are in their places nothing but handing it over can fail.
/// @param status what the run leaves with once all that is done
/// @returns `status`, or why nothing was written
[[nodiscard]] ExitStatus WriteSet(const std::string& folder, const std::vector<OutFile>& files,
                                  std::string_view said, ExitStatus status, Console& console);

/// Says what is left to say of work that is done and in its place, and hands it over: what fails
/// after that takes nothing from it.
[[nodiscard]] ExitStatus LeaveWith(ExitStatus status, std::string_view said, Console& console);

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
