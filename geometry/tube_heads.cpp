#include "geometry/tube_heads.h"

#include <algorithm>
#include <cmath>

#include <BRepAdaptor_Surface.hxx>
#include <BRepAlgoAPI_Common.hxx>
#include <BRepAlgoAPI_Cut.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepCheck_Analyzer.hxx>
#include <BRepGProp.hxx>
#include <BRepPrimAPI_MakeHalfSpace.hxx>
#include <BRepTools.hxx>
#include <BRep_Tool.hxx>
#include <GProp_GProps.hxx>
#include <GeomLib_IsPlanarSurface.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Wire.hxx>
#include <fmt/format.h>
#include <gp_Cylinder.hxx>
#include <gp_Pln.hxx>

#include "geometry/ring_follower.h"
#include "geometry/shape_parts.h"
#include "geometry/solid_kernel.h"

namespace holeward {
namespace {

// The cut lies so far before the last ring that goes on as those before it did, mm.
constexpr double kSpare = 1.5;
// A flat face closes the tube if its outline has the section's area within this share, lies no
// farther beyond the last section, and before it, than this, mm, and across it by this cosine.
constexpr double kEndArea = 0.03;
constexpr double kEndFar = 40.0;
constexpr double kEndBefore = 0.25;
constexpr double kEndAcross = 0.9;
// Ends of a straight tube are made parallel if they are so within this, radians.
constexpr double kLevel = 2e-3;
// The skin of a round tube has the section's radius within this share, runs along it within this,
// radians, and about its middle within this, mm.
constexpr double kRound = 0.01;
constexpr double kAlong = 0.02;
constexpr double kOnAxis = 0.5;
constexpr double kVolume = 1e-5;
// A face lies in the plane of the cut within this, mm.
constexpr double kInCut = 1e-6;

gp_Dir ToDir(const Vec3& v) { return {v.x(), v.y(), v.z()}; }

/// What lies within the outline of a flat face.
struct Filled {
  double area = 0.0;
  Vec3 centre = Vec3::Zero();
};

std::optional<Filled> FilledOf(const TopoDS_Face& face, const gp_Pln& plane) {
  const BRepBuilderAPI_MakeFace filled(plane, BRepTools::OuterWire(face), true);
  if (!filled.IsDone()) return std::nullopt;
  GProp_GProps properties;
  BRepGProp::SurfaceProperties(filled.Face(), properties, 1e-9);
  return Filled{std::abs(properties.Mass()), ToVec3(properties.CentreOfMass())};
}

/// The flat face that closes the tube beyond its last ring; nothing if none does.
std::optional<HeadCut> PlainEnd(const TopoDS_Shape& solid, const TubeStep& last) {
  for (TopExp_Explorer e(solid, TopAbs_FACE); e.More(); e.Next()) {
    const TopoDS_Face face = TopoDS::Face(e.Current());
    const GeomLib_IsPlanarSurface planar(BRep_Tool::Surface(face), 1e-4);
    if (!planar.IsPlanar()) continue;
    const gp_Dir d = planar.Plan().Axis().Direction();
    Vec3 normal(d.X(), d.Y(), d.Z());
    if (normal.dot(last.way) < 0.0) normal = -normal;
    if (normal.dot(last.way) < kEndAcross) continue;
    const auto filled = FilledOf(face, planar.Plan());
    if (!filled) continue;
    const Vec3 off = filled->centre - last.ring.centre;
    const double along = off.dot(last.way);
    if (along < -kEndBefore || along > kEndFar ||
        (off - along * last.way).norm() > 0.2 * std::sqrt(last.ring.filled)) {
      continue;
    }
    if (std::abs(filled->area * normal.dot(last.way) - last.ring.filled) <
        kEndArea * last.ring.filled) {
      return HeadCut{filled->centre, normal};
    }
  }
  return std::nullopt;
}

/// The way along the cylinder that a round tube's skin is at its last ring; `way` if it is none.
Vec3 AlongCylinder(const TopoDS_Shape& solid, const TubeStep& last) {
  const double radius = std::sqrt(last.ring.filled / kPi);
  for (TopExp_Explorer e(solid, TopAbs_FACE); e.More(); e.Next()) {
    const BRepAdaptor_Surface surface(TopoDS::Face(e.Current()));
    if (surface.GetType() != GeomAbs_Cylinder) continue;
    const gp_Cylinder cylinder = surface.Cylinder();
    const gp_Dir d = cylinder.Axis().Direction();
    Vec3 axis(d.X(), d.Y(), d.Z());
    if (axis.dot(last.way) < 0.0) axis = -axis;
    const Vec3 off = last.ring.centre - ToVec3(cylinder.Location());
    if (std::abs(cylinder.Radius() - radius) < kRound * radius &&
        axis.cross(last.way).norm() < kAlong && (off - off.dot(axis) * axis).norm() < kOnAxis) {
      return axis;
    }
  }
  return last.way;
}

/// The planes to cut in. Where the tube runs straight they are exactly parallel to the other end.
std::vector<HeadCut> PlanesOf(const std::array<TubeStep, 2>& last, const std::array<Vec3, 2>& along,
                              const std::array<std::optional<HeadCut>, 2>& plain) {
  std::vector<HeadCut> planes;
  for (std::size_t end = 0; end < 2; ++end) {
    if (plain[end]) continue;
    const TubeStep& here = last[end];
    const TubeStep& there = last[1 - end];
    HeadCut plane{here.ring.centre - kSpare * here.way, along[end]};
    const Vec3 chord = (here.ring.centre - there.ring.centre).normalized();
    const Vec3 level = plain[1 - end] ? Vec3(-plain[1 - end]->out) : chord;
    const bool straight = plain[1 - end] || there.way.cross(chord).norm() < kLevel;
    if (straight && along[end] == here.way && level.cross(here.way).norm() < kLevel)
      plane.out = level;
    planes.push_back(plane);
  }
  return planes;
}

TopoDS_Shape HalfSpaceBeyond(const HeadCut& plane) {
  const BRepBuilderAPI_MakeFace face(gp_Pln(ToPnt(plane.at), ToDir(plane.out)));
  return BRepPrimAPI_MakeHalfSpace(face.Face(), ToPnt(plane.at + plane.out)).Solid();
}

std::optional<TopoDS_Shape> OneSolid(const TopoDS_Shape& shape) {
  const std::vector<TopoDS_Shape> solids = SolidsOf(shape);
  if (solids.size() != 1 || !BRepCheck_Analyzer(solids.front()).IsValid()) return std::nullopt;
  return solids.front();
}

Result<BeheadedBody> CutOff(const TopoDS_Shape& solid, const std::vector<HeadCut>& planes,
                            const std::string& what) {
  const TopTools_IndexedMapOfShape faces = FacesOf(solid);
  BeheadedBody body{solid, {}, {}, {}};
  double sum = 0.0;
  for (const HeadCut& plane : planes) {
    const TopoDS_Shape beyond = HalfSpaceBeyond(plane);
    BRepAlgoAPI_Common common(body.middle, beyond);
    BRepAlgoAPI_Cut cut(body.middle, beyond);
    const auto head = common.IsDone() ? OneSolid(common.Shape()) : std::nullopt;
    const auto rest = cut.IsDone() ? OneSolid(cut.Shape()) : std::nullopt;
    if (!head || !rest) {
      return Fail(ErrorKind::job, fmt::format("{}: cut at [{:.1f}, {:.1f}, {:.1f}], where its "
                                              "section becomes that of a tube, it is not two "
                                              "sound bodies",
                                              what, plane.at.x(), plane.at.y(), plane.at.z()));
    }
    TubeHead one{plane, *head, {}};
    const TopTools_IndexedMapOfShape own = FacesOf(*head);
    for (int i = 1; i <= faces.Extent(); ++i) {
      if (own.Contains(faces(i))) one.whole.push_back(i);
    }
    sum += VolumeOf(*head);
    body.heads.push_back(std::move(one));
    body.middle = *rest;
  }
  const TopTools_IndexedMapOfShape left = FacesOf(body.middle);
  for (int i = 1; i <= left.Extent(); ++i) body.faces.push_back(faces.FindIndex(left(i)));
  const double whole = VolumeOf(solid);
  if (std::abs(sum + VolumeOf(body.middle) - whole) > kVolume * whole) {
    return Fail(ErrorKind::computed,
                fmt::format("{}: cut at its ends, its parts do not make the body up", what));
  }
  return body;
}

bool LiesInCut(const TopoDS_Face& face, const HeadCut& cut) {
  const GeomLib_IsPlanarSurface planar(BRep_Tool::Surface(face), kInCut);
  if (!planar.IsPlanar()) return false;
  const gp_Dir d = planar.Plan().Axis().Direction();
  const Vec3 normal(d.X(), d.Y(), d.Z());
  return normal.cross(cut.out).norm() < 1e-9 &&
         std::abs((ToVec3(planar.Plan().Location()) - cut.at).dot(cut.out)) < kInCut;
}

}  // namespace

Result<BeheadedBody> WithoutHeads(const TopoDS_Shape& solid, const std::string& what) {
  return Guarded(what, "looking for what covers its ends", [&]() -> Result<BeheadedBody> {
    const RingFollower follower(solid);
    const auto first = follower.First();
    if (!first) {
      return Fail(ErrorKind::job, fmt::format("{}: no section of it is that of a tube", what));
    }
    TubeStep back = *first;
    back.way = -back.way;
    const std::array<TubeStep, 2> last{follower.Last(back), follower.Last(*first)};
    const std::array<std::optional<HeadCut>, 2> plain{PlainEnd(solid, last[0]),
                                                      PlainEnd(solid, last[1])};
    auto body = CutOff(
        solid,
        PlanesOf(last, {AlongCylinder(solid, last[0]), AlongCylinder(solid, last[1])}, plain),
        what);
    for (const auto& end : plain) {
      if (body && end) body->plain.push_back(*end);
    }
    return body;
  });
}

Result<TopoDS_Shape> ThisSideOf(const TopoDS_Shape& solid, const HeadCut& cut,
                                const std::string& what) {
  return Guarded(what, "cutting it", [&]() -> Result<TopoDS_Shape> {
    BRepAlgoAPI_Cut rest(solid, HalfSpaceBeyond(cut));
    auto left = rest.IsDone() ? OneSolid(rest.Shape()) : std::nullopt;
    if (left) return std::move(*left);
    return Fail(ErrorKind::computed, fmt::format("{}: cut, it is not one sound solid", what));
  });
}

std::optional<TopoDS_Face> CutFaceOf(const TopoDS_Shape& middle, const HeadCut& cut) {
  std::optional<TopoDS_Face> found;
  for (TopExp_Explorer e(middle, TopAbs_FACE); e.More(); e.Next()) {
    const TopoDS_Face face = TopoDS::Face(e.Current());
    if (!LiesInCut(face, cut)) continue;
    if (found) return std::nullopt;
    found = face;
  }
  return found;
}

}  // namespace holeward
