// The known word that a mistyped one most likely meant.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace holeward {

/// Least number of single-letter changes (insert, remove, replace, swap of neighbours) that make
/// `b` of `a`; upper and lower case count as the same.
[[nodiscard]] int EditDistance(std::string_view a, std::string_view b);

/// The known word closest to `word` if it is close enough to be meant: at most one change in
/// three letters, at least one. The first of equals.
[[nodiscard]] std::optional<std::string> NearestWord(std::string_view word,
                                                     const std::vector<std::string>& known);

}  // namespace holeward
