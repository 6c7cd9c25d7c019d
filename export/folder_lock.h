// A folder held by one run at a time, so that two sets written at once do not mix.
#pragma once

#include <functional>
#include <string>

#include "export/file_set.h"

namespace holeward {

/// Holds a folder open and locked until it ends. The lock is one between runs of this program that
/// dies with its process; it leaves no file behind.
class FolderLock {
 public:
  explicit FolderLock(const FileCalls& calls) : calls_(calls) {}
  ~FolderLock() { Release(); }
  FolderLock(const FolderLock&) = delete;
  FolderLock& operator=(const FolderLock&) = delete;

  /// What asking for the lock came to.
  enum class Asked {
    held,
    gone,     ///< the folder was removed by the run that held it: it has to be made again
    refused,  ///< the folder cannot be opened: errno says why
    busy,     ///< another run has held it for half a minute
    stopped,  ///< `stopped` said so
  };

  /// Opens the folder and waits for the lock. Where the file system knows no locks it is `held`
  /// without one.
  [[nodiscard]] Asked Hold(const std::string& folder, const std::function<bool()>& stopped);

  /// The folder as an open file; -1 while none is held.
  [[nodiscard]] int file() const { return file_; }

 private:
  void Release() noexcept;

  const FileCalls& calls_;
  int file_ = -1;
};

}  // namespace holeward
