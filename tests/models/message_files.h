// Reads message files (.po) and what is in them, for tests of the sheets' languages.
#pragma once

#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

namespace holeward::testing_tools {

/// A text and its translation.
struct Message {
  std::string text;
  std::string said;
};

/// The text between the quotes of a line of a message file.
inline std::string Unquoted(const std::string& line) {
  const std::size_t from = line.find('"') + 1;
  const std::size_t to = line.rfind('"');
  std::string text;
  for (std::size_t i = from; i < to; ++i) {
    if (line[i] == '\\' && i + 1 < to) {
      ++i;
      text += line[i] == 'n' ? '\n' : line[i];
    } else {
      text += line[i];
    }
  }
  return text;
}

/// The messages of a file in its order, without its header. A fuzzy one has no translation.
inline std::vector<Message> MessagesOf(const std::string& file) {
  std::vector<Message> messages;
  std::ifstream in(file);
  bool fuzzy = false;
  std::string* open = nullptr;
  for (std::string line; std::getline(in, line);) {
    if (line.rfind("#,", 0) == 0 && line.find("fuzzy") != std::string::npos) fuzzy = true;
    if (line.rfind("msgid ", 0) == 0) {
      messages.push_back({Unquoted(line), ""});
      open = &messages.back().text;
    } else if (line.rfind("msgstr ", 0) == 0 && !messages.empty()) {
      messages.back().said = fuzzy ? "" : Unquoted(line);
      open = fuzzy ? nullptr : &messages.back().said;
      fuzzy = false;
    } else if (!line.empty() && line[0] == '"' && open != nullptr) {
      *open += Unquoted(line);
    }
  }
  if (!messages.empty() && messages.front().text.empty()) messages.erase(messages.begin());
  return messages;
}

/// The places for values of a text: number (or name) of the value and its format, in order of the
/// numbers; those without a number are numbered as they stand.
inline std::multimap<std::string, std::string> PlacesOf(const std::string& text) {
  std::multimap<std::string, std::string> places;
  int next = 0;
  for (std::size_t at = 0; (at = text.find('{', at)) != std::string::npos;) {
    const std::size_t end = text.find('}', at);
    if (end == std::string::npos) break;
    const std::string inside = text.substr(at + 1, end - at - 1);
    const std::size_t colon = std::min(inside.find(':'), inside.size());
    std::string which = inside.substr(0, colon);
    if (which.empty()) which = std::to_string(next++);
    places.emplace(which, inside.substr(colon));
    at = end + 1;
  }
  return places;
}

/// True if some places are numbered and others not: fmt refuses that.
inline bool MixesNumbering(const std::string& text) {
  bool numbered = false;
  bool plain = false;
  for (std::size_t at = 0; (at = text.find('{', at)) != std::string::npos; ++at) {
    (at + 1 < text.size() && text[at + 1] >= '0' && text[at + 1] <= '9' ? numbered : plain) = true;
  }
  return numbered && plain;
}

/// The message file of a language.
inline std::string MessageFile(const std::string& code) {
  return std::string(HOLEWARD_SOURCE_DIR) + "/po/" + code + ".po";
}

}  // namespace holeward::testing_tools
