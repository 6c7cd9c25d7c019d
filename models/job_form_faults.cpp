// Which table and field of a form an error of the reader stands in.
#include <algorithm>
#include <limits>
#include <utility>

#include "models/job_form_keys.h"

namespace holeward {
namespace {

constexpr std::size_t kNowhere = std::numeric_limits<std::size_t>::max();

/// The byte at a line and column, both from 1; columns count characters. Past the last character of
/// a line: its end. kNowhere for a place that is none.
std::size_t ByteOf(std::string_view text, const Location& at) {
  if (at.line < 1) return kNowhere;
  std::size_t byte = 0;
  for (int line = 1; line < at.line; ++line) {
    byte = text.find('\n', byte);
    if (byte == std::string_view::npos) return kNowhere;
    ++byte;
  }
  for (int column = 1; column < at.column && byte < text.size() && text[byte] != '\n'; ++column) {
    ++byte;
    while (byte < text.size() && (static_cast<unsigned char>(text[byte]) & 0xC0U) == 0x80U) ++byte;
  }
  return byte;
}

/// What of the text a path stands on: a key with its value, an item, a table with its header.
TextSpan SpanOf(const TomlSpot& root, const TomlPath& path) {
  const TomlSpot* spot = SpotAt(root, path);
  if (spot == nullptr) return {};
  const bool table = spot->kind == TomlSpot::Kind::table;
  const auto* key = path.empty() || table ? nullptr : std::get_if<std::string>(&path.back());
  const TomlSpot* owner = key == nullptr ? nullptr : SpotAt(root, {path.begin(), path.end() - 1});
  if (owner == nullptr) return spot->span;
  const auto entry = std::find_if(owner->entries.begin(), owner->entries.end(),
                                  [&](const TomlSpotEntry& e) { return e.key == *key; });
  const bool stands = entry != owner->entries.end() && entry->statement.to > entry->statement.from;
  return stands ? entry->statement : spot->span;
}

/// The index of the smallest span that holds the byte, or kNowhere.
std::size_t Innermost(const std::vector<TextSpan>& spans, std::size_t byte) {
  std::size_t best = kNowhere;
  for (std::size_t i = 0; byte != kNowhere && i < spans.size(); ++i) {
    if (byte < spans[i].from || byte >= spans[i].to) continue;
    const auto size = [&](std::size_t at) { return spans[at].to - spans[at].from; };
    if (best == kNowhere || size(i) < size(best)) best = i;
  }
  return best;
}

std::vector<TextSpan> SpansOf(const TomlSpot& root, const std::vector<JobTable>& tables) {
  std::vector<TextSpan> spans;
  spans.reserve(tables.size());
  for (const JobTable& table : tables) spans.push_back(SpanOf(root, table.path));
  return spans;
}

}  // namespace

FormFaults JobForms::FaultsOf(const TomlPath& table, const std::vector<FormField>& fields,
                              const std::vector<JobError>& errors) const {
  FormFaults faults;
  faults.of_field.resize(fields.size());
  if (!root_) return faults;
  const std::vector<TextSpan> tables = SpansOf(*root_, tables_);
  std::vector<TextSpan> spans;
  spans.reserve(fields.size());
  for (const FormField& field : fields) {
    spans.push_back(field.renames ? TextSpan{} : SpanOf(*root_, field.path));
  }
  for (const JobError& error : errors) {
    const std::size_t byte = ByteOf(text_, error.at);
    // What stands in no table is told with the job as a whole, which comes first.
    const std::size_t in = Innermost(tables, byte);
    if (tables_[in == kNowhere ? 0 : in].path != table) continue;
    const std::size_t field = Innermost(spans, byte);
    if (field == kNowhere) {
      faults.of_table.push_back(error.message);
    } else {
      std::string& told = faults.of_field[field];
      told += (told.empty() ? "" : "\n") + error.message;
    }
  }
  return faults;
}

std::vector<bool> JobForms::Faulty(const std::vector<JobError>& errors) const {
  std::vector<bool> faulty(tables_.size());
  if (!root_) return faulty;
  const std::vector<TextSpan> spans = SpansOf(*root_, tables_);
  for (const JobError& error : errors) {
    const std::size_t in = Innermost(spans, ByteOf(text_, error.at));
    faulty[in == kNowhere ? 0 : in] = true;
  }
  return faulty;
}

}  // namespace holeward
