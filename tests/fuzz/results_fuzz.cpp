// libFuzzer on the reader of results.
#include <cstddef>
#include <cstdint>

#include "tests/fuzz/fuzz_inputs.h"

extern "C" int LLVMFuzzerTestOneInput(const uint8_t* data, size_t size) {
  holeward::fuzz::ReadAsResults({reinterpret_cast<const char*>(data), size});
  return 0;
}
