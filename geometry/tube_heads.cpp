#include "geometry/tube_heads.h"

#include <algorithm>
#include <cmath>

#include <BRepAdaptor_Surface.hxx>
#include <BRepAlgoAPI_Common.hxx>
#include <BRepAlgoAPI_Cut.hxx>
#include <BRepBndLib.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepCheck_Analyzer.hxx>
#include <BRepGProp.hxx>
#include <BRepPrimAPI_MakeHalfSpace.hxx>
#include <BRepTools.hxx>
#include <BRep_Tool.hxx>
#include <Bnd_Box.hxx>
#include <Eigen/Eigenvalues>
#include <GProp_GProps.hxx>
#include <GeomLib_IsPlanarSurface.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Wire.hxx>
#include <fmt/format.h>
#include <gp_Cylinder.hxx>
#include <gp_Pln.hxx>

#include "geometry/mesh_sections.h"
#include "geometry/solid_kernel.h"

namespace holeward {
namespace {

// Sections are followed in steps of this share of the body, between these, mm; the last ones again
// in the finer steps.
constexpr double kStepShare = 1.0 / 60.0;
constexpr double kLeastStep = 2.0;
constexpr double kMostStep = 6.0;
constexpr double kFineStep = 0.25;
constexpr int kMostSteps = 600;
// A section goes on as the one before did if its areas are those expected within these shares; one
// after a stretch without may have changed more.
constexpr double kGoesOn = 0.04;
constexpr double kGoesOnFine = 0.003;
constexpr double kComesBack = 0.3;
constexpr double kComesBackWall = 0.05;
// The cut lies so far before the last such section, mm.
constexpr double kSpare = 1.5;
// A flat face closes the tube if its outline has the section's area within this share, lies no
// farther from the last section than this, mm, and across it by this cosine.
constexpr double kEndArea = 0.03;
constexpr double kEndFar = 40.0;
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
// Where along the body a first section is looked for.
constexpr std::array<double, 7> kStarts{0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8};

double VolumeOf(const TopoDS_Shape& solid) {
  GProp_GProps properties;
  BRepGProp::VolumeProperties(solid, properties, 1e-7);
  return properties.Mass();
}

gp_Dir ToDir(const Vec3& v) { return {v.x(), v.y(), v.z()}; }

/// What lies within the outline of a flat face.
struct Filled {
  double area = 0.0;
  Vec3 centre = Vec3::Zero();
};

std::optional<Filled> FilledOf(const TopoDS_Face& face) {
  const GeomLib_IsPlanarSurface planar(BRep_Tool::Surface(face), 1e-4);
  if (!planar.IsPlanar()) return std::nullopt;
  const BRepBuilderAPI_MakeFace filled(planar.Plan(), BRepTools::OuterWire(face), true);
  if (!filled.IsDone()) return std::nullopt;
  GProp_GProps properties;
  BRepGProp::SurfaceProperties(filled.Face(), properties, 1e-9);
  return Filled{std::abs(properties.Mass()), ToVec3(properties.CentreOfMass())};
}

/// A place on the way along a tube.
struct Step {
  RingSection ring;
  Vec3 way = Vec3::UnitY();  ///< unit
};

class Follower {
 public:
  explicit Follower(const TopoDS_Shape& solid) : solid_(solid), sections_(solid) {
    Bnd_Box box;
    BRepBndLib::Add(solid, box);
    size_ = std::sqrt(box.SquareExtent());
    GProp_GProps properties;
    BRepGProp::VolumeProperties(solid, properties);
    middle_ = ToVec3(properties.CentreOfMass());
    const gp_Mat inertia = properties.MatrixOfInertia();
    Eigen::Matrix3d matrix;
    for (int i = 0; i < 3; ++i) {
      for (int k = 0; k < 3; ++k) matrix(i, k) = inertia(i + 1, k + 1);
    }
    // The least moment is that about the longest direction.
    long_ = Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d>(matrix).eigenvectors().col(0);
  }

