// Capitals for words that must not be missed.
#pragma once

#include <string>

#include <glib.h>

namespace holeward {

/// The text in capitals, as Unicode has them ("ß" becomes "SS").
/// @param text UTF-8
[[nodiscard]] inline std::string Upper(const std::string& text) {
  gchar* capitals = g_utf8_strup(text.data(), static_cast<gssize>(text.size()));
  std::string result(capitals);
  g_free(capitals);
  return result;
}

}  // namespace holeward
