// Drill guides on bodies of a STEP file: a bent tube and an open channel. Fit is measured against
// the file's own faces, not against the skin found in them.
#include <algorithm>
#include <cmath>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

#include <BRepBuilderAPI_MakeVertex.hxx>
#include <BRepExtrema_DistShapeShape.hxx>

#include <gtest/gtest.h>

#include "app/work_guide.h"
#include "geometry/solid_mesh.h"
#include "geometry/solid_prism.h"
#include "models/checking.h"
#include "models/solid_file.h"
#include "tests/models/solid_jobs.h"
#include "tests/models/solid_shapes.h"

namespace holeward {
namespace {

using testing_tools::Scratch;
using testing_tools::SolidCase;
using testing_tools::Spine;

constexpr double kGap = 0.2;
constexpr double kProjection = 55.0;
constexpr double kStop = 10.0;

const std::string kTool = "[tool.drill]\nprojection = 55\n";

struct Made {
  Work work;
  Result<DrillGuide> guide;
  TopoDS_Shape body;  ///< of the file
};

Made GuideOn(const Scratch& folder, const std::string& job) {
  Options options;
  options.command = Command::guide;
  options.side = Side::left;
  options.point = "D1";
  options.bush = 10.0;
  options.gap = kGap;
  options.job = folder.Put("job.toml", job);
  std::ostringstream out;
  std::ostringstream err;
  Console console(out, err, {});
  auto work = PlaceWork(options, console);
  EXPECT_TRUE(work) << err.str();
  SideWork& placed = work->sides.front();
  placed.checking = CheckPoints(work->job, placed.scene, placed.points, placed.side);
  const TopoDS_Shape body = work->job.parts.front().solid->body.shape;
  auto guide = GuideOf(*work, options);
  return {std::move(*work), std::move(guide), body};
}

double DistanceTo(const TopoDS_Shape& body, const Vec3& p) {
  const auto at = BRepBuilderAPI_MakeVertex(gp_Pnt(p.x(), p.y(), p.z())).Vertex();
  return BRepExtrema_DistShapeShape(at, body).Value();
}

/// What holds for every guide; its saddle's gap is measured to the file's faces.
void ExpectFit(const Made& made) {
  ASSERT_TRUE(made.guide) << made.guide.error().message;
  const DrillGuide& guide = *made.guide;
  const auto mesh = MeshOf(*guide.solid);
  ASSERT_TRUE(mesh) << mesh.error().message;
  EXPECT_TRUE(mesh->IsWatertight());
  EXPECT_NEAR(guide.fit.gap_least, kGap, 0.1);
  EXPECT_NEAR(guide.fit.gap_greatest, kGap, 0.1);
  EXPECT_GE(guide.fit.skin_least, kGap - 0.1);
  EXPECT_GE(guide.thinnest, kGuideThinnest);
  EXPECT_DOUBLE_EQ(guide.stop, kStop);
  EXPECT_DOUBLE_EQ(guide.landing, kProjection);
  const auto common =
      CommonVolume(*guide.solid, *made.work.sides.front().scene.parts.front().solid);
  ASSERT_TRUE(common) << common.error().message;
  EXPECT_NEAR(*common, 0.0, 1e-6);
  // From the file's faces, and the top from the drill's axis.
  int underside = 0;
  double top = -1e9;
  for (const FaceMesh& face : mesh->faces) {
    for (std::size_t i = 0; i < face.places.size(); ++i) {
      const Vec3& p = face.places[i];
      top = std::max(top, -(p - guide.spec.entry).dot(guide.spec.direction));
      if (i % 8 != 0) continue;
      const double off = DistanceTo(made.body, p);
      EXPECT_GE(off, kGap - 0.01) << face.name;
      underside += off < kGap + 0.01 ? 1 : 0;
    }
  }
  EXPECT_GT(underside, 10);
  // Pressed home it is one gap nearer: then the tip is at the stop and no deeper.
  EXPECT_NEAR(top, kProjection - kStop + kGap, 1e-6);
}

/// A tube of 54 x 3 bent over 50 degrees about 120 mm, and a hole so far from its front end.
std::string BentJob(const Scratch& folder, int tape) {
  Spine spine({400, 380, 420}, {-1, 0, 0}, 160);
  spine.Add({{0, 0, 1}, 120, 50 * kDegree, 140});
  const std::string path = testing_tools::WriteShapes({spine.Tube(27, 24)}, folder, "stay.step");
  const auto file = ReadSolidFile(path);
  EXPECT_TRUE(file);
  const Vec3 size = file ? file->bodies.at(0).size() : Vec3::Zero();
  std::ostringstream job;
  job << testing_tools::JobHead("guide on a bent tube") << kTool
      << "[part.stay]\nsection = \"solid\"\nfile = \"stay.step\"\nsize = [" << size.x() << ", "
      << size.y() << ", " << size.z()
      << "]\nstart = \"front end\"\nfinish = \"rear end\"\n[[point]]\nname = \"D1\"\nuse = "
         "\"drill\"\npart = \"stay\"\nrule = [ { tape = "
      << tape
      << ", from = \"front end\", toward = \"rear\" }, { line = \"outboard\" } ]\ndrill = "
         "[4]\nstop = 10.0\n";
  return job.str();
}

TEST(GuideOnSolid, FitsABentTubeOnAStraightStretchAndInTheBend) {
  for (const int tape : {80, 215}) {
    const Scratch folder;
    const Made made = GuideOn(folder, BentJob(folder, tape));
    SCOPED_TRACE(tape);
    ExpectFit(made);
  }
}

/// A guide on the open channel of the solid cases.
Made GuideOnChannel(const Scratch& folder, const std::string& points) {
  const auto cases = testing_tools::SolidCases();
  const auto channel = std::find_if(cases.begin(), cases.end(),
                                    [](const SolidCase& one) { return one.name == "OpenChannel"; });
  if (channel == cases.end()) throw std::logic_error("the solid cases have no open channel");
  const auto file = ReadSolidFile(testing_tools::WriteStep(*channel, folder, "rail.step"));
  if (!file) throw std::logic_error(file.error().message);
  SolidCase rail = *channel;
  rail.points = points;
  std::string job = SolidJob(rail, "rail.step", file->bodies.at(0).size());
  job.insert(job.find("[part.arm]"), kTool);
  return GuideOn(folder, job);
}

TEST(GuideOnSolid, FitsTheWebOfAChannelAndWrapsOverItsEdge) {
  const Scratch folder;
  const Made made = GuideOnChannel(folder, R"(
[[point]]
name = "D1"
use = "drill"
part = "arm"
face = "front"
rule = [ { tape = 200, from = "inner end", toward = "outboard" }, { rule = 30, from = "top edge", toward = "down", edge = "sharp" } ]
drill = [4]
stop = 10.0
[[template]]
name = "sheet"
part = "arm"
align = ["top edge"]
)");
  ExpectFit(made);
  ASSERT_TRUE(made.guide);
  ASSERT_EQ(made.guide->plan.lined_up.size(), 1U);
  EXPECT_EQ(made.guide->plan.lined_up[0], "it wraps over the top edge");
}

// A flange ends at its lip: a guide that would stand over is refused with the room there is.
TEST(GuideOnSolid, TooNearTheLipOfAChannelIsRefused) {
  const Scratch folder;
  const Made made = GuideOnChannel(folder, R"(
[[point]]
name = "D1"
use = "drill"
part = "arm"
face = "top"
rule = [ { tape = 200, from = "inner end", toward = "outboard" }, { rule = 54, from = "front edge", toward = "rear", edge = "sharp" } ]
drill = [4]
stop = 10.0
)");
  ASSERT_FALSE(made.guide);
  EXPECT_NE(made.guide.error().message.find("the lip is 10.0 mm from the hole"), std::string::npos)
      << made.guide.error().message;
}

}  // namespace
}  // namespace holeward
