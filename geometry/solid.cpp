#include "geometry/solid.h"

#include <algorithm>
#include <cmath>
#include <set>

#include <BRepAlgoAPI_Cut.hxx>
#include <BRepAlgoAPI_Fuse.hxx>
#include <BRepBndLib.hxx>
#include <BRepBuilderAPI_MakeSolid.hxx>
#include <BRepBuilderAPI_Sewing.hxx>
#include <BRepBuilderAPI_Transform.hxx>
#include <BRepCheck_Analyzer.hxx>
#include <BRepGProp.hxx>
#include <BRepLib.hxx>
#include <BRep_Tool.hxx>
#include <Bnd_Box.hxx>
#include <GProp_GProps.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopTools_ListOfShape.hxx>
#include <TopTools_MapOfShape.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Shell.hxx>
#include <TopoDS_Solid.hxx>
#include <fmt/format.h>
#include <gp_Ax2.hxx>
#include <gp_Trsf.hxx>

#include "geometry/shape_parts.h"
#include "geometry/solid_kernel.h"

namespace holeward {
namespace {

// Faces of one part share their edges to rounding; sewing may close gaps up to this, mm.
constexpr double kSewing = 1e-5;

bool Sound(const TopoDS_Shape& shape) {
  for (TopExp_Explorer e(shape, TopAbs_SHELL); e.More(); e.Next()) {
    if (!BRep_Tool::IsClosed(e.Current())) return false;
  }
  return TopExp_Explorer(shape, TopAbs_SOLID).More() && BRepCheck_Analyzer(shape).IsValid();
}

int CountOf(const TopoDS_Shape& shape, TopAbs_ShapeEnum kind) {
  TopTools_IndexedMapOfShape found;
  TopExp::MapShapes(shape, kind, found);
  return found.Extent();
}

// The kernel's quadrature of fixed order is off by up to 1e-3 on trimmed flat ends; the adaptive
// one keeps to this share.
constexpr double kQuadrature = 1e-5;

// A solid of closed shells: the greatest bounds it, the others are hollows in it.
TopoDS_Solid SolidOf(const TopoDS_Shape& sewn) {
  std::vector<std::pair<double, TopoDS_Shell>> shells;
  for (TopExp_Explorer e(sewn, TopAbs_SHELL); e.More(); e.Next()) {
    TopoDS_Solid alone = BRepBuilderAPI_MakeSolid(TopoDS::Shell(e.Current())).Solid();
    BRepLib::OrientClosedSolid(alone);
    const TopExp_Explorer shell(alone, TopAbs_SHELL);
    shells.emplace_back(VolumeOf(alone, kQuadrature), TopoDS::Shell(shell.Current()));
  }
  std::sort(shells.begin(), shells.end(),
            [](const auto& a, const auto& b) { return a.first > b.first; });
  BRepBuilderAPI_MakeSolid maker(shells.front().second);
  for (std::size_t i = 1; i < shells.size(); ++i) {
    maker.Add(TopoDS::Shell(shells[i].second.Reversed()));
  }
  return maker.Solid();
}

// A name not used yet: the name itself, or with a number.
std::string Unused(const std::string& name, std::set<std::string>& used) {
  std::string unique = name;
  for (int i = 2; !used.insert(unique).second; ++i) {
    unique = fmt::format("{} {}", name, i);
  }
  return unique;
}

}  // namespace

const NamedSolid::NamedFace* NamedSolid::Find(const std::string& face) const {
  for (const NamedFace& f : faces_) {
    if (f.name == face) return &f;
  }
  return nullptr;
}

double NamedSolid::Area() const {
  GProp_GProps properties;
  BRepGProp::SurfaceProperties(shape_, properties, kQuadrature);
  return properties.Mass();
}

Vec3 NamedSolid::Centroid() const {
  GProp_GProps properties;
  BRepGProp::VolumeProperties(shape_, properties, kQuadrature);
  return ToVec3(properties.CentreOfMass());
}

Eigen::AlignedBox3d NamedSolid::Bounds() const {
  Bnd_Box box;
  BRepBndLib::Add(shape_, box, false);
  double lo[3];
  double hi[3];
  box.Get(lo[0], lo[1], lo[2], hi[0], hi[1], hi[2]);
  return {Vec3(lo[0], lo[1], lo[2]), Vec3(hi[0], hi[1], hi[2])};
}

bool NamedSolid::IsSound() const { return Sound(shape_); }

Result<NamedSolid> NamedSolid::Checked(NamedSolid solid) {
  if (!Sound(solid.shape_)) {
    return Fail(ErrorKind::computed,
                fmt::format("{}: the solid came out open or invalid", solid.what_));
  }
  solid.volume_ = VolumeOf(solid.shape_, kQuadrature);
  if (!(solid.volume_ > 0.0)) {
    return Fail(ErrorKind::computed, fmt::format("{}: the solid has no volume", solid.what_));
  }
  if (static_cast<int>(solid.faces_.size()) != CountOf(solid.shape_, TopAbs_FACE)) {
    return Fail(ErrorKind::computed,
                fmt::format("{}: {} faces of the solid, {} of them named", solid.what_,
                            CountOf(solid.shape_, TopAbs_FACE), solid.faces_.size()));
  }
  return solid;
}

Result<NamedSolid> SolidMaker::Sew(const std::string& what, const std::vector<RawFace>& faces) {
  BRepBuilderAPI_Sewing sewing(kSewing);
  for (const RawFace& face : faces) {
    sewing.Add(face.face);
  }
  sewing.Perform();
  if (sewing.NbFreeEdges() > 0 || CountOf(sewing.SewedShape(), TopAbs_SHELL) < 1) {
    return Fail(ErrorKind::computed,
                fmt::format("{}: {} edges of the solid stay open", what, sewing.NbFreeEdges()));
  }
  const TopoDS_Solid solid = SolidOf(sewing.SewedShape());
  std::vector<RawFace> kept;
  std::set<std::string> used;
  for (const RawFace& face : faces) {
    TopoDS_Shape now = face.face;
    if (sewing.IsModifiedSubShape(now)) {
      now = sewing.ModifiedSubShape(now);
    }
    kept.push_back({Unused(face.name, used), face.role, TopoDS::Face(now)});
  }
  return FromShape(what, solid, std::move(kept));
}

Result<NamedSolid> SolidMaker::FromShape(const std::string& what, const TopoDS_Shape& shape,
                                         std::vector<RawFace> faces) {
  NamedSolid solid;
  solid.what_ = what;
  solid.shape_ = shape;
  // The faces as they lie in the solid, with its orientation.
  TopTools_IndexedMapOfShape in_solid;
  TopExp::MapShapes(shape, TopAbs_FACE, in_solid);
  for (RawFace& face : faces) {
    const int index = in_solid.FindIndex(face.face);
    if (index > 0) {
      face.face = TopoDS::Face(in_solid.FindKey(index));
      solid.faces_.push_back(std::move(face));
    }
  }
  return NamedSolid::Checked(std::move(solid));
}

void SolidMaker::SetWall(NamedSolid& solid, double deviation, double least, double greatest) {
  solid.wall_deviation_ = deviation;
  solid.wall_least_ = least;
  solid.wall_greatest_ = greatest;
}

Result<NamedSolid> NamedSolid::Mirrored() const {
  return Guarded(what_, "mirroring", [&]() -> Result<NamedSolid> {
    gp_Trsf mirror;
    mirror.SetMirror(gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(0, 1, 0)));
    BRepBuilderAPI_Transform transform(shape_, mirror, true);
    std::vector<RawFace> faces;
    for (const NamedFace& face : faces_) {
      faces.push_back({face.name, face.role, TopoDS::Face(transform.ModifiedShape(face.face))});
    }
    auto made = SolidMaker::FromShape(what_, transform.Shape(), std::move(faces));
    if (made) SolidMaker::SetWall(*made, wall_deviation_, wall_least_, wall_greatest_);
    return made;
  });
}

