#include "viewer/window/main_window.h"

#include <QApplication>
#include <QCloseEvent>
#include <QLabel>
#include <QMessageBox>
#include <QPushButton>
#include <QSettings>
#include <QSplitter>
#include <QStatusBar>
#include <QTabWidget>
#include <QTimer>
#include <utility>

#include "models/job_edit.h"
#include "viewer/window/form_panel.h"
#include "viewer/window/list_panel.h"
#include "viewer/window/reading_panel.h"
#include "viewer/window/section_panel.h"
#include "viewer/window/sheet_panel.h"
#include "viewer/window/text_panel.h"
#include "viewer/window/view_widget.h"

namespace holeward {
namespace {

constexpr int kRecoveryPause = 1500;  // ms without a change before unsaved work is put aside
constexpr int kLate = 100;            // ms after which a change not shown yet is told
constexpr int kCheckPause = 25;       // ms a placed point waits to be shown with its verdict

QString Shown(const std::string& text) { return QString::fromStdString(text); }

}  // namespace

MainWindow::MainWindow(WindowServices services)
    : services_(std::move(services)),
      holding_(new QTimer(this)),
      late_(new QTimer(this)),
      recovery_(new QTimer(this)) {
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
  view_->on_drawn = nullptr;
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
  read_ = new ReadingPanel(this);
  tabs_ = new QTabWidget(this);
  tabs_->setObjectName("tabs");
  tabs_->addTab(form_, "Values");
  tabs_->addTab(section_, "Section");
  tabs_->addTab(sheet_, "Sheet");
  tabs_->addTab(text_, "Text");
  tabs_->addTab(read_, "Reading");
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
  statusBar()->addWidget(verdict_, 1);
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
  view_->on_drawn = [this] { Drawn(); };
  view_->on_drag_end = [this] { model_.EndStep(); };
  view_->on_nudge = [this](const Vec3& way) {
    // A step begins where the point is, so the one before must have come to its end.
    if (!model_.chosen() || !model_.UpToDate()) return;
    if (const auto moved = model_.NudgePoint(*model_.chosen(), way); !moved) {
      Note(Shown(moved.error().message));
      return;
    }
    TextChanged();
  };
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
      if (TableOfPoint(model_.forms(), row.id.point) == table) {
        Choose(row.id);
        return;
      }
    }
    ShowForm();
  };
  form_->on_answer = [this](const FormField& field, const QString& answer, bool live) {
    const auto given = model_.Answer(field, answer.toStdString(), live);
    form_->Tell(given ? "" : Shown(given.error().message));
    if (!given) return;
    if (field.renames) table_ = {std::string("part"), answer.trimmed().toStdString()};
    TextChanged();
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
  read_->on_read = [this](const QString& side, const QString& part,
                          const std::array<QString, 2>& places) { ReadPlaces(side, part, places); };
  sheet_->on_message = [this](const QString& words) { Note(words); };
  connect(tabs_, &QTabWidget::currentChanged, this, [this] { ShowForm(); });
  holding_->setSingleShot(true);
  holding_->setInterval(kCheckPause);
  connect(holding_, &QTimer::timeout, this, [this] { TakeHeld(); });
  late_->setSingleShot(true);
  late_->setInterval(kLate);
  connect(late_, &QTimer::timeout, this, [this] { TellLate(); });
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

void MainWindow::Took(const Result<TomlPath>& table) {
  if (!table) {
    Note(Shown(table.error().message));
    return;
  }
  table_ = *table;
  std::optional<ChosenPoint> chosen;
  const auto root = SpotsOf(model_.text());
  const TomlSpot* spot = root ? SpotAt(*root, table_) : nullptr;
  const TomlSpot* name = spot == nullptr ? nullptr : spot->Find("name");
  if (table_.front() == TomlStep(std::string("point")) && name != nullptr && model_.state()) {
    const std::size_t from = name->span.from + 1;
    chosen = ChosenPoint{model_.text().substr(from, name->span.to - 1 - from),
                         model_.state()->job.described_side};
  }
  model_.Choose(chosen);
  view_->scene().Choose(chosen);
  if (chosen) list_->ClearFilter();
  tabs_->setCurrentWidget(form_);
  TextChanged();
}

void MainWindow::AddThing(NewThing thing) {
  if (!HasJob()) return;
  FinishAnswers();
  Took(model_.Add(thing, table_));
}

void MainWindow::CopyTable() {
  if (!HasJob()) return;
  FinishAnswers();
  Took(model_.Copy(table_));
}

void MainWindow::MoveTable(bool up) {
  if (!HasJob()) return;
  FinishAnswers();
  Took(model_.Move(table_, up));
}

void MainWindow::DeleteTable() {
  if (!HasJob()) return;
  form_->Settle();
  if (const auto gone = model_.Remove(table_); !gone) {
    Note(Shown(gone.error().message));
    return;
  }
  model_.Choose(std::nullopt);
  view_->scene().Choose(std::nullopt);
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

bool SaveScreen(MainWindow& window, const QString& path) { return window.grab().save(path); }

}  // namespace holeward
