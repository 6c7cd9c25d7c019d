// The hollow solid of a skin: strips to faces, flat ends, sewn together and checked.
#include <algorithm>
#include <cmath>
#include <optional>

#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakePolygon.hxx>
#include <BRepBuilderAPI_MakeWire.hxx>
#include <Geom_BSplineSurface.hxx>
#include <Geom_BezierCurve.hxx>
#include <ShapeFix_Face.hxx>
#include <TColStd_Array1OfInteger.hxx>
#include <TColStd_Array1OfReal.hxx>
#include <TColStd_Array2OfReal.hxx>
#include <TColgp_Array1OfPnt.hxx>
#include <TColgp_Array2OfPnt.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Edge.hxx>
#include <TopoDS_Wire.hxx>
#include <fmt/format.h>
#include <gp_Ax3.hxx>
#include <gp_Cylinder.hxx>
#include <gp_Pln.hxx>

#include "geometry/solid_kernel.h"
#include "geometry/solid_law.h"

namespace holeward {
namespace {

// What a built solid may depart from its law, mm; above the wish more breaks are tried.
constexpr double kMostDeviation = 0.02;
constexpr double kWishedDeviation = 0.002;
constexpr int kFirstIntervals = 16;
constexpr int kMostIntervals = 128;
// Share of the volume by which solid and law may differ for their quadratures' sake; what the
// wall may deviate comes on top.
constexpr double kVolumeShare = 1e-4;
constexpr double kEdge = 1e-7;

using Row = std::vector<Eigen::Vector4d>;

gp_Pnt Place(const Eigen::Vector4d& pole) {
  return {pole[0] / pole[3], pole[1] / pole[3], pole[2] / pole[3]};
}

Handle(Geom_BSplineSurface)
    Surface(int degree_along, const std::vector<double>& nodes, const std::vector<Row>& rows) {
  const int along = static_cast<int>(rows.size());
  const int around = static_cast<int>(rows.front().size());
  TColgp_Array2OfPnt poles(1, along, 1, around);
  TColStd_Array2OfReal weights(1, along, 1, around);
  for (int i = 1; i <= along; ++i) {
    for (int j = 1; j <= around; ++j) {
      const auto& pole = rows[static_cast<std::size_t>(i - 1)][static_cast<std::size_t>(j - 1)];
      poles.SetValue(i, j, Place(pole));
      weights.SetValue(i, j, pole[3]);
    }
  }
  const int breaks = static_cast<int>(nodes.size());
  TColStd_Array1OfReal u_knots(1, breaks);
  TColStd_Array1OfInteger u_times(1, breaks);
  for (int i = 1; i <= breaks; ++i) {
    u_knots.SetValue(i, nodes[static_cast<std::size_t>(i - 1)]);
    u_times.SetValue(i, i == 1 || i == breaks ? degree_along + 1 : degree_along - 1);
  }
  TColStd_Array1OfReal v_knots(1, 2);
  v_knots.SetValue(1, 0.0);
  v_knots.SetValue(2, 1.0);
  TColStd_Array1OfInteger v_times(1, 2);
  v_times.Init(around);
  return new Geom_BSplineSurface(poles, weights, u_knots, v_knots, u_times, v_times, degree_along,
                                 around - 1);
}

// A straight strip of quarter circles of one radius, square to their axis, as the cylinder it is:
// the kernel cuts and joins those many times faster than the same surface as a spline.
std::optional<TopoDS_Face> CylinderFace(const Strip& strip) {
  const Row& first = strip.rows.front();
  const Row& last = strip.rows.back();
  if (strip.rows.size() != 2 || first.size() != 3) return std::nullopt;
  if (std::abs(first[1][3] - std::sqrt(0.5)) > 1e-12) return std::nullopt;
  auto pole = [](const Row& row, std::size_t i) { return ToVec3(Place(row[i])); };
  auto centre = [&](const Row& row) { return Vec3(pole(row, 0) + pole(row, 2) - pole(row, 1)); };
  const Vec3 c = centre(first);
  const Vec3 x = pole(first, 0) - c;
  const Vec3 y = pole(first, 2) - c;
  const Vec3 axis = centre(last) - c;
  const double radius = x.norm();
  constexpr double kSame = 1e-9;
  const bool same = (pole(last, 0) - centre(last) - x).norm() < kSame &&
                    (pole(last, 2) - centre(last) - y).norm() < kSame;
  const bool square = std::abs(x.dot(axis)) < kSame * axis.norm() &&
                      std::abs(y.dot(axis)) < kSame * axis.norm() &&
                      std::abs(x.dot(y)) < kSame * radius && std::abs(y.norm() - radius) < kSame;
  if (!same || !square) return std::nullopt;
  gp_Ax3 axes(ToPnt(c), gp_Dir(axis.x(), axis.y(), axis.z()), gp_Dir(x.x(), x.y(), x.z()));
  if (axis.cross(x).dot(y) < 0.0) axes.YReverse();
  return BRepBuilderAPI_MakeFace(gp_Cylinder(axes, radius), 0.0, 0.5 * kPi, 0.0, axis.norm())
      .Face();
}

// A straight strip of straight rows in one plane, likewise.
std::optional<TopoDS_Face> PlaneFace(const Strip& strip) {
  if (strip.rows.size() != 2 || strip.rows.front().size() != 2) return std::nullopt;
  const gp_Pnt p[] = {Place(strip.rows[0][0]), Place(strip.rows[0][1]), Place(strip.rows[1][1]),
                      Place(strip.rows[1][0])};
  const Vec3 a = ToVec3(p[1]) - ToVec3(p[0]);
  const Vec3 b = ToVec3(p[3]) - ToVec3(p[0]);
  const Vec3 normal = a.cross(b).normalized();
  if (std::abs((ToVec3(p[2]) - ToVec3(p[0])).dot(normal)) > 1e-9) return std::nullopt;
  // Its u runs along a side, so that a rectangle is all of the plane between its bounds.
  const gp_Ax3 axes(p[0], gp_Dir(normal.x(), normal.y(), normal.z()), gp_Dir(a.x(), a.y(), a.z()));
  const TopoDS_Wire round = BRepBuilderAPI_MakePolygon(p[0], p[1], p[2], p[3], true).Wire();
  return BRepBuilderAPI_MakeFace(gp_Pln(axes), round).Face();
}

RawFace StripFace(const Strip& strip, const std::string& name, FaceRole role) {
  if (const auto cylinder = CylinderFace(strip)) return {name, role, *cylinder};
  if (const auto plane = PlaneFace(strip)) return {name, role, *plane};
  const auto surface = Surface(strip.degree_along, strip.nodes, strip.rows);
  return {name, role, BRepBuilderAPI_MakeFace(surface, kEdge).Face()};
}

TopoDS_Edge RowEdge(const Row& row) {
  const int n = static_cast<int>(row.size());
  TColgp_Array1OfPnt poles(1, n);
  TColStd_Array1OfReal weights(1, n);
  for (int i = 1; i <= n; ++i) {
    poles.SetValue(i, Place(row[static_cast<std::size_t>(i - 1)]));
    weights.SetValue(i, row[static_cast<std::size_t>(i - 1)][3]);
  }
  return BRepBuilderAPI_MakeEdge(new Geom_BezierCurve(poles, weights)).Edge();
}

// The edge curves of one side's strips at an end of the part.
std::vector<Row> EndRows(const std::vector<Strip>& strips, int end, int segments) {
  std::vector<Row> rows;
  for (const Strip& strip : strips) {
    if (strip.segment == (end == 0 ? 0 : segments - 1)) {
      rows.push_back(end == 0 ? strip.rows.front() : strip.rows.back());
    }
  }
  return rows;
}

TopoDS_Wire Wire(const std::vector<Row>& rows) {
  BRepBuilderAPI_MakeWire wire;
  for (const Row& row : rows) wire.Add(RowEdge(row));
  return wire.Wire();
}

TopoDS_Face FlatFace(const HollowLaw::Plane& plane, const TopoDS_Wire& outer,
                     const TopoDS_Wire* inner) {
  const gp_Pln pln(ToPnt(plane.origin),
                   gp_Dir(plane.normal.x(), plane.normal.y(), plane.normal.z()));
  BRepBuilderAPI_MakeFace face(pln, outer, true);
  if (inner == nullptr) return face.Face();
  face.Add(TopoDS::Wire(inner->Reversed()));
  ShapeFix_Face fix(face.Face());
  fix.FixOrientation();
  return fix.Face();
}

void AddEnd(std::vector<RawFace>& faces, const HollowLaw& law, const HollowSpec& spec, int end,
            const HollowStrips& strips) {
  const auto e = static_cast<std::size_t>(end);
  const std::vector<Row> outer = EndRows(strips.outer, end, strips.segments);
  const std::vector<Row> inner = EndRows(strips.inner, end, strips.segments);
  const HollowLaw::Plane plane = law.EndPlane(end, false);
  const TopoDS_Wire outside = Wire(outer);
  const TopoDS_Wire inside = Wire(inner);
  if (!spec.closed[e]) {
    faces.push_back({spec.end_names[e], FaceRole::end, FlatFace(plane, outside, &inside)});
    return;
  }
  faces.push_back({spec.end_names[e], FaceRole::end, FlatFace(plane, outside, nullptr)});
  faces.push_back({spec.end_names[e] + " inner", FaceRole::end,
                   FlatFace(law.EndPlane(end, true), inside, nullptr)});
}

// A channel's end: round the outside, across one lip, back inside, across the other.
void AddChannelEnd(std::vector<RawFace>& faces, const HollowLaw& law, const HollowSpec& spec,
                   int end, const HollowStrips& strips) {
  const std::vector<Row> outer = EndRows(strips.outer, end, strips.segments);
  const std::vector<Row> inner = EndRows(strips.inner, end, strips.segments);
  std::vector<Row> round = outer;
  round.push_back({outer.back().back(), inner.back().back()});
  for (auto row = inner.rbegin(); row != inner.rend(); ++row) {
    round.emplace_back(row->rbegin(), row->rend());
  }
  round.push_back({inner.front().front(), outer.front().front()});
  faces.push_back({spec.end_names[static_cast<std::size_t>(end)], FaceRole::end,
                   FlatFace(law.EndPlane(end, false), Wire(round), nullptr)});
}

void AddLips(std::vector<RawFace>& faces, const HollowSpec& spec, const HollowStrips& strips) {
  for (const Strip& outer : strips.outer) {
    for (const Strip& inner : strips.inner) {
      if (outer.segment != inner.segment) continue;
      const bool low = outer.piece == 0 && inner.piece == 0;
      const bool high = outer.piece == strips.outer.back().piece && inner.piece == outer.piece;
      if (!low && !high) continue;
      std::vector<Row> rows;
      for (std::size_t i = 0; i < outer.rows.size(); ++i) {
        rows.push_back(low ? Row{outer.rows[i].front(), inner.rows[i].front()}
                           : Row{outer.rows[i].back(), inner.rows[i].back()});
      }
      const auto surface = Surface(outer.degree_along, outer.nodes, rows);
      std::string name = spec.lip_names[low ? 0 : 1];
      if (strips.segments > 1) name += fmt::format(" {}", outer.segment + 1);
      faces.push_back({name, FaceRole::lip, BRepBuilderAPI_MakeFace(surface, kEdge).Face()});
    }
  }
}

std::vector<RawFace> AllFaces(const Skin& skin, const HollowLaw& law, const HollowSpec& spec,
                              const HollowStrips& strips) {
  std::vector<RawFace> faces;
  for (const auto* side : {&strips.outer, &strips.inner}) {
    for (const Strip& strip : *side) {
      std::string name = spec.piece_names[static_cast<std::size_t>(strip.piece)];
      if (strips.segments > 1) name += fmt::format(" {}", strip.segment + 1);
      if (strip.inner) name += " inner";
      faces.push_back(StripFace(strip, name, strip.inner ? FaceRole::inner : FaceRole::outer));
    }
  }
  for (int end = 0; end < 2; ++end) {
    if (skin.closed()) {
      AddEnd(faces, law, spec, end, strips);
    } else {
      AddChannelEnd(faces, law, spec, end, strips);
    }
  }
  if (!skin.closed()) AddLips(faces, spec, strips);
  return faces;
}

struct Fit {
  HollowStrips strips;
  double deviation = 0.0;
};

// Strips as fine as it takes to come near the law: more breaks, and a higher degree around.
Result<Fit> Fitted(const HollowLaw& law, const HollowSpec& spec) {
  Fit best;
  best.deviation = 1e300;
  for (HollowLaw::Fineness f{kFirstIntervals, false}; f.intervals <= kMostIntervals;) {
    auto strips = law.Strips(f);
    if (!strips) {
      return Fail(strips.error().kind, spec.what + ": " + strips.error().message);
    }
    const double wall = std::max(strips->wall_greatest - spec.wall, spec.wall - strips->wall_least);
    const double deviation = strips->outer_deviation + wall;
    const bool better = deviation < 0.7 * best.deviation;
    if (deviation < best.deviation) best = {std::move(*strips), deviation};
    if (best.deviation <= kWishedDeviation || (!better && f.raised)) break;
    // What more breaks do not better, lies around the section.
    if (!better) {
      f.raised = true;
    } else {
      f.intervals *= 2;
    }
  }
  if (!(best.deviation <= kMostDeviation)) {
    return Fail(ErrorKind::computed,
                fmt::format("{}: the solid would depart from its law by {:.3f} mm, more than "
                            "{:g} mm; its sizes change too quickly for this wall",
                            spec.what, best.deviation, kMostDeviation));
  }
  return best;
}

// The same for a channel, whose law gives its volume only roughly.
constexpr double kSweepShare = 0.03;

std::optional<Error> VolumeFault(const NamedSolid& solid, const Skin& skin, const HollowLaw& law,
                                 const HollowSpec& spec, double deviation) {
  const double by_law = skin.closed() ? law.VolumeByLaw(8) : law.VolumeBySweep(8);
  const double share = (skin.closed() ? kVolumeShare : kSweepShare) + 2.0 * deviation / spec.wall;
  if (std::abs(solid.volume() - by_law) <= share * by_law) return std::nullopt;
  return Error{ErrorKind::computed,
               fmt::format("{}: the solid holds {:.1f} mm3 of metal, its law {:.1f} mm3", spec.what,
                           solid.volume(), by_law)};
}

}  // namespace

Result<NamedSolid> NamedSolid::BuildHollow(const Skin& skin, const HollowSpec& spec) {
  return Guarded(spec.what, "building the solid", [&]() -> Result<NamedSolid> {
    const auto law = HollowLaw::Make(skin, spec.wall, spec.closed);
    if (!law) return Fail(law.error().kind, spec.what + ": " + law.error().message);
    const auto fit = Fitted(*law, spec);
    if (!fit) return tl::unexpected<Error>(fit.error());
    auto solid = SolidMaker::Sew(spec.what, AllFaces(skin, *law, spec, fit->strips));
    if (!solid) return solid;
    if (auto fault = VolumeFault(*solid, skin, *law, spec, fit->deviation))
      return tl::unexpected<Error>(*fault);
    SolidMaker::SetWall(*solid, fit->deviation, fit->strips.wall_least, fit->strips.wall_greatest);
    return solid;
  });
}

}  // namespace holeward
