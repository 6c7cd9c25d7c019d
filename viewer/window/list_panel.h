// The list of points: what each is placed by, where it lies, what is proven of it.
#pragma once

#include <QWidget>
#include <functional>

#include "viewer/window_model.h"

class QLabel;
class QLineEdit;
class QTableWidget;

namespace holeward {

class ListPanel : public QWidget {
 public:
  explicit ListPanel(QWidget* parent = nullptr);

  /// Shows rows as they are sorted and filtered.
  void Show(const std::vector<ListRow>& rows, const std::optional<ChosenPoint>& chosen,
            bool inches);
  /// What the rows say of verdicts is of before the last change, until Show.
  void ShowOutOfDate();
  void FocusFilter();
  /// Sorts by the column after the one it is sorted by, or turns the order round.
  void SortByNext();
  void TurnOrder();
  /// Every row again, as for a point that was just added.
  void ClearFilter();

  std::function<void(const std::optional<ChosenPoint>&)> on_choose;
  std::function<void(const QString&)> on_filter;
  std::function<void(ListColumn, bool falling)> on_sort;

 private:
  void SortBy(int column, bool falling);

  QLineEdit* filter_;
  QTableWidget* table_;
  QLabel* why_;  ///< why the chosen point is no better
  std::vector<ListRow> rows_;
  bool filling_ = false;
  int sorted_ = -1;
  bool falling_ = false;
};

}  // namespace holeward
