// The window: the picture, the list, the form, the section, the sheet and the text of one job.
#pragma once

#include <QMainWindow>
#include <array>
#include <memory>
#include <mutex>

#include "viewer/state_worker.h"
#include "viewer/window_model.h"
#include "viewer/window_services.h"

class QAction;
class QLabel;
class QMenu;
class QTabWidget;
class QTimer;

namespace holeward {

class FormPanel;
class ListPanel;
class ReadingPanel;
class SectionPanel;
class SheetPanel;
class TextPanel;
class ViewWidget;
struct SkinPick;

class MainWindow : public QMainWindow {
 public:
  explicit MainWindow(WindowServices services);
  ~MainWindow() override;

  /// Opens a job; asks about unsaved work and what a crash left behind. Says what is wrong in a
  /// box.
  bool Open(const QString& path);
  /// Writes a job to begin with and opens it. @param kind of StarterJob; empty: an empty job
  bool NewJob(const std::string& kind, const QString& path);
  bool Save();
  [[nodiscard]] const WindowModel& model() const { return model_; }
  [[nodiscard]] ViewWidget& view() { return *view_; }
  [[nodiscard]] SheetPanel& sheet() { return *sheet_; }
  /// From the last change of a value to the picture drawn with it, and to it being checked, ms.
  [[nodiscard]] double drawn_ms() const { return drawn_ms_; }
  [[nodiscard]] double checked_ms() const { return checked_ms_; }

  /// What a box would ask; tests answer in its place. Gives the index of the answer.
  std::function<int(const QString& question, const QStringList& answers)> ask;

 protected:
  void closeEvent(QCloseEvent* event) override;
  bool event(QEvent* event) override;

 private:
  void MakePanels();
  void MakeActions();
  void MakeFileMenu();
  void MakeEditMenu();
  void MakePointMenu();
  void MakeViewMenu();
  void MakeTurnMenu(QMenu* menu);
  void MakeSectionMenu();
  void MakeGoMenu();
  void Connect();
  void FillRecent();
  [[nodiscard]] QAction* Act(QMenu* menu, const QString& text, const QKeySequence& key,
                             std::function<void()> what);

  void TakeComing();
  void TakeHeld();  ///< shows what is placed while its check goes on
  void TellLate();  ///< what is shown is of before the last change, and it takes a while
  void StopCheck();
  void CheckAgain();
  void Adopt(std::shared_ptr<const JobState> state);
  void Drawn();          ///< the picture as it was asked for is in the window
  void FinishAnswers();  ///< takes what is half written
  void TextChanged();    ///< after every change of the model's text
  void ShowPoints();
  void ShowSummary();  ///< the verdict over all, of the text as it is
  void ShowForm();
  void ShowTitle();
  void Choose(const std::optional<ChosenPoint>& chosen);
  /// @param words what the place was called, if it has a name
  void Pick(const SkinPick& pick, const QString& words = "");
  void ReadPlaces(const QString& side, const QString& part, const std::array<QString, 2>& places);
  void OfferPlaces();
  void GoTo(QWidget* panel);       ///< the focus to the first that takes it there
  void GoToNextArea(int by);       ///< picture, list, panel
  [[nodiscard]] bool AtSection();  ///< goes there; false: no drill point is chosen, which is said
  void ChooseNext(int by);         ///< the point so many rows on in the list
  [[nodiscard]] bool HasJob();     ///< says so if there is none
  void PickPoint(const ChosenPoint& chosen);
  void ShowReading(const Part& part, const SideState& side);
  void SetReadingMode(bool on);
  void Step(bool back);
  void AddThing(NewThing thing);
  void CopyTable();
  void MoveTable(bool up);
  void DeleteTable();
  void Took(const Result<TomlPath>& table);
  bool MayLetGo();
  bool SaveAs();
  void LookOutside();
  void IssueSet();
  void Note(const QString& what);

  WindowServices services_;
  WindowModel model_;
  std::unique_ptr<StateWorker> worker_;
  std::mutex coming_in_use_;
  std::shared_ptr<const JobState> coming_;  ///< worked out, not shown yet
  std::shared_ptr<const JobState> held_;    ///< placed, shown unless its check ends at once
  QTimer* holding_;
  QTimer* late_;  ///< runs from a change until it should be shown
  ViewWidget* view_;
  ListPanel* list_;
  FormPanel* form_;
  SectionPanel* section_;
  SheetPanel* sheet_;
  ReadingPanel* read_;
  TextPanel* text_;
  QTabWidget* tabs_;
  QLabel* verdict_;
  QLabel* hover_;
  QMenu* recent_ = nullptr;
  QAction* undo_ = nullptr;
  QAction* redo_ = nullptr;
  QAction* reading_ = nullptr;
  QTimer* recovery_;
  TomlPath table_;
  std::vector<bool> faulty_;  ///< one a table of the form: as last known
  const Scene* shown_scene_ = nullptr;
  std::vector<SkinPick> picks_;
  std::array<QString, 2> said_;  ///< what they are called
  bool fitted_ = false;
  bool asking_ = false;
  std::int64_t changed_at_ = 0;
  bool timing_ = false;
  double drawn_ms_ = 0.0;
  double checked_ms_ = 0.0;
};

/// Copies what a person sees into a picture file; for tests and the README.
bool SaveScreen(MainWindow& window, const QString& path);

}  // namespace holeward
