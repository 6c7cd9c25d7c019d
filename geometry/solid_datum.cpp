#include "geometry/solid_datum.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include <BRepAdaptor_Curve.hxx>
#include <BRepBuilderAPI_MakeVertex.hxx>
#include <BRepExtrema_DistShapeShape.hxx>
#include <BRep_Tool.hxx>
#include <GeomLib_IsPlanarSurface.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Edge.hxx>
#include <TopoDS_Face.hxx>
#include <fmt/format.h>
#include <gp_Pln.hxx>

#include "geometry/datum.h"
#include "geometry/solid_cylinders.h"
#include "geometry/solid_kernel.h"

namespace holeward {
namespace {

// A face is flat, planes and axes are one, within this, mm.
constexpr double kSame = 1e-3;
// What is off by less is not off, mm.
constexpr double kNothing = 1e-6;
// Places looked at along an edge, and round each piece of a section.
constexpr int kAlong = 32;
constexpr int kRound = 8;
// Between places looked at along an axis, mm, and how many at most.
constexpr double kStep = 0.5;
constexpr int kMostSteps = 2000;

std::string Place(const Vec3& p) {
  return fmt::format("[{:.3f}, {:.3f}, {:.3f}]", p.x(), p.y(), p.z());
}

tl::unexpected<Error> Refused(const std::string& why) { return Fail(ErrorKind::job, why); }

/// How far a place lies before (-) or behind (+) the plane of the section at u, mm.
double Past(const Skin& skin, double u, const Vec3& p) {
  const SectionFrame frame = skin.FrameAt(u);
  return (p - frame.centre).dot(frame.tangent);
}

/// The section whose plane holds a place, the nearest of them; nothing beyond the ends.
std::optional<double> SectionThrough(const Skin& skin, const Vec3& p) {
  const int steps = 16 * skin.span_count();
  std::optional<double> best;
  double nearest = 1e300;
  const auto offer = [&](double u) {
    const double off = (p - skin.FrameAt(u).centre).norm();
    if (off >= nearest) return;
    nearest = off;
    best = u;
  };
  for (const double end : {0.0, skin.u_end()}) {
    if (std::abs(Past(skin, end, p)) < kNothing) offer(end);
  }
  for (int i = 0; i < steps; ++i) {
    double low = skin.u_end() * i / steps;
    double high = skin.u_end() * (i + 1) / steps;
    if ((Past(skin, low, p) > 0.0) == (Past(skin, high, p) > 0.0)) continue;
    const bool before = Past(skin, low, p) > 0.0;
    for (int k = 0; k < 60; ++k) {
      const double middle = 0.5 * (low + high);
      ((Past(skin, middle, p) > 0.0) == before ? low : high) = middle;
    }
    offer(0.5 * (low + high));
  }
  return best;
}

double OffOf(double off) { return off < kNothing ? 0.0 : off; }

NamedPlace SectionAt(double u, double off) {
  return {"", NamedPlace::Form::section, {u, 0.0}, OffOf(off)};
}

double DistanceOf(const TopoDS_Shape& shape, const Vec3& at) {
  BRepExtrema_DistShapeShape distance(BRepBuilderAPI_MakeVertex(ToPnt(at)).Vertex(), shape);
  return distance.IsDone() ? distance.Value() : 1e300;
}

/// The greatest distance of the section's outline from a plane.
double OffPlane(const Skin& skin, double u, const gp_Pln& plane) {
  double most = 0.0;
  for (int i = 0; i <= kRound * skin.piece_count(); ++i) {
    const Vec3 p = skin.At(u, static_cast<double>(i) / kRound).position;
    most = std::max(most, plane.Distance(ToPnt(p)));
  }
  return most;
}

/// Edges of a solid that a person can see: not seams, nothing that has no length.
std::vector<TopoDS_Edge> EdgesOf(const TopoDS_Shape& solid) {
  TopTools_IndexedMapOfShape all;
  TopTools_IndexedMapOfShape seams;
  for (TopExp_Explorer f(solid, TopAbs_FACE); f.More(); f.Next()) {
    for (TopExp_Explorer e(f.Current(), TopAbs_EDGE); e.More(); e.Next()) {
      const TopoDS_Edge& edge = TopoDS::Edge(e.Current());
      if (BRep_Tool::Degenerated(edge)) continue;
      (BRep_Tool::IsClosed(edge, TopoDS::Face(f.Current())) ? seams : all).Add(edge);
    }
  }
  std::vector<TopoDS_Edge> edges;
  for (int i = 1; i <= all.Extent(); ++i) {
    if (!seams.Contains(all(i))) edges.push_back(TopoDS::Edge(all(i)));
  }
  return edges;
}

std::vector<Vec3> PlacesOf(const TopoDS_Edge& edge) {
  const BRepAdaptor_Curve curve(edge);
  std::vector<Vec3> places;
  for (int i = 0; i <= kAlong; ++i) {
    const double t = static_cast<double>(i) / kAlong;
    places.push_back(
        ToVec3(curve.Value((1.0 - t) * curve.FirstParameter() + t * curve.LastParameter())));
  }
  return places;
}

/// An edge by its places, seen as a section.
std::optional<NamedPlace> AsSection(const Skin& skin, const std::vector<Vec3>& places) {
  const auto u = SectionThrough(skin, places[places.size() / 2]);
  if (!u) return std::nullopt;
  double off = 0.0;
  for (const Vec3& p : places) off = std::max(off, std::abs(Past(skin, *u, p)));
  if (off > kDatumOff) return std::nullopt;
  return SectionAt(*u, off);
}

/// An edge by its places, seen as a line along the part.
std::optional<NamedPlace> AsLine(const Skin& skin, const std::vector<Vec3>& places,
                                 const std::vector<SkinPlace>& on) {
  const SkinPlace& middle = on[on.size() / 2];
  const SkinLine line = LineThrough(skin, middle);
  double off = 0.0;
  for (std::size_t i = 0; i < places.size(); ++i) {
    const Vec3 p = skin.At(on[i].u, VOfLine(skin, line, on[i].u)).position;
    off = std::max(off, (p - places[i]).norm());
  }
  if (off > kDatumOff) return std::nullopt;
  return NamedPlace{"", NamedPlace::Form::line, middle, OffOf(off)};
}

/// True if the place lies on the outer side of the skin, or beyond its ends.
bool IsOutside(const Skin& skin, const Vec3& p) {
  const auto hit = skin.Project(p);
  if (!hit || hit->place.u < kNothing || hit->place.u > skin.u_end() - kNothing) return true;
  return (p - hit->position).dot(skin.At(hit->place).normal) > 0.0;
}

/// A stretch of a line.
struct Stretch {
  Vec3 from = Vec3::Zero();
  Vec3 to = Vec3::Zero();
  [[nodiscard]] Vec3 At(double t) const { return from + t * (to - from); }
};

/// Where a stretch goes through the skin.
std::vector<SkinPlace> Crossings(const Skin& skin, const Stretch& stretch) {
  const double length = (stretch.to - stretch.from).norm();
  const int steps = std::clamp(static_cast<int>(std::ceil(length / kStep)), 1, kMostSteps);
  std::vector<SkinPlace> places;
  bool outside = IsOutside(skin, stretch.from);
  for (int i = 1; i <= steps; ++i) {
    double high = static_cast<double>(i) / steps;
    if (IsOutside(skin, stretch.At(high)) == outside) continue;
    double low = static_cast<double>(i - 1) / steps;
    for (int k = 0; k < 50; ++k) {
      const double middle = 0.5 * (low + high);
      (IsOutside(skin, stretch.At(middle)) == outside ? low : high) = middle;
    }
    outside = !outside;
    // Elsewhere it goes out through the opening of an end.
    const auto hit = skin.Project(stretch.At(high));
    if (hit && hit->distance < kSame) places.push_back(hit->place);
  }
  return places;
}

/// The stretch that all cylinders of a solid whose axis passes `at` take of it, and 0.5 mm more at
/// its ends. Errors (job): there is none, or axes that are not one.
Result<Stretch> AxisAt(const std::vector<SolidCylinder>& cylinders, const Vec3& at) {
  std::optional<Stretch> found;
  for (const SolidCylinder& one : cylinders) {
    const Vec3 way = (one.to - one.from).normalized();
    const double along = (at - one.from).dot(way);
    const double beyond = std::max({0.0, -along, along - (one.to - one.from).norm()});
    if (beyond > kFoundWithin || (at - one.from - along * way).norm() > kFoundWithin) continue;
    if (!found) {
      found = Stretch{one.from - kFoundWithin * way, one.to + kFoundWithin * way};
      continue;
    }
    const Vec3 known = (found->to - found->from).normalized();
    if ((one.from - found->from).cross(known).norm() > kSame ||
        (one.to - found->from).cross(known).norm() > kSame) {
      return Refused(fmt::format("the axes of several cylinders pass within {} mm of {}",
                                 kFoundWithin, Place(at)));
    }
    for (const Vec3& end : {Vec3(one.from), Vec3(one.to)}) {
      if ((end - found->from).dot(known) < kFoundWithin) found->from = end - kFoundWithin * known;
      if ((end - found->to).dot(known) > -kFoundWithin) found->to = end + kFoundWithin * known;
    }
  }
  if (found) return *found;
  return Refused(
      fmt::format("no axis of a cylinder passes within {} mm of {}", kFoundWithin, Place(at)));
}

Result<NamedPlace> AxisOnSkin(const Skin& skin, const Stretch& axis) {
  const auto crossings = Crossings(skin, axis);
  if (crossings.size() == 1) return NamedPlace{"", NamedPlace::Form::place, crossings[0], 0.0};
  const Vec3 way = (axis.to - axis.from).normalized();
  const auto u = SectionThrough(skin, axis.At(0.5));
  if (!u) return Refused("it passes beyond the ends of the part");
  const double off =
      std::max(std::abs(Past(skin, *u, axis.from)), std::abs(Past(skin, *u, axis.to)));
  if (off <= kDatumOff) return SectionAt(*u, off);
  const double lean = std::asin(std::min(1.0, std::abs(way.dot(skin.FrameAt(*u).tangent))));
  return Refused(fmt::format(
      "the axis goes through the skin {} and runs {:.1f} degrees off square to the centre line: it "
      "must go through once, or be square to it within {} mm",
      crossings.empty() ? "nowhere" : fmt::format("{} times", crossings.size()), lean / kDegree,
      kDatumOff));
}

}  // namespace

Result<NamedPlace> PlaceDatum(const Skin& skin, const Vec3& at) {
  const auto hit = skin.Project(at);
  if (hit && hit->distance <= kFoundWithin) {
    return NamedPlace{"", NamedPlace::Form::place, hit->place, 0.0};
  }
  return Refused(
      fmt::format("{} lies {:.2f} mm from the skin of the part; it must lie on it within "
                  "{} mm",
                  Place(at), hit ? hit->distance : 0.0, kFoundWithin));
}

Result<NamedPlace> PlaneDatum(const TopoDS_Shape& solid, const Skin& skin, const Vec3& at) {
  return Guarded("the solid", "looking for a flat face", [&]() -> Result<NamedPlace> {
    std::optional<gp_Pln> found;
    for (TopExp_Explorer e(solid, TopAbs_FACE); e.More(); e.Next()) {
      const GeomLib_IsPlanarSurface flat(BRep_Tool::Surface(TopoDS::Face(e.Current())), kSame);
      if (!flat.IsPlanar() || flat.Plan().Distance(ToPnt(at)) > kFoundWithin) continue;
      if (DistanceOf(e.Current(), at) > kFoundWithin) continue;
      const gp_Pln plane = flat.Plan();
      if (found && (!found->Axis().IsParallel(plane.Axis(), 1e-6) ||
                    found->Distance(plane.Location()) > kSame)) {
        return Refused(
            fmt::format("several flat faces pass within {} mm of {}; give a place "
                        "farther inside one of them",
                        kFoundWithin, Place(at)));
      }
      found = plane;
    }
    if (!found) {
      return Refused(
          fmt::format("no flat face passes within {} mm of {}", kFoundWithin, Place(at)));
    }
    const Vec3 normal = ToVec3(gp_Pnt(found->Axis().Direction().XYZ()));
    const Vec3 foot = at - (at - ToVec3(found->Location())).dot(normal) * normal;
    const auto u = SectionThrough(skin, foot);
    if (!u) return Refused("its plane meets the centre line beyond the ends of the part");
    // The plane of a face a little out of square holds another section than the place does.
    const SectionFrame frame = skin.FrameAt(*u);
    const double square = std::abs(normal.dot(frame.tangent));
    const double off = OffPlane(skin, *u, *found);
    if (off <= kDatumOff) return SectionAt(*u, off);
    return Refused(
        fmt::format("the face leans {:.2f} degrees from square to the centre line, "
                    "{:.2f} mm over the section; a reading along the part starts from "
                    "one that is square within {} mm",
                    std::acos(std::min(1.0, square)) / kDegree, off, kDatumOff));
  });
}

Result<NamedPlace> EdgeDatum(const TopoDS_Shape& solid, const Skin& skin, const Vec3& at) {
  return Guarded("the solid", "looking for an edge", [&]() -> Result<NamedPlace> {
    std::vector<TopoDS_Edge> found;
    for (const TopoDS_Edge& edge : EdgesOf(solid)) {
      if (DistanceOf(edge, at) <= kFoundWithin) found.push_back(edge);
    }
    if (found.size() != 1) {
      return Refused(found.empty()
                         ? fmt::format("no edge passes within {} mm of {}", kFoundWithin, Place(at))
                         : fmt::format("{} edges pass within {} mm of {}; give a place farther "
                                       "along one of them",
                                       found.size(), kFoundWithin, Place(at)));
    }
    const std::vector<Vec3> places = PlacesOf(found.front());
    std::vector<SkinPlace> on;
    double off = 0.0;
    for (const Vec3& p : places) {
      const auto hit = skin.Project(p);
      off = std::max(off, hit ? hit->distance : 1e300);
      on.push_back(hit ? hit->place : SkinPlace{});
    }
    if (off > kDatumOff) {
      return Refused(
          fmt::format("the edge leaves the skin of the part by {:.2f} mm; it must lie on "
                      "it within {} mm",
                      off, kDatumOff));
    }
    if (const auto section = AsSection(skin, places)) return *section;
    if (const auto line = AsLine(skin, places, on)) return *line;
    return Refused(
        fmt::format("the edge runs neither round a section nor along the part within {} "
                    "mm",
                    kDatumOff));
  });
}

Result<NamedPlace> AxisDatum(const TopoDS_Shape& solid, const Skin& skin, const Vec3& at) {
  const auto cylinders = CylindersOf(solid);
  if (!cylinders) return tl::unexpected(cylinders.error());
  const auto axis = AxisAt(*cylinders, at);
  if (!axis) return tl::unexpected(axis.error());
  return AxisOnSkin(skin, *axis);
}

}  // namespace holeward
