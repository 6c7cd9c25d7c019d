// The picture: bodies, marks on them, points dragged and moved in it.
#include <QApplication>
#include <QImage>
#include <QMouseEvent>
#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <string>

#include <gtest/gtest.h>

#include "models/job_edit.h"
#include "tests/viewer/window_fixture.h"
#include "viewer/scene_shape.h"
#include "viewer/window/view_widget.h"

namespace holeward {
namespace {

TEST_F(Window, APointDraggedOnTheSkinChangesItsNumbersAlone) {
  Open();
  QTest::keyClick(window_.get(), Qt::Key_5, Qt::ControlModifier);  // from the left
  ViewWidget& view = window_->view();
  const auto mark = view.MarkOf({"A1", Side::left});
  ASSERT_TRUE(mark);
  QTest::mousePress(&view, Qt::LeftButton, {}, *mark);
  EXPECT_EQ(window_->model().chosen()->point, "A1");
  for (int i = 1; i <= 6; ++i) {
    QTest::mouseMove(&view, *mark + QPoint(4 * i, 0));
    QMouseEvent move(QEvent::MouseMove, *mark + QPoint(4 * i, 0), Qt::LeftButton, Qt::LeftButton,
                     Qt::NoModifier);
    QApplication::sendEvent(&view, &move);
    ASSERT_TRUE(WaitUpToDate());
  }
  QTest::mouseRelease(&view, Qt::LeftButton, {}, *mark + QPoint(24, 0));
  ASSERT_TRUE(WaitChecked());
  EXPECT_NE(TapeOfA1(), 84.0);
  std::string expected = demo_;
  expected.replace(expected.find("tape = 84"), 9, "tape = " + TomlNumber(TapeOfA1()));
  EXPECT_TRUE(SameText(window_->model().text(), expected));
  Screen("drag");
  QTest::keyClick(window_.get(), Qt::Key_Z, Qt::ControlModifier);
  EXPECT_TRUE(SameText(window_->model().text(), demo_)) << "a drag is one step back";
}

// The bodies kept while points move are the bodies as drawn: shifted, missing or from elsewhere
// they would differ at thousands of places.
TEST_F(Window, TheBodiesKeptWhilePointsMoveAreThoseThatAreDrawn) {
  Open();
  ViewWidget& view = window_->view();
  ASSERT_TRUE(QTest::qWaitFor([&] { return view.scene().BodiesFine(); }, 60000));
  view.Redraw();
  const QImage held = view.grab().toImage();
  view.scene().SeeInside(false);  // lets go of what is kept
  ASSERT_FALSE(view.scene().BodiesDrawn());
  view.Redraw();
  ASSERT_TRUE(QTest::qWaitFor([&] { return view.scene().BodiesFine(); }, 60000));
  const QImage drawn = view.grab().toImage();
  ASSERT_EQ(held.size(), drawn.size());
  // The picture fills the widget to its last pixel, on a screen of any fineness: plain ground
  // there.
  for (int x = 0; x < drawn.width(); ++x) {
    ASSERT_GT(qGreen(drawn.pixel(x, drawn.height() - 1)), 230) << "column " << x;
  }
  for (int y = 0; y < drawn.height(); ++y) {
    ASSERT_GT(qGreen(drawn.pixel(drawn.width() - 1, y)), 230) << "row " << y;
  }
  int apart = 0;
  int dark = 0;
  for (int y = 0; y < held.height(); ++y) {
    for (int x = 0; x < held.width(); ++x) {
      const QRgb a = held.pixel(x, y);
      const QRgb b = drawn.pixel(x, y);
      const int off = std::max({std::abs(qRed(a) - qRed(b)), std::abs(qGreen(a) - qGreen(b)),
                                std::abs(qBlue(a) - qBlue(b))});
      if (off > 64) ++apart;
      if (qGreen(b) < 235) ++dark;
    }
  }
  EXPECT_GT(dark, 5000) << "nothing was drawn";
  EXPECT_EQ(apart, 0);
}

// Marks are laid over the picture by a projection of their own: the skin picked under a mark is
// where its point is, within what a pixel covers.
TEST_F(Window, AMarkStandsOnTheSkinWhereItsPointIs) {
  Open();
  ViewScene& scene = window_->view().scene();
  const auto& sides = window_->model().state()->sides;
  int seen = 0;
  for (const bool perspective : {false, true}) {
    scene.Perspective(perspective);
    for (const Look look : {Look::left, Look::three_quarter, Look::underside}) {
      window_->view().From(look);
      for (const ShapePoint& point : PointsOf(*window_->model().state())) {
        const auto mark = scene.MarkOf({point.name, point.side});
        const auto skin = mark ? scene.SkinAt(mark->x(), mark->y()) : std::nullopt;
        // Seen nearly edge on, a pixel covers a long way of the skin.
        if (!mark || point.normal.dot(window_->view().scene().eye.Toward()) < 0.3) continue;
        ASSERT_TRUE(skin) << point.name;
        EXPECT_LT((skin->position - point.position).norm(), 3.0) << point.name;
        ++seen;
      }
    }
  }
  EXPECT_EQ(sides.size(), 2U);
  EXPECT_GT(seen, 12);
}

// From the left the left arm stands before the right one: points on the near face of that are
// turned to the eye and yet not seen. Neither mark nor click finds them; chosen in the list they
// are drawn as an outline.
TEST_F(Window, APointBehindAPartIsNotDrawnAsIfInFront) {
  Open();
  ViewWidget& view = window_->view();
  ViewScene& scene = view.scene();
  int hidden = 0;
  for (const Look look :
       {Look::left, Look::right, Look::rear, Look::front, Look::underside, Look::three_quarter}) {
    view.From(look);
    for (const ShapePoint& point : PointsOf(*window_->model().state())) {
      const bool turned_here = point.normal.dot(scene.eye.Toward()) > 0.3;
      if (!turned_here || scene.MarkOf({point.name, point.side})) continue;
      ++hidden;
      scene.SeeInside(true);
      const auto through = scene.MarkOf({point.name, point.side});
      scene.SeeInside(false);
      if (!through) continue;  // a fitting or a neighbour stands there, which is never seen through
      const auto skin = scene.SkinAt(through->x(), through->y());
      ASSERT_TRUE(skin) << point.name;
      EXPECT_GT((skin->position - point.position).dot(scene.eye.Toward()), 1.0) << point.name;
      const auto hit = scene.PointAt(through->x(), through->y());
      EXPECT_TRUE(!hit || !(*hit == ChosenPoint{point.name, point.side})) << point.name;
    }
  }
  EXPECT_GE(hidden, 2);
  QTest::keyClick(window_.get(), Qt::Key_6, Qt::ControlModifier);  // from the right
  ChooseRow("T3", "left");
  Screen("behind");
}

TEST_F(Window, AChosenPointIsMovedByKeys) {
  Open();
  ChooseRow("A1", "left");
  QTest::keyClick(window_.get(), Qt::Key_5, Qt::ControlModifier);  // from the left: front is left
  ViewWidget& view = window_->view();
  view.setFocus();
  const Vec3 before = window_->model().state()->Placed(0, "A1")->position;
  QTest::keyClick(&view, Qt::Key_Left, Qt::AltModifier | Qt::ShiftModifier);
  ASSERT_TRUE(WaitUpToDate());
  const Vec3 far = window_->model().state()->Placed(0, "A1")->position;
  EXPECT_NEAR((far - before).norm(), 10.0, 0.5);  // numbers of a rule go by half millimetres
  EXPECT_GT(far.x(), before.x() + 9.0);
  QTest::keyClick(&view, Qt::Key_Right, Qt::AltModifier);
  ASSERT_TRUE(WaitUpToDate());
  const Vec3 back = window_->model().state()->Placed(0, "A1")->position;
  EXPECT_NEAR((back - far).norm(), 1.0, 0.5);
  EXPECT_LT(back.x(), far.x());
}

TEST_F(Window, AChosenPointIsMovedByTenthsToo) {
  Open();
  ChooseRow("A1", "left");
  QTest::keyClick(window_.get(), Qt::Key_5, Qt::ControlModifier);
  ViewWidget& view = window_->view();
  view.setFocus();
  QTest::keyClick(&view, Qt::Key_Left, Qt::ControlModifier);
  ASSERT_TRUE(WaitUpToDate());
  EXPECT_NEAR(std::abs(TapeOfA1() - 84.0), 0.1, 1e-9);
  QTest::keyClick(&view, Qt::Key_Right, Qt::ControlModifier);
  ASSERT_TRUE(WaitUpToDate());
  EXPECT_DOUBLE_EQ(TapeOfA1(), 84.0);
  EXPECT_TRUE(SameText(window_->model().text(), demo_));
}

}  // namespace
}  // namespace holeward
