#include "models/exchange_process.h"

#include <array>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstring>
#include <filesystem>
#include <utility>

#include <fcntl.h>
#include <fmt/format.h>
#include <poll.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

namespace holeward {
namespace {

constexpr const char* kProgram = "holeward-exchange";
constexpr int kCannotStart = 127;
// Sanitizers map terabytes of address space: there the limit on it must stay off.
#if defined(__SANITIZE_ADDRESS__)
constexpr bool kLimitMemory = false;
#else
constexpr bool kLimitMemory = true;
#endif

using Clock = std::chrono::steady_clock;

void Limit(__rlimit_resource what, rlim_t value) {
  const rlimit both{value, value};
  setrlimit(what, &both);
}

/// The signal for it comes at the soft limit; the hard one is for a program that ignores that.
void LimitComputing(rlim_t seconds) {
  const rlimit both{seconds, seconds + 5};
  setrlimit(RLIMIT_CPU, &both);
}

/// Between fork and exec: only calls that are safe there.
[[noreturn]] void BecomeProgram(const char* program, int channel, const ExchangeLimits& limits) {
  prctl(PR_SET_PDEATHSIG, SIGKILL);
  dup2(channel, STDIN_FILENO);
  dup2(channel, STDOUT_FILENO);
  const int nothing = open("/dev/null", O_WRONLY);
  if (nothing >= 0) dup2(nothing, STDERR_FILENO);
  close_range(STDERR_FILENO + 1, ~0U, 0);
  LimitComputing(limits.computing);
  Limit(RLIMIT_FSIZE, limits.reply);
  Limit(RLIMIT_CORE, 0);
  if (kLimitMemory) Limit(RLIMIT_AS, limits.memory);
  execl(program, program, static_cast<char*>(nullptr));
  _exit(kCannotStart);
}

/// The parent's end of the process.
class Child {
 public:
  Child(pid_t pid, int channel) : pid_(pid), channel_(channel) {}
  Child(const Child&) = delete;
  Child& operator=(const Child&) = delete;
  ~Child() {
    if (channel_ >= 0) close(channel_);
    if (pid_ > 0) Wait();
  }

  [[nodiscard]] int channel() const { return channel_; }
  void Kill() const { kill(pid_, SIGKILL); }

  /// Waits for the end; the status of waitpid.
  int Wait() {
    int status = 0;
    while (waitpid(pid_, &status, 0) < 0 && errno == EINTR) {
    }
    pid_ = -1;
    return status;
  }

 private:
  pid_t pid_;
  int channel_;
};

enum class Ending { answered, too_slow, too_much, broken };

/// Sends the request and takes the answer, until the process closes its end.
class Talk {
 public:
  Talk(int channel, const std::string& request, const ExchangeLimits& limits)
      : channel_(channel), request_(request), limits_(limits) {}

  Ending Run() {
    const auto end = Clock::now() + std::chrono::duration_cast<Clock::duration>(
                                        std::chrono::duration<double>(limits_.clock));
    while (!closed_) {
      const auto left = std::chrono::duration_cast<std::chrono::milliseconds>(end - Clock::now());
      if (left.count() <= 0) return Ending::too_slow;
      const bool sending = sent_ < request_.size();
      pollfd watched{channel_, static_cast<short>(sending ? POLLIN | POLLOUT : POLLIN), 0};
      const int ready = poll(&watched, 1, static_cast<int>(std::min<long>(left.count(), 1000)));
      if (ready < 0 && errno != EINTR) return Ending::broken;
      if (ready <= 0) continue;
      if (sending && (watched.revents & POLLOUT) != 0) Send();
      if ((watched.revents & (POLLIN | POLLHUP | POLLERR)) != 0) Receive();
      if (answer_.size() > limits_.reply) return Ending::too_much;
    }
    return Ending::answered;
  }

  std::string TakeAnswer() { return std::move(answer_); }

