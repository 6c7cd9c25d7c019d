// The window's menus, keys and files.
#include <QApplication>
#include <QFileDialog>
#include <QFileInfo>
#include <QMenuBar>
#include <QMessageBox>
#include <QSettings>
#include <QTabWidget>
#include <QTimer>
#include <QToolBar>

#include "models/starter_jobs.h"
#include "viewer/window/form_panel.h"
#include "viewer/window/list_panel.h"
#include "viewer/window/main_window.h"
#include "viewer/window/sheet_panel.h"
#include "viewer/window/view_widget.h"

namespace holeward {
namespace {

constexpr int kRecent = 8;

constexpr const char* kKeys =
    "<p><b>Turning the picture</b>: drag, or the arrow keys. <b>Moving</b>: drag with the right "
    "button or Shift, or Shift and the arrow keys. <b>Nearer, farther</b>: wheel, + and -.</p>"
    "<p><b>Views</b>: Ctrl+1 to Ctrl+7. <b>See inside</b>: Ctrl+I. <b>Perspective</b>: "
    "Ctrl+Shift+P. <b>All in view</b>: Ctrl+0. A point behind a part is not drawn; chosen it is a "
    "broken ring, and its name says so. A tape is thin and pale where it lies behind.</p>"
    "<p><b>Points</b>: click one, or choose it in the list; drag it on the skin and the numbers of "
    "its rule follow, or move it by Alt and the arrow keys: 1 mm, with Shift 10 mm; by Ctrl 0.1 "
    "mm. "
    "F8 chooses the next. Its values are in the form beside it: the arrow keys and the wheel turn "
    "a "
    "number, Shift in greater steps.</p>"
    "<p><b>Reading</b>: Ctrl+R, then click two places of a part, choose two points, or write them: "
    "a name, station and girth (120 35), or station and face (120 rear).</p>"
    "<p><b>From area to area</b>: F6; the panels by Alt+1 to Alt+5, the picture Alt+0, the list "
    "Alt+9; F4 sorts it by the next column, Shift+F4 turns its order round. Ctrl+Shift+N adds a "
    "point, the Add menu anything else; Ctrl+Shift and up or down moves "
    "it in its list.</p>"
    "<p><b>A check that takes long</b>: Esc stops it, F5 checks again; a change stops it too.</p>"
    "<p><b>Section</b>: drag the drill up and down; Shift and drag turn the plane. By keys: "
    "F7 and Shift+F7 turn it, F9 and Shift+F9 push the drill on and draw it back, Ctrl+F9 brings "
    "it to its stop, F3 shows the next stage; or the arrow keys in the section itself, with Shift "
    "in small steps.</p>";

}  // namespace

QAction* MainWindow::Act(QMenu* menu, const QString& text, const QKeySequence& key,
                         std::function<void()> what) {
  auto* action = menu->addAction(text);
  action->setShortcut(key);
  connect(action, &QAction::triggered, this, [what = std::move(what)] { what(); });
  return action;
}

void MainWindow::MakeActions() {
  MakeFileMenu();
  MakeEditMenu();
  menuBar()->addMenu(form_->add_menu());
  MakePointMenu();
  MakeViewMenu();
  MakeSectionMenu();
  MakeGoMenu();
  auto* help = menuBar()->addMenu("&Help");
  (void)Act(help, "&Mouse and keys", QKeySequence::HelpContents,
            [this] { QMessageBox::information(this, "Mouse and keys", kKeys); });
}

void MainWindow::MakeFileMenu() {
  auto* menu = menuBar()->addMenu("&File");
  (void)Act(menu, "&Open...", QKeySequence::Open, [this] {
    const QString path = QFileDialog::getOpenFileName(this, "Open a job", "", "Jobs (*.toml)");
    if (!path.isEmpty()) Open(path);
  });
  auto* fresh = menu->addMenu("&New job");
  static constexpr std::pair<const char*, const char*> kKinds[] = {
      {"arm", "&Arm"}, {"tube", "&Tube"}, {"channel", "&Channel"}, {"", "&Empty"}};
  for (const auto& [kind, word] : kKinds) {
    const bool first = std::string(kind) == "arm";
    (void)Act(fresh, word, first ? QKeySequence::New : QKeySequence(), [this, kind = kind] {
      const QString path =
          QFileDialog::getSaveFileName(this, "Where the new job goes", "", "Jobs (*.toml)");
      if (!path.isEmpty()) NewJob(kind, path);
    });
  }
  recent_ = menu->addMenu("Open &recent");
  FillRecent();
  menu->addSeparator();
  (void)Act(menu, "&Save", QKeySequence::Save, [this] { Save(); });
  (void)Act(menu, "Save &as...", QKeySequence::SaveAs, [this] { SaveAs(); });
  menu->addSeparator();
  (void)Act(menu, "&Print the sheets...", QKeySequence::Print, [this] {
    FinishAnswers();
    tabs_->setCurrentWidget(sheet_);
    sheet_->Print();
  });
  (void)Act(menu, "&Issue the set to a folder...", QKeySequence("Ctrl+E"), [this] { IssueSet(); });
  menu->addSeparator();
  (void)Act(menu, "&Quit", QKeySequence("Ctrl+Q"), [this] { close(); });
}

void MainWindow::MakeEditMenu() {
  auto* menu = menuBar()->addMenu("&Edit");
  undo_ = Act(menu, "&Undo", QKeySequence::Undo, [this] { Step(true); });
  redo_ = Act(menu, "&Redo", QKeySequence::Redo, [this] { Step(false); });
  redo_->setShortcuts({QKeySequence("Ctrl+Shift+Z"), QKeySequence("Ctrl+Y")});
  menu->addSeparator();
  (void)Act(menu, "&Copy what is in the form", QKeySequence("Ctrl+D"), [this] { CopyTable(); });
  (void)Act(menu, "Move it u&p in its list", QKeySequence("Ctrl+Shift+Up"),
            [this] { MoveTable(true); });
  (void)Act(menu, "Move it do&wn in its list", QKeySequence("Ctrl+Shift+Down"),
            [this] { MoveTable(false); });
  (void)Act(menu, "&Delete what is in the form", QKeySequence("Ctrl+Del"),
            [this] { DeleteTable(); });
  menu->addSeparator();
  (void)Act(menu, "&Stop the check", QKeySequence("Esc"), [this] { StopCheck(); });
  (void)Act(menu, "Chec&k again", QKeySequence("F5"), [this] { CheckAgain(); });
}

void MainWindow::MakeViewMenu() {
  static constexpr std::pair<Look, const char*> kLooks[] = {
      {Look::front, "&Front"},
      {Look::rear, "&Rear"},
      {Look::top, "&Top"},
      {Look::underside, "Un&derside"},
      {Look::left, "&Left"},
      {Look::right, "R&ight"},
      {Look::three_quarter, "T&hree-quarter"}};
  auto* menu = menuBar()->addMenu("&View");
  auto* bar = addToolBar("Views");
  bar->setObjectName("views");
  bar->setMovable(false);
  bar->setToolButtonStyle(Qt::ToolButtonTextOnly);
  int number = 1;
  for (const auto& [look, word] : kLooks) {
    const QKeySequence key(QString("Ctrl+%1").arg(number++));
    auto* action = Act(menu, word, key, [this, from = look] { view_->From(from); });
    action->setToolTip(
        QString("From the %1 (%2)").arg(QString(word).toLower().remove('&'), key.toString()));
    bar->addAction(action);
  }
  (void)Act(menu, "&All in view", QKeySequence("Ctrl+0"), [this] {
    view_->scene().Fit();
    view_->Redraw();
  });
  menu->addSeparator();
  bar->addSeparator();
  auto* inside = Act(menu, "&See inside", QKeySequence("Ctrl+I"), [] {});
  inside->setCheckable(true);
  connect(inside, &QAction::toggled, this, [this](bool on) {
    view_->scene().SeeInside(on);
    view_->Redraw();
  });
  auto* perspective = Act(menu, "&Perspective", QKeySequence("Ctrl+Shift+P"), [] {});
  perspective->setCheckable(true);
  connect(perspective, &QAction::toggled, this, [this](bool on) {
    view_->scene().Perspective(on);
    view_->Redraw();
  });
  reading_ = Act(menu, "Read &between two places", QKeySequence("Ctrl+R"), [] {});
  reading_->setCheckable(true);
  connect(reading_, &QAction::toggled, this, [this](bool on) { SetReadingMode(on); });
  for (auto* action : {inside, perspective, reading_}) bar->addAction(action);
  menu->addSeparator();
  MakeTurnMenu(menu);
}

void MainWindow::FillRecent() {
  recent_->clear();
  int number = 1;
  for (const QString& path : QSettings().value("recent").toStringList()) {
    recent_->addAction(QString("&%1  %2").arg(number++).arg(QString(path).replace("&", "&&")), this,
                       [this, path] { Open(path); });
  }
  recent_->setEnabled(!recent_->isEmpty());
}

bool MainWindow::Open(const QString& path) {
  FinishAnswers();
  if (!MayLetGo()) return false;
  const QString absolute = QFileInfo(path).absoluteFilePath();
  if (const auto opened = model_.Open(absolute.toStdString()); !opened) {
    (void)ask(QString::fromStdString(opened.error().message), {"Close"});
    return false;
  }
  if (const auto left = model_.FindRecovery()) {
    const int answer = ask(
        "Unsaved work on this job was put aside when the program ended badly. Take it up again?",
        {"Take it up", "Throw it away"});
    if (answer == 0) {
      model_.TakeRecovery(*left);
    } else {
      model_.DropRecovery();
    }
  }
  QSettings kept;
  QStringList recent = kept.value("recent").toStringList();
  recent.removeAll(absolute);
  recent.prepend(absolute);
  while (recent.size() > kRecent) recent.removeLast();
  kept.setValue("recent", recent);
  FillRecent();
  table_.clear();
  fitted_ = false;
  view_->scene().Choose(std::nullopt);
  TextChanged();
  return true;
}

bool MainWindow::NewJob(const std::string& kind, const QString& path) {
  const std::string text = kind.empty() ? "holeward = 1\n" : std::string(StarterJob(kind));
  if (const auto written = services_.write(path.toStdString(), text); !written) {
    (void)ask(QString::fromStdString(written.error().message), {"Close"});
    return false;
  }
  return Open(path);
}

bool MainWindow::MayLetGo() {
  if (model_.path().empty() || !model_.modified()) return true;
  const int answer = ask("The job has changes that are not saved.", {"Save", "Discard", "Cancel"});
  if (answer == 0) return Save();
  if (answer == 1) model_.DropRecovery();
  return answer == 1;
}

bool MainWindow::Save() {
  if (model_.path().empty()) return false;
  FinishAnswers();
  bool over = false;
  if (model_.ChangedOutside()) {
    asking_ = true;
    const int answer =
        ask("The file was changed by something else since it was read. Write over it all the same?",
            {"Write over it", "Take the file instead", "Cancel"});
    asking_ = false;
    if (answer == 2) return false;
    if (answer == 1) {
      (void)model_.TakeOutside();
      TextChanged();
      return true;
    }
    over = true;
  }
  const auto saved = model_.Save(services_.write, over);
  Note(saved ? "Saved." : QString::fromStdString(saved.error().message));
  ShowTitle();
  return saved.has_value();
}

bool MainWindow::SaveAs() {
  FinishAnswers();
  const QString path = QFileDialog::getSaveFileName(
      this, "Save the job as", QString::fromStdString(model_.path()), "Jobs (*.toml)");
  if (path.isEmpty()) return false;
  const auto saved = model_.SaveAs(path.toStdString(), services_.write);
  Note(saved ? "Saved." : QString::fromStdString(saved.error().message));
  ShowTitle();
  return saved.has_value();
}

void MainWindow::LookOutside() {
  if (model_.path().empty() || !model_.ChangedOutside() ||
      !QFileInfo::exists(QString::fromStdString(model_.path()))) {
    return;
  }
  asking_ = true;
  const int answer =
      ask(model_.modified() ? "The file was changed by something else; your changes are not saved."
                            : "The file was changed by something else.",
          {"Take the file as it is now", "Keep what is here"});
  asking_ = false;
  if (answer != 0) return;
  (void)model_.TakeOutside();
  TextChanged();
}

void MainWindow::IssueSet() {
  if (model_.path().empty()) return;
  FinishAnswers();
  if (model_.modified() &&
      (ask("The set is made of the saved file: save first?", {"Save", "Cancel"}) != 0 || !Save())) {
    return;
  }
  const QString folder = QFileDialog::getExistingDirectory(this, "Issue the set to a folder");
  if (folder.isEmpty()) return;
  tabs_->setCurrentWidget(sheet_);
  sheet_->Issue(model_.path(), folder.toStdString());
}

}  // namespace holeward
