// Poses a second and error of the pose kernel beside FCL, Embree and BRepExtrema_DistShapeShape on
// the same poses: decides whether every hole can be judged over a million poses.
//
// The kernel and Embree (rays from sample points of the drill) give the free depth; their error is
// against the exact one. FCL and BRepExtrema give distances: the drill is put at its exact first
// touch, where the true distance is 0, so what they give is their error. Exact: 50 digits for tube
// and bar; geometry/clearance.h, within 2e-4 mm, for the loft.
#include <algorithm>
#include <cstdio>
#include <ctime>
#include <map>
#include <memory>
#include <optional>
#include <random>
#include <string>

#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_Transform.hxx>
#include <BRepExtrema_DistShapeShape.hxx>
#include <BRepPrimAPI_MakeCone.hxx>
#include <BRepPrimAPI_MakeCylinder.hxx>
#include <BRep_Builder.hxx>
#include <TopoDS_Compound.hxx>
#include <benchmark/benchmark.h>
#include <embree3/rtcore.h>
#include <fcl/fcl.h>
#include <gp_Ax3.hxx>
#include <gp_Cylinder.hxx>

#include "geometry/pose_kernel.h"
#include "tests/geometry/pose_kernel_mesh.h"
#include "tests/geometry/pose_kernel_reference.h"
#include "tests/geometry/pose_kernel_scenes.h"
#include "tests/geometry/simple_walls.h"

