// The job's file: opened, saved, changed by others, left behind by a run that ended badly.
#include <QLabel>
#include <QLineEdit>
#include <QTabWidget>
#include <string>

#include <gtest/gtest.h>

#include "tests/viewer/window_fixture.h"

namespace holeward {
namespace {

TEST_F(Window, AFileLargerThanAJobMayBeIsRefusedInWords) {
  Open();
  WriteBytes(folder_.filePath("large.toml"), std::string(kLargestJob + 1, '#'));
  EXPECT_FALSE(window_->Open(folder_.filePath("large.toml")));
  ASSERT_FALSE(questions_.isEmpty());
  EXPECT_TRUE(questions_.last().contains("larger than 16 MiB")) << questions_.last().toStdString();
  EXPECT_TRUE(SameText(window_->model().text(), demo_)) << "what was open stays";
}

TEST_F(Window, AJobWithErrorsOpensAsTextAndItsGoodPartsAreDrawn) {
  std::string broken = demo_;
  broken.replace(broken.find("from = \"pivot eye\""), 18, "from = \"pivot eyes\"");
  WriteBytes(job_, broken);
  window_ = std::make_unique<MainWindow>(ServicesOfProgram());
  window_->resize(1360, 860);
  window_->show();
  ASSERT_TRUE(QTest::qWaitForWindowExposed(window_.get()));
  ASSERT_TRUE(window_->Open(job_));
  ASSERT_TRUE(WaitUpToDate());
  const JobState& state = *window_->model().state();
  ASSERT_FALSE(state.errors.empty());
  EXPECT_EQ(state.job.points.size(), 9U);
  EXPECT_EQ(state.sides.size(), 2U);
  EXPECT_EQ(Find<QTabWidget>("tabs").currentIndex(), 3);
  EXPECT_TRUE(Find<QLabel>("verdict").text().contains("cannot be used"));
  Screen("errors");
}

TEST_F(Window, AFileChangedOutsideIsNotWrittenOver) {
  Open();
  ChooseRow("A1", "left");
  auto& tape = Find<QLineEdit>("field rule 1: tape");
  tape.setFocus();
  tape.selectAll();
  QTest::keyClicks(&tape, "90");
  const std::string theirs = demo_ + "# a line from elsewhere\n";
  WriteBytes(job_, theirs);
  answer_ = 2;  // cancel
  EXPECT_FALSE(window_->Save());
  EXPECT_TRUE(SameText(BytesOf(job_), theirs));
  ASSERT_FALSE(questions_.isEmpty());
  EXPECT_TRUE(questions_.last().contains("changed by something else"));
}

TEST_F(Window, UnsavedWorkOfARunThatEndedBadlyIsOfferedAgain) {
  std::string unsaved = demo_;
  unsaved.replace(unsaved.find("tape = 84"), 9, "tape = 70");
  WriteBytes(folder_.filePath(".van.toml.unsaved"), unsaved);
  answer_ = 0;  // take it up
  Open();
  EXPECT_TRUE(SameText(window_->model().text(), unsaved));
  EXPECT_TRUE(window_->model().modified());
  EXPECT_TRUE(SameText(BytesOf(job_), demo_));
}

}  // namespace
}  // namespace holeward
