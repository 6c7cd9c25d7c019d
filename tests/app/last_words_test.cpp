#include "app/last_words.h"

#include <atomic>
#include <chrono>
#include <filesystem>
#include <string>
#include <thread>

#include <gtest/gtest.h>

#include "app/interrupt.h"
#include "export/file_set.h"

namespace holeward {
namespace {

namespace fs = std::filesystem;

void Nap() { std::this_thread::sleep_for(std::chrono::milliseconds(1)); }

/// Another thread that is in the midst of writing files when this one dies.
template <class Write>
void DieWhile(const Write& write) {
  std::atomic<bool> begun{false};
  const std::jthread writer([&] {
    WritingFiles writing;
    write(&writing, &begun);
  });
  while (!begun) Nap();
  DieSpeaking();
}

/// Whatever a command in this process did before.
class LastWords : public testing::Test {
 protected:
  LastWords() { WorkBegins(); }
};

TEST_F(LastWords, SayThatThereIsNoResult) {
  EXPECT_EXIT(DieSpeaking(), testing::ExitedWithCode(4), "no result was made");
}

TEST_F(LastWords, OfWorkThatIsDoneSayThatItStandsAndKeepItsStatus) {
  const auto die = [] {
    WorkIsDone(ExitStatus::unproven);
    DieSpeaking();
  };
  EXPECT_EXIT(die(), testing::ExitedWithCode(3), "its result stands");
  const auto go_on = [] {
    WorkIsDone(ExitStatus::done);
    WorkBegins();
    DieSpeaking();
  };
  EXPECT_EXIT(go_on(), testing::ExitedWithCode(4), "no result was made");
}

TEST_F(LastWords, WaitUntilAnotherThreadHasUndoneWhatItBegan) {
  const std::string folder = testing::TempDir() + "holeward-last-words";
  fs::remove_all(folder);
  const auto die = [&] {
    DieWhile([&](WritingFiles* /*writing*/, std::atomic<bool>* begun) {
      FileCalls calls = FileCalls::System();
      calls.fsync = [begun](int /*file*/) {  // the first file lies there under another name
        *begun = true;
        while (!WritingFiles::AreToStop()) Nap();
        return 0;
      };
      static_cast<void>(WriteFileSet(folder, {{"one.txt", "1"}, {"two.txt", "2"}}, calls,
                                     WritingFiles::AreToStop));
    });
  };
  EXPECT_EXIT(die(), testing::ExitedWithCode(4), "no result was made");
  EXPECT_FALSE(fs::exists(folder));
}

TEST_F(LastWords, LetFilesThatAreInPlaceBeSaidAndDone) {
  const auto die = [] {
    DieWhile([](WritingFiles* writing, std::atomic<bool>* begun) {
      writing->AllAreInPlace();
      *begun = true;
      while (!WritingFiles::AreToStop()) Nap();
      WorkIsDone(ExitStatus::not_clear);
    });
  };
  EXPECT_EXIT(die(), testing::ExitedWithCode(1), "its result stands");
  const auto die_unsaid = [] {
    DieWhile([](WritingFiles* writing, std::atomic<bool>* begun) {
      writing->AllAreInPlace();
      *begun = true;
      while (!WritingFiles::AreToStop()) Nap();
    });
  };
  EXPECT_EXIT(die_unsaid(), testing::ExitedWithCode(4), "they are whole");
}

}  // namespace
}  // namespace holeward
