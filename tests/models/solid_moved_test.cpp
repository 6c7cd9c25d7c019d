// STEP files whose geometry is moved: flattened, scaled, bored anew, one face shifted. Many of them
// are sound tubes that a drill cannot pass through without meeting the wall opposite. What is in
// the way is told by bare triangles alone: where the drill meets the near wall, how thick that is,
// and what comes after. None of those holes may be called clear.
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
#include "tests/models/moved_step.h"
#include "tests/models/solid_jobs.h"

namespace holeward {
namespace {

using testing_tools::Scratch;
using testing_tools::SolidCase;
using testing_tools::StepText;
using testing_tools::Travel;
using testing_tools::Triangle;

struct Source {
  SolidCase one;
  StepText text;
  SolidBody body;
};

double Within(std::mt19937& random, double least, double most) {
  return std::uniform_real_distribution<double>(least, most)(random);
}

/// Both halves on either side of a plane square to an axis, brought together: the tube flatter,
/// down to a few millimetres.
std::string Flattened(const Source& source, int axis, std::mt19937& random) {
  const double middle = 0.5 * (source.body.low[axis] + source.body.high[axis]);
  const double by = source.body.size()[axis] - Within(random, 4.0, 36.0);
  const auto place = [=](Vec3 p) {
    if (p[axis] > middle) p[axis] -= by;
    return p;
  };
  return source.text.Moved(source.text.Everything(), place, [](double r) { return r; });
}

std::string Scaled(const Source& source, std::mt19937& random) {
  const double by = Within(random, 0.1, 0.7);
  const Vec3 origin = source.body.low;
  return source.text.Moved(
      source.text.Everything(), [=](const Vec3& p) { return Vec3(origin + by * (p - origin)); },
      [=](double r) { return by * r; });
}

std::set<int> InnerSkin(const StepText& text) {
  std::vector<int> faces;
  for (const int face : text.All("ADVANCED_FACE")) {
    const std::string name = text.NameOf(face);
    if (name.size() >= 5 && name.substr(name.size() - 5) == "inner") faces.push_back(face);
  }
  return text.Under(faces);
}

/// The bore narrower all round: the wall thicker.
std::string Thickened(const Source& source, std::mt19937& random) {
  const double by = Within(random, 0.5, 24.0);
  const Vec3 low = source.body.low;
  const Vec3 middle = 0.5 * (low + source.body.high);
  const auto place = [=](Vec3 p) {
    const Vec2 off(p.x() - middle.x(), p.z() - middle.z());
    if (off.norm() < by) return p;  // on the axis
    p.x() -= by * off.normalized().x();
    p.z() -= by * off.normalized().y();
    return p;
  };
  return source.text.Moved(InnerSkin(source.text), place, [=](double r) { return r - by; });
}

/// The bore off its place.
std::string Shifted(const Source& source, std::mt19937& random) {
  const Vec3 by(Within(random, -4.0, 4.0), 0.0, Within(random, -4.0, 4.0));
  return source.text.Moved(
      InnerSkin(source.text), [=](const Vec3& p) { return Vec3(p + by); },
      [](double r) { return r; });
}

/// One face and all it rests on.
std::string FaceMoved(const Source& source, std::mt19937& random) {
  const auto faces = source.text.All("ADVANCED_FACE");
  const int face = faces[random() % faces.size()];
  const Vec3 by(Within(random, -25.0, 25.0), Within(random, -2.0, 2.0),
                Within(random, -25.0, 25.0));
  return source.text.Moved(
      source.text.Under({face}), [=](const Vec3& p) { return Vec3(p + by); },
      [](double r) { return r; });
}

constexpr std::size_t kKinds = 6;
constexpr std::array<const char*, kKinds> kKindNames = {
    "flatter across", "flatter upright", "scaled", "bore narrower", "bore shifted", "a face moved"};
// Those that mostly stay sound tubes more often.
constexpr std::array<std::size_t, 12> kTurns = {2, 0, 1, 5, 0, 2, 0, 1, 2, 3, 1, 4};

std::string MovedText(const Source& source, std::size_t kind, std::mt19937& random) {
  switch (kind) {
    case 0: return Flattened(source, 0, random);
    case 1: return Flattened(source, 2, random);
    case 2: return Scaled(source, random);
    case 3: return Thickened(source, random);
    case 4: return Shifted(source, random);
    default: return FaceMoved(source, random);
  }
}

/// How it went with the files of one kind.
struct Tally {
  std::atomic<int> files{0}, refused{0}, no_part{0}, no_hole{0}, holes{0};
  std::atomic<int> clear{0}, other{0};  ///< verdicts
  std::atomic<int> blocked{0}, blocked_clear{0};
};

void Judge(const Job& job, const std::string& path, const std::vector<Triangle>& body,
           Tally& tally) {
  const SceneBuild build = BuildScene(job, Side::left);
  if (!build.ok()) {
    ++tally.no_part;
    return;
  }
  const Placing placing = PlacePoints(job, build.scene, Side::left);
  const Checking checking = CheckPoints(job, build.scene, placing.points, Side::left);
  if (checking.holes.empty()) ++tally.no_hole;
  for (const HoleCheck& hole : checking.holes) {
    ++tally.holes;
    ++(hole.verdict == Verdict::clear ? tally.clear : tally.other);
    const PlacedPoint* const point = FindPlaced(placing.points, hole.point);
    const auto drill = Drill::Of(job.drill, hole.diameter);
    ASSERT_TRUE(point != nullptr && drill) << hole.point;
    const Travel travel{point->position, -point->normal, drill->radius(), drill->cot()};
    const auto wall = testing_tools::WallAt(body, travel);
    ASSERT_TRUE(wall) << path << ": " << hole.point << " is not on metal";
    // Without a stop the tip goes on so far after the full diameter is through.
    const double deepest = *wall + drill->FullBehind() + job.marking.run_on;
    if (testing_tools::MeetsAt(body, travel, *wall + 1.0) > deepest) continue;
    ++tally.blocked;
    if (hole.verdict != Verdict::clear) continue;
    ++tally.blocked_clear;
    ADD_FAILURE() << path << ": " << hole.point << " of " << hole.diameter
                  << " mm is called clear, but metal is "
                  << "met before its tip stands at " << deepest << " mm";
  }
}

/// The job on a moved body: a hole from behind or in front and one from above, half way along.
std::string MovedJob(SolidCase one, const std::string& path, const Vec3& size) {
  const bool faces = one.points.find("face = \"") != std::string::npos;
  const bool rear = one.points.find("face = \"rear\"") != std::string::npos;
  if (const auto rod = one.common.find("[["); rod != std::string::npos) one.common.resize(rod);
  one.points.clear();
  for (const char* const side : {rear ? "rear" : "front", "top"}) {
    one.points += fmt::format(
        "[[point]]\nname = \"D {}\"\nuse = \"drill\"\npart = \"arm\"\n{}rule = [ {{ tape = {:.3f}, "
        "from = \"inner end\", toward = \"outboard\" }}, {} ]\ndrill = [3.5]\nstop = \"none\"\n",
        side, faces ? fmt::format("face = \"{}\"\n", side) : "", 0.5 * size.y(),
        faces ? "{ middle = \"face\" }" : fmt::format("{{ line = \"{}\" }}", side));
  }
  return SolidJob(one, path, size);
}

void TryMoved(const Source& source, const std::string& path, Tally& tally) {
  ++tally.files;
  const auto file = ReadSolidFile(path);
  if (!file || file->bodies.size() != 1 || file->bodies[0].shape.IsNull()) {
    ++tally.refused;
    return;
  }
  const SolidBody& body = file->bodies[0];
  const JobReading reading = ReadJobText(MovedJob(source.one, path, body.size()), path + ".toml");
  if (!reading.ok()) {
    ++tally.no_part;
    return;
  }
  Judge(reading.job, path, testing_tools::TrianglesOf(body.shape, 0.1), tally);
}

std::vector<Source> Sources(const Scratch& folder) {
  std::vector<Source> sources;
  for (const SolidCase& one : testing_tools::SolidCases()) {
    const std::string path = testing_tools::WriteStep(one, folder, one.name + ".step");
    const auto file = ReadSolidFile(path);
    if (!file || file->bodies.size() != 1) {
      ADD_FAILURE() << one.name << " is not read back";
      continue;
    }
    sources.push_back({one, StepText(testing_tools::ReadAll(path)), file->bodies[0]});
  }
  return sources;
}

// Of a symmetric part a mark may lie on an edge of the triangulation.
TEST(DrillReach, TheWallIsFoundWhereAnAxisRunsAlongAnEdgeOfTwoTriangles) {
  std::mt19937 random(7);
  for (int i = 0; i < 1000; ++i) {
    const auto any = [&] {
      return Vec3(Within(random, -1, 1), Within(random, -1, 1), Within(random, -1, 1));
    };
    const Vec3 way = any().normalized();
    const Vec3 along = way.cross(any()).normalized();
    const Vec3 across = way.cross(along);
    const Vec3 mark = 300.0 * any();
    std::vector<Triangle> plate;
    for (const double depth : {0.0, 3.0}) {
      const Vec3 from = mark + depth * way - Within(random, 1, 9) * along;
      const Vec3 to = mark + depth * way + Within(random, 1, 9) * along;
      plate.push_back({from, to, from - 4.0 * across});
      plate.push_back({to + 6.0 * across, from, to});
    }
    const auto wall = testing_tools::WallAt(plate, {mark, way, 2.0, 0.6});
    ASSERT_TRUE(wall) << i;
    EXPECT_NEAR(*wall, 3.0, 1e-9);
  }
}

TEST(SolidMoved, WhatBlocksTheDrillIsNeverCalledClear) {
  const bool in_full = std::getenv("HOLEWARD_LONG_TESTS") != nullptr;
  const Scratch folder;
  const std::vector<Source> sources = Sources(folder);
  ASSERT_EQ(sources.size(), 9U);
  const test::LongPart part = test::LongPartOf(in_full ? 1800 : 12);
  std::array<Tally, kKinds> tallies;
  ForEach(part.to - part.from, [&](std::size_t nth) {
    const std::size_t i = part.from + nth;
    std::mt19937 random(static_cast<unsigned>(20261129 + i));
    const Source& source = sources[i % sources.size()];
    const std::size_t kind = kTurns[i / sources.size() % kTurns.size()];
    const std::string path =
        folder.Put("moved" + std::to_string(i) + ".step", MovedText(source, kind, random));
    TryMoved(source, path, tallies[kind]);
    std::filesystem::remove(path);
  });
  int blocked = 0;
  for (std::size_t kind = 0; kind < kKinds; ++kind) {
    const Tally& t = tallies[kind];
    EXPECT_EQ(t.blocked_clear, 0) << kKindNames[kind];
    blocked += t.blocked;
    std::printf(
        "%-16s %4d files: %4d refused, %4d no part, %3d without a hole; %4d holes, %4d clear, "
        "%4d not; %4d blocked by triangles, %d of them called clear\n",
        kKindNames[kind], t.files.load(), t.refused.load(), t.no_part.load(), t.no_hole.load(),
        t.holes.load(), t.clear.load(), t.other.load(), t.blocked.load(), t.blocked_clear.load());
  }
  const bool all = part.to - part.from == 1800;
  EXPECT_GE(blocked, all ? 100 : in_full ? 0 : 1) << "too few of them block a drill";
}

}  // namespace
}  // namespace holeward