  [[nodiscard]] double step() const {
    return std::clamp(kStepShare * size_, kLeastStep, kMostStep);
  }

  /// A ring somewhere along the body, the plane turned square to the line through rings beside it.
  [[nodiscard]] std::optional<Step> First() const {
    double low = 0.0;
    double high = 0.0;
    Bnd_Box box;
    BRepBndLib::Add(solid_, box);
    for (int corner = 0; corner < 8; ++corner) {
      const gp_Pnt a = box.CornerMin();
      const gp_Pnt b = box.CornerMax();
      const Vec3 p((corner & 1) != 0 ? b.X() : a.X(), (corner & 2) != 0 ? b.Y() : a.Y(),
                   (corner & 4) != 0 ? b.Z() : a.Z());
      low = std::min(low, (p - middle_).dot(long_));
      high = std::max(high, (p - middle_).dot(long_));
    }
    std::optional<Step> first;
    for (const double share : kStarts) {
      const Vec3 at = middle_ + (low + share * (high - low)) * long_;
      auto here = sections_.At(at, long_, size_).ring;
      if (!here) continue;
      Vec3 way = long_;
      bool turned = true;
      for (int round = 0; turned && round < 3; ++round) {
        const auto before = sections_.At(here->centre - 0.5 * way, way, 20.0).ring;
        const auto after = sections_.At(here->centre + 0.5 * way, way, 20.0).ring;
        turned = before && after;
        if (!turned) break;
        way = (after->centre - before->centre).normalized();
        const auto again = sections_.At(here->centre, way, 20.0).ring;
        turned = again.has_value();
        if (again) here = again;
      }
      // Where a mount stands the ring has more metal.
      if (turned && (!first || here->metal < first->ring.metal)) first = Step{*here, way};
    }
    return first;
  }

  /// The last ring on the way from `from`.
  [[nodiscard]] Step Last(const Step& from) const {
    Step before = from;
    Step last = from;
    Vec3 at = from.ring.centre;
    Vec3 way = from.way;
    Vec3 gone = way;
    int missed = 0;
    for (int i = 0; i < kMostSteps; ++i) {
      at += step() * way;
      const MeshSection section = sections_.At(at, way, std::sqrt(last.ring.filled));
      if (!section.any) break;
      const bool on = section.ring && (missed > 0 ? ComesBack(last.ring, *section.ring)
                                                  : GoesOn(last.ring, *section.ring, kGoesOn));
      if (!on) {
        ++missed;
        continue;
      }
      const Vec3 here = (section.ring->centre - last.ring.centre).normalized();
      way = missed > 0 ? here : Vec3((2.0 * here - gone).normalized());
      gone = here;
      before = missed > 0 ? Step{*section.ring, way} : last;
      last = {*section.ring, way};
      at = last.ring.centre;
      missed = 0;
    }
    return Finely(before, last);
  }

 private:
  /// True if b may be of the tube of a, a way on: it is not much larger, its wall is no thicker.
  [[nodiscard]] static bool ComesBack(const RingSection& a, const RingSection& b) {
    const auto wall = [](const RingSection& ring) { return ring.metal / std::sqrt(ring.filled); };
    return std::abs(b.filled - a.filled) < kComesBack * a.filled &&
           std::abs(wall(b) - wall(a)) < kComesBackWall * wall(a);
  }

  [[nodiscard]] static bool GoesOn(const RingSection& a, const RingSection& b, double share) {
    return std::abs(b.filled - a.filled) < share * a.filled &&
           std::abs(b.metal - a.metal) < share * a.metal;
  }

