// One function a command. Each prints its result and gives the exit status of the run.
#pragma once

#include "app/command_line.h"
#include "app/console.h"
#include "app/exit_status.h"

namespace holeward {

/// Places the points of a job and prints where they are.
[[nodiscard]] ExitStatus RunLocate(const Options& options, Console& console);
/// Checks every hole and test point of a job and prints the verdicts.
[[nodiscard]] ExitStatus RunCheck(const Options& options, Console& console);
/// Writes the templates of a job.
[[nodiscard]] ExitStatus RunTemplate(const Options& options, Console& console);
/// Writes the whole set of a job.
[[nodiscard]] ExitStatus RunIssue(const Options& options, Console& console);
/// Says what filled-in results decide, vehicle by vehicle.
[[nodiscard]] ExitStatus RunDecide(const Options& options, Console& console);
/// Compares two jobs: moved points, and whether holes drilled by the old stay clear by the new.
[[nodiscard]] ExitStatus RunCompare(const Options& options, Console& console);
/// Writes the parts of a job as a model.
[[nodiscard]] ExitStatus RunModel(const Options& options, Console& console);
/// Fits the bench readings of a job's parts and prints which stands out.
[[nodiscard]] ExitStatus RunFit(const Options& options, Console& console);
/// Writes the form to measure the parts of a job by.
[[nodiscard]] ExitStatus RunForm(const Options& options, Console& console);
/// Writes a drill guide for one hole.
[[nodiscard]] ExitStatus RunGuide(const Options& options, Console& console);
/// Prints the table of the job's own words for a translator, or writes it, what is filled in kept.
[[nodiscard]] ExitStatus RunWords(const Options& options, Console& console);
/// Prints a starter job, or writes it to a file that does not exist yet.
[[nodiscard]] ExitStatus RunNew(const Options& options, Console& console);

/// Hands over to the program that has the window, which stands beside this one.
[[nodiscard]] ExitStatus RunView(const Options& options, Console& console);

}  // namespace holeward
