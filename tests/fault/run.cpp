#include "tests/fault/run.h"

#include <cstdlib>
#include <fstream>
#include <sstream>
#include <stdexcept>

#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>

#include "tests/app/tube_jobs.h"

namespace holeward::fault {
namespace {

namespace fs = std::filesystem;

/// Both outputs of this process into files; nothing may be allocated after a fork.
void Redirect(const char* out, const char* err) {
  const int out_file = open(out, O_WRONLY | O_CREAT | O_TRUNC, 0644);
  const int err_file = open(err, O_WRONLY | O_CREAT | O_TRUNC, 0644);
  if (out_file < 0 || err_file < 0 || dup2(out_file, STDOUT_FILENO) < 0 ||
      dup2(err_file, STDERR_FILENO) < 0) {
    _exit(99);
  }
}

std::vector<char*> Pointers(std::vector<std::string>* texts) {
  std::vector<char*> pointers;
  for (std::string& text : *texts) pointers.push_back(text.data());
  pointers.push_back(nullptr);
  return pointers;
}

}  // namespace

Place::Place() {
  std::string pattern = (fs::temp_directory_path() / "holeward-fault-XXXXXX").string();
  if (mkdtemp(pattern.data()) == nullptr) throw std::runtime_error("no folder to test in");
  path_ = pattern;
}

Place::~Place() {
  std::error_code ignored;
  fs::remove_all(path_, ignored);
}

std::string Place::Job(const std::string& revision) const {
  using testing_tools::With;
  const std::string head =
      With(With(testing_tools::kHead, "revision = \"A\"", "revision = \"" + revision + "\""),
           "[\"left\", \"right\"]", "[\"left\"]");
  const std::string text =
      head + testing_tools::kTube + testing_tools::kHole + testing_tools::kTemplate;
  // Named as seen from the place: the name stands in the results.
  std::string name = "job-" + revision + ".toml";
  std::ofstream(Path(name)) << text;
  return name;
}

std::map<std::string, std::string> Place::Files(const std::string& folder) const {
  std::map<std::string, std::string> files;
  if (!fs::exists(path_ / folder)) return files;
  for (const auto& entry : fs::recursive_directory_iterator(path_ / folder)) {
    const std::string name = fs::relative(entry.path(), path_ / folder).string();
    files[name] = entry.is_regular_file() ? Bytes(entry.path().string()) : "<no file>";
  }
  return files;
}

void Place::Fill(const std::string& folder, const std::map<std::string, std::string>& files) const {
  fs::remove_all(path_ / folder);
  fs::create_directory(path_ / folder);
  for (const auto& [name, bytes] : files) {
    std::ofstream(path_ / folder / name, std::ios::binary) << bytes;
  }
}

std::string Bytes(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream bytes;
  bytes << file.rdbuf();
  return bytes.str();
}

pid_t Start(const Place& place, const Call& call, const std::string& name) {
  std::vector<std::string> arguments = {HOLEWARD_PROGRAM};
  arguments.insert(arguments.end(), call.arguments.begin(), call.arguments.end());
  std::vector<std::string> environment = call.environment;
  for (char** entry = environ; *entry != nullptr; ++entry) environment.emplace_back(*entry);
  const std::vector<char*> argv = Pointers(&arguments);
  const std::vector<char*> envp = Pointers(&environment);
  const std::string out = place.Path(name + ".out");
  const std::string err = place.Path(name + ".err");
  const std::string folder = place.Path("");
  const pid_t child = fork();
  if (child == 0) {
    Redirect(out.c_str(), err.c_str());
    if (chdir(folder.c_str()) != 0) _exit(99);
    if (call.before != nullptr) call.before();
    execve(argv[0], argv.data(), envp.data());
    _exit(99);
  }
  return child;
}

Ended Wait(pid_t child, const Place& place, const std::string& name) {
  Ended ended;
  int status = 0;
  if (child > 0 && waitpid(child, &status, 0) == child) {
    ended.status = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
  }
  ended.out = Bytes(place.Path(name + ".out"));
  ended.err = Bytes(place.Path(name + ".err"));
  return ended;
}

Ended RunProgram(const Place& place, const Call& call) {
  return Wait(Start(place, call, "run"), place, "run");
}

bool LongRuns() { return std::getenv("HOLEWARD_LONG_TESTS") != nullptr; }

}  // namespace holeward::fault
