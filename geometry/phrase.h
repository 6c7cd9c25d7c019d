// A sentence still to be said: its pattern as it is written in the program, and the names that go
// into it. What is composed deep below is said in a person's language only on the sheet.
#pragma once

#include <string>
#include <vector>

namespace holeward {

/// Marks a text for the message catalogues (po/) where it is kept now and said later.
[[nodiscard]] constexpr const char* Told(const char* text) { return text; }

/// A pattern with a "{}" for each name, in their order.
struct Phrase {
  std::string pattern;  ///< empty: nothing is said
  std::vector<std::string> names;

  Phrase() = default;
  explicit Phrase(std::string text, std::vector<std::string> of = {})
      : pattern(std::move(text)), names(std::move(of)) {}

  [[nodiscard]] bool empty() const { return pattern.empty(); }
  /// As the program has it.
  [[nodiscard]] std::string English() const;
  bool operator==(const Phrase&) const = default;
};

/// The pattern with the names in its places: "{}" takes them in turn, "{1}" the second.
[[nodiscard]] std::string Filled(const std::string& pattern, const std::vector<std::string>& names);

}  // namespace holeward
