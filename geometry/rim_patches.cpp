#include "geometry/rim_patches.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include <BRepAdaptor_Curve.hxx>
#include <BRepAdaptor_Surface.hxx>
#include <BRepTools.hxx>
#include <BRepTools_WireExplorer.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Wire.hxx>
#include <gp_Circ.hxx>
#include <gp_Pln.hxx>

#include "geometry/arc_patches.h"
#include "geometry/solid_kernel.h"

namespace holeward {
namespace {

// Places of an edge and of its fellow that should be one are within this, mm.
constexpr double kAlike = 1e-7;

Vec3 DirectionOf(const gp_Dir& d) { return {d.X(), d.Y(), d.Z()}; }

/// A stretch of an outline, left about the normal of its plane.
struct Run {
  Vec3 from = Vec3::Zero();
  Vec3 to = Vec3::Zero();
  double sweep = 0.0;  ///< rad, of an arc; 0: a line
  Vec3 centre = Vec3::Zero();

  [[nodiscard]] double radius() const { return (from - centre).norm(); }
};

using Outline = std::vector<Run>;

/// Nothing for what is neither a line nor an arc that turns left.
std::optional<Run> RunOf(const TopoDS_Edge& edge, const Vec3& normal, bool backward) {
  const BRepAdaptor_Curve curve(edge);
  const bool turned = (edge.Orientation() == TopAbs_REVERSED) != backward;
  Run run{ToVec3(curve.Value(curve.FirstParameter())), ToVec3(curve.Value(curve.LastParameter())),
          0.0, Vec3::Zero()};
  if (turned) std::swap(run.from, run.to);
  if (curve.GetType() == GeomAbs_Line) return run;
  if (curve.GetType() != GeomAbs_Circle) return std::nullopt;
  const gp_Circ circle = curve.Circle();
  const double up = DirectionOf(circle.Axis().Direction()).dot(normal);
  if (std::abs(up) < 1.0 - 1e-12 || (up < 0.0) != turned) return std::nullopt;
  run.centre = ToVec3(circle.Location());
  run.sweep = curve.LastParameter() - curve.FirstParameter();
  return run;
}

/// The plane of a face: left about its normal is round the face.
struct Plane {
  Vec3 origin;
  Vec3 normal;

