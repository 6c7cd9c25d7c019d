#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <string>
#include <string_view>
#include <system_error>

#include <fcntl.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <sys/stat.h>
#include <unistd.h>

#include "app/commands.h"
#include "app/interrupt.h"
#include "app/output.h"
#include "app/watched_memory.h"
#include "geometry/result.h"
#include "models/solid_starter.h"
#include "models/starter_jobs.h"

namespace holeward {
namespace {

std::string SystemReason() { return std::generic_category().message(errno); }

/// Writes all of the text and forces it to the disk; false with errno set if that failed.
bool WriteWhole(int file, std::string_view text) {
  while (!text.empty()) {
    const ssize_t written = write(file, text.data(), text.size());
    if (written < 0 && errno == EINTR) {
      continue;
    }
    if (written <= 0) {
      return false;
    }
    text.remove_prefix(static_cast<std::size_t>(written));
  }
  return fsync(file) == 0;
}

/// Gives the finished temporary file its name unless that exists: EEXIST then.
bool RenameToNew(const std::string& temporary, const std::string& path) {
  if (renameat2(AT_FDCWD, temporary.c_str(), AT_FDCWD, path.c_str(), RENAME_NOREPLACE) == 0) {
    return true;
  }
  if (errno != EINVAL && errno != ENOSYS) {
    return false;
  }
  // This file system knows no such rename; a hard link refuses an existing name as well.
  return link(temporary.c_str(), path.c_str()) == 0;
}

/// Writes a new file whole or not at all; a file that exists stays as it is.
Result<void> WriteNewFile(const std::string& path, std::string_view text) {
  const auto fail = [&](const std::string& why) {
    return Fail(ErrorKind::file, fmt::format("{} could not be written: {}", Printable(path), why));
  };
  if (MemoryRanOut()) {
    return fail(kOutOfMemory);
  }
  WritingFiles writing;
  std::string temporary = path + ".XXXXXX";
  const int file = mkstemp(temporary.data());
  if (file < 0) {
    return fail(SystemReason());
  }
  bool written = WriteWhole(file, text) && fchmod(file, 0644) == 0;
  std::string why = written ? "" : SystemReason();
  if (close(file) != 0 && written) {
    written = false;
    why = SystemReason();
  }
  if (written && !RenameToNew(temporary, path)) {
    written = false;
    why = errno == EEXIST ? "it exists already and is kept" : SystemReason();
  }
  unlink(temporary.c_str());  // gone already where it was renamed
  if (!written) {
    return fail(why);
  }
  writing.AllAreInPlace();
  return {};
}

/// The file to write to: a folder takes a file named for the kind.
std::string TargetFile(const std::string& to, const std::string& kind) {
  std::error_code ignored;
  const bool folder = to.back() == '/' || std::filesystem::is_directory(to, ignored);
  return folder ? (std::filesystem::path(to) / (kind + ".toml")).string() : to;
}

std::string SaidOf(const Options& options, const std::string& file, std::string_view text) {
  if (options.json) {
    nlohmann::ordered_json document = {{"holeward_result", 1},
                                       {"command", "new"},
                                       {"job", options.kind},
                                       {"complete", true},
                                       {"text", text}};
    if (options.to) {
      document["file"] = file;
    }
    return document.dump(2, ' ', false, nlohmann::json::error_handler_t::replace) + '\n';
  }
  if (options.to) {
    return fmt::format("{0}: a starter job; edit it, then: holeward locate {0}\n", Printable(file));
  }
  return std::string(text);
}

}  // namespace

ExitStatus RunNew(const Options& options, Console& console) {
  std::string made;
  if (options.kind == "solid") {
    auto job = SolidStarterJob(options.step);
    if (!job) {
      return Failed(job.error(), console);
    }
    made = std::move(*job);
  }
  const std::string_view text = options.kind == "solid" ? made : StarterJob(options.kind);
  const std::string file = options.to ? TargetFile(*options.to, options.kind) : "";
  const std::string said = SaidOf(options, file, text);
  if (!options.to) {
    console.PrintRaw(said);
    return ExitStatus::done;
  }
  const Result<void> written = WriteNewFile(file, text);
  return written ? LeaveWith(ExitStatus::done, said, console) : Failed(written.error(), console);
}

}  // namespace holeward
