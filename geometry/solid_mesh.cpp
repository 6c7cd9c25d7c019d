#include "geometry/solid_mesh.h"

#include <algorithm>
#include <map>
#include <numeric>
#include <tuple>
#include <utility>

#include <BRepBuilderAPI_Copy.hxx>
#include <BRepMesh_IncrementalMesh.hxx>
#include <BRep_Tool.hxx>
#include <Poly_PolygonOnTriangulation.hxx>
#include <Poly_Triangulation.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopLoc_Location.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS.hxx>
#include <fmt/format.h>

#include "geometry/solid_kernel.h"

namespace holeward {
namespace {

/// Gives every place a number, the same to places that are the same to the last digit.
class Numbering {
 public:
  int NumberOf(const Vec3& p) {
    return numbers_.emplace(std::tuple(p.x(), p.y(), p.z()), static_cast<int>(numbers_.size()))
        .first->second;
  }

 private:
  std::map<std::tuple<double, double, double>, int> numbers_;
};

std::vector<std::array<int, 3>> NumberedTriangles(const SolidMesh& mesh) {
  Numbering numbering;
  std::vector<std::array<int, 3>> numbered;
  for (const FaceMesh& face : mesh.faces) {
    std::vector<int> numbers;
    numbers.reserve(face.places.size());
    for (const Vec3& p : face.places) numbers.push_back(numbering.NumberOf(p));
    for (const auto& [a, b, c] : face.triangles) {
      numbered.push_back({numbers[static_cast<std::size_t>(a)],
                          numbers[static_cast<std::size_t>(b)],
                          numbers[static_cast<std::size_t>(c)]});
    }
  }
  return numbered;
}

// Triangles two corners of which are one place: they close nothing and have no normal.
void DropLines(SolidMesh* mesh) {
  const auto numbered = NumberedTriangles(*mesh);
  std::size_t next = 0;
  for (FaceMesh& face : mesh->faces) {
    std::vector<std::array<int, 3>> kept;
    for (const auto& triangle : face.triangles) {
      const auto& [a, b, c] = numbered[next++];
      if (a != b && b != c && c != a) kept.push_back(triangle);
    }
    face.triangles = std::move(kept);
  }
}

/// The kernel's triangles of the faces of a shape, whose places along a common edge differ by up to
/// the edge's tolerance: they are made one, edge by edge.
class Joiner {
 public:
  /// The first place of a face in the count of all.
  void AddFace(std::size_t places) {
    starts_.push_back(groups_.size());
    for (std::size_t i = 0; i < places; ++i) groups_.push_back(groups_.size());
  }

  void JoinEdges(const std::vector<TopoDS_Face>& faces) {
    std::map<int, Places> known;  // of an edge, the places first met
    TopTools_IndexedMapOfShape edges;
    for (std::size_t f = 0; f < faces.size(); ++f) {
      for (TopExp_Explorer e(faces[f], TopAbs_EDGE); e.More(); e.Next()) {
        const Places places = PlacesOf(TopoDS::Edge(e.Current()), faces[f], f);
        if (BRep_Tool::Degenerated(TopoDS::Edge(e.Current()))) {
          for (const std::size_t place : places) Join(places.front(), place);
          continue;
        }
        const auto [found, first] = known.emplace(edges.Add(e.Current()), places);
        if (first || found->second.size() != places.size()) continue;
        for (std::size_t i = 0; i < places.size(); ++i) Join(found->second[i], places[i]);
      }
    }
  }

  /// Every place moved to the first of its group.
  void Settle(std::vector<FaceMesh>* faces) {
    std::vector<Vec3> all;
    for (const FaceMesh& face : *faces)
      all.insert(all.end(), face.places.begin(), face.places.end());
    std::size_t next = 0;
    for (FaceMesh& face : *faces) {
      for (Vec3& place : face.places) place = all[Root(next++)];
    }
  }

 private:
  using Places = std::vector<std::size_t>;

  // The places along an edge, in the order of the edge's own curve.
  [[nodiscard]] Places PlacesOf(const TopoDS_Edge& edge, const TopoDS_Face& face,
                                std::size_t f) const {
    TopLoc_Location where;
    const auto triangles = BRep_Tool::Triangulation(face, where);
    const auto polygon = BRep_Tool::PolygonOnTriangulation(edge, triangles, where);
    Places places;
    for (int i = 1; !polygon.IsNull() && i <= polygon->NbNodes(); ++i) {
      places.push_back(starts_[f] + static_cast<std::size_t>(polygon->Node(i) - 1));
    }
    return places;
  }

