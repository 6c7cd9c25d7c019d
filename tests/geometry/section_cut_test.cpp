#include "geometry/section_cut.h"

#include <array>
#include <cmath>
#include <memory>
#include <random>

#include <BRepClass3d_SolidClassifier.hxx>
#include <gp_Pnt.hxx>

#include <gtest/gtest.h>

#include "geometry/solid.h"
#include "tests/geometry/skins.h"

namespace holeward {
namespace {

using test::ArmLaw;
using test::BentTubeLaw;
using test::BoxLaw;
using test::Made;
using test::StraightTube;

const Eigen::AlignedBox2d kAll(Vec2(-2000, -2000), Vec2(2000, 2000));

Part PartOf(std::shared_ptr<const Skin> skin, double wall,
            std::array<bool, 2> closed = {false, false}) {
  Part part;
  part.name = "piece";
  part.skin = std::move(skin);
  part.wall = wall;
  part.end_closed = closed;
  return part;
}

Scene SceneOf(Part part) {
  Scene scene;
  scene.parts.push_back(std::move(part));
  return scene;
}

CutPlane Plane(const Vec3& origin, const Vec3& along, const Vec3& across) {
  const auto plane = CutPlane::Through(origin, along, across);
  EXPECT_TRUE(plane);
  return *plane;
}

double Area(const CutRegion& region) {  // loops nest at most once in these tests
  std::vector<double> areas;
  for (const CutLoop& loop : region.loops) areas.push_back(std::abs(loop.Area()));
  std::sort(areas.rbegin(), areas.rend());
  double area = areas.empty() ? 0.0 : areas.front();
  for (std::size_t k = 1; k < areas.size(); ++k) area -= areas[k];
  return area;
}

bool Holds(const CutRegion& region, const Vec2& p) {
  bool in = false;
  for (const CutLoop& loop : region.loops) {
    for (std::size_t i = 0; i < loop.points.size(); ++i) {
      const Vec2& a = loop.points[i];
      const Vec2& b = loop.points[(i + 1) % loop.points.size()];
      if ((a.y() > p.y()) == (b.y() > p.y())) continue;
      const double x = a.x() + (p.y() - a.y()) / (b.y() - a.y()) * (b.x() - a.x());
      if (x > p.x()) in = !in;
    }
  }
  return in;
}

double OffBorder(const CutRegion& region, const Vec2& p) {
  double least = 1e300;
  for (const CutLoop& loop : region.loops) {
    for (std::size_t i = 0; i < loop.points.size(); ++i) {
      const Vec2& a = loop.points[i];
      const Vec2 run = loop.points[(i + 1) % loop.points.size()] - a;
      const double t = std::clamp((p - a).dot(run) / run.squaredNorm(), 0.0, 1.0);
      least = std::min(least, (p - a - t * run).norm());
    }
  }
  return least;
}

// ---------------------------------------------------------------- metal in closed form

TEST(SectionCut, ATubeAcrossIsTwoCircles) {
  const SectionCutter cutter(SceneOf(PartOf(StraightTube(60, 200), 4)));
  const auto drawing = cutter.Cut(Plane({0, 71.3, 30}, -Vec3::UnitZ(), Vec3::UnitX()), kAll);
  ASSERT_EQ(drawing.regions.size(), 1U);
  ASSERT_EQ(drawing.regions[0].loops.size(), 2U);
  for (const CutLoop& loop : drawing.regions[0].loops) {
    const double radius = std::abs(loop.Area()) > kPi * 28 * 28 ? 30.0 : 26.0;
    for (std::size_t i = 0; i < loop.points.size(); ++i) {
      const Vec2 p = loop.points[i] - Vec2(0, 30);
      const Vec2 q = loop.points[(i + 1) % loop.points.size()] - Vec2(0, 30);
      EXPECT_NEAR(p.norm(), radius, 1e-9);
      EXPECT_NEAR((0.5 * (p + q)).norm(), radius, 0.004);
    }
  }
  EXPECT_NEAR(Area(drawing.regions[0]), kPi * (900 - 676), 0.5);
}

TEST(SectionCut, ATubeLengthwiseIsTwoStripsClosedAtTheEnds) {
  const SectionCutter cutter(SceneOf(PartOf(StraightTube(60, 200), 4)));
  const auto drawing = cutter.Cut(Plane({0, 50, 30}, -Vec3::UnitZ(), Vec3::UnitY()), kAll);
  ASSERT_EQ(drawing.regions.size(), 1U);
  ASSERT_EQ(drawing.regions[0].loops.size(), 2U);
  for (const CutLoop& loop : drawing.regions[0].loops) {
    EXPECT_NEAR(std::abs(loop.Area()), 4.0 * 200.0, 1e-6);
    EXPECT_EQ(loop.points.size(), 4U);
  }
}

TEST(SectionCut, AClosedEndHasItsPlate) {
  const SectionCutter cutter(SceneOf(PartOf(StraightTube(60, 200), 4, {true, false})));
  const auto drawing = cutter.Cut(Plane({0, 50, 30}, -Vec3::UnitZ(), Vec3::UnitY()), kAll);
  ASSERT_EQ(drawing.regions.size(), 1U);
  ASSERT_EQ(drawing.regions[0].loops.size(), 1U);
  EXPECT_NEAR(std::abs(drawing.regions[0].loops[0].Area()), 2 * 4.0 * 200.0 + 52.0 * 4.0, 1e-6);
  const SectionCutter both(SceneOf(PartOf(StraightTube(60, 200), 4, {true, true})));
  const auto shut = both.Cut(Plane({0, 50, 30}, -Vec3::UnitZ(), Vec3::UnitY()), kAll);
  ASSERT_EQ(shut.regions[0].loops.size(), 2U);
  EXPECT_NEAR(Area(shut.regions[0]), 60.0 * 200.0 - 52.0 * 192.0, 1e-6);
}

TEST(SectionCut, ATubeAslantIsTwoEllipses) {
  const SectionCutter cutter(SceneOf(PartOf(StraightTube(60, 400), 4)));
  const double lean = 35.0 * kDegree;
  const Vec3 along(0, std::sin(lean), -std::cos(lean));
  const auto drawing = cutter.Cut(Plane({0, 200, 0}, along, Vec3::UnitX()), kAll);
  ASSERT_EQ(drawing.regions.size(), 1U);
  EXPECT_NEAR(Area(drawing.regions[0]), kPi * (900 - 676) / std::cos(lean), 0.5);
}

TEST(SectionCut, AnInnerCornerSmallerThanTheWallIsSharp) {
  const SectionCutter cutter(SceneOf(PartOf(test::StraightBox(50, 40, 2, 200), 3)));
  const auto drawing = cutter.Cut(Plane({0, 100, 0}, -Vec3::UnitZ(), Vec3::UnitX()), kAll);
  ASSERT_EQ(drawing.regions.size(), 1U);
  ASSERT_EQ(drawing.regions[0].loops.size(), 2U);
  const auto& loops = drawing.regions[0].loops;
  const CutLoop& inner =
      std::abs(loops[0].Area()) < std::abs(loops[1].Area()) ? loops[0] : loops[1];
  EXPECT_NEAR(std::abs(inner.Area()), 44.0 * 34.0, 1e-6);
  EXPECT_EQ(inner.points.size(), 4U);
}

TEST(SectionCut, NothingIsDrawnOfWhatThePlaneMisses) {
  const SectionCutter cutter(SceneOf(PartOf(StraightTube(60, 200), 4)));
  EXPECT_TRUE(cutter.Cut(Plane({0, 230, 0}, -Vec3::UnitZ(), Vec3::UnitX()), kAll).regions.empty());
}

// ---------------------------------------------------------------- metal against the solid

struct Shape {
  const char* name;
  std::shared_ptr<const Skin> skin;
  double wall;
  std::array<bool, 2> closed;
};

std::vector<Shape> Shapes() {
  SkinLaw bent = BoxLaw(
      {{{0, 0, 0}, 50, 40, 8}, {{10, 150, 0}, 50, 40, 8}, {{60, 260, 20}, 50, 40, 8}}, false);
  SkinLaw channel;
  channel.centres = {{0, 0, 0}, {5, 120, 4}, {0, 250, 0}};
  channel.closed = false;
  const std::vector<Vec2> chain{{-25, 18}, {-25, -18}, {25, -18}, {25, 18}};
  channel.vertices = {chain, chain, chain};
  channel.corner_radii = std::vector<std::vector<double>>(3, {0, 6, 6, 0});
  channel.girth_origin_v = 2.5;
  return {{"arm", Made(ArmLaw()), 2.6, {false, true}},
          {"bent tube", Made(BentTubeLaw()), 3.2, {false, false}},
          {"mitred box", Made(bent), 3.0, {true, false}},
          {"channel", Made(channel), 2.5, {false, false}}};
}

// The built solid, asked by the kernel whether a place lies in metal, knows nothing of sheets.
TEST(SectionCut, MetalIsWhereTheSolidHasIt) {
  std::mt19937 random(2027);
  std::uniform_real_distribution<double> unit(-1.0, 1.0);
  for (const Shape& shape : Shapes()) {
    HollowSpec spec{shape.name, shape.wall,          shape.closed,
                    {},         {"start", "finish"}, {"lip", "lip 2"}};
    for (int k = 0; k < shape.skin->piece_count(); ++k) {
      spec.piece_names.push_back("piece " + std::to_string(k));
    }
    const auto solid = NamedSolid::BuildHollow(*shape.skin, spec);
    ASSERT_TRUE(solid) << solid.error().message;
    BRepClass3d_SolidClassifier classifier(solid->shape());
    const SectionCutter cutter(SceneOf(PartOf(shape.skin, shape.wall, shape.closed)));
    int in_metal = 0;
    for (int k = 0; k < 4; ++k) {
      const double u = shape.skin->u_end() * (0.5 + 0.45 * unit(random));
      const auto frame = shape.skin->FrameAt(u);
      const CutPlane plane = Plane(frame.centre + 10.0 * unit(random) * frame.a,
                                   Vec3(unit(random), unit(random), unit(random)),
                                   Vec3(unit(random), unit(random), unit(random)));
      const auto drawing = cutter.Cut(plane, kAll);
      EXPECT_TRUE(drawing.notes.empty()) << shape.name << ": " << drawing.notes[0];
      ASSERT_EQ(drawing.regions.size(), 1U);
      for (const CutLoop& loop : drawing.regions[0].loops) {
        for (std::size_t i = 0; i < loop.points.size(); i += 11) {
          // Both sides of the border, near it.
          const Vec2 at = 0.5 * (loop.points[i] + loop.points[(i + 1) % loop.points.size()]);
          for (int side = 0; side < 2; ++side) {
            const Vec2 p = at + 0.05 * Vec2(unit(random), unit(random));
            if (OffBorder(drawing.regions[0], p) < 0.012) continue;
            const Vec3 world = plane.World(p);
            classifier.Perform(gp_Pnt(world.x(), world.y(), world.z()), 1e-6);
            const bool metal = classifier.State() == TopAbs_IN;
            EXPECT_EQ(Holds(drawing.regions[0], p), metal)
                << shape.name << " plane " << k << " at " << p.transpose() << " off "
                << OffBorder(drawing.regions[0], p);
            in_metal += metal ? 1 : 0;
          }
        }
      }
    }
    EXPECT_GT(in_metal, 25) << shape.name;
  }
}

TEST(SectionCut, PlanesThroughTheGridItselfClose) {
  const SectionCutter cutter(SceneOf(PartOf(test::StraightBox(48, 36, 6, 240), 3)));
  for (const Vec3& origin :
       {Vec3(0, 120, 0), Vec3(18, 60, 12), Vec3(24, 0, 18), Vec3(21, 240, 0)}) {
    for (const auto& [along, across] : {std::pair<Vec3, Vec3>{-Vec3::UnitZ(), Vec3::UnitY()},
                                        {-Vec3::UnitX(), Vec3::UnitY()},
                                        {-Vec3::UnitZ(), Vec3::UnitX()}}) {
      const auto drawing = cutter.Cut(Plane(origin, along, across), kAll);
      EXPECT_TRUE(drawing.notes.empty()) << drawing.notes[0];
    }
  }
}

// ---------------------------------------------------------------- bodies

TEST(SectionCut, ABarAslantIsAnEllipse) {
  InnerBody bar;
  bar.name = "bar";
  bar.path = {{0, -300, 0}, {0, 300, 0}};
  bar.radius = 11.0;
  std::mt19937 random(5);
  std::uniform_real_distribution<double> unit(-1.0, 1.0);
  int ellipses = 0;
  for (int k = 0; k < 100; ++k) {
    const CutPlane plane =
        Plane({0, 0, 3.0 * unit(random)}, Vec3(unit(random), unit(random), unit(random)),
              Vec3(unit(random), unit(random), unit(random)));
    const double sine = std::abs(plane.Normal().y());
    if (sine < 0.1) continue;
    const auto regions = CutOf(bar, plane, kAll);
    ASSERT_EQ(regions.size(), 1U);
    EXPECT_NEAR(Area(regions[0]) / (kPi * 121.0 / sine), 1.0, 1e-3);
    for (const Vec2& p : regions[0].loops[0].points) {
      const Vec3 world = plane.World(p);
      EXPECT_NEAR(std::hypot(world.x(), world.z()), 11.0, 1e-9);
    }
    ++ellipses;
  }
  EXPECT_GT(ellipses, 60);
}

TEST(SectionCut, ABarBesideItsAxisIsAStripOfItsChord) {
  const CutPlane plane = Plane({4, 0, 0}, -Vec3::UnitZ(), Vec3::UnitY());
  const CutLoop loop = CylinderCut(plane, {0, -50, 0}, {0, 50, 0}, 5.0, kAll);
  EXPECT_NEAR(std::abs(loop.Area()), 100.0 * 6.0, 1e-9);
  const CutLoop nearly = CylinderCut(Plane({4, 0, 0}, -Vec3::UnitZ(), Vec3(1e-6, 1, 0)),
                                     {0, -50, 0}, {0, 50, 0}, 5.0, kAll);
  EXPECT_NEAR(std::abs(nearly.Area()), 100.0 * 6.0, 0.02);
  EXPECT_TRUE(CylinderCut(plane, {0, -50, 12}, {0, 50, 12}, 3.9, kAll).points.empty());
}

TEST(SectionCut, ASleeveIsARingAcrossAndTwoStripsAlong) {
  InnerBody sleeve;
  sleeve.name = "sleeve";
  sleeve.shape = InnerShape::sleeve;
  sleeve.path = {{0, -40, 0}, {0, 40, 0}};
  sleeve.radius = 12.0;
  sleeve.bore_radius = 9.0;
  const auto ring = CutOf(sleeve, Plane({0, 0, 0}, -Vec3::UnitZ(), Vec3::UnitX()), kAll);
  ASSERT_EQ(ring.size(), 1U);
  ASSERT_EQ(ring[0].loops.size(), 2U);
  ASSERT_TRUE(ring[0].centre);
  EXPECT_NEAR(ring[0].centre->norm(), 0.0, 1e-9);
  EXPECT_NEAR(Area(ring[0]), kPi * (144 - 81), 0.5);
  const auto strips = CutOf(sleeve, Plane({0, 0, 0}, -Vec3::UnitZ(), Vec3::UnitY()), kAll);
  ASSERT_EQ(strips.size(), 1U);
  EXPECT_NEAR(Area(strips[0]), 2.0 * 3.0 * 80.0, 1e-9);
  EXPECT_FALSE(strips[0].centre);
  // Across the bore's mouths nothing is drawn: what is drawn are the eight sides of two strips.
  double drawn = 0.0;
  for (const CutLoop& loop : strips[0].loops) {
    for (std::size_t i = 0; i < loop.points.size(); ++i) {
      if (loop.drawn[i])
        drawn += (loop.points[(i + 1) % loop.points.size()] - loop.points[i]).norm();
    }
  }
  EXPECT_NEAR(drawn, 4.0 * 80.0 + 4.0 * 3.0, 1e-6);
}

double DrawnLength(const std::vector<CutRegion>& regions) {
  double drawn = 0.0;
  for (const CutRegion& region : regions) {
    for (const CutLoop& loop : region.loops) {
      for (std::size_t i = 0; i < loop.points.size(); ++i) {
        if (loop.drawn[i]) {
          drawn += (loop.points[(i + 1) % loop.points.size()] - loop.points[i]).norm();
        }
      }
    }
  }
  return drawn;
}

TEST(SectionCut, BendsAreMitredInsideAndRoundOutside) {
  const std::vector<Vec3> path{{0, -100, 0}, {0, 0, 0}, {0, 0, 100}};
  InnerBody bar;
  bar.name = "bar";
  bar.path = path;
  bar.radius = 5.0;
  const CutPlane plane = Plane({0, 0, 0}, -Vec3::UnitZ(), Vec3::UnitY());
  const auto mitred = CutOf(bar, plane, kAll);
  ASSERT_EQ(mitred.size(), 2U);
  EXPECT_NEAR(DrawnLength(mitred), 105 + 105 + 95 + 95 + 10 + 10, 1e-6);
  Neighbour pipe;
  pipe.name = "pipe";
  pipe.path = path;
  pipe.radius = 5.0;
  const auto round = CutOf(pipe, plane, kAll);
  EXPECT_NEAR(DrawnLength(round), 100 + 100 + 95 + 95 + 10 + 10 + 2.5 * kPi, 5e-3);
}

TEST(SectionCut, ABlockStandsOnTheSkin) {
  const auto skin = StraightTube(60, 200);
  Fitting seam;
  seam.name = "bracket";
  seam.centre = {80, 2.0};
  seam.footprint = {false, 0.0, 60, 100, 30};
  seam.height = 12.0;
  const auto across = CutOf(seam, *skin, Plane({0, 80, 0}, -Vec3::UnitZ(), Vec3::UnitX()), kAll);
  ASSERT_EQ(across.size(), 1U);
  EXPECT_NEAR(Area(across[0]), 0.5 * (42.0 * 42.0 - 900.0), 0.2);  // a sector of 30 / 30 radians
  const auto along = CutOf(seam, *skin, Plane({0, 80, 0}, -Vec3::UnitZ(), Vec3::UnitY()), kAll);
  ASSERT_EQ(along.size(), 1U);
  EXPECT_NEAR(Area(along[0]), 40.0 * 12.0, 1e-6);
  seam.height.reset();
  EXPECT_TRUE(CutOf(seam, *skin, Plane({0, 80, 0}, -Vec3::UnitZ(), Vec3::UnitX()), kAll).empty());
  seam.height = 12.0;
  seam.footprint = {true, 10.0, 0, 0, 0};
  const auto disc = CutOf(seam, *skin, Plane({0, 80, 0}, -Vec3::UnitZ(), Vec3::UnitY()), kAll);
  ASSERT_EQ(disc.size(), 1U);
  EXPECT_NEAR(Area(disc[0]), 20.0 * 12.0, 1e-6);
}

// ---------------------------------------------------------------- drill and window

TEST(SectionCut, ADrillInThePlaneIsItsTrueProfile) {
  const CutPlane plane = Plane({0, 0, 0}, -Vec3::UnitZ(), Vec3::UnitX());
  const auto drill = Drill::Twist(9.0, 118.0 * kDegree);
  ASSERT_TRUE(drill);
  const CutRegion region =
      DrillOutline(plane, {Vec3::Zero(), -Vec3::UnitZ()}, *drill, {20.0, 60.0});
  const double point = 4.5 / std::tan(59.0 * kDegree);
  double area = 0.0;
  double deepest = -1e300;
  for (const CutLoop& loop : region.loops) {
    area += loop.Area();
    for (const Vec2& p : loop.points) deepest = std::max(deepest, p.y());
  }
  EXPECT_NEAR(area, 0.5 * 9.0 * point + 9.0 * (60.0 - point), 1e-6);
  EXPECT_NEAR(deepest, 20.0, 1e-9);
  EXPECT_NEAR(DrawnLength({region}), 2.0 * std::hypot(4.5, point) + 2.0 * (60.0 - point) + 9.0,
              1e-6);
}

TEST(SectionCut, AStepDrillShowsItsShoulder) {
  const CutPlane plane = Plane({0, 0, 0}, -Vec3::UnitZ(), Vec3::UnitX());
  const auto drill = Drill::Step(12.0, 118.0 * kDegree, {{6.0, 10.0}});
  ASSERT_TRUE(drill);
  const CutRegion region =
      DrillOutline(plane, {Vec3::Zero(), -Vec3::UnitZ()}, *drill, {20.0, 40.0});
  const double point = 3.0 / std::tan(59.0 * kDegree);
  EXPECT_NEAR(DrawnLength({region}),
              2.0 * std::hypot(3.0, point) + 2.0 * (10.0 - point) + 6.0 + 2.0 * 30.0 + 12.0, 1e-6);
}

TEST(SectionCut, ALeaningDrillShowsItsShadow) {
  const CutPlane plane = Plane({0, 0, 0}, -Vec3::UnitZ(), Vec3::UnitX());
  const auto drill = Drill::Twist(9.0, 118.0 * kDegree);
  const Vec3 lean(0, std::sin(0.1), -std::cos(0.1));
  const CutRegion region = DrillOutline(plane, {Vec3::Zero(), lean}, *drill, {20.0, 60.0});
  double deepest = -1e300;
  for (const CutLoop& loop : region.loops) {
    for (const Vec2& p : loop.points) deepest = std::max(deepest, p.y());
  }
  EXPECT_NEAR(deepest, 20.0 * std::cos(0.1), 1e-9);
}

TEST(SectionCut, TheWindowsBorderIsNotDrawn) {
  const SectionCutter cutter(SceneOf(PartOf(StraightTube(60, 200), 4)));
  const Eigen::AlignedBox2d window(Vec2(-20, -10), Vec2(20, 90));
  const auto drawing = cutter.Cut(Plane({0, 100, 30}, -Vec3::UnitZ(), Vec3::UnitY()), window);
  ASSERT_EQ(drawing.regions.size(), 1U);
  double area = 0.0;
  for (const CutLoop& loop : drawing.regions[0].loops) {
    area += std::abs(loop.Area());
    for (std::size_t i = 0; i < loop.points.size(); ++i) {
      const Vec2& p = loop.points[i];
      const Vec2& q = loop.points[(i + 1) % loop.points.size()];
      EXPECT_LE(std::abs(p.x()), 20.0 + 1e-9);
      EXPECT_EQ(loop.drawn[i], std::abs(p.x() - q.x()) > 1e-9);
    }
  }
  EXPECT_NEAR(area, 2.0 * 40.0 * 4.0, 1e-6);
}

TEST(SectionCut, NoPlaneNoCut) {
  EXPECT_FALSE(CutPlane::Through(Vec3::Zero(), Vec3::UnitX(), 2.0 * Vec3::UnitX()));
  EXPECT_FALSE(CutPlane::Through(Vec3::Zero(), Vec3::Zero(), Vec3::UnitX()));
  EXPECT_FALSE(CutPlane::Through(Vec3(std::nan(""), 0, 0), Vec3::UnitY(), Vec3::UnitX()));
}

}  // namespace
}  // namespace holeward
