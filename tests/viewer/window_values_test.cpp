// Values typed into a form: placed, checked, undone, saved; what is wrong told where it stands.
#include <QApplication>
#include <QComboBox>
#include <QLabel>
#include <QLineEdit>
#include <QMenu>
#include <QPlainTextEdit>
#include <QPushButton>
#include <algorithm>
#include <cstdio>
#include <string>

#include <gtest/gtest.h>

#include "tests/viewer/window_fixture.h"
#include "viewer/window/view_widget.h"

namespace holeward {
namespace {

TEST_F(Window, AValueTypedIsPlacedCheckedUndoneAndSavedAloneInTheFile) {
  Open();
  ChooseRow("A1", "left");
  ASSERT_TRUE(window_->model().chosen());
  EXPECT_EQ(window_->model().chosen()->point, "A1");
  auto& tape = Find<QLineEdit>("field rule 1: tape");
  EXPECT_EQ(tape.text().toStdString(), "84");
  const Vec3 before = window_->model().state()->Placed(0, "A1")->position;
  tape.setFocus();
  tape.selectAll();
  QTest::keyClicks(&tape, "91.5");
  ASSERT_TRUE(WaitUpToDate());
  const Vec3 after = window_->model().state()->Placed(0, "A1")->position;
  EXPECT_NEAR((after - before).norm(), 7.5, 0.2);  // along the part, by tape
  QTest::keyClick(&tape, Qt::Key_Return);
  ASSERT_TRUE(WaitChecked());
  ASSERT_TRUE(QTest::qWaitFor([&] { return window_->checked_ms() > 0.0; }, 60000));
  Screen("values");
  std::printf("edit to drawn %.1f ms, to checked %.1f ms, frame %.1f ms, turned %.1f ms\n",
              window_->drawn_ms(), window_->checked_ms(), window_->view().frame_ms(),
              window_->view().turned_ms());

  // From within the line: the window's undo, not the line's own.
  ASSERT_TRUE(tape.hasFocus());
  QTest::keyClick(&tape, Qt::Key_Z, Qt::ControlModifier);
  ASSERT_TRUE(WaitUpToDate());
  EXPECT_TRUE(SameText(window_->model().text(), demo_));
  EXPECT_EQ(tape.text().toStdString(), "84");
  QTest::keyClick(&tape, Qt::Key_Z, Qt::ControlModifier | Qt::ShiftModifier);
  ASSERT_TRUE(WaitUpToDate());
  EXPECT_EQ(tape.text().toStdString(), "91.5");

  QTest::keyClick(window_.get(), Qt::Key_S, Qt::ControlModifier);
  std::string expected = demo_;
  const auto at = expected.find("tape = 84");
  expected.replace(at, 9, "tape = 91.5");
  EXPECT_TRUE(SameText(BytesOf(job_), expected));
  ASSERT_TRUE(window_->Open(job_));
  ASSERT_TRUE(WaitChecked());
  EXPECT_DOUBLE_EQ(TapeOfA1(), 91.5);
}

TEST_F(Window, WhatTheReaderSaysStandsAtItsField) {
  Open();
  ChooseRow("A1", "left");
  auto& tape = Find<QLineEdit>("field rule 1: tape");
  tape.setFocus();
  tape.selectAll();
  QTest::keyClicks(&tape, "-5");
  ASSERT_TRUE(WaitUpToDate());
  const auto& fault = Find<QLabel>("fault rule 1: tape");
  EXPECT_TRUE(fault.isVisible());
  EXPECT_TRUE(fault.text().contains("-5")) << fault.text().toStdString();
  EXPECT_TRUE(Find<QComboBox>("table").currentText().contains("error"));
  Screen("fault");
  tape.selectAll();
  QTest::keyClicks(&tape, "84");
  ASSERT_TRUE(WaitUpToDate());
  EXPECT_FALSE(fault.isVisible());
  EXPECT_FALSE(Find<QComboBox>("table").currentText().contains("error"));
}

TEST_F(Window, AnAnswerHalfWrittenIsSavedToo) {
  Open();
  ChooseRow("A1", "left");
  auto& name = Find<QLineEdit>("field name");
  name.setFocus();
  name.selectAll();
  QTest::keyClicks(&name, "A9");
  QTest::keyClick(&name, Qt::Key_S, Qt::ControlModifier);
  const std::string saved = BytesOf(job_);
  EXPECT_NE(saved.find("name = \"A9\""), std::string::npos);
  EXPECT_EQ(saved.find("name = \"A1\""), std::string::npos);
}

TEST_F(Window, AMethodChosenRewritesTheMeasureAndItsForm) {
  Open();
  ChooseRow("A1", "left");
  auto& method = Find<QComboBox>("field rule 1: method");
  method.setFocus();
  QTest::keyClick(&method, Qt::Key_Down);  // from tape to rule
  ASSERT_TRUE(WaitChecked());
  EXPECT_EQ(window_->model().state()->job.points.front().rule[0].method, Method::rule);
  QTest::qWait(20);
  EXPECT_EQ(Find<QLineEdit>("field rule 1: rule").text().toStdString(), "84");
}

TEST_F(Window, ANewJobIsMadeOfNothingButForms) {
  window_ = std::make_unique<MainWindow>(ServicesOfProgram());
  window_->resize(1360, 860);
  window_->show();
  ASSERT_TRUE(QTest::qWaitForWindowExposed(window_.get()));
  EXPECT_TRUE(Find<QLabel>("verdict").text().contains("No job is open"));
  ASSERT_TRUE(window_->NewJob("", folder_.filePath("new.toml")));
  ASSERT_TRUE(WaitChecked());
  const auto add = [&](const char* what) {
    for (QAction* action : Find<QPushButton>("add").menu()->actions()) {
      if (QString(action->text()).remove('&') == what) action->trigger();
    }
    EXPECT_TRUE(WaitChecked());
  };
  add("Part");
  add("Fitting on this part");
  add("Inner body in this part");
  add("Point");
  const JobState& state = *window_->model().state();
  EXPECT_EQ(state.errors.size(), 0U) << state.errors.front().message;
  ASSERT_EQ(state.job.parts.size(), 1U);
  EXPECT_EQ(state.job.parts[0].fittings.size(), 1U);
  EXPECT_EQ(state.job.parts[0].inner.size(), 1U);
  EXPECT_EQ(state.job.points.size(), 1U);
  EXPECT_TRUE(window_->Save());
  Screen("new");
}

TEST_F(Window, AnAddedPointCanBeCopiedAndDeletedAndTheTextComesBack) {
  Open();
  QTest::keyClick(window_.get(), Qt::Key_N, Qt::ControlModifier | Qt::ShiftModifier);
  ASSERT_TRUE(WaitChecked());
  EXPECT_EQ(window_->model().state()->job.points.size(), 11U);
  EXPECT_TRUE(window_->model().state()->errors.empty())
      << window_->model().state()->errors.front().message;
  QTest::keyClick(window_.get(), Qt::Key_D, Qt::ControlModifier);
  ASSERT_TRUE(WaitUpToDate());
  EXPECT_EQ(window_->model().state()->job.points.size(), 12U);
  QTest::keyClick(window_.get(), Qt::Key_Delete, Qt::ControlModifier);
  ASSERT_TRUE(WaitUpToDate());
  EXPECT_EQ(window_->model().state()->job.points.size(), 11U);
  for (int i = 0; i < 3; ++i) QTest::keyClick(window_.get(), Qt::Key_Z, Qt::ControlModifier);
  EXPECT_TRUE(SameText(window_->model().text(), demo_));
}

// A place is typed coordinate by coordinate, an error both ways or each way apart; no brackets, no
// braces.
TEST_F(Window, ValuesOfSeveralPiecesHaveALineForEach) {
  Open();
  const auto show = [&](const QString& title) {
    auto& table = Find<QComboBox>("table");
    for (int i = 0; i < table.count(); ++i) {
      if (table.itemText(i).trimmed() != title) continue;
      table.setCurrentIndex(i);
      emit table.activated(i);
      return;
    }
    FAIL() << "no table " << title.toStdString();
  };
  const auto type = [&](const char* field, const char* words) {
    auto& line = Find<QLineEdit>(field);
    line.setFocus();
    line.selectAll();
    QTest::keyClicks(&line, words);
    QTest::keyClick(&line, Qt::Key_Return);
    ASSERT_TRUE(WaitUpToDate());
    QTest::qWait(1);
  };
  show("marking");
  const auto& whole = Find<QLineEdit>("field tilt: both ways");
  type("field tilt: minus", "3");
  EXPECT_NE(window_->model().text().find("minus = 3, plus = "), std::string::npos);
  EXPECT_EQ(whole.text().toStdString(), "");
  type("field tilt: both ways", "4.5");
  EXPECT_DOUBLE_EQ(window_->model().state()->job.marking.tilt_rad.minus, 4.5 * kPi / 180.0);
  EXPECT_EQ(Find<QLineEdit>("field tilt: minus").text().toStdString(), "");
  EXPECT_EQ(Find<QLineEdit>("field tilt: plus").text().toStdString(), "");
  show("section 2");
  EXPECT_EQ(Find<QLineEdit>("field centre: x").text().toStdString(), "-152");
  type("field centre: z", "258.5");
  EXPECT_NE(window_->model().text().find("[-152, 512, 258.5]"), std::string::npos);
  Screen("pieces");
  show("neighbour brake hose");
  EXPECT_EQ(Find<QPlainTextEdit>("field path").toPlainText().count('['), 0);
}

TEST_F(Window, NamesAreChosenFromWhatTheJobHas) {
  Open();
  auto& table = Find<QComboBox>("table");
  const int at = table.findText("template tube wrap");
  ASSERT_GE(at, 0);
  table.setCurrentIndex(at);
  emit table.activated(at);
  auto& part = Find<QComboBox>("field part");
  EXPECT_GE(part.findText("arm"), 0);
  EXPECT_GE(part.findText("tube"), 0);
  auto& points = Find<QLineEdit>("field points");
  QMenu* menu = Find<QPushButton>("choose points").menu();
  emit menu->aboutToShow();
  QStringList names;
  for (const QAction* action : menu->actions()) names << action->text();
  EXPECT_TRUE(names.contains("T3")) << names.join(" ").toStdString();
  EXPECT_FALSE(names.contains("A3")) << "a point of another part";
  for (QAction* action : menu->actions()) {
    if (action->text() == "T3") action->setChecked(!action->isChecked());
  }
  ASSERT_TRUE(WaitUpToDate());
  const auto& row = window_->model().state()->job.templates;
  const auto wrap = std::find_if(row.begin(), row.end(),
                                 [](const TemplateRow& t) { return t.name == "tube wrap"; });
  ASSERT_NE(wrap, row.end());
  EXPECT_EQ(points.text().contains("T3"),
            std::count(wrap->points.begin(), wrap->points.end(), "T3") == 1);
  EXPECT_FALSE(points.text().contains('['));
  EXPECT_TRUE(window_->model().modified());
  Screen("names");
}

}  // namespace
}  // namespace holeward
