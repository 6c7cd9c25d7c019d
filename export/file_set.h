// Writes a set of files into a folder all or nothing: a finished file is never replaced by a
// half-written one, and a set that fails leaves the folder as it was.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include <sys/types.h>

#include "geometry/result.h"

namespace holeward {

/// One file of a set.
struct OutFile {
  std::string name;  ///< within the folder, no "/"
  std::string bytes;
  int pages = 0;  ///< of a printed document; 0: none
};

/// The operating system's calls, POSIX meaning: they set errno and return -1 on failure. Tests put
/// failing ones in their place.
struct FileCalls {
  std::function<int(const char*, int, mode_t)> open;
  std::function<ssize_t(int, const void*, size_t)> write;
  std::function<int(int)> fsync;
  std::function<int(int)> close;
  std::function<int(const char*, const char*)> rename;
  std::function<int(const char*, const char*)> link;
  std::function<int(const char*)> unlink;
  std::function<int(const char*, mode_t)> mkdir;
  std::function<int(const char*)> rmdir;

  /// The real ones.
  [[nodiscard]] static FileCalls System();
};

/// Writes all files into the folder, which is made if it is missing. Every file first goes to a
/// temporary beside its place (every write checked, then fsync); only when all are safe are they
/// renamed, and the folder is synced. A failure, or memory that runs out, removes the temporaries,
/// puts back what was renamed and removes folders that were made. A second run that writes to the
/// folder waits its turn, half a minute at most.
/// @param stopped asked between files and writes until all files are safe; once it says true the
///                set is given up like any failure, with an error
/// Errors (kind file): a sentence naming the file and the system's reason. Names that are empty,
/// hold "/", or occur twice are errors too.
[[nodiscard]] Result<void> WriteFileSet(const std::string& folder,
                                        const std::vector<OutFile>& files,
                                        const FileCalls& calls = FileCalls::System(),
                                        const std::function<bool()>& stopped = {});

}  // namespace holeward
