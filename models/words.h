// What the sheets say, in the language they are asked for in: the program's own sentences through
// message catalogues (po/), the trainer's words through a table of theirs (words_table.h).
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "geometry/phrase.h"

namespace holeward {

enum class Language { english, german, spanish };

inline constexpr Language kLanguages[] = {Language::english, Language::german, Language::spanish};

/// ISO 639-1: "en", "de", "es".
[[nodiscard]] const char* Code(Language language);
/// The language of a code, or nothing.
[[nodiscard]] std::optional<Language> LanguageOf(const std::string& code);
/// Its name in English, for messages: "German".
[[nodiscard]] const char* NameOf(Language language);

/// The trainer's words in one language, by what the job says.
using OwnWords = std::map<std::string, std::string>;

/// Says texts in one language. A value: copies share their catalogue. A text that the catalogue
/// lacks is said in English; the tests see to it that none is lacking.
class Words {
 public:
  /// English: every text as it is written in the program.
  Words() = default;
  /// @param own translations of the trainer's words; ignored in English
  explicit Words(Language language, OwnWords own = {});

  [[nodiscard]] Language language() const { return language_; }

  [[nodiscard]] std::string Say(const char* text) const;

  /// A text with places for values as fmt has them ("{}", "{:.1f}"), checked when it is compiled.
  /// A translation may number them ("{1}") to change their order.
  template <class First, class... Rest>
  [[nodiscard]] std::string Say(fmt::format_string<const First&, const Rest&...> text,
                                const First& first, const Rest&... rest) const {
    const fmt::string_view pattern = text;
    return fmt::vformat(Say(pattern.data()), fmt::make_format_args(first, rest...));
  }

  /// A sentence composed earlier; its names are said as Own() says them.
  [[nodiscard]] std::string Say(const Phrase& phrase) const;

  /// A name or sentence of the job: in the trainer's own translation; a face, direction, line or
  /// edge in the program's; else as it is.
  [[nodiscard]] std::string Own(const std::string& text) const;

  /// The names as Own() says them, with commas between.
  [[nodiscard]] std::string OwnList(const std::vector<std::string>& names) const;

 private:
  struct Catalogue;

  Language language_ = Language::english;
  std::shared_ptr<const Catalogue> catalogue_;  ///< none in English
  std::shared_ptr<const OwnWords> own_;
};

/// True for what a part itself calls its places ("outboard", "bottom edge"): the program says it.
[[nodiscard]] bool IsPlaceWord(const std::string& text);

}  // namespace holeward
