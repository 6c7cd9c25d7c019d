// Typed access to the tables of a job file. Every value asked for is checked, every error is
// collected with its place, and the keys nobody asked for are reported as unknown.
#pragma once

#include <limits>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "geometry/marking.h"
#include "geometry/vec.h"
#include "models/job_reader.h"
#include "models/toml_tree.h"

namespace holeward {

/// What all tables of one file share.
struct WalkContext {
  std::vector<JobError> errors;
  double unit_mm = 1.0;  ///< millimetres in the file's unit of length

  void Add(Location at, std::string message);
  /// The errors by their place in the file, each once.
  [[nodiscard]] std::vector<JobError> Sorted() const;
};

enum class Need { optional, required };
enum class Measured { plain, length, degrees };

/// What a number may be. `low` and `high` are in mm for lengths, degrees for angles.
struct Bounds {
  const char* words;  ///< "a length greater than 0": what the message says is allowed
  Measured unit = Measured::plain;
  double low = -std::numeric_limits<double>::infinity();
  bool low_open = false;
  double high = std::numeric_limits<double>::infinity();
  bool high_open = false;
};

/// The kinds of number a job has.
[[nodiscard]] Bounds SizeBounds();        ///< a length greater than 0
[[nodiscard]] Bounds LengthBounds();      ///< a length of 0 or more
[[nodiscard]] Bounds CoordinateBounds();  ///< any length
[[nodiscard]] Bounds CountBounds();       ///< a plain number from 0 to 1000

/// `"text"` for messages: control characters shown as dots, cut after 60 characters.
[[nodiscard]] std::string Quoted(std::string_view text);
/// "a, b or c"; the words as they are.
[[nodiscard]] std::string OneOf(const std::vector<std::string>& words);
/// "a, b, c".
[[nodiscard]] std::string Listed(const std::vector<std::string>& words);
/// "; did you mean "x"?" or nothing.
[[nodiscard]] std::string Meant(std::string_view word, const std::vector<std::string>& known);
/// A value as it stands in the file, short, for messages.
[[nodiscard]] std::string Shown(const TomlNode& node);

/// Number, text, word and place values (`also`: a form beside the words, shown but read elsewhere)
/// outside a table ("item 2 of ..."). All return nothing after adding an error that begins with
/// `what`. Lengths come back in mm, angles in radians.
[[nodiscard]] std::optional<double> ReadNumber(const TomlNode& node, const std::string& what,
                                               const Bounds& bounds, WalkContext& context);
[[nodiscard]] std::optional<std::string> ReadText(const TomlNode& node, const std::string& what,
                                                  std::size_t longest, WalkContext& context);
[[nodiscard]] std::optional<std::string> ReadChoice(const TomlNode& node, const std::string& what,
                                                    const std::vector<std::string>& words,
                                                    WalkContext& context,
                                                    const std::string& also = "");
[[nodiscard]] std::optional<Vec3> ReadPlace(const TomlNode& node, const std::string& what,
                                            WalkContext& context);

/// One table being read. Ask for its keys in the order the reference lists them, then Finish().
class TableWalk {
 public:
  /// @param where how messages call the table: "[part.tube]", "point "K""
  TableWalk(const TomlNode& table, std::string where, WalkContext& context);

  [[nodiscard]] bool Has(std::string_view key) const { return table_->Find(key) != nullptr; }
  [[nodiscard]] const TomlNode& node() const { return *table_; }
  [[nodiscard]] const std::string& where() const { return where_; }
  void Rename(std::string where) { where_ = std::move(where); }
  [[nodiscard]] Location PlaceOf(std::string_view key) const { return table_->PlaceOf(key); }

  /// The raw value; marks the key as known and, if required, misses it.
  const TomlNode* Find(const std::string& key, Need need = Need::optional);
  std::optional<double> Number(const std::string& key, const Bounds& bounds,
                               Need need = Need::optional);
  std::optional<std::string> Text(const std::string& key, std::size_t longest,
                                  Need need = Need::optional);
  /// A name: not empty, at most 60 characters, no control characters.
  std::optional<std::string> Name(const std::string& key, Need need = Need::required);
  std::optional<std::string> Choice(const std::string& key, const std::vector<std::string>& words,
                                    Need need = Need::optional);
  std::optional<bool> Flag(const std::string& key);
  std::optional<Vec3> Place(const std::string& key, Need need = Need::optional);
  /// A list of at least `least` places.
  std::vector<Vec3> Places(const std::string& key, std::size_t least, Need need);
  /// A list of numbers, not empty; if `one_too`, a single number counts as a list of one.
  std::vector<double> Numbers(const std::string& key, const Bounds& bounds, bool one_too,
                              Need need = Need::optional);
  /// A list of names, not empty; the values stand in the order of the file.
  std::vector<std::string> Names(const std::string& key, Need need = Need::optional);
  /// A table, or nothing.
  const TomlNode* Table(const std::string& key, Need need = Need::optional);
  /// A list of tables ([[...]]), each item checked to be one.
  std::vector<const TomlNode*> Tables(const std::string& key);

  /// What the message says is missing instead of the key alone.
  void CallMissing(const std::string& key, std::string shown);
  /// A key that is valid here only in a later version.
  void Later(const std::string& key, const std::string& shown);
  /// Keys that are right here but cannot be read, because of an error told already.
  void Accept(const std::vector<std::string>& keys);
  /// A key that has no sense here: reports `message` if it is there, lists it nowhere.
  void Refuse(const std::string& key, const std::string& message);
  /// Marks every key as seen, when an earlier error makes the rest meaningless.
  void IgnoreRest() { ignore_rest_ = true; }
  /// Whether an error was added since this walk began.
  [[nodiscard]] bool Sound() const { return context_->errors.size() == errors_before_; }

  void Error(Location at, std::string message) { context_->Add(at, std::move(message)); }
  [[nodiscard]] WalkContext& context() const { return *context_; }
  /// `"key" in WHERE`, how messages begin.
  [[nodiscard]] std::string What(std::string_view key) const;

  /// Reports unknown and missing keys; a mistyped key is not also reported as missing.
  void Finish();

 private:
  const TomlNode* table_;
  std::string where_;
  WalkContext* context_;
  std::size_t errors_before_;
  std::vector<std::string> known_;
  std::vector<std::string> hidden_;
  std::vector<std::string> missing_;
  std::map<std::string, std::string> missing_shown_;
  bool ignore_rest_ = false;
};

}  // namespace holeward