  [[nodiscard]] bool Holds(const Vec3& place) const {
    return std::abs((place - origin).dot(normal)) <= kAlike;
  }
};

/// @param inner an inner outline runs right: it is taken from its end
std::optional<Outline> OutlineOf(const TopoDS_Wire& wire, const TopoDS_Face& face,
                                 const Plane& plane, bool inner) {
  Outline outline;
  for (BRepTools_WireExplorer e(wire, face); e.More(); e.Next()) {
    const auto run = RunOf(e.Current(), plane.normal, inner);
    if (!run || !plane.Holds(run->from)) return std::nullopt;
    if (run->sweep > 0.0 && !plane.Holds(run->centre)) return std::nullopt;
    outline.push_back(*run);
  }
  if (inner) std::reverse(outline.begin(), outline.end());
  for (std::size_t i = 0; i < outline.size(); ++i) {
    const Run& next = outline[(i + 1) % outline.size()];
    if ((outline[i].to - next.from).norm() > kAlike) return std::nullopt;
  }
  if (outline.empty()) return std::nullopt;
  return outline;
}

/// True if the two sides of a corner turn left.
bool TurnsLeft(const Vec3& first, const Vec3& second, const Vec3& normal) {
  return first.cross(second).dot(normal) > 1e-6 * first.norm() * second.norm();
}

bool IsUnfolded(const Run& outer, const Run& inner, const Vec3& normal) {
  const Vec3 start = inner.from - outer.from;
  const Vec3 end = inner.to - outer.to;
  const Vec3 along = outer.to - outer.from;
  const Vec3 back = inner.to - inner.from;
  return TurnsLeft(along, start, normal) && TurnsLeft(along, end, normal) &&
         TurnsLeft(back, start, normal) && TurnsLeft(back, end, normal);
}

bool RunAlike(const Run& outer, const Run& inner, const Vec3& normal) {
  if ((outer.sweep > 0.0) != (inner.sweep > 0.0)) return false;
  if (outer.sweep == 0.0) return IsUnfolded(outer, inner, normal);
  if ((outer.centre - inner.centre).norm() > kAlike) return false;
  const double share = inner.radius() / outer.radius();
  const auto where = [&](const Vec3& at) {
    return Vec3(outer.centre + share * (at - outer.centre));
  };
  return share < 1.0 - kAlike && std::abs(outer.sweep - inner.sweep) < kAlike &&
         (where(outer.from) - inner.from).norm() < kAlike &&
         (where(outer.to) - inner.to).norm() < kAlike;
}

void AddPatches(const Run& outer, const Run& inner, const Vec3& normal,
                std::vector<BezierPatch>& patches) {
  if (outer.sweep == 0.0) {
    patches.push_back(
        {1,
         1,
         {Pole(outer.from, 1.0), Pole(inner.from, 1.0), Pole(outer.to, 1.0), Pole(inner.to, 1.0)}});
    return;
  }
  const int parts = std::max(1, static_cast<int>(std::ceil(outer.sweep / (0.5 * kPi) - 1e-9)));
  const double part = outer.sweep / parts;
  const Vec3 x = (outer.from - outer.centre).normalized();
  const Vec3 y = normal.cross(x);
  for (int i = 0; i < parts; ++i) {
    const Vec3 a = std::cos(i * part) * x + std::sin(i * part) * y;
    const Vec3 b = std::cos((i + 1) * part) * x + std::sin((i + 1) * part) * y;
    const auto arc = [&](double radius) {
      return Arc(outer.centre, radius * a, radius * b, std::cos(0.5 * part));
    };
    patches.push_back(Ruled(arc(outer.radius()), arc(inner.radius())));
  }
}

std::vector<BezierPatch> Between(const Outline& outer, const Outline& inner, std::size_t ahead,
                                 const Vec3& normal) {
  std::vector<BezierPatch> patches;
  for (std::size_t i = 0; i < outer.size(); ++i) {
    const Run& fellow = inner[(i + ahead) % inner.size()];
    if (!RunAlike(outer[i], fellow, normal)) return {};
    AddPatches(outer[i], fellow, normal, patches);
  }
  return patches;
}

/// A whole circle of this radius about the centre of another, begun where that begins.
Outline CircleLike(const Run& outer, double radius) {
  Run run = outer;
  run.from = run.to = outer.centre + radius * (outer.from - outer.centre).normalized();
  return {run};
}

bool IsWholeCircle(const Outline& outline) {
  return outline.size() == 1 && outline.front().sweep > 2.0 * kPi - 1e-9;
}

/// The outline of a face and those within it; nothing if one is of more than lines and arcs.
struct Outlines {
  Outline outer;
  std::vector<Outline> inside;
};

std::optional<Outlines> OutlinesOf(const TopoDS_Face& face, const Plane& plane) {
  const TopoDS_Wire outside = BRepTools::OuterWire(face);
  Outlines all;
  for (TopExp_Explorer e(face, TopAbs_WIRE); e.More(); e.Next()) {
    const TopoDS_Wire wire = TopoDS::Wire(e.Current());
    const bool inner = !wire.IsSame(outside);
    auto outline = OutlineOf(wire, face, plane, inner);
    if (!outline) return std::nullopt;
    if (inner) {
      all.inside.push_back(std::move(*outline));
    } else {
      all.outer = std::move(*outline);
    }
  }
  if (all.outer.empty()) return std::nullopt;
  return all;
}

/// The inner outline of a rim, a circle begun where the outer one begins; a disc's is its centre.
std::optional<Outline> InnerOf(const Outlines& all) {
  const bool round = IsWholeCircle(all.outer);
  if (all.inside.empty() && round) return CircleLike(all.outer.front(), 0.0);
  if (all.inside.size() != 1) return std::nullopt;
  const Outline& inner = all.inside.front();
  if (inner.size() != all.outer.size()) return std::nullopt;
  const Run& first = inner.front();
  if (!round || !IsWholeCircle(inner) ||
      (first.centre - all.outer.front().centre).norm() > kAlike) {
    return inner;
  }
  return CircleLike(all.outer.front(), first.radius());
}

}  // namespace

std::vector<BezierPatch> RimPatches(const TopoDS_Face& given) {
  const TopoDS_Face face = TopoDS::Face(given.Oriented(TopAbs_FORWARD));
  const BRepAdaptor_Surface surface(face);
  if (surface.GetType() != GeomAbs_Plane) return {};
  const gp_Ax3 frame = surface.Plane().Position();
  const Plane plane{ToVec3(frame.Location()),
                    (frame.Direct() ? 1.0 : -1.0) * DirectionOf(frame.Direction())};
  const auto outlines = OutlinesOf(face, plane);
  if (!outlines) return {};
  const auto inner = InnerOf(*outlines);
  if (!inner) return {};
  for (std::size_t ahead = 0; ahead < inner->size(); ++ahead) {
    std::vector<BezierPatch> patches = Between(outlines->outer, *inner, ahead, plane.normal);
    if (!patches.empty()) return patches;
  }
  return {};
}

}  // namespace holeward
