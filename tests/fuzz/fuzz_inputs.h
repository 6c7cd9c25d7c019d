// What is run on each fuzzed input. Both the fuzzers (preset "fuzz") and the test that reads the
// kept inputs once more call these.
#pragma once

#include <string_view>

namespace holeward::fuzz {

/// Reads the bytes as a job file. Ends the process if reading gives a message out of order, out of
/// place, empty or not printable as text, or gives another job when the same bytes are read again.
void ReadAsJob(std::string_view bytes);

/// Reads the bytes as the results of two test points on both sides and decides on them. Ends the
/// process if a message is out of order or no text, or a vehicle is decided and lacks a result.
void ReadAsResults(std::string_view bytes);

/// Parses the bytes, one argument a line, as a command line, and the first line as check bars. Ends
/// the process if what comes back is neither options nor a message or a text.
void ParseAsCommandLine(std::string_view bytes);

/// Reads the bytes as a STEP file, as the exchange process does but in this one. Ends the process
/// if a body comes back without a finite size, volume and shape or a reason why not, or the answer
/// does not survive being sent.
void ReadAsStep(std::string_view bytes);

}  // namespace holeward::fuzz
