// The program as its caller sees it: exit statuses and which stream says what.
#include <array>
#include <cstdio>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include <sys/wait.h>

#include <gtest/gtest.h>

namespace holeward {
namespace {

struct Spoken {
  int status = -1;
  std::string text;
};

/// Runs the program through the shell; `redirections` chooses what is caught.
Spoken RunProgram(const std::string& arguments, const std::string& redirections) {
  const std::string command = "'" HOLEWARD_PROGRAM "' " + arguments + " " + redirections;
  Spoken spoken;
  FILE* pipe = popen(command.c_str(), "r");
  if (pipe == nullptr) {
    return spoken;
  }
  std::array<char, 4096> chunk{};
  while (std::fgets(chunk.data(), static_cast<int>(chunk.size()), pipe) != nullptr) {
    spoken.text += chunk.data();
  }
  const int status = pclose(pipe);
  spoken.status = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  return spoken;
}

constexpr const char* kOnlyOutput = "2>/dev/null";
constexpr const char* kOnlyErrors = "2>&1 >/dev/null";

TEST(Program, AWrongCommandLineLeavesStandardOutputEmpty) {
  for (const char* arguments : {"", "chek x.toml", "check", "new", "new axle", "locate a b"}) {
    const Spoken output = RunProgram(arguments, kOnlyOutput);
    EXPECT_EQ(output.status, 2) << arguments;
    EXPECT_EQ(output.text, "") << arguments;
    EXPECT_EQ(RunProgram(arguments, kOnlyErrors).text.rfind("holeward: ", 0), 0U) << arguments;
  }
}

TEST(Program, HelpAndVersionAreResults) {
  for (const char* arguments : {"--help", "--version", "issue --help", "new tube"}) {
    EXPECT_EQ(RunProgram(arguments, kOnlyOutput).status, 0) << arguments;
    EXPECT_NE(RunProgram(arguments, kOnlyOutput).text, "") << arguments;
    EXPECT_EQ(RunProgram(arguments, kOnlyErrors).text, "") << arguments;
  }
}

TEST(Program, AWindowWithoutADisplayIsASentenceAndStatus4) {
  for (const char* display : {"env -u DISPLAY", "env DISPLAY=:97531", "env DISPLAY="}) {
    const std::string command = std::string(display) + " '" HOLEWARD_PROGRAM
                                                       "' view '" HOLEWARD_SOURCE_DIR
                                                       "/models/examples/utility-van.toml' 2>&1";
    FILE* pipe = popen(command.c_str(), "r");
    ASSERT_NE(pipe, nullptr);
    std::array<char, 512> line{};
    const std::string said = std::fgets(line.data(), 512, pipe) == nullptr ? "" : line.data();
    const int status = pclose(pipe);
    EXPECT_TRUE(WIFEXITED(status)) << display;
    EXPECT_EQ(WEXITSTATUS(status), 4) << display;
    EXPECT_NE(said.find("--picture FILE.png draws without one"), std::string::npos) << said;
  }
}

TEST(Program, APictureOfAJobNeedsNoDisplay) {
  const std::string file = testing::TempDir() + "holeward-view.png";
  const Spoken drawn = RunProgram(
      "view '" HOLEWARD_SOURCE_DIR "/models/examples/utility-van.toml' --picture '" + file + "'",
      "2>&1");
  EXPECT_EQ(drawn.status, 0) << drawn.text;
  std::FILE* picture = std::fopen(file.c_str(), "rb");
  ASSERT_NE(picture, nullptr);
  std::array<unsigned char, 26> head{};
  EXPECT_EQ(std::fread(head.data(), 1, head.size(), picture), head.size());
  std::fclose(picture);
  std::remove(file.c_str());
  // Portable Network Graphics, W3C: signature, then width and height of the first block.
  EXPECT_EQ(std::string(head.begin() + 1, head.begin() + 4), "PNG");
  EXPECT_EQ(256 * head[18] + head[19], 1400);
  EXPECT_EQ(256 * head[22] + head[23], 900);
}

TEST(Program, APictureOfAJobWithErrorsShowsItsGoodPartsAndTellsTheErrors) {
  std::ifstream demo(HOLEWARD_SOURCE_DIR "/models/examples/utility-van.toml", std::ios::binary);
  std::string text(std::istreambuf_iterator<char>(demo), {});
  const std::size_t at = text.find("from = \"pivot eye\"");
  ASSERT_NE(at, std::string::npos);
  text.replace(at, 18, "from = \"pivot eyes\"");
  const std::string job = testing::TempDir() + "half.toml";
  const std::string file = testing::TempDir() + "half.png";
  std::remove(file.c_str());
  std::ofstream(job, std::ios::binary) << text;
  const Spoken drawn = RunProgram("view '" + job + "' --picture '" + file + "'", "2>&1");
  EXPECT_EQ(drawn.status, 2) << drawn.text;
  EXPECT_NE(drawn.text.find("half.toml:"), std::string::npos) << drawn.text;
  EXPECT_NE(drawn.text.find("pivot eyes"), std::string::npos) << drawn.text;
  EXPECT_NE(drawn.text.find("not all of it is drawn, and nothing is judged"), std::string::npos);
  std::ifstream picture(file, std::ios::binary);
  const std::string png(std::istreambuf_iterator<char>(picture), {});
  EXPECT_GT(png.size(), 10000U);
  std::remove(file.c_str());
  std::ofstream(job, std::ios::binary) << "no job at all";
  EXPECT_EQ(RunProgram("view '" + job + "' --picture '" + file + "'", "2>&1").status, 2);
  EXPECT_FALSE(std::ifstream(file).good());
  std::remove(job.c_str());
}

// Figures are all as wide: the plates under the names stay as they are, only the lettering differs.
TEST(Program, APictureNamesThePoints) {
  const auto whole = [](const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    return std::string(std::istreambuf_iterator<char>(in), {});
  };
  const std::string demo = whole(HOLEWARD_SOURCE_DIR "/models/examples/utility-van.toml");
  const std::string folder = testing::TempDir();
  std::string other = demo;
  for (std::size_t at = other.find("\"A1\""); at != std::string::npos; at = other.find("\"A1\"")) {
    other.replace(at, 4, "\"A7\"");
  }
  ASSERT_NE(other, demo);
  std::vector<std::string> pictures;
  for (const std::string& job : {demo, other}) {
    const std::string path = folder + "named.toml", picture = folder + "named.png";
    std::ofstream(path, std::ios::binary) << job;
    const Spoken drawn = RunProgram("view '" + path + "' --picture '" + picture + "'", "2>&1");
    EXPECT_EQ(drawn.status, 0) << drawn.text;
    pictures.push_back(whole(picture));
    std::remove(path.c_str());
    std::remove(picture.c_str());
  }
  EXPECT_GT(pictures[0].size(), 1000U);
  EXPECT_NE(pictures[0], pictures[1]);
}

TEST(Program, OutputThatIsLostIsAFailure) {
  const Spoken spoken = RunProgram("new arm", "2>&1 >/dev/full");
  EXPECT_EQ(spoken.status, 4);
  EXPECT_NE(spoken.text.find("could not be written"), std::string::npos) << spoken.text;
}

TEST(Program, AJobThatIsNotThereCannotBeRead) {
  for (const char* command : {"locate", "check", "template", "issue"}) {
    EXPECT_EQ(RunProgram(std::string(command) + " /nonexistent/van.toml", "2>&1").status, 4)
        << command;
  }
}

TEST(Program, IsNotColouredInAPipe) {
  EXPECT_EQ(RunProgram("--help", kOnlyOutput).text.find('\x1b'), std::string::npos);
}

}  // namespace
}  // namespace holeward