 private:
  void Send() {
    const ssize_t sent = send(channel_, request_.data() + sent_, request_.size() - sent_,
                              MSG_NOSIGNAL | MSG_DONTWAIT);
    if (sent > 0) {
      sent_ += static_cast<std::size_t>(sent);
    } else if (errno != EINTR && errno != EAGAIN) {
      sent_ = request_.size();  // nobody listens any more; how it ended tells why
    }
    if (sent_ == request_.size()) shutdown(channel_, SHUT_WR);
  }

  void Receive() {
    std::array<char, 65536> chunk;
    const ssize_t got = recv(channel_, chunk.data(), chunk.size(), MSG_DONTWAIT);
    if (got > 0) {
      answer_.append(chunk.data(), static_cast<std::size_t>(got));
    } else if (got == 0 || (errno != EINTR && errno != EAGAIN)) {
      closed_ = true;
    }
  }

  int channel_;
  const std::string& request_;
  const ExchangeLimits& limits_;
  std::size_t sent_ = 0;
  std::string answer_;
  bool closed_ = false;
};

/// Why a process that ended did not answer; empty: it did.
std::string WhyNot(int status, const ExchangeLimits& limits) {
  if (WIFSIGNALED(status)) {
    const int signal = WTERMSIG(status);
    if (signal == SIGXCPU) {
      return fmt::format("took longer than {} s of computing and was stopped", limits.computing);
    }
    return fmt::format("ended in a crash of the geometry kernel (signal {})", signal);
  }
  if (WEXITSTATUS(status) == kCannotStart) return "could not be started";
  if (WEXITSTATUS(status) != 0) {
    return fmt::format("failed in the geometry kernel (status {})", WEXITSTATUS(status));
  }
  return "";
}

}  // namespace

std::string FolderOfProgram() {
  std::error_code failed;
  return std::filesystem::read_symlink("/proc/self/exe", failed).parent_path().string();
}

std::string ProgramBeside(const std::string& name) {
  const std::filesystem::path folder = FolderOfProgram();
  if (folder.empty()) return "";
  for (const auto& place : {folder, folder / "..", folder / ".." / "libexec" / "holeward"}) {
    std::string program = (place / name).string();
    if (access(program.c_str(), X_OK) == 0) return program;
  }
  return "";
}

Result<std::string> ExchangeProgram() {
  if (const std::string program = ProgramBeside(kProgram); !program.empty()) return program;
  return Fail(ErrorKind::file,
              fmt::format("the program {}, which reads and writes STEP files, is not beside "
                          "holeward in {}",
                          kProgram, FolderOfProgram()));
}

Result<std::string> RunExchange(const std::string& program, const std::string& request,
                                const std::string& doing, const ExchangeLimits& limits) {
  std::array<int, 2> ends{};
  if (socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, ends.data()) != 0) {
    return Fail(ErrorKind::file, fmt::format("{}: {}", doing, std::strerror(errno)));
  }
  const pid_t pid = fork();
  if (pid == 0) BecomeProgram(program.c_str(), ends[1], limits);
  close(ends[1]);
  if (pid < 0) {
    close(ends[0]);
    return Fail(ErrorKind::file, fmt::format("{}: {}", doing, std::strerror(errno)));
  }
  Child child(pid, ends[0]);
  Talk talk(child.channel(), request, limits);
  const Ending ending = talk.Run();
  if (ending != Ending::answered) child.Kill();
  const int status = child.Wait();
  if (ending == Ending::too_slow) {
    return Fail(ErrorKind::computed,
                fmt::format("{} did not end within {:g} s and was stopped", doing, limits.clock));
  }
  if (ending == Ending::too_much) {
    return Fail(ErrorKind::computed,
                fmt::format("{} gave more than {} MiB and was stopped", doing, limits.reply >> 20));
  }
  const std::string why = ending == Ending::broken ? "lost its connection" : WhyNot(status, limits);
  if (!why.empty()) return Fail(ErrorKind::computed, fmt::format("{} {}", doing, why));
  std::string answer = talk.TakeAnswer();
  if (answer.empty()) return Fail(ErrorKind::computed, doing + " gave nothing");
  return answer;
}

}  // namespace holeward
