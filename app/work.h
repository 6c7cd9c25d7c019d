// The work of one run, step by step: read the job, build the parts, place the points, check them,
// develop the templates. Every step says what is wrong on the console and gives the exit status.
#pragma once

#include <set>
#include <string>
#include <vector>

#include <tl/expected.hpp>

#include "app/command_line.h"
#include "app/console.h"
#include "app/exit_status.h"
#include "export/check_report.h"
#include "export/result_rows.h"
#include "geometry/mirrored.h"
#include "models/bench_reading.h"
#include "models/checking.h"
#include "models/hole_analysis.h"
#include "models/job.h"
#include "models/scene.h"
#include "models/words.h"

namespace holeward {

/// One side's share of the work. Scene, points and checking are in the frame of the described side;
/// `mirrored` says whether what is handed over is their mirror image.
struct SideWork {
  Side side = Side::left;
  bool mirrored = false;
  Scene scene;
  std::vector<PlacedPoint> points;  ///< those asked for
  Checking checking;
  std::vector<HoleAnalysis> analyses;  ///< one a hole of `checking`, in its order
};

struct Work {
  Job job;
  bool complete = true;  ///< false: filtered by side or part
  std::vector<SideWork> sides;
  Verdict overall = Verdict::unproven;
  Words words;             ///< the language of the sheets
  std::string words_hash;  ///< of the table that translates the trainer's words, or empty
};

using Step = tl::expected<void, ExitStatus>;

/// Reads a job, or says what is wrong with it.
/// @param benches takes the fits of its bench parts; or null
[[nodiscard]] tl::expected<Job, ExitStatus> ReadJobOf(const std::string& path, Console& console,
                                                      std::vector<PartBench>* benches = nullptr);

/// Reads the job, builds the parts of the sides asked for and places their points.
[[nodiscard]] tl::expected<Work, ExitStatus> PlaceWork(const Options& options, Console& console);

/// The same of a job that is read already.
[[nodiscard]] tl::expected<Work, ExitStatus> PlaceWork(JobWithBenches read, const Options& options,
                                                       Console& console);

/// How much of the engineer's analysis is wanted.
enum class AnalysisDepth {
  chance,   ///< how likely contact is, and the probe depths
  in_full,  ///< what eats the margin and what to set as well
};

/// Checks every placed point, samples every hole and settles the verdict over all (unproven at best
/// when filtered). A side that is the mirror image of another shares its results.
[[nodiscard]] Step CheckWork(Work& work, Console& console,
                             AnalysisDepth depth = AnalysisDepth::chance);

/// Makes the template sheets of every side, named by the file each will go to.
[[nodiscard]] tl::expected<std::vector<SheetOut>, ExitStatus> SheetWork(const Work& work,
                                                                        const Options& options,
                                                                        Console& console);

// ---- Results as they are handed over, each in its own side's frame

[[nodiscard]] std::vector<PointOut> PointsOut(const Work& work);
[[nodiscard]] std::vector<HoleOut> HolesOut(const Work& work);
[[nodiscard]] std::vector<PointCheckOut> PointChecksOut(const Work& work);
[[nodiscard]] ResultHead HeadOf(const Work& work);
[[nodiscard]] Basics BasicsOf(const Work& work);

/// Today (UTC) as YYYY-MM-DD, or the day SOURCE_DATE_EPOCH names.
[[nodiscard]] std::string DateOfRun();

/// The worst verdict of a point: of its stages and of the point itself; clear if it has none.
[[nodiscard]] Verdict WorstAt(const Checking& checking, const std::string& point);

/// Why a set is not clear over all, in a sentence; empty when it is.
[[nodiscard]] std::string WhyNotClear(const Work& work, const Words& words = {});

/// Why a set is not released, in sentences: not clear, or not signed by those who must; empty when
/// it is released.
[[nodiscard]] std::string WhyNotReleased(const Work& work, const Words& words = {});

/// The hash that the sheets print: that of job and program, and in a translation of the table of
/// words too.
[[nodiscard]] std::string SheetHash(const Work& work);

/// The language asked for, with the trainer's words in it. A text that the job's table does not say
/// is told with its place in the job, and nothing is issued.
[[nodiscard]] Step FindWords(Work& work, const Options& options, Console& console);

/// A name as part of a file's name: letters and digits kept, everything else one "-".
[[nodiscard]] std::string FileWord(const std::string& name);

/// FileWord of a name, with a number when an earlier name gave the same word.
[[nodiscard]] std::string FreshFileWord(const std::string& name, std::set<std::string>& taken);

}  // namespace holeward
