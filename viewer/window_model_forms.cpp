// The window's forms: answers and things added go into the text.
#include <utility>

#include "models/job_edit.h"
#include "viewer/window_model.h"

namespace holeward {

std::optional<TomlPath> TableOfPoint(const JobForms& forms, const std::string& name) {
  for (const JobTable& table : forms.tables()) {
    if (table.title == "point " + name) return table.path;
  }
  return std::nullopt;
}

Result<void> WindowModel::Answer(const FormField& field, const std::string& answer, bool live) {
  auto changed = Answered(text(), field, answer);
  if (!changed) return tl::unexpected<Error>(changed.error());
  Change(std::move(*changed), live ? "answer " + field.label : "");
  return {};
}

const Job& WindowModel::JobAsRead() const {
  static const Job kNone;
  return state_ ? state_->job : kNone;
}

Result<TomlPath> WindowModel::Add(NewThing thing, const TomlPath& beside) {
  auto added = WithNew(text(), thing, beside, JobAsRead());
  if (!added) return tl::unexpected<Error>(added.error());
  Change(std::move(added->text));
  return std::move(added->path);
}

Result<TomlPath> WindowModel::Copy(const TomlPath& table) {
  auto copy = WithCopy(text(), table);
  if (!copy) return tl::unexpected<Error>(copy.error());
  Change(std::move(copy->text));
  return std::move(copy->path);
}

Result<TomlPath> WindowModel::Move(const TomlPath& table, bool up) {
  auto moved = WithMoved(text(), table, up);
  if (!moved) return tl::unexpected<Error>(moved.error());
  Change(std::move(*moved));
  TomlPath now = table;
  auto& index = std::get<std::size_t>(now.back());
  index = up ? index - 1 : index + 1;
  return now;
}

Result<void> WindowModel::Remove(const TomlPath& table) {
  auto left = WithoutThing(text(), table);
  if (!left) return tl::unexpected<Error>(left.error());
  Change(std::move(*left));
  return {};
}

const JobForms& WindowModel::forms() const {
  if (forms_.text() != text()) forms_ = JobForms(text());
  return forms_;
}

std::vector<FormField> WindowModel::FormOf(const TomlPath& table) const {
  return forms().FormOf(table, JobAsRead());
}

std::optional<FormFaults> WindowModel::FaultsOf(const TomlPath& table,
                                                const std::vector<FormField>& fields) const {
  if (!UpToDate()) return std::nullopt;
  return forms().FaultsOf(table, fields, state_->errors);
}

}  // namespace holeward
