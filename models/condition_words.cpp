#include "models/condition_words.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <optional>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "geometry/vec.h"
#include "models/nearest_word.h"

namespace holeward {
namespace {

constexpr int kDeepest = 30;
constexpr double kThickest = 1000.0;  // mm; no wall is thicker

enum class TokenKind { word, name, sign, end };

struct Token {
  TokenKind kind = TokenKind::end;
  std::string text;
  std::size_t at = 0;
};

bool InWord(char c) {
  const auto byte = static_cast<unsigned char>(c);
  return std::isalnum(byte) != 0 || byte >= 0x80 || c == '_' || c == '-' || c == '.' || c == '+';
}

/// A text is cut into tokens as it is parsed; what is wrong is thrown within this file only.
class Parser {
 public:
  Parser(std::string_view text, const ConditionScope& scope) : text_(text), scope_(scope) {
    Advance();
  }

  Condition Parse() {
    if (IsWord("otherwise")) {
      Advance();
      ExpectEnd("nothing");
      return {};
    }
    Condition condition = Either(0);
    ExpectEnd("and, or, or the end");
    return condition;
  }

 private:
  // ---- Tokens

  [[noreturn]] void Fault(const Token& token, std::string message) const {
    throw ConditionFault{token.at, std::move(message)};
  }

  [[noreturn]] void Unexpected(const std::string& allowed, const std::vector<std::string>& known) {
    if (token_.kind == TokenKind::end) {
      Fault(token_, fmt::format("it ends where {} is allowed", allowed));
    }
    const auto near = token_.kind == TokenKind::word ? NearestWord(token_.text, known)
                                                     : std::optional<std::string>();
    Fault(token_, fmt::format("found '{}' where {} is allowed{}", token_.text, allowed,
                              near ? fmt::format("; did you mean '{}'?", *near) : ""));
  }

  void ExpectEnd(const std::string& allowed) {
    if (token_.kind != TokenKind::end) Unexpected(allowed, {"and", "or"});
  }

  void Advance() {
    while (next_ < text_.size() && text_[next_] == ' ') ++next_;
    token_ = {TokenKind::end, "", next_};
    if (next_ >= text_.size()) return;
    const char c = text_[next_];
    if (c == '\'') {
      Name();
    } else if (InWord(c)) {
      std::size_t end = next_;
      while (end < text_.size() && InWord(text_[end])) ++end;
      Take(TokenKind::word, end - next_);
    } else {
      const bool wide = (c == '<' || c == '>') && text_.substr(next_ + 1, 1) == "=";
      Take(TokenKind::sign, wide ? 2 : 1);
    }
  }

  void Take(TokenKind kind, std::size_t length) {
    token_.kind = kind;
    token_.text = std::string(text_.substr(next_, length));
    next_ += length;
  }

  void Name() {
    const std::size_t end = text_.find('\'', next_ + 1);
    if (end == std::string_view::npos) Fault(token_, "a name begins with ' and has no ' behind it");
    token_.kind = TokenKind::name;
    token_.text = std::string(text_.substr(next_ + 1, end - next_ - 1));
    next_ = end + 1;
  }

  [[nodiscard]] bool IsWord(std::string_view word) const {
    return token_.kind == TokenKind::word && token_.text == word;
  }
  [[nodiscard]] bool IsSign(std::string_view sign) const {
    return token_.kind == TokenKind::sign && token_.text == sign;
  }
  bool SkipWord(std::string_view word) {
    if (!IsWord(word)) return false;
    Advance();
    return true;
  }
  void NeedWord(const std::string& word) {
    if (!SkipWord(word)) Unexpected(word, {word});
  }

  // ---- The grammar

  Condition Joined(Condition::Kind kind, int depth) {
    const bool any = kind == Condition::Kind::any;
    const auto part = [&] { return any ? Joined(Condition::Kind::all, depth) : One(depth); };
    Condition first = part();
    if (!IsWord(any ? "or" : "and")) return first;
    Condition joined;
    joined.kind = kind;
    joined.parts.push_back(std::move(first));
    while (SkipWord(any ? "or" : "and")) joined.parts.push_back(part());
    return joined;
  }

  Condition Either(int depth) { return Joined(Condition::Kind::any, depth); }

  Condition One(int depth) {
    if (depth > kDeepest) {
      Fault(token_, fmt::format("parentheses and not nest deeper than {}", kDeepest));
    }
    if (SkipWord("not")) return Negated(One(depth + 1));
    if (!IsSign("(")) return Asks();
    Advance();
    Condition inside = Either(depth + 1);
    if (!IsSign(")")) Unexpected("and, or, or )", {"and", "or"});
    Advance();
    return inside;
  }

  static Condition Negated(Condition condition) {
    Condition negated;
    negated.kind = Condition::Kind::negation;
    negated.parts.push_back(std::move(condition));
    return negated;
  }

  /// Which tests are asked, and how their answers join; "good news" decides where no word does.
  struct Tests {
    std::vector<TestPlace> places;
    enum class Join { any, every, none, by_news } join = Join::by_news;
  };

  Condition Asks() {
    Condition leaf;
    if (SkipWord("remaining")) {
      leaf.kind = Condition::Kind::remaining;
      leaf.compare = ReadCompare();
      leaf.limit = ReadLimit();
      NeedWord("at");
      return Over(ReadTests(), leaf,
                  leaf.compare == Compare::more || leaf.compare == Compare::at_least);
    }
    const Tests tests = ReadTests();
    leaf.kind = Condition::Kind::result;
    leaf.result = ReadVerb();
    return Over(tests, leaf, leaf.result == TestResult::pass);
  }

