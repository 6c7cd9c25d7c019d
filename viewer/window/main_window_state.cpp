// What the job's text comes to: worked out beside the window, taken in and shown.
#include <QAction>
#include <QFileInfo>
#include <QLabel>
#include <QTabWidget>
#include <QTimer>
#include <chrono>
#include <utility>

#include "viewer/window/form_panel.h"
#include "viewer/window/list_panel.h"
#include "viewer/window/main_window.h"
#include "viewer/window/reading_panel.h"
#include "viewer/window/section_panel.h"
#include "viewer/window/sheet_panel.h"
#include "viewer/window/text_panel.h"
#include "viewer/window/view_widget.h"

namespace holeward {
namespace {

std::int64_t Now() {
  return std::chrono::duration_cast<std::chrono::microseconds>(
             std::chrono::steady_clock::now().time_since_epoch())
      .count();
}

QString Shown(const std::string& text) { return QString::fromStdString(text); }

}  // namespace

void MainWindow::TextChanged() {
  changed_at_ = Now();
  timing_ = true;
  drawn_ms_ = checked_ms_ = 0.0;
  worker_->Ask(model_.text(), model_.path());
  undo_->setEnabled(model_.CanUndo());
  redo_->setEnabled(model_.CanRedo());
  recovery_->start();
  late_->start();
  sheet_->OutOfDate(model_.text());
  ShowTitle();
  ShowSummary();
  ShowForm();
}

void MainWindow::TakeComing() {
  std::shared_ptr<const JobState> state;
  {
    const std::lock_guard lock(coming_in_use_);
    state.swap(coming_);
  }
  if (state == nullptr) return;
  // Most checks end before a picture would be drawn without them: then one picture is enough.
  const bool parts_stay = !state->sides.empty() && state->sides.front().scene.get() == shown_scene_;
  if (!state->checked && !state->stopped && parts_stay && state->errors.empty()) {
    held_ = std::move(state);
    if (!holding_->isActive()) holding_->start();
    return;
  }
  holding_->stop();
  held_.reset();
  Adopt(std::move(state));
}

void MainWindow::TakeHeld() {
  if (held_ != nullptr) Adopt(std::exchange(held_, nullptr));
}

void MainWindow::TellLate() {
  if (model_.UpToDate()) return;
  view_->scene().SetNotice("The change is being worked out: this is the job before it");
  view_->Redraw();
  list_->ShowOutOfDate();
}

void MainWindow::StopCheck() {
  const auto& state = model_.state();
  if (state && state->checked && model_.UpToDate()) return;
  worker_->Stop();
}

void MainWindow::CheckAgain() {
  const auto& state = model_.state();
  if (state && state->stopped && model_.UpToDate()) worker_->Ask(model_.text(), model_.path());
}

void MainWindow::Adopt(std::shared_ptr<const JobState> state) {
  model_.Adopt(std::move(state));
  const JobState& now = *model_.state();
  const Scene* scene = now.sides.empty() ? nullptr : now.sides.front().scene.get();
  if (scene != shown_scene_) {
    view_->scene().SetShape(ShapeOf(now));
    shown_scene_ = scene;
    view_->scene().SetReading(std::nullopt);
  }
  if (!fitted_ && scene != nullptr) {
    view_->Aim();
    view_->scene().Fit();
    fitted_ = true;
  }
  view_->scene().SetPoints(PointsOf(now), now.job.inches);
  view_->scene().SetNotice(now.Notice());
  text_->ShowErrors(now.errors, now.warnings);
  const bool first_look = model_.chosen() == std::nullopt && !model_.modified();
  if (!now.errors.empty() && first_look && tabs_->currentWidget() != text_) {
    tabs_->setCurrentWidget(text_);
    text_->GoTo(now.errors.front().at);
  }
  ShowPoints();
  OfferPlaces();
  view_->Redraw();
  ShowForm();
  if (!late_->isActive()) TellLate();
}

void MainWindow::Drawn() {
  if (!timing_ || !model_.UpToDate()) return;
  const double ms = static_cast<double>(Now() - changed_at_) / 1000.0;
  if (drawn_ms_ == 0.0) drawn_ms_ = ms;
  if (!model_.state()->checked) return;
  checked_ms_ = ms;
  timing_ = false;
}

void MainWindow::ShowPoints() {
  const bool inches = model_.state() && model_.state()->job.inches;
  list_->Show(model_.rows(), model_.chosen(), inches);
  ShowSummary();
}

void MainWindow::ShowSummary() {
  verdict_->setText(model_.path().empty() ? "No job is open: Ctrl+O opens one, Ctrl+N begins one"
                                          : "Over all: " + Shown(model_.Summary()));
}

void MainWindow::ShowForm() {
  if (const auto table = model_.ChosenTable()) table_ = *table;
  const auto& state = model_.state();
  const std::string point = model_.chosen() ? model_.chosen()->point : "";
  const auto side = model_.chosen() ? model_.SideIndex(model_.chosen()->side) : std::nullopt;
  if (tabs_->currentWidget() == form_ && state) {
    const std::vector<FormField> fields = model_.FormOf(table_);
    const auto faults = model_.FaultsOf(table_, fields);
    if (faults) faulty_ = model_.forms().Faulty(state->errors);
    form_->Show(model_.forms().tables(), faulty_, table_, fields);
    if (faults) form_->TellFaults(*faults);
  }
  if (tabs_->currentWidget() == section_ && state) section_->Show(state, side, point);
  if (tabs_->currentWidget() == sheet_ && state && state->checked) {
    sheet_->SetJob(model_.text(), model_.path());
  }
  if (tabs_->currentWidget() == read_ && state && side) {
    const PlacedPoint* placed = state->Placed(*side, point);
    if (placed != nullptr) read_->Prefer(WordOf(model_.chosen()->side), Shown(placed->part));
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
  view_->scene().Choose(chosen);
  ShowPoints();
  ShowForm();
  if (chosen && reading_->isChecked()) PickPoint(*chosen);
  view_->Redraw();
}

}  // namespace holeward
