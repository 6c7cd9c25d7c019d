#include "geometry/tube_of_solid.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include <BRepAdaptor_Curve.hxx>
#include <BRepAdaptor_Surface.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepGProp.hxx>
#include <BRepTools.hxx>
#include <BRepTools_WireExplorer.hxx>
#include <BRep_Tool.hxx>
#include <GProp_GProps.hxx>
#include <GeomLib_IsPlanarSurface.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Face.hxx>
#include <TopoDS_Wire.hxx>
#include <fmt/format.h>
#include <gp_Pln.hxx>

#include "geometry/circle.h"
#include "geometry/shape_parts.h"
#include "geometry/solid_kernel.h"

namespace holeward {
namespace {

// An edge departs from a line or an arc, and a face from a plane, by no more, mm.
constexpr double kShape = 1e-4;
// Lines and arcs that meet do so within so many times that.
constexpr double kMeet = 10.0;
// Ends are square to the axis within this, radians: 1e-3 mm on 100 mm.
constexpr double kSquare = 1e-5;
// Metal within the outline of an open end: of a round tube whose wall is a third of its radius,
// 0.56; no wall of a part is thicker.
constexpr double kMostMetal = 0.6;
// Corners of a section: more make a curve, which is none of flats.
constexpr std::size_t kMostCorners = 100;

tl::unexpected<Error> Refused(const std::string& what, const std::string& why) {
  return Fail(ErrorKind::job, fmt::format("{}: {}", what, why));
}

/// A straight or round stretch of an outline.
struct Stretch {
  bool arc = false;
  Vec3 from = Vec3::Zero();
  Vec3 to = Vec3::Zero();
  Vec3 centre = Vec3::Zero();  ///< arcs
  double radius = 0.0;
};

/// A flat face at an end.
struct FlatFace {
  TopoDS_Face face;
  gp_Pln plane;
  Vec3 normal = Vec3::Zero();
  int wires = 0;
};

std::optional<gp_Pln> PlaneOf(const TopoDS_Face& face) {
  const GeomLib_IsPlanarSurface planar(BRep_Tool::Surface(face), kShape);
  if (!planar.IsPlanar()) return std::nullopt;
  return planar.Plan();
}

/// The normal of a flat face out of the metal.
Vec3 OutwardOf(const TopoDS_Face& face) {
  const BRepAdaptor_Surface surface(face);
  gp_Pnt at;
  gp_Vec du;
  gp_Vec dv;
  surface.D1(0.5 * (surface.FirstUParameter() + surface.LastUParameter()),
             0.5 * (surface.FirstVParameter() + surface.LastVParameter()), at, du, dv);
  const gp_Vec across = du.Crossed(dv);
  const Vec3 normal = Vec3(across.X(), across.Y(), across.Z()).normalized();
  return face.Orientation() == TopAbs_REVERSED ? Vec3(-normal) : normal;
}

std::optional<FlatFace> FlatFaceOf(const TopoDS_Face& face) {
  const auto plane = PlaneOf(face);
  if (!plane) return std::nullopt;
  FlatFace flat{face, *plane, ToVec3(gp_Pnt(plane->Axis().Direction().XYZ())), 0};
  for (TopExp_Explorer w(face, TopAbs_WIRE); w.More(); w.Next()) ++flat.wires;
  return flat;
}

std::vector<FlatFace> FlatFaces(const TopoDS_Shape& solid) {
  std::vector<FlatFace> flats;
  for (TopExp_Explorer e(solid, TopAbs_FACE); e.More(); e.Next()) {
    if (auto flat = FlatFaceOf(TopoDS::Face(e.Current()))) flats.push_back(std::move(*flat));
  }
  return flats;
}

std::optional<Stretch> StretchOf(const TopoDS_Edge& edge, bool reversed, double within) {
  const BRepAdaptor_Curve curve(edge);
  const double first = curve.FirstParameter();
  const double last = curve.LastParameter();
  std::vector<Vec3> places;
  constexpr int kSteps = 12;
  for (int i = 0; i <= kSteps; ++i) {
    const double t = static_cast<double>(reversed ? kSteps - i : i) / kSteps;
    places.push_back(ToVec3(curve.Value(first + t * (last - first))));
  }
  Stretch stretch{false, places.front(), places.back(), Vec3::Zero(), 0.0};
  const Vec3 chord = stretch.to - stretch.from;
  if (chord.norm() > kMeet * within) {
    const Vec3 way = chord.normalized();
    const bool straight = std::all_of(places.begin(), places.end(), [&](const Vec3& p) {
      const Vec3 off = p - stretch.from;
      return (off - off.dot(way) * way).norm() < within;
    });
    if (straight) return stretch;
  }
  const auto circle = CircleThrough(places[0], places[kSteps / 3], places[2 * kSteps / 3]);
  if (!circle) return std::nullopt;
  stretch.arc = true;
  stretch.centre = circle->centre;
  stretch.radius = circle->radius;
  const bool round = std::all_of(places.begin(), places.end(), [&](const Vec3& p) {
    return std::abs((p - stretch.centre).norm() - stretch.radius) < within;
  });
  return round ? std::optional(stretch) : std::nullopt;
}

/// The stretches of a wire, those that go on in one line or arc made one.
Result<std::vector<Stretch>> Stretches(const FlatFace& end, const TopoDS_Wire& wire, double within,
                                       const std::string& what) {
  std::vector<Stretch> all;
  for (BRepTools_WireExplorer e(wire, end.face); e.More(); e.Next()) {
    if (BRep_Tool::Degenerated(e.Current())) continue;
    const auto stretch =
        StretchOf(e.Current(), e.Current().Orientation() == TopAbs_REVERSED, within);
    if (!stretch) {
      return Refused(what, "an edge of its end is neither straight nor an arc of a circle");
    }
    all.push_back(*stretch);
  }
  const double meet = kMeet * within;
  const auto goes_on = [&](const Stretch& a, const Stretch& b) {
    if (a.arc != b.arc) return false;
    if (a.arc) {
      return (a.centre - b.centre).norm() < meet && std::abs(a.radius - b.radius) < meet;
    }
    return (a.to - a.from).normalized().cross((b.to - b.from).normalized()).norm() < 0.01 * within;
  };
  std::vector<Stretch> joined;
  for (const Stretch& one : all) {
    if (!joined.empty() && goes_on(joined.back(), one)) {
      joined.back().to = one.to;
    } else {
      joined.push_back(one);
    }
  }
  if (joined.size() > 2 && goes_on(joined.back(), joined.front())) {
    joined.front().from = joined.back().from;
    joined.pop_back();
  }
  return joined;
}

/// Where two lines of a plane meet.
std::optional<Vec3> Meeting(const Stretch& a, const Stretch& b) {
  const Vec3 u = (a.to - a.from).normalized();
  const Vec3 v = (b.to - b.from).normalized();
  const Vec3 n = u.cross(v);
  if (n.norm() < 0.02) return std::nullopt;  // nearly parallel
  const double t = (b.from - a.from).cross(v).dot(n) / n.squaredNorm();
  return Vec3(a.from + t * u);
}

double FromLine(const Vec3& p, const Stretch& line) {
  const Vec3 way = (line.to - line.from).normalized();
  const Vec3 off = p - line.from;
  return (off - off.dot(way) * way).norm();
}

std::optional<std::string> TakePolygon(std::vector<Stretch> stretches, double meet, TubeEnd& end) {
  const auto first_line =
      std::find_if(stretches.begin(), stretches.end(), [](const Stretch& s) { return !s.arc; });
  if (first_line == stretches.end()) return "its end is round, but not one circle";
  std::rotate(stretches.begin(), first_line, stretches.end());
  const std::size_t n = stretches.size();
  if (n > 2 * kMostCorners) return fmt::format("its end has more than {} corners", kMostCorners);
  for (std::size_t i = 0; i < n;) {
    const Stretch& line = stretches[i];
    if (line.arc) return "two arcs of its end follow each other without a flat between them";
    const bool rounded = stretches[(i + 1) % n].arc;
    const Stretch& next = stretches[(i + (rounded ? 2 : 1)) % n];
    if (next.arc) return "two arcs of its end follow each other without a flat between them";
    const auto corner = Meeting(line, next);
    if (!corner) return "two flats of its end that follow each other do not meet";
    double radius = 0.0;
    if (rounded) {
      const Stretch& arc = stretches[(i + 1) % n];
      radius = arc.radius;
      if (std::abs(FromLine(arc.centre, line) - radius) > meet ||
          std::abs(FromLine(arc.centre, next) - radius) > meet) {
        return "a corner of its end does not run into its flats smoothly";
      }
    }
    end.vertices.push_back(*corner);
    end.corner_radii.push_back(radius);
    i += rounded ? 2 : 1;
  }
  return end.vertices.size() < 3 ? std::optional<std::string>("its end has fewer than three flats")
                                 : std::nullopt;
}

Result<TubeEnd> EndOf(const FlatFace& flat, const std::string& what, double within = kShape) {
  const double meet = kMeet * within;
  TubeEnd end;
  end.closed = flat.wires == 1;
  end.outward = OutwardOf(flat.face);
  const TopoDS_Wire wire = BRepTools::OuterWire(flat.face);
  const BRepBuilderAPI_MakeFace filled(flat.plane, wire, true);
  if (!filled.IsDone()) return Refused(what, "the outline of its end could not be followed");
  GProp_GProps area;
  BRepGProp::SurfaceProperties(filled.Face(), area, 1e-9);
  end.centre = ToVec3(area.CentreOfMass());
  const auto stretches = Stretches(flat, wire, within, what);
  if (!stretches) return tl::unexpected(stretches.error());
  const bool one_circle = std::all_of(stretches->begin(), stretches->end(), [&](const Stretch& s) {
    return s.arc && (s.centre - stretches->front().centre).norm() < meet &&
           std::abs(s.radius - stretches->front().radius) < meet;
  });
  if (one_circle && !stretches->empty()) {
    end.round = true;
    end.radius = stretches->front().radius;
    end.centre = stretches->front().centre;
    return end;
  }
  if (const auto why = TakePolygon(*stretches, meet, end)) return Refused(what, *why);
  return end;
}

Vec3 MiddleOf(const TopoDS_Face& face) {
  GProp_GProps area;
  BRepGProp::SurfaceProperties(face, area, 1e-6);
  return ToVec3(area.CentreOfMass());
}

/// Share of an end's outline that is metal; 1 if it has no opening.
double MetalShare(const FlatFace& flat) {
  if (flat.wires < 2) return 1.0;
  const BRepBuilderAPI_MakeFace filled(flat.plane, BRepTools::OuterWire(flat.face), true);
  if (!filled.IsDone()) return 1.0;
  return AreaOf(flat.face) / AreaOf(filled.Face());
}

/// The flat face farthest from an open end: of those parallel to it, else, as the end is not round,
/// of all whole ones.
const FlatFace* Opposite(const FlatFace& end, const std::vector<FlatFace>& flats, bool round) {
  const auto farthest = [&](auto away) {
    const FlatFace* other = nullptr;
    for (const FlatFace& f : flats) {
      if (f.face.IsSame(end.face) || away(f) < 1.0) continue;
      if (other == nullptr || away(f) > away(*other)) other = &f;
    }
    return other;
  };
  const FlatFace* parallel = farthest([&](const FlatFace& f) {
    if (f.normal.cross(end.normal).norm() > kSquare) return 0.0;
    return std::abs((ToVec3(f.plane.Location()) - ToVec3(end.plane.Location())).dot(end.normal));
  });
  if (parallel != nullptr || round) return parallel;
  const Vec3 from = MiddleOf(end.face);
  return farthest(
      [&](const FlatFace& f) { return f.wires == 1 ? (MiddleOf(f.face) - from).norm() : 0.0; });
}

/// The two ends: flat faces with an opening that leaves but a rim, or one of them and the flat one
/// farthest from it. A flat with a drilled hole keeps nearly all of its metal.
Result<std::array<FlatFace, 2>> EndFaces(const TopoDS_Shape& solid, const std::string& what) {
  const std::vector<FlatFace> flats = FlatFaces(solid);
  std::vector<FlatFace> open;
  std::copy_if(flats.begin(), flats.end(), std::back_inserter(open),
               [](const FlatFace& f) { return f.wires == 2 && MetalShare(f) < kMostMetal; });
  if (open.size() == 2) return std::array<FlatFace, 2>{open[0], open[1]};
  if (open.size() != 1) {
    return Refused(what, fmt::format("a hollow tube has two flat ends, one of them open at least; "
                                     "here {} flat faces have one wide opening in them",
                                     open.size()));
  }
  const auto outline = EndOf(open.front(), what);
  const FlatFace* other = Opposite(open.front(), flats, outline && outline->round);
  if (other == nullptr) return Refused(what, "it has one open end and no flat end opposite");
  FlatFace closed = *other;
  closed.wires = 1;
  return std::array<FlatFace, 2>{open.front(), closed};
}

}  // namespace

Result<TubeEnd> OutlineOfFace(const TopoDS_Face& face, const std::string& what, double within) {
  return Guarded(what, "following an outline", [&]() -> Result<TubeEnd> {
    const auto flat = FlatFaceOf(face);
    if (!flat) return Refused(what, "a face of it is not flat");
    return EndOf(*flat, what, within);
  });
}

bool AlignEnds(const TubeEnd& first, TubeEnd& second, const Vec3& axis) {
  const std::size_t n = first.vertices.size();
  if (second.vertices.size() != n) return false;
  const auto turns = [&](const TubeEnd& end) {
    double area = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
      area +=
          (end.vertices[i] - end.centre).cross(end.vertices[(i + 1) % n] - end.centre).dot(axis);
    }
    return area > 0.0;
  };
  if (turns(first) != turns(second)) {
    std::reverse(second.vertices.begin(), second.vertices.end());
    std::reverse(second.corner_radii.begin(), second.corner_radii.end());
  }
  const auto apart = [&](std::size_t by) {
    double sum = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
      const Vec3 a = first.vertices[i] - first.centre;
      const Vec3 b = second.vertices[(i + by) % n] - second.centre;
      sum += (b - a - (b - a).dot(axis) * axis).norm();
    }
    return sum;
  };
  std::size_t best = 0;
  for (std::size_t by = 1; by < n; ++by) {
    if (apart(by) < apart(best)) best = by;
  }
  const auto turn = static_cast<std::ptrdiff_t>(best);
  std::rotate(second.vertices.begin(), second.vertices.begin() + turn, second.vertices.end());
  std::rotate(second.corner_radii.begin(), second.corner_radii.begin() + turn,
              second.corner_radii.end());
  return true;
}

