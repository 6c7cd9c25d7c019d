// Files that the kernel's reader mends in silence: what was mended is told, and such a body is used
// only where the job says so. Sound files, of our own and of other makes, are not called mended.
#include <algorithm>
#include <functional>
#include <regex>

#include "models/solid_part.h"
#include "models/solid_starter.h"
#include "tests/geometry/mounted_shapes.h"
#include "tests/models/checked_job.h"
#include "tests/models/solid_jobs.h"
#include "tests/models/solid_shapes.h"

namespace holeward {
namespace {

using testing_tools::CheckedFrom;
using testing_tools::CheckedJob;
using testing_tools::Scratch;
using testing_tools::SolidCase;
using testing_tools::SolidCases;
using testing_tools::SolidJob;

/// The text of a STEP file, every entity on one line.
std::string OneLineEach(const std::string& text) {
  std::string joined;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const bool inside = text[i] == '\n' && !joined.empty() && joined.back() != ';';
    if (inside || (text[i] == ' ' && !joined.empty() && joined.back() == ',')) continue;
    joined.push_back(text[i]);
  }
  return joined;
}

/// The n-th place that fits, from 0; its first group is what is changed.
std::string Changed(const std::string& text, const std::string& pattern, int n,
                    const std::function<std::string(const std::string&)>& change) {
  const std::regex wanted(pattern);
  auto found = std::sregex_iterator(text.begin(), text.end(), wanted);
  for (int i = 0; i < n && found != std::sregex_iterator(); ++i) ++found;
  EXPECT_TRUE(found != std::sregex_iterator()) << pattern;
  if (found == std::sregex_iterator()) return text;
  const auto at = static_cast<std::size_t>(found->position(1));
  return text.substr(0, at) + change(found->str(1)) + text.substr(at + found->str(1).size());
}

std::string Turned(const std::string& flag) { return flag == "T" ? "F" : "T"; }

std::string AllTurned(const std::string& text, const std::string& entity) {
  std::string turned = text;
  for (auto at = turned.find(entity); at != std::string::npos; at = turned.find(entity, at + 1)) {
    const auto end = turned.find(";", at);
    char& sense = turned[turned.rfind('.', end) - 1];
    sense = sense == 'T' ? 'F' : 'T';
  }
  return turned;
}

struct Damage {
  std::string name;
  std::function<std::string(const std::string&)> damaged;
  std::string told;
};

void PrintTo(const Damage& one, std::ostream* out) { *out << one.name; }

std::string FirstTwoSwapped(const std::string& list) {
  const auto first = list.find(',');
  const auto second = std::min(list.find(',', first + 1), list.size());
  return list.substr(first + 1, second - first - 1) + "," + list.substr(0, first) +
         list.substr(second);
}

/// The first coordinate of the first corner moved.
std::string CornerMoved(const std::string& text, double by) {
  std::string number;
  (void)Changed(text, R"(VERTEX_POINT\('',#(\d+)\))", 0, [&](const std::string& found) {
    number = found;
    return found;
  });
  return Changed(text, "#" + number + R"( = CARTESIAN_POINT\('',\(([^,]*),)", 0,
                 [&](const std::string& x) { return std::to_string(std::stod(x) + by); });
}

/// One edge begins at a corner of its own at the same place.
std::string CornerDoubled(const std::string& text) {
  std::string corner;
  const std::string other =
      Changed(text, R"(EDGE_CURVE\('',#(\d+))", 0, [&](const std::string& found) {
        corner = found;
        return std::string("999999");
      });
  std::string place;
  (void)Changed(text, "#" + corner + R"( = VERTEX_POINT\('',#(\d+)\))", 0,
                [&](const std::string& found) { return place = found; });
  const auto end = other.rfind("ENDSEC;");
  return other.substr(0, end) + "#999999 = VERTEX_POINT('',#" + place + ");\n" + other.substr(end);
}

std::vector<Damage> Damages() {
  const auto flag = [](const std::string& pattern, int n) {
    return [=](const std::string& text) { return Changed(text, pattern, n, Turned); };
  };
  const auto all = [](const std::string& entity) {
    return [=](const std::string& text) { return AllTurned(text, entity); };
  };
  return {
      {"EdgesOutOfOrder",
       [](const std::string& text) {
         return Changed(text, R"(EDGE_LOOP\('',\((#\d+,#\d+,#\d+[^)]*)\)\))", 0, FirstTwoSwapped);
       },
       "1 of its faces' borders had their edges out of order"},
      {"AnEdgeTurned", flag(R"(ORIENTED_EDGE\('',\*,\*,#\d+,\.(.)\.\))", 5),
       "1 of its edges did not part two faces, once each way"},
      {"AFaceTurned", flag(R"(ADVANCED_FACE\('[^']*',\([^)]*\),#\d+,\.(.)\.\))", 3),
       "1 of its faces were turned inside out"},
      {"EveryFaceTurned", all("ADVANCED_FACE("), "faces were turned inside out"},
      {"ABorderTurned", flag(R"(FACE_BOUND\('[^']*',#\d+,\.(.)\.\))", 3),
       "4 of its edges did not part two faces, once each way"},
      {"EveryBorderTurned", all("FACE_BOUND("), "of its edges parted their faces the other way"},
      {"ACurveTurned", flag(R"(EDGE_CURVE\('',#\d+,#\d+,#\d+,\.(.)\.\))", 0),
       "1 of its edges ran against their curves"},
      {"ACornerBeside", [](const std::string& text) { return CornerMoved(text, 0.003); },
       "edges and corners lay up to 0.003 mm off each other"},
      {"ACornerDoubled", CornerDoubled, "33 corners, the body as read 18, 48 and 32"},
      {"AFaceListedTwice",
       [](const std::string& text) {
         return Changed(text, R"(CLOSED_SHELL\('',\((#\d+),)", 0,
                        [](const std::string& face) { return face + "," + face; });
       },
       "the file has 19 faces"},
  };
}

const SolidCase& Box() {
  static const SolidCase box = SolidCases()[0];
  return box;
}

/// The sound file's text.
const std::string& Sound() {
  static const std::string text = [] {
    const Scratch folder;
    return OneLineEach(testing_tools::ReadAll(testing_tools::WriteStep(Box(), folder, "arm.step")));
  }();
  return text;
}

std::string HealingJob() {
  std::string job = SolidJob(Box(), "arm.step", {62, 420, 52});
  return job.insert(job.find("size ="), "healing = true\n");
}

class SolidHealing : public ::testing::TestWithParam<Damage> {};

TEST_P(SolidHealing, WhatWasMendedIsToldAndTheBodyRefused) {
  const Scratch folder;
  const auto read = ReadSolidFile(folder.Put("arm.step", GetParam().damaged(Sound())));
  ASSERT_TRUE(read) << read.error().message;
  ASSERT_EQ(read->bodies.size(), 1U);
  ASSERT_EQ(read->bodies[0].trouble, "");
  ASSERT_EQ(read->bodies[0].healed.size(), 1U);
  EXPECT_NE(read->bodies[0].healed[0].find(GetParam().told), std::string::npos)
      << read->bodies[0].healed[0];
  const JobReading refused =
      ReadJobText(SolidJob(Box(), "arm.step", {62, 420, 52}), folder.path() + "/job.toml");
  ASSERT_EQ(refused.errors.size(), 1U);
  EXPECT_NE(
      refused.errors[0].message.find("is mended on reading (" + read->bodies[0].healed[0] +
                                     "); look at it and, if it is right, give healing = true"),
      std::string::npos)
      << refused.errors[0].message;
}

INSTANTIATE_TEST_SUITE_P(Damages, SolidHealing, ::testing::ValuesIn(Damages()),
                         [](const auto& one) { return one.param.name; });

TEST(SolidHealingJob, WithHealingPlacesAndVerdictsAreThoseOfTheSoundBody) {
  const Scratch folder;
  const std::string path = folder.path() + "/job.toml";
  (void)folder.Put("arm.step", Sound());
  const CheckedJob whole = CheckedFrom(SolidJob(Box(), "arm.step", {62, 420, 52}), path);
  ASSERT_FALSE(whole.placed.empty());
  ASSERT_FALSE(whole.checking.holes.empty());
  int jobs = 0;
  for (const Damage& damage : Damages()) {
    if (damage.name != "EdgesOutOfOrder" && damage.name != "EveryFaceTurned" &&
        damage.name != "ACornerBeside") {
      continue;
    }
    ++jobs;
    (void)folder.Put("arm.step", damage.damaged(Sound()));
    const CheckedJob healed = CheckedFrom(HealingJob(), path);
    ASSERT_EQ(healed.placed.size(), whole.placed.size());
    for (std::size_t i = 0; i < whole.placed.size(); ++i) {
      EXPECT_LT((healed.placed[i].position - whole.placed[i].position).norm(), 0.01);
    }
    ASSERT_EQ(healed.checking.holes.size(), whole.checking.holes.size());
    for (std::size_t i = 0; i < whole.checking.holes.size(); ++i) {
      EXPECT_EQ(healed.checking.holes[i].verdict, whole.checking.holes[i].verdict);
    }
  }
  EXPECT_EQ(jobs, 3);
}

TEST(SolidHealingJob, TheStarterLocateAndCheckTellIt) {
  const Scratch folder;
  const std::string file = folder.Put("arm.step", Damages()[0].damaged(Sound()));
  const std::string told = Damages()[0].told;
  const auto starter = SolidStarterJob(file);
  ASSERT_TRUE(starter) << starter.error().message;
  EXPECT_NE(starter->find("#   1, 62.0 x 420.0 x 52.0 mm, mended on reading: " + told),
            std::string::npos)
      << *starter;
  EXPECT_NE(starter->find("# healing = true    # it is mended on reading: " + told),
            std::string::npos);
  const std::string path = folder.Put("job.toml", HealingJob());
  for (const std::string command : {"locate", "check"}) {
    std::string said =
        testing_tools::Output("'" HOLEWARD_PROGRAM "' " + command + " '" + path + "'; true");
    std::replace(said.begin(), said.end(), '\n', ' ');
    said = std::regex_replace(said, std::regex(" +"), " ");
    EXPECT_NE(said.find("arm is body 1 of arm.step. It is not as the file has it, but mended on "
                        "reading: " +
                        told),
              std::string::npos)
        << said;
  }
}

// A place that lies off by what the last figure of a file may round away is sound.
TEST(SolidHealingJob, ACornerRoundedInTheFileIsNotCalledMended) {
  const Scratch folder;
  const auto read = ReadSolidFile(folder.Put("arm.step", CornerMoved(Sound(), 2e-4)));
  ASSERT_TRUE(read);
  EXPECT_TRUE(read->bodies[0].healed.empty()) << read->bodies[0].healed[0];
}

/// A block that is hollow within, as a file.
std::string HollowBlock() {
  const Scratch folder;
  const TopoDS_Shape block = testing_tools::Less(testing_tools::Block({0, 0, 0}, {60, 50, 40}),
                                                 testing_tools::Block({10, 10, 10}, {50, 40, 30}));
  return OneLineEach(
      testing_tools::ReadAll(testing_tools::WriteShapes({block}, folder, "arm.step")));
}

// A shell round a void is used inside out: its faces look into the void by the standard.
TEST(SolidHealingJob, ABodyWithAVoidIsNotCalledMended) {
  const Scratch folder;
  const std::string text = HollowBlock();
  ASSERT_NE(text.find("BREP_WITH_VOIDS"), std::string::npos);
  const auto read = ReadSolidFile(folder.Put("arm.step", text));
  ASSERT_TRUE(read) << read.error().message;
  ASSERT_EQ(read->bodies.size(), 1U);
  EXPECT_EQ(read->bodies[0].trouble, "");
  EXPECT_TRUE(read->bodies[0].healed.empty()) << read->bodies[0].healed[0];
  EXPECT_NEAR(read->bodies[0].volume, 60.0 * 50.0 * 40.0 - 40.0 * 30.0 * 20.0, 1e-3);
}

// The same with the void's shell the right way out, which is no hollow: it is not taken as it is.
TEST(SolidHealingJob, AVoidTurnedInsideOutIsTold) {
  const Scratch folder;
  const std::string text =
      Changed(HollowBlock(), R"(ORIENTED_CLOSED_SHELL\('',\*,#\d+,\.(.)\.\))", 0, Turned);
  const auto read = ReadSolidFile(folder.Put("arm.step", text));
  if (!read) return;
  ASSERT_EQ(read->bodies.size(), 1U);
  EXPECT_TRUE(!read->bodies[0].trouble.empty() || !read->bodies[0].healed.empty());
}

}  // namespace
}  // namespace holeward
