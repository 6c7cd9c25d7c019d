// What is left out of a hole's search for being out of reach is met in no pose: pellets hung all
// round, poses drawn at the ends of their errors, contact told by distance alone.
#include <algorithm>
#include <cmath>
#include <functional>
#include <set>
#include <string>

#include <fmt/format.h>

#include <gtest/gtest.h>

#include "geometry/clearance.h"
#include "geometry/random.h"
#include "models/hole_check.h"
#include "models/job_reader.h"
#include "models/placing.h"
#include "models/scene.h"
#include "tests/models/checked_job.h"
#include "tests/models/job_head.h"

namespace holeward {
namespace {

using testing_tools::CheckedJob;

constexpr double kPellet = 0.05;  // radius, mm
constexpr double kDeepest = 70.0;
constexpr int kPellets = 6000;

std::string Arm() {
  return testing_tools::JobHead("reach") + R"(
[marking]
tilt = 6
[limits]
side = 2
[part.arm]
section = "box"
wall = 2.8
start = "inner end"
finish = "outer end"
stations = [
  { centre = [-198, 140, 292], width = 70, height = 60, corner = 8 },
  { centre = [-198, 340, 288], width = 66, height = 58, corner = 8 },
]
[[point]]
name = "square"
use = "drill"
part = "arm"
face = "underside"
drill = [6]
rule = [ { tape = 80, from = "inner end", toward = "outboard" }, { middle = "face" } ]
[[point]]
name = "leaning"
use = "drill"
part = "arm"
face = "rear"
drill = [9]
axis = { toward = "outboard", lean = 20 }
rule = [ { tape = 90, from = "inner end", toward = "outboard" }, { middle = "face" } ]
)";
}

/// Pellets in a cylinder round a hole's axis, `spread` times as wide and long as what reaches far
/// in a job.
std::vector<Neighbour> Pellets(const Vec3& at, const Vec3& direction, std::uint64_t seed,
                               double spread) {
  const AxisFrame frame = AxisFrame::At(at, direction);
  std::vector<Neighbour> pellets;
  for (int i = 0; i < kPellets; ++i) {
    double u[4];
    UniformsOf(seed, static_cast<std::uint64_t>(i), u);
    const double radius = 40.0 * std::sqrt(u[0]);
    const double angle = 2.0 * kPi * u[1];
    const Vec3 local =
        spread * Vec3(radius * std::cos(angle), radius * std::sin(angle), -8.0 + 98.0 * u[2]);
    const Vec3 place = frame.rotation.transpose() * local + at;
    Neighbour pellet;
    pellet.name = fmt::format("pellet {}", i);
    pellet.path = {place - 0.05 * direction, place + 0.05 * direction};
    pellet.radius = kPellet;
    pellets.push_back(std::move(pellet));
  }
  return pellets;
}

/// A pose of a site with its errors at their ends.
Pose EndPose(const HoleSite& site, std::uint64_t number) {
  double u[6];
  UniformsOf(77, number, u);
  const auto& zone = site.poses[number % site.poses.size()];
  const PoseCone& cone = zone[std::min(
      zone.size() - 1, static_cast<std::size_t>(u[0] * static_cast<double>(zone.size())))];
  const Vec3 axis = cone.pose.direction.normalized();
  const AxisFrame frame = AxisFrame::At(cone.pose.entry, axis);
  const auto across = [&](double turn) {
    return Vec3(frame.rotation.transpose() *
                Vec3(std::cos(2.0 * kPi * turn), std::sin(2.0 * kPi * turn), 0.0));
  };
  Pose pose;
  pose.entry =
      cone.pose.entry + cone.place * across(u[1]) + (u[2] < 0.5 ? -1.0 : 1.0) * cone.rise * axis;
  pose.direction = std::cos(cone.tilt) * axis + std::sin(cone.tilt) * across(u[3]);
  return pose;
}

/// True if a drill of this radius comes to the place, or passes it within `beside`, in this pose.
bool Comes(const Pose& pose, const Vec3& place, double radius, double beside) {
  const Vec3 from = place - pose.entry;
  const double along = from.dot(pose.direction);
  if (along < 0.0 || along > kDeepest) return false;
  return (from - along * pose.direction).norm() < radius + beside;
}

/// A point of the job above and what surrounds it.
class OneHole {
 public:
  explicit OneHole(const std::string& name)
      : reading_(ReadJobText(Arm(), "reach.toml")),
        build_(BuildScene(reading_.job, Side::left)),
        placing_(PlacePoints(reading_.job, build_.scene, Side::left)),
        row_(*reading_.job.FindPoint(name)),
        placed_(*std::find_if(placing_.points.begin(), placing_.points.end(),
                              [&](const PlacedPoint& point) { return point.name == name; })),
        axis_(*AxisOf(row_.axis, Side::left, placed_.normal)) {}