Result<std::array<TubeEnd, 2>> EndsOfSolid(const TopoDS_Shape& solid, const std::string& what) {
  return Guarded(what, "looking for its ends", [&]() -> Result<std::array<TubeEnd, 2>> {
    const auto faces = EndFaces(solid, what);
    if (!faces) return tl::unexpected(faces.error());
    std::array<TubeEnd, 2> ends;
    for (std::size_t i = 0; i < 2; ++i) {
      auto end = EndOf((*faces)[i], what);
      if (!end) return tl::unexpected(end.error());
      ends[i] = std::move(*end);
    }
    if ((ends[1].centre - ends[0].centre).norm() < 1.0) {
      return Refused(what, "its ends lie less than 1 mm apart");
    }
    return ends;
  });
}

bool HasTiltedEnds(const TopoDS_Shape& solid) {
  const auto ends = EndsOfSolid(solid, "");
  return ends && !(*ends)[0].round && !(*ends)[1].round &&
         (*ends)[0].outward.cross((*ends)[1].outward).norm() > kSquare;
}

Result<FoundTube> TubeOfSolid(const TopoDS_Shape& solid, const std::string& what) {
  auto ends = EndsOfSolid(solid, what);
  if (!ends) return tl::unexpected(ends.error());
  FoundTube tube{std::move(*ends)};
  auto& [first, second] = tube.ends;
  if (first.outward.cross(second.outward).norm() > kSquare) {
    return Refused(what, "its ends are not parallel to each other");
  }
  const Vec3 chord = second.centre - first.centre;
  const Vec3 aside = chord - chord.dot(first.outward) * first.outward;
  if (aside.norm() > kSquare * chord.norm()) {
    if (first.round) {
      return Refused(what, "an end is not square to the line between the middles of both ends");
    }
    second.centre -= aside;
  }
  const Vec3 axis = second.centre - first.centre;
  if (axis.norm() < 1.0) return Refused(what, "its ends lie less than 1 mm apart");
  if (first.round != second.round) return Refused(what, "one end is round and the other is not");
  if (!first.round && !AlignEnds(first, second, axis.normalized())) {
    return Refused(what, fmt::format("its ends have {} and {} corners", first.vertices.size(),
                                     second.vertices.size()));
  }
  return tube;
}

}  // namespace holeward
