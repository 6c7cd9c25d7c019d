// The tables of a job as forms: which keys a table may have, in the job file's own words, what they
// hold now, and how an answer is put into the text. Nothing but text is changed.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "geometry/result.h"
#include "models/job.h"
#include "models/toml_text.h"

namespace holeward {

enum class FieldKind {
  words,   ///< a text of one's own
  choice,  ///< one of the words offered
  number,  ///< a number alone
  value,   ///< a list, a table in braces, or a number or word: as TOML writes it
};

/// One line of a form.
struct FormField {
  std::string label;  ///< the key, "rule 1: tape"
  TomlPath path;
  FieldKind kind = FieldKind::value;
  std::vector<std::string> choices;
  std::string shown;    ///< what stands there now, words without their quotes; empty: not given
  std::string hint;     ///< what counts when nothing is given
  bool method = false;  ///< the method of a measure: an answer rewrites the measure
};

/// A table of a job that has a form.
struct JobTable {
  std::string title;  ///< "point A1", "arm: fitting pivot eye"
  TomlPath path;
  int level = 0;  ///< 1 for what belongs to a part
};

/// Every table of the text, in the order they are best read: vehicle and limits, parts with what is
/// theirs, neighbours, points, templates. Tables that are not there yet but may be are among them.
[[nodiscard]] std::vector<JobTable> TablesOf(std::string_view text);

/// The form of a table; empty for a path that has none. @param job for the names it offers
[[nodiscard]] std::vector<FormField> FormOf(std::string_view text, const TomlPath& table,
                                            const Job& job);

/// The text with a field answered; an empty answer takes its key out.
/// Errors (job): an answer that is not of the field's kind, in words.
[[nodiscard]] Result<std::string> Answered(std::string_view text, const FormField& field,
                                           const std::string& answer);

/// The kinds of table a person can add.
enum class NewThing { point, part, fitting, inner, neighbour, template_sheet, station };

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

}  // namespace holeward
