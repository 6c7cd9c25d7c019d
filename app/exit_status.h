// The exit statuses of the program, as the job file's reference fixes them.
#pragma once

#include "geometry/checked.h"
#include "geometry/result.h"

namespace holeward {

/// What the program says to its caller with its exit status.
enum class ExitStatus : int {
  done = 0,          ///< done, and every verdict is clear (`locate`, `new`: done)
  not_clear = 1,     ///< contact, or tight with nothing unproven
  wrong_job = 2,     ///< the command line or the job is wrong
  unproven = 3,      ///< unproven without contact
  failed = 4,        ///< a file could not be read or written, or no result could be computed
  interrupted = 130  ///< interrupted from the keyboard
};

/// The status as the number the system sees.
[[nodiscard]] constexpr int Number(ExitStatus status) { return static_cast<int>(status); }

/// The status of a run whose verdict over all is `overall`.
[[nodiscard]] constexpr ExitStatus StatusOf(Verdict overall) {
  switch (overall) {
    case Verdict::clear: return ExitStatus::done;
    case Verdict::tight:
    case Verdict::contact: return ExitStatus::not_clear;
    case Verdict::unproven: return ExitStatus::unproven;
  }
  return ExitStatus::unproven;
}

/// The status of a run that failed with an error of this kind.
[[nodiscard]] constexpr ExitStatus StatusOf(ErrorKind kind) {
  return kind == ErrorKind::job ? ExitStatus::wrong_job : ExitStatus::failed;
}

}  // namespace holeward