namespace holeward {
namespace {

constexpr double kRadius = 4.0;
constexpr double kHalfAngle = 59.0 * kDegree;
constexpr int kPoses = 512;

using testing::AddPatch;
using testing::Mesh;
using testing::PlaceOn;

using Bvh = fcl::BVHModel<fcl::OBBRSSd>;

std::shared_ptr<Bvh> BvhOf(const Mesh& mesh) {
  auto bvh = std::make_shared<Bvh>();
  bvh->beginModel();
  for (const auto& t : mesh.triangles) {
    bvh->addTriangle(mesh.places[static_cast<std::size_t>(t[0])],
                     mesh.places[static_cast<std::size_t>(t[1])],
                     mesh.places[static_cast<std::size_t>(t[2])]);
  }
  bvh->endModel();
  return bvh;
}

/// One part, its poses with their exact answers, and what the peers need.
struct Bench {
  std::string name;
  std::vector<Obstacle> scene;
  PoseRegion region;
  std::optional<PoseKernel> kernel;
  std::vector<Pose> poses;
  std::vector<double> exact;
  Mesh mesh;              // far wall and bar
  TopoDS_Compound faces;  // far wall's faces and the bar
};

void AddExact(Bench& bench) {
  const Drill drill = *Drill::Twist(2.0 * kRadius, 2.0 * kHalfAngle);
  for (const Pose& pose : bench.poses) {
    if (bench.name == "tube") {
      using namespace holeward::testing;
      RoundCase c{pose, kRadius, kHalfAngle, Vec3::Zero(), Vec3::UnitY(), 27.15};
      Exact depth = TubeTouch(c);
      c.place = {6.0, 0, -2.0};
      c.round = 9.0;
      bench.exact.push_back(static_cast<double>(std::min(depth, BarTouch(c))));
    } else {
      const Clearance slow = ClearanceOf(bench.scene, pose, drill, 0.0, bench.region.horizon);
      bench.exact.push_back(slow.contact ? slow.contact->depth : -1.0);
    }
  }
}

void AddPoses(Bench& bench) {
  std::mt19937_64 random(99);
  for (int i = 0; i < kPoses; ++i) bench.poses.push_back(testing::PoseIn(bench.region, random));
  bench.kernel = PoseKernel::Make(bench.scene, bench.region);
  if (!bench.kernel->ok()) std::printf("no kernel: %s\n", bench.kernel->failure().c_str());
  AddExact(bench);
}

gp_Pnt PntOf(const Vec3& p) { return {p.x(), p.y(), p.z()}; }
gp_Dir DirOf(const Vec3& d) { return {d.x(), d.y(), d.z()}; }

TopoDS_Shape RodShape(const Vec3& from, const Vec3& to, double radius) {
  return BRepPrimAPI_MakeCylinder(gp_Ax2(PntOf(from), DirOf(to - from)), radius,
                                  (to - from).norm());
}

const Bench& TubeBench() {
  static const Bench bench = [] {
    Bench b;
    b.name = "tube";
    b.scene = testing::Tube(60.3, 3.0);
    b.scene.push_back(testing::Bar(6.0, -2.0, 9.0));
    b.region = {testing::Down(0, 30.15), 2.0, 0.3, 5 * kDegree, kRadius, 0.0, 200.0, 0, 0, 0};
    AddPoses(b);
    for (const BezierPatch& patch : b.scene[1].patches) {
      if (PlaceOn(patch, 0.5, 0.5).z() < 0.0) AddPatch(patch, 24, b.mesh);
    }
    for (const BezierPatch& patch : b.scene.back().patches) AddPatch(patch, 16, b.mesh);
    BRep_Builder().MakeCompound(b.faces);
    const gp_Cylinder inside(gp_Ax3(gp_Pnt(0, -150, 0), gp_Dir(0, 1, 0), gp_Dir(1, 0, 0)), 27.15);
    // The far half only: the near wall round the hole is no obstacle.
    BRep_Builder().Add(b.faces, BRepBuilderAPI_MakeFace(inside, 0.0, kPi, 0.0, 300.0).Face());
    BRep_Builder().Add(b.faces, RodShape({6, -140, -2}, {6, 140, -2}, 9.0));
    return b;
  }();
  return bench;
}

const Bench& LoftBench() {
  static const Bench bench = [] {
    Bench b;
    b.name = "loft";
    const Skin skin = testing::ArmSkin();
    b.scene = testing::WallsOf(skin, 2.6);
    b.scene.push_back(testing::BentBar());
    b.region = testing::HoleIn(skin, 0.4 * skin.u_end(), 4.5, 5 * kDegree, kRadius);
    AddPoses(b);
    const double parting = b.region.middle.entry.z() - 8.0;
    for (const Obstacle& obstacle : b.scene) {
      if (obstacle.kind == ObstacleKind::wall && obstacle.role != FaceRole::inner) continue;
      for (const BezierPatch& patch : obstacle.patches) {
        if (PlaceOn(patch, 0.5, 0.5).z() < parting) AddPatch(patch, 10, b.mesh);
      }
    }
    BRep_Builder().MakeCompound(b.faces);
    HollowSpec spec;
    spec.what = "arm";
    spec.wall = 2.6;
    for (int i = 0; i < skin.piece_count(); ++i) spec.piece_names.push_back(std::to_string(i));
    spec.end_names = {"a", "b"};
    const auto solid = NamedSolid::BuildHollow(skin, spec);
    BRep_Builder().Add(b.faces, solid->Find("0 inner")->face);
    BRep_Builder().Add(b.faces, RodShape({-118, 245, 302}, {-111, 370, 296}, 8.0));
    BRep_Builder().Add(b.faces, RodShape({-111, 370, 296}, {-120, 515, 280}, 8.0));
    return b;
  }();
  return bench;
}

const Bench& BenchOf(benchmark::State& state) {
  return state.range(0) == 0 ? TubeBench() : LoftBench();
}

// ---- Measuring: rate and worst error by row, for the table at the end

struct Row {
  double rate = 0.0;
  double error = 0.0;
};
std::map<std::pair<std::string, std::string>, Row> g_rows;  // of this program's own table

/// Processor time of this thread: what it costs, whoever else uses the machine.
double ThreadSeconds() {
  timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

/// Runs `one` (pose index -> signed error) over all poses again and again.
template <class F>
void Measure(benchmark::State& state, const std::string& method, const Bench& bench, const F& one) {
  double worst = 0.0;
  std::size_t i = 0;
  std::int64_t count = 0;
  const double start = ThreadSeconds();
  for (auto _ : state) {
    const double error = one(i);
    benchmark::DoNotOptimize(error);
    worst = std::max(worst, std::abs(error));
    i = i + 1 < bench.poses.size() ? i + 1 : 0;
    ++count;
  }
  const double took = ThreadSeconds() - start;
  state.SetItemsProcessed(count);
  state.counters["worst_error_mm"] = benchmark::Counter(worst, benchmark::Counter::kAvgThreads);
  if (state.thread_index() == 0) {
    g_rows[{bench.name, method}] = {static_cast<double>(count) / took, worst};
  }
}

void Kernel(benchmark::State& state) {
  const Bench& bench = BenchOf(state);
  const PoseDrill drill = PoseDrill::Of(*Drill::Twist(2 * kRadius, 2 * kHalfAngle), 0.0);
  const std::string method = "holeward, threads " + std::to_string(state.threads());
  Measure(state, method, bench, [&](std::size_t i) {
    const PoseBounds bounds = bench.kernel->Evaluate(bench.poses[i], drill);
    return std::max(bench.exact[i] - bounds.free_lower, bounds.free_upper - bench.exact[i]);
  });
}
BENCHMARK(Kernel)->Arg(0)->Arg(1)->Threads(1)->Threads(2)->UseRealTime();

/// The kernel asked only what a check asks: is it free to this depth?
void KernelAsked(benchmark::State& state) {
  const Bench& bench = BenchOf(state);
  const PoseDrill drill = PoseDrill::Of(*Drill::Twist(2 * kRadius, 2 * kHalfAngle), 0.0);
  Measure(state, "holeward, is it free to 20 mm", bench, [&](std::size_t i) {
    PoseQuestion question;
    question.needed = 20.0;
    question.breakthrough = false;
    const PoseBounds bounds = bench.kernel->Evaluate(bench.poses[i], drill, {}, question);
    const bool wrong = (Judge(bounds, 20.0) == PoseProof::clear) != (bench.exact[i] > 20.0);
    return wrong ? 1.0 : 0.0;
  });
}
BENCHMARK(KernelAsked)->Arg(0)->Arg(1)->UseRealTime();

void MakeKernel(benchmark::State& state) {
  const Bench& bench = BenchOf(state);
  for (auto _ : state) benchmark::DoNotOptimize(PoseKernel::Make(bench.scene, bench.region));
}
BENCHMARK(MakeKernel)->Arg(0)->Arg(1)->Unit(benchmark::kMillisecond);

void EmbreeRays(benchmark::State& state) {
  const Bench& bench = BenchOf(state);
  RTCDevice device = rtcNewDevice(nullptr);
  RTCScene scene = rtcNewScene(device);
  RTCGeometry geometry = rtcNewGeometry(device, RTC_GEOMETRY_TYPE_TRIANGLE);
  auto* places = static_cast<float*>(rtcSetNewGeometryBuffer(geometry, RTC_BUFFER_TYPE_VERTEX, 0,
                                                             RTC_FORMAT_FLOAT3, 3 * sizeof(float),
                                                             bench.mesh.places.size()));
  auto* corners = static_cast<unsigned*>(
      rtcSetNewGeometryBuffer(geometry, RTC_BUFFER_TYPE_INDEX, 0, RTC_FORMAT_UINT3,
                              3 * sizeof(unsigned), bench.mesh.triangles.size()));
  for (const Vec3& place : bench.mesh.places) {
    for (int k = 0; k < 3; ++k) *places++ = static_cast<float>(place[k]);
  }
  for (const auto& triangle : bench.mesh.triangles) {
    for (const int corner : triangle) *corners++ = static_cast<unsigned>(corner);
  }
  rtcCommitGeometry(geometry);
  rtcAttachGeometry(scene, geometry);
  rtcCommitScene(scene);
  std::vector<Vec2> samples{{0, 0}};
  for (int ring = 1; ring <= 8; ++ring) {
    for (int k = 0; k < 51; ++k) {
      const double t = 2 * kPi * k / 51;
      samples.push_back(kRadius * ring / 8.0 * Vec2(std::cos(t), std::sin(t)));
    }
  }
  const double cot = 1.0 / std::tan(kHalfAngle);
  Measure(state, "Embree, 409 rays", bench, [&](std::size_t i) {
    const Pose& pose = bench.poses[i];
    const AxisFrame frame = AxisFrame::At(pose.entry, pose.direction);
    constexpr double kStart = 4.5;  // behind the near wall
    double least = 1e9;
    RTCIntersectContext context;
    rtcInitIntersectContext(&context);
    for (const Vec2& sample : samples) {
      const Vec3 from = frame.ToWorld({sample.x(), sample.y(), kStart});
      RTCRayHit hit{};
      hit.ray.org_x = static_cast<float>(from.x());
      hit.ray.org_y = static_cast<float>(from.y());
      hit.ray.org_z = static_cast<float>(from.z());
      hit.ray.dir_x = static_cast<float>(pose.direction.x());
      hit.ray.dir_y = static_cast<float>(pose.direction.y());
      hit.ray.dir_z = static_cast<float>(pose.direction.z());
      hit.ray.tfar = 1e9F;
      hit.ray.mask = ~0U;
      hit.hit.geomID = RTC_INVALID_GEOMETRY_ID;
      rtcIntersect1(scene, &context, &hit);
      if (hit.hit.geomID == RTC_INVALID_GEOMETRY_ID) continue;
      least = std::min(least, kStart + static_cast<double>(hit.ray.tfar) + cot * sample.norm());
    }
    return least - bench.exact[i];
  });
  rtcReleaseGeometry(geometry);
  rtcReleaseScene(scene);
  rtcReleaseDevice(device);
}
BENCHMARK(EmbreeRays)->Arg(0)->Arg(1)->UseRealTime();

/// The frame of a drill at a depth: tip at the origin, going back along +z.
Eigen::Isometry3d DrillAt(const Pose& pose, double depth) {
  const AxisFrame frame = AxisFrame::At(pose.entry, -pose.direction);
  Eigen::Isometry3d placed = Eigen::Isometry3d::Identity();
  placed.linear() = frame.rotation.transpose();
  placed.translation() = pose.entry + depth * pose.direction;
  return placed;
}

void FclMeshes(benchmark::State& state) {
  const Bench& bench = BenchOf(state);
  // The shank through the near wall is left out with the near wall: only the first 30 mm count.
  const auto drill = BvhOf(testing::DrillMesh(64, kRadius, kHalfAngle, 80.0));
  const auto wall = BvhOf(bench.mesh);
  Measure(state, "FCL, mesh to mesh", bench, [&](std::size_t i) {
    fcl::DistanceRequestd request;
    fcl::DistanceResultd result;
    fcl::distance(drill.get(), DrillAt(bench.poses[i], bench.exact[i]), wall.get(),
                  Eigen::Isometry3d::Identity(), request, result);
    return std::max(0.0, result.min_distance);
  });
}
BENCHMARK(FclMeshes)->Arg(0)->Arg(1)->UseRealTime();

void BrepExtrema(benchmark::State& state) {
  const Bench& bench = BenchOf(state);
  const double back = kRadius / std::tan(kHalfAngle);
  const gp_Ax2 at(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1), gp_Dir(1, 0, 0));
  TopoDS_Compound drill;
  BRep_Builder().MakeCompound(drill);
  BRep_Builder().Add(drill, BRepPrimAPI_MakeCone(at, 0.0, kRadius, back).Shape());
  BRep_Builder().Add(
      drill, BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(0, 0, back), gp_Dir(0, 0, 1)), kRadius, 15.0));
  Measure(state, "BRepExtrema", bench, [&](std::size_t i) {
    const Eigen::Isometry3d placed = DrillAt(bench.poses[i], bench.exact[i]);
    const Vec3 o = placed.translation();
    gp_Trsf trsf;
    trsf.SetDisplacement(
        gp_Ax3(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1), gp_Dir(1, 0, 0)),
        gp_Ax3(PntOf(o), DirOf(placed.linear().col(2)), DirOf(placed.linear().col(0))));
    const TopoDS_Shape moved = drill.Moved(TopLoc_Location(trsf));
    const BRepExtrema_DistShapeShape distance(moved, bench.faces);
    return distance.IsDone() ? distance.Value() : 1e9;
  });
}
BENCHMARK(BrepExtrema)->Arg(0)->Arg(1)->UseRealTime();

void PrintTable() {
  for (const char* name : {"tube", "loft"}) {
    const auto own = g_rows.find({name, "holeward, threads 1"});
    std::printf("\n%s with bar\n%-32s %14s %8s %14s\n", name, "method", "poses/s a core", "ratio",
                "worst error mm");
    for (const auto& [key, row] : g_rows) {
      if (key.first != name) continue;
      const double ratio = own == g_rows.end() ? 0.0 : own->second.rate / row.rate;
      std::printf("%-32s %14.0f %8.2f %14.2e\n", key.second.c_str(), row.rate, ratio, row.error);
    }
  }
}

}  // namespace
}  // namespace holeward

int main(int argc, char** argv) {
  benchmark::Initialize(&argc, argv);
  benchmark::RunSpecifiedBenchmarks();
  holeward::PrintTable();
  return 0;
}
