// What the program says when a fault of its own, or memory that ran out inside a library, ends it.
#pragma once

#include "app/exit_status.h"

namespace holeward {

/// From here on a crash ends the process with status 4 (failed) and one sentence on standard error.
/// No file is half written then: files are written by code that undoes what it began.
void SpeakBeforeDying();

/// The same end, called for. Safe from anywhere, memory or not.
[[noreturn]] void DieSpeaking();

/// From here on all that was asked for is in its place and said: what ends the process leaves with
/// this status, and the sentence says that the result stands.
void WorkIsDone(ExitStatus status);

/// Other work begins: there is no result yet.
void WorkBegins();

}  // namespace holeward
