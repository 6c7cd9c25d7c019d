#include "export/folder_lock.h"

#include <cerrno>
#include <chrono>
#include <thread>

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>

namespace holeward {
namespace {

// Writing a set takes about a second; a run that takes longer than this hangs on its disk.
constexpr std::chrono::seconds kLongestWait{30};
constexpr std::chrono::milliseconds kBetweenTries{20};

/// The open folder is still the one of that name.
bool StillThere(int file, const std::string& folder) {
  struct stat opened {};
  struct stat named {};
  return ::fstat(file, &opened) == 0 && ::stat(folder.c_str(), &named) == 0 &&
         opened.st_dev == named.st_dev && opened.st_ino == named.st_ino;
}

}  // namespace

FolderLock::Asked FolderLock::Hold(const std::string& folder,
                                   const std::function<bool()>& stopped) {
  Release();
  file_ = calls_.open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC, 0);
  if (file_ < 0) return errno == ENOENT ? Asked::gone : Asked::refused;
  const auto give_up = std::chrono::steady_clock::now() + kLongestWait;
  while (::flock(file_, LOCK_EX | LOCK_NB) != 0) {
    if (errno != EWOULDBLOCK && errno != EINTR) break;  // no locks here
    if (stopped && stopped()) return Asked::stopped;
    if (std::chrono::steady_clock::now() > give_up) return Asked::busy;
    std::this_thread::sleep_for(kBetweenTries);
  }
  return StillThere(file_, folder) ? Asked::held : Asked::gone;
}

void FolderLock::Release() noexcept {
  if (file_ >= 0) calls_.close(file_);
  file_ = -1;
}

}  // namespace holeward
