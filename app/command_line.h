// The command line: the words a person types, as a plain struct. The only place that parses them.
#pragma once

#include <optional>
#include <string>

#include "app/exit_status.h"
#include "export/printer_bars.h"
#include "models/job.h"
#include "models/words.h"

namespace holeward {

/// What the program can be told to do.
enum class Command {
  locate,         ///< place the points and print where they are
  check,          ///< prove the clearance of every hole and the seat of every test point
  make_template,  ///< `template`: the 1:1 templates
  issue,          ///< the whole set
  decide,         ///< what filled-in results decide
  compare,        ///< what changed between two jobs
  model,          ///< the parts as solids: STEP, glTF or STL
  fit,            ///< adjust the bench readings of the parts
  form,           ///< the form to measure the parts by
  guide,          ///< a printable drill guide for one hole
  words,          ///< the table of the job's own words, for a translator
  new_job,        ///< `new`: a commented starter job
  view,           ///< the window
};

/// The word of a command as it is typed.
[[nodiscard]] const char* Word(Command command);

/// One run of the program, as asked for.
struct Options {
  Command command = Command::locate;
  std::string job;                  ///< path of the job file; empty for `new`, may be for `view`
  std::string results;              ///< `decide`, `fit`: path of the table of results, readings
  std::string old_job;              ///< `compare` only: path of the older job
  std::string kind;                 ///< `new` only: arm, tube, channel or solid
  std::string step;                 ///< `new solid` only: path of the STEP file
  std::string point;                ///< `guide` only: the drill point
  int stage = 1;                    ///< `guide` only: counted from 1, pilot first
  double bush = 0.0;                ///< `guide` only: outer diameter of the bush, mm
  double gap = 0.2;                 ///< `guide` only: between saddle and skin, mm
  bool drilled = false;             ///< `model` only: with the holes in it
  bool other_side = false;          ///< `fit` only: the table is of a sample of the other side
  bool wrap = false;                ///< `form` only: the proof wrap in place of the form
  bool no_pictures = false;         ///< `issue` only: without the pictures of the parts
  bool json = false;                ///< print the result document on standard output
  std::optional<std::string> to;    ///< folder to write to; `new`, `model`, `guide`: the file
  std::optional<Side> side;         ///< only this side
  std::optional<std::string> part;  ///< only this part
  /// `view` only: draw into this file instead of opening a window
  std::optional<std::string> picture;
  /// `template` and `issue`: make up for the printer whose check bars measured this
  std::optional<PrinterBars> bars;
  Language language = Language::english;  ///< `template` and `issue`: of the sheets

  /// The run looks at less than the whole job, so that its result is not complete.
  [[nodiscard]] bool filtered() const { return side.has_value() || part.has_value(); }
  /// Folder the run writes its files to: `to`, or one named for the job file ("van" for
  /// "jobs/van.toml") in the current folder.
  [[nodiscard]] std::string OutputFolder() const;
};

/// What parsing gave: options to run with, or a text to print and a status to leave with.
struct ParsedCommandLine {
  std::optional<Options> options;
  ExitStatus status = ExitStatus::done;
  std::string output;   ///< for standard output: help, version
  std::string message;  ///< for standard error: what is wrong, in a sentence
};

/// Parses the arguments of main(). Never throws; anything wrong gives ExitStatus::wrong_job and a
/// sentence that names the argument, what is allowed and the nearest known word.
[[nodiscard]] ParsedCommandLine ParseCommandLine(int argc, const char* const* argv);

/// The program's name and version, as `--version` prints it: "holeward 0.1.0".
[[nodiscard]] std::string VersionText();

}  // namespace holeward
