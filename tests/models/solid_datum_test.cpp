// Places to measure from that the bodies of a STEP file show, and the job's own names of faces.
#include <algorithm>
#include <cmath>

#include <BRepPrimAPI_MakeBox.hxx>

#include "geometry/solid.h"
#include "models/job_reader.h"
#include "models/solid_file.h"
#include "models/solid_starter.h"
#include "models/templates.h"
#include "tests/models/checked_job.h"
#include "tests/models/solid_jobs.h"
#include "tests/models/solid_shapes.h"

namespace holeward {
namespace {

using testing_tools::CheckedFrom;
using testing_tools::CheckedJob;
using testing_tools::Scratch;
using testing_tools::SolidCases;
using testing_tools::With;

TopoDS_Shape Cylinder(const Vec3& from, const Vec3& to, double radius) {
  const Vec3 way = (to - from).normalized();
  const gp_Ax2 axes(gp_Pnt(from.x(), from.y(), from.z()), gp_Dir(way.x(), way.y(), way.z()));
  return BRepPrimAPI_MakeCylinder(axes, radius, (to - from).norm()).Shape();
}

TopoDS_Shape Block(const Vec3& low, const Vec3& high) {
  return BRepPrimAPI_MakeBox(gp_Pnt(low.x(), low.y(), low.z()),
                             gp_Pnt(high.x(), high.y(), high.z()))
      .Shape();
}

/// A box tube 62 x 52 along y from 200 to 620 about [-110, y, 300], with what is welded to it: an
/// eye across it (body 2), a bracket on its top (3), a stud on its rear face (4) and a pin that
/// stands slantwise beside it (5), a rib along its rear face (6).
class SolidDatum : public ::testing::Test {
 protected:
  SolidDatum() {
    const auto tube =
        ReadSolidFile(testing_tools::WriteStep(SolidCases()[0], folder_, "bare.step"));
    EXPECT_TRUE(tube);
    if (!tube) return;
    (void)testing_tools::WriteShapes(
        {tube->bodies[0].shape, Cylinder({-160, 350, 312}, {-60, 350, 312}, 9),
         Block({-130, 450, 326}, {-92, 490, 344}), Cylinder({-141, 280, 310}, {-165, 280, 310}, 5),
         Cylinder({-110, 500, 330}, {-110, 520, 350}, 4),
         Block({-150, 300, 313}, {-141, 500, 317})},
        folder_, "arm.step");
  }

  [[nodiscard]] std::string Job(const std::string& more) const {
    return testing_tools::kSolidHead +
           "[part.arm]\nsection = \"solid\"\nfile = \"arm.step\"\nbody = \"1\"\n"
           "size = [62, 420, 52]\n" +
           testing_tools::kEnds + more;
  }

  [[nodiscard]] std::string Path() const { return folder_.path() + "/job.toml"; }

  [[nodiscard]] std::string ErrorOf(const std::string& datum) const {
    const JobReading reading =
        ReadJobText(Job("[[part.arm.datum]]\nname = \"d\"\n" + datum), Path());
    return reading.errors.empty() ? "" : reading.errors.front().message;
  }

