// The list of points, and the way from one point to the next.
#include <QComboBox>
#include <QHeaderView>
#include <QLabel>
#include <QLineEdit>
#include <QTableWidget>
#include <algorithm>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "tests/viewer/window_fixture.h"
#include "viewer/window/list_panel.h"

namespace holeward {
namespace {

TEST_F(Window, ListsEveryPointOfBothSidesWithItsVerdict) {
  Open();
  auto& table = Find<QTableWidget>("points");
  EXPECT_EQ(table.rowCount(), 20);
  for (int i = 0; i < table.rowCount(); ++i) {
    const QString verdict = table.item(i, 2)->text();
    EXPECT_TRUE(verdict.contains("clear") || verdict.contains("mark only"))
        << verdict.toStdString();
  }
  EXPECT_EQ(Find<QLabel>("verdict").text().toStdString(), "Over all: clear");
  QTest::keyClicks(&Find<QLineEdit>("filter"), "bottom right");
  EXPECT_LT(table.rowCount(), 8);
  EXPECT_GT(table.rowCount(), 0);
  Screen("list");
}

/// The worst margins in the order of the list, of the points that have one.
std::vector<double> MarginsOf(const QTableWidget& table) {
  std::vector<double> margins;
  for (int i = 0; i < table.rowCount(); ++i) {
    bool is_number = false;
    const double margin = table.item(i, 3)->text().toDouble(&is_number);
    if (is_number) margins.push_back(margin);
  }
  return margins;
}

TEST_F(Window, AClickOnAHeadSortsTheListAndAnotherTurnsItRound) {
  Open();
  auto& table = Find<QTableWidget>("points");
  QHeaderView* head = table.horizontalHeader();
  const auto click = [&](int column) {
    const QPoint at(head->sectionViewportPosition(column) + 8, head->height() / 2);
    QTest::mouseClick(head->viewport(), Qt::LeftButton, Qt::NoModifier, at);
  };
  click(3);
  const std::vector<double> rising = MarginsOf(table);
  ASSERT_GE(rising.size(), 8U);
  EXPECT_LT(rising.front(), rising.back());
  EXPECT_TRUE(std::is_sorted(rising.begin(), rising.end()));
  click(3);
  const std::vector<double> falling = MarginsOf(table);
  EXPECT_EQ(falling.size(), rising.size());
  EXPECT_TRUE(std::is_sorted(falling.rbegin(), falling.rend()));
  // The same by keys: the columns in turn, and the order turned round.
  QTest::keyClick(window_.get(), Qt::Key_F4, Qt::ShiftModifier);
  EXPECT_EQ(MarginsOf(table), rising);
  for (int column = 3; column < table.columnCount(); ++column) {
    QTest::keyClick(window_.get(), Qt::Key_F4);
  }
  for (int i = 1; i < table.rowCount(); ++i) {
    EXPECT_LE(table.item(i - 1, 0)->text(), table.item(i, 0)->text());
  }
  click(1);
  click(0);
  for (int i = 1; i < table.rowCount(); ++i) {
    EXPECT_LE(table.item(i - 1, 0)->text(), table.item(i, 0)->text());
  }
}

TEST_F(Window, APointThatIsAddedIsInTheListWhateverWasFiltered) {
  Open();
  QTest::keyClicks(&Find<QLineEdit>("filter"), "T4");
  auto& table = Find<QTableWidget>("points");
  ASSERT_EQ(table.rowCount(), 2);
  QTest::keyClick(window_.get(), Qt::Key_N, Qt::ControlModifier | Qt::ShiftModifier);
  ASSERT_TRUE(WaitChecked());
  EXPECT_EQ(Find<QLineEdit>("filter").text().toStdString(), "");
  EXPECT_EQ(table.rowCount(), 22);
  ASSERT_GE(table.currentRow(), 0);
  EXPECT_EQ(table.item(table.currentRow(), 0)->text().toStdString(),
            window_->model().chosen()->point);
}

// While a change is worked out, no row shows the verdict of before it.
TEST(ListPanel, OutOfDateSaysNoVerdict) {
  ListPanel list;
  ListRow row;
  row.id = {"A1", Side::left};
  row.judged = Verdict::clear;
  row.verdict = "clear";
  row.margin = 12.3;
  list.Show({row}, std::nullopt, false);
  const auto* table = list.findChild<QTableWidget*>("points");
  EXPECT_TRUE(table->item(0, 2)->text().contains("clear"));
  EXPECT_EQ(table->item(0, 3)->text().toStdString(), "12.3");
  list.ShowOutOfDate();
  EXPECT_EQ(table->item(0, 2)->text().toStdString(), "working it out");
  EXPECT_EQ(table->item(0, 3)->text().toStdString(), "");
}

}  // namespace
}  // namespace holeward