  static Condition Over(const Tests& tests, const Condition& leaf, bool good_news) {
    Condition over;
    const bool every =
        tests.join == Tests::Join::every || (tests.join == Tests::Join::by_news && good_news);
    over.kind = every ? Condition::Kind::all : Condition::Kind::any;
    for (const TestPlace& place : tests.places) {
      over.parts.push_back(leaf);
      over.parts.back().place = place;
    }
    return tests.join == Tests::Join::none ? Negated(std::move(over)) : over;
  }

  TestResult ReadVerb() {
    for (const TestResult result : {TestResult::pass, TestResult::fail}) {
      if (SkipWord(Verb(result))) return result;
    }
    if (!SkipWord("is")) {
      Unexpected("passes, fails or is not tested", {"passes", "fails", "is"});
    }
    NeedWord("not");
    NeedWord("tested");
    return TestResult::not_tested;
  }

  Compare ReadCompare() {
    const std::pair<const char*, Compare> signs[] = {{"<=", Compare::at_most},
                                                     {">=", Compare::at_least},
                                                     {"<", Compare::less},
                                                     {">", Compare::more}};
    for (const auto& [sign, compare] : signs) {
      if (!IsSign(sign)) continue;
      Advance();
      return compare;
    }
    Unexpected("<, <=, > or >=", {});
  }

  double ReadLimit() {
    const Token token = token_;
    double value = 0.0;
    const char* end = token.text.data() + token.text.size();
    const auto read = std::from_chars(token.text.data(), end, value);
    if (token.kind != TokenKind::word || read.ec != std::errc() || read.ptr != end) {
      Unexpected("a thickness such as 2.0", {});
    }
    Advance();
    double unit = scope_.unit_mm;
    if (SkipWord("mm")) {
      unit = 1.0;
    } else if (SkipWord("in")) {
      unit = kInch;
    }
    value *= unit;
    if (!(value > 0.0 && value <= kThickest)) {
      Fault(token, fmt::format("found '{}' where a thickness greater than 0 and at most 1000 mm is "
                               "allowed",
                               token.text));
    }
    return value;
  }

  std::optional<Side> ReadSide() {
    if (SkipWord("left")) return Side::left;
    if (SkipWord("right")) return Side::right;
    return std::nullopt;
  }

  Tests ReadTests() {
    for (const auto& [word, join] :
         {std::pair("any", Tests::Join::any), std::pair("every", Tests::Join::every),
          std::pair("no", Tests::Join::none)}) {
      if (SkipWord(word)) return {PlacesOfTests(), join};
    }
    return {PlacesOfPoint(), Tests::Join::by_news};
  }

  std::vector<TestPlace> PlacesOfTests() {
    const Token first = token_;
    const auto side = ReadSide();
    NeedWord("test");
    std::string part;
    if (SkipWord("of")) {
      part = token_.text;
      const bool known =
          std::find(scope_.parts.begin(), scope_.parts.end(), part) != scope_.parts.end();
      if (token_.kind == TokenKind::end || !known) {
        Unexpected(fmt::format("the name of a part ({})", fmt::join(scope_.parts, ", ")),
                   scope_.parts);
      }
      Advance();
    }
    std::vector<TestPlace> places;
    for (const AskedTest& test : scope_.tests) {
      const bool asked = part.empty() || test.part == part;
      if (asked && (!side || test.place.side == *side)) places.push_back(test.place);
    }
    if (places.empty()) Fault(first, "the job has no such test point on a side that it makes");
    return places;
  }

  std::vector<TestPlace> PlacesOfPoint() {
    const auto side = ReadSide();
    const Token name = token_;
    std::vector<std::string> names;
    for (const AskedTest& test : scope_.tests) {
      if (std::find(names.begin(), names.end(), test.place.point) == names.end()) {
        names.push_back(test.place.point);
      }
    }
    std::vector<TestPlace> places;
    for (const AskedTest& test : scope_.tests) {
      const bool asked = name.kind != TokenKind::end && test.place.point == name.text;
      if (asked && (!side || test.place.side == *side)) places.push_back(test.place);
    }
    if (!places.empty()) {
      Advance();
      return places;
    }
    const auto is = [&](const std::vector<std::string>& list) {
      return name.kind != TokenKind::end &&
             std::find(list.begin(), list.end(), name.text) != list.end();
    };
    if (is(names)) {
      Fault(name, fmt::format("'{}' is not tested on that side of the vehicle", name.text));
    }
    if (is(scope_.points)) {
      Fault(name, fmt::format("'{}' is no test point; the test points are {}", name.text,
                              fmt::join(names, ", ")));
    }
    std::vector<std::string> known = names;
    known.insert(known.end(), {"any", "every", "no", "not", "remaining", "left", "right"});
    Unexpected(fmt::format("a test point ({}), any, every, no, remaining, not or (",
                           fmt::join(names, ", ")),
               known);
  }

  std::string_view text_;
  const ConditionScope& scope_;
  std::size_t next_ = 0;
  Token token_;
};

}  // namespace

const char* Verb(TestResult result) {
  switch (result) {
    case TestResult::pass: return "passes";
    case TestResult::fail: return "fails";
    case TestResult::not_tested: return "is not tested";
  }
  return "is not tested";
}

std::variant<Condition, ConditionFault> ParseCondition(std::string_view text,
                                                       const ConditionScope& scope) {
  try {
    return Parser(text, scope).Parse();
  } catch (const ConditionFault& fault) {
    return fault;
  }
}

}  // namespace holeward
