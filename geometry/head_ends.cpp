#include "geometry/head_ends.h"

#include <algorithm>
#include <cmath>

#include <BRepAdaptor_Surface.hxx>
#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakeVertex.hxx>
#include <BRepBuilderAPI_MakeWire.hxx>
#include <BRepExtrema_DistShapeShape.hxx>
#include <BRepGProp.hxx>
#include <BRepTools.hxx>
#include <BRep_Builder.hxx>
#include <BRep_Tool.hxx>
#include <GProp_GProps.hxx>
#include <GeomLib_IsPlanarSurface.hxx>
#include <Precision.hxx>
#include <ShapeFix_Face.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Compound.hxx>
#include <TopoDS_Wire.hxx>
#include <fmt/format.h>
#include <gp_Ax2.hxx>
#include <gp_Circ.hxx>
#include <gp_Cylinder.hxx>
#include <gp_Pln.hxx>

#include "geometry/face_samples.h"
#include "geometry/outline_rays.h"
#include "geometry/shape_parts.h"
#include "geometry/solid_cylinders.h"
#include "geometry/solid_joined.h"
#include "geometry/solid_kernel.h"
#include "geometry/tube_of_solid.h"

namespace holeward {
namespace {

// An eye lies across the tube by this sine.
constexpr double kAcross = 0.3;
// A rim looks out of the tube by this cosine; what it lies off the ring where the tube was cut is
// no more than this much, mm, and this share of the way to it.
constexpr double kLooksOut = 0.98;
constexpr double kRimOff = 0.5;
constexpr double kRimTaper = 0.2;
// Rims in one plane, mm and radians.
constexpr double kOnePlane = 1e-3;
constexpr double kOneWay = 1e-4;
// A face departs from a plane by no more, mm.
constexpr double kFlat = 1e-4;
// The outline of a cut, whose plane is but nearly square to the tube, is one of lines and arcs
// within this, mm: the places to begin with.
constexpr double kRough = 0.02;
// Middles of a face by its area and by its outline, mm.
constexpr double kSameMiddle = 5.0;
// Steps in which sections are followed on, mm.
constexpr double kStep = 3.0;
// Surfaces without an end are carried on so far beyond it, mm.
constexpr double kBeyond = 10.0;
// The opening of the rings that stand for ends, as a share of their outline.
constexpr double kOpening = 0.8;
// Corners of less radius are sharp, mm.
constexpr double kSharp = 1e-9;

tl::unexpected<Error> Refused(const std::string& what, const Vec3& at) {
  return Fail(ErrorKind::job,
              fmt::format("{}: under what covers its end, from [{:.1f}, {:.1f}, {:.1f}] on, its "
                          "section cannot be carried on; give that as a body of its own",
                          what, at.x(), at.y(), at.z()));
}

/// A flat rim of the tube that is seen in a head.
struct Rim {
  HeadCut plane;
  double area = 0.0;
};

std::vector<Rim> RimsOf(const TopoDS_Face& cut_face, const TubeHead& head) {
  std::vector<Rim> rims;
  for (TopExp_Explorer e(head.shape, TopAbs_FACE); e.More(); e.Next()) {
    const TopoDS_Face face = TopoDS::Face(e.Current());
    const GeomLib_IsPlanarSurface planar(BRep_Tool::Surface(face), kFlat);
    if (!planar.IsPlanar()) continue;
    const BRepAdaptor_Surface surface(face);
    const gp_Ax3 axes =
        surface.GetType() == GeomAbs_Plane ? surface.Plane().Position() : planar.Plan().Position();
    const gp_Dir d = axes.Direction();
    Vec3 normal(d.X(), d.Y(), d.Z());
    if (!axes.Direct()) normal = -normal;
    if (face.Orientation() == TopAbs_REVERSED) normal = -normal;
    if (normal.dot(head.cut.out) < kLooksOut) continue;
    const Vec3 at = ToVec3(axes.Location());
    bool on_ring = true;
    for (const Vec3& place : SamplesOf(face)) {
      const double along = (place - head.cut.at).dot(head.cut.out);
      BRepBuilderAPI_MakeVertex vertex(ToPnt(place - along * head.cut.out));
      const BRepExtrema_DistShapeShape apart(vertex.Vertex(), cut_face);
      on_ring = on_ring && apart.IsDone() && apart.Value() < kRimOff + kRimTaper * along;
      if (!on_ring) break;
    }
    if (!on_ring) continue;
    const double area = AreaOf(face);
    const auto same = std::find_if(rims.begin(), rims.end(), [&](const Rim& rim) {
      return rim.plane.out.cross(normal).norm() < kOneWay &&
             std::abs((at - rim.plane.at).dot(normal)) < kOnePlane;
    });
    if (same == rims.end()) {
      rims.push_back({{at, normal}, area});
    } else {
      same->area += area;
    }
  }
  return rims;
}

double Along(const HeadCut& cut, const Vec3& place) { return (place - cut.at).dot(cut.out); }

/// How far out the middle of the cut's tube meets a plane.
double FarOut(const HeadCut& cut, const HeadCut& plane) {
  return (plane.at - cut.at).dot(plane.out) / cut.out.dot(plane.out);
}

/// The face on its own surface, as far as that goes.
TopoDS_Face Untrimmed(const TopoDS_Face& face, double reach) {
  const Handle(Geom_Surface) surface = BRep_Tool::Surface(face);
  double u0 = 0.0;
  double u1 = 0.0;
  double v0 = 0.0;
  double v1 = 0.0;
  BRepTools::UVBounds(face, u0, u1, v0, v1);
  const GeomAbs_SurfaceType type = BRepAdaptor_Surface(face).GetType();
  if (type == GeomAbs_Plane) {
    u0 -= reach;
    u1 += reach;
  }
  if (type == GeomAbs_Plane || type == GeomAbs_Cylinder || type == GeomAbs_Cone ||
      type == GeomAbs_SurfaceOfExtrusion) {
    v0 -= reach;
    v1 += reach;
  } else {
    surface->Bounds(u0, u1, v0, v1);
  }
  const BRepBuilderAPI_MakeFace made(surface, u0, u1, v0, v1, Precision::Confusion());
  if (!made.IsDone()) return face;
  return TopoDS::Face(made.Face().Oriented(face.Orientation()));
}

/// The wire of an outline, shrunk about its centre.
TopoDS_Wire WireOf(const PlaneOutline& outline, double share) {
  const std::size_t n = outline.vertices.size();
  const auto corner = [&](std::size_t k) {
    return Vec3(outline.centre + share * (outline.vertices[k % n] - outline.centre));
  };
  BRepBuilderAPI_MakeWire wire;
  std::vector<std::array<Vec3, 2>> tangent(n);  // where the corner's arc begins and ends
  for (std::size_t k = 0; k < n; ++k) {
    const Vec3 back = (corner(k + n - 1) - corner(k)).normalized();
    const Vec3 on = (corner(k + 1) - corner(k)).normalized();
    const double half = 0.5 * std::acos(std::clamp(back.dot(on), -1.0, 1.0));
    const double set = share * outline.radii[k] / std::tan(half);
    tangent[k] = {Vec3(corner(k) + set * back), Vec3(corner(k) + set * on)};
  }
  for (std::size_t k = 0; k < n; ++k) {
    const double radius = share * outline.radii[k];
    if (radius > kSharp) {
      const Vec3 back = (tangent[k][0] - corner(k)).normalized();
      const Vec3 on = (tangent[k][1] - corner(k)).normalized();
      const Vec3 in = (back + on).normalized();
      const double half = 0.5 * std::acos(std::clamp(back.dot(on), -1.0, 1.0));
      const Vec3 centre = corner(k) + radius / std::sin(half) * in;
      const Vec3 from = tangent[k][0] - centre;
      const Vec3 normal = from.cross(tangent[k][1] - centre).normalized();
      const gp_Circ circle(gp_Ax2(ToPnt(centre), gp_Dir(normal.x(), normal.y(), normal.z()),
                                  gp_Dir(from.x(), from.y(), from.z())),
                           radius);
      wire.Add(BRepBuilderAPI_MakeEdge(circle, 0.0, kPi - 2.0 * half).Edge());
    }
    wire.Add(BRepBuilderAPI_MakeEdge(ToPnt(tangent[k][1]), ToPnt(tangent[(k + 1) % n][0])).Edge());
  }
  return wire.Wire();
}

/// A ring that stands for an open end.
TopoDS_Face RingOf(const TopoDS_Wire& outer, const TopoDS_Wire& inner, const HeadCut& plane) {
  const gp_Pln where(ToPnt(plane.at), gp_Dir(plane.out.x(), plane.out.y(), plane.out.z()));
  BRepBuilderAPI_MakeFace face(where, outer, true);
  TopoDS_Face made = face.Face();
  BRepBuilderAPI_MakeFace with_hole(made, inner);
  ShapeFix_Face fix(with_hole.Face());
  fix.FixOrientation();
  made = fix.Face();
  // It looks out.
  const BRepAdaptor_Surface surface(made);
  const gp_Dir d = surface.Plane().Axis().Direction();
  const bool along = Vec3(d.X(), d.Y(), d.Z()).dot(plane.out) > 0.0;
  const bool reversed = made.Orientation() == TopAbs_REVERSED;
  return along != reversed ? made : TopoDS::Face(made.Reversed());
}

TopoDS_Face RoundRing(const TubeEnd& cut, const Vec3& centre, const HeadCut& plane) {
  const auto wire = [&](double radius) {
    const gp_Circ circle(gp_Ax2(ToPnt(centre), gp_Dir(plane.out.x(), plane.out.y(), plane.out.z())),
                         radius);
    return BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(circle).Edge()).Wire();
  };
  return RingOf(wire(cut.radius), wire(kOpening * cut.radius), plane);
}

/// The outside of a round tube from where it was cut to `centre`.
TopoDS_Face RoundStretch(const TubeEnd& cut, const Vec3& centre) {
  const Vec3 way = centre - cut.centre;
  const gp_Cylinder cylinder(gp_Ax3(ToPnt(cut.centre), gp_Dir(way.x(), way.y(), way.z())),
                             cut.radius);
  return BRepBuilderAPI_MakeFace(cylinder, 0.0, 2.0 * kPi, 0.0, way.norm()).Face();
}

/// Puts faces together.
class FaceSet {
 public:
  FaceSet() { builder_.MakeCompound(compound_); }
  void Add(const TopoDS_Shape& face) { builder_.Add(compound_, face); }
  [[nodiscard]] const TopoDS_Compound& shape() const { return compound_; }

