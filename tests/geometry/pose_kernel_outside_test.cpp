// The pose kernel against outside libraries on meshes, within the meshes' known error:
// FCL (Pan, Chitta, Manocha, ICRA 2012) for whether a drill mesh touches, Embree (Wald et al., ACM
// TOG 33, 2014) for how far rays from the drill go.
#include <memory>
#include <random>

#include <embree3/rtcore.h>
#include <fcl/fcl.h>

#include <gtest/gtest.h>

#include "geometry/pose_kernel.h"
#include "tests/geometry/pose_kernel_mesh.h"
#include "tests/geometry/pose_kernel_scenes.h"
#include "tests/geometry/simple_walls.h"

namespace holeward {
namespace {

using testing::Mesh;

constexpr double kRadius = 4.0;
constexpr double kHalfAngle = 59.0 * kDegree;
using Bvh = fcl::BVHModel<fcl::OBBRSSd>;

struct OutsideCase {
  const char* name = "";
  std::vector<Obstacle> scene;
  PoseRegion region;
  Mesh mesh;
  double mesh_error = 0.0;  // greatest distance of the mesh from the true metal, mm
};

/// Meshes what lies below a height; the sag is measured in the middle of the triangles' sides.
void MeshBelow(OutsideCase& c, double height, int cells) {
  for (const Obstacle& obstacle : c.scene) {
    const bool wall = obstacle.kind == ObstacleKind::wall;
    if (wall && obstacle.role != FaceRole::inner) continue;
    for (const BezierPatch& patch : obstacle.patches) {
      if (wall && testing::PlaceOn(patch, 0.5, 0.5).z() > height) continue;
      testing::AddPatch(patch, cells, c.mesh);
      const double h = 1.0 / cells;
      for (int i = 0; i < cells; ++i) {
        for (int j = 0; j < cells; ++j) {
          const Vec3 a = testing::PlaceOn(patch, i * h, j * h);
          const Vec3 b = testing::PlaceOn(patch, (i + 1) * h, (j + 1) * h);
          const Vec3 middle = testing::PlaceOn(patch, (i + 0.5) * h, (j + 0.5) * h);
          // A cell's diagonal is about twice the sag of its sides.
          c.mesh_error = std::max(c.mesh_error, 1.5 * (middle - 0.5 * (a + b)).norm());
        }
      }
    }
  }
}

OutsideCase TubeCase() {
  OutsideCase c;
  c.name = "tube";
  c.scene = testing::Tube(60.3, 3.0);
  c.scene.push_back(testing::Bar(6.0, -2.0, 9.0));
  c.region.middle = testing::Down(0, 30.15);
  c.region.place = 2.0;
  c.region.rise = 0.3;
  c.region.tilt = 5 * kDegree;
  c.region.radius = kRadius;
  c.region.horizon = 200.0;
  MeshBelow(c, 0.0, 48);
  return c;
}

OutsideCase LoftCase(bool barred) {
  OutsideCase c;
  c.name = barred ? "loft with bar" : "loft";
  const Skin skin = testing::ArmSkin();
  c.scene = testing::WallsOf(skin, 2.6);
  if (barred) c.scene.push_back(testing::BentBar());
  c.region = testing::HoleIn(skin, 0.4 * skin.u_end(), 4.5, 5 * kDegree, kRadius);
  MeshBelow(c, c.region.middle.entry.z() - 8.0, barred ? 40 : 12);
  return c;
}

class FclDrill {
 public:
  explicit FclDrill(const Mesh& wall)
      : wall_(BvhOf(wall)), drill_(BvhOf(testing::DrillMesh(128, kRadius, kHalfAngle, 12.0))) {}

  bool Touches(const Pose& pose, double depth) const {
    const AxisFrame frame = AxisFrame::At(pose.entry, -pose.direction);
    Eigen::Isometry3d at = Eigen::Isometry3d::Identity();
    at.linear() = frame.rotation.transpose();
    at.translation() = pose.entry + depth * pose.direction;
    fcl::CollisionRequestd request;
    fcl::CollisionResultd result;
    return fcl::collide(drill_.get(), at, wall_.get(), Eigen::Isometry3d::Identity(), request,
                        result) > 0;
  }