Result<NamedSolid> NamedSolid::Combined(const std::vector<NamedSolid>& others, bool cut) const {
  BRepAlgoAPI_Fuse fuse;
  BRepAlgoAPI_Cut cutter;
  BRepAlgoAPI_BooleanOperation& operation =
      cut ? static_cast<BRepAlgoAPI_BooleanOperation&>(cutter) : fuse;
  TopTools_ListOfShape arguments;
  TopTools_ListOfShape tools;
  arguments.Append(shape_);
  for (const NamedSolid& other : others) tools.Append(other.shape_);
  operation.SetArguments(arguments);
  operation.SetTools(tools);
  operation.SetUseOBB(true);  // keeps the many faces apart that only their straight boxes join
  operation.Build();
  if (operation.HasErrors()) {
    return Fail(ErrorKind::computed, fmt::format("{}: the bodies could not be combined", what_));
  }
  TopTools_IndexedMapOfShape in_result;
  TopExp::MapShapes(operation.Shape(), TopAbs_FACE, in_result);
  std::vector<RawFace> faces;
  std::set<std::string> used;
  TopTools_MapOfShape named;
  // A face that two bodies share came of both: it keeps the name of the first.
  auto keep = [&](const NamedFace& face, const TopoDS_Shape& now) {
    if (in_result.Contains(now) && named.Add(now)) {
      faces.push_back({Unused(face.name, used), face.role, TopoDS::Face(now)});
    }
  };
  auto follow = [&](const NamedFace& face) {
    if (operation.IsDeleted(face.face)) return;
    const TopTools_ListOfShape& modified = operation.Modified(face.face);
    if (modified.IsEmpty()) keep(face, face.face);
    for (const TopoDS_Shape& now : modified) keep(face, now);
  };
  for (const NamedFace& face : faces_) follow(face);
  for (const NamedSolid& other : others) {
    for (const NamedFace& face : other.faces_) follow(face);
  }
  auto made = SolidMaker::FromShape(what_, operation.Shape(), std::move(faces));
  if (!made) return made;
  const bool changed =
      cut ? made->volume_ < volume_ * (1.0 - 1e-9) : made->volume_ > volume_ * (1.0 + 1e-9);
  if (!changed) {
    return Fail(ErrorKind::computed,
                fmt::format("{}: {} changed nothing; the volume is still {:.1f} mm3", what_,
                            cut ? "cutting" : "joining", volume_));
  }
  SolidMaker::SetWall(*made, wall_deviation_, wall_least_, wall_greatest_);
  return made;
}

Result<NamedSolid> NamedSolid::Fused(const std::vector<NamedSolid>& others) const {
  if (others.empty()) return *this;
  return Guarded(what_, "joining bodies", [&] { return Combined(others, false); });
}

Result<NamedSolid> NamedSolid::Cut(const std::vector<NamedSolid>& tools) const {
  if (tools.empty()) return *this;
  return Guarded(what_, "cutting holes", [&] { return Combined(tools, true); });
}

}  // namespace holeward
