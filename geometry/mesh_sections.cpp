#include "geometry/mesh_sections.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <map>
#include <utility>

#include <BRepMesh_IncrementalMesh.hxx>
#include <BRep_Tool.hxx>
#include <Poly_Triangulation.hxx>
#include <TopExp_Explorer.hxx>
#include <TopLoc_Location.hxx>
#include <TopoDS.hxx>

#include "geometry/solid_kernel.h"

namespace holeward {
namespace {

constexpr double kDeflection = 0.05;
constexpr double kTurn = 0.2;  // radians
// Corners of triangles are one within this, mm.
constexpr double kOne = 1e-5;
// Metal within the outline of a tube's section: as at an open end (tube_of_solid.cpp).
constexpr double kMostMetal = 0.6;

/// A closed outline in the plane's own axes.
struct Loop {
  std::vector<Vec2> places;
  double area = 0.0;  ///< positive
  Vec2 centre = Vec2::Zero();
};

void Measure(Loop& loop) {
  double twice = 0.0;
  Vec2 moment = Vec2::Zero();
  const Vec2 origin = loop.places.front();
  for (std::size_t i = 0; i < loop.places.size(); ++i) {
    const Vec2 a = loop.places[i] - origin;
    const Vec2 b = loop.places[(i + 1) % loop.places.size()] - origin;
    const double cross = a.x() * b.y() - a.y() * b.x();
    twice += cross;
    moment += cross * (a + b) / 3.0;
  }
  loop.area = 0.5 * std::abs(twice);
  loop.centre = origin + (twice != 0.0 ? Vec2(moment / twice) : Vec2(Vec2::Zero()));
}

bool Holds(const Loop& loop, const Vec2& p) {
  bool inside = false;
  for (std::size_t i = 0; i < loop.places.size(); ++i) {
    const Vec2& a = loop.places[i];
    const Vec2& b = loop.places[(i + 1) % loop.places.size()];
    if ((a.y() > p.y()) == (b.y() > p.y())) continue;
    if (p.x() < a.x() + (b.x() - a.x()) * (p.y() - a.y()) / (b.y() - a.y())) inside = !inside;
  }
  return inside;
}

constexpr std::size_t kNone = static_cast<std::size_t>(-1);

/// The two edges that the segments of a section go on to from an edge of the mesh.
using Beside = std::array<std::size_t, 2>;

/// The outlines of which the segments, each from edge to edge of the mesh, are made.
/// @param crossed edges that the plane crosses
template <class PlaceOn>
std::vector<Loop> Chained(const std::vector<std::size_t>& crossed, std::vector<Beside>& beside,
                          PlaceOn&& place_on) {
  std::vector<Loop> loops;
  std::vector<bool> seen(beside.size(), false);
  for (const std::size_t start : crossed) {
    if (seen[start]) continue;
    Loop loop;
    std::size_t before = kNone;
    std::size_t here = start;
    do {
      seen[here] = true;
      loop.places.push_back(place_on(here));
      const Beside& next = beside[here];
      const std::size_t on = next[0] != before ? next[0] : next[1];
      before = here;
      here = on;
    } while (here != start && !seen[here]);
    if (here != start || loop.places.size() < 3) continue;
    Measure(loop);
    loops.push_back(std::move(loop));
  }
  return loops;
}

}  // namespace

MeshSections::MeshSections(const TopoDS_Shape& solid) {
  const BRepMesh_IncrementalMesh mesher(solid, kDeflection, false, kTurn);
  std::map<std::array<std::int64_t, 3>, std::size_t> known;
  const auto corner = [&](const Vec3& p) {
    const std::array<std::int64_t, 3> key{std::llround(p.x() / kOne), std::llround(p.y() / kOne),
                                          std::llround(p.z() / kOne)};
    const auto [at, added] = known.emplace(key, corners_.size());
    if (added) corners_.push_back(p);
    return at->second;
  };
  std::map<Edge, std::size_t> edge_known;
  for (TopExp_Explorer e(solid, TopAbs_FACE); e.More(); e.Next()) {
    TopLoc_Location location;
    const auto mesh = BRep_Tool::Triangulation(TopoDS::Face(e.Current()), location);
    if (mesh.IsNull()) continue;
    for (int i = 1; i <= mesh->NbTriangles(); ++i) {
      std::array<int, 3> nodes{};
      mesh->Triangle(i).Get(nodes[0], nodes[1], nodes[2]);
      std::array<std::size_t, 3> triangle{};
      for (std::size_t k = 0; k < 3; ++k) {
        triangle[k] = corner(ToVec3(mesh->Node(nodes[k]).Transformed(location)));
      }
      if (triangle[0] == triangle[1] || triangle[1] == triangle[2] || triangle[2] == triangle[0]) {
        continue;
      }
      std::array<std::size_t, 3> edges{};
      for (std::size_t k = 0; k < 3; ++k) {
        const auto ends = std::minmax(triangle[k], triangle[(k + 1) % 3]);
        const auto [at, added] = edge_known.emplace(Edge{ends.first, ends.second}, edges_.size());
        if (added) edges_.push_back(at->first);
        edges[k] = at->second;
      }
      triangles_.push_back(edges);
    }
  }
}

std::array<double, 2> MeshSections::Along(const Vec3& direction) const {
  std::array<double, 2> reach{1e300, -1e300};
  for (const Vec3& corner : corners_) {
    reach[0] = std::min(reach[0], corner.dot(direction));
    reach[1] = std::max(reach[1], corner.dot(direction));
  }
  return reach;
}

MeshSection MeshSections::At(const Vec3& at, const Vec3& normal, double reach) const {
  const Vec3 x = normal.unitOrthogonal();
  const Vec3 y = normal.cross(x);
  std::vector<double> height(corners_.size());
  for (std::size_t i = 0; i < corners_.size(); ++i) height[i] = (corners_[i] - at).dot(normal);
  const auto is_crossed = [&](std::size_t edge) {
    return (height[edges_[edge][0]] > 0.0) != (height[edges_[edge][1]] > 0.0);
  };
  std::vector<Beside> beside(edges_.size(), Beside{kNone, kNone});
  std::vector<std::size_t> crossed;
  bool closed = true;
  const auto add = [&](std::size_t edge, std::size_t other) {
    Beside& own = beside[edge];
    if (own[0] == kNone) crossed.push_back(edge);
    closed = closed && own[1] == kNone;
    (own[0] == kNone ? own[0] : own[1]) = other;
  };
  for (const auto& triangle : triangles_) {
    std::array<std::size_t, 3> two{};
    std::size_t count = 0;
    for (const std::size_t edge : triangle) {
      if (is_crossed(edge)) two[count++] = edge;
    }
    if (count != 2) continue;
    add(two[0], two[1]);
    add(two[1], two[0]);
  }
  for (const std::size_t edge : crossed) closed = closed && beside[edge][1] != kNone;
  if (!closed) return {!crossed.empty(), std::nullopt};
  const auto place_on = [&](std::size_t edge) {
    const auto [a, b] = edges_[edge];
    const double share = height[a] / (height[a] - height[b]);
    const Vec3 off = corners_[a] + share * (corners_[b] - corners_[a]) - at;
    return Vec2(off.dot(x), off.dot(y));
  };
  const std::vector<Loop> loops = Chained(crossed, beside, place_on);
  MeshSection section;
  double least = reach;
  for (const Loop& outline : loops) {
    const double far = outline.centre.norm();
    if (far > reach) continue;
    section.any = true;
    std::size_t within = 0;
    const Loop* opening = nullptr;
    bool outermost = true;
    for (const Loop& other : loops) {
      if (&other == &outline) continue;
      if (other.area < outline.area && Holds(outline, other.places.front())) {
        ++within;
        opening = &other;
      }
      outermost = outermost && !(other.area > outline.area && Holds(other, outline.places.front()));
    }
    if (!outermost || far > least) continue;
    least = far;
    section.ring.reset();
    if (within != 1 || outline.area - opening->area >= kMostMetal * outline.area) continue;
    section.ring = RingSection{at + outline.centre.x() * x + outline.centre.y() * y, outline.area,
                               outline.area - opening->area};
  }
  return section;
}

}  // namespace holeward
