// What a job's text comes to: parts, placed points and verdicts, as the window shows them. Plain
// values; made on any thread, then never changed.
#pragma once

#include <memory>
#include <stop_token>
#include <string>
#include <vector>

#include "models/evaluation.h"
#include "models/job_reader.h"
#include "models/reading_paths.h"

namespace holeward {

/// One side of the vehicle. All in the frame of the described side; `mirrored` says whether what
/// stands on the vehicle is its mirror image.
struct SideState {
  Side side = Side::left;
  bool mirrored = false;
  std::shared_ptr<const Scene> scene;
  std::vector<PlacedPoint> points;
  std::vector<std::vector<ReadingPath>> paths;  ///< one list a point, as they lie
  Checking checking;                            ///< empty until checked
};

struct JobState {
  std::string text;
  Job job;
  std::vector<JobError> errors;  ///< everything wrong, by place in the file
  std::vector<JobError> warnings;
  bool partial = false;  ///< the text has errors: `job` is what is left without the tables they
                         ///< stand in
  std::vector<SideState> sides;         ///< in the order of the job; none if nothing could be read
  bool checked = false;                 ///< false: nothing is known yet of any hole
  bool stopped = false;                 ///< its check was given up: nothing will be known
  Verdict verdict = Verdict::unproven;  ///< over all, once checked
  std::shared_ptr<const Evaluation> evaluation;

  /// What a picture of it must say besides: that it is not the whole job, or empty.
  [[nodiscard]] std::string Notice() const;
  [[nodiscard]] const PlacedPoint* Placed(std::size_t side, const std::string& point) const;
};

/// "left" or "right".
[[nodiscard]] constexpr const char* WordOf(Side side) {
  return side == Side::left ? "left" : "right";
}

/// Reads the text, builds the parts and places the points; nothing is checked yet. Errors of the
/// text are told, and what is good of it is built all the same.
/// @param file the job's path, for messages and files it names
/// @param before of an earlier text, or null: what both have in common is not done again
[[nodiscard]] JobState PlacedState(const std::string& text, const std::string& file,
                                   const JobState* before);

/// The same with every point of every side checked; of a job with errors none is.
/// @param stop asked to stop, it comes back after the side it is at: `stopped`, without verdicts
[[nodiscard]] JobState CheckedState(const JobState& placed, const std::stop_token& stop = {});

/// What of a job's text can be read: the tables with errors in them blanked out, every other byte
/// in its place. @param errors of the text as it is
/// @param known an earlier reading, or null: its bodies of STEP files are used again
[[nodiscard]] JobReading ReadGoodParts(const std::string& text, const std::string& file,
                                       std::vector<JobError>& errors, const Job* known = nullptr);

}  // namespace holeward
