#include "models/words.h"

#include <algorithm>
#include <array>
#include <locale>

#include <boost/locale/gnu_gettext.hpp>

#include "models/words_catalogue.h"

namespace holeward {
namespace {

namespace gettext = boost::locale::gnu_gettext;
using Messages = boost::locale::message_format<char>;

/// What parts call their faces, lines and edges, and what inner places are called.
constexpr std::array kPlaceWords = {
    Told("top"),          Told("underside"),     Told("bottom"),     Told("front"),
    Told("rear"),         Told("inboard"),       Told("outboard"),   Told("middle"),
    Told("top edge"),     Told("bottom edge"),   Told("front edge"), Told("rear edge"),
    Told("inboard edge"), Told("outboard edge"), Told("left"),       Told("right"),
    Told("up"),           Told("down"),          Told("in front"),   Told("behind"),
    Told("above"),        Told("below"),         Told("all round"),  Told("round")};

}  // namespace

/// A facet of the classic locale: nothing global is touched.
struct Words::Catalogue {
  std::locale locale;
  const Messages* messages = nullptr;

  explicit Catalogue(Language language) {
    gettext::messages_info info;
    info.language = Code(language);
    info.encoding = "UTF-8";
    info.domains.emplace_back("holeward");
    info.paths.emplace_back("");
    info.callback = [](const std::string& file, const std::string&) {
      const std::string_view bytes = CatalogueBytes(file.substr(file.find_first_not_of('/'), 2));
      return std::vector<char>(bytes.begin(), bytes.end());
    };
    Messages* made = gettext::create_messages_facet<char>(info);
    messages = made;
    locale = std::locale(std::locale::classic(), made);
  }
};

const char* Code(Language language) {
  switch (language) {
    case Language::english: return "en";
    case Language::german: return "de";
    case Language::spanish: return "es";
  }
  return "en";
}

std::optional<Language> LanguageOf(const std::string& code) {
  for (const Language language : kLanguages) {
    if (code == Code(language)) return language;
  }
  return std::nullopt;
}

const char* NameOf(Language language) {
  switch (language) {
    case Language::english: return "English";
    case Language::german: return "German";
    case Language::spanish: return "Spanish";
  }
  return "English";
}

bool IsPlaceWord(const std::string& text) {
  return std::find(kPlaceWords.begin(), kPlaceWords.end(), text) != kPlaceWords.end();
}

Words::Words(Language language, OwnWords own) : language_(language) {
  if (language == Language::english) return;
  catalogue_ = std::make_shared<const Catalogue>(language);
  own_ = std::make_shared<const OwnWords>(std::move(own));
}

std::string Words::Say(const char* text) const {
  // The catalogue says its own header for an empty text.
  const char* said =
      catalogue_ && *text != '\0' ? catalogue_->messages->get(0, nullptr, text) : nullptr;
  return said != nullptr ? said : text;
}

std::string Words::Say(const Phrase& phrase) const {
  std::vector<std::string> names;
  for (const std::string& name : phrase.names) names.push_back(Own(name));
  return Filled(Say(phrase.pattern.c_str()), names);
}

std::string Words::Own(const std::string& text) const {
  if (!own_) return text;
  if (const auto found = own_->find(text); found != own_->end()) return found->second;
  return IsPlaceWord(text) ? Say(text.c_str()) : text;
}

std::string Words::OwnList(const std::vector<std::string>& names) const {
  std::string list;
  for (const std::string& name : names) list += (list.empty() ? "" : ", ") + Own(name);
  return list;
}

}  // namespace holeward
