// The bytes of a file that should not be large.
#pragma once

#include <cstddef>
#include <cstdio>
#include <memory>
#include <optional>
#include <string>

namespace holeward {

struct CloseFile {
  void operator()(std::FILE* file) const { std::fclose(file); }
};
using OpenFile = std::unique_ptr<std::FILE, CloseFile>;

/// The whole file from where it stands, but at most one byte more than `most`: of what has no end
/// no more is read. Nothing on a read error.
[[nodiscard]] std::optional<std::string> ReadBytes(std::FILE* file, std::size_t most);

}  // namespace holeward
