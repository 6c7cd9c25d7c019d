#include "models/utf8_check.h"

namespace holeward {
namespace {

unsigned char At(std::string_view text, std::size_t i) {
  return i < text.size() ? static_cast<unsigned char>(text[i]) : static_cast<unsigned char>(0);
}

bool Between(unsigned char c, int low, int high) { return c >= low && c <= high; }

// Length of the character at i by the grammar of RFC 3629; 0 if there is none.
std::size_t Length(std::string_view text, std::size_t i) {
  const unsigned char a = At(text, i), b = At(text, i + 1), c = At(text, i + 2),
                      d = At(text, i + 3);
  const bool c_tail = Between(c, 0x80, 0xbf);
  if (a < 0x80) return 1;
  if (Between(a, 0xc2, 0xdf)) return Between(b, 0x80, 0xbf) ? 2 : 0;
  if (Between(a, 0xe0, 0xef)) {
    const bool shortest = Between(b, a == 0xe0 ? 0xa0 : 0x80, a == 0xed ? 0x9f : 0xbf);
    return shortest && c_tail ? 3 : 0;
  }
  if (Between(a, 0xf0, 0xf4)) {
    const bool shortest = Between(b, a == 0xf0 ? 0x90 : 0x80, a == 0xf4 ? 0x8f : 0xbf);
    return shortest && c_tail && Between(d, 0x80, 0xbf) ? 4 : 0;
  }
  return 0;
}

}  // namespace

std::optional<Location> FirstNotUtf8(std::string_view text) {
  Location at{1, 1};
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t length = Length(text, i);
    if (length == 0) return at;
    ++at.column;
    if (text[i] == '\n') at = {at.line + 1, 1};
    i += length;
  }
  return std::nullopt;
}

}  // namespace holeward
