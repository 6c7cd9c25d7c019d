#include "app/help.h"

namespace holeward {
namespace {

constexpr const char* kStatuses = R"(
Exit status:
  0    done, and every verdict is clear (locate, model, new: done; decide: every vehicle is decided;
       compare: every hole drilled by the old job stays clear)
  1    contact, or tight with nothing unproven
  2    the command line or the job is wrong
  3    something is unproven, nothing in contact (decide: a vehicle is not decided)
  4    a file could not be read or written, or no result could be computed
  130  interrupted
)";

constexpr const char* kCautions = R"(
The vehicle maker's instructions, local codes and licensed practice decide whether a part may be
drilled at all. Wear eye and breathing protection. Mind fuel, brake and electrical lines, stored
energy in test tools, and fire.
)";

constexpr const char* kProgram = R"(usage: holeward COMMAND ...

Places test and drill points on hollow suspension parts from offsets, proves that no drill reaches
what lies behind, and makes 1:1 templates and sheets.

Commands:
  locate JOB    place every point and print where it is
  check JOB     prove the clearance of every hole and the seat of every test point
  template JOB  make the 1:1 templates (PDF and SVG)
  issue JOB     make the whole set: templates, tables, check report
  decide JOB RESULTS
                what filled-in results decide, vehicle by vehicle
  compare OLD NEW
                which points moved, and whether vehicles already done stay clear
  model JOB     write the parts as solids: STEP, glTF or STL
  fit JOB       adjust the bench readings of its parts and name the one most likely misread
  form JOB      make the form to measure its parts by on a bench
  guide JOB     write a printable drill guide for one hole
  words JOB     print the table of the job's own words, for a translator
  new KIND      print a commented starter job: arm, tube, channel, or solid FILE.step
  view [JOB]    open a window: see the parts, move a point, watch the drill, print the sheets

Options:
  --help        this text; after a command, that command's
  --version     the program's version

To start: holeward new arm --to arm.toml, edit it, then: holeward locate arm.toml
)";

constexpr const char* kJobOptions = R"(
  --side left|right  only this side of the vehicle: the result is then not complete
  --part NAME        only this part: the result is then not complete
  --json             print one JSON document on standard output instead of tables
  --help             this text
)";

constexpr const char* kLocate = R"(usage: holeward locate JOB [OPTIONS]

Places every point of the job by its rule and prints where it is: position, normal, station,
girth, readings, marking zone, conditioning, reading spread, and ties to its neighbours.

Options:
  --to DIR           also write points.csv to this folder)";

constexpr const char* kCheck = R"(usage: holeward check JOB [OPTIONS]

Checks every hole, stage and side over all errors of marking and drilling, and every test point
for seat, edge distance, spacing and access. Prints the verdicts with the limits they rest on.
What cannot be proven clear is not clear.

Options:
  --to DIR           also write holes.csv and the check report to this folder)";

constexpr const char* kTemplate = R"(usage: holeward template JOB [OPTIONS]

Makes the 1:1 templates of the job as PDF and SVG. The check is run too: every page says NOT
RELEASED unless all is clear. Print at 100 % and measure the bars before using a sheet.

Options:
  --to DIR           folder to write to; left out, one named for the job in the current folder
  --bars XxY         what the check bars x and y measure on a print of this printer, in mm, such
                     as 149.2x149.6: the set is corrected for it and says so on each page
                     (147 to 153 mm; measure a print made without --bars)
  --language CODE    of the sheets: en, de or es (English left out); the job's own words come from
                     the table that the job names in [words])";

constexpr const char* kIssue = R"(usage: holeward issue JOB [OPTIONS]

Makes the whole set in one go: templates, the technician's instructions (instructions.pdf) and
record sheet (record.pdf), tables, check report and the engineer's clearance report (clearance.pdf).
Every page says NOT RELEASED unless all is clear. Files appear whole or not at all.

Options:
  --to DIR           folder to write to; left out, one named for the job in the current folder
  --bars XxY         what the check bars x and y measure on a print of this printer, in mm, such
                     as 149.2x149.6: the set is corrected for it and says so on each page
                     (147 to 153 mm; measure a print made without --bars)
  --language CODE    of the sheets: en, de or es (English left out); the job's own words come from
                     the table that the job names in [words]. The clearance report, the check
                     report, tables and documents stay English
  --no-pictures      leave out the pictures of the parts (picture-*.png); the sheets' own drawings stay)";

constexpr const char* kDecide = R"(usage: holeward decide JOB RESULTS [OPTIONS]

Says what each vehicle's results decide by the [[decision]] flow of the job. RESULTS is a table as
`issue` writes it (results.csv), filled in: vehicle, point, side, result (pass, fail, not tested)
and remaining_mm. Where a result is missing that the decision hangs on, nothing is decided: exit 3.

Options:
  --json             print one JSON document on standard output
  --help             this text
)";

constexpr const char* kCompare = R"(usage: holeward compare OLD NEW [OPTIONS]

Compares two jobs: which points moved and by how much on each side, appeared, vanished, or changed
drill, stop or verdict; and whether holes drilled by the old job are clear by the new one, at their
old places, with the new job's solids and limits.

Options:
  --json             print one JSON document on standard output
  --help             this text
)";
constexpr const char* kModel = R"(usage: holeward model JOB --to FILE [OPTIONS]

Writes the parts of the job with their fittings, points and drill axes as one model. Inner bodies
and neighbours are left out. A model is no release: the verdicts stand in the check report.

