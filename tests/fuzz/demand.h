// A demand that holds in every build: a fuzzer has to see the process die.
#pragma once

#include <cstdio>
#include <cstdlib>

namespace holeward::fuzz {

inline void Demand(bool holds, const char* claim) {
  if (holds) return;
  std::fprintf(stderr, "does not hold: %s\n", claim);
  std::abort();
}

}  // namespace holeward::fuzz
