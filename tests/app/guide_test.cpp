// The drill guide of a hole: where its top stands, how its saddle fits, what it is lined up by, and
// what it is refused for. On a tube every distance to the skin has a closed form.
#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <sstream>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "app/work_guide.h"
#include "export/letter_outlines.h"
#include "geometry/solid_mesh.h"
#include "geometry/solid_prism.h"
#include "models/checking.h"
#include "tests/app/program_runs.h"
#include "tests/export/outside_tool.h"

namespace holeward {
namespace {

using testing_tools::kTube;

constexpr double kRadius = 30.15;  // of the tube
constexpr double kStop = 10.0;
constexpr double kProjection = 55.0;
constexpr double kGap = 0.2;
constexpr double kBush = 10.0;

const std::string kHead =
    testing_tools::With(testing_tools::kHead, "Tube to test with", "Tube to guide on") +
    "[tool.drill]\nprojection = 55\n";

/// A hole at the bottom of the tube, so far from its inner end.
std::string HoleAt(double station, const std::string& stop = "stop = 10.0") {
  std::ostringstream hole;
  hole << "[[point]]\nname = \"D1\"\nuse = \"drill\"\npart = \"tube\"\n"
       << "rule = [ { tape = " << station
       << ", from = \"inner end\", toward = \"outboard\" }, { line = \"bottom\" } ]\n"
       << "drill = [4]\n"
       << stop << "\n";
  return hole.str();
}

struct Made {
  Work work;
  Result<DrillGuide> guide;
};

Options GuideOptions(Side side) {
  Options options;
  options.command = Command::guide;
  options.side = side;
  options.point = "D1";
  options.bush = kBush;
  options.gap = kGap;
  return options;
}

Made GuideFor(const std::string& job, Side side = Side::left) {
  const testing_tools::Scratch folder;
  Options options = GuideOptions(side);
  options.job = folder.Put("job.toml", job);
  std::ostringstream out;
  std::ostringstream err;
  Console console(out, err, {});
  auto work = PlaceWork(options, console);
  EXPECT_TRUE(work) << err.str();
  SideWork& placed = work->sides.front();
  placed.checking = CheckPoints(work->job, placed.scene, placed.points, placed.side);
  auto guide = GuideOf(*work, options);
  return {std::move(*work), std::move(guide)};
}

/// Every place of the guide's faces whose name begins so.
std::vector<Vec3> PlacesOf(const NamedSolid& solid, const std::string& name) {
  std::vector<Vec3> places;
  const auto mesh = MeshOf(solid);
  EXPECT_TRUE(mesh) << mesh.error().message;
  for (const FaceMesh& face : mesh->faces) {
    if (face.name.rfind(name, 0) != 0) continue;
    places.insert(places.end(), face.places.begin(), face.places.end());
  }
  return places;
}

double FromAxis(const Vec3& p) { return std::hypot(p.x(), p.z() - 300.0); }

TEST(DrillGuide, ItsTopStopsTheChuckAtTheStopSetting) {
  const Made made = GuideFor(kHead + kTube + HoleAt(200.0));
  ASSERT_TRUE(made.guide) << made.guide.error().message;
  // The drill goes up from the bottom: the top of the guide is its lowest place.
  double lowest = 1e9;
  for (const Vec3& p : PlacesOf(*made.guide->solid, "")) lowest = std::min(lowest, p.z());
  const double skin = 300.0 - kRadius;
  // Pressed home, the saddle is one gap nearer: then the tip is exactly at the stop, never deeper.
  EXPECT_NEAR(skin - lowest, kProjection - kStop + kGap, 1e-6);
  EXPECT_DOUBLE_EQ(made.guide->landing, kProjection);
}

TEST(DrillGuide, ItsSaddleKeepsTheGapAndNothingComesNearer) {
  const Made made = GuideFor(kHead + kTube + HoleAt(200.0));
  ASSERT_TRUE(made.guide);
  int underside = 0;
  for (const Vec3& p : PlacesOf(*made.guide->solid, "")) {
    EXPECT_GT(FromAxis(p), kRadius + kGap - 0.01);
    underside += FromAxis(p) < kRadius + kGap + 0.01 ? 1 : 0;
  }
  EXPECT_GT(underside, 50);
  EXPECT_NEAR(made.guide->fit.gap_least, kGap, 0.01);
  EXPECT_NEAR(made.guide->fit.gap_greatest, kGap, 0.01);
}

TEST(DrillGuide, ItsBoreLiesOnTheDrillsAxis) {
  const Made made = GuideFor(kHead + kTube + HoleAt(200.0));
  ASSERT_TRUE(made.guide);
  const auto bore = PlacesOf(*made.guide->solid, "bush bore");
  ASSERT_GT(bore.size(), 10U);
  for (const Vec3& p : bore) EXPECT_NEAR(std::hypot(p.x(), p.y() - 300.0), 0.5 * kBush, 1e-6);
}

TEST(DrillGuide, ItsLipHooksOverAnEndInReachAndTouchesNothing) {
  const Made made = GuideFor(kHead + kTube + HoleAt(30.0));
  ASSERT_TRUE(made.guide) << made.guide.error().message;
  ASSERT_EQ(made.guide->plan.lined_up,
            std::vector<std::string>{"its lip hooks over the inner end"});
  EXPECT_EQ(made.guide->plan.not_lined_up.size(), 1U);
  bool before_the_end = false;
  for (const Vec3& p : PlacesOf(*made.guide->solid, "")) {
    if (FromAxis(p) > kRadius - 1.0) continue;
    before_the_end = true;
    // What reaches under the skin stands before the end, one gap off it.
    EXPECT_LT(p.y(), 100.0 - kGap + 1e-6);
  }
  EXPECT_TRUE(before_the_end);
  const auto common =
      CommonVolume(*made.guide->solid, *made.work.sides.front().scene.parts.front().solid);
  ASSERT_TRUE(common);
  EXPECT_NEAR(*common, 0.0, 1e-6);
}

TEST(DrillGuide, AFittingBesideTheHoleIsGivenWayToOrNamed) {
  const std::string bracket =
      "[[part.tube.fitting]]\nname = \"clip\"\nkind = \"bracket\"\nface = \"bottom\"\n"
      "station = 230\nheight = 40\nsize = [";
  const Made beside = GuideFor(kHead + kTube + bracket + "30, 30]\n" + HoleAt(200.0));
  ASSERT_TRUE(beside.guide) << beside.guide.error().message;
  double farthest = 0.0;
  for (const Vec3& p : PlacesOf(*beside.guide->solid, "")) farthest = std::max(farthest, p.y());
  EXPECT_NEAR(farthest, 100.0 + 215.0 - kGap, 1e-3);
  const Made close = GuideFor(kHead + kTube + bracket + "42, 30]\n" + HoleAt(200.0));
  ASSERT_FALSE(close.guide);
  EXPECT_EQ(close.guide.error().message,
            "point \"D1\": the clip is 8.8 mm from the hole; a guide for a bush of 10 mm needs "
            "11.5 mm");
}

/// A hose that crosses 60 mm below the tube's axis, its middle so far from the inner end.
std::string HoseAt(double station) {
  std::ostringstream hose;
  hose << "[[neighbour]]\nname = \"hose\"\ndiameter = 8\npath = [[-80, " << 100.0 + station
       << ", 240], [80, " << 100.0 + station << ", 240]]\n";
  return hose.str();
}

// The block is 20 mm square about the hole, 200 mm from the end: its side stands at 210 mm.
TEST(DrillGuide, AHoseInItsWayIsNamedAndOneBesideItIsNot) {
  EXPECT_TRUE(GuideFor(kHead + kTube + HoseAt(214.5) + HoleAt(200.0)).guide);
  const Made near = GuideFor(kHead + kTube + HoseAt(214.1) + HoleAt(200.0));
  ASSERT_FALSE(near.guide);
  EXPECT_EQ(
      near.guide.error().message,
      "the guide for \"D1\" would come within 0.10 mm of the hose; it must stay 0.2 mm off it: "
      "no guide is made");
  for (const double station : {200.0, 205.0, 213.0}) {
    const Made in = GuideFor(kHead + kTube + HoseAt(station) + HoleAt(200.0));
    ASSERT_FALSE(in.guide) << station;
    EXPECT_NE(in.guide.error().message.find("would stand in the hose"), std::string::npos);
  }
}

// A clip placed by two readings may stand elsewhere by what they may be off: the saddle ends so
// much sooner.
TEST(DrillGuide, AClipPlacedByReadingsIsGivenWayToWhereverItMayStand) {
  const auto clip = [](const std::string& where) {
    return "[[part.tube.fitting]]\nname = \"clip\"\nkind = \"bracket\"\nface = \"bottom\"\n" +
           where + "\nheight = 40\nsize = [24, 30]\n";
  };
  const std::string rule =
      "rule = [ { tape = 230, from = \"inner end\", toward = \"outboard\" }, { line = \"bottom\" } "
      "]";
  const auto farthest = [](const Made& made) {
    double y = 0.0;
    for (const Vec3& p : PlacesOf(*made.guide->solid, "")) y = std::max(y, p.y());
    return y;
  };
  const Made known = GuideFor(kHead + kTube + clip("station = 230") + HoleAt(200.0));
  const Made read = GuideFor(kHead + kTube + clip(rule) + HoleAt(200.0));
  ASSERT_TRUE(known.guide) << known.guide.error().message;
  ASSERT_TRUE(read.guide) << read.guide.error().message;
  // At the least the tape's own half-width, 1 mm.
  EXPECT_LT(farthest(read), farthest(known) - 1.0 + 1e-3);
  EXPECT_LT(farthest(known), 100.0 + 218.0 - kGap + 1e-3);
}

// The thickest wall that the bench leaves open is drilled through before the chuck lands.
TEST(DrillGuide, OnAWallMeasuredOnTheBenchItsStopHoldsForTheThickest) {
  const std::string job =
      testing_tools::ReadAll(HOLEWARD_SOURCE_DIR "/models/examples/bench-arm.toml");
  const Made made = GuideFor(job);
  ASSERT_TRUE(made.guide) << made.guide.error().message;
  const HoleCheck& hole = made.work.sides.front().checking.holes.front();
  ASSERT_TRUE(hole.stop);
  EXPECT_DOUBLE_EQ(made.guide->stop, *hole.stop);
  const double thickest = made.work.job.parts.front().wall + made.work.job.marking.wall.Greatest();
  const double point = 0.5 * hole.diameter / std::tan(59.0 * kDegree);
  EXPECT_GT(made.guide->stop, thickest + point);
  // Pressed home, one gap nearer to the skin, the tip is at the stop and no deeper.
  const double projection = made.work.job.drill.projection.front();
  EXPECT_NEAR(made.guide->spec.height, projection - made.guide->stop + kGap, 1e-9);
  EXPECT_GE(made.guide->fit.gap_least, kGap - 0.1);
  const auto common =
      CommonVolume(*made.guide->solid, *made.work.sides.front().scene.parts.front().solid);
  ASSERT_TRUE(common);
  EXPECT_NEAR(*common, 0.0, 1e-6);
}

TEST(DrillGuide, AHoleWithoutAStopHasNone) {
  const Made made = GuideFor(kHead + kTube + HoleAt(200.0, "stop = \"none\""));
  ASSERT_FALSE(made.guide);
  EXPECT_NE(made.guide.error().message.find("drilled without a stop"), std::string::npos);
}

TEST(DrillGuide, OfTheOtherSideIsItsMirrorImageButForTheLetters) {
  const Made left = GuideFor(kHead + kTube + HoleAt(200.0), Side::left);
  const Made right = GuideFor(kHead + kTube + HoleAt(200.0), Side::right);
  ASSERT_TRUE(left.guide);
  ASSERT_TRUE(right.guide);
  EXPECT_TRUE(right.guide->mirrored);
  EXPECT_TRUE(right.guide->spec.mirrored);
  EXPECT_NE(left.guide->solid->volume(), right.guide->solid->volume());  // LEFT and RIGHT
  EXPECT_NEAR(left.guide->solid->volume(), right.guide->solid->volume(), 60.0);
}

// An L seen from outside, the top of the guide upward, has its foot to the right: also after the
// mirror.
TEST(DrillGuide, ItsLettersReadTheRightWayRoundOnBothSides) {
  SkinLaw law;
  law.round = true;
  law.centres = {{0, 100, 300}, {0, 500, 300}};
  law.radii = {kRadius, kRadius};
  law.girth_origin_v = 0.0;
  const auto skin = Skin::Make(law);
  ASSERT_TRUE(skin);
  GuideSpec spec;
  spec.what = "a guide";
  spec.at = {200.0, 0.0};
  spec.entry = {0, 300, 300 - kRadius};
  spec.direction = Vec3::UnitZ();
  spec.along = Vec3::UnitY();
  spec.saddle = {180.0, 220.0, -0.5, 0.5};
  spec.bush = kBush;
  spec.height = 45.0;
  spec.letters = {{{{-2, -4}, {4, -4}, {4, -3}, {-1, -3}, {-1, 4}, {-2, 4}}}};
  for (const bool mirrored : {false, true}) {
    spec.mirrored = mirrored;
    auto guide = BuildGuide(*skin, spec);
    ASSERT_TRUE(guide) << guide.error().message;
    if (mirrored) guide = guide->Mirrored();
    const auto letters = PlacesOf(*guide, "letter");
    ASSERT_GT(letters.size(), 20U);
    const double centre_y = mirrored ? -300.0 : 300.0;
    for (const double outward : {-1.0, 1.0}) {
      double foot = 0.0;  // the farthest from the axis the L reaches along the part
      for (const Vec3& p : letters) {
        if (p.x() * outward < 0.0) continue;
        const double along = p.y() - centre_y;
        if (std::abs(along) > std::abs(foot)) foot = along;
      }
      // Up is -z here; seen against `outward`, right is up x outward.
      const double right = (-Vec3::UnitZ()).cross(outward * Vec3::UnitX()).y();
      EXPECT_NEAR(foot * right, 4.0, 1e-6) << mirrored << " " << outward;
    }
  }
}

TEST(LetterOutlines, HaveTheirHolesAndFitTheirWidth) {
  const auto outlines = OutlinesOf({"A0", "I"}, 10.0, 5.0, 2.0);
  ASSERT_EQ(outlines.size(), 3U);
  std::vector<std::size_t> holes;
  for (const LetterOutline& outline : outlines) {
    holes.push_back(outline.size() - 1);
    for (const auto& loop : outline) {
      for (const Vec2& p : loop) EXPECT_LT(std::abs(p.x()), 5.01);
    }
  }
  EXPECT_EQ(holes.front(), 1U);
  EXPECT_EQ(holes.back(), 0U);
  EXPECT_TRUE(OutlinesOf({"far too long a name for so little room"}, 10.0, 5.0, 2.0).empty());
}

}  // namespace
}  // namespace holeward
