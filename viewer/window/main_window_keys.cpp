// What is done without a mouse: the points moved, the picture turned, the way from area to area.
#include <QApplication>
#include <QMenuBar>
#include <QStatusBar>
#include <QTabWidget>
#include <QTableWidget>
#include <algorithm>

#include "viewer/window/list_panel.h"
#include "viewer/window/main_window.h"
#include "viewer/window/section_panel.h"
#include "viewer/window/view_widget.h"

namespace holeward {
namespace {

struct ArrowKey {
  int key;
  const char* word;
};

constexpr ArrowKey kArrows[] = {{Qt::Key_Left, "&Left"},
                                {Qt::Key_Right, "&Right"},
                                {Qt::Key_Up, "&Up"},
                                {Qt::Key_Down, "&Down"}};

/// A key that counts while the picture has the focus: in a line of text it is the line's own.
void OfThePicture(QAction* action, ViewWidget* view, const QKeySequence& key) {
  action->setShortcut(key);
  action->setShortcutContext(Qt::WidgetShortcut);
  view->addAction(action);
}

}  // namespace

void MainWindow::MakePointMenu() {
  auto* menu = menuBar()->addMenu("&Point");
  static constexpr std::pair<const char*, int> kSteps[] = {
      {"Move by 0.&1 mm", Qt::ControlModifier},
      {"&Move by 1 mm", Qt::AltModifier},
      {"Move by 1&0 mm", Qt::AltModifier | Qt::ShiftModifier}};
  for (const auto& [word, with] : kSteps) {
    auto* by = menu->addMenu(word);
    for (const ArrowKey& arrow : kArrows) {
      const auto held = Qt::KeyboardModifiers(QFlag(with));
      auto* action = Act(by, arrow.word, {}, [this, key = arrow.key, held] {
        if (!model_.chosen()) Note("Choose a point first: in the list, or by F8.");
        (void)view_->Steer(key, held);
      });
      OfThePicture(action, view_, QKeySequence(with | arrow.key));
    }
  }
  menu->addSeparator();
  (void)Act(menu, "&Next point", QKeySequence("F8"), [this] { ChooseNext(1); });
  (void)Act(menu, "&Point before", QKeySequence("Shift+F8"), [this] { ChooseNext(-1); });
}

void MainWindow::MakeTurnMenu(QMenu* menu) {
  auto* turn = menu->addMenu("T&urn, move, zoom");
  const auto add = [&](const QString& word, int key, Qt::KeyboardModifiers with) {
    auto* action = Act(turn, word, {}, [this, key, with] { (void)view_->Steer(key, with); });
    OfThePicture(action, view_, QKeySequence(static_cast<int>(with) | key));
  };
  for (const ArrowKey& arrow : kArrows) {
    add(QString("Turn ") + QString(arrow.word).toLower(), arrow.key, Qt::NoModifier);
  }
  turn->addSeparator();
  for (const ArrowKey& arrow : kArrows) {
    add(QString("Move ") + QString(arrow.word).toLower().remove('&'), arrow.key, Qt::ShiftModifier);
  }
  turn->addSeparator();
  add("&Nearer", Qt::Key_Plus, Qt::NoModifier);
  add("&Farther", Qt::Key_Minus, Qt::NoModifier);
}

void MainWindow::MakeSectionMenu() {
  auto* menu = menuBar()->addMenu("&Section");
  const auto add = [&](const QString& word, const QKeySequence& key, auto what) {
    (void)Act(menu, word, key, [this, what] {
      if (AtSection()) what(*section_);
    });
  };
  add("Turn the plane to the &right by 5 degrees", QKeySequence("F7"),
      [](SectionPanel& section) { section.Turn(5); });
  add("Turn the plane to the &left by 5 degrees", QKeySequence("Shift+F7"),
      [](SectionPanel& section) { section.Turn(-5); });
  add("Turn the plane by &90 degrees", QKeySequence("Ctrl+F7"),
      [](SectionPanel& section) { section.Turn(90); });
  menu->addSeparator();
  add("Drill &deeper by 0.5 mm", QKeySequence("F9"),
      [](SectionPanel& section) { section.Push(0.5); });
  add("Drill &back by 0.5 mm", QKeySequence("Shift+F9"),
      [](SectionPanel& section) { section.Push(-0.5); });
  add("Drill to the &stop", QKeySequence("Ctrl+F9"),
      [](SectionPanel& section) { section.ToStop(); });
  menu->addSeparator();
  add("&Next stage of the hole", QKeySequence("F3"),
      [](SectionPanel& section) { section.NextStage(); });
}

bool MainWindow::AtSection() {
  const PointRow* row = model_.state() && model_.chosen()
                            ? model_.state()->job.FindPoint(model_.chosen()->point)
                            : nullptr;
  if (row == nullptr || row->drill.empty()) {
    Note("Choose a point that is drilled first: in the list, or by F8.");
    return false;
  }
  tabs_->setCurrentWidget(section_);
  return true;
}

void MainWindow::MakeGoMenu() {
  auto* menu = menuBar()->addMenu("&Go");
  for (int i = 0; i < tabs_->count(); ++i) {
    (void)Act(menu, QString("&%1  %2").arg(i + 1).arg(tabs_->tabText(i)),
              QKeySequence(QString("Alt+%1").arg(i + 1)), [this, i] {
                tabs_->setCurrentIndex(i);
                GoTo(tabs_->currentWidget());
              });
  }
  menu->addSeparator();
  (void)Act(menu, "&Picture", QKeySequence("Alt+0"), [this] { view_->setFocus(); });
  (void)Act(menu, "&List of points", QKeySequence("Alt+9"), [this] { GoTo(list_); });
  (void)Act(menu, "&Filter of the list", QKeySequence::Find, [this] { list_->FocusFilter(); });
  (void)Act(menu, "Sort the list by the next col&umn", QKeySequence("F4"),
            [this] { list_->SortByNext(); });
  (void)Act(menu, "Turn the list's &order round", QKeySequence("Shift+F4"),
            [this] { list_->TurnOrder(); });
  menu->addSeparator();
  (void)Act(menu, "&Next area", QKeySequence("F6"), [this] { GoToNextArea(1); });
  (void)Act(menu, "Area &before", QKeySequence("Shift+F6"), [this] { GoToNextArea(-1); });
}

void MainWindow::GoTo(QWidget* panel) {
  // The table rather than the line above it.
  if (auto* table = panel->findChild<QTableWidget*>()) {
    table->setFocus(Qt::ShortcutFocusReason);
    return;
  }
  if (panel->focusProxy() != nullptr) {
    panel->setFocus(Qt::ShortcutFocusReason);
    return;
  }
  for (auto* child : panel->findChildren<QWidget*>()) {
    if (!child->isVisible() || !child->isEnabled()) continue;
    if ((child->focusPolicy() & Qt::TabFocus) == 0) continue;
    child->setFocus(Qt::ShortcutFocusReason);
    return;
  }
}

void MainWindow::GoToNextArea(int by) {
  QWidget* const areas[] = {view_, list_, tabs_};
  const QWidget* now = QApplication::focusWidget();
  int at = 0;
  for (int i = 0; i < 3; ++i) {
    if (now != nullptr && (areas[i] == now || areas[i]->isAncestorOf(now))) at = i;
  }
  at = (at + by + 3) % 3;
  if (at == 0) {
    view_->setFocus(Qt::ShortcutFocusReason);
  } else {
    GoTo(at == 1 ? list_ : tabs_->currentWidget());
  }
}

void MainWindow::ChooseNext(int by) {
  const std::vector<ListRow>& rows = model_.rows();
  if (rows.empty()) return;
  const auto now = std::find_if(rows.begin(), rows.end(), [&](const ListRow& row) {
    return model_.chosen() && row.id == *model_.chosen();
  });
  const auto count = static_cast<int>(rows.size());
  const int from = now == rows.end() ? (by > 0 ? -1 : 0) : static_cast<int>(now - rows.begin());
  Choose(rows[static_cast<std::size_t>((from + by + count) % count)].id);
}

bool MainWindow::HasJob() {
  if (!model_.path().empty()) return true;
  Note("No job is open: Ctrl+O opens one, Ctrl+N begins one.");
  return false;
}

}  // namespace holeward