 private:
  BRep_Builder builder_;
  TopoDS_Compound compound_;
};

std::optional<HeadEnd> EndCutIn(const TopoDS_Shape& middle, const TopoDS_Face& face,
                                const std::vector<HeadEnd>& ends) {
  for (const HeadEnd& end : ends) {
    const auto cut = CutFaceOf(middle, end.cut);
    if (cut && cut->IsSame(face)) return end;
  }
  return std::nullopt;
}

bool IsFlat(const TopoDS_Face& face) {
  return GeomLib_IsPlanarSurface(BRep_Tool::Surface(face), kFlat).IsPlanar();
}

/// True for a plain end.
bool IsOneOf(const TopoDS_Face& face, const std::vector<HeadCut>& plain) {
  GProp_GProps properties;
  BRepGProp::LinearProperties(BRepTools::OuterWire(face), properties);
  const Vec3 centre = ToVec3(properties.CentreOfMass());
  return std::any_of(plain.begin(), plain.end(), [&](const HeadCut& end) {
    const Vec3 off = centre - end.at;
    return std::abs(off.dot(end.out)) < kOnePlane && off.norm() < kSameMiddle;
  });
}

/// The faces of a tube, those at its cuts carried on.
TopoDS_Shape SkinCarriedOn(const TopoDS_Shape& middle, const std::vector<HeadEnd>& ends) {
  TopTools_IndexedMapOfShape at_cut;  // edges
  double reach = kBeyond;
  for (const HeadEnd& end : ends) {
    if (const auto cut = CutFaceOf(middle, end.cut)) TopExp::MapShapes(*cut, TopAbs_EDGE, at_cut);
    reach = std::max(reach, kBeyond + FarOut(end.cut, end.end));
  }
  FaceSet set;
  for (TopExp_Explorer e(middle, TopAbs_FACE); e.More(); e.Next()) {
    const TopoDS_Face face = TopoDS::Face(e.Current());
    if (EndCutIn(middle, face, ends)) continue;
    bool carried = false;
    for (TopExp_Explorer own(face, TopAbs_EDGE); own.More() && !carried; own.Next()) {
      carried = at_cut.Contains(own.Current());
    }
    set.Add(carried ? Untrimmed(face, reach) : face);
  }
  return set.shape();
}

/// The section where a tube ends, followed on from where it was cut.
std::optional<PlaneOutline> FollowedOn(OutlineRays& rays, const TubeEnd& cut, const HeadEnd& end) {
  PlaneOutline here{CentroidOf(cut.vertices), end.cut.out, cut.vertices, cut.corner_radii};
  const double far = FarOut(end.cut, end.end);
  const int steps = std::max(1, static_cast<int>(std::ceil(far / kStep)));
  for (int i = 1; i <= steps; ++i) {
    const bool last = i == steps;
    const Vec3 normal = last ? end.end.out : end.cut.out;
    Vec3 to = here.centre + far / steps * end.cut.out;
    if (last) to += (end.end.at - to).dot(normal) / end.cut.out.dot(normal) * end.cut.out;
    auto next = rays.Near(here.MovedTo(to, normal));
    if (!next) return std::nullopt;
    next->normal = normal;
    here = std::move(*next);
  }
  return here;
}

}  // namespace

