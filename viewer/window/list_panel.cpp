#include "viewer/window/list_panel.h"

#include <QHeaderView>
#include <QLabel>
#include <QLineEdit>
#include <QTableWidget>
#include <QVBoxLayout>
#include <algorithm>
#include <cmath>

namespace holeward {
namespace {

constexpr int kColumns = 6;
constexpr int kVerdict = 2;
constexpr int kMargin = 3;
constexpr int kRule = 4;

/// The shape that stands for a verdict in the picture as well.
QString Sign(const ListRow& row) {
  if (!row.judged) return row.use == PointUse::reference ? "+" : " ";
  switch (*row.judged) {
    case Verdict::clear: return QString::fromUtf8("\u25CB");
    case Verdict::tight: return QString::fromUtf8("\u25B3");
    case Verdict::unproven: return QString::fromUtf8("\u25A1");
    case Verdict::contact: return QString::fromUtf8("\u2297");
  }
  return " ";
}

/// A margin never shown better than it is.
QString MarginText(const ListRow& row, bool inches) {
  if (!row.margin) return row.free ? "nothing met" : "";
  return inches ? QString::number(std::floor(*row.margin / kInch * 1000.0) / 1000.0, 'f', 3)
                : QString::number(std::floor(*row.margin * 10.0) / 10.0, 'f', 1);
}

/// Why a row's verdict is no better, a line a reason.
QString Reasons(const ListRow& row) {
  QStringList lines;
  for (const std::string& reason : row.reasons) lines << QString::fromStdString(reason);
  return lines.join("\n");
}

}  // namespace

ListPanel::ListPanel(QWidget* parent)
    : QWidget(parent),
      filter_(new QLineEdit(this)),
      table_(new QTableWidget(0, kColumns, this)),
      why_(new QLabel(this)) {
  filter_->setPlaceholderText("Show only rows with these words (Ctrl+F)");
  filter_->setClearButtonEnabled(true);
  filter_->setObjectName("filter");
  filter_->setAccessibleName("Filter of the list");
  table_->setObjectName("points");
  table_->setAccessibleName("Points");
  table_->setSelectionBehavior(QAbstractItemView::SelectRows);
  table_->setSelectionMode(QAbstractItemView::SingleSelection);
  table_->setEditTriggers(QAbstractItemView::NoEditTriggers);
  table_->setAlternatingRowColors(true);
  table_->setTabKeyNavigation(false);
  table_->setWordWrap(false);
  table_->verticalHeader()->hide();
  table_->verticalHeader()->setDefaultSectionSize(fontMetrics().height() + 8);
  table_->horizontalHeader()->setHighlightSections(false);
  table_->horizontalHeader()->setSectionsClickable(true);
  auto* layout = new QVBoxLayout(this);
  layout->setContentsMargins(6, 6, 6, 2);
  layout->addWidget(filter_);
  layout->addWidget(table_);
  layout->addWidget(why_);
  why_->setObjectName("why");
  why_->setWordWrap(true);
  why_->hide();
  connect(filter_, &QLineEdit::textChanged, this, [this](const QString& text) {
    if (on_filter) on_filter(text);
  });
  connect(table_, &QTableWidget::itemSelectionChanged, this, [this] {
    if (filling_ || !on_choose) return;
    const int row = table_->currentRow();
    const bool any = row >= 0 && static_cast<std::size_t>(row) < rows_.size();
    if (any) on_choose(rows_[static_cast<std::size_t>(row)].id);
  });
  connect(table_->horizontalHeader(), &QHeaderView::sectionClicked, this,
          [this](int column) { SortBy(column, sorted_ == column && !falling_); });
}

void ListPanel::SortBy(int column, bool falling) {
  static constexpr ListColumn kBy[] = {ListColumn::name,   ListColumn::side, ListColumn::verdict,
                                       ListColumn::margin, ListColumn::rule, ListColumn::position};
  falling_ = falling;
  sorted_ = column;
  table_->horizontalHeader()->setSortIndicatorShown(true);
  table_->horizontalHeader()->setSortIndicator(column,
                                               falling_ ? Qt::DescendingOrder : Qt::AscendingOrder);
  if (on_sort) on_sort(kBy[column], falling_);
}

void ListPanel::SortByNext() { SortBy((sorted_ + 1) % table_->columnCount(), false); }

void ListPanel::TurnOrder() { SortBy(std::max(sorted_, 0), !falling_); }

void ListPanel::FocusFilter() {
  filter_->setFocus();
  filter_->selectAll();
}

void ListPanel::ClearFilter() { filter_->clear(); }

void ListPanel::ShowOutOfDate() {
  for (int i = 0; i < table_->rowCount(); ++i) {
    table_->item(i, kVerdict)->setText("working it out");
    table_->item(i, kMargin)->setText("");
  }
  why_->hide();
}

void ListPanel::Show(const std::vector<ListRow>& rows, const std::optional<ChosenPoint>& chosen,
                     bool inches) {
  filling_ = true;
  const bool first = rows_.empty();
  rows_ = rows;
  const QString unit = inches ? "in" : "mm";
  table_->setHorizontalHeaderLabels(
      {"Point", "Side", "Verdict", "Worst margin " + unit, "Rule", "x, y, z " + unit});
  table_->setRowCount(static_cast<int>(rows.size()));
  int selected = -1;
  for (int i = 0; i < static_cast<int>(rows.size()); ++i) {
    const ListRow& row = rows[static_cast<std::size_t>(i)];
    const QString texts[kColumns] = {QString::fromStdString(row.id.point),
                                     WordOf(row.id.side),
                                     Sign(row) + " " + QString::fromStdString(row.verdict),
                                     MarginText(row, inches),
                                     QString::fromStdString(row.rule),
                                     QString::fromStdString(row.position)};
    for (int column = 0; column < kColumns; ++column) {
      QTableWidgetItem* item = table_->item(i, column);
      if (item == nullptr) table_->setItem(i, column, item = new QTableWidgetItem);
      item->setText(texts[column]);
      if (column == kRule) item->setToolTip(texts[column]);
      if (column == kVerdict) item->setToolTip(Reasons(row));
      if (column == kMargin) item->setTextAlignment(Qt::AlignRight | Qt::AlignVCenter);
    }
    if (chosen == row.id) selected = i;
  }
  why_->setText(selected < 0 ? QString() : Reasons(rows[static_cast<std::size_t>(selected)]));
  why_->setVisible(!why_->text().isEmpty());
  if (selected >= 0) {
    table_->selectRow(selected);
    table_->scrollToItem(table_->item(selected, 0));
  } else {
    table_->clearSelection();
    table_->setCurrentCell(-1, -1);
  }
  if (first && !rows.empty()) {
    table_->resizeColumnsToContents();
    // The rule takes what room the others leave; all of it is in its tip and in the form.
    table_->horizontalHeader()->setSectionResizeMode(kRule, QHeaderView::Stretch);
  }
  for (const int column : {kVerdict, kMargin, kColumns - 1}) {
    const int before = table_->columnWidth(column);
    table_->resizeColumnToContents(column);
    if (table_->columnWidth(column) < before) table_->setColumnWidth(column, before);
  }
  filling_ = false;
}

}  // namespace holeward
