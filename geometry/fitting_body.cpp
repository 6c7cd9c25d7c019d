#include "geometry/fitting_body.h"

#include <utility>

#include "geometry/face_patches.h"

namespace holeward {
namespace {

// What access may be told too small by, mm.
constexpr double kDeflection = 0.01;
// Of what is drawn, mm.
constexpr double kDrawn = 0.2;

}  // namespace

Result<FittingBody> BodyOfFaces(const std::vector<TopoDS_Face>& faces, const std::string& what) {
  return BodyOfFaces(faces, faces, what);
}

Result<FittingBody> BodyOfFaces(const std::vector<TopoDS_Face>& faces,
                                const std::vector<TopoDS_Face>& drawn, const std::string& what) {
  FittingBody body;
  for (const TopoDS_Face& face : faces) {
    const auto patches = PatchesOfFace(face, kDeflection, what);
    if (!patches) return tl::unexpected(patches.error());
    body.patches.insert(body.patches.end(), patches->begin(), patches->end());
  }
  for (const TopoDS_Face& face : drawn) {
    const auto triangles = TrianglesOfFace(face, kDrawn, what);
    if (!triangles) return tl::unexpected(triangles.error());
    for (const BezierPatch& triangle : *triangles) {
      const auto corner = [&](std::size_t i) { return Vec3(triangle.poles[i].head<3>()); };
      body.facets.push_back({corner(0), corner(1), corner(2)});
    }
  }
  return body;
}

FittingBody Mirrored(const FittingBody& body) {
  FittingBody image = body;
  for (BezierPatch& patch : image.patches) {
    for (Eigen::Vector4d& pole : patch.poles) pole.y() = -pole.y();
  }
  for (auto& facet : image.facets) {
    for (Vec3& corner : facet) corner = Mirrored(corner);
    std::swap(facet[1], facet[2]);
  }
  return image;
}

}  // namespace holeward
