// Single values of a job file and how messages show them.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "models/nearest_word.h"
#include "models/toml_walk.h"

namespace holeward {
namespace {

// Nothing on a vehicle is longer; beyond it a job is a slip of the pen (a wrong unit, a lost
// point).
constexpr double kLongest = 100000.0;
// Below it a size is no size: no section or tool could be made of it.
constexpr double kSmallestSize = 0.01;
constexpr std::size_t kLongestShown = 60;

// Bytes of the UTF-8 character that begins with this byte.
std::size_t Bytes(unsigned char first) {
  if (first >= 0xf0) return 4;
  if (first >= 0xe0) return 3;
  return first >= 0xc0 ? 2 : 1;
}

std::size_t Characters(std::string_view text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
    return (static_cast<unsigned char>(c) & 0xc0) != 0x80;
  }));
}

// ASCII controls, DEL, and the C1 controls and direction overrides that hide what a name is.
bool HasControl(std::string_view text) {
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto c = static_cast<unsigned char>(text[i]);
    const auto next = i + 1 < text.size() ? static_cast<unsigned char>(text[i + 1]) : 0u;
    const auto third = i + 2 < text.size() ? static_cast<unsigned char>(text[i + 2]) : 0u;
    if (c < 0x20 || c == 0x7f) return true;
    if (c == 0xc2 && next < 0xa0) return true;
    const bool separator_or_override = third >= 0xa8 && third <= 0xae;
    if (c == 0xe2 && next == 0x80 && separator_or_override) return true;
    if (c == 0xe2 && next == 0x81 && third >= 0xa6 && third <= 0xa9) return true;
  }
  return false;
}

bool Blank(std::string_view text) { return text.find_first_not_of(' ') == std::string_view::npos; }

std::string TooFar(const Bounds& bounds, double value) {
  if (bounds.unit == Measured::length && std::isfinite(value)) {
    if (std::abs(value) > kLongest) return "a length of at most 100 m";
    if (bounds.low == kSmallestSize && value > 0.0) return "a length of at least 0.01 mm";
  }
  return bounds.words;
}

}  // namespace

Bounds SizeBounds() {
  return {"a length greater than 0", Measured::length, kSmallestSize, false, kLongest, false};
}
Bounds LengthBounds() {
  return {"a length of 0 or more", Measured::length, 0.0, false, kLongest, false};
}
Bounds CoordinateBounds() {
  return {"a length", Measured::length, -kLongest, false, kLongest, false};
}
Bounds CountBounds() {
  return {"a number from 0 to 1000", Measured::plain, 0.0, false, 1000.0, false};
}

std::string Quoted(std::string_view text) {
  std::string shown = "\"";
  std::size_t characters = 0;
  for (std::size_t i = 0; i < text.size();) {
    if (++characters > kLongestShown) {
      shown += "...";
      break;
    }
    const std::size_t bytes = std::min(Bytes(static_cast<unsigned char>(text[i])), text.size() - i);
    const auto character = text.substr(i, bytes);
    shown += HasControl(character) ? std::string_view(".") : character;
    i += bytes;
  }
  return shown + "\"";
}

std::string OneOf(const std::vector<std::string>& words) {
  std::string joined;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i > 0) joined += i + 1 == words.size() ? " or " : ", ";
    joined += words[i];
  }
  return joined;
}

std::string Listed(const std::vector<std::string>& words) {
  return words.empty() ? "none" : fmt::format("{}", fmt::join(words, ", "));
}

std::string Meant(std::string_view word, const std::vector<std::string>& known) {
  const auto near = NearestWord(word, known);
  return near ? fmt::format("; did you mean \"{}\"?", *near) : std::string();
}

std::string Shown(const TomlNode& node) {
  switch (node.kind) {
    case TomlKind::text: return Quoted(node.text);
    case TomlKind::whole:
    case TomlKind::number: return fmt::format("{}", node.number);
    case TomlKind::flag: return node.flag ? "true" : "false";
    case TomlKind::date: return "a date or time";
    case TomlKind::list:
      return node.items.empty() ? "an empty list" : fmt::format("a list of {}", node.items.size());
    case TomlKind::table: return "a table";
  }
  return "something else";
}

std::optional<double> ReadNumber(const TomlNode& node, const std::string& what,
                                 const Bounds& bounds, WalkContext& context) {
  if (!node.IsNumber()) {
    context.Add(node.at, fmt::format("{} must be {}; found {}", what, bounds.words, Shown(node)));
    return std::nullopt;
  }
  const double scale = bounds.unit == Measured::length ? context.unit_mm : 1.0;
  const double value = node.number * scale;
  const bool low = bounds.low_open ? value > bounds.low : value >= bounds.low;
  const bool high = bounds.high_open ? value < bounds.high : value <= bounds.high;
  if (!std::isfinite(value) || !low || !high) {
    context.Add(node.at,
                fmt::format("{} must be {}; found {}", what, TooFar(bounds, value), Shown(node)));
    return std::nullopt;
  }
  return bounds.unit == Measured::degrees ? value * kDegree : value;
}

std::optional<std::string> ReadText(const TomlNode& node, const std::string& what,
                                    std::size_t longest, WalkContext& context) {
  if (node.kind != TomlKind::text) {
    context.Add(node.at, fmt::format("{} must be text in quotes; found {}", what, Shown(node)));
    return std::nullopt;
  }
  if (Blank(node.text)) {
    context.Add(node.at, fmt::format("{} must not be empty", what));
    return std::nullopt;
  }
  if (HasControl(node.text)) {
    context.Add(node.at, fmt::format("{} must not hold control characters; found {}", what,
                                     Quoted(node.text)));
    return std::nullopt;
  }
  if (const auto count = Characters(node.text); count > longest) {
    context.Add(node.at, fmt::format("{} must be at most {} characters long; found {}", what,
                                     longest, count));
    return std::nullopt;
  }
  return node.text;
}

std::optional<std::string> ReadChoice(const TomlNode& node, const std::string& what,
                                      const std::vector<std::string>& words, WalkContext& context,
                                      const std::string& also) {
  const bool known = node.kind == TomlKind::text &&
                     std::find(words.begin(), words.end(), node.text) != words.end();
  if (known) return node.text;
  std::vector<std::string> shown = words;
  if (!also.empty()) shown.push_back(also);
  const auto meant = node.kind == TomlKind::text ? Meant(node.text, words) : std::string();
  context.Add(node.at,
              fmt::format("{} must be {}; found {}{}", what, OneOf(shown), Shown(node), meant));
  return std::nullopt;
}

std::optional<Vec3> ReadPlace(const TomlNode& node, const std::string& what, WalkContext& context) {
  if (node.kind != TomlKind::list || node.items.size() != 3) {
    const auto found =
        node.kind == TomlKind::list ? fmt::format("a list of {}", node.items.size()) : Shown(node);
    context.Add(node.at, fmt::format("{} must be a place [x, y, z]; found {}", what, Shown(node)));
    return std::nullopt;
  }
  static constexpr char kAxis[] = {'x', 'y', 'z'};
  Vec3 place = Vec3::Zero();
  bool sound = true;
  for (int i = 0; i < 3; ++i) {
    const auto name = fmt::format("{} of {}", kAxis[i], what);
    const auto value = ReadNumber(node.items[i], name, CoordinateBounds(), context);
    sound = sound && value.has_value();
    place[i] = value.value_or(0.0);
  }
  if (!sound) return std::nullopt;
  return place;
}

}  // namespace holeward
