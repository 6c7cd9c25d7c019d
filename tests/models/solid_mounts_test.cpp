// Bodies of STEP files with mounts in one piece with the tube. What is in the way is told by a bare
// triangulation of the body as the file has it: what is called clear meets none of it, neither
// drill nor chuck nor the body of the test tool.
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <functional>
#include <random>

#include "geometry/drill.h"
#include "geometry/solid.h"
#include "models/part_solid.h"
#include "models/solid_file.h"
#include "models/solid_starter.h"
#include "tests/geometry/mounted_shapes.h"
#include "tests/models/checked_job.h"
#include "tests/models/drill_reach.h"
#include "tests/models/solid_jobs.h"
#include "tests/models/solid_shapes.h"

namespace holeward {
namespace {

using testing_tools::Block;
using testing_tools::BoxTube;
using testing_tools::ChannelTube;
using testing_tools::CheckedJob;
using testing_tools::HollowBar;
using testing_tools::Less;
using testing_tools::Placed;
using testing_tools::Rod;
using testing_tools::RoundTube;
using testing_tools::Scratch;
using testing_tools::Travel;
using testing_tools::Triangle;
using testing_tools::WithMounts;

enum class Tube { box, round, channel, bent };

/// A body with mounts, and where points are tried on it.
struct MountedCase {
  std::string name;
  Tube tube = Tube::box;
  std::function<TopoDS_Shape()> body;
  std::vector<std::string> kinds;  ///< of its mounts, in order
  double station = 0.0;            ///< of the first
};

void PrintTo(const MountedCase& one, std::ostream* out) { *out << one.name; }

bool OffBox(const Vec3& p) {
  return std::abs(p.x()) > 31.0 + 1e-4 || std::abs(p.z()) > 26.0 + 1e-4;
}

TopoDS_Shape Eye(double z) {
  return Less(Rod({-15, 200, z}, {15, 200, z}, 20.0), Rod({-16, 200, z}, {16, 200, z}, 16.0));
}

/// A round tube with a bend in it, upward; straight for the first 150 mm.
HollowBar BentTube() {
  const auto swept = [](double radius) {
    testing_tools::Spine spine(Vec3::Zero(), Vec3::UnitY(), 150.0);
    spine.Add({Vec3::UnitZ(), 120.0, 0.6, 150.0});
    return spine.Tube(radius, 0.0);
  };
  return {swept(27.0), swept(24.0)};
}

std::vector<MountedCase> MountedCases() {
  return {
      {"BlockOnTop",
       Tube::box,
       [] {
         return WithMounts(BoxTube(), {Block({-15, 150, 20}, {15, 190, 56})});
       },
       {"bracket"},
       170.0},
      {"WeldedBlock",
       Tube::box,
       [] {
         return testing_tools::WithWelds(
             WithMounts(BoxTube(), {Block({-12, 150, 20}, {12, 190, 86})}), 4.0, OffBox);
       },
       {"bracket"},
       170.0},
      {"StudOnRear",
       Tube::box,
       [] {
         return WithMounts(BoxTube(), {Rod({-20, 200, 0}, {-66, 200, 0}, 6.0)});
       },
       {"stud"},
       200.0},
      {"WeldedStud",
       Tube::box,
       [] {
         return testing_tools::WithWelds(
             WithMounts(BoxTube(), {Rod({0, 200, 20}, {0, 200, 60}, 6.0)}), 2.0, OffBox);
       },
       {"stud"},
       200.0},
      {"EyeOnTop",
       Tube::box,
       [] { return WithMounts(BoxTube(), {Eye(44.0)}); },
       {"bracket"},
       200.0},
      {"OverCorner",
       Tube::box,
       [] {
         return WithMounts(BoxTube(), {Block({10, 150, 5}, {45, 190, 40})});
       },
       {"bracket"},
       170.0},
      {"Saddle",
       Tube::box,
       [] {
         return WithMounts(BoxTube(), {Block({-45, 150, -10}, {45, 190, 40})});
       },
       {"bracket"},
       170.0},
      {"BlockAndStud",
       Tube::box,
       [] {
         return WithMounts(BoxTube(), {Block({-15, 250, 20}, {15, 290, 86}),
                                       Rod({-20, 120, 0}, {-66, 120, 0}, 6.0)});
       },
       {"stud", "bracket"},
       120.0},
      {"HangingOver",
       Tube::box,  // wider above than where it stands
       [] {
         return WithMounts(BoxTube(), {Block({-10, 160, 20}, {10, 180, 50}),
                                       Block({-30, 120, 50}, {30, 220, 56})});
       },
       {"bracket"},
       170.0},
      {"Nut",
       Tube::box,  // with bare skin inside it
       [] {
         return WithMounts(BoxTube(), {Less(Rod({0, 200, 20}, {0, 200, 40}, 10.0),
                                            Rod({0, 200, 0}, {0, 200, 50}, 5.0))});
       },
       {"stud"},
       200.0},
      {"TwoLegs",
       Tube::box,
       [] {
         return WithMounts(BoxTube(), {Less(Block({-15, 150, 20}, {15, 210, 56}),
                                            Block({-20, 160, 20}, {20, 200, 46}))});
       },
       {"bracket"},
       180.0},
      {"FlushAtTheEnd",
       Tube::box,
       [] {
         return WithMounts(BoxTube(), {Block({-15, 0, 20}, {15, 40, 56})}, false);
       },
       {"bracket"},
       20.0},
      {"BlockOnRound",
       Tube::round,
       [] {
         return WithMounts(RoundTube(), {Block({-10, 150, 20}, {10, 190, 60})});
       },
       {"bracket"},
       170.0},
      {"StudOnRound",
       Tube::round,
       [] {
         return WithMounts(RoundTube(), {Rod({0, 200, -20}, {0, 200, -70}, 6.0)});
       },
       {"stud"},
       200.0},
      {"BlockOnChannel",
       Tube::channel,
       [] {
         return WithMounts(ChannelTube(), {Block({25, 150, -15}, {80, 190, 15})});
       },
       {"bracket"},
       170.0},
      {"BlockOnBent",
       Tube::bent,
       [] {
         return WithMounts(BentTube(), {Block({-60, 60, -8}, {-20, 100, 8})});
       },
       {"bracket"},
       80.0},
      {"EyeInTheEnd",  // what lies within 25 mm of the end is tried at 25 mm
       Tube::box,
       [] { return testing_tools::WithEyes(BoxTube(), {0.0}, 20.0, 84.0); },
       {"eye"},
       0.0},
      {"EyeOverTheEnd",
       Tube::box,
       [] { return testing_tools::WithEyes(BoxTube(), {0.0}, 34.0, 70.0); },
       {"eye"},
       0.0},
      {"EyeOverARoundEnd",
       Tube::round,
       [] { return testing_tools::WithEyes(RoundTube(), {0.0}, 34.0, 80.0); },
       {"eye"},
       0.0},
      {"StudOnTheBend",
       Tube::bent,
       [] {
         const double turn = 0.3;
         const Vec3 at(0.0, 150.0 + 120.0 * std::sin(turn), 120.0 - 120.0 * std::cos(turn));
         return WithMounts(BentTube(), {Rod(at - Vec3(20, 0, 0), at - Vec3(60, 0, 0), 6.0)});
       },
       {"stud"},
       186.0},
  };
}

std::string PartTable(const Vec3& size) {
  return fmt::format(
      "[tool.drill]\nprojection = 45\n[part.arm]\nsection = \"solid\"\nfile = \"arm.step\"\n"
      "size = [{:.3f}, {:.3f}, {:.3f}]\nstart = \"inner end\"\nfinish = \"outer end\"\n",
      size.x(), size.y(), size.z());
}

/// A drill and a test point at a station, `share` of the way across the face or round the part.
std::string PointsAt(Tube tube, int number, double station, double share) {
  std::string where;
  std::string face;
  if (tube == Tube::box || tube == Tube::channel) {
    const char* faces[] = {"top", "rear", "front", "underside"};
    const std::string one = tube == Tube::channel ? "front" : faces[number % 4];
    face = "face = \"" + one + "\"\n";
    where = fmt::format("{{ middle = \"face\", fraction = {:.3f} }}", share);
  } else {
    const char* lines[] = {"top", "rear", "bottom", "front"};
    const char* toward[] = {"up", "rear", "down", "front"};
    where = share < 0.5 ? fmt::format("{{ line = \"{}\" }}", lines[number % 4])
                        : fmt::format("{{ protractor = {:.1f}, from = \"{}\", toward = \"{}\" }}",
                                      80.0 * share, lines[number % 4], toward[(number + 1) % 4]);
  }
  std::string text;
  for (const char* use : {"drill", "test"}) {
    const bool drill = use == std::string("drill");
    text += fmt::format(
        "[[point]]\nname = \"{}{}\"\nuse = \"{}\"\npart = \"arm\"\n{}rule = [ {{ tape = {:.3f}, "
        "from = \"inner end\", toward = \"outboard\" }}, {} ]\n{}",
        drill ? "D" : "T", number, use, face, station, where,
        drill ? "drill = [4]\nstop = \"none\"\n" : "");
  }
  return text;
}

/// True if a cylinder that stands out from `base` along `out` meets no triangle.
bool IsFree(const std::vector<Triangle>& body, const Vec3& base, const Vec3& out, double radius,
            double length) {
  // Seen from its far end; MeetsAt may find metal 0.2 mm early.
  const Travel travel{base + length * out, -out, radius - 0.2, 0.0};
  return testing_tools::MeetsAt(body, travel, 0.0) > length - 0.3;
}

struct Tally {
  int clear = 0, other = 0, in_the_way = 0;
};

void JudgeHole(const CheckedJob& run, const HoleCheck& hole, const std::vector<Triangle>& body,
               Tally& tally) {
  const PlacedPoint* const point = FindPlaced(run.placed, hole.point);
  const auto drill = Drill::Of(run.job.drill, hole.diameter);
  ASSERT_TRUE(point != nullptr && drill) << hole.point;
  const Vec3 out = point->normal;
  const Travel travel{point->position, -out, drill->radius(), drill->cot()};
  const auto wall = testing_tools::WallAt(body, travel);
  const bool clear = hole.verdict == Verdict::clear;
  ++(clear ? tally.clear : tally.other);
  if (!wall) {  // under a mount
    ++tally.in_the_way;
    EXPECT_FALSE(clear) << hole.point << " is under a mount";
    return;
  }
  const double deepest = *wall + drill->FullBehind() + run.job.marking.run_on;
  const double showing = run.job.drill.projection.front() - deepest;
  const auto& chuck = run.job.drill.chuck;
  const bool free =
      testing_tools::MeetsAt(body, travel, *wall + 1.0) > deepest &&
      IsFree(body, point->position + 0.3 * out, out, drill->radius(), showing) &&
      IsFree(body, point->position + showing * out, out, 0.5 * chuck.diameter, chuck.length);
  if (!free) ++tally.in_the_way;
  EXPECT_TRUE(free || !clear) << hole.point << " is called clear and something is in the way";
}

void JudgeTest(const CheckedJob& run, const PointCheck& check, const std::vector<Triangle>& body,
               Tally& tally) {
  if (!check.test) return;
  const PlacedPoint* const point = FindPlaced(run.placed, check.point);
  ASSERT_TRUE(point != nullptr);
  const bool clear = check.verdict == Verdict::clear;
  ++(clear ? tally.clear : tally.other);
  const auto& tool = run.job.test.body;
  const bool free = IsFree(body, point->position + 0.5 * point->normal, point->normal,
                           0.5 * tool.diameter, tool.length);
  if (!free) ++tally.in_the_way;
  EXPECT_TRUE(free || !clear) << check.point << " is called clear and something is in the way";
}

/// A job placed and checked; of its points only those under a mount, or over each other,
/// may be none.
CheckedJob CheckedWhereBare(const std::string& text, const std::string& file) {
  CheckedJob run;
  const JobReading reading = ReadJobText(text, file);
  for (const JobError& error : reading.errors) ADD_FAILURE() << error.Text(file);
  if (!reading.ok()) return run;
  run.job = reading.job;
  SceneBuild build = BuildScene(run.job, Side::left);
  for (const JobError& error : build.errors) ADD_FAILURE() << error.Text(file);
  for (const JobError& error : build.failures) ADD_FAILURE() << error.Text(file);
  run.scene = std::move(build.scene);
  const Placing placing = PlacePoints(run.job, run.scene, Side::left);
  for (const JobError& error : placing.errors) {
    const bool taken = error.message.find("it lies under the fitting") != std::string::npos ||
                       error.message.find("its hole runs into") != std::string::npos;
    EXPECT_TRUE(taken) << error.message;
  }
  run.placed = placing.points;
  run.Check();
  return run;
}

class SolidMounts : public ::testing::TestWithParam<MountedCase> {};

TEST_P(SolidMounts, AreFoundAndWhatTheyBlockIsNeverCalledClear) {
  const bool in_full = std::getenv("HOLEWARD_LONG_TESTS") != nullptr;
  const MountedCase& one = GetParam();
  const Scratch folder;
  const std::string path = testing_tools::WriteShapes({Placed(one.body())}, folder, "arm.step");
  const auto file = ReadSolidFile(path);
  ASSERT_TRUE(file) << file.error().message;
  ASSERT_EQ(file->bodies.size(), 1U);
  const SolidBody& body = file->bodies.front();
  ASSERT_TRUE(body.trouble.empty() && body.healed.empty()) << body.trouble;
  std::string text = testing_tools::kSolidHead + PartTable(body.size());
  std::mt19937 random(20261129);
  const int points = in_full ? 60 : 8;
  for (int i = 0; i < points; ++i) {
    const auto within = [&](double a, double b) {
      return std::uniform_real_distribution<double>(a, b)(random);
    };
    const double near = one.station + within(-60.0, 60.0);
    text += PointsAt(one.tube, i, std::clamp(near, 25.0, 300.0), within(0.2, 0.8));
  }
  const CheckedJob run = CheckedWhereBare(text, folder.path() + "/job.toml");
  ASSERT_EQ(run.scene.parts.size(), 1U);
  const Part& part = run.scene.parts.front();
  ASSERT_EQ(part.fittings.size(), one.kinds.size());
  for (std::size_t i = 0; i < one.kinds.size(); ++i) {
    EXPECT_EQ(part.fittings[i].kind, one.kinds[i]);
    EXPECT_EQ(part.fittings[i].name, "mount " + std::to_string(i + 1));
  }
  EXPECT_NEAR(part.fittings.front().station, one.station, 0.5);
  Tally tally;
  const std::vector<Triangle> triangles = testing_tools::TrianglesOf(body.shape, 0.1);
  for (const HoleCheck& hole : run.checking.holes) JudgeHole(run, hole, triangles, tally);
  for (const PointCheck& point : run.checking.points) JudgeTest(run, point, triangles, tally);
  std::printf("%-16s %3d clear, %3d not, %3d with something in the way\n", one.name.c_str(),
              tally.clear, tally.other, tally.in_the_way);
  EXPECT_GE(tally.clear, 1) << testing_tools::All(run.checking.holes.front().reasons);
  EXPECT_GE(tally.clear + tally.other, 8);
  // The body that is handed over is the file's.
  const auto whole = WithFittings(part);
  ASSERT_TRUE(whole) << whole.error().message;
  EXPECT_NEAR(whole->volume(), body.volume, 1e-5 * body.volume);
}

INSTANTIATE_TEST_SUITE_P(Cases, SolidMounts, ::testing::ValuesIn(MountedCases()),
                         [](const auto& one) { return one.param.name; });

}  // namespace
}  // namespace holeward
