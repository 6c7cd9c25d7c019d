// The form of a table of the job: a point, a part, a fitting. Every answer goes into the job's
// text.
#pragma once

#include <QWidget>
#include <functional>
#include <vector>

#include "models/job_form.h"

class QComboBox;
class QFormLayout;
class QLabel;
class QMenu;
class QPushButton;
class QScrollArea;

namespace holeward {

class FormPanel : public QWidget {
 public:
  explicit FormPanel(QWidget* parent = nullptr);

  /// Shows the table's form; answers being written keep their place.
  /// @param faulty one a table: what the reader says is wrong stands in it
  void Show(const std::vector<JobTable>& tables, const std::vector<bool>& faulty,
            const TomlPath& table, const std::vector<FormField>& fields);
  /// Tells at the fields what the reader says of them. @pre of the form that is shown
  void TellFaults(const FormFaults& faults);
  /// What can be added, as a menu.
  [[nodiscard]] QMenu* add_menu() { return add_menu_; }
  /// Gives the answer that is being written.
  void Finish();
  /// Shows what stands in the text at the next Show, whatever is half written.
  void Settle();
  /// What is wrong with the last answer, or nothing.
  void Tell(const QString& what);

  std::function<void(const TomlPath&)> on_table;
  std::function<void(const FormField&, const QString& answer, bool live)> on_answer;
  std::function<void()> on_end;  ///< an answer is finished
  std::function<void(NewThing)> on_add;
  std::function<void()> on_copy, on_delete;

 private:
  void Build();
  [[nodiscard]] QWidget* EditorOf(std::size_t field);
  [[nodiscard]] QWidget* ChoiceOf(std::size_t field);
  [[nodiscard]] QWidget* LinesOf(std::size_t field);
  [[nodiscard]] QWidget* CompoundOf(std::size_t field);
  [[nodiscard]] QWidget* WithFault(QWidget* editor, const QString& label);
  void Give(std::size_t field, const QString& answer, bool live);
  void Refresh();

  QComboBox* choice_;
  QMenu* add_menu_;
  QLabel* message_;
  QLabel* fault_;  ///< what is wrong with the table as a whole
  QScrollArea* scroll_;
  QPushButton* delete_;
  QPushButton* copy_;
  std::vector<JobTable> tables_;
  std::vector<FormField> fields_;
  std::vector<QWidget*> editors_;
  std::vector<QLabel*> faults_;  ///< one under each editor
  TomlPath table_;
  bool filling_ = false;
};

}  // namespace holeward
