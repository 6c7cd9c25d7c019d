// What the window holds, without a screen: the job's text with the way back, the file it came from,
// what the text comes to, the list of points and what is chosen in it.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "geometry/checked.h"
#include "geometry/result.h"
#include "models/job_form.h"
#include "viewer/job_state.h"

namespace holeward {

/// A text and all it has been. Without limit.
class TextHistory {
 public:
  explicit TextHistory(std::string text = "") : texts_{std::move(text)} {}

  [[nodiscard]] const std::string& text() const { return texts_[at_]; }
  /// A new text. Changes that follow each other under the same name, not empty, are one step.
  void Change(std::string text, const std::string& step = "");
  /// The next change is a step of its own.
  void EndStep() { step_.clear(); }
  [[nodiscard]] bool CanUndo() const { return at_ > 0; }
  [[nodiscard]] bool CanRedo() const { return at_ + 1 < texts_.size(); }
  void Undo();
  void Redo();

 private:
  std::vector<std::string> texts_;
  std::size_t at_ = 0;
  std::string step_;
};

/// A point of one side, as chosen in the list or the view.
struct ChosenPoint {
  std::string point;
  Side side = Side::left;
  [[nodiscard]] bool operator==(const ChosenPoint&) const = default;
};

/// A line of the list.
struct ListRow {
  ChosenPoint id;
  PointUse use = PointUse::reference;
  std::string part;
  std::string rule;      ///< in words
  std::string position;  ///< "x -152.0  y 512.3  z 256.0"
  std::string
      verdict;  ///< a word: clear, tight, unproven, contact, mark only, checking, not placed
  std::optional<Verdict> judged;
  std::optional<double> margin;      ///< worst of its stages, mm
  bool free = false;                 ///< nothing is met by any stage
  std::vector<std::string> reasons;  ///< why the verdict is no better, in sentences
};

enum class ListColumn { name, side, rule, position, verdict, margin };

/// Writes a file whole or not at all; handed in by the program.
using FileWriter = std::function<Result<void>(const std::string& path, const std::string& bytes)>;

class WindowModel {
 public:
  // ---- The file
  /// Opens a job; what was open is let go. Errors (file): it cannot be read, or is larger than a
  /// job may be (kLargestJob); what was open then stays.
  [[nodiscard]] Result<void> Open(const std::string& path);
  [[nodiscard]] const std::string& path() const { return path_; }
  [[nodiscard]] const std::string& text() const { return history_.text(); }
  [[nodiscard]] bool modified() const { return history_.text() != saved_; }
  /// True if the file is no longer what was read or saved last (also when it is gone).
  [[nodiscard]] bool ChangedOutside() const;
  /// Saves. Errors (file): it was changed outside (unless `over`), or cannot be written.
  [[nodiscard]] Result<void> Save(const FileWriter& write, bool over = false);
  [[nodiscard]] Result<void> SaveAs(const std::string& path, const FileWriter& write);
  /// Takes the file as it now is, as a step that can be undone.
  [[nodiscard]] Result<void> TakeOutside();

  // ---- Unsaved work
  /// Where unsaved work of a file is kept: ".NAME.unsaved" beside it.
  [[nodiscard]] static std::string RecoveryPathOf(const std::string& path);
  /// Keeps the text there while it is modified, and removes it when it is not.
  [[nodiscard]] Result<void> KeepRecovery(const FileWriter& write) const;
  /// Unsaved work left behind by a run that ended badly, if it differs from the file.
  [[nodiscard]] std::optional<std::string> FindRecovery() const;
  void TakeRecovery(const std::string& text) { Change(text); }
  void DropRecovery() const;