  std::size_t Root(std::size_t place) {
    while (groups_[place] != place) place = groups_[place] = groups_[groups_[place]];
    return place;
  }

  void Join(std::size_t a, std::size_t b) {
    const std::size_t x = Root(a);
    const std::size_t y = Root(b);
    groups_[std::max(x, y)] = std::min(x, y);
  }

  std::vector<std::size_t> starts_;
  std::vector<std::size_t> groups_;
};

Result<FaceMesh> MeshOfFace(const NamedSolid::NamedFace& named, const TopoDS_Face& face) {
  TopLoc_Location where;
  const Handle(Poly_Triangulation) found = BRep_Tool::Triangulation(face, where);
  if (found.IsNull() || found->NbTriangles() == 0) {
    return Fail(ErrorKind::computed, fmt::format("face \"{}\" could not be meshed", named.name));
  }
  FaceMesh mesh{named.name, named.role, {}, {}};
  for (int i = 1; i <= found->NbNodes(); ++i) {
    mesh.places.push_back(ToVec3(found->Node(i).Transformed(where.Transformation())));
  }
  const bool turned = face.Orientation() == TopAbs_REVERSED;
  for (int i = 1; i <= found->NbTriangles(); ++i) {
    std::array<int, 3> t{};
    found->Triangle(i).Get(t[0], t[1], t[2]);
    for (int& corner : t) --corner;
    if (turned) std::swap(t[1], t[2]);
    mesh.triangles.push_back(t);
  }
  return mesh;
}

}  // namespace

std::size_t SolidMesh::TriangleCount() const {
  return std::accumulate(
      faces.begin(), faces.end(), std::size_t{0},
      [](std::size_t sum, const FaceMesh& face) { return sum + face.triangles.size(); });
}

double SolidMesh::Volume() const {
  double six_fold = 0.0;
  const Vec3 origin = faces.empty() ? Vec3::Zero() : faces.front().places.front();
  for (const FaceMesh& face : faces) {
    for (const auto& [a, b, c] : face.triangles) {
      const Vec3 p = face.places[static_cast<std::size_t>(a)] - origin;
      const Vec3 q = face.places[static_cast<std::size_t>(b)] - origin;
      const Vec3 r = face.places[static_cast<std::size_t>(c)] - origin;
      six_fold += p.dot(q.cross(r));
    }
  }
  return six_fold / 6.0;
}

bool SolidMesh::IsWatertight() const {
  std::map<std::pair<int, int>, int> balance;  // of an edge, by its lesser and greater end
  std::map<std::pair<int, int>, int> uses;
  for (const auto& triangle : NumberedTriangles(*this)) {
    for (std::size_t i = 0; i < 3; ++i) {
      const int from = triangle[i];
      const int to = triangle[(i + 1) % 3];
      const auto edge = std::minmax(from, to);
      balance[edge] += from < to ? 1 : -1;
      ++uses[edge];
    }
  }
  for (const auto& [edge, sum] : balance) {
    if (sum != 0 || uses[edge] != 2) return false;
  }
  return !balance.empty();
}

Result<SolidMesh> MeshOf(const NamedSolid& solid, const MeshFineness& fineness) {
  return Guarded(solid.what(), "meshing", [&]() -> Result<SolidMesh> {
    // The kernel keeps triangles with a shape: a copy leaves the solid as it is.
    BRepBuilderAPI_Copy copy(solid.shape());
    BRepMesh_IncrementalMesh mesher(copy.Shape(), fineness.deflection, false, fineness.angle_rad);
    TopTools_IndexedMapOfShape before;
    TopTools_IndexedMapOfShape after;
    TopExp::MapShapes(solid.shape(), TopAbs_FACE, before);
    TopExp::MapShapes(copy.Shape(), TopAbs_FACE, after);
    SolidMesh mesh;
    Joiner joiner;
    std::vector<TopoDS_Face> meshed;
    for (const NamedSolid::NamedFace& named : solid.faces()) {
      // In the order of the copy: there a face is turned as the solid has it.
      meshed.push_back(TopoDS::Face(after(before.FindIndex(named.face))));
      auto face = MeshOfFace(named, meshed.back());
      if (!face) {
        return Fail(ErrorKind::computed, solid.what() + ": " + face.error().message);
      }
      joiner.AddFace(face->places.size());
      mesh.faces.push_back(std::move(*face));
    }
    joiner.JoinEdges(meshed);
    joiner.Settle(&mesh.faces);
    DropLines(&mesh);
    if (!mesh.IsWatertight()) {
      return Fail(ErrorKind::computed, solid.what() + ": its mesh does not close");
    }
    return mesh;
  });
}

}  // namespace holeward
