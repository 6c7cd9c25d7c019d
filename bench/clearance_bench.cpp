// Informs: whether the branch-and-bound check may stand in for the kernel's and a mesh library's
// distances. The same random poses over a tube with a bar inside: ours gives the certified free
// depth and break-through of each pose; the peers give the distance of the drill, set at 12 mm, to
// bar (and wall), which is less to ask. Errors are against the closed form of the bar alone.
#include <cmath>
#include <memory>
#include <random>
#include <vector>

#include <BRepAlgoAPI_Fuse.hxx>
#include <BRepBuilderAPI_Transform.hxx>
#include <BRepExtrema_DistShapeShape.hxx>
#include <BRepPrimAPI_MakeCone.hxx>
#include <BRepPrimAPI_MakeCylinder.hxx>
#include <benchmark/benchmark.h>
#include <fcl/geometry/bvh/BVH_model.h>
#include <fcl/narrowphase/distance.h>
#include <gp_Ax2.hxx>
#include <gp_Trsf.hxx>

#include "geometry/clearance.h"
#include "geometry/tolerance.h"
#include "tests/geometry/simple_walls.h"

namespace holeward {
namespace {

constexpr double kDepth = 12.0;
constexpr double kRadius = 4.0;
constexpr double kBarRadius = 8.0;
constexpr double kPointAngle = 118.0 * kDegree;

std::vector<Pose> Poses() {
  std::mt19937 random(1);
  std::uniform_real_distribution<> even(-1.0, 1.0);
  std::vector<Pose> poses;
  for (int k = 0; k < 256; ++k) {
    const double around = 0.1 * even(random);
    const Vec3 out(std::sin(around), 0.0, std::cos(around));
    Pose pose{30.15 * out, -out + 0.08 * Vec3(even(random), even(random), even(random))};
    pose.entry.y() = 3.0 * even(random);
    pose.direction.normalize();
    poses.push_back(pose);
  }
  return poses;
}

std::vector<Obstacle> TubeAndBar() {
  std::vector<Obstacle> scene = testing::Tube(60.3, 5.0);
  scene.push_back(testing::Bar(2.0, -4.0, kBarRadius));
  return scene;
}

void OursNominal(benchmark::State& state) {
  const std::vector<Obstacle> scene = TubeAndBar();
  const std::vector<Pose> poses = Poses();
  const Drill drill = *Drill::Twist(2.0 * kRadius, kPointAngle);
  std::size_t i = 0;
  for (auto _ : state) {
    benchmark::DoNotOptimize(ClearanceOf(scene, poses[i++ % poses.size()], drill, 1.0, 400.0));
  }
  state.SetItemsProcessed(state.iterations());
}
BENCHMARK(OursNominal)->Unit(benchmark::kMicrosecond);

void OursWorstOverATiltCone(benchmark::State& state) {
  const std::vector<Obstacle> scene = TubeAndBar();
  const std::vector<Pose> poses = Poses();
  const Drill drill = *Drill::Twist(2.0 * kRadius, kPointAngle);
  std::size_t i = 0;
  for (auto _ : state) {
    const PoseCone cone{poses[i++ % poses.size()], 0.8, 0.05, 0.1};
    benchmark::DoNotOptimize(WorstOver(scene, {cone}, drill, {1.0, 400.0, {}}));
  }
  state.SetItemsProcessed(state.iterations());
}
BENCHMARK(OursWorstOverATiltCone)->Unit(benchmark::kMicrosecond);

/// Drill with its tip at the origin, pointing along +z.
TopoDS_Shape KernelDrill() {
  const double point = kRadius / std::tan(0.5 * kPointAngle);
  const gp_Ax2 from_tip(gp_Pnt(0, 0, 0), gp_Dir(0, 0, -1));
  const gp_Ax2 shank(gp_Pnt(0, 0, -point), gp_Dir(0, 0, -1));
  return BRepAlgoAPI_Fuse(BRepPrimAPI_MakeCone(from_tip, 0.0, kRadius, point).Shape(),
                          BRepPrimAPI_MakeCylinder(shank, kRadius, 60.0).Shape())
      .Shape();
}

Eigen::Isometry3d Placed(const Pose& pose) {
  const AxisFrame frame = AxisFrame::At(pose.entry, pose.direction);
  Eigen::Isometry3d placed = Eigen::Isometry3d::Identity();
  placed.linear() = frame.rotation.transpose();
  placed.translation() = pose.entry + kDepth * pose.direction;
  return placed;
}

void KernelDistanceToBar(benchmark::State& state) {
  const TopoDS_Shape drill = KernelDrill();
  const TopoDS_Shape bar =
      BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(2, -140, -4), gp_Dir(0, 1, 0)), kBarRadius, 280.0)
          .Shape();
  const std::vector<Pose> poses = Poses();
  std::size_t i = 0;
  for (auto _ : state) {
    const Eigen::Isometry3d placed = Placed(poses[i++ % poses.size()]);
    const auto& r = placed.linear();
    const auto& t = placed.translation();
    gp_Trsf move;
    move.SetValues(r(0, 0), r(0, 1), r(0, 2), t.x(), r(1, 0), r(1, 1), r(1, 2), t.y(), r(2, 0),
                   r(2, 1), r(2, 2), t.z());
    BRepExtrema_DistShapeShape distance(BRepBuilderAPI_Transform(drill, move, false).Shape(), bar);
    benchmark::DoNotOptimize(distance.Value());
  }
  state.SetItemsProcessed(state.iterations());
}
BENCHMARK(KernelDistanceToBar)->Unit(benchmark::kMicrosecond);

