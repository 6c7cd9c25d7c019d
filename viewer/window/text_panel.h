// The job as text, with what is wrong in it.
#pragma once

#include <QWidget>
#include <functional>
#include <vector>

#include "models/job_reader.h"

class QListWidget;
class QPlainTextEdit;
class QTimer;

namespace holeward {

class TextPanel : public QWidget {
 public:
  explicit TextPanel(QWidget* parent = nullptr);

  void Show(const QString& text);
  /// Gives what is being written.
  void Finish();
  void ShowErrors(const std::vector<JobError>& errors, const std::vector<JobError>& warnings);
  /// Puts the cursor there.
  void GoTo(const Location& at);

  std::function<void(const QString&)> on_change;  ///< a pause after writing

 private:
  void Mark();

  QPlainTextEdit* text_;
  QListWidget* errors_;
  QTimer* pause_;
  std::vector<Location> places_;
  std::size_t error_count_ = 0;
  bool filling_ = false;
  bool dirty_ = false;  ///< written and not given yet
};

}  // namespace holeward
