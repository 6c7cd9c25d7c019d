#include "geometry/mount_outline.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include <BRepAdaptor_Curve.hxx>
#include <BRepAdaptor_Surface.hxx>
#include <BRep_Tool.hxx>
#include <GCPnts_AbscissaPoint.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <fmt/format.h>

#include "geometry/face_patches.h"
#include "geometry/skin_nearest.h"
#include "geometry/solid_kernel.h"

namespace holeward {
namespace {

// Places of a border lie no farther apart, mm; of a long edge there are no more.
constexpr double kStep = 0.5;
constexpr int kMostSteps = 2000;
// A stud is square to the skin within this, radians, its axis meets the skin's normal within this,
// mm, and its border keeps its distance from the axis within this, mm.
constexpr double kSquare = 0.01;
constexpr double kAside = 0.02;
constexpr double kRound = 1e-3;
// Triangles on curved faces depart from them by at most this, mm.
constexpr double kDeflection = 0.01;
// A round part must keep this share of its girth free of a mount.
constexpr double kFree = 0.02;

/// A place of the border: along the part (mm of centre line) and around it (share of the girth).
struct Developed {
  double station = 0.0;
  double share = 0.0;
  double girth = 0.0;  ///< mm, all the way round
};

/// The least and greatest of some lengths, with how far the truth may lie beyond them.
struct Extent {
  double least = 1e300;
  double most = -1e300;
  double slack = 0.0;
  void Take(double value) {
    least = std::min(least, value);
    most = std::max(most, value);
  }
};

std::vector<Vec3> PlacesOn(const TopoDS_Edge& edge) {
  std::vector<Vec3> places;
  if (BRep_Tool::Degenerated(edge)) return places;
  const BRepAdaptor_Curve curve(edge);
  const double length = GCPnts_AbscissaPoint::Length(curve);
  // An even number: every other place tells what lies between its neighbours.
  const int n = 2 * std::clamp(static_cast<int>(std::ceil(length / (2.0 * kStep))), 2, kMostSteps);
  const double first = curve.FirstParameter();
  const double last = curve.LastParameter();
  for (int i = 0; i <= n; ++i)
    places.push_back(ToVec3(curve.Value(first + (last - first) * i / n)));
  return places;
}

class Border {
 public:
  Border(const Skin& skin, const SolidMount& mount, std::string what)
      : skin_(skin), nearest_(skin), mount_(mount), what_(std::move(what)) {}

  /// The rectangle of it.
  Result<MountOutline> Rectangle() {
    for (const TopoDS_Edge& edge : mount_.border) {
      lines_.emplace_back();
      for (const Vec3& place : PlacesOn(edge)) {
        const auto hit = nearest_.Project(place);
        if (!hit) return Fail(ErrorKind::computed, what_ + ": a mount's border has no place on it");
        const double girth = skin_.Perimeter(hit->place.u);
        const double share = skin_.GirthOf(hit->place.u, hit->place.v) / girth;
        lines_.back().push_back({skin_.StationOf(hit->place.u),
                                 skin_.closed() ? share - std::floor(share) : share, girth});
      }
    }
    if (skin_.closed() && !Unwrap()) {
      return Fail(ErrorKind::job,
                  fmt::format("{}: a mount goes all the way round it; nothing can be measured past "
                              "it: give it as a body of its own and describe it as a fitting",
                              what_));
    }
    return Measured();
  }

 private:
  /// Turns the shares so that the border lies within one turn; false if it leaves no room.
  bool Unwrap() {
    std::vector<double> shares;
    for (const auto& line : lines_) {
      for (const Developed& d : line) shares.push_back(d.share);
    }
    std::sort(shares.begin(), shares.end());
    double widest = shares.front() + 1.0 - shares.back();
    double from = shares.front();
    for (std::size_t i = 1; i < shares.size(); ++i) {
      if (shares[i] - shares[i - 1] <= widest) continue;
      widest = shares[i] - shares[i - 1];
      from = shares[i];
    }
    for (auto& line : lines_) {
      for (Developed& d : line) {
        if (d.share < from) d.share += 1.0;
      }
    }
    return widest > kFree;
  }

