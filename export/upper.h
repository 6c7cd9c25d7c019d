// Capitals for words that must not be missed.
#pragma once

#include <cctype>
#include <string>

namespace holeward {

/// The text with the letters a to z as capitals; every other byte stays.
[[nodiscard]] inline std::string Upper(std::string text) {
  for (char& c : text) c = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
  return text;
}

}  // namespace holeward