  // ---- Changes
  void Change(std::string text, const std::string& step = "");
  /// Answers a field of a form. Errors (job): as Answered; the text stays as it was.
  [[nodiscard]] Result<void> Answer(const FormField& field, const std::string& answer, bool live);
  /// Adds a thing, copies or moves a table in its list: the path of what is then to be edited.
  /// Errors (job) of these and of Remove: as WithNew, WithCopy, WithMoved, WithoutThing.
  [[nodiscard]] Result<TomlPath> Add(NewThing thing, const TomlPath& beside);
  [[nodiscard]] Result<TomlPath> Copy(const TomlPath& table);
  [[nodiscard]] Result<TomlPath> Move(const TomlPath& table, bool up);
  [[nodiscard]] Result<void> Remove(const TomlPath& table);
  /// Moves a point to the place of its part nearest to `to` (vehicle axes): the numbers of its rule
  /// follow, to half a millimetre and half a degree. Errors (job): the rule has no number to move.
  [[nodiscard]] Result<void> DragPoint(const ChosenPoint& point, const Vec3& to);
  /// Moves a point along its part: the way, laid flat on the skin and as long as it was given (mm,
  /// vehicle axes). A way of less than half a millimetre is taken to a tenth of one (inches:
  /// 1/256). Errors (job): as DragPoint; the way is square to the skin.
  [[nodiscard]] Result<void> NudgePoint(const ChosenPoint& point, const Vec3& way);
  void EndStep() { history_.EndStep(); }
  [[nodiscard]] bool CanUndo() const { return history_.CanUndo(); }
  [[nodiscard]] bool CanRedo() const { return history_.CanRedo(); }
  void Undo() { history_.Undo(); }
  void Redo() { history_.Redo(); }

  // ---- Its forms
  /// Of the text as it is; read once, however often they are asked for.
  [[nodiscard]] const JobForms& forms() const;
  [[nodiscard]] std::vector<FormField> FormOf(const TomlPath& table) const;
  /// What the reader says of a form; nothing while that is not known of the text as it is.
  [[nodiscard]] std::optional<FormFaults> FaultsOf(const TomlPath& table,
                                                   const std::vector<FormField>& fields) const;

  // ---- What it comes to
  /// Takes a state that was made of some text of this model.
  void Adopt(std::shared_ptr<const JobState> state);
  [[nodiscard]] const std::shared_ptr<const JobState>& state() const { return state_; }
  /// True if the state is that of the text as it is.
  [[nodiscard]] bool UpToDate() const { return state_ && state_->text == text(); }
  /// The verdict over all in words: "clear", "checking", "3 errors".
  [[nodiscard]] std::string Summary() const;

  // ---- The list
  [[nodiscard]] const std::vector<ListRow>& rows() const { return rows_; }
  /// Only rows that hold every word of the filter, in any column.
  void SetFilter(const std::string& filter);
  void SortBy(ListColumn column, bool falling);
  void Choose(std::optional<ChosenPoint> chosen) { chosen_ = std::move(chosen); }
  [[nodiscard]] const std::optional<ChosenPoint>& chosen() const { return chosen_; }
  /// The table of the chosen point in the text; nothing if there is none.
  [[nodiscard]] std::optional<TomlPath> ChosenTable() const;
  /// The index in state()->sides of a side, or nothing.
  [[nodiscard]] std::optional<std::size_t> SideIndex(Side side) const;

 private:
  void MakeRows();
  [[nodiscard]] const Job& JobAsRead() const;
  [[nodiscard]] Result<void> MovePoint(const ChosenPoint& point, const Vec3& to, bool fine);

  std::string path_;
  std::string saved_;  ///< the file's bytes as read or saved last
  TextHistory history_;
  mutable JobForms forms_;  ///< of the text they were asked for last
  std::shared_ptr<const JobState> state_;
  std::vector<ListRow> rows_;
  std::string filter_;
  std::optional<ListColumn> column_;
  bool falling_ = false;
  std::optional<ChosenPoint> chosen_;
};

/// The table of a point by its name; nothing if there is none.
[[nodiscard]] std::optional<TomlPath> TableOfPoint(const JobForms& forms, const std::string& name);

/// The worst verdict of a point on a side, nothing while some of its checks are missing.
[[nodiscard]] std::optional<Verdict> VerdictOf(const SideState& side, const PointRow& row);

/// Why it is no better, in sentences; empty where it is clear or there is no verdict yet.
[[nodiscard]] std::vector<std::string> ReasonsOf(const SideState& side, const PointRow& row);

/// What is said of a point: its verdict, or why it has none.
[[nodiscard]] std::string VerdictWord(const JobState& state, const PointRow& row,
                                      const std::optional<Verdict>& verdict);

}  // namespace holeward
