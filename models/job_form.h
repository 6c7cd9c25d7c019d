// The tables of a job as forms: which keys a table may have, in the job file's own words, what they
// hold now, and how an answer is put into the text. Nothing but text is changed.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "geometry/result.h"
#include "models/job_reader.h"
#include "models/toml_text.h"

namespace holeward {

enum class FieldKind {
  words,   ///< a text of one's own
  lines,   ///< a text of one's own, or several, one a line
  choice,  ///< one of the words offered
  number,  ///< a number alone
  list,    ///< values parted by commas, with or without the brackets around them
  rows,    ///< lists, one a line, each as above
  spread,  ///< an error: one number for both ways, or { minus, plus }
  value,   ///< a list, a table in braces, or a number or word: as TOML writes it, or nearly so
};

/// One line of a form.
struct FormField {
  std::string label;  ///< the key, "rule 1: tape"
  TomlPath path;
  FieldKind kind = FieldKind::value;
  std::vector<std::string> choices;
  std::string shown;     ///< what stands there now, words without their quotes; empty: not given
  std::string hint;      ///< what counts when nothing is given
  bool method = false;   ///< the method of a measure: an answer rewrites the measure
  bool renames = false;  ///< the name of a part: an answer renames its tables, paths change
  std::vector<std::string> pieces = {};  ///< what each piece of the value is, typed apart: x, y, z
};

// ---- Values of several pieces

/// Each piece as it stands; none for a field without pieces, or whose value is of other pieces.
/// An error has three: both ways, minus, plus.
[[nodiscard]] std::vector<std::string> PiecesIn(const FormField& field);
/// The pieces once one of them was typed: of an error, both ways and each way exclude each other.
[[nodiscard]] std::vector<std::string> PiecesAfter(const FormField& field,
                                                   std::vector<std::string> pieces,
                                                   std::size_t typed);
/// The pieces as one answer; nothing while some are missing.
[[nodiscard]] std::optional<std::string> AnswerOf(const FormField& field,
                                                  const std::vector<std::string>& pieces);

/// A table of a job that has a form.
struct JobTable {
  std::string title;  ///< "point A1", "arm: fitting pivot eye"
  TomlPath path;
  int level = 0;  ///< 1 for what belongs to a part, 2 to its bench
};

/// What the reader says of a form, in its own words.
struct FormFaults {
  std::vector<std::string> of_table;  ///< of the table as a whole, or of a key it has no line for
  std::vector<std::string> of_field;  ///< one a field, empty where nothing is wrong
};

/// The tables and forms of one text, which is read for them once.
class JobForms {
 public:
  explicit JobForms(std::string text = "");

  [[nodiscard]] const std::string& text() const { return text_; }

  /// Every table of the text, in the order they are best read: vehicle and limits, parts with what
  /// is theirs, neighbours, points, templates, then what the workshop and the office are told.
  /// Tables that are not there yet but may be are among them. None if the text is not TOML.
  [[nodiscard]] const std::vector<JobTable>& tables() const { return tables_; }

  /// The form of a table; empty for a path that has none. @param job for the names it offers
  [[nodiscard]] std::vector<FormField> FormOf(const TomlPath& table, const Job& job) const;

  /// The errors of this text that stand in a table, each at the innermost field it stands in.
  [[nodiscard]] FormFaults FaultsOf(const TomlPath& table, const std::vector<FormField>& fields,
                                    const std::vector<JobError>& errors) const;

  /// One a table: true if an error stands in it (and not in a table under it that is listed too).
  [[nodiscard]] std::vector<bool> Faulty(const std::vector<JobError>& errors) const;

 private:
  std::string text_;
  std::optional<TomlSpot> root_;
  std::vector<JobTable> tables_;
};

/// As JobForms, for one question.
[[nodiscard]] std::vector<JobTable> TablesOf(std::string_view text);
[[nodiscard]] std::vector<FormField> FormOf(std::string_view text, const TomlPath& table,
                                            const Job& job);

/// The text with a field answered; an empty answer takes its key out.
/// Errors (job): an answer that is not of the field's kind, in words.
[[nodiscard]] Result<std::string> Answered(std::string_view text, const FormField& field,
                                           const std::string& answer);

/// The kinds of table a person can add.
enum class NewThing {
  point,
  part,
  bench_part,  ///< a part measured on a bench
  station,
  fitting,
  inner,
  lap,
  datum,      ///< that a solid shows
  face_name,  ///< of a flat of a solid
  bench_row,
  bench_spare,
  bench_mount,
  neighbour,
  template_sheet,
  step,
  decision,
  variant,
};

/// The text with a thing added, ready to be edited, and its path.
/// @param beside what is chosen now: a point is copied in kind, a fitting goes to the same part
struct Added {
  std::string text;
  TomlPath path;
};
[[nodiscard]] Result<Added> WithNew(std::string_view text, NewThing thing, const TomlPath& beside,
                                    const Job& job);

/// The text with a copy of the table right behind it, under a name of its own.
[[nodiscard]] Result<Added> WithCopy(std::string_view text, const TomlPath& table);

/// The text without the table, whether it has a header or stands in braces in a list.
[[nodiscard]] Result<std::string> WithoutThing(std::string_view text, const TomlPath& table);

}  // namespace holeward
