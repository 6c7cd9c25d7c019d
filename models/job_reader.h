// Reads a job file: TOML in, a Job or every error of the file at once.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "models/job.h"

namespace holeward {

/// The most bytes a job file may have: 16 MiB.
inline constexpr std::size_t kLargestJob = std::size_t{16} << 20U;

/// One thing wrong in a job file.
struct JobError {
  Location at;
  std::string message;  ///< what was found, what is allowed, the nearest known word

  /// `file:line:column: message`, the form printed.
  [[nodiscard]] std::string Text(std::string_view file) const;
};

/// What reading gave: a job, or at least one error, sorted by place in the file.
struct JobReading {
  Job job;
  std::vector<JobError> errors;
  bool unreadable = false;  ///< the file could not be opened or read: exit 4 instead of 2

  [[nodiscard]] bool ok() const { return errors.empty() && !unreadable; }
};

/// Reads the job file at `path`. Never throws.
[[nodiscard]] JobReading ReadJobFile(const std::string& path);

/// Reads a job from text; `file` is the name used in messages.
[[nodiscard]] JobReading ReadJobText(std::string_view text, const std::string& file);

}  // namespace holeward