Result<std::optional<HeadEye>> EyeOf(const TubeHead& head) {
  const auto cylinders = CylindersOf(head.shape);
  if (!cylinders) return tl::unexpected(cylinders.error());
  std::optional<HeadEye> found;
  for (const SolidCylinder& one : *cylinders) {
    const Vec3 along = one.to - one.from;
    if (!one.outward || along.norm() < 1e-3) continue;
    if (std::abs(along.normalized().dot(head.cut.out)) > kAcross) continue;
    if (found && one.diameter <= found->diameter) continue;
    found = HeadEye{0.5 * (one.from + one.to), along.normalized(), one.diameter, along.norm()};
  }
  return found;
}

HeadCut EndUnder(const TopoDS_Shape& middle, const TubeHead& head, const HeadEye& eye) {
  const HeadCut at_eye{eye.centre, head.cut.out};
  const auto cut = CutFaceOf(middle, head.cut);
  if (!cut) return at_eye;
  const std::vector<Rim> rims = RimsOf(*cut, head);
  const auto largest = std::max_element(rims.begin(), rims.end(),
                                        [](const Rim& a, const Rim& b) { return a.area < b.area; });
  if (largest == rims.end()) return at_eye;
  const HeadCut& rim = largest->plane;
  return (eye.centre - rim.at).dot(rim.out) > kOnePlane ? at_eye : rim;
}

