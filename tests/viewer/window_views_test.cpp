// How the vehicle is looked at: parallel and in perspective, through the skin, datums under the
// pointer.
#include <QAction>
#include <QApplication>
#include <QImage>
#include <QLabel>
#include <QToolBar>
#include <array>
#include <cmath>
#include <set>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "tests/viewer/window_fixture.h"
#include "viewer/window/view_marker.h"
#include "viewer/window/view_widget.h"

namespace holeward {
namespace {

QImage FinePicture(MainWindow& window) {
  ViewWidget& view = window.view();
  EXPECT_TRUE(QTest::qWaitFor([&] { return view.scene().BodiesFine(); }, 60000));
  return view.grab().toImage();
}

double Apart(const QPoint& a, const QPoint& b) { return std::hypot(a.x() - b.x(), a.y() - b.y()); }

// In parallel a length is drawn as long wherever it stands; in perspective the nearer is longer.
// Seen from the left, A3 and A4 of the left arm are near, of the right arm as far apart and far.
TEST_F(Window, PerspectiveDrawsWhatIsNearerLargerAndGoesBack) {
  Open();
  QTest::keyClick(window_.get(), Qt::Key_5, Qt::ControlModifier);
  QTest::keyClick(window_.get(), Qt::Key_I, Qt::ControlModifier);  // both arms' marks are seen
  ViewWidget& view = window_->view();
  const auto length = [&](Side side) {
    const auto a = view.MarkOf({"A1", side});
    const auto b = view.MarkOf({"A4", side});
    return a && b ? Apart(*a, *b) : 0.0;
  };
  const QImage flat = FinePicture(*window_);
  ASSERT_GT(length(Side::left), 60.0);
  EXPECT_NEAR(length(Side::left), length(Side::right), 2.0);
  QTest::keyClick(window_.get(), Qt::Key_P, Qt::ControlModifier | Qt::ShiftModifier);
  const QImage deep = FinePicture(*window_);
  EXPECT_GT(length(Side::left), 1.1 * length(Side::right));
  EXPECT_NE(flat, deep);
  Screen("perspective");
  QTest::keyClick(window_.get(), Qt::Key_P, Qt::ControlModifier | Qt::ShiftModifier);
  EXPECT_EQ(FinePicture(*window_), flat);
}

// Seven buttons and seven keys: each pair shows the same, and no two pairs do.
TEST_F(Window, EveryViewHasAButtonAndAKey) {
  Open();
  auto& bar = Find<QToolBar>("views");
  std::vector<QImage> seen;
  for (int i = 0; i < 7; ++i) {
    QWidget* button = bar.widgetForAction(bar.actions().at(i));
    ASSERT_NE(button, nullptr);
    QTest::mouseClick(button, Qt::LeftButton);
    seen.push_back(FinePicture(*window_));
    for (int k = 0; k < i; ++k) EXPECT_NE(seen[static_cast<std::size_t>(k)], seen.back()) << k << i;
  }
  for (int i = 0; i < 7; ++i) {
    QTest::keyClick(window_.get(), static_cast<Qt::Key>(Qt::Key_1 + i), Qt::ControlModifier);
    EXPECT_EQ(FinePicture(*window_), seen[static_cast<std::size_t>(i)]) << i;
  }
}

/// How much of the picture is of the colour of inner bodies, or shows it through a skin.
int BrownPixels(const QImage& picture) {
  int brown = 0;
  for (int y = 0; y < picture.height(); ++y) {
    for (int x = 0; x < picture.width(); ++x) {
      const QRgb dot = picture.pixel(x, y);
      brown += qRed(dot) - qBlue(dot) > 15 && qRed(dot) > qGreen(dot) && qGreen(dot) > qBlue(dot);
    }
  }
  return brown;
}

TEST_F(Window, InnerBodiesAreSeenThroughTheWallOnDemand) {
  Open();
  QTest::keyClick(window_.get(), Qt::Key_1, Qt::ControlModifier);
  const int before = BrownPixels(FinePicture(*window_));
  QTest::keyClick(window_.get(), Qt::Key_I, Qt::ControlModifier);
  const int inside = BrownPixels(FinePicture(*window_));
  EXPECT_GT(inside, before + 2000);
  Screen("inside");
  QTest::keyClick(window_.get(), Qt::Key_I, Qt::ControlModifier);
  EXPECT_EQ(BrownPixels(FinePicture(*window_)), before);
}

TEST_F(Window, DatumsAreNamedWhenPointedAt) {
  Open();
  QTest::keyClick(window_.get(), Qt::Key_5, Qt::ControlModifier);
  ViewWidget& view = window_->view();
  const auto& words = Find<QLabel>("hover");
  std::set<std::string> named;
  for (int y = 4; y < view.height(); y += 5) {
    for (int x = 4; x < view.width(); x += 5) {
      QMouseEvent move(QEvent::MouseMove, QPointF(x, y), Qt::NoButton, Qt::NoButton,
                       Qt::NoModifier);
      QApplication::sendEvent(&view, &move);
      named.insert(words.text().toStdString());
    }
  }
  for (const char* datum :
       {"arm: front end", "arm: rear end", "arm: pivot eye", "", "arm: damper bracket"}) {
    EXPECT_EQ(named.count(datum), 1U) << datum;
  }
  // At the edge of the picture there is nothing to name.
  QMouseEvent away(QEvent::MouseMove, QPointF(view.width() - 2, 2), Qt::NoButton, Qt::NoButton,
                   Qt::NoModifier);
  QApplication::sendEvent(&view, &away);
  EXPECT_EQ(words.text().toStdString(), "");
}

// What faces the person is what is written at the vehicle seen straight on: from the right, RIGHT.
TEST(ViewMarker, NamesTheSideThatIsSeen) {
  const auto words = [](Look look) {
    Eye eye;
    eye.From(look);
    return MarkerWords(eye);
  };
  using Words = std::array<std::string, 2>;
  EXPECT_EQ(words(Look::left), (Words{"FRONT", "LEFT"}));
  EXPECT_EQ(words(Look::right), (Words{"FRONT", "RIGHT"}));
  EXPECT_EQ(words(Look::front), (Words{"FRONT", "LEFT"}));
  EXPECT_EQ(words(Look::rear), (Words{"REAR", "LEFT"}));
  for (const Look look : {Look::top, Look::underside, Look::three_quarter}) {
    EXPECT_EQ(words(look), (Words{"FRONT", "LEFT"}));
  }
}

}  // namespace
}  // namespace holeward
