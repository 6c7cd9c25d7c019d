#include "geometry/shape_parts.h"

#include <cmath>

#include <BRepGProp.hxx>
#include <GProp_GProps.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>

namespace holeward {

double VolumeOf(const TopoDS_Shape& shape, double within) {
  GProp_GProps properties;
  BRepGProp::VolumeProperties(shape, properties, within);
  return properties.Mass();
}

double AreaOf(const TopoDS_Face& face, double within) {
  GProp_GProps properties;
  BRepGProp::SurfaceProperties(face, properties, within);
  return std::abs(properties.Mass());
}

std::vector<TopoDS_Shape> SolidsOf(const TopoDS_Shape& shape) {
  std::vector<TopoDS_Shape> solids;
  for (TopExp_Explorer e(shape, TopAbs_SOLID); e.More(); e.Next()) solids.push_back(e.Current());
  return solids;
}

TopTools_IndexedMapOfShape FacesOf(const TopoDS_Shape& shape) {
  TopTools_IndexedMapOfShape faces;
  TopExp::MapShapes(shape, TopAbs_FACE, faces);
  return faces;
}

}  // namespace holeward
