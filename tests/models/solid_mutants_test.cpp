// Damaged STEP files: whatever stands in them, reading ends with bodies or one sentence, in time;
// and where a job is made of what was read, nothing is called clear that a bare triangulation of
// the body shows in the drill's way (docs/methods/solid.md).
#include <algorithm>
#include <atomic>
#include <cstdio>
#include <cstdlib>
#include <random>

#include "geometry/drill.h"
#include "geometry/parallel.h"
#include "models/checking.h"
#include "models/job_reader.h"
#include "models/placing.h"
#include "models/scene.h"
#include "tests/long_part.h"
#include "tests/models/drill_reach.h"
#include "tests/models/solid_jobs.h"

namespace holeward {
namespace {

using testing_tools::Scratch;
using testing_tools::SolidCase;
using testing_tools::SolidJob;
using testing_tools::Travel;
using testing_tools::Triangle;

std::string Mutant(std::string text, std::mt19937& random) {
  const auto any = [&](std::size_t size) { return size == 0 ? 0 : random() % size; };
  const int changes = 1 + static_cast<int>(any(2));
  for (int i = 0; i < changes; ++i) {
    const std::size_t at = any(text.size());
    switch (any(20)) {
      case 0: text[at] = static_cast<char>(any(256)); break;
      case 1: text.resize(at); break;
      case 2: text.erase(at, 1 + any(40)); break;
      case 3: text.insert(at, text.substr(any(text.size()), 1 + any(200))); break;
      case 4: {  // another entity's number
        const auto hash = text.find('#', at);
        if (hash != std::string::npos) text.insert(hash + 1, 1, static_cast<char>('1' + any(9)));
        break;
      }
      default: {  // another figure
        const auto digit = text.find_first_of("0123456789", at);
        if (digit != std::string::npos) text[digit] = static_cast<char>('0' + any(10));
        break;
      }
      case 5: {
        const char* const words[] = {"1E308", "-1.", "NAN", "$", "*", "()", ".F.", "''"};
        text.insert(at, words[any(8)]);
        break;
      }
    }
    if (text.empty()) return text;
  }
  return text;
}

/// How it went with all mutants.
struct Tally {
  std::atomic<int> read{0}, refused{0}, crashed{0}, stopped{0}, odd{0};
  std::atomic<int> with_body{0}, jobs{0}, resized{0}, reshaped{0};
  std::atomic<int> holes{0}, clear{0}, judged{0}, false_clear{0}, wrong_size{0};
};

/// Depth the tip reaches in a hole as drilled: its stop, or where the full diameter is through.
double DepthOf(const HoleCheck& hole) { return hole.stop.value_or(hole.breakthrough); }

/// Compares what was called clear with the body's triangles.
void Judge(const Job& job, const std::vector<Triangle>& body, Tally& tally) {
  const SceneBuild build = BuildScene(job, Side::left);
  if (!build.ok()) return;
  const Placing placing = PlacePoints(job, build.scene, Side::left);
  const Checking checking = CheckPoints(job, build.scene, placing.points, Side::left);
  for (const HoleCheck& hole : checking.holes) {
    ++tally.holes;
    if (hole.verdict != Verdict::clear) continue;
    ++tally.clear;
    const PlacedPoint* const point = FindPlaced(placing.points, hole.point);
    const auto drill = Drill::Of(job.drill, hole.diameter);
    if (point == nullptr || !drill) continue;
    ++tally.judged;
    const Travel travel{point->position, -point->normal, drill->radius(), drill->cot()};
    // What is left of the near wall round the hole lies no deeper than the full break-through.
    const double meets = testing_tools::MeetsAt(body, travel, hole.near_wall + 1.0);
    if (meets < DepthOf(hole)) {
      ++tally.false_clear;
      ADD_FAILURE() << hole.point << " is called clear to " << DepthOf(hole) << " mm, metal at "
                    << meets;
    }
  }
}

/// A job on the one body of a mutant, with the size that was read: as from a hand that confirms
/// whatever the program shows.
void TryJob(const SolidCase& one, const SolidBody& original, const std::string& path,
            const SolidBody& body, Tally& tally) {
  const std::string text = SolidJob(one, path, body.size());
  const JobReading reading = ReadJobText(text, path + ".toml");
  if (!reading.ok()) return;
  ++tally.jobs;
  if ((body.size() - original.size()).norm() > 1e-6) ++tally.resized;
  if (std::abs(body.volume - original.volume) > 1e-6 * original.volume) ++tally.reshaped;
  const std::vector<Triangle> triangles = testing_tools::TrianglesOf(body.shape, 0.1);
  // The size shown for confirmation is that of the triangles, and so is the volume.
  Vec3 low = Vec3::Constant(1e9);
  Vec3 high = -low;
  for (const Triangle& t : triangles) {
    for (const Vec3& corner : t) {
      low = low.cwiseMin(corner);
      high = high.cwiseMax(corner);
    }
  }
  const double volume = testing_tools::VolumeOf(triangles);
  if (!((high - low - body.size()).norm() < 0.1) ||
      !(std::abs(volume - body.volume) < 2e-3 * body.volume)) {
    ++tally.wrong_size;
    ADD_FAILURE() << path << ": read as " << body.size().transpose() << ", its triangles measure "
                  << (high - low).transpose() << ", volumes " << body.volume << " and " << volume;
  }
  Judge(reading.job, triangles, tally);
}

void TryMutant(const SolidCase& one, const SolidBody& original, const std::string& path,
               Tally& tally) {
  const auto file = ReadSolidFile(path);
  if (!file) {
    const std::string& why = file.error().message;
    ++tally.refused;
    if (why.find("crashed") != std::string::npos) ++tally.crashed;
    if (why.find("was stopped") != std::string::npos) ++tally.stopped;
    if (why.empty() || why.find('\n') != std::string::npos) ++tally.odd;
    return;
  }
  ++tally.read;
  if (file->bodies.size() != 1 || file->bodies[0].shape.IsNull()) return;
  ++tally.with_body;
  TryJob(one, original, path, file->bodies[0], tally);
}

/// A file that is damaged anew each time.
struct Source {
  SolidCase one;
  std::string text;
  SolidBody body;
};

/// Ten sources in full: six parts as they are, four of them with their holes drilled.
std::vector<Source> Sources(const Scratch& folder, std::size_t most) {
  std::vector<Source> sources;
  for (const char* const options : {"", "--drilled"}) {
    for (const SolidCase& one : testing_tools::SolidCases()) {
      if (sources.size() == most) return sources;
      const std::string path =
          testing_tools::WriteStep(one, folder, one.name + options + ".step", options);
      const auto file = ReadSolidFile(path);
      if (!file || file->bodies.size() != 1) {
        ADD_FAILURE() << one.name << " is not read back";
        continue;
      }
      sources.push_back({one, testing_tools::ReadAll(path), file->bodies[0]});
    }
  }
  return sources;
}

TEST(SolidMutants, EndInBodiesOrOneSentenceAndNothingIsFalselyClear) {
  const bool in_full = std::getenv("HOLEWARD_LONG_TESTS") != nullptr;
  const Scratch folder;
  const std::vector<Source> sources = Sources(folder, in_full ? 10 : 2);
  ASSERT_EQ(sources.size(), in_full ? 10U : 2U);
  const test::LongPart part = test::LongPartOf(in_full ? 10000 : 24);
  const std::size_t count = part.to - part.from;
  Tally tally;
  ForEach(count, [&](std::size_t nth) {
    const std::size_t i = part.from + nth;
    std::mt19937 random(static_cast<unsigned>(20261129 + i));
    const Source& source = sources[i % sources.size()];
    const std::string path =
        folder.Put("mutant" + std::to_string(i) + ".step", Mutant(source.text, random));
    TryMutant(source.one, source.body, path, tally);
    std::filesystem::remove(path);
  });
  EXPECT_EQ(tally.read + tally.refused, static_cast<int>(count));
  EXPECT_EQ(tally.odd, 0);
  EXPECT_EQ(tally.false_clear, 0);
  EXPECT_EQ(tally.wrong_size, 0);
  EXPECT_GT(tally.refused, 0);
  EXPECT_GT(tally.judged, 0);
  EXPECT_EQ(tally.judged, tally.clear);
  std::printf(
      "%zu mutants (from %zu on) of %zu files: %d refused (%d after a crash, %d stopped), %d read, "
      "%d of them "
      "one "
      "sound body, %d jobs (%d of another size, %d of another volume)\n%d holes, %d called clear, "
      "%d "
      "judged by triangles, %d falsely clear\n",
      count, part.from, sources.size(), tally.refused.load(), tally.crashed.load(),
      tally.stopped.load(), tally.read.load(), tally.with_body.load(), tally.jobs.load(),
      tally.resized.load(), tally.reshaped.load(), tally.holes.load(), tally.clear.load(),
      tally.judged.load(), tally.false_clear.load());
}

// The judge of the mutants can find against: the far wall of the box is where a ruler says.
TEST(SolidMutants, TheTrianglesShowTheFarWallToADrill) {
  const Scratch folder;
  const std::vector<Source> sources = Sources(folder, 1);
  ASSERT_EQ(sources.size(), 1U);
  const auto triangles = testing_tools::TrianglesOf(sources[0].body.shape, 0.02);
  // Box 62 wide, 52 high, wall 3, middle at x = -110, z = 300, from y = 200 to 620; straight
  // through its middle, from above and from behind: 52 - 3 and 62 - 3.
  const double tall =
      testing_tools::MeetsAt(triangles, {Vec3(-110, 400, 326), Vec3(0, 0, -1), 4.0, 0.6}, 4.0);
  EXPECT_NEAR(tall, 49.0, 0.2);
  const double wide =
      testing_tools::MeetsAt(triangles, {Vec3(-141, 400, 300), Vec3(1, 0, 0), 4.0, 0.6}, 4.0);
  EXPECT_NEAR(wide, 59.0, 0.2);
  EXPECT_NEAR(testing_tools::VolumeOf(triangles), sources[0].body.volume,
              1e-3 * sources[0].body.volume);
}

}  // namespace
}  // namespace holeward
