// The arrows between the folders point one way: geometry <- models <- export, viewer <- app.
// This test reads the includes of every file and refuses one that points back or across.
#include <algorithm>
#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <string>
#include <vector>

#include <gtest/gtest.h>

namespace holeward {
namespace {

namespace fs = std::filesystem;

/// What a folder may include of our own, and the outside libraries that are barred from it.
struct FolderRule {
  std::set<std::string> own;
  std::vector<std::string> barred;
};

const std::map<std::string, FolderRule>& Rules() {
  static const std::map<std::string, FolderRule> kRules = {
      {"geometry",
       {{"geometry"}, {"toml", "nlohmann", "CLI", "cairo", "pango", "qpdf", "Q[A-Z]", "vtk"}}},
      {"models", {{"geometry", "models"}, {"CLI", "cairo", "pango", "qpdf", "Q[A-Z]", "vtk"}}},
      {"export", {{"geometry", "models", "export"}, {"toml", "CLI", "Q[A-Z]", "vtk"}}},
      {"viewer", {{"geometry", "models", "viewer"}, {"toml", "CLI", "qpdf"}}},
      {"app", {{"geometry", "models", "export", "viewer", "app"}, {"toml", "cairo", "qpdf"}}},
  };
  return kRules;
}

struct Include {
  std::string path;
  bool quoted = false;
};

std::vector<Include> IncludesOf(std::istream& text) {
  static const std::regex kInclude(R"re(^\s*#\s*include\s*(["<])([^">]+)[">])re");
  std::vector<Include> includes;
  std::smatch match;
  for (std::string line; std::getline(text, line);) {
    if (std::regex_search(line, match, kInclude)) {
      includes.push_back({match[2].str(), match[1].str() == "\""});
    }
  }
  return includes;
}

/// Why a file of `folder` may not include this; empty if it may.
std::string Objection(const std::string& folder, const Include& include) {
  const FolderRule& rule = Rules().at(folder);
  const std::string first = include.path.substr(0, include.path.find('/'));
  if (include.quoted) {
    const bool rooted = include.path.find('/') != std::string::npos;
    if (!rooted || Rules().count(first) == 0) {
      return "an include of our own starts with its folder";
    }
    return rule.own.count(first) != 0 ? "" : folder + " may not know " + first;
  }
  for (const std::string& barred : rule.barred) {
    if (std::regex_search(include.path, std::regex("^" + barred))) {
      return folder + " may not know " + include.path;
    }
  }
  return "";
}

std::vector<fs::path> SourcesOf(const std::string& folder) {
  std::vector<fs::path> sources;
  const fs::path root = fs::path(HOLEWARD_SOURCE_DIR) / folder;
  if (!fs::exists(root)) {
    return sources;
  }
  for (const auto& entry : fs::recursive_directory_iterator(root)) {
    const std::string extension = entry.path().extension().string();
    if (extension == ".h" || extension == ".cpp") {
      sources.push_back(entry.path());
    }
  }
  std::sort(sources.begin(), sources.end());
  return sources;
}

TEST(Arrows, ObjectToWhatPointsBackOrAcross) {
  EXPECT_NE(Objection("geometry", {"models/job.h", true}), "");
  EXPECT_NE(Objection("models", {"export/pdf.h", true}), "");
  EXPECT_NE(Objection("export", {"viewer/scene.h", true}), "");
  EXPECT_NE(Objection("viewer", {"export/pdf.h", true}), "");
  EXPECT_NE(Objection("export", {"app/console.h", true}), "");
  EXPECT_NE(Objection("geometry", {"toml++/toml.h", false}), "");
  EXPECT_NE(Objection("geometry", {"skin.h", true}), "");
}

TEST(Arrows, LetPassWhatPointsForward) {
  EXPECT_EQ(Objection("models", {"geometry/skin.h", true}), "");
  EXPECT_EQ(Objection("app", {"viewer/scene.h", true}), "");
  EXPECT_EQ(Objection("geometry", {"gp_Pnt.hxx", false}), "");
  EXPECT_EQ(Objection("export", {"cairo-pdf.h", false}), "");
}

TEST(Arrows, PointOneWayInEveryFile) {
  std::size_t seen = 0;
  for (const auto& [folder, rule] : Rules()) {
    for (const fs::path& path : SourcesOf(folder)) {
      std::ifstream file(path);
      for (const Include& include : IncludesOf(file)) {
        ++seen;
        const std::string objection = Objection(folder, include);
        EXPECT_EQ(objection, "") << path << " includes " << include.path;
      }
    }
  }
  EXPECT_GT(seen, 50U) << "the scan found no includes to look at";
}

TEST(Arrows, OnlyOneFileIncludesTheSlowCommandLineLibrary) {
  std::vector<std::string> files;
  for (const auto& [folder, rule] : Rules()) {
    for (const fs::path& path : SourcesOf(folder)) {
      std::ifstream file(path);
      const auto includes = IncludesOf(file);
      if (std::any_of(includes.begin(), includes.end(),
                      [](const Include& i) { return i.path.rfind("CLI/", 0) == 0; })) {
        files.push_back(path.filename().string());
      }
    }
  }
  EXPECT_EQ(files, std::vector<std::string>{"command_line.cpp"});
}

}  // namespace
}  // namespace holeward
