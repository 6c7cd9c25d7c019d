// Every face of a solid as Bezier patches.
#include <algorithm>
#include <cmath>

#include <BRepAdaptor_Surface.hxx>
#include <BRepBuilderAPI_Copy.hxx>
#include <BRepMesh_IncrementalMesh.hxx>
#include <BRep_Tool.hxx>
#include <GeomConvert.hxx>
#include <GeomConvert_BSplineSurfaceToBezierSurface.hxx>
#include <Geom_BSplineSurface.hxx>
#include <Geom_BezierSurface.hxx>
#include <Geom_RectangularTrimmedSurface.hxx>
#include <Geom_ToroidalSurface.hxx>
#include <Poly_Triangulation.hxx>
#include <TopLoc_Location.hxx>
#include <TopoDS.hxx>
#include <fmt/format.h>

#include "geometry/face_patches.h"
#include "geometry/parallel.h"
#include "geometry/rim_patches.h"
#include "geometry/solid_kernel.h"
#include "geometry/whole_bands.h"

namespace holeward {
namespace {

// Beside the exact patches of a trimmed face its triangles lie within this, mm: a finer mesh of a
// long face takes seconds.
constexpr double kBeside = 0.02;

BezierPatch Patch(const Handle(Geom_BezierSurface) & surface) {
  BezierPatch patch;
  patch.degree_u = surface->UDegree();
  patch.degree_v = surface->VDegree();
  for (int i = 1; i <= surface->NbUPoles(); ++i) {
    for (int j = 1; j <= surface->NbVPoles(); ++j) {
      const double w = surface->Weight(i, j);
      Eigen::Vector4d pole;
      pole << w * ToVec3(surface->Pole(i, j)), w;
      patch.poles.push_back(pole);
    }
  }
  return patch;
}

void AddPatches(const Handle(Geom_BSplineSurface) & spline, std::vector<BezierPatch>& patches) {
  GeomConvert_BSplineSurfaceToBezierSurface convert(spline);
  for (int i = 1; i <= convert.NbUPatches(); ++i) {
    for (int j = 1; j <= convert.NbVPatches(); ++j) {
      patches.push_back(Patch(convert.Patch(i, j)));
    }
  }
}

// True of a surface once round that a rounding makes more or less than that: the kernel takes a
// hair more for next to nothing.
bool IsRoundButForRounding(const Handle(Geom_Surface) & raw, const ParameterBox& b) {
  if (!raw->IsUPeriodic()) return false;
  const double more = b.u2 - b.u1 - raw->UPeriod();
  return more != 0.0 && std::abs(more) < 1e-9;
}

bool IsAllOf(const Handle(Geom_BSplineSurface) & spline, const ParameterBox& b) {
  ParameterBox all;
  spline->Bounds(all.u1, all.u2, all.v1, all.v2);
  const double du = 1e-9 * (all.u2 - all.u1);
  const double dv = 1e-9 * (all.v2 - all.v1);
  return std::abs(b.u1 - all.u1) < du && std::abs(b.u2 - all.u2) < du &&
         std::abs(b.v1 - all.v1) < dv && std::abs(b.v2 - all.v2) < dv;
}

// In quarters round at most: the kernel fails to convert a torus that goes round a bent tube whole.
std::vector<BezierPatch> QuarterPatches(const Handle(Geom_Surface) & raw, const ParameterBox& b) {
  const auto parts = [](double from, double to) {
    return std::max(1, static_cast<int>(std::ceil((to - from) / (0.5 * kPi) - 1e-9)));
  };
  const int n = raw->IsUPeriodic() ? parts(b.u1, b.u2) : 1;
  const int m = raw->IsVPeriodic() ? parts(b.v1, b.v2) : 1;
  const double du = (b.u2 - b.u1) / n;
  const double dv = (b.v2 - b.v1) / m;
  std::vector<BezierPatch> patches;
  for (int i = 0; i < n; ++i) {
    for (int j = 0; j < m; ++j) {
      AddPatches(GeomConvert::SurfaceToBSplineSurface(new Geom_RectangularTrimmedSurface(
                     raw, b.u1 + i * du, b.u1 + (i + 1) * du, b.v1 + j * dv, b.v1 + (j + 1) * dv)),
                 patches);
    }
  }
  return patches;
}

std::vector<BezierPatch> WholePatches(const TopoDS_Face& face, const ParameterBox& b) {
  Handle(Geom_Surface) raw = BRep_Tool::Surface(face);
  const auto trimmed = Handle(Geom_RectangularTrimmedSurface)::DownCast(raw);
  if (!trimmed.IsNull()) raw = trimmed->BasisSurface();
  if (!Handle(Geom_ToroidalSurface)::DownCast(raw).IsNull() || IsRoundButForRounding(raw, b)) {
    return QuarterPatches(raw, b);
  }
  Handle(Geom_BSplineSurface) spline = Handle(Geom_BSplineSurface)::DownCast(raw);
  if (spline.IsNull() || !IsAllOf(spline, b)) {
    spline = GeomConvert::SurfaceToBSplineSurface(
        new Geom_RectangularTrimmedSurface(raw, b.u1, b.u2, b.v1, b.v2));
  }
  std::vector<BezierPatch> patches;
  AddPatches(spline, patches);
  return patches;
}

// A triangle is a patch of degree 1 by 1 with one side shrunk to a place.
BezierPatch Triangle(const Vec3& a, const Vec3& b, const Vec3& c, double grown) {
  BezierPatch patch;
  for (const Vec3& p : {a, b, c, c}) {
    Eigen::Vector4d pole;
    pole << p, 1.0;
    patch.poles.push_back(pole);
  }
  patch.grown = grown;
  return patch;
}

/// Triangles that cover a face but for what lies in one of the boxes.
std::vector<BezierPatch> TrianglePatches(const TopoDS_Face& shared, double deflection,
                                         const std::vector<ParameterBox>& without = {}) {
  // A mesh is kept on the face and on its edges, which the neighbouring faces have too.
  const TopoDS_Face face = TopoDS::Face(BRepBuilderAPI_Copy(shared, false, false).Shape());
  // The angle limit is left wide: the deflection alone decides.
  BRepMesh_IncrementalMesh mesh(face, deflection, false, 0.5);
  TopLoc_Location location;
  const auto triangles = BRep_Tool::Triangulation(face, location);
  std::vector<BezierPatch> patches;
  if (triangles.IsNull()) return patches;
  auto node = [&](int i) {
    return ToVec3(triangles->Node(i).Transformed(location.Transformation()));
  };
  for (int i = 1; i <= triangles->NbTriangles(); ++i) {
    int a = 0;
    int b = 0;
    int c = 0;
    triangles->Triangle(i).Get(a, b, c);
    const auto is_held = [&](const ParameterBox& box) {
      if (!triangles->HasUVNodes()) return false;
      const auto holds = [&](int corner) {
        const gp_Pnt2d at = triangles->UVNode(corner);
        return box.Holds(at.X(), at.Y());
      };
      return holds(a) && holds(b) && holds(c);
    };
    if (std::any_of(without.begin(), without.end(), is_held)) continue;
    if (face.Orientation() == TopAbs_REVERSED) std::swap(b, c);
    patches.push_back(Triangle(node(a), node(b), node(c), deflection));
  }
  return patches;
}

std::vector<BezierPatch> PatchesOf(const TopoDS_Face& face, double deflection) {
  std::vector<BezierPatch> rim = RimPatches(face);
  if (!rim.empty()) return rim;
  const std::vector<ParameterBox> bands = WholeBandsOf(face);
  const bool flat = BRepAdaptor_Surface(face).GetType() == GeomAbs_Plane;
  const double beside = bands.empty() || flat ? deflection : std::max(deflection, kBeside);
  std::vector<BezierPatch> patches =
      IsAllOf(face, bands) ? std::vector<BezierPatch>() : TrianglePatches(face, beside, bands);
  for (const ParameterBox& band : bands) {
    const std::vector<BezierPatch> whole = WholePatches(face, band);
    patches.insert(patches.end(), whole.begin(), whole.end());
  }
  return patches;
}

}  // namespace

Result<std::vector<BezierPatch>> PatchesOfFace(const TopoDS_Face& face, double deflection,
                                               const std::string& what) {
  return Guarded(what, "splitting a face", [&]() -> Result<std::vector<BezierPatch>> {
    std::vector<BezierPatch> patches = PatchesOf(face, deflection);
    if (!patches.empty()) return patches;
    return Fail(ErrorKind::computed, what + ": a face of it could not be divided");
  });
}

Result<std::vector<BezierPatch>> TrianglesOfFace(const TopoDS_Face& face, double deflection,
                                                 const std::string& what) {
  return Guarded(what, "splitting a face", [&]() -> Result<std::vector<BezierPatch>> {
    std::vector<BezierPatch> triangles = TrianglePatches(face, deflection);
    if (!triangles.empty()) return triangles;
    return Fail(ErrorKind::computed, what + ": a face of it could not be divided");
  });
}

Result<std::vector<FacePatches>> NamedSolid::Patches(double deflection) const {
  const auto split = [&](const NamedFace& face) {
    return Guarded(what_, "splitting its faces", [&]() -> Result<FacePatches> {
      FacePatches made{face.name, face.role, PatchesOf(face.face, deflection)};
      if (!made.patches.empty()) return made;
      return Fail(ErrorKind::computed,
                  fmt::format("{}: face \"{}\" could not be divided", what_, face.name));
    });
  };
  std::vector<FacePatches> all;
  for (Result<FacePatches>& made :
       MadeOfEach(faces_.size(), [&](std::size_t i) { return split(faces_[i]); })) {
    if (!made) return tl::unexpected<Error>(made.error());
    all.push_back(std::move(*made));
  }
  return all;
}

}  // namespace holeward