std::shared_ptr<fcl::BVHModel<fcl::OBBRSSd>> MeshDrill() {
  constexpr int kRound = 48;
  const double point = kRadius / std::tan(0.5 * kPointAngle);
  std::vector<Vec3> places{{0, 0, 0}};
  std::vector<fcl::Triangle> triangles;
  for (const double z : {-point, -point - 60.0}) {
    for (int k = 0; k < kRound; ++k) {
      const double angle = 2.0 * kPi * k / kRound;
      places.emplace_back(kRadius * std::cos(angle), kRadius * std::sin(angle), z);
    }
  }
  for (std::size_t k = 0; k < kRound; ++k) {
    const std::size_t a = 1 + k, b = 1 + (k + 1) % kRound;
    triangles.emplace_back(0, a, b);
    triangles.emplace_back(a, a + kRound, b);
    triangles.emplace_back(b, a + kRound, b + kRound);
  }
  auto mesh = std::make_shared<fcl::BVHModel<fcl::OBBRSSd>>();
  mesh->beginModel();
  mesh->addSubModel(places, triangles);
  mesh->endModel();
  return mesh;
}

void MeshLibraryDistanceToBar(benchmark::State& state) {
  const auto mesh = MeshDrill();
  const auto bar = std::make_shared<fcl::Cylinderd>(kBarRadius, 280.0);
  Eigen::Isometry3d bar_placed = Eigen::Isometry3d::Identity();
  bar_placed.linear() = Eigen::AngleAxisd(0.5 * kPi, Vec3::UnitX()).toRotationMatrix();
  bar_placed.translation() = Vec3(2, 0, -4);
  const fcl::CollisionObjectd bar_object(bar, bar_placed);
  const std::vector<Pose> poses = Poses();
  std::size_t i = 0;
  for (auto _ : state) {
    const fcl::CollisionObjectd drill(mesh, Placed(poses[i++ % poses.size()]));
    fcl::DistanceResultd result;
    benchmark::DoNotOptimize(fcl::distance(&drill, &bar_object, fcl::DistanceRequestd(), result));
  }
  state.SetItemsProcessed(state.iterations());
}
BENCHMARK(MeshLibraryDistanceToBar)->Unit(benchmark::kMicrosecond);

}  // namespace
}  // namespace holeward
