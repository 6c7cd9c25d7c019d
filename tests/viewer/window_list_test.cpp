// The list of points, and the way from one point to the next.
#include <QComboBox>
#include <QLabel>
#include <QLineEdit>
#include <QTableWidget>
#include <string>

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