  /// Goes on from the last ring in fine steps, as long as the areas change as they did.
  [[nodiscard]] Step Finely(const Step& before, const Step& last) const {
    const double apart = (last.ring.centre - before.ring.centre).norm();
    const double fill = apart > 0.0 ? (last.ring.filled - before.ring.filled) / apart : 0.0;
    const double metal = apart > 0.0 ? (last.ring.metal - before.ring.metal) / apart : 0.0;
    Step here = last;
    for (double gone = kFineStep; gone < 1.5 * step(); gone += kFineStep) {
      const MeshSection section =
          sections_.At(last.ring.centre + gone * last.way, last.way, std::sqrt(last.ring.filled));
      RingSection expected = last.ring;
      expected.filled += gone * fill;
      expected.metal += gone * metal;
      if (!section.ring || !GoesOn(expected, *section.ring, kGoesOnFine)) break;
      here = {*section.ring, last.way};
    }
    return here;
  }

  const TopoDS_Shape& solid_;
  MeshSections sections_;
  double size_ = 0.0;
  Vec3 middle_ = Vec3::Zero();
  Vec3 long_ = Vec3::UnitX();
};

/// The flat face that closes the tube beyond its last ring; nothing if none does.
std::optional<HeadCut> PlainEnd(const TopoDS_Shape& solid, const Step& last) {
  for (TopExp_Explorer e(solid, TopAbs_FACE); e.More(); e.Next()) {
    const TopoDS_Face face = TopoDS::Face(e.Current());
    const GeomLib_IsPlanarSurface planar(BRep_Tool::Surface(face), 1e-4);
    if (!planar.IsPlanar()) continue;
    const gp_Dir d = planar.Plan().Axis().Direction();
    Vec3 normal(d.X(), d.Y(), d.Z());
    if (normal.dot(last.way) < 0.0) normal = -normal;
    if (normal.dot(last.way) < kEndAcross) continue;
    const auto filled = FilledOf(face);
    if (!filled) continue;
    const Vec3 off = filled->centre - last.ring.centre;
    const double along = off.dot(last.way);
    if (along < -kFineStep || along > kEndFar ||
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
Vec3 AlongCylinder(const TopoDS_Shape& solid, const Step& last) {
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
std::vector<HeadCut> PlanesOf(const std::array<Step, 2>& last, const std::array<Vec3, 2>& along,
                              const std::array<std::optional<HeadCut>, 2>& plain) {
  std::vector<HeadCut> planes;
  for (std::size_t end = 0; end < 2; ++end) {
    if (plain[end]) continue;
    const Step& here = last[end];
    const Step& there = last[1 - end];
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
  std::vector<TopoDS_Shape> solids;
  for (TopExp_Explorer e(shape, TopAbs_SOLID); e.More(); e.Next()) solids.push_back(e.Current());
  if (solids.size() != 1 || !BRepCheck_Analyzer(solids.front()).IsValid()) return std::nullopt;
  return solids.front();
}

Result<BeheadedBody> CutOff(const TopoDS_Shape& solid, const std::vector<HeadCut>& planes,
                            const std::string& what) {
  TopTools_IndexedMapOfShape faces;
  TopExp::MapShapes(solid, TopAbs_FACE, faces);
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
    TopTools_IndexedMapOfShape own;
    TopExp::MapShapes(*head, TopAbs_FACE, own);
    for (int i = 1; i <= faces.Extent(); ++i) {
      if (own.Contains(faces(i))) one.whole.push_back(i);
    }
    sum += VolumeOf(*head);
    body.heads.push_back(std::move(one));
    body.middle = *rest;
  }
  TopTools_IndexedMapOfShape left;
  TopExp::MapShapes(body.middle, TopAbs_FACE, left);
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
    const Follower follower(solid);
    const auto first = follower.First();
    if (!first) {
      return Fail(ErrorKind::job, fmt::format("{}: no section of it is that of a tube", what));
    }
    Step back = *first;
    back.way = -back.way;
    const std::array<Step, 2> last{follower.Last(back), follower.Last(*first)};
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

std::vector<TopoDS_Face> MetalOfHead(const TubeHead& head) {
  std::vector<TopoDS_Face> faces;
  for (TopExp_Explorer e(head.shape, TopAbs_FACE); e.More(); e.Next()) {
    const TopoDS_Face face = TopoDS::Face(e.Current());
    if (!LiesInCut(face, head.cut)) faces.push_back(face);
  }
  return faces;
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
