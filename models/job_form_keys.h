// The keys each kind of table of a job may have, as its form offers them.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "models/job_form.h"

namespace holeward {

/// A key that a kind of table may have.
struct KeySpec {
  const char* key;
  FieldKind kind = FieldKind::value;
  std::vector<std::string> choices = {};
  const char* hint = "";
};

/// One list a kind of table, in the order they are best filled in.
[[nodiscard]] std::vector<KeySpec> HeadKeys();
[[nodiscard]] std::vector<KeySpec> PartKeys();
[[nodiscard]] std::vector<KeySpec> FittingKeys();
[[nodiscard]] std::vector<KeySpec> InnerKeys();
[[nodiscard]] std::vector<KeySpec> LapKeys();
[[nodiscard]] std::vector<KeySpec> NeighbourKeys();
[[nodiscard]] std::vector<KeySpec> TemplateKeys();
[[nodiscard]] std::vector<KeySpec> VehicleKeys();
[[nodiscard]] std::vector<KeySpec> LimitKeys();
[[nodiscard]] std::vector<KeySpec> MarkingKeys();
[[nodiscard]] std::vector<KeySpec> DistributionKeys();
[[nodiscard]] std::vector<KeySpec> TestToolKeys();
[[nodiscard]] std::vector<KeySpec> DrillToolKeys();

/// The part of that name, or null.
[[nodiscard]] const PartRow* PartOf(const Job& job, const std::string& name);
/// How a value shows in a form: words without their quotes; empty for null.
[[nodiscard]] std::string ShownOf(std::string_view text, const TomlSpot* spot);
/// A value as it stands in the text; empty for null.
[[nodiscard]] std::string RawOf(std::string_view text, const TomlSpot* spot);
/// The key at a step of a path; empty if there is none.
[[nodiscard]] std::string KeyAt(const TomlPath& path, std::size_t step);

}  // namespace holeward
