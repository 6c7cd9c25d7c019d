// Put before the C library (LD_PRELOAD), lets one kind of call fail from a given number on. For the
// fault tests only.
//
// HOLEWARD_FAIL=KIND:N    the Nth call of a kind fails, counted from 1; N = 0: none, only counted
// HOLEWARD_FAIL=KIND:N+   that one and all after it
// HOLEWARD_FAIL_AFTER=KIND:N  nothing is counted, and none fails, before the Nth call of that kind
// HOLEWARD_FAIL_COUNT     file the number of calls is written to at the end
// KIND: open, write, fsync, close, rename, link, mkdir (calls of the program itself, on files that
// are written), memory (every allocation once main() has begun).
#include <atomic>
#include <cerrno>
#include <cstdarg>
#include <cstddef>
#include <cstdio>
#include <cstdlib>
#include <cstring>

#include <dlfcn.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

extern "C" {
void* __libc_malloc(std::size_t);
void* __libc_calloc(std::size_t, std::size_t);
void* __libc_realloc(void*, std::size_t);
void* __libc_memalign(std::size_t, std::size_t);
}

namespace {

struct Plan {
  char kind[16] = "";
  long at = 0;
  bool for_good = false;
};

Plan plan;
Plan after;
std::atomic<bool> armed{false};
std::atomic<bool> begun{false};
std::atomic<long> calls{0};
std::atomic<long> calls_before{0};

void ReadPlan(const char* variable, Plan* into) {
  const char* text = std::getenv(variable);
  const char* colon = text == nullptr ? nullptr : std::strchr(text, ':');
  if (colon == nullptr || colon - text >= static_cast<std::ptrdiff_t>(sizeof into->kind)) return;
  std::memcpy(into->kind, text, static_cast<std::size_t>(colon - text));
  char* end = nullptr;
  into->at = std::strtol(colon + 1, &end, 10);
  into->for_good = *end == '+';
}

/// True once the call that the plan waits for was made.
bool Begun(const char* kind) {
  if (begun.load()) return true;
  if (std::strcmp(after.kind, kind) == 0 && ++calls_before == after.at) begun = true;
  return false;
}

/// True if this call of the kind is one that fails; errno is set then.
bool Fails(const char* kind, int reason) {
  if (!armed.load(std::memory_order_relaxed) || !Begun(kind) || std::strcmp(plan.kind, kind) != 0) {
    return false;
  }
  const long number = ++calls;
  if (plan.at == 0 || number < plan.at || (number > plan.at && !plan.for_good)) return false;
  errno = reason;
  return true;
}

template <class Function>
Function* Real(const char* name) {
  return reinterpret_cast<Function*>(dlsym(RTLD_NEXT, name));
}

void WriteCount() {
  armed = false;
  const char* path = std::getenv("HOLEWARD_FAIL_COUNT");
  std::FILE* file = path == nullptr ? nullptr : std::fopen(path, "w");
  if (file == nullptr) return;
  std::fprintf(file, "%ld\n", calls.load());
  std::fclose(file);
}

int (*real_main)(int, char**, char**) = nullptr;

int ArmedMain(int argc, char** argv, char** environment) {
  ReadPlan("HOLEWARD_FAIL", &plan);
  ReadPlan("HOLEWARD_FAIL_AFTER", &after);
  begun = after.at == 0;
  std::atexit(WriteCount);
  armed = plan.kind[0] != '\0';
  return real_main(argc, argv, environment);
}

}  // namespace

extern "C" {

int __libc_start_main(int (*main)(int, char**, char**), int argc, char** argv, void (*init)(),
                      void (*fini)(), void (*rtld_fini)(), void* stack_end) {
  real_main = main;
  return Real<decltype(__libc_start_main)>("__libc_start_main")(ArmedMain, argc, argv, init, fini,
                                                                rtld_fini, stack_end);
}

void* malloc(std::size_t size) { return Fails("memory", ENOMEM) ? nullptr : __libc_malloc(size); }

void* calloc(std::size_t count, std::size_t size) {
  return Fails("memory", ENOMEM) ? nullptr : __libc_calloc(count, size);
}

void* realloc(void* old, std::size_t size) {
  return Fails("memory", ENOMEM) ? nullptr : __libc_realloc(old, size);
}

void* memalign(std::size_t alignment, std::size_t size) {
  return Fails("memory", ENOMEM) ? nullptr : __libc_memalign(alignment, size);
}

void* aligned_alloc(std::size_t alignment, std::size_t size) { return memalign(alignment, size); }

int posix_memalign(void** made, std::size_t alignment, std::size_t size) {
  *made = memalign(alignment, size);
  return *made == nullptr ? ENOMEM : 0;
}

int open(const char* path, int flags, ...) {
  std::va_list more;
  va_start(more, flags);
  const mode_t mode = (flags & O_CREAT) != 0 ? va_arg(more, mode_t) : 0;
  va_end(more);
  const bool writes = (flags & (O_CREAT | O_DIRECTORY)) != 0;
  if (writes && Fails("open", EMFILE)) return -1;
  return Real<int(const char*, int, ...)>("open")(path, flags, mode);
}

ssize_t write(int file, const void* bytes, std::size_t size) {
  if (file > STDERR_FILENO && Fails("write", ENOSPC)) return -1;
  return Real<ssize_t(int, const void*, std::size_t)>("write")(file, bytes, size);
}

int fsync(int file) { return Fails("fsync", EIO) ? -1 : Real<int(int)>("fsync")(file); }

int close(int file) {
  struct stat status {};
  const bool written = fstat(file, &status) == 0 && S_ISREG(status.st_mode) &&
                       (fcntl(file, F_GETFL) & O_ACCMODE) != O_RDONLY;
  const bool fails = written && Fails("close", EIO);
  const int reason = errno;
  const int done = Real<int(int)>("close")(file);
  errno = fails ? reason : errno;
  return fails ? -1 : done;
}

int rename(const char* from, const char* to) noexcept {
  if (Fails("rename", EIO)) return -1;
  return Real<int(const char*, const char*)>("rename")(from, to);
}

int link(const char* from, const char* to) noexcept {
  if (Fails("link", EIO)) return -1;
  return Real<int(const char*, const char*)>("link")(from, to);
}

int mkdir(const char* path, mode_t mode) noexcept {
  return Fails("mkdir", EACCES) ? -1 : Real<int(const char*, mode_t)>("mkdir")(path, mode);
}

}  // extern "C"
