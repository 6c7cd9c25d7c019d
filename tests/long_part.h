// A part of a long run, so that it can be done in several.
#pragma once

#include <cstddef>
#include <cstdio>
#include <cstdlib>

#include <gtest/gtest.h>

namespace holeward::test {

struct LongPart {
  std::size_t from = 0;
  std::size_t to = 0;  ///< one past the last
};

/// Which of so many are run: all, or those that HOLEWARD_PART=FROM+COUNT asks for.
inline LongPart LongPartOf(std::size_t all) {
  LongPart part{0, all};
  const char* asked = std::getenv("HOLEWARD_PART");
  std::size_t count = 0;
  if (asked == nullptr) return part;
  if (std::sscanf(asked, "%zu+%zu", &part.from, &count) != 2 || part.from + count > all) {
    ADD_FAILURE() << "HOLEWARD_PART is FROM+COUNT within " << all << ", not " << asked;
    return {};
  }
  part.to = part.from + count;
  return part;
}

}  // namespace holeward::test
