#include "export/file_set.h"

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <cstring>
#include <set>

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include "export/folder_lock.h"

namespace holeward {
namespace {

constexpr int kNameTries = 100;

/// A file on its way: its temporary, and what it replaced.
struct Staged {
  std::string target;
  std::string temporary;     ///< empty once renamed
  std::string aside;         ///< where the old file is kept until all are in place
  bool kept = false;         ///< the old file is there too
  bool moved_aside = false;  ///< the old file itself was renamed to `aside`
  bool renamed = false;
};

/// Copies a file's bytes over another one, with no memory but the stack's.
void CopyOver(const char* from, const char* to) noexcept {
  const int in = ::open(from, O_RDONLY | O_CLOEXEC);
  const int out = ::open(to, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0666);
  char block[16384];
  bool whole = in >= 0 && out >= 0;
  for (ssize_t got = 1; whole && got > 0;) {
    got = ::read(in, block, sizeof block);
    for (ssize_t put = 0; whole && put < got;) {
      const ssize_t n = ::write(out, block + put, static_cast<std::size_t>(got - put));
      whole = n > 0;
      put += std::max<ssize_t>(n, 0);
    }
    whole = whole && got >= 0;
  }
  if (out >= 0 && ::close(out) != 0) whole = false;
  if (in >= 0) ::close(in);
  if (whole) ::unlink(from);
}

/// Puts an old file back in its place, by the first way that works: undoing must not depend on what
/// just failed.
void PutBack(const std::string& backup, const std::string& target) noexcept {
  if (::rename(backup.c_str(), target.c_str()) == 0) return;
  ::unlink(target.c_str());
  if (::link(backup.c_str(), target.c_str()) == 0) {
    ::unlink(backup.c_str());
    return;
  }
  CopyOver(backup.c_str(), target.c_str());
}

class SetWriter {
 public:
  SetWriter(std::string folder, const FileCalls& calls, const std::function<bool()>& stopped)
      : folder_(std::move(folder)), calls_(calls), stopped_(stopped), lock_(calls) {}

  Result<void> Write(const std::vector<OutFile>& files) {
    try {
      Result<void> done = WriteAll(files);
      if (!done) RollBack();
      return done;
    } catch (...) {  // memory ran out
      RollBack();
      throw;
    }
  }

 private:
  static Result<void> Because(const std::string& what, const std::string& path) {
    const int reason = errno;
    return Fail(ErrorKind::file, fmt::format("{} \"{}\": {}", what, path, std::strerror(reason)));
  }

  Result<void> WriteAll(const std::vector<OutFile>& files) {
    staged_.reserve(files.size());
    Result<void> done = HoldFolder();
    for (std::size_t i = 0; done && i < files.size(); ++i) done = Stage(files[i]);
    for (std::size_t i = 0; done && i < staged_.size(); ++i) done = Commit(&staged_[i]);
    if (done) done = SyncFolder();
    if (!done) return done;
    for (const Staged& file : staged_) {
      if (file.kept) calls_.unlink(file.aside.c_str());
    }
    return done;
  }

  /// Makes the folder and takes it for this run; it may go while another run holds it.
  Result<void> HoldFolder() {
    constexpr int kTries = 100;
    for (int attempt = 0; attempt < kTries; ++attempt) {
      if (Result<void> made = MakeFolder(); !made) return made;
      switch (lock_.Hold(folder_, stopped_)) {
        case FolderLock::Asked::held: return {};
        case FolderLock::Asked::gone: break;
        case FolderLock::Asked::refused: return Because("the folder cannot be used:", folder_);
        case FolderLock::Asked::stopped: return Stopped();
        case FolderLock::Asked::busy:
          return Fail(ErrorKind::file,
                      fmt::format("another run is writing to the folder \"{}\"", folder_));
      }
    }
    return Fail(ErrorKind::file,
                fmt::format("the folder \"{}\" is removed as often as it is made", folder_));
  }

  static Result<void> Stopped() {
    return Fail(ErrorKind::file, "the run was stopped; nothing was written");
  }

  /// Makes the folder and those above it that are missing.
  Result<void> MakeFolder() {
    Result<void> done;
    for (std::size_t end = 0; done && end != std::string::npos;) {
      end = folder_.find('/', end + 1);
      done = MakeOne(folder_.substr(0, end));
    }
    return done;
  }

  Result<void> MakeOne(std::string path) {
    struct stat status {};
    if (::stat(path.c_str(), &status) == 0) {
      if (S_ISDIR(status.st_mode)) return {};
      errno = ENOTDIR;
      return Because("the folder cannot be used:", path);
    }
    made_.reserve(made_.size() + 1);
    if (calls_.mkdir(path.c_str(), 0777) == 0) {
      made_.push_back(std::move(path));
    } else if (errno != EEXIST) {
      return Because("the folder could not be made:", path);
    }
    return {};
  }

