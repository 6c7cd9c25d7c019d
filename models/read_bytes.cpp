#include "models/read_bytes.h"

namespace holeward {

std::optional<std::string> ReadBytes(std::FILE* file, std::size_t most) {
  std::string bytes;
  char block[65536];
  while (bytes.size() <= most) {
    const std::size_t got = std::fread(block, 1, sizeof block, file);
    bytes.append(block, got);
    if (got < sizeof block) break;
  }
  if (std::ferror(file) != 0) return std::nullopt;
  return bytes;
}

}  // namespace holeward
