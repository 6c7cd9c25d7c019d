#include "export/file_set.h"

#include <cerrno>
#include <filesystem>
#include <map>

#include <fcntl.h>
#include <unistd.h>

#include <gtest/gtest.h>

#include "tests/export/outside_tool.h"

namespace holeward {
namespace {

using testing_tools::ReadAll;
using testing_tools::Scratch;

/// Everything in a folder, by name.
std::map<std::string, std::string> Contents(const std::string& folder) {
  std::map<std::string, std::string> contents;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    contents[entry.path().filename().string()] =
        entry.is_directory() ? "<folder>" : ReadAll(entry.path().string());
  }
  return contents;
}

const std::vector<OutFile> kFiles = {
    {"a.pdf", std::string(100000, 'a')}, {"b.csv", "name\r\n"}, {"empty.txt", ""}};

/// Real calls, of which the `fail_at`-th (from 1) fails with `reason`; rmdir and unlink, which only
/// tidy up, do not count.
FileCalls Failing(int fail_at, int reason, int* count) {
  FileCalls calls = FileCalls::System();
  const auto fails = [=] {
    if (++*count != fail_at) return false;
    errno = reason;
    return true;
  };
  const FileCalls real = calls;
  calls.open = [=](const char* p, int f, mode_t m) { return fails() ? -1 : real.open(p, f, m); };
  calls.write = [=](int f, const void* b, size_t n) { return fails() ? -1 : real.write(f, b, n); };
  calls.fsync = [=](int f) { return fails() ? -1 : real.fsync(f); };
  calls.close = [=](int f) {
    const bool fail = fails();
    const int keep = errno;
    const int done = real.close(f);
    errno = keep;
    return fail ? -1 : done;
  };
  calls.rename = [=](const char* a, const char* b) { return fails() ? -1 : real.rename(a, b); };
  calls.link = [=](const char* a, const char* b) { return fails() ? -1 : real.link(a, b); };
  calls.mkdir = [=](const char* p, mode_t m) { return fails() ? -1 : real.mkdir(p, m); };
  return calls;
}

TEST(FileSet, WritesEveryFileWholeAndNothingElse) {
  const Scratch scratch;
  const std::string folder = scratch.path() + "/new/deeper";
  ASSERT_TRUE(WriteFileSet(folder, kFiles));
  const auto contents = Contents(folder);
  ASSERT_EQ(contents.size(), kFiles.size());
  for (const OutFile& file : kFiles) EXPECT_EQ(contents.at(file.name), file.bytes);
}

TEST(FileSet, ReplacesOldFilesAndKeepsStrangers) {
  const Scratch scratch;
  (void)scratch.Put("a.pdf", "old");
  (void)scratch.Put("mine.txt", "keep me");
  ASSERT_TRUE(WriteFileSet(scratch.path(), kFiles));
  const auto contents = Contents(scratch.path());
  EXPECT_EQ(contents.size(), kFiles.size() + 1);
  EXPECT_EQ(contents.at("a.pdf"), kFiles[0].bytes);
  EXPECT_EQ(contents.at("mine.txt"), "keep me");
}

TEST(FileSet, LeavesTheFolderAsItWasWhicheverCallFails) {
  int calls_in_all = 0;
  {
    const Scratch scratch;
    (void)scratch.Put("a.pdf", "old a");
    (void)scratch.Put("b.csv", "old b");
    ASSERT_TRUE(WriteFileSet(scratch.path(), kFiles, Failing(0, EIO, &calls_in_all)));
  }
  ASSERT_GT(calls_in_all, 15);
  for (int reason : {EIO, ENOSPC, EACCES}) {
    for (int fail_at = 1; fail_at <= calls_in_all; ++fail_at) {
      const Scratch scratch;
      (void)scratch.Put("a.pdf", "old a");
      (void)scratch.Put("b.csv", "old b");
      (void)scratch.Put("mine.txt", "keep me");
      const auto before = Contents(scratch.path());
      int count = 0;
      const Result<void> done =
          WriteFileSet(scratch.path(), kFiles, Failing(fail_at, reason, &count));
      // Closing the folder after it was synced loses nothing and is not an error.
      if (fail_at == calls_in_all) {
        EXPECT_TRUE(done);
        continue;
      }
      ASSERT_FALSE(done) << "call " << fail_at;
      EXPECT_EQ(done.error().kind, ErrorKind::file);
      EXPECT_NE(done.error().message.find(std::strerror(reason)), std::string::npos)
          << done.error().message;
      EXPECT_NE(done.error().message.find(scratch.path()), std::string::npos);
      EXPECT_EQ(Contents(scratch.path()), before) << "call " << fail_at;
    }
  }
}

TEST(FileSet, RemovesAFolderItMadeInVain) {
  for (int fail_at = 1; fail_at < 12; ++fail_at) {
    const Scratch scratch;
    int count = 0;
    ASSERT_FALSE(WriteFileSet(scratch.path() + "/one/two", kFiles, Failing(fail_at, EIO, &count)));
    EXPECT_TRUE(Contents(scratch.path()).empty()) << "call " << fail_at;
  }
}

TEST(FileSet, WorksWhereTheFileSystemHasNoLinks) {
  FileCalls calls = FileCalls::System();
  calls.link = [](const char*, const char*) {
    errno = EPERM;
    return -1;
  };
  const Scratch scratch;
  (void)scratch.Put("a.pdf", "old");
  ASSERT_TRUE(WriteFileSet(scratch.path(), kFiles, calls));
  EXPECT_EQ(Contents(scratch.path()).size(), kFiles.size());

  // And rolls back there, too: the old a.pdf was moved aside, then the second rename into place
  // fails.
  (void)scratch.Put("a.pdf", "old");
  const auto before = Contents(scratch.path());
  int renames = 0;
  calls.rename = [&renames](const char* from, const char* to) {
    if (++renames == 4) {
      errno = EIO;
      return -1;
    }
    return ::rename(from, to);
  };
  EXPECT_FALSE(WriteFileSet(scratch.path(), kFiles, calls));
  EXPECT_EQ(Contents(scratch.path()), before);
}

TEST(FileSet, FinishesShortAndInterruptedWrites) {
  FileCalls calls = FileCalls::System();
  int turn = 0;
  calls.write = [&turn](int file, const void* bytes, size_t n) -> ssize_t {
    if (++turn % 3 == 0) {
      errno = EINTR;
      return -1;
    }
    return ::write(file, bytes, n > 977 ? 977 : n);
  };
  const Scratch scratch;
  ASSERT_TRUE(WriteFileSet(scratch.path(), kFiles, calls));
  EXPECT_EQ(ReadAll(scratch.path() + "/a.pdf"), kFiles[0].bytes);
}

TEST(FileSet, SaysThatTheDiskIsFull) {
  // /dev/full answers every write with ENOSPC, as full(4) says.
  FileCalls calls = FileCalls::System();
  calls.open = [](const char* path, int flags, mode_t mode) {
    if ((flags & O_CREAT) != 0) {
      const int made = ::open(path, flags, mode);
      if (made < 0) return made;
      ::close(made);
      return ::open("/dev/full", O_WRONLY);
    }
    return ::open(path, flags, mode);
  };
  const Scratch scratch;
  (void)scratch.Put("a.pdf", "old");
  const auto before = Contents(scratch.path());
  const Result<void> done = WriteFileSet(scratch.path(), kFiles, calls);
  ASSERT_FALSE(done);
  EXPECT_NE(done.error().message.find("a.pdf"), std::string::npos);
  EXPECT_NE(done.error().message.find("No space left on device"), std::string::npos);
  EXPECT_EQ(Contents(scratch.path()), before);
}

TEST(FileSet, RefusesAFolderItMayNotWriteTo) {
  const Scratch scratch;
  ::chmod(scratch.path().c_str(), 0555);
  if (::access(scratch.path().c_str(), W_OK) == 0) GTEST_SKIP() << "this user may write anywhere";
  const Result<void> done = WriteFileSet(scratch.path(), kFiles);
  ASSERT_FALSE(done);
  EXPECT_NE(done.error().message.find("Permission denied"), std::string::npos);
}

TEST(FileSet, RefusesAFileWhereTheFolderShouldBeAndAFolderWhereAFileShouldBe) {
  const Scratch scratch;
  const std::string file = scratch.Put("taken", "x");
  const Result<void> done = WriteFileSet(file, kFiles);
  ASSERT_FALSE(done);
  EXPECT_NE(done.error().message.find("Not a directory"), std::string::npos);
  std::filesystem::create_directory(scratch.path() + "/a.pdf");
  const auto before = Contents(scratch.path());
  EXPECT_FALSE(WriteFileSet(scratch.path(), kFiles));
  EXPECT_EQ(Contents(scratch.path()), before);
}

TEST(FileSet, RefusesNamesThatAreNoNames) {
  const Scratch scratch;
  for (const char* name : {"", ".", "..", "a/b", "/etc/x"}) {
    EXPECT_FALSE(WriteFileSet(scratch.path(), {{name, "x"}})) << name;
  }
  EXPECT_FALSE(WriteFileSet(scratch.path(), {{"same", "1"}, {"same", "2"}}));
  EXPECT_FALSE(WriteFileSet("", kFiles));
  EXPECT_TRUE(Contents(scratch.path()).empty());
}

}  // namespace
}  // namespace holeward
