// The tape against exact shortest paths on a fine mesh of the skin (CGAL
// Surface_mesh_shortest_path; S. Xin and G. Wang, ACM Trans. Graphics 28 (2009) 104).
#include <cmath>

#include <gtest/gtest.h>

#include "geometry/tape.h"
#include "tests/geometry/cranked_arm.h"
#include "tests/geometry/tape_mesh_oracle.h"

namespace holeward {
namespace {

TEST(TapeMesh, AgreesWithTheExactPathOnAMesh) {
  const auto skin = test::CrankedArm();
  const TapeSolver tape{std::make_shared<SkinSurface>(skin)};
  testing::MeshOracle mesh(*skin, 60, 6, 12);
  int compared = 0;
  double worst = 0.0;
  for (const auto& source : {std::pair{6, 3}, std::pair{30, 40}}) {
    mesh.From(source.first, source.second);
    for (int i = 2; i < 60; i += 7) {
      for (int k = 0; k < mesh.round(); k += 5) {
        if (i == source.first && k == source.second) continue;
        const auto path = tape.Path(mesh.PlaceOf(source.first, source.second), mesh.PlaceOf(i, k));
        ASSERT_TRUE(path.has_value()) << path.error().message;
        worst = std::max(worst, std::abs(path->length - mesh.To(i, k)));
        ++compared;
      }
    }
  }
  EXPECT_GT(compared, 200);
  EXPECT_LT(worst, 0.05);  // what the mesh is off
}

}  // namespace
}  // namespace holeward
