#include "models/content_hash.h"

#include <algorithm>

#include <fmt/format.h>

#include "models/text_hash.h"

namespace holeward {
namespace {

constexpr std::size_t kDigits = 16;  // 64 bits: nobody meets two jobs of one hash by accident

std::string Canonical(const TomlNode& node);

/// Length first, so that no text can look like the end of itself and more.
std::string CanonicalText(char kind, const std::string& text) {
  return fmt::format("{}{}:{}", kind, text.size(), text);
}

std::string CanonicalTable(const TomlNode& table, const std::string& skip) {
  std::vector<const TomlEntry*> entries;
  for (const TomlEntry& entry : table.entries) {
    if (entry.key != skip) entries.push_back(&entry);
  }
  std::sort(entries.begin(), entries.end(),
            [](const TomlEntry* a, const TomlEntry* b) { return a->key < b->key; });
  std::string text = "{";
  for (const TomlEntry* entry : entries) {
    text += CanonicalText('k', entry->key) + Canonical(entry->value);
  }
  return text + "}";
}

std::string Canonical(const TomlNode& node) {
  switch (node.kind) {
    case TomlKind::text: return CanonicalText('t', node.text);
    case TomlKind::date: return CanonicalText('t', node.text);  // a date may be written as text
    case TomlKind::whole:
    case TomlKind::number: return fmt::format("n{};", node.number + 0.0);  // shortest that is exact
    case TomlKind::flag: return node.flag ? "y" : "f";
    case TomlKind::table: return CanonicalTable(node, "");
    case TomlKind::list: break;
  }
  std::string text = "[";
  for (const TomlNode& item : node.items) text += Canonical(item);
  return text + "]";
}

}  // namespace

std::string ContentHash(const TomlNode& job) {
  return Sha256(CanonicalTable(job, "release")).substr(0, kDigits);
}

}  // namespace holeward
