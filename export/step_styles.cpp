#include "export/step_styles.h"

#include <algorithm>
#include <cctype>
#include <cstdlib>
#include <functional>
#include <map>
#include <utility>
#include <vector>

#include <fmt/format.h>

namespace holeward {
namespace {

constexpr const char* kGroup = " = MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION(";
constexpr const char* kEnd = "ENDSEC;\nEND-ISO-10303-21;";

/// What stands behind "#n" of one record, to its semicolon, and the records it names.
struct Record {
  std::string body;
  std::vector<long> names;
};

/// Calls `found` with the start, the end and the number of every "#n" in a text without "#" in its
/// strings, as those of the styles are.
void EachNumber(const std::string& text,
                const std::function<void(std::size_t, std::size_t, long)>& found) {
  for (std::size_t at = text.find('#'); at != std::string::npos; at = text.find('#', at + 1)) {
    std::size_t end = at + 1;
    while (end < text.size() && std::isdigit(static_cast<unsigned char>(text[end])) != 0) ++end;
    if (end > at + 1) found(at, end, std::strtol(text.c_str() + at + 1, nullptr, 10));
  }
}

std::map<long, Record> RecordsOf(const std::string& text) {
  std::map<long, Record> records;
  std::size_t from = 0;
  for (std::size_t end = text.find(";\n"); end != std::string::npos; end = text.find(";\n", from)) {
    const std::string line = text.substr(from, end - from);
    Record record{line.substr(std::min(line.find(" = "), line.size())), {}};
    EachNumber(record.body,
               [&](std::size_t, std::size_t, long number) { record.names.push_back(number); });
    records[std::strtol(line.c_str() + 1, nullptr, 10)] = std::move(record);
    from = end + 2;
  }
  return records;
}

/// The records' old numbers in their new order: each group, by the shape it belongs to, then what
/// it names.
std::vector<long> InOrder(const std::map<long, Record>& records) {
  std::vector<std::pair<long, long>> groups;  // the shape's context stands last in a group
  for (const auto& [number, record] : records) {
    if (record.body.rfind(kGroup, 0) == 0) groups.emplace_back(record.names.back(), number);
  }
  std::sort(groups.begin(), groups.end());
  std::vector<long> order;
  std::map<long, bool> taken;
  const std::function<void(long)> take = [&](long number) {
    const auto found = records.find(number);
    if (found == records.end() || std::exchange(taken[number], true)) return;
    order.push_back(number);
    for (const long named : found->second.names) take(named);
  };
  for (const auto& group : groups) take(group.second);
  return order;
}

std::string Renumbered(const std::string& body, const std::map<long, long>& numbers) {
  std::string out;
  std::size_t copied = 0;
  EachNumber(body, [&](std::size_t at, std::size_t end, long number) {
    const auto now = numbers.find(number);
    if (now == numbers.end()) return;
    out += body.substr(copied, at - copied) + fmt::format("#{}", now->second);
    copied = end;
  });
  return out + body.substr(copied);
}

}  // namespace

std::string WithStylesInOrder(const std::string& step) {
  const std::size_t name = step.find(kGroup);
  const std::size_t end = step.rfind(kEnd);
  if (name == std::string::npos || end == std::string::npos) return step;
  const std::size_t start = step.rfind('#', name);
  const auto records = RecordsOf(step.substr(start, end - start));
  const std::vector<long> order = InOrder(records);
  // A record that no group names would be lost: then the text stays as it is.
  if (order.empty() || order.size() != records.size()) return step;
  std::map<long, long> numbers;
  for (const long number : order) {
    numbers[number] = records.begin()->first + static_cast<long>(numbers.size());
  }
  std::string out = step.substr(0, start);
  for (const long number : order) {
    out += fmt::format("#{}{};\n", numbers[number], Renumbered(records.at(number).body, numbers));
  }
  return out + step.substr(end);
}

}  // namespace holeward