  /// Measures one coordinate, with twice the bend between every other place.
  template <class Coordinate>
  [[nodiscard]] Extent Over(Coordinate&& coordinate) const {
    Extent extent;
    for (const auto& line : lines_) {
      for (std::size_t i = 0; i < line.size(); ++i) extent.Take(coordinate(line[i]));
      for (std::size_t i = 0; i + 2 < line.size(); i += 2) {
        const double middle = 0.5 * (coordinate(line[i]) + coordinate(line[i + 2]));
        extent.slack = std::max(extent.slack, 2.0 * std::abs(coordinate(line[i + 1]) - middle));
      }
    }
    return extent;
  }

  [[nodiscard]] MountOutline Measured() const {
    const Extent along = Over([](const Developed& d) { return d.station; });
    MountOutline outline;
    outline.u_from = skin_.UOfStation(std::max(0.0, along.least - along.slack));
    outline.u_to = skin_.UOfStation(std::min(skin_.length(), along.most + along.slack));
    const double u = skin_.UOfStation(0.5 * (along.least + along.most));
    // The middle line is one of constant v; off it, lengths are measured at each station.
    double v = 0.0;
    const Extent shares = Over([](const Developed& d) { return d.share; });
    double middle = 0.5 * (shares.least + shares.most);
    Extent around;
    for (int pass = 0; pass < 3; ++pass) {
      v = skin_.VOfGirth(u, Girth(middle) * skin_.Perimeter(u));
      const double own = middle;
      around = Over([&](const Developed& d) {
        const double at = skin_.UOfStation(d.station);
        double line = skin_.GirthOf(at, v) / d.girth;
        if (skin_.closed()) line += std::round(own - line);
        return (d.share - line) * d.girth;
      });
      if (pass < 2) middle += 0.5 * (around.least + around.most) / skin_.Perimeter(u);
    }
    outline.centre = {u, v};
    outline.around = 2.0 * (std::max(-around.least, around.most) + around.slack);
    return outline;
  }

  [[nodiscard]] double Girth(double share) const {
    return skin_.closed() ? share - std::floor(share) : share;
  }

  const Skin& skin_;
  SkinNearest nearest_;
  const SolidMount& mount_;
  std::string what_;
  std::vector<std::vector<Developed>> lines_;
};

/// An axis in space.
struct Axis {
  Vec3 from = Vec3::Zero();
  Vec3 way = Vec3::UnitZ();
  [[nodiscard]] double Off(const Vec3& p) const {
    const Vec3 apart = p - from;
    return (apart - apart.dot(way) * way).norm();
  }
};

Axis AxisOf(const gp_Ax1& axis) {
  const gp_Dir& d = axis.Direction();
  return {ToVec3(axis.Location()), Vec3(d.X(), d.Y(), d.Z())};
}

/// The axis a face is turned about; of a flat face any along its normal.
std::optional<Axis> TurnedAbout(const BRepAdaptor_Surface& surface) {
  switch (surface.GetType()) {
    case GeomAbs_Cylinder: return AxisOf(surface.Cylinder().Axis());
    case GeomAbs_Cone: return AxisOf(surface.Cone().Axis());
    case GeomAbs_Torus: return AxisOf(surface.Torus().Axis());
    default: return std::nullopt;
  }
}

/// The one axis all faces of a mount are turned about.
std::optional<Axis> AxisOfMount(const SolidMount& mount) {
  std::optional<Axis> axis;
  for (const TopoDS_Face& face : mount.faces) {
    const BRepAdaptor_Surface surface(face);
    if (surface.GetType() == GeomAbs_Cylinder) axis = AxisOf(surface.Cylinder().Axis());
  }
  if (!axis) return std::nullopt;
  for (const TopoDS_Face& face : mount.faces) {
    const BRepAdaptor_Surface surface(face);
    if (surface.GetType() == GeomAbs_Plane) {
      const Vec3 normal = AxisOf(surface.Plane().Axis()).way;
      if (normal.cross(axis->way).norm() > 1e-6) return std::nullopt;
      continue;
    }
    const auto own = TurnedAbout(surface);
    if (!own || own->way.cross(axis->way).norm() > 1e-6 || axis->Off(own->from) > kRound) {
      return std::nullopt;
    }
  }
  return axis;
}

/// A mount that is turned about an axis square to the skin.
std::optional<MountOutline> StudOf(const Skin& skin, const SolidMount& mount) {
  const auto axis = AxisOfMount(mount);
  if (!axis) return std::nullopt;
  double widest = 0.0;
  Vec3 middle = Vec3::Zero();
  double count = 0.0;
  for (const TopoDS_Edge& edge : mount.border) {
    Extent radius;
    for (const Vec3& place : PlacesOn(edge)) {
      radius.Take(axis->Off(place));
      middle += place;
      count += 1.0;
    }
    if (radius.most - radius.least > kRound) return std::nullopt;
    widest = std::max(widest, radius.most);
  }
  if (count == 0.0) return std::nullopt;
  middle /= count;
  const auto hit =
      skin.Project(Vec3(axis->from + (middle - axis->from).dot(axis->way) * axis->way));
  if (!hit) return std::nullopt;
  const SkinPoint at = skin.At(hit->place);
  if (at.normal.cross(axis->way).norm() > kSquare || axis->Off(at.position) > kAside) {
    return std::nullopt;
  }
  MountOutline outline;
  outline.stud = true;
  outline.centre = hit->place;
  outline.diameter = 2.0 * widest;
  return outline;
}

/// The height of a mount, from triangles on its faces.
class Heights {
 public:
  Heights(const Skin& skin, const MountOutline& outline)
      : skin_(skin), nearest_(skin), stud_(outline.stud) {
    const SkinPoint at = skin.At(outline.centre);
    middle_ = at.position;
    normal_ = at.normal;
    foot_ = middle_;
  }

