// The template pages as they will print, drawn by what draws the PDF; printing and issuing the set.
#pragma once

#include <QWidget>
#include <functional>
#include <memory>

#include "viewer/background_work.h"
#include "viewer/window_services.h"

class QCheckBox;
class QComboBox;
class QLabel;
class QPrinter;
class QProgressBar;
class QPushButton;
class QScrollArea;

namespace holeward {

class SheetPanel : public QWidget {
 public:
  SheetPanel(const WindowServices& services, QWidget* parent = nullptr);

  /// The job the pages are of; they are made when the panel is looked at.
  void SetJob(const std::string& text, const std::string& file);
  /// The job has another text: what is shown is of an older one until SetJob.
  void OutOfDate(const std::string& text);
  /// Asks where to, then prints every page at 100 %; once the pages of the job as it is are made.
  void Print();
  [[nodiscard]] std::size_t pages() const { return sheets_.pages.size(); }
  /// Issues the saved job to a folder; one at a time, which is said. Pages wait until it is done.
  void Issue(const std::string& job, const std::string& folder);

  std::function<void(const QString&)> on_message;
  /// Asks the person for a printer; false: not to be printed.
  std::function<bool(QPrinter&)> ask_printer;

 protected:
  void showEvent(QShowEvent* event) override;
  void resizeEvent(QResizeEvent* event) override;

 private:
  void Make();
  void MakeIfWanted();  ///< the panel is looked at and its pages are of another job
  [[nodiscard]] Progress Telling(const std::stop_token& stop);
  void Issued(const QString& words);
  void Took(Result<SheetSet> sheets, unsigned number);
  [[nodiscard]] bool Present() const;  ///< the pages are those of the job as it is
  void ShowPage(int page);
  void Busy(const QString& what);
  void Idle(const QString& message);
  void FitMessage();  ///< room for all lines of what is told

  const WindowServices& services_;
  QComboBox* page_;
  QLabel* picture_;
  QScrollArea* scroll_;
  QLabel* progress_;
  QProgressBar* bar_;
  QPushButton* cancel_;
  QPushButton* print_;
  QCheckBox* large_;
  std::string text_, file_;
  std::string made_of_;   ///< or being made of
  std::string shown_of_;  ///< what the pages are of
  SheetSet sheets_;
  QString issued_;  ///< what came of the set issued last, until the job changes
  bool issuing_ = false;
  bool to_print_ = false;  ///< asked for before the pages were there
  unsigned number_ = 0;
  BackgroundWork work_;
};

}  // namespace holeward