 private:
  static std::shared_ptr<Bvh> BvhOf(const Mesh& mesh) {
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
  std::shared_ptr<Bvh> wall_;
  std::shared_ptr<Bvh> drill_;
};

class EmbreeDrill {
 public:
  explicit EmbreeDrill(const Mesh& mesh)
      : device_(rtcNewDevice(nullptr)), scene_(rtcNewScene(device_)) {
    RTCGeometry geometry = rtcNewGeometry(device_, RTC_GEOMETRY_TYPE_TRIANGLE);
    auto* places = static_cast<float*>(rtcSetNewGeometryBuffer(geometry, RTC_BUFFER_TYPE_VERTEX, 0,
                                                               RTC_FORMAT_FLOAT3, 3 * sizeof(float),
                                                               mesh.places.size()));
    for (const Vec3& place : mesh.places) {
      for (int k = 0; k < 3; ++k) *places++ = static_cast<float>(place[k]);
    }
    auto* corners = static_cast<unsigned*>(
        rtcSetNewGeometryBuffer(geometry, RTC_BUFFER_TYPE_INDEX, 0, RTC_FORMAT_UINT3,
                                3 * sizeof(unsigned), mesh.triangles.size()));
    for (const auto& triangle : mesh.triangles) {
      for (const int corner : triangle) *corners++ = static_cast<unsigned>(corner);
    }
    rtcSetSceneFlags(scene_, RTC_SCENE_FLAG_ROBUST);
    rtcCommitGeometry(geometry);
    rtcAttachGeometry(scene_, geometry);
    rtcReleaseGeometry(geometry);
    rtcCommitScene(scene_);
  }
  EmbreeDrill(const EmbreeDrill&) = delete;
  EmbreeDrill& operator=(const EmbreeDrill&) = delete;
  ~EmbreeDrill() {
    rtcReleaseScene(scene_);
    rtcReleaseDevice(device_);
  }

  /// Least way of rays from places of the drill, with the distance behind the tip.
  double FreeDepth(const Pose& pose) const {
    const AxisFrame frame = AxisFrame::At(pose.entry, pose.direction);
    double least = 1e9;
    for (int ring = 0; ring <= 16; ++ring) {
      for (int k = 0; k < (ring == 0 ? 1 : 128); ++k) {
        const double r = kRadius * ring / 16.0;
        const double t = 2.0 * kPi * k / 128;
        const double way =
            Ray(frame.ToWorld({r * std::cos(t), r * std::sin(t), kStart}), pose.direction);
        least = std::min(least, kStart + way + r / std::tan(kHalfAngle));
      }
    }
    return least;
  }

 private:
  static constexpr double kStart = 5.0;  // behind the near wall

  double Ray(const Vec3& from, const Vec3& d) const {
    RTCIntersectContext context;
    rtcInitIntersectContext(&context);
    RTCRayHit hit{};
    hit.ray.org_x = static_cast<float>(from.x());
    hit.ray.org_y = static_cast<float>(from.y());
    hit.ray.org_z = static_cast<float>(from.z());
    hit.ray.dir_x = static_cast<float>(d.x());
    hit.ray.dir_y = static_cast<float>(d.y());
    hit.ray.dir_z = static_cast<float>(d.z());
    hit.ray.tfar = 1e9F;
    hit.ray.mask = ~0U;
    hit.hit.geomID = RTC_INVALID_GEOMETRY_ID;
    rtcIntersect1(scene_, &context, &hit);
    return hit.hit.geomID == RTC_INVALID_GEOMETRY_ID ? 1e9 : static_cast<double>(hit.ray.tfar);
  }
  RTCDevice device_;
  RTCScene scene_;
};

TEST(PoseKernelOutside, FclAndEmbreeAgreeWithinTheirMeshesError) {
  for (const OutsideCase& c : {TubeCase(), LoftCase(false), LoftCase(true)}) {
    SCOPED_TRACE(c.name);
    const PoseKernel kernel = PoseKernel::Make(c.scene, c.region);
    ASSERT_TRUE(kernel.ok()) << kernel.failure();
    ASSERT_LT(c.mesh_error, 0.03);
    const FclDrill fcl_drill(c.mesh);
    const EmbreeDrill embree(c.mesh);
    const PoseDrill drill = PoseDrill::Of(*Drill::Twist(2 * kRadius, 2 * kHalfAngle), 0.0);
    std::mt19937_64 random(31);
    int asked = 0;
    for (int i = 0; i < 60; ++i) {
      const Pose pose = testing::PoseIn(c.region, random);
      const PoseBounds bounds = kernel.Evaluate(pose, drill);
      ASSERT_EQ(bounds.outcome, PoseOutcome::met);
      // Flanks and bars are met aslant: twice the distance along the axis at 59 degrees.
      const double along = 2.0 * (c.mesh_error + kRadius * (1.0 - std::cos(kPi / 128))) + 1e-3;
      EXPECT_FALSE(fcl_drill.Touches(pose, bounds.free_lower - along)) << i;
      EXPECT_TRUE(fcl_drill.Touches(pose, bounds.free_upper + along)) << i;
      const double rays = embree.FreeDepth(pose);
      EXPECT_GE(rays, bounds.free_lower - along) << i;
      EXPECT_LE(rays, bounds.free_upper + along + 0.05) << i;  // rays miss what lies between them
      ++asked;
    }
    EXPECT_EQ(asked, 60);
  }
}

}  // namespace
}  // namespace holeward
