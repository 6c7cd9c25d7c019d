#include "export/file_set.h"

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <set>

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

namespace holeward {
namespace {

constexpr int kNameTries = 100;

/// A file on its way: its temporary, and what it replaced.
struct Staged {
  std::string target;
  std::string temporary;     ///< empty once renamed
  std::string backup;        ///< the old file under another name; empty: there was none
  bool moved_aside = false;  ///< the old file itself was renamed to `backup`
  bool renamed = false;
};

class SetWriter {
 public:
  SetWriter(std::string folder, const FileCalls& calls)
      : folder_(std::move(folder)), calls_(calls) {}

  Result<void> Write(const std::vector<OutFile>& files) {
    Result<void> done = MakeFolder();
    for (std::size_t i = 0; done && i < files.size(); ++i) done = Stage(files[i]);
    for (std::size_t i = 0; done && i < staged_.size(); ++i) done = Commit(&staged_[i]);
    if (done) done = SyncFolder();
    if (!done) {
      RollBack();
      return done;
    }
    for (const Staged& file : staged_) {
      if (!file.backup.empty()) calls_.unlink(file.backup.c_str());
    }
    return done;
  }

 private:
  static Result<void> Because(const std::string& what, const std::string& path) {
    const int reason = errno;
    return Fail(ErrorKind::file, fmt::format("{} \"{}\": {}", what, path, std::strerror(reason)));
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

  Result<void> MakeOne(const std::string& path) {
    struct stat status {};
    if (::stat(path.c_str(), &status) == 0) {
      if (S_ISDIR(status.st_mode)) return {};
      errno = ENOTDIR;
      return Because("the folder cannot be used:", path);
    }
    if (calls_.mkdir(path.c_str(), 0777) == 0) {
      made_.push_back(path);
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
    const std::string target = folder_ + "/" + out.name;
    struct stat status {};
    if (::lstat(target.c_str(), &status) == 0 && S_ISDIR(status.st_mode)) {
      errno = EISDIR;
      return Because("the file could not be written:", target);
    }
    std::string temporary;
    const int file = OpenBeside(target, &temporary);
    if (file < 0) return Because("the file could not be written:", target);
    staged_.push_back({target, temporary, "", false, false});
    Result<void> done = Fill(file, out.bytes, target);
    const bool closed = calls_.close(file) == 0;
    if (done && !closed) done = Because("the file could not be written:", target);
    return done;
  }

  Result<void> Fill(int file, const std::string& bytes, const std::string& target) {
    std::size_t written = 0;
    while (written < bytes.size()) {
      const ssize_t n = calls_.write(file, bytes.data() + written, bytes.size() - written);
      if (n < 0 && errno == EINTR) continue;
      if (n == 0) errno = ENOSPC;
      if (n <= 0) return Because("the file could not be written:", target);
      written += static_cast<std::size_t>(n);
    }
    if (calls_.fsync(file) != 0) return Because("the file could not be written:", target);
    return {};
  }

  /// Keeps the old file, if any, under another name: a second link where the file system has links.
  Result<void> Keep(Staged* file) {
    struct stat status {};
    if (::lstat(file->target.c_str(), &status) != 0) return {};
    const std::string backup = file->temporary + ".old";
    if (calls_.link(file->target.c_str(), backup.c_str()) == 0) {
      file->backup = backup;
      return {};
    }
    if (errno != EPERM && errno != EOPNOTSUPP && errno != ENOSYS && errno != EMLINK) {
      return Because("the old file could not be kept safe:", file->target);
    }
    if (calls_.rename(file->target.c_str(), backup.c_str()) != 0) {
      return Because("the old file could not be kept safe:", file->target);
    }
    file->backup = backup;
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
    const int folder = calls_.open(folder_.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC, 0);
    if (folder < 0) return Because("the folder could not be synced:", folder_);
    const bool synced = calls_.fsync(folder) == 0 || errno == EINVAL;  // some cannot sync a folder
    Result<void> done;
    if (!synced) done = Because("the folder could not be synced:", folder_);
    calls_.close(folder);
    return done;
  }

  void RollBack() {
    for (auto file = staged_.rbegin(); file != staged_.rend(); ++file) {
      if (!file->temporary.empty()) calls_.unlink(file->temporary.c_str());
      const bool put_back = file->renamed || file->moved_aside;
      if (put_back && !file->backup.empty()) {
        // The real call: undoing must not depend on what just failed.
        ::rename(file->backup.c_str(), file->target.c_str());
      } else if (file->renamed) {
        ::unlink(file->target.c_str());
      } else if (!file->backup.empty()) {
        ::unlink(file->backup.c_str());
      }
    }
    for (auto folder = made_.rbegin(); folder != made_.rend(); ++folder) {
      calls_.rmdir(folder->c_str());
    }
  }

  std::string folder_;
  const FileCalls& calls_;
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
                          const FileCalls& calls) {
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
  return SetWriter(folder, calls).Write(files);
}

}  // namespace holeward
