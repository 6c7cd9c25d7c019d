// The keys each kind of table of a job may have, as its form offers them.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "models/job_form.h"

namespace holeward {

/// A key that a kind of table may have. "body.length" is a key of a table in braces.
struct KeySpec {
  const char* key;
  FieldKind kind = FieldKind::value;
  std::vector<std::string> choices = {};
  const char* hint = "";
  std::vector<std::string> pieces = {};
};

/// One list a kind of table, in the order they are best filled in.
[[nodiscard]] std::vector<KeySpec> HeadKeys();
[[nodiscard]] std::vector<KeySpec> PartKeys();
[[nodiscard]] std::vector<KeySpec> FittingKeys();
[[nodiscard]] std::vector<KeySpec> InnerKeys();
[[nodiscard]] std::vector<KeySpec> LapKeys();
[[nodiscard]] std::vector<KeySpec> SectionKeys();
[[nodiscard]] std::vector<KeySpec> DatumKeys();
[[nodiscard]] std::vector<KeySpec> FaceKeys();
[[nodiscard]] std::vector<KeySpec> NeighbourKeys();
[[nodiscard]] std::vector<KeySpec> TemplateKeys();
[[nodiscard]] std::vector<KeySpec> VehicleKeys();
[[nodiscard]] std::vector<KeySpec> LimitKeys();
[[nodiscard]] std::vector<KeySpec> MarkingKeys();
[[nodiscard]] std::vector<KeySpec> DistributionKeys();
[[nodiscard]] std::vector<KeySpec> TestToolKeys();
[[nodiscard]] std::vector<KeySpec> DrillToolKeys();
[[nodiscard]] std::vector<KeySpec> SetKeys();
[[nodiscard]] std::vector<KeySpec> VariantKeys();
[[nodiscard]] std::vector<KeySpec> WordsKeys();
[[nodiscard]] std::vector<KeySpec> ReleaseKeys();
[[nodiscard]] std::vector<KeySpec> StepKeys();
[[nodiscard]] std::vector<KeySpec> DecisionKeys();
[[nodiscard]] std::vector<KeySpec> BenchKeys();
[[nodiscard]] std::vector<KeySpec> BenchRowKeys();
[[nodiscard]] std::vector<KeySpec> BenchSpareKeys();
[[nodiscard]] std::vector<KeySpec> BenchMountKeys();

/// The keys of the table at a path, of its own kind; none for a point, whose form follows its use.
[[nodiscard]] std::vector<KeySpec> KeysOf(const TomlPath& table);

/// The part of that name, or null.
[[nodiscard]] const PartRow* PartOf(const Job& job, const std::string& name);
/// How a value shows in a form: words without their quotes; empty for null.
[[nodiscard]] std::string ShownOf(std::string_view text, const TomlSpot* spot);
/// A value as it stands in the text; empty for null.
[[nodiscard]] std::string RawOf(std::string_view text, const TomlSpot* spot);
/// A list of texts one a line, or the one text; empty for null.
[[nodiscard]] std::string LinesOf(std::string_view text, const TomlSpot* spot);
/// A list of plain values as a person writes it, without brackets and quotes, where that answered
/// says the same; else as it stands. @param list as for ValueOf
[[nodiscard]] std::string PlainOf(std::string_view text, const TomlSpot* spot, bool list);
/// A list of lists, one a line; and such lines as TOML writes them.
[[nodiscard]] std::string RowsOf(std::string_view text, const TomlSpot* spot);
[[nodiscard]] std::string RowsValue(const std::string& answer);
/// An answer as TOML writes it: what is a value stays as it is, words get their quotes, what is
/// parted by commas its brackets. @param list put brackets round a single value too
[[nodiscard]] std::string ValueOf(const std::string& answer, bool list);
/// The tables of a text that is TOML, as JobForms::tables.
[[nodiscard]] std::vector<JobTable> AllTables(std::string_view text, const TomlSpot& root);
/// The key at a step of a path; empty if there is none.
[[nodiscard]] std::string KeyAt(const TomlPath& path, std::size_t step);

}  // namespace holeward