Result<CarriedOn> CarriedOnTo(const TopoDS_Shape& middle, const std::vector<HeadEnd>& ends,
                              const std::vector<HeadCut>& plain, const std::string& what) {
  const auto joined = WithFacesJoined(middle, what);
  if (!joined) return tl::unexpected(joined.error());
  return Guarded(what, "carrying its faces on", [&]() -> Result<CarriedOn> {
    CarriedOn carried;
    carried.body = SkinCarriedOn(middle, ends);
    OutlineRays rays(carried.body);
    FaceSet set;
    for (TopExp_Explorer e(*joined, TopAbs_FACE); e.More(); e.Next()) {
      const TopoDS_Face face = TopoDS::Face(e.Current());
      const auto end = EndCutIn(*joined, face, ends);
      if (!end) {
        if (!IsFlat(face) || IsOneOf(face, plain)) set.Add(face);
        continue;
      }
      const auto cut = OutlineOfFace(face, what, kRough);
      if (!cut) return tl::unexpected(cut.error());
      if (Along(end->cut, end->end.at) < 0.0) return Refused(what, cut->centre);
      if (cut->round) {
        const Vec3 centre = cut->centre + FarOut(end->cut, end->end) * end->cut.out;
        set.Add(RoundRing(*cut, centre, {centre, end->cut.out}));
        if ((centre - cut->centre).norm() > kOnePlane) set.Add(RoundStretch(*cut, centre));
        continue;
      }
      const auto outline = FollowedOn(rays, *cut, *end);
      if (!outline) return Refused(what, cut->centre);
      set.Add(RingOf(WireOf(*outline, 1.0), WireOf(*outline, kOpening), end->end));
    }
    carried.ends = set.shape();
    return carried;
  });
}

}  // namespace holeward
