// Whether the program was ever refused memory. Some libraries pass over a want of memory and go on
// with something left out: a page that lacks a letter is worse than none.
#pragma once

namespace holeward {

inline constexpr const char* kOutOfMemory = "out of memory";

/// True if an allocation anywhere in the process has failed since the last call of
/// ForgetMemoryRanOut. Always false under a sanitizer, which has an allocator of its own.
[[nodiscard]] bool MemoryRanOut();

/// What is refused from now on counts, what was refused before does not.
void ForgetMemoryRanOut();

}  // namespace holeward
