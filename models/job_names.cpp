// Names of a job: which are taken, which are words of the job file, which side they belong to.
#include <algorithm>

#include <fmt/format.h>

#include "models/job_reading.h"

namespace holeward {

std::optional<std::size_t> JobReadingState::Part(std::string_view name) const {
  const auto found = std::find_if(job.parts.begin(), job.parts.end(),
                                  [&](const PartRow& part) { return part.name == name; });
  if (found == job.parts.end()) return std::nullopt;
  return static_cast<std::size_t>(found - job.parts.begin());
}

bool NameBook::Claim(const std::string& name, const std::string& kind, Location at,
                     WalkContext& context) {
  if (name.empty()) return true;
  const auto [entry, fresh] = entries.try_emplace(name, Entry{kind, at});
  if (fresh) return true;
  context.Add(at, fmt::format("the name {} is taken: it is {} already (line {})", Quoted(name),
                              entry->second.kind, entry->second.at.line));
  return false;
}

bool IsReservedName(std::string_view name) {
  static const std::vector<std::string> kWords{
      "up",       "down", "top",   "bottom", "underside", "front",  "rear", "inboard",
      "outboard", "left", "right", "face",   "middle",    "normal", "none", "far wall"};
  return name.ends_with(" edge") || std::find(kWords.begin(), kWords.end(), name) != kWords.end();
}

void CheckReserved(const std::string& name, Location at, WalkContext& context) {
  if (!IsReservedName(name)) return;
  context.Add(at, fmt::format("{} cannot be a name: it is a word with a meaning of its own in jobs "
                              "and results",
                              Quoted(name)));
}

std::optional<Side> ReadOnly(TableWalk& walk) {
  const auto word = walk.Choice("only", {"left", "right"});
  if (!word) return std::nullopt;
  return *word == "left" ? Side::left : Side::right;
}

Basis ReadBasis(TableWalk& walk, const std::string& key, Basis otherwise) {
  const auto word = walk.Choice(key, {"measured", "drawn", "assumed"});
  if (word == "measured") return Basis::measured;
  if (word == "drawn") return Basis::drawn;
  return word == "assumed" ? Basis::assumed : otherwise;
}

std::string LeftRightRefused(const std::string& what, std::string_view word) {
  return fmt::format(
      "{} must not be \"{}\": left and right swap when a part is mirrored; say inboard "
      "or outboard",
      what, word);
}

std::string ItemName(const TomlNode& node, const std::string& kind, std::size_t index,
                     const std::string& part) {
  const TomlNode* name = node.Find("name");
  const auto of = part.empty() ? std::string() : " of " + part;
  if (name && name->kind == TomlKind::text && !name->text.empty()) {
    return fmt::format("{} {}{}", kind, Quoted(name->text), of);
  }
  return fmt::format("{} {}{}", kind, index + 1, of);
}

std::optional<std::size_t> ReadPartName(TableWalk& walk, const JobReadingState& state,
                                        std::string& name) {
  const auto given = walk.Text("part", 60, Need::required);
  if (!given) return std::nullopt;
  name = *given;
  const auto index = state.Part(name);
  if (index) return index;
  const auto meant = Meant(name, state.part_names);
  walk.Error(walk.PlaceOf("part"),
             fmt::format("{} must be a part of this job; found {}{} Parts: {}", walk.What("part"),
                         Quoted(name), meant.empty() ? "." : meant, Listed(state.part_names)));
  return std::nullopt;
}

}  // namespace holeward