  /// A name beside the target that is not taken, opened.
  int OpenBeside(const std::string& target, std::string* path) {
    const std::size_t slash = target.rfind('/') + 1;
    for (int attempt = 0; attempt < kNameTries; ++attempt) {
      *path = fmt::format("{}.{}.{}-{}.tmp", target.substr(0, slash), target.substr(slash),
                          ::getpid(), attempt);
      const int file = calls_.open(path->c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
      if (file >= 0 || errno != EEXIST) return file;
    }
    return -1;
  }

  Result<void> Stage(const OutFile& out) {
    std::string target = folder_ + "/" + out.name;
    struct stat status {};
    if (::lstat(target.c_str(), &status) == 0 && S_ISDIR(status.st_mode)) {
      errno = EISDIR;
      return Because("the file could not be written:", target);
    }
    std::string temporary;
    const int file = OpenBeside(target, &temporary);
    if (file < 0) return Because("the file could not be written:", target);
    // Nothing between here and its entry in the list may throw: the file would be left behind.
    staged_.push_back({std::move(target), std::move(temporary), "", false, false, false});
    errno = 0;
    const bool filled = Fill(file, out.bytes);
    const int reason = errno;
    const bool closed = calls_.close(file) == 0;
    if (!filled) errno = reason;
    if (filled && closed) {
      // No memory is asked for while files are put in place: its want then could leave a mixture.
      staged_.back().aside = staged_.back().temporary + ".old";
      return {};
    }
    if (!filled && stopped_ && stopped_()) return Stopped();
    return Because("the file could not be written:", staged_.back().target);
  }

  /// All bytes into the file and onto the disk; false with the reason in errno.
  bool Fill(int file, const std::string& bytes) {
    constexpr std::size_t kAtOnce = std::size_t{1} << 20;
    std::size_t written = 0;
    while (written < bytes.size()) {
      if (stopped_ && stopped_()) return false;
      const ssize_t n =
          calls_.write(file, bytes.data() + written, std::min(kAtOnce, bytes.size() - written));
      if (n < 0 && errno == EINTR) continue;
      if (n == 0) errno = ENOSPC;
      if (n <= 0) return false;
      written += static_cast<std::size_t>(n);
    }
    return calls_.fsync(file) == 0;
  }

  /// Keeps the old file, if any, under another name: a second link where the file system has links.
  Result<void> Keep(Staged* file) {
    struct stat status {};
    if (::lstat(file->target.c_str(), &status) != 0) return {};
    if (calls_.link(file->target.c_str(), file->aside.c_str()) == 0) {
      file->kept = true;
      return {};
    }
    if (errno != EPERM && errno != EOPNOTSUPP && errno != ENOSYS && errno != EMLINK) {
      return Because("the old file could not be kept safe:", file->target);
    }
    if (calls_.rename(file->target.c_str(), file->aside.c_str()) != 0) {
      return Because("the old file could not be kept safe:", file->target);
    }
    file->kept = true;
    file->moved_aside = true;
    return {};
  }

  Result<void> Commit(Staged* file) {
    Result<void> kept = Keep(file);
    if (!kept) return kept;
    if (calls_.rename(file->temporary.c_str(), file->target.c_str()) != 0) {
      return Because("the file could not be put in place:", file->target);
    }
    file->temporary.clear();
    file->renamed = true;
    return {};
  }

  Result<void> SyncFolder() {
    const bool synced =
        calls_.fsync(lock_.file()) == 0 || errno == EINVAL;  // some cannot sync a folder
    return synced ? Result<void>() : Because("the folder could not be synced:", folder_);
  }

  /// Asks for no memory: it may have run out.
  void RollBack() noexcept {
    for (auto file = staged_.rbegin(); file != staged_.rend(); ++file) {
      if (!file->temporary.empty()) calls_.unlink(file->temporary.c_str());
      const bool put_back = file->renamed || file->moved_aside;
      if (put_back && file->kept) {
        PutBack(file->aside, file->target);
      } else if (file->renamed) {
        ::unlink(file->target.c_str());
      } else if (file->kept) {
        ::unlink(file->aside.c_str());
      }
    }
    for (auto folder = made_.rbegin(); folder != made_.rend(); ++folder) {
      calls_.rmdir(folder->c_str());
    }
  }

  std::string folder_;
  const FileCalls& calls_;
  const std::function<bool()>& stopped_;
  FolderLock lock_;
  std::vector<Staged> staged_;
  std::vector<std::string> made_;
};

}  // namespace

FileCalls FileCalls::System() {
  FileCalls calls;
  calls.open = [](const char* path, int flags, mode_t mode) { return ::open(path, flags, mode); };
  calls.write = ::write;
  calls.fsync = ::fsync;
  calls.close = ::close;
  calls.rename = [](const char* from, const char* to) { return ::rename(from, to); };
  calls.link = ::link;
  calls.unlink = ::unlink;
  calls.mkdir = ::mkdir;
  calls.rmdir = ::rmdir;
  return calls;
}

Result<void> WriteFileSet(const std::string& folder, const std::vector<OutFile>& files,
                          const FileCalls& calls, const std::function<bool()>& stopped) {
  if (folder.empty()) return Fail(ErrorKind::file, "no folder was given to write to");
  std::set<std::string> names;
  for (const OutFile& file : files) {
    const bool plain = !file.name.empty() && file.name != "." && file.name != ".." &&
                       file.name.find('/') == std::string::npos &&
                       file.name.find('\0') == std::string::npos;
    if (!plain) {
      return Fail(ErrorKind::file, fmt::format("\"{}\" cannot be a file's name", file.name));
    }
    if (!names.insert(file.name).second) {
      return Fail(ErrorKind::file, fmt::format("two files would be named \"{}\"", file.name));
    }
  }
  return SetWriter(folder, calls, stopped).Write(files);
}

}  // namespace holeward