  Result<void> Take(const TopoDS_Face& face, const std::string& what) {
    const auto triangles = TrianglesOfFace(face, kDeflection, what);
    if (!triangles) return tl::unexpected(triangles.error());
    const double flat = GrownOf(face);
    for (const BezierPatch& triangle : *triangles) {
      for (const Eigen::Vector4d& corner : triangle.poles) {
        Take(corner.head<3>() / corner.w(), flat < 0.0 ? triangle.grown : flat);
      }
    }
    return {};
  }

  [[nodiscard]] double height() const { return height_; }

 private:
  /// How far the face may be higher than the corners of its triangles, mm; -1: by what they are
  /// off. Off a flat or round skin, height is greatest in a corner of a straight-edged flat face;
  /// of one turned about the stud's axis, on its border.
  [[nodiscard]] double GrownOf(const TopoDS_Face& face) const {
    const BRepAdaptor_Surface surface(face);
    const GeomAbs_SurfaceType type = surface.GetType();
    const bool plane = type == GeomAbs_Plane;
    if (stud_ && (plane || type == GeomAbs_Cylinder || type == GeomAbs_Cone)) return 0.0;
    if (!plane) return -1.0;
    for (TopExp_Explorer e(face, TopAbs_EDGE); e.More(); e.Next()) {
      if (BRepAdaptor_Curve(TopoDS::Edge(e.Current())).GetType() != GeomAbs_Line) return -1.0;
    }
    return 0.0;
  }

  void Take(const Vec3& place, double grown) {
    if (stud_) {
      height_ = std::max(height_, (place - middle_).dot(normal_) + grown);
      return;
    }
    // No place is higher than it is far from a place of the skin.
    if ((place - foot_).norm() + kDeflection <= height_) return;
    const auto hit = nearest_.Project(place);
    if (!hit) return;
    foot_ = hit->position;
    if ((place - hit->position).dot(skin_.At(hit->place).normal) <= 0.0) return;
    height_ = std::max(height_, hit->distance + grown);
  }

  const Skin& skin_;
  SkinNearest nearest_;
  bool stud_;
  Vec3 middle_;
  Vec3 normal_;
  Vec3 foot_;  ///< of the last place looked at
  double height_ = 0.0;
};

}  // namespace

Result<MountOutline> OutlineOfMount(const Skin& skin, const SolidMount& mount,
                                    const std::string& what) {
  return Guarded(what, "measuring a mount", [&]() -> Result<MountOutline> {
    auto outline = [&]() -> Result<MountOutline> {
      if (auto stud = StudOf(skin, mount)) return *stud;
      return Border(skin, mount, what).Rectangle();
    }();
    if (!outline) return outline;
    Heights heights(skin, *outline);
    for (const TopoDS_Face& face : mount.faces) {
      if (const auto taken = heights.Take(face, what); !taken) return tl::unexpected(taken.error());
    }
    outline->height = heights.height();
    return outline;
  });
}

}  // namespace holeward
