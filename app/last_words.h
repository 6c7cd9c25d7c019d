// What the program says when a fault of its own, or memory that ran out inside a library, ends it.
#pragma once

namespace holeward {

/// From here on a crash ends the process with status 4 (failed) and one sentence on standard error.
/// No file is half written then: files are written by code that undoes what it began.
void SpeakBeforeDying();

/// The same end, called for. Safe from anywhere, memory or not.
[[noreturn]] void DieSpeaking();

}  // namespace holeward
