// The C library's allocating functions, called through ours, which note what is refused. Symbols of
// the program stand before those of its libraries, so theirs come here too.
#include "app/watched_memory.h"

#include <atomic>
#include <cerrno>
#include <cstddef>
#include <cstdint>

#include <dlfcn.h>

#include "app/last_words.h"

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
#define HOLEWARD_WATCHES_MEMORY 0
#elif defined(__has_feature)
#if __has_feature(address_sanitizer) || __has_feature(memory_sanitizer)
#define HOLEWARD_WATCHES_MEMORY 0
#endif
#endif
#ifndef HOLEWARD_WATCHES_MEMORY
#define HOLEWARD_WATCHES_MEMORY 1
#endif

namespace holeward {
namespace {

std::atomic<bool> ran_out{false};
std::atomic<bool> counts{true};

}  // namespace

bool MemoryRanOut() { return counts.load() && ran_out.load(); }

void WatchMemoryAnew() {
  ran_out.store(false);
  counts.store(true);
}

void WatchMemoryNoMore() { counts.store(false); }

#if HOLEWARD_WATCHES_MEMORY
namespace {

using Malloc = void*(std::size_t);
using Calloc = void*(std::size_t, std::size_t);
using Realloc = void*(void*, std::size_t);
using Aligned = void*(std::size_t, std::size_t);

// A library that reports a want of memory by means that want memory goes on till its stack is used
// up, on a thread of its own where nothing can be said any more. Code of ours gives up long before.
constexpr int kMostInARow = 2000;
constinit thread_local int refused_in_a_row = 0;

void* Noted(void* made, bool wanted) {
  if (made != nullptr) {
    refused_in_a_row = 0;
  } else if (wanted) {
    ran_out.store(true, std::memory_order_relaxed);
    if (++refused_in_a_row > kMostInARow) DieSpeaking();
  }
  return made;
}

}  // namespace
#endif
}  // namespace holeward

#if HOLEWARD_WATCHES_MEMORY
extern "C" {

void* __libc_malloc(std::size_t);
void* __libc_calloc(std::size_t, std::size_t);
void* __libc_realloc(void*, std::size_t);
void* __libc_memalign(std::size_t, std::size_t);
}

namespace holeward {
namespace {

// The next of the name after the program's own. Looking one up may itself ask for memory: till then
// the C library's is called by its own name.
template <class Function>
class Next {
 public:
  constexpr Next(const char* name, Function* by_own_name)
      : name_(name), by_own_name_(by_own_name) {}

  Function* operator()() {
    if (Function* known = known_.load(std::memory_order_acquire)) return known;
    if (looking) return by_own_name_;
    looking = true;
    auto* found = reinterpret_cast<Function*>(dlsym(RTLD_NEXT, name_));
    looking = false;
    if (found == nullptr) found = by_own_name_;
    known_.store(found, std::memory_order_release);
    return found;
  }

 private:
  static inline thread_local bool looking = false;

  const char* name_;
  Function* by_own_name_;
  std::atomic<Function*> known_{nullptr};
};

constinit Next<Malloc> next_malloc("malloc", __libc_malloc);
constinit Next<Calloc> next_calloc("calloc", __libc_calloc);
constinit Next<Realloc> next_realloc("realloc", __libc_realloc);
constinit Next<Aligned> next_memalign("memalign", __libc_memalign);

}  // namespace
}  // namespace holeward

extern "C" {

void* malloc(std::size_t size) { return holeward::Noted(holeward::next_malloc()(size), true); }

void* calloc(std::size_t count, std::size_t size) {
  return holeward::Noted(holeward::next_calloc()(count, size), count > 0 && size > 0);
}

void* realloc(void* old, std::size_t size) {
  return holeward::Noted(holeward::next_realloc()(old, size), size > 0);
}

void* memalign(std::size_t alignment, std::size_t size) {
  return holeward::Noted(holeward::next_memalign()(alignment, size), true);
}

void* aligned_alloc(std::size_t alignment, std::size_t size) { return memalign(alignment, size); }

int posix_memalign(void** made, std::size_t alignment, std::size_t size) {
  void* const memory = memalign(alignment, size);
  if (memory == nullptr) return ENOMEM;
  *made = memory;
  return 0;
}

}  // extern "C"
#endif
