// Runs the program on a job of its own in a folder of its own, and looks at what it left.
#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include <sys/types.h>

namespace holeward::fault {

/// What a run left behind.
struct Ended {
  int status = -1;  ///< exit status; 128 + signal if one ended it
  std::string out;
  std::string err;
};

/// A folder that is removed with its content.
class Place {
 public:
  Place();
  ~Place();
  Place(const Place&) = delete;
  Place& operator=(const Place&) = delete;

  [[nodiscard]] std::string Path(const std::string& name) const { return (path_ / name).string(); }
  /// Writes a small job whose verdicts are all clear; its revision stands on every page.
  [[nodiscard]] std::string Job(const std::string& revision) const;
  /// Every file below a folder of this place, by name, with its bytes.
  [[nodiscard]] std::map<std::string, std::string> Files(const std::string& folder) const;
  /// Makes a folder hold these files and no others.
  void Fill(const std::string& folder, const std::map<std::string, std::string>& files) const;

 private:
  std::filesystem::path path_;
};

/// The bytes of a file; empty if there is none.
[[nodiscard]] std::string Bytes(const std::string& path);

/// One run: arguments, and environment entries "NAME=VALUE" on top of the caller's.
struct Call {
  std::vector<std::string> arguments;
  std::vector<std::string> environment;
  void (*before)() = nullptr;  ///< called in the child before the program begins
};

/// Starts the program in `place`; its outputs go to the files NAME.out and NAME.err there.
[[nodiscard]] pid_t Start(const Place& place, const Call& call, const std::string& name);
/// Waits for it.
[[nodiscard]] Ended Wait(pid_t child, const Place& place, const std::string& name);
/// Both.
[[nodiscard]] Ended RunProgram(const Place& place, const Call& call);

/// True where the long runs are asked for.
[[nodiscard]] bool LongRuns();

}  // namespace holeward::fault