Options:
  --to FILE          what to write, by its ending: .step or .stp (AP214: faces named and coloured,
                     points and axes as named geometry), .glb (glTF, metres), .stl (the parts only)
  --drilled          with every hole in it, at its final size)";

constexpr const char* kFit = R"(usage: holeward fit JOB [READINGS.csv] [OPTIONS]

Adjusts the bench readings of the job's parts ([part.NAME.bench]) together and prints each reading
with its fitted value, residual and standardized residual, the reading that is most likely misread
and what it probably was, and how well every size is known.

READINGS.csv is the table of a measuring form (holeward form JOB), filled in: its readings take the
place of the job's own by the same names, the others are added. A part without a bench is fitted to
the table alone.

Options:
  --other-side       the table is of a sample of the vehicle's other side, measured by the same form:
                     it is fitted alone, and told where it differs from the mirror image of the
                     job's own bench part by more than the readings explain
  --part NAME        only this part: the result is then not complete
  --json             print one JSON document on standard output instead of tables
  --help             this text

Exit status 0: all readings agree; 3: a reading stands out, or something rests on too few.
)";

constexpr const char* kForm = R"(usage: holeward form JOB [OPTIONS]

Makes the form to measure the job's parts by on a bench, one page a part: a drawing with numbered
rows, boxes to fill in, and the spare readings with which a misreading shows (measuring-form.pdf,
and the same as measuring-form.csv).

With --wrap, the proof wrap: every face of the parts at 1:1 with ends, edges, fittings and rows but
without points (proof-wrap-PART.pdf). Laid on the sample by the start and one edge it shows whether
the model is the part; what gaps are to be expected is printed beside each line. Gaps that a person
finds go into proof-wrap.csv, which holeward fit takes as further readings.

Options:
  --wrap             the proof wrap in place of the form
  --to DIR           folder to write to; left out, one named for the job in the current folder
  --part NAME        only this part
  --help             this text
)";
constexpr const char* kGuide =
    R"(usage: holeward guide JOB --point NAME --bush MM --side left|right --to FILE

Makes a guide to be printed: a saddle that fits the skin round the point, lined up by the ends,
edges and fittings that the point's template is lined up by where they are in reach, with a block
that holds a guide bush on the drill's axis. The chuck, or a collar set to the drill's projection,
lands on the top of the block at the stop setting. The guide is checked: its gap to the skin, that
no part, fitting or neighbour stands in it, that it is closed and thick enough. The check of the hole is run
too; the block is lettered NOT CLEAR unless the hole is clear.

Options:
  --point NAME       the drill point
  --bush MM          outer diameter of the guide bush, 3 to 40
  --stage N          which drill, counted from 1 (default 1, the pilot)
  --gap MM           between saddle and skin, 0 to 1 (default 0.2)
  --to FILE          what to write, by its ending: .stl (as it is printed, the top on the plate),
                     .step, .stp or .glb (where it sits on the vehicle))";

constexpr const char* kWords = R"(usage: holeward words JOB [OPTIONS]

Prints the table in which a translator says the job's own words: title, names, steps, decisions.
One text a line, beside it a column for each language; what is filled in already is kept. The job
names the table by [words] file = "FILE.csv".

Options:
  --to FILE          write it to this file instead; what that file says already is kept
  --help             this text
)";

constexpr const char* kNew = R"(usage: holeward new arm|tube|channel [OPTIONS]
       holeward new solid FILE.step [OPTIONS]

Prints a small, complete, commented job to edit: a box arm, a round tube with a bar inside, or an
open channel. `solid` lists the bodies of a STEP file, with their sizes, and makes parts of those
that are straight hollow tubes.

Options:
  --to FILE          write it to this file instead (or into this folder); what exists is kept
  --json             print one JSON document on standard output
  --help             this text
)";

constexpr const char* kView = R"(usage: holeward view [JOB] [OPTIONS]

Opens a window on a job: its parts and points in three dimensions, the list of points with their
verdicts, a form of every value, the section at a hole, the template pages, the text. Changes are
kept in the job file, everything else of which stays as it is.

Options:
  --picture FILE     draw what the window would show into this PNG file instead; needs no display.
                     Of a job with errors the good parts are drawn; the status is 2 all the same
  --help             this text
)";

std::string JobHelp(const char* about) {
  return std::string(about) + kJobOptions + kStatuses + kCautions;
}

}  // namespace

std::string HelpText() { return std::string(kProgram) + kStatuses + kCautions; }

std::string HelpText(Command command) {
  switch (command) {
    case Command::locate: return JobHelp(kLocate);
    case Command::check: return JobHelp(kCheck);
    case Command::make_template: return JobHelp(kTemplate);
    case Command::issue: return JobHelp(kIssue);
    case Command::decide: return std::string(kDecide) + kStatuses;
    case Command::compare: return std::string(kCompare) + kStatuses + kCautions;
    case Command::model: return JobHelp(kModel);
    case Command::fit: return std::string(kFit) + kStatuses;
    case Command::form: return std::string(kForm) + kStatuses;
    case Command::guide: return JobHelp(kGuide);
    case Command::words: return std::string(kWords) + kStatuses;
    case Command::new_job: return std::string(kNew) + kStatuses;
    case Command::view: return std::string(kView) + kStatuses + kCautions;
  }
  return HelpText();
}

}  // namespace holeward