  /// True if a pellet at a place is kept for what the poses of a cone can meet, both given in the
  /// frame of the hole's axis.
  [[nodiscard]] bool Keeps(const Vec3& place, PoseCone cone, double deepest) const {
    const AxisFrame frame = AxisFrame::At(placed_.position, axis_(placed_.normal));
    const Vec3 along = 0.01 * frame.rotation.row(2).transpose();
    Scene scene = build_.scene;
    Neighbour pellet;
    pellet.name = "pellet";
    pellet.path = {frame.ToWorld(place) - along, frame.ToWorld(place) + along};
    pellet.radius = 0.01;
    scene.neighbours = {pellet};
    const auto around = Surroundings::Make(scene, reading_.job.marking);
    cone.pose = {frame.ToWorld(cone.pose.entry), frame.rotation.transpose() * cone.pose.direction};
    const HoleSite site{reading_.job, scene,   *scene.FindPart("arm"), *around, row_, placed_,
                        axis_,        {{cone}}};
    const auto obstacles = ObstaclesOf(site, row_.drill[0], deepest).obstacles;
    return std::any_of(obstacles.begin(), obstacles.end(),
                       [](const Obstacle& obstacle) { return obstacle.body == "pellet"; });
  }

 private:
  JobReading reading_;
  SceneBuild build_;
  Placing placing_;
  const PointRow& row_;
  const PlacedPoint& placed_;
  AxisRule axis_;
};

struct Tally {
  int left_out = 0;
  int met = 0;
  int missed = 0;
};

using Widening = std::function<void(HoleSite&)>;

Tally TallyOf(const std::string& name, std::uint64_t seed, double spread, const Widening& widen) {
  const JobReading reading = ReadJobText(Arm(), "reach.toml");
  for (const JobError& error : reading.errors) ADD_FAILURE() << error.Text("reach.toml");
  SceneBuild build = BuildScene(reading.job, Side::left);
  const Placing placing = PlacePoints(reading.job, build.scene, Side::left);
  Tally tally;
  for (const PlacedPoint& point : placing.points) {
    if (point.name != name) continue;
    const PointRow& row = *reading.job.FindPoint(name);
    const auto axis = AxisOf(row.axis, Side::left, point.normal);
    if (!axis) {
      ADD_FAILURE() << axis.error().message;
      return tally;
    }
    build.scene.neighbours =
        Pellets(point.position, (*axis)(point.normal).normalized(), seed, spread);
    const auto around = Surroundings::Make(build.scene, reading.job.marking);
    auto site = MakeSite(
        {reading.job, build.scene, *build.scene.FindPart("arm"), *around, row, point, {}, {}});
    if (!site) {
      ADD_FAILURE() << site.error().message;
      return tally;
    }
    if (widen) widen(*site);
    std::set<std::string> kept;
    for (const Obstacle& obstacle : ObstaclesOf(*site, row.drill[0], kDeepest).obstacles) {
      kept.insert(obstacle.body);
    }
    for (const Neighbour& pellet : build.scene.neighbours) {
      const Vec3 place = 0.5 * (pellet.path[0] + pellet.path[1]);
      const bool in = kept.count(pellet.name) != 0;
      tally.left_out += !in;
      bool met = false;
      for (std::uint64_t pose = 0; !met && pose < 400; ++pose) {
        met = Comes(EndPose(*site, pose), place, 0.5 * row.drill[0], reading.job.limits.side);
      }
      tally.met += met;
      tally.missed += met && !in;
    }
  }
  return tally;
}

TEST(HoleReach, NothingThatAPoseComesToIsLeftOut) {
  for (const char* name : {"square", "leaning"}) {
    for (const std::uint64_t seed : {1U, 2U}) {
      const Tally tally = TallyOf(name, seed, 1.0, {});
      EXPECT_EQ(tally.missed, 0) << name;
      EXPECT_GT(tally.met, kPellets / 50) << name;
      // It does leave out: what no pose comes to is most of the pellets.
      EXPECT_GT(tally.left_out, kPellets / 3) << name;
    }
  }
}

// Poses spread as no hand would: far along a leaning axis, far across it, far off to a side.
TEST(HoleReach, NorAnythingThatPosesSpreadWideComeTo) {
  struct Wide {
    Vec3 off;  ///< of the cone's middle, across the hole's axis twice and along it
    double lean, place, rise, tilt;
  };
  const double lean = 25.0 * kDegree;
  for (const Wide& wide : {Wide{{0, 0, 0}, lean, 0, 40, 0.01}, Wide{{0, 0, 0}, lean, 30, 0, 0.01},
                           Wide{{30, 20, 0}, 0, 0, 0, 0.01}, Wide{{0, 0, -30}, lean, 0, 0, 0.01},
                           Wide{{0, 0, 0}, 0, 20, 20, 0.4}}) {
    const Tally tally = TallyOf("leaning", 3, 1.6, [&](HoleSite& site) {
      const Vec3 axis = site.axis(site.placed.normal).normalized();
      const AxisFrame frame = AxisFrame::At(site.placed.position, axis);
      site.poses.assign(1, {});
      for (int k = 0; k < 8; ++k) {
        const double turn = 2.0 * kPi * k / 8.0;
        PoseCone cone;
        const Eigen::AngleAxisd round(turn, Vec3::UnitZ());
        cone.pose.entry = frame.ToWorld(round * wide.off);
        cone.pose.direction = frame.rotation.transpose() *
                              (round * Vec3(std::sin(wide.lean), 0.0, std::cos(wide.lean)));
        cone.place = wide.place;
        cone.rise = wide.rise;
        cone.tilt = wide.tilt;
        site.poses[0].push_back(cone);
      }
    });
    EXPECT_EQ(tally.missed, 0) << wide.off.transpose() << ' ' << wide.place << ' ' << wide.rise;
    EXPECT_GT(tally.met, kPellets / 100);
    EXPECT_GT(tally.left_out, kPellets / 20);
  }
}

// In the frame of the hole's axis, a drill of 6 mm with 2 mm beside it: R = 5 mm. What lies right
// on the border of what some pose comes to is kept; where the border is exact, what lies beyond is
// not.
TEST(HoleReach, ReachesAsFarAsThePosesDo) {
  const double lean = 25.0 * kDegree;
  const double tilt = 10.0 * kDegree;
  const double c = std::cos(tilt);
  const double s = std::sin(tilt);
  const Vec3 leaning(std::sin(lean), 0.0, std::cos(lean));
  const Vec3 across(std::cos(lean), 0.0, -std::sin(lean));
  const PoseCone straight{{Vec3::Zero(), Vec3::UnitZ()}, 0.0, 0.0, 0.0};
  const auto cone = [&](const Vec3& entry, double place, double rise, double off) {
    return PoseCone{{entry, Vec3::UnitZ()}, place, rise, off};
  };
  struct Case {
    PoseCone cone;
    Vec3 place;   ///< right at the border
    Vec3 beyond;  ///< the way out
    double deepest = kDeepest;
  };
  const std::vector<Case> cases = {
      {straight, {5.0, 0.0, 20.0}, Vec3::UnitX()},
      {straight, {0.0, 0.0, kDeepest}, Vec3::UnitZ()},
      {cone({6.0, 0.0, 0.0}, 4.0, 0.0, 0.0), {15.0, 0.0, 20.0}, Vec3::UnitX()},
      {cone({0.0, 0.0, 3.0}, 0.0, 4.0, 0.0), {0.0, 0.0, kDeepest + 7.0}, Vec3::UnitZ()},
      // Leaning off an entry that lies before the mark.
      {cone({0.0, 0.0, -3.0}, 0.0, 4.0, tilt),
       Vec3(30.0 * s + 5.0 * c, 0.0, -7.0 + 30.0 * c - 5.0 * s), Vec3::UnitX()},
      // The rim ahead of the tip.
      {cone({0.0, 0.0, 0.0}, 0.0, 0.0, tilt), Vec3(2.0 * s - 5.0 * c, 0.0, 2.0 * c + 5.0 * s),
       Vec3::Zero(), 2.0},
      // Along a leaning axis, and across it.
      {{{Vec3::Zero(), leaning}, 0.0, 40.0, 0.0}, 70.0 * leaning + 5.0 * across, Vec3::Zero()},
      {{{Vec3::Zero(), leaning}, 0.0, 40.0, 0.0}, -40.0 * leaning + 5.0 * across, Vec3::Zero()},
      {{{Vec3::Zero(), leaning}, 30.0, 0.0, 0.0}, 50.0 * leaning + 35.0 * across, Vec3::Zero()},
  };
  const OneHole hole("square");
  for (std::size_t i = 0; i < cases.size(); ++i) {
    EXPECT_TRUE(hole.Keeps(cases[i].place, cases[i].cone, cases[i].deepest)) << i;
    if (cases[i].beyond.isZero()) continue;
    const Vec3 past = cases[i].place + 0.5 * cases[i].beyond;
    EXPECT_FALSE(hole.Keeps(past, cases[i].cone, cases[i].deepest)) << i;
  }
}

// Along a tube of 60.3 mm a drill that leans by b comes no farther than half its girth times tan b
// beyond its place and its own radius: there a lap is met, a hair farther it is not.
TEST(HoleReach, ALapIsMetAsFarAlongAsADrillMayLean) {
  for (const double lean : {0.0, 20.0}) {
    const std::string axis =
        lean > 0.0 ? fmt::format("axis = {{ toward = \"outboard\", lean = {} }}\n", lean) : "";
    const CheckedJob run = testing_tools::Of(
        testing_tools::kTube + testing_tools::With(testing_tools::kHole, "[8]", "[8]\n" + axis));
    Part part = run.scene.parts[0];
    const auto around = Surroundings::Make(run.scene, run.job.marking);
    ASSERT_TRUE(around);
    const PlacedPoint& placed = run.placed[0];
    const double aside = placed.zone.radius + 4.0 + kPi * 30.15 * std::tan((lean + 5.0) * kDegree);
    const auto met = [&](double from, double to) {
      part.laps.assign(1, {});
      part.laps[0].from = from;
      part.laps[0].to = to;
      const auto site =
          MakeSite({run.job, run.scene, part, *around, run.job.points[0], placed, {}, {}});
      return site && LapsMet(*site, 4.0).size() == 1;
    };
    const double station = placed.station;
    EXPECT_TRUE(met(station + aside - 1e-3, 400.0));
    EXPECT_FALSE(met(station + aside + 1e-3, 400.0));
    EXPECT_TRUE(met(0.0, station - aside + 1e-3));
    EXPECT_FALSE(met(0.0, station - aside - 1e-3));
  }
}

}  // namespace
}  // namespace holeward
