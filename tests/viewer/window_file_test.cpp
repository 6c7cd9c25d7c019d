// The job's file: opened, saved, changed by others, left behind by a run that ended badly.
#include <QAction>
#include <QApplication>
#include <QFileInfo>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QMenu>
#include <QPlainTextEdit>
#include <QProcess>
#include <QSplitter>
#include <QTabWidget>
#include <QTextBlock>
#include <csignal>
#include <string>

#include <gtest/gtest.h>

#include "tests/viewer/window_dialogs.h"
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
  // Each is listed with its place, and a click shows its line.
  auto& errors = Find<QListWidget>("errors");
  auto& text = Find<QPlainTextEdit>("text");
  ASSERT_TRUE(errors.isVisible());
  ASSERT_GE(errors.count(), static_cast<int>(state.errors.size()));
  for (int i = 0; i < static_cast<int>(state.errors.size()); ++i) {
    const JobError& error = state.errors[static_cast<std::size_t>(i)];
    const QString said = errors.item(i)->text();
    EXPECT_TRUE(said.contains(QString("line %1,").arg(error.at.line))) << said.toStdString();
    EXPECT_TRUE(said.contains(QString::fromStdString(error.message))) << said.toStdString();
    text.moveCursor(QTextCursor::Start);
    errors.scrollToItem(errors.item(i));
    QTest::mouseClick(errors.viewport(), Qt::LeftButton, Qt::NoModifier,
                      errors.visualItemRect(errors.item(i)).center());
    EXPECT_EQ(text.textCursor().blockNumber() + 1, error.at.line);
  }
  EXPECT_TRUE(text.textCursor().block().text().contains("pivot eyes"));
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

// Noticed when the person comes back to the window.
TEST_F(Window, AFileChangedOutsideIsTakenOrLeftAsThePersonSays) {
  Open();
  const std::string theirs = demo_ + "# a line from elsewhere\n";
  const auto come_back = [&] {
    QApplication::setActiveWindow(nullptr);
    QApplication::setActiveWindow(window_.get());
    QTest::qWait(10);
  };
  come_back();
  EXPECT_TRUE(questions_.isEmpty()) << "nothing was changed";
  WriteBytes(job_, theirs);
  answer_ = 1;  // keep what is here
  come_back();
  ASSERT_EQ(questions_.size(), 1);
  EXPECT_TRUE(SameText(window_->model().text(), demo_));
  answer_ = 0;
  come_back();
  EXPECT_TRUE(SameText(window_->model().text(), theirs));
  ASSERT_TRUE(WaitChecked());
  const int asked = questions_.size();
  come_back();
  EXPECT_EQ(questions_.size(), asked) << "taken once";
  QTest::keyClick(window_.get(), Qt::Key_Z, Qt::ControlModifier);
  EXPECT_TRUE(SameText(window_->model().text(), demo_)) << "a step that can be undone";
}

// The run that ends badly: told by its parent which job to change, it is gone once that is put
// aside.
TEST_F(Window, DISABLED_ChangesAJobAndIsKilled) {
  job_ = qEnvironmentVariable("HOLEWARD_JOB_OF_A_KILLED_RUN");
  Open();
  ChooseRow("A1", "left");
  auto& tape = Find<QLineEdit>("field rule 1: tape");
  tape.setFocus();
  tape.selectAll();
  QTest::keyClicks(&tape, "77");
  const QString aside = QFileInfo(job_).path() + "/.van.toml.unsaved";
  ASSERT_TRUE(QTest::qWaitFor([&] { return QFileInfo::exists(aside); }, 60000));
  std::raise(SIGKILL);
}

TEST_F(Window, WhatAKilledRunHadNotSavedIsTakenUpAgain) {
  QProcess other;
  auto surroundings = QProcessEnvironment::systemEnvironment();
  surroundings.insert("HOLEWARD_JOB_OF_A_KILLED_RUN", job_);
  other.setProcessEnvironment(surroundings);
  other.start(
      QApplication::applicationFilePath(),
      {"--gtest_also_run_disabled_tests", "--gtest_filter=Window.DISABLED_ChangesAJobAndIsKilled"});
  ASSERT_TRUE(other.waitForFinished(120000));
  ASSERT_EQ(other.exitStatus(), QProcess::CrashExit) << other.readAll().toStdString();
  EXPECT_TRUE(SameText(BytesOf(job_), demo_)) << "it had not saved";
  answer_ = 0;  // take it up
  Open();
  ASSERT_EQ(questions_.size(), 1);
  EXPECT_TRUE(questions_.last().contains("Unsaved work"));
  std::string expected = demo_;
  expected.replace(expected.find("tape = 84"), 9, "tape = 77");
  EXPECT_TRUE(SameText(window_->model().text(), expected));
  QTest::keyClick(window_.get(), Qt::Key_S, Qt::ControlModifier);
  EXPECT_TRUE(SameText(BytesOf(job_), expected));
  EXPECT_FALSE(QFileInfo::exists(folder_.filePath(".van.toml.unsaved")));
}

TEST_F(Window, RecentFilesStandInTheMenuTheLastOneFirst) {
  const QString other = folder_.filePath("other.toml");
  WriteBytes(other, demo_ + "# another\n");
  Open();
  ASSERT_TRUE(window_->Open(other));
  ASSERT_TRUE(window_->Open(job_));
  const QMenu* recent = nullptr;
  for (const QMenu* menu : window_->findChildren<QMenu*>()) {
    if (menu->title().contains("recent")) recent = menu;
  }
  ASSERT_NE(recent, nullptr);
  ASSERT_GE(recent->actions().size(), 2);
  EXPECT_TRUE(recent->actions()[0]->text().endsWith(job_));
  EXPECT_TRUE(recent->actions()[1]->text().endsWith(other));
  int same = 0;
  for (const QAction* action : recent->actions()) same += action->text().endsWith(job_);
  EXPECT_EQ(same, 1) << "opened twice, listed once";
  MenuKeys(window_.get(), "fr2");
  EXPECT_EQ(window_->model().path(), other.toStdString());
  // A window opened later offers them too.
  window_.reset();
  Show();
  MenuKeys(window_.get(), "fr2");
  EXPECT_EQ(window_->model().path(), job_.toStdString());
}

TEST_F(Window, SizeAndPartingOfTheWindowAreKept) {
  Open();
  window_->resize(1210, 777);
  auto& across = Find<QSplitter>("across");
  across.setSizes({500, 700});
  QTest::qWait(20);
  const QList<int> parted = across.sizes();
  EXPECT_TRUE(window_->close());
  window_ = std::make_unique<MainWindow>(ServicesOfProgram());
  window_->show();
  ASSERT_TRUE(QTest::qWaitForWindowExposed(window_.get()));
  EXPECT_EQ(window_->size(), QSize(1210, 777));
  EXPECT_EQ(Find<QSplitter>("across").sizes(), parted);
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
