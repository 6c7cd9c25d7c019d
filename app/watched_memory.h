// Whether the program was ever refused memory. Some libraries pass over a want of memory and go on
// with something left out: a page that lacks a letter is worse than none.
#pragma once

namespace holeward {

inline constexpr const char* kOutOfMemory = "out of memory";

/// True if an allocation anywhere in the process has failed while it counts. Always false under a
/// sanitizer, which has an allocator of its own.
[[nodiscard]] bool MemoryRanOut();

/// What is refused from now on counts, what was refused before does not.
void WatchMemoryAnew();

/// What is refused from now on does not count, nor what was: what was asked for is in its place.
void WatchMemoryNoMore();

}  // namespace holeward
