// A type has a name of its own: two of one name in one namespace, each seen by other files, are one
// to the linker, which keeps the members of either.
#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <sstream>
#include <string>

#include <gtest/gtest.h>

namespace holeward {
namespace {

namespace fs = std::filesystem;

/// The types that a file defines outside functions, classes and namespaces without a name.
std::set<std::string> TypesOf(std::istream& text) {
  static const std::regex kNamespace(R"(^namespace ([\w:]+) \{$)");
  static const std::regex kType(
      R"(^(?:struct|class|enum class|enum|union) (\w+)\b(?!::)[^;]*(?:\{.*)?$)");
  std::set<std::string> types;
  std::string within;
  bool hidden = false;
  std::smatch match;
  for (std::string line; std::getline(text, line);) {
    if (line == "namespace {") hidden = true;
    if (line == "}  // namespace") hidden = false;
    if (std::regex_match(line, match, kNamespace)) within = match[1];
    if (!hidden && std::regex_match(line, match, kType))
      types.insert(within + "::" + match[1].str());
  }
  return types;
}

std::set<std::string> TypesIn(const std::string& text) {
  std::istringstream lines(text);
  return TypesOf(lines);
}

TEST(Names, OfTypesAreFoundWhereOtherFilesSeeThem) {
  EXPECT_EQ(
      TypesIn(
          "namespace holeward {\nstruct A {\nclass B final : public C {\nenum class D { e };\n"),
      (std::set<std::string>{"holeward::A", "holeward::B", "holeward::D"}));
  EXPECT_EQ(TypesIn("namespace holeward {\nnamespace {\nstruct A {\n}  // namespace\nstruct B {\n"),
            std::set<std::string>{"holeward::B"});
  EXPECT_EQ(
      TypesIn("namespace holeward {\nstruct A;\nclass B;  ///< b\nstruct A::C {\n  struct D {\n"),
      std::set<std::string>{});
}

TEST(Names, OfTypesStandForOneTypeEach) {
  std::map<std::string, std::string> files;
  std::size_t types = 0;
  for (const char* folder : {"geometry", "models", "export", "viewer", "app"}) {
    for (const auto& entry :
         fs::recursive_directory_iterator(fs::path(HOLEWARD_SOURCE_DIR) / folder)) {
      const std::string ending = entry.path().extension().string();
      if (ending != ".h" && ending != ".cpp") continue;
      std::ifstream file(entry.path());
      for (const std::string& type : TypesOf(file)) {
        ++types;
        const auto [first, is_new] = files.emplace(type, entry.path().string());
        EXPECT_TRUE(is_new) << type << " stands in " << first->second << " and in " << entry.path();
      }
    }
  }
  EXPECT_GT(types, 500U) << "the scan found no types to look at";
}

}  // namespace
}  // namespace holeward
