#include "viewer/window/main_window.h"

#include <QAction>
#include <QApplication>
#include <QCloseEvent>
#include <QFileInfo>
#include <QLabel>
#include <QMessageBox>
#include <QPainter>
#include <QPushButton>
#include <QSettings>
#include <QSplitter>
#include <QStatusBar>
#include <QTabWidget>
#include <QTimer>
#include <chrono>
#include <utility>

#include "models/job_edit.h"
#include "viewer/window/form_panel.h"
#include "viewer/window/list_panel.h"
#include "viewer/window/section_panel.h"
#include "viewer/window/sheet_panel.h"
#include "viewer/window/text_panel.h"
#include "viewer/window/view_widget.h"

namespace holeward {
namespace {

constexpr int kRecoveryPause = 1500;  // ms without a change before unsaved work is put aside

std::int64_t Now() {
  return std::chrono::duration_cast<std::chrono::microseconds>(
             std::chrono::steady_clock::now().time_since_epoch())
      .count();
}

QString Shown(const std::string& text) { return QString::fromStdString(text); }

}  // namespace

MainWindow::MainWindow(WindowServices services)
    : services_(std::move(services)), recovery_(new QTimer(this)) {
  MakePanels();
  MakeActions();
  Connect();
  worker_ = std::make_unique<StateWorker>([this](std::shared_ptr<const JobState> state) {
    // Only the newest is shown: one that waits is replaced.
    const std::lock_guard lock(coming_in_use_);
    const bool waiting = coming_ != nullptr;
    coming_ = std::move(state);
    if (!waiting)
      QMetaObject::invokeMethod(
          this, [this] { TakeComing(); }, Qt::QueuedConnection);
  });
  const QSettings kept;
  resize(1360, 860);
  restoreGeometry(kept.value("window").toByteArray());
  for (auto* split : findChildren<QSplitter*>()) {
    if (!split->objectName().isEmpty()) {
      split->restoreState(kept.value("split-" + split->objectName()).toByteArray());
    }
  }
  ShowTitle();
  ShowPoints();
}

MainWindow::~MainWindow() {
  worker_.reset();
  // A line that loses the focus as it goes would still answer.
  form_->on_answer = nullptr;
  form_->on_end = nullptr;
  text_->on_change = nullptr;
  list_->on_choose = nullptr;
  delete takeCentralWidget();
}

void MainWindow::FinishAnswers() {
  form_->Finish();
  text_->Finish();
}

void MainWindow::MakePanels() {
  view_ = new ViewWidget(this);
  list_ = new ListPanel(this);
  form_ = new FormPanel(this);
  section_ = new SectionPanel(this);
  sheet_ = new SheetPanel(services_, this);
  text_ = new TextPanel(this);
  tabs_ = new QTabWidget(this);
  tabs_->setObjectName("tabs");
  tabs_->addTab(form_, "Values");
  tabs_->addTab(section_, "Section");
  tabs_->addTab(sheet_, "Sheet");
  tabs_->addTab(text_, "Text");
  auto* right = new QSplitter(Qt::Vertical, this);
  right->setObjectName("right");
  right->addWidget(list_);
  right->addWidget(tabs_);
  right->setStretchFactor(0, 2);
  right->setStretchFactor(1, 3);
  auto* across = new QSplitter(Qt::Horizontal, this);
  across->setObjectName("across");
  across->addWidget(view_);
  across->addWidget(right);
  across->setStretchFactor(0, 3);
  across->setStretchFactor(1, 2);
  setCentralWidget(across);
  verdict_ = new QLabel(this);
  verdict_->setObjectName("verdict");
  verdict_->setMargin(4);
  hover_ = new QLabel(this);
  hover_->setObjectName("hover");
  statusBar()->addWidget(verdict_);
  statusBar()->addPermanentWidget(hover_);
}

void MainWindow::Connect() {
  view_->on_choose = [this](const auto& chosen) { Choose(chosen); };
  view_->on_pick = [this](const SkinPick& pick) { Pick(pick); };
  view_->on_hover = [this](const QString& words) { hover_->setText(words); };
  view_->on_drag = [this](const ChosenPoint& point, const Vec3& to) {
    if (const auto moved = model_.DragPoint(point, to); !moved) {
      Note(Shown(moved.error().message));
      return;
    }
    TextChanged();
  };
  view_->on_drag_end = [this] { model_.EndStep(); };
  list_->on_choose = [this](const auto& chosen) { Choose(chosen); };
  list_->on_filter = [this](const QString& words) {
    model_.SetFilter(words.toStdString());
    ShowPoints();
  };
  list_->on_sort = [this](ListColumn column, bool falling) {
    model_.SortBy(column, falling);
    ShowPoints();
  };
  form_->on_table = [this](const TomlPath& table) {
    table_ = table;
    for (const ListRow& row : model_.rows()) {
      if (TableOfPoint(model_.text(), row.id.point) == table) {
        Choose(row.id);
        return;
      }
    }
    ShowForm();
  };
  form_->on_answer = [this](const FormField& field, const QString& answer, bool live) {
    const auto given = model_.Answer(field, answer.toStdString(), live);
    form_->Tell(given ? "" : Shown(given.error().message));
    if (given) TextChanged();
  };
  form_->on_end = [this] { model_.EndStep(); };
  form_->on_add = [this](NewThing thing) { AddThing(thing); };
  form_->on_copy = [this] { CopyTable(); };
  form_->on_delete = [this] { DeleteTable(); };
  text_->on_change = [this](const QString& text) {
    std::string plain = text.toStdString();
    if (model_.text().find("\r\n") != std::string::npos) {
      plain = QString(text).replace("\n", "\r\n").toStdString();
    }
    model_.Change(std::move(plain));
    TextChanged();
  };
  sheet_->on_message = [this](const QString& words) { Note(words); };
  connect(tabs_, &QTabWidget::currentChanged, this, [this] { ShowForm(); });
  recovery_->setSingleShot(true);
  recovery_->setInterval(kRecoveryPause);
  connect(recovery_, &QTimer::timeout, this, [this] {
    const auto kept = model_.KeepRecovery(services_.write);
    if (!kept) Note("Unsaved work cannot be put aside: " + Shown(kept.error().message));
  });
  ask = [this](const QString& question, const QStringList& answers) {
    QMessageBox box(QMessageBox::Question, "Holeward", question, QMessageBox::NoButton, this);
    std::vector<QPushButton*> buttons;
    for (const QString& answer : answers) {
      buttons.push_back(box.addButton(answer, QMessageBox::ActionRole));
    }
    box.setEscapeButton(buttons.back());
    box.exec();
    for (std::size_t i = 0; i < buttons.size(); ++i) {
      if (box.clickedButton() == buttons[i]) return static_cast<int>(i);
    }
    return static_cast<int>(answers.size()) - 1;
  };
}

// ---- What the text comes to

void MainWindow::TextChanged() {
  changed_at_ = Now();
  timing_ = true;
  drawn_ms_ = 0.0;
  worker_->Ask(model_.text(), model_.path());
  undo_->setEnabled(model_.CanUndo());
  redo_->setEnabled(model_.CanRedo());
  recovery_->start();
  ShowTitle();
  ShowForm();
}

void MainWindow::TakeComing() {
  std::shared_ptr<const JobState> state;
  {
    const std::lock_guard lock(coming_in_use_);
    state.swap(coming_);
  }
  if (state != nullptr) Adopt(std::move(state));
}

void MainWindow::Adopt(std::shared_ptr<const JobState> state) {
  model_.Adopt(std::move(state));
  const JobState& now = *model_.state();
  const Scene* scene = now.sides.empty() ? nullptr : now.sides.front().scene.get();
  if (scene != shown_scene_) {
    view_->scene.SetShape(ShapeOf(now));
    shown_scene_ = scene;
    view_->scene.SetReading(std::nullopt);
  }
  if (!fitted_ && scene != nullptr) {
    view_->scene.Prepare(view_->width(), view_->height());
    view_->scene.Fit();
    fitted_ = true;
  }
  view_->scene.SetPoints(PointsOf(now), now.job.inches);
  text_->ShowErrors(now.errors, now.warnings);
  const bool first_look = model_.chosen() == std::nullopt && !model_.modified();
  if (!now.errors.empty() && first_look && tabs_->currentWidget() != text_) {
    tabs_->setCurrentWidget(text_);
    text_->GoTo(now.errors.front().at);
  }
  ShowPoints();
  view_->Redraw();
  if (timing_ && model_.UpToDate()) {
    const double ms = static_cast<double>(Now() - changed_at_) / 1000.0;
    if (drawn_ms_ == 0.0) drawn_ms_ = ms;
    if (now.checked) {
      checked_ms_ = ms;
      timing_ = false;
    }
  }
  ShowForm();
}

void MainWindow::ShowPoints() {
  const bool inches = model_.state() && model_.state()->job.inches;
  list_->Show(model_.rows(), model_.chosen(), inches);
  verdict_->setText(model_.path().empty() ? "No job is open: Ctrl+O opens one, Ctrl+N begins one"
                                          : "Over all: " + Shown(model_.Summary()));
}

void MainWindow::ShowForm() {
  if (const auto table = model_.ChosenTable()) table_ = *table;
  const auto& state = model_.state();
  const std::string point = model_.chosen() ? model_.chosen()->point : "";
  const auto side = model_.chosen() ? model_.SideIndex(model_.chosen()->side) : std::nullopt;
  if (tabs_->currentWidget() == form_ && state) {
    form_->Show(TablesOf(model_.text()), table_, FormOf(model_.text(), table_, state->job));
  }
  if (tabs_->currentWidget() == section_ && state) section_->Show(state, side, point);
  if (tabs_->currentWidget() == sheet_ && state && state->checked) {
    sheet_->SetJob(model_.text(), model_.path());
  }
  if (tabs_->currentWidget() == text_) text_->Show(Shown(model_.text()));
}

void MainWindow::ShowTitle() {
  const QString name =
      model_.path().empty() ? "no job" : QFileInfo(Shown(model_.path())).fileName();
  setWindowTitle(name + "[*] - Holeward");
  setWindowModified(!model_.path().empty() && model_.modified());
}

void MainWindow::Choose(const std::optional<ChosenPoint>& chosen) {
  if (chosen == model_.chosen()) {
    if (chosen && reading_->isChecked()) PickPoint(*chosen);
    return;
  }
  model_.Choose(chosen);
  view_->scene.Choose(chosen);
  ShowPoints();
  ShowForm();
  if (chosen && reading_->isChecked()) PickPoint(*chosen);
  view_->Redraw();
}

void MainWindow::Note(const QString& what) { statusBar()->showMessage(what, 15000); }

// ---- Changes

void MainWindow::Step(bool back) {
  form_->Settle();
  if (back) {
    model_.Undo();
  } else {
    model_.Redo();
  }
  TextChanged();
}

void MainWindow::Took(Result<Added> added) {
  if (!added) {
    Note(Shown(added.error().message));
    return;
  }
  model_.Change(std::move(added->text));
  model_.Choose(std::nullopt);
  view_->scene.Choose(std::nullopt);
  table_ = added->path;
  const auto root = SpotsOf(model_.text());
  const TomlSpot* table = root ? SpotAt(*root, table_) : nullptr;
  const TomlSpot* name = table == nullptr ? nullptr : table->Find("name");
  if (table_.front() == TomlStep(std::string("point")) && name != nullptr && model_.state()) {
    std::string word =
        model_.text().substr(name->span.from + 1, name->span.to - name->span.from - 2);
    const ChosenPoint chosen{word, model_.state()->job.described_side};
    model_.Choose(chosen);
    view_->scene.Choose(chosen);
  }
  tabs_->setCurrentWidget(form_);
  TextChanged();
}

void MainWindow::AddThing(NewThing thing) {
  if (!model_.state()) return;
  Took(WithNew(model_.text(), thing, table_, model_.state()->job));
}

void MainWindow::CopyTable() { Took(WithCopy(model_.text(), table_)); }

void MainWindow::DeleteTable() {
  auto left = WithoutTable(model_.text(), table_);
  if (!left) {
    Note(Shown(left.error().message));
    return;
  }
  model_.Change(std::move(*left));
  model_.Choose(std::nullopt);
  view_->scene.Choose(std::nullopt);
  table_.clear();
  TextChanged();
  Note("Deleted. Ctrl+Z brings it back.");
}

// ---- The window itself

bool MainWindow::event(QEvent* event) {
  if (event->type() == QEvent::WindowActivate && !asking_) LookOutside();
  return QMainWindow::event(event);
}

void MainWindow::closeEvent(QCloseEvent* event) {
  FinishAnswers();
  if (!MayLetGo()) {
    event->ignore();
    return;
  }
  QSettings kept;
  kept.setValue("window", saveGeometry());
  for (auto* split : findChildren<QSplitter*>()) {
    if (!split->objectName().isEmpty()) {
      kept.setValue("split-" + split->objectName(), split->saveState());
    }
  }
  model_.DropRecovery();
  event->accept();
}

bool SaveScreen(MainWindow& window, const QString& path) {
  QPixmap picture = window.grab();
  QPainter painter(&picture);
  ViewWidget& view = window.view();
  painter.drawImage(QRect(view.mapTo(&window, QPoint(0, 0)), view.size()), view.grabFramebuffer());
  painter.end();
  return picture.save(path);
}

}  // namespace holeward
