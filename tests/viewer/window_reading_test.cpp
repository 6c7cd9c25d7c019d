// Reading between two places, and the section at a hole.
#include <QComboBox>
#include <QLabel>
#include <QLineEdit>
#include <QStatusBar>
#include <string>

#include <gtest/gtest.h>

#include "tests/viewer/window_fixture.h"

namespace holeward {
namespace {

TEST_F(Window, PlacesToReadBetweenAreWrittenByKeys) {
  Open();
  QTest::keyClick(window_.get(), Qt::Key_5, Qt::AltModifier);
  auto& ground = Find<QComboBox>("reading part");
  ASSERT_TRUE(ground.hasFocus());
  QTest::keyClicks(&ground, "tube");
  ASSERT_TRUE(ground.currentText().startsWith("tube")) << ground.currentText().toStdString();
  QTest::keyClick(&ground, Qt::Key_Tab);
  auto* from = Find<QComboBox>("reading from").lineEdit();
  ASSERT_TRUE(from->hasFocus());
  QTest::keyClicks(from, "K");
  QTest::keyClick(from, Qt::Key_Tab);
  auto* to = Find<QComboBox>("reading to").lineEdit();
  ASSERT_TRUE(to->hasFocus());
  QTest::keyClicks(to, "T1");
  QTest::keyClick(to, Qt::Key_Return);
  const auto& result = Find<QLabel>("reading result");
  EXPECT_TRUE(result.text().contains("tape 20.0 mm")) << result.text().toStdString();
  Screen("written-reading");
  to->selectAll();
  QTest::keyClicks(to, "50 nowhere");
  QTest::keyClick(to, Qt::Key_Return);
  EXPECT_TRUE(result.text().contains("is no place of tube")) << result.text().toStdString();
  to->selectAll();
  QTest::keyClicks(to, "50 bottom");
  QTest::keyClick(to, Qt::Key_Return);
  EXPECT_TRUE(result.text().contains("to station 50.0 mm")) << result.text().toStdString();
}

TEST_F(Window, ReadingBeginsOnThePartOfTheChosenPoint) {
  Open();
  ChooseRow("T4", "left");
  QTest::keyClick(window_.get(), Qt::Key_5, Qt::AltModifier);
  const auto& ground = Find<QComboBox>("reading part");
  EXPECT_TRUE(ground.currentText().startsWith("tube")) << ground.currentText().toStdString();
  auto* from = Find<QComboBox>("reading from").lineEdit();
  QTest::keyClicks(from, "K");
  QTest::keyClick(from, Qt::Key_Return);
  ChooseRow("A1", "left");
  EXPECT_TRUE(ground.currentText().startsWith("tube")) << "what is written stays on its part";
}

TEST_F(Window, ReadsBetweenTwoPointsByTapeAndRule) {
  Open();
  ChooseRow("K", "left");
  QTest::keyClick(window_.get(), Qt::Key_R, Qt::ControlModifier);  // begins at the chosen point
  EXPECT_TRUE(window_->statusBar()->currentMessage().contains("station"))
      << window_->statusBar()->currentMessage().toStdString();
  ChooseRow("T1", "left");
  const QString read = window_->statusBar()->currentMessage();
  // T1 is placed 20 mm by tape from K.
  EXPECT_TRUE(read.contains("tape 20.0 mm")) << read.toStdString();
  Screen("reading");
}

}  // namespace
}  // namespace holeward