  Scratch folder_;
};

const std::string kDatums = R"(
[[part.arm.datum]]
name = "pivot"
axis = [-150, 350, 312]
body = "2"
[[part.arm.datum]]
name = "bracket side"
plane = [-110, 450, 340]
body = "3"
[[part.arm.datum]]
name = "bracket foot"
edge = [-130, 470, 326]
body = "3"
[[part.arm.datum]]
name = "bracket heel"
edge = [-110, 490, 326]
body = "3"
[[part.arm.datum]]
name = "stud"
axis = [-150, 280, 310]
body = "4"
[[part.arm.datum]]
name = "mark"
point = [-79.2, 500, 305]
[[part.arm.datum]]
name = "end of the top"
edge = [-133, 400, 326]
)";

std::string Point(const std::string& name, const std::string& face, const std::string& rule) {
  return "[[point]]\nname = \"" + name + "\"\nuse = \"reference\"\npart = \"arm\"\nface = \"" +
         face + "\"\nrule = [ " + rule + " ]\n";
}

// Closed forms: the places follow from the sizes of the bodies alone.
TEST_F(SolidDatum, WhatTheBodiesShowIsMeasuredFrom) {
  const std::string points =
      Point("A", "top",
            R"({ tape = 30, from = "pivot", toward = "outboard" }, { middle = "face" })") +
      Point("B", "top",
            R"({ rule = 25, from = "bracket side", toward = "inner end" }, { middle = "face" })") +
      Point(
          "C", "top",
          R"({ tape = 100, from = "inner end", toward = "outboard" }, { tape = 10, from = "bracket foot", toward = "front" })") +
      Point("D", "rear",
            R"({ tape = 40, from = "stud", toward = "outboard" }, { in_line = "stud" })") +
      Point(
          "E", "front",
          R"({ square = 15, from = "mark", toward = "inboard" }, { tape = 10, from = "mark", toward = "down" })") +
      Point(
          "F", "top",
          R"({ tape = 20, from = "bracket heel", toward = "outboard" }, { rule = 12, from = "end of the top", toward = "front" })") +
      Point("G", "rear", R"({ in_line = "bracket side" }, { middle = "face" })") +
      Point("H", "top", R"({ middle = [ "pivot", "bracket side" ] }, { middle = "face" })");
  const CheckedJob run = CheckedFrom(Job(kDatums + points), Path());
  const std::vector<Vec3> places{{-110, 380, 326}, {-110, 425, 326}, {-120, 300, 326},
                                 {-141, 320, 310}, {-79, 485, 295},  {-121, 510, 326},
                                 {-141, 450, 300}, {-110, 400, 326}};
  ASSERT_EQ(run.placed.size(), places.size());
  for (std::size_t i = 0; i < places.size(); ++i) {
    EXPECT_LT((run.placed[i].position - places[i]).norm(), 2e-3)
        << run.placed[i].name << " at " << run.placed[i].position.transpose();
  }
}

// A section and a line that the file shows lay a sheet; a place of a body does not.
TEST_F(SolidDatum, TemplatesAreAlignedToTheSectionsAndLinesTheFileShows) {
  const auto job = [&](const std::string& align) {
    return Job(kDatums + R"([[part.arm.datum]]
name = "rib"
edge = [-141, 400, 313]
body = "6"
[[point]]
name = "M"
use = "reference"
part = "arm"
face = "rear"
rule = [ { tape = 170, from = "inner end", toward = "outboard" }, { middle = "face" } ]
[[template]]
name = "sheet"
part = "arm"
align = [)" + align +
               "]\n");
  };
  const CheckedJob run = CheckedFrom(job("\"pivot\", \"rib\""), Path());
  ASSERT_EQ(run.job.templates.size(), 1U);
  const auto made = DevelopTemplate(run.job.templates[0], run.job, run.scene, run.placed);
  ASSERT_TRUE(made) << made.error().message;
  ASSERT_EQ(made->pieces.size(), 1U);
  const DevelopedPiece& piece = made->pieces[0];
  const auto laid_by = [&](const Phrase& words) {
    return std::find_if(piece.lines.begin(), piece.lines.end(), [&](const FlatLine& one) {
      return one.kind == FlatLineKind::align && one.words == words;
    });
  };
  ASSERT_EQ(piece.marks.size(), 1U);
  // How far the mark lies off a line of the sheet.
  const auto off = [&](const FlatLine& line) {
    const Vec2 way = (line.points.back() - line.points.front()).normalized();
    const Vec2 to = piece.marks[0].at - line.points.front();
    return std::abs(way.x() * to.y() - way.y() * to.x());
  };
  // The pivot's axis lies at y = 350, the mark 170 mm from the end at y = 200.
  const auto pivot = laid_by(Phrase("lay this line level with the {}", {"pivot"}));
  ASSERT_NE(pivot, piece.lines.end());
  EXPECT_NEAR(off(*pivot), 20.0, 1e-3);
  // The rib's lower edge is 13 mm over the middle of the face.
  const auto rib = laid_by(Phrase("lay this line along the {} of the {}", {"rib", "arm"}));
  ASSERT_NE(rib, piece.lines.end());
  EXPECT_NEAR(off(*rib), 13.0, 1e-3);
  const JobReading place = ReadJobText(job("\"stud\""), Path());
  ASSERT_FALSE(place.errors.empty());
  EXPECT_NE(place.errors.front().message.find("must be a datum of part \"arm\"; found \"stud\""),
            std::string::npos)
      << place.errors.front().message;
}

// The mirror image has its datums where the described side has them.
TEST_F(SolidDatum, TheOtherSideMeasuresFromTheSameDatums) {
  const std::string job =
      Job(kDatums +
          Point("A", "top",
                R"({ tape = 30, from = "pivot", toward = "outboard" }, { middle = "face" })"));
  const JobReading reading = ReadJobText(job, Path());
  ASSERT_TRUE(reading.ok()) << reading.errors.front().message;
  const SceneBuild build = BuildScene(reading.job, Side::right);
  ASSERT_TRUE(build.ok());
  const Placing placing = PlacePoints(reading.job, build.scene, Side::right);
  ASSERT_EQ(placing.points.size(), 1U);
  EXPECT_NEAR(placing.points[0].station, 180.0, 1e-3);
}

// An axis 0.1 mm out of square over its length: the datum is half of that off, and the zone tells.
TEST_F(SolidDatum, WhatIsALittleOutOfSquareWidensTheZone) {
  const TopoDS_Shape tube = ReadSolidFile(folder_.path() + "/arm.step")->bodies[0].shape;
  (void)testing_tools::WriteShapes({tube, Cylinder({-160, 400, 300}, {-60, 400, 300}, 6),
                                    Cylinder({-160, 500, 300}, {-60, 500.1, 300}, 6)},
                                   folder_, "arm.step");
  const auto datumed = [&](const char* number, const char* axis) {
    const std::string job =
        Job(std::string("[[part.arm.datum]]\nname = \"pin\"\naxis = ") + axis + "\nbody = \"" +
            number + "\"\n" +
            Point("A", "rear",
                  R"({ tape = 30, from = "pin", toward = "outboard" }, { middle = "face" })"));
    return CheckedFrom(job, Path()).placed.at(0);
  };
  const PlacedPoint square = datumed("2", "[-110, 400, 300]");
  const PlacedPoint leaning = datumed("3", "[-110, 500.05, 300]");
  EXPECT_NEAR(square.position.y(), 430.0, 1e-3);
  EXPECT_NEAR(leaning.position.y(), 530.05, 1e-3);
  EXPECT_EQ(square.zone.makeup.datum, 0.0);
  EXPECT_NEAR(leaning.zone.makeup.datum, 0.0505, 5e-3);
}

TEST_F(SolidDatum, WhatIsNotThereIsRefusedWithTheReason) {
  const std::pair<const char*, const char*> cases[] = {
      {"plane = [-110, 452, 335]\nbody = \"3\"", "no flat face passes within 0.5 mm of"},
      {"plane = [-110, 450, 326]\nbody = \"3\"", "several flat faces pass within 0.5 mm"},
      {"plane = [-130, 470, 335]\nbody = \"3\"", "leans 90.00 degrees from square"},
      {"edge = [-130, 470, 344]\nbody = \"3\"", "leaves the skin of the part by 18.00 mm"},
      {"edge = [-130, 450, 326]\nbody = \"3\"", "3 edges pass within 0.5 mm"},
      {"edge = [-110, 470, 326]\nbody = \"3\"", "no edge passes within 0.5 mm"},
      {"axis = [-150, 350, 316]\nbody = \"2\"", "no axis of a cylinder passes within 0.5 mm"},
      {"axis = [-110, 510, 340]\nbody = \"5\"", "runs 45.0 degrees off square"},
      {"point = [-78, 500, 305]", "lies 1.00 mm from the skin"},
      {"point = [-79, 500, 305]\nbody = \"2\"", "has no sense beside \"point\""},
      {"axis = [-150, 350, 312]\nbody = \"9\"", "must be the name or number of a body of"},
      {"axis = [-150, 350, 312]\npoint = [-79, 500, 305]", "must have one of \"point\""},
      {"body = \"2\"", "must have one of \"point\""},
  };
  for (const auto& [datum, words] : cases) {
    const std::string said = ErrorOf(datum);
    EXPECT_NE(said.find(words), std::string::npos) << datum << "\n" << said;
  }
}

TEST_F(SolidDatum, BeyondTheEndsNothingIsMeasuredFrom) {
  const TopoDS_Shape tube = ReadSolidFile(folder_.path() + "/arm.step")->bodies[0].shape;
  (void)testing_tools::WriteShapes({tube, Cylinder({-160, 190, 300}, {-60, 190, 300}, 9)}, folder_,
                                   "arm.step");
  EXPECT_NE(ErrorOf("axis = [-150, 190, 300]\nbody = \"2\"").find("beyond the ends"),
            std::string::npos);
  EXPECT_NE(ErrorOf("plane = [-160, 190, 304]\nbody = \"2\"").find("beyond the ends"),
            std::string::npos);
}

TEST_F(SolidDatum, ADatumIsNamedLikeEveryOther) {
  const auto said = [&](const std::string& more) {
    const JobReading reading = ReadJobText(Job(more), Path());
    return reading.errors.empty() ? std::string() : reading.errors.front().message;
  };
  const std::string end = With(kDatums, "name = \"pivot\"", "name = \"inner end\"");
  EXPECT_NE(said(end).find("is an end of part"), std::string::npos) << said(end);
  const std::string word = With(kDatums, "name = \"pivot\"", "name = \"top\"");
  EXPECT_NE(said(word).find("cannot be a name"), std::string::npos) << said(word);
  const std::string point =
      kDatums + Point("A", "top",
                      R"({ tape = 30, from = "pivto", toward = "outboard" }, { middle = "face" })");
  EXPECT_NE(said(point).find("did you mean \"pivot\"?"), std::string::npos) << said(point);
}

TEST_F(SolidDatum, AnotherPartHasNone) {
  const std::string job = testing_tools::kSolidHead + "[part.arm]\n" + SolidCases()[0].shape +
                          testing_tools::kEnds +
                          "[[part.arm.datum]]\nname = \"d\"\npoint = [-110, 300, 326]\n";
  const JobReading reading = ReadJobText(job, Path());
  ASSERT_EQ(reading.errors.size(), 1U);
  EXPECT_NE(reading.errors[0].message.find("is for a part that is a body of a file"),
            std::string::npos);
}

// What stands on the tube is offered by a place and a name, and reads as it is offered.
TEST_F(SolidDatum, AStarterJobOffersTheAxesOfWhatStandsOnThePart) {
  const auto starter = SolidStarterJob(folder_.path() + "/arm.step");
  ASSERT_TRUE(starter) << starter.error().message;
  const JobReading reading = ReadJobText(*starter, Path());
  ASSERT_TRUE(reading.ok()) << reading.errors.front().message << "\n" << *starter;
  const auto& datums = DatumsOf(reading.job.parts.at(0));
  ASSERT_EQ(datums.size(), 2U) << *starter;
  EXPECT_EQ(datums[0].place.form, NamedPlace::Form::section);  // the eye
  EXPECT_NEAR(datums[0].place.place.u, 150.0, 1e-3);
  EXPECT_EQ(datums[1].place.form, NamedPlace::Form::place);  // the stud
  EXPECT_NEAR(datums[1].place.place.u, 80.0, 1e-3);
}

// ---------------------------------------------------------------- faces

/// An outline of five flats, one of which faces no direction most: from (30, 15) to (10, 30).
class SolidFaces : public ::testing::Test {
 protected:
  SolidFaces() { (void)testing_tools::WriteStep(SolidCases().back(), folder_, "arm.step"); }

