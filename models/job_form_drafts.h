// What a table is that a person adds to a job, before it is edited.
#pragma once

#include <string>
#include <string_view>

#include "models/job_edit.h"
#include "models/job_form.h"

namespace holeward {

/// What a draft is made for.
struct DraftPlace {
  std::string_view text;
  std::string part;  ///< the part it belongs to, where it belongs to one
  const Job& job;
};

/// The table of a thing that has one of its own. @pre not one of the lists of a bench, not a
/// station or variant
[[nodiscard]] NewTable DraftOf(const DraftPlace& place, NewThing thing);

/// A row of a bench that has none yet, in braces.
[[nodiscard]] std::string FirstBenchRow();

/// True for what belongs to a part.
[[nodiscard]] bool NeedsPart(NewThing thing);

/// The part a thing is added to: that of the table chosen, else the first; empty if there is none.
[[nodiscard]] std::string PartNameFor(const TomlSpot& root, const TomlPath& beside);

/// A name that no table of the text has: the same with a number behind it.
[[nodiscard]] std::string FreshName(std::string_view text, const std::string& model);

}  // namespace holeward
