// The section at a hole: its depth and its plane, by mouse and by keys.
#include <QComboBox>
#include <QImage>
#include <QLabel>
#include <QMouseEvent>
#include <QSlider>
#include <QStatusBar>
#include <QTabWidget>
#include <string>

#include <gtest/gtest.h>

#include "tests/viewer/window_dialogs.h"
#include "tests/viewer/window_fixture.h"

namespace holeward {
namespace {

TEST_F(Window, ShowsTheSectionOfADrillPointAtAnyDepth) {
  Open();
  ChooseRow("T3", "left");
  auto& tabs = Find<QTabWidget>("tabs");
  tabs.setCurrentIndex(1);
  QTest::qWait(50);
  auto& depth = Find<QSlider>("depth");
  EXPECT_EQ(depth.value(), 75);  // the pilot's stop, 7.5 mm
  EXPECT_TRUE(Find<QLabel>("section-now").text().contains("tip at 7.5 mm"));
  depth.setValue(450);
  EXPECT_TRUE(Find<QLabel>("section-now").text().contains("torsion bar"))
      << Find<QLabel>("section-now").text().toStdString();
  Screen("section");
}

TEST_F(Window, TheSectionIsTurnedAndTheDrillPushedByKeys) {
  Open();
  ChooseRow("T3", "left");
  const auto key = [&](int which, Qt::KeyboardModifiers with = {}) {
    QTest::keyClick(window_.get(), Qt::Key(which), with);
  };
  key(Qt::Key_F7);
  EXPECT_EQ(Find<QTabWidget>("tabs").currentIndex(), 1) << "the section is shown";
  const auto& turn = Find<QSlider>("turn");
  const auto& depth = Find<QSlider>("depth");
  EXPECT_EQ(turn.value(), 5);
  auto& picture = Find<QWidget>("section-picture");
  const QImage before = picture.grab().toImage();
  key(Qt::Key_F7, Qt::ControlModifier);
  EXPECT_EQ(turn.value(), -85) << "half a turn is the same plane";
  EXPECT_NE(picture.grab().toImage(), before);
  key(Qt::Key_F7, Qt::ControlModifier);
  key(Qt::Key_F7, Qt::ShiftModifier);
  key(Qt::Key_F7, Qt::ShiftModifier);
  EXPECT_EQ(turn.value(), -5);
  EXPECT_EQ(depth.value(), 75);  // tenths of a mm: the pilot's stop
  key(Qt::Key_F9);
  EXPECT_EQ(depth.value(), 80);
  key(Qt::Key_F9, Qt::ShiftModifier);
  key(Qt::Key_F9, Qt::ShiftModifier);
  EXPECT_EQ(depth.value(), 70);
  EXPECT_TRUE(Find<QLabel>("section-now").text().contains("tip at 7.0 mm"));
  key(Qt::Key_F9, Qt::ControlModifier);
  EXPECT_EQ(depth.value(), 75);
  key(Qt::Key_F3);
  EXPECT_TRUE(Find<QLabel>("section-now").text().contains("tip at"));
  EXPECT_NE(depth.value(), 75) << "the stop of the second stage is another";
  MenuKeys(window_.get(), "sl");
  EXPECT_EQ(turn.value(), -10);
}

TEST_F(Window, TheSectionItselfTakesArrowKeysAndTheMouse) {
  Open();
  ChooseRow("T3", "left");
  Find<QTabWidget>("tabs").setCurrentIndex(1);
  QTest::qWait(50);
  auto& picture = Find<QWidget>("section-picture");
  const auto& turn = Find<QSlider>("turn");
  const auto& depth = Find<QSlider>("depth");
  picture.setFocus();
  QTest::keyClick(&picture, Qt::Key_Right);
  QTest::keyClick(&picture, Qt::Key_Right, Qt::ShiftModifier);
  EXPECT_EQ(turn.value(), 6);
  QTest::keyClick(&picture, Qt::Key_Down);
  QTest::keyClick(&picture, Qt::Key_Down, Qt::ShiftModifier);
  EXPECT_EQ(depth.value(), 81);
  QTest::mousePress(&picture, Qt::LeftButton, Qt::ShiftModifier, {100, 100});
  QMouseEvent move(QEvent::MouseMove, QPointF(130, 100), Qt::LeftButton, Qt::LeftButton,
                   Qt::ShiftModifier);
  QApplication::sendEvent(&picture, &move);
  QTest::mouseRelease(&picture, Qt::LeftButton, Qt::ShiftModifier, {130, 100});
  EXPECT_EQ(turn.value(), 23);  // 0.01 radians a pixel
  Screen("section-turned");
}

TEST_F(Window, TheSectionsKeysSayWhatTheyNeed) {
  Open();
  ChooseRow("K", "left");
  QTest::keyClick(window_.get(), Qt::Key_F7);
  EXPECT_EQ(Find<QTabWidget>("tabs").currentIndex(), 0);
  EXPECT_TRUE(window_->statusBar()->currentMessage().contains("drilled"))
      << window_->statusBar()->currentMessage().toStdString();
}

}  // namespace
}  // namespace holeward
