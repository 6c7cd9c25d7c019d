#include "geometry/solid_prism.h"

#include <algorithm>
#include <limits>

#include <BRepAlgoAPI_Common.hxx>
#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakePolygon.hxx>
#include <BRepExtrema_DistShapeShape.hxx>
#include <BRepGProp.hxx>
#include <BRepPrimAPI_MakePrism.hxx>
#include <GProp_GProps.hxx>
#include <ShapeFix_Face.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_ListOfShape.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Edge.hxx>
#include <fmt/format.h>

#include "geometry/solid_kernel.h"

namespace holeward {
namespace {

TopoDS_Wire WireOf(const std::vector<Vec3>& loop) {
  BRepBuilderAPI_MakePolygon polygon;
  for (const Vec3& place : loop) polygon.Add(ToPnt(place));
  polygon.Close();
  return polygon.Wire();
}

}  // namespace

Result<NamedSolid> PrismOf(const std::string& name, const std::vector<std::vector<Vec3>>& loops,
                           const Vec3& along, FaceRole role) {
  return Guarded(name, "pushing an outline", [&]() -> Result<NamedSolid> {
    BRepBuilderAPI_MakeFace maker(WireOf(loops.front()), true);
    for (std::size_t i = 1; i < loops.size() && maker.IsDone(); ++i) maker.Add(WireOf(loops[i]));
    if (!maker.IsDone()) {
      return Fail(ErrorKind::computed, name + ": its outline does not lie in a plane");
    }
    ShapeFix_Face fix(maker.Face());
    fix.FixOrientation();
    const TopoDS_Shape shape =
        BRepPrimAPI_MakePrism(fix.Face(), gp_Vec(along.x(), along.y(), along.z())).Shape();
    std::vector<RawFace> faces;
    for (TopExp_Explorer e(shape, TopAbs_FACE); e.More(); e.Next()) {
      faces.push_back(
          {fmt::format("{} {}", name, faces.size() + 1), role, TopoDS::Face(e.Current())});
    }
    return SolidMaker::FromShape(name, shape, std::move(faces));
  });
}

Result<double> CommonVolume(const NamedSolid& a, const NamedSolid& b) {
  if (a.Bounds().intersection(b.Bounds()).isEmpty()) return 0.0;
  return Guarded(a.what(), "looking for what it has in common", [&]() -> Result<double> {
    TopTools_ListOfShape arguments;
    TopTools_ListOfShape tools;
    arguments.Append(a.shape());
    tools.Append(b.shape());
    BRepAlgoAPI_Common common;
    common.SetArguments(arguments);
    common.SetTools(tools);
    common.SetUseOBB(true);
    common.Build();
    if (common.HasErrors()) {
      return Fail(ErrorKind::computed,
                  fmt::format("{} and {} could not be compared", a.what(), b.what()));
    }
    GProp_GProps properties;
    BRepGProp::VolumeProperties(common.Shape(), properties, 1e-4);
    return properties.Mass();
  });
}

Result<double> DistanceOf(const NamedSolid& solid, const std::vector<Vec3>& path) {
  return Guarded(solid.what(), "measuring what stands beside it", [&]() -> Result<double> {
    double least = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i + 1 < path.size(); ++i) {
      const TopoDS_Edge piece = BRepBuilderAPI_MakeEdge(ToPnt(path[i]), ToPnt(path[i + 1])).Edge();
      const BRepExtrema_DistShapeShape distance(solid.shape(), piece);
      if (!distance.IsDone()) {
        return Fail(ErrorKind::computed, solid.what() + ": no distance to a line beside it");
      }
      least = std::min(least, distance.InnerSolution() ? 0.0 : distance.Value());
    }
    return least;
  });
}

}  // namespace holeward
