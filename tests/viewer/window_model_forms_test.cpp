// A job made by the window's forms alone says what the same job says when it is written by hand.
#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <set>
#include <string>

#include <nlohmann/json.hpp>
#include <unistd.h>

#include <gtest/gtest.h>

#include "models/bench_reading.h"
#include "models/content_hash.h"
#include "models/toml_tree.h"
#include "tests/viewer/demo_state.h"
#include "viewer/window_model.h"

namespace holeward {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

const std::string kData = std::string(HOLEWARD_SOURCE_DIR) + "/tests/data/";

std::string BytesOf(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

TomlNode TreeOf(const std::string& text) {
  auto tree = ParseToml(text);
  const auto* error = std::get_if<TomlSyntaxError>(&tree);
  EXPECT_EQ(error, nullptr) << error->message << "\n" << text;
  return error == nullptr ? std::get<TomlNode>(std::move(tree)) : TomlNode{};
}

/// The kind of thing a table of a hand-written job is, by its path.
NewThing ThingOf(const TomlPath& path, const JobForms& forms) {
  static const std::map<std::string, NewThing> kKinds = {{"fitting", NewThing::fitting},
                                                         {"inner", NewThing::inner},
                                                         {"lap", NewThing::lap},
                                                         {"stations", NewThing::station},
                                                         {"datum", NewThing::datum},
                                                         {"face", NewThing::face_name},
                                                         {"rows", NewThing::bench_row},
                                                         {"spare", NewThing::bench_spare},
                                                         {"mounts", NewThing::bench_mount},
                                                         {"neighbour", NewThing::neighbour},
                                                         {"point", NewThing::point},
                                                         {"template", NewThing::template_sheet},
                                                         {"step", NewThing::step},
                                                         {"decision", NewThing::decision},
                                                         {"variant", NewThing::variant}};
  if (std::holds_alternative<std::size_t>(path.back())) {
    return kKinds.at(std::get<std::string>(path[path.size() - 2]));
  }
  const std::string name = std::get<std::string>(path[1]);
  const bool bench = std::any_of(forms.tables().begin(), forms.tables().end(),
                                 [&](const JobTable& t) { return t.title == "bench of " + name; });
  return bench ? NewThing::bench_part : NewThing::part;
}

/// Makes by hand of the forms what another text says.
class Maker {
 public:
  explicit Maker(const std::string& hand) : hand_(hand) {
    path_ = (fs::temp_directory_path() / ("holeward-forms-" + std::to_string(::getpid()) + ".toml"))
                .string();
    std::ofstream(path_, std::ios::binary).flush();
    EXPECT_TRUE(model.Open(path_));
    EXPECT_EQ(model.text(), "");
  }
  ~Maker() { fs::remove(path_); }

  void Make() {
    for (const JobTable& table : hand_.tables()) {
      const TomlPath made = Provide(table);
      if (!testing::Test::HasFailure()) Fill(table, made);
    }
    TakeOutTheRest();
  }

  WindowModel model;
  std::size_t answers = 0;

 private:
  void Refresh() {
    JobState state;
    state.text = model.text();
    state.job = ReadGoodParts(model.text(), path_, state.errors).job;
    model.Adopt(std::make_shared<const JobState>(std::move(state)));
  }

  [[nodiscard]] bool Has(const TomlPath& path) const {
    const auto& tables = model.forms().tables();
    return std::any_of(tables.begin(), tables.end(),
                       [&](const JobTable& table) { return table.path == path; });
  }

  /// The table in the job being made: added, unless it is there.
  TomlPath Provide(const JobTable& table) {
    const TomlPath path = table.path;
    if (Has(path)) return path;
    auto added = model.Add(ThingOf(table.path, hand_), path);
    EXPECT_TRUE(added) << table.title << ": " << added.error().message;
    // A part's first section brings others with it.
    const bool section = path[path.size() - 2] == TomlStep(std::string("stations"));
    if (!added || (section && Has(path))) return path;
    if (path.size() == 2 && path[0] == TomlStep(std::string("part"))) {
      const FormField* name = Find(*added, "name");
      EXPECT_TRUE(name != nullptr && name->renames);
      EXPECT_TRUE(model.Answer(*name, std::get<std::string>(table.path[1]), false));
      return path;
    }
    // A decision goes before the one that takes what is left; here they come in their order.
    while (added && *added != path && !testing::Test::HasFailure()) {
      added = model.Move(*added, false);
      EXPECT_TRUE(added) << table.title << ": " << added.error().message;
    }
    return path;
  }

  /// Answers what the hand-written form has, and takes out what a draft has besides.
  void Fill(const JobTable& from, const TomlPath& to) {
    Refresh();
    const std::vector<FormField> wanted = hand_.FormOf(from.path, model.state()->job);
    for (const FormField& want : wanted) {
      const FormField* field = Find(to, want.label);
      if (field == nullptr && want.shown.empty()) continue;
      ASSERT_NE(field, nullptr) << from.title << ": " << want.label;
      if (field->shown == want.shown) continue;
      const auto given = model.Answer(*field, want.shown, false);
      ASSERT_TRUE(given) << from.title << ": " << want.label << ": " << given.error().message;
      ++answers;
    }
    for (const FormField& field : model.FormOf(to)) {
      const bool wished = std::any_of(wanted.begin(), wanted.end(), [&](const FormField& want) {
        return want.label == field.label;
      });
      if (wished || field.shown.empty()) continue;
      ASSERT_TRUE(model.Answer(field, "", false)) << field.label;
    }
  }

  const FormField* Find(const TomlPath& table, const std::string& label) {
    fields_ = model.FormOf(table);
    const auto found = std::find_if(fields_.begin(), fields_.end(),
                                    [&](const FormField& f) { return f.label == label; });
    return found == fields_.end() ? nullptr : &*found;
  }

  /// Tables that drafts brought along.
  void TakeOutTheRest() {
    const auto extra = [&](const JobTable& table) {
      const auto& wanted = hand_.tables();
      return std::none_of(wanted.begin(), wanted.end(),
                          [&](const JobTable& w) { return w.path == table.path; });
    };
    for (int i = 0; i < 20; ++i) {
      const auto& tables = model.forms().tables();
      const auto found = std::find_if(tables.rbegin(), tables.rend(), extra);
      if (found == tables.rend()) return;
      const TomlPath path = found->path;
      ASSERT_TRUE(model.Remove(path));
    }
  }

  JobForms hand_;
  std::string path_;
  std::vector<FormField> fields_;
};

/// Every key a value of a schema may have, by path; lists and names of one's own stand as "[]" and
/// "*".
void AddKeys(const json& schema, const json& node, const std::string& path,
             std::set<std::string>& keys) {
  if (node.contains("$ref")) {
    const std::string name = node["$ref"].get<std::string>().substr(8);
    AddKeys(schema, schema["$defs"][name], path, keys);
    return;
  }
  for (const char* either : {"oneOf", "anyOf"}) {
    if (!node.contains(either)) continue;
    for (const json& one : node[either]) AddKeys(schema, one, path, keys);
  }
  if (node.contains("properties")) {
    for (const auto& [key, value] : node["properties"].items()) {
      keys.insert(path + "." + key);
      AddKeys(schema, value, path + "." + key, keys);
    }
  }
  if (node.contains("items")) AddKeys(schema, node["items"], path + "[]", keys);
  const bool open = node.contains("additionalProperties");
  if (open && node["additionalProperties"].is_object()) {
    AddKeys(schema, node["additionalProperties"], path + ".*", keys);
  }
}

void TakeOffKeys(const TomlNode& node, const std::string& path, std::set<std::string>& keys) {
  for (const TomlEntry& entry : node.entries) {
    const bool named = path == ".part";
    const std::string at = path + (named ? ".*" : "." + entry.key);
    keys.erase(at);
    TakeOffKeys(entry.value, at, keys);
  }
  for (const TomlNode& item : node.items) TakeOffKeys(item, path + "[]", keys);
}

// The two texts the tests below make anew have every key the reader knows: the schema is held
// against the reader by a test of its own.
TEST(WindowModelForms, TheTextsMadeAnewHaveEveryKeyOfAJob) {
  const json schema =
      json::parse(BytesOf(std::string(HOLEWARD_SOURCE_DIR) + "/docs/schema/job.schema.json"));
  std::set<std::string> keys;
  AddKeys(schema, schema, "", keys);
  EXPECT_GT(keys.size(), 250U);
  for (const char* file : {"every_table.toml", "every_key.toml"}) {
    TakeOffKeys(TreeOf(BytesOf(kData + file)), "", keys);
  }
  for (const std::string& key : keys) ADD_FAILURE() << "in neither text: " << key;
}

TEST(WindowModelForms, AJobOfEveryTableIsMadeFromAnEmptyFile) {
  const std::string hand = BytesOf(kData + "every_table.toml");
  Maker maker(hand);
  maker.Make();
  EXPECT_GT(maker.answers, 150U);
  const auto written = ReadBenchJobText(hand, kData + "every_table.toml").reading;
  ASSERT_TRUE(written.ok()) << written.errors.front().message;
  const auto made = ReadBenchJobText(maker.model.text(), kData + "every_table.toml").reading;
  ASSERT_TRUE(made.ok()) << made.errors.front().Text("made") << "\n" << maker.model.text();
  EXPECT_EQ(made.job.content_hash, written.job.content_hash) << maker.model.text();
  // A release is no part of what is released.
  EXPECT_EQ(made.job.release.clearance->by, "Jane Roe");
  EXPECT_EQ(made.job.release.clearance->date, written.job.release.clearance->date);
  EXPECT_EQ(made.job.release.strength->hash, written.job.release.strength->hash);
  EXPECT_EQ(made.job.release.strength->by, "John Roe");
}

TEST(WindowModelForms, EveryOtherKeyIsAnsweredInAFormToo) {
  const std::string hand = BytesOf(kData + "every_key.toml");
  Maker maker(hand);
  maker.Make();
  EXPECT_EQ(ContentHash(TreeOf(maker.model.text())), ContentHash(TreeOf(hand)))
      << maker.model.text();
}

// ---- What the reader says of an answer

class FaultsOnADemo : public testing::Test {
 protected:
  void Take(const std::string& text) {
    model_.Change(text);
    JobState state;
    state.text = text;
    state.job = ReadGoodParts(text, "van.toml", state.errors).job;
    model_.Adopt(std::make_shared<const JobState>(std::move(state)));
  }
  [[nodiscard]] TomlPath PathOf(const std::string& title) const {
    for (const JobTable& table : model_.forms().tables()) {
      if (table.title == title) return table.path;
    }
    return {};
  }
  /// "field: message" of everything wrong in a table's form.
  [[nodiscard]] std::vector<std::string> Told(const std::string& title) const {
    const TomlPath path = PathOf(title);
    const auto fields = model_.FormOf(path);
    const auto faults = model_.FaultsOf(path, fields);
    std::vector<std::string> told;
    for (const std::string& fault : faults->of_table) told.push_back(": " + fault);
    for (std::size_t i = 0; i < fields.size(); ++i) {
      if (!faults->of_field[i].empty())
        told.push_back(fields[i].label + ": " + faults->of_field[i]);
    }
    return told;
  }
  WindowModel model_;
};

TEST_F(FaultsOnADemo, StandAtTheirFieldAndNowhereElse) {
  Take(With(DemoText(), "drill  = [3.5, 8]", "drill  = [8, 3.5]"));
  ASSERT_EQ(model_.state()->errors.size(), 1U);
  std::size_t told = 0;
  const auto faulty = model_.forms().Faulty(model_.state()->errors);
  for (std::size_t i = 0; i < faulty.size(); ++i) {
    const std::string title = model_.forms().tables()[i].title;
    const auto here = Told(title);
    EXPECT_EQ(faulty[i], !here.empty()) << title;
    for (const std::string& fault : here) {
      EXPECT_EQ(fault, "drill: " + model_.state()->errors.front().message) << title;
      ++told;
    }
  }
  EXPECT_EQ(told, 1U);
}

TEST_F(FaultsOnADemo, StandAtTheTableWhereAKeyIsMissingOrUnknown) {
  Take(With(DemoText(), "use  = \"reference\"\n", ""));
  EXPECT_EQ(Told("point K").size(), 1U);
  EXPECT_EQ(Told("point K").front().substr(0, 2), ": ");
  Take(With(DemoText(), "posture  ", "postures "));
  ASSERT_EQ(Told("vehicle").size(), 1U);
  EXPECT_NE(Told("vehicle").front().find("postures"), std::string::npos);
}

TEST_F(FaultsOnADemo, EveryErrorIsToldInSomeForm) {
  std::string text = DemoText();
  text = With(text, "from = \"pivot eye\"", "from = \"pivot eyes\"");
  text = With(text, "signal = \"warning\"", "signal = \"warnings\"");
  text = With(text, "when = \"otherwise\"", "when = \"otherways\"");
  text = With(text, "holeward = 1", "holeward = 2");
  text += "\n[nothing]\nkey = 1\n";
  Take(text);
  EXPECT_GE(model_.state()->errors.size(), 4U);
  std::size_t told = 0;
  for (const JobTable& table : model_.forms().tables()) {
    const auto fields = model_.FormOf(table.path);
    const auto faults = *model_.FaultsOf(table.path, fields);
    told += faults.of_table.size();
    for (const std::string& fault : faults.of_field) {
      if (!fault.empty())
        told += 1 + static_cast<std::size_t>(std::count(fault.begin(), fault.end(), '\n'));
    }
  }
  EXPECT_EQ(told, model_.state()->errors.size());
}

TEST_F(FaultsOnADemo, AreNotToldOfATextThatWasNotReadYet) {
  Take(DemoText());
  model_.Change(With(DemoText(), "tape = 84", "tape = 90"));
  EXPECT_FALSE(model_.FaultsOf({}, model_.FormOf({})));
}

}  // namespace
}  // namespace holeward
