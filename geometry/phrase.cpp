#include "geometry/phrase.h"

#include <fmt/args.h>
#include <fmt/format.h>

namespace holeward {

std::string Filled(const std::string& pattern, const std::vector<std::string>& names) {
  if (names.empty()) return pattern;
  fmt::dynamic_format_arg_store<fmt::format_context> store;
  for (const std::string& name : names) store.push_back(name);
  return fmt::vformat(pattern, store);
}

std::string Phrase::English() const { return Filled(pattern, names); }

}  // namespace holeward