  [[nodiscard]] std::string Job(const std::string& more) const {
    return testing_tools::SolidJob({"", "", testing_tools::kEnds + more, ""}, "arm.step",
                                   {60, 420, 55});
  }
  [[nodiscard]] std::string Path() const { return folder_.path() + "/job.toml"; }

  Scratch folder_;
};

const std::string kSlope = "[[part.arm.face]]\nname = \"slope\"\nat = [-90, 400, 322.5]\n";
const std::string kWeb = "[[part.arm.face]]\nname = \"web\"\nat = [-140, 300, 300]\n";

TEST_F(SolidFaces, AFlatThatTheJobNamesIsMeasuredOnAndGoesByThatName) {
  const std::string points =
      Point("A", "slope",
            R"({ tape = 150, from = "inner end", toward = "outboard" }, { middle = "face" })") +
      Point(
          "B", "slope",
          R"({ tape = 100, from = "inner end", toward = "outboard" }, { rule = 10, from = "top edge", toward = "down", edge = "sharp" })") +
      Point(
          "C", "top",
          R"({ tape = 100, from = "inner end", toward = "outboard" }, { rule = 15, from = "slope edge", toward = "rear", edge = "sharp" })") +
      Point(
          "D", "web",
          R"({ tape = 100, from = "inner end", toward = "outboard" }, { rule = 20, from = "bottom edge", toward = "up", edge = "sharp" })");
  const CheckedJob run = CheckedFrom(Job(kSlope + kWeb + points), Path());
  // Along the slope from (10, 30) the way down is (0.8, -0.6).
  const std::vector<Vec3> places{
      {-90, 350, 322.5}, {-92, 300, 324}, {-115, 300, 330}, {-140, 300, 295}};
  ASSERT_EQ(run.placed.size(), places.size());
  for (std::size_t i = 0; i < places.size(); ++i) {
    EXPECT_LT((run.placed[i].position - places[i]).norm(), 2e-3)
        << run.placed[i].name << " at " << run.placed[i].position.transpose();
  }
  std::vector<std::string> names;
  for (const auto& face : run.scene.parts[0].solid->faces()) names.push_back(face.name);
  const auto count = [&](const char* name) { return std::count(names.begin(), names.end(), name); };
  EXPECT_EQ(count("slope"), 1);
  EXPECT_EQ(count("web"), 1);
  EXPECT_EQ(count("rear"), 0);
}

TEST_F(SolidFaces, ANameIsGivenOnceAndToAFlat) {
  const auto said = [&](const std::string& more) {
    const JobReading reading = ReadJobText(Job(more), Path());
    return reading.errors.empty() ? std::string() : reading.errors.front().message;
  };
  EXPECT_EQ(said(kSlope + kWeb), "");
  const std::pair<std::string, const char*> cases[] = {
      {kSlope + With(kSlope, "\"slope\"", "\"other\""), "lies on the face \"slope\""},
      {kSlope + With(kWeb, "\"web\"", "\"slope\""), "the name \"slope\" is taken"},
      {With(kSlope, "322.5", "326"), "it lies 2.80 from it"},
      {With(kSlope, "\"slope\"", "\"top\""), "cannot be a name"},
      {With(kWeb, "[-140, 300, 300]", "[-138.3, 300, 276.7]"), "on a rounded corner"},
      {kWeb +
           Point("A", "rear",
                 R"({ tape = 150, from = "inner end", toward = "outboard" }, { middle = "face" })"),
       "found \"rear\""},
  };
  for (const auto& [more, words] : cases) {
    EXPECT_NE(said(more).find(words), std::string::npos) << more << "\n" << said(more);
  }
}

// A hole on a flat without a name was none: no face could hold it.
TEST_F(SolidFaces, AHoleOfTheBodyIsPutOnTheFaceThatTheJobNames) {
  const auto solid = ReadSolidFile(folder_.path() + "/arm.step");
  ASSERT_TRUE(solid);
  const TopoDS_Shape drilled =
      BRepAlgoAPI_Cut(solid->bodies[0].shape, Cylinder({-87, 420, 326.5}, {-94.2, 420, 316.9}, 3.5))
          .Shape();
  (void)testing_tools::WriteShapes({drilled}, folder_, "arm.step");
  const JobReading reading = ReadJobText(Job(kSlope), Path());
  ASSERT_TRUE(reading.ok()) << reading.errors.front().message;
  const auto& fittings = reading.job.parts[0].fittings;
  ASSERT_EQ(fittings.size(), 1U);
  EXPECT_EQ(fittings[0].face, "slope");
  // It is bored half way between the sharp corners; the flat runs from 6 tan(53.13 / 2) = 3 mm
  // after one to 6 tan(36.87 / 2) = 2 mm before the other, so its middle lies 0.5 mm on.
  EXPECT_NEAR(fittings[0].aside, -0.5, 1e-3);
  EXPECT_TRUE(BuildScene(reading.job, Side::left).ok());
}

}  // namespace
}  // namespace holeward
