// Values of several pieces, each typed in a line of its own: places, pairs, errors each way.
#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "models/job_form_keys.h"

namespace holeward {
namespace {

constexpr const char* kKey = "value";

/// The text's only value, read for its pieces; nothing if it is none.
class OneValue {
 public:
  explicit OneValue(const std::string& value)
      : text_(fmt::format("{} = {}\n", kKey, value)), root_(SpotsOf(text_)) {}

  [[nodiscard]] const TomlSpot* spot() const { return root_ ? root_->Find(kKey) : nullptr; }
  [[nodiscard]] std::string Piece(const TomlSpot* spot) const { return ShownOf(text_, spot); }

 private:
  std::string text_;
  Result<TomlSpot> root_;
};

std::vector<std::string> SpreadIn(const std::string& shown) {
  const OneValue value(shown);
  const TomlSpot* spot = value.spot();
  const TomlSpot* minus = spot == nullptr ? nullptr : spot->Find("minus");
  const TomlSpot* plus = spot == nullptr ? nullptr : spot->Find("plus");
  if (minus == nullptr && plus == nullptr) return {shown, "", ""};
  return {"", value.Piece(minus), value.Piece(plus)};
}

}  // namespace

std::vector<std::string> PiecesIn(const FormField& field) {
  if (field.pieces.empty()) return {};
  if (field.kind == FieldKind::spread) return SpreadIn(field.shown);
  std::vector<std::string> pieces(field.pieces.size());
  if (field.shown.empty()) return pieces;
  const OneValue value(ValueOf(field.shown, true));
  const TomlSpot* spot = value.spot();
  if (spot == nullptr || spot->items.size() > pieces.size()) return {};
  for (std::size_t i = 0; i < spot->items.size(); ++i) pieces[i] = value.Piece(&spot->items[i]);
  return pieces;
}

std::vector<std::string> PiecesAfter(const FormField& field, std::vector<std::string> pieces,
                                     std::size_t typed) {
  if (field.kind != FieldKind::spread || pieces.size() != 3) return pieces;
  if (pieces[typed].empty()) return pieces;
  if (typed == 0) return {pieces[0], "", ""};
  std::string& other = pieces[3 - typed];
  if (other.empty()) other = pieces[0];
  pieces[0].clear();
  return pieces;
}

std::optional<std::string> AnswerOf(const FormField& field,
                                    const std::vector<std::string>& pieces) {
  const auto given = std::count_if(pieces.begin(), pieces.end(),
                                   [](const std::string& piece) { return !piece.empty(); });
  if (given == 0) return "";
  if (field.kind == FieldKind::spread) {
    if (!pieces[0].empty()) return pieces[0];
    if (pieces[1].empty() || pieces[2].empty()) return std::nullopt;
    return fmt::format("{{ minus = {}, plus = {} }}", pieces[1], pieces[2]);
  }
  if (given != static_cast<std::ptrdiff_t>(pieces.size())) return std::nullopt;
  std::string list;
  for (const std::string& piece : pieces) list += (list.empty() ? "" : ", ") + piece;
  return list;
}

std::string PlainOf(std::string_view text, const TomlSpot* spot, bool list) {
  const std::string raw = RawOf(text, spot);
  if (spot == nullptr || spot->kind != TomlSpot::Kind::list) return raw;
  std::string plain;
  std::string again;
  for (const TomlSpot& item : spot->items) {
    if (item.kind != TomlSpot::Kind::value) return raw;
    plain += (plain.empty() ? "" : ", ") + ShownOf(text, &item);
    again += (again.empty() ? "[" : ", ") + RawOf(text, &item);
  }
  // Shown plainly where what is shown, answered, says the same.
  return !plain.empty() && ValueOf(plain, list) == again + "]" ? plain : raw;
}

std::string RowsOf(std::string_view text, const TomlSpot* spot) {
  if (spot == nullptr || spot->kind != TomlSpot::Kind::list) return RawOf(text, spot);
  std::string rows;
  for (const TomlSpot& item : spot->items) {
    rows += (rows.empty() ? "" : "\n") + PlainOf(text, &item, true);
  }
  return rows;
}

std::string RowsValue(const std::string& answer) {
  std::string list;
  for (std::size_t from = 0; from <= answer.size();) {
    const std::size_t to = std::min(answer.find('\n', from), answer.size());
    const std::string row = answer.substr(from, to - from);
    if (row.find_first_not_of(" \t\r") != std::string::npos) {
      list += (list.empty() ? "[" : ", ") + ValueOf(row, true);
    }
    from = to + 1;
  }
  return list + "]";
}

}  // namespace holeward
