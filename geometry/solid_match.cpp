#include "geometry/solid_match.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <set>

#include <BRepAdaptor_Curve.hxx>
#include <BRepTools.hxx>
#include <BRepTopAdaptor_FClass2d.hxx>
#include <BRep_Tool.hxx>
#include <IntCurvesFace_ShapeIntersector.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <fmt/format.h>
#include <gp_Lin.hxx>

#include "geometry/solid_kernel.h"

namespace holeward {
namespace {

// What a face may be off the tube and still be one of it, mm: as much as a solid built here may be.
constexpr double kMatch = 0.02;
// Volumes agree to this share: less than one small hole takes.
constexpr double kVolume = 1e-4;
constexpr int kAcross = 9;  // samples across a face each way

std::vector<Vec3> SamplesOf(const TopoDS_Face& face) {
  std::vector<Vec3> places;
  double u1 = 0.0, u2 = 0.0, v1 = 0.0, v2 = 0.0;
  BRepTools::UVBounds(face, u1, u2, v1, v2);
  const Handle(Geom_Surface) surface = BRep_Tool::Surface(face);
  const BRepTopAdaptor_FClass2d within(face, 1e-7);
  for (int i = 0; i < kAcross; ++i) {
    for (int j = 0; j < kAcross; ++j) {
      const gp_Pnt2d at(u1 + (u2 - u1) * (i + 0.5) / kAcross, v1 + (v2 - v1) * (j + 0.5) / kAcross);
      if (within.Perform(at) == TopAbs_OUT) continue;
      places.push_back(ToVec3(surface->Value(at.X(), at.Y())));
    }
  }
  for (TopExp_Explorer e(face, TopAbs_EDGE); e.More(); e.Next()) {
    if (BRep_Tool::Degenerated(TopoDS::Edge(e.Current()))) continue;
    const BRepAdaptor_Curve curve(TopoDS::Edge(e.Current()));
    for (int i = 0; i <= kAcross; ++i) {
      const double t = static_cast<double>(i) / kAcross;
      places.push_back(ToVec3(curve.Value(curve.FirstParameter() +
                                          t * (curve.LastParameter() - curve.FirstParameter()))));
    }
  }
  return places;
}

/// What one face is of the tube.
struct FaceKind {
  FaceRole role = FaceRole::outer;
  std::string name;
  double off = 0.0;  ///< greatest departure, mm
};

class Matcher {
 public:
  Matcher(const Skin& skin, const HollowSpec& spec) : skin_(skin), spec_(spec) {
    for (std::size_t end = 0; end < 2; ++end) {
      const SectionFrame frame = skin.FrameAt(end == 0 ? 0.0 : skin.u_end());
      out_[end] = end == 0 ? Vec3(-frame.tangent) : frame.tangent;
      at_[end] = frame.centre;
    }
  }

  /// The kind of a face that is one of the tube; nothing if it is none.
  [[nodiscard]] std::optional<FaceKind> Of(const std::vector<Vec3>& places) const {
    for (std::size_t end = 0; end < 2; ++end) {
      if (const auto off = OffPlane(places, end, 0.0)) {
        return FaceKind{FaceRole::end, spec_.end_names[end], *off};
      }
      if (!spec_.closed[end]) continue;
      if (const auto off = OffPlane(places, end, -spec_.wall)) {
        return FaceKind{FaceRole::end, spec_.end_names[end] + " inner", *off};
      }
    }
    FaceKind kind;
    std::array<double, 2> off{0.0, 0.0};  // from the outside, from the inside
    for (const Vec3& place : places) {
      const auto hit = skin_.Project(place);
      if (!hit) return std::nullopt;
      off[0] = std::max(off[0], hit->distance);
      const bool within = (place - hit->position).dot(skin_.At(hit->place).normal) <= 0.0;
      off[1] = std::max(off[1], std::abs((within ? hit->distance : -hit->distance) - spec_.wall));
    }
    const bool inner = off[1] < off[0];
    kind.off = off[inner ? 1 : 0];
    if (kind.off > kMatch) return std::nullopt;
    kind.role = inner ? FaceRole::inner : FaceRole::outer;
    kind.name = NameAt(places) + (inner ? " inner" : "");
    return kind;
  }

 private:
  [[nodiscard]] std::optional<double> OffPlane(const std::vector<Vec3>& places, std::size_t end,
                                               double beyond) const {
    double off = 0.0;
    for (const Vec3& place : places) {
      off = std::max(off, std::abs((place - at_[end]).dot(out_[end]) - beyond));
    }
    return off <= kMatch ? std::optional(off) : std::nullopt;
  }

  /// The piece of the skin most of the places lie on.
  [[nodiscard]] std::string NameAt(const std::vector<Vec3>& places) const {
    std::vector<int> votes(static_cast<std::size_t>(skin_.piece_count()), 0);
    for (const Vec3& place : places) {
      if (const auto hit = skin_.Project(place)) {
        ++votes[static_cast<std::size_t>(skin_.PieceOf(skin_.Wrapped(hit->place.v)))];
      }
    }
    const auto most = std::max_element(votes.begin(), votes.end()) - votes.begin();
    return spec_.piece_names[static_cast<std::size_t>(most)];
  }

  const Skin& skin_;
  const HollowSpec& spec_;
  std::array<Vec3, 2> at_;
  std::array<Vec3, 2> out_;  ///< outward at the ends
};

tl::unexpected<Error> Stray(const HollowSpec& spec, const std::vector<Vec3>& places, int number) {
  Vec3 low = places.front();
  Vec3 high = low;
  for (const Vec3& place : places) {
    low = low.cwiseMin(place);
    high = high.cwiseMax(place);
  }
  return Fail(
      ErrorKind::job,
      fmt::format("{}: face {} of it, between [{:.1f}, {:.1f}, {:.1f}] and [{:.1f}, {:.1f}, "
                  "{:.1f}], is neither outside, inside nor end of a straight tube with one "
                  "wall; holes and mounts belong into the job's fittings, not into this "
                  "body",
                  spec.what, number, low.x(), low.y(), low.z(), high.x(), high.y(), high.z()));
}

std::string Unused(const std::string& name, std::set<std::string>& used) {
  std::string unique = name;
  for (int i = 2; !used.insert(unique).second; ++i) unique = fmt::format("{} {}", name, i);
  return unique;
}

}  // namespace

Result<WallFound> WallOfSolid(const TopoDS_Shape& solid, const Skin& skin,
                              const std::string& what) {
  return Guarded(what, "measuring its wall", [&]() -> Result<WallFound> {
    IntCurvesFace_ShapeIntersector rays;
    rays.Load(solid, 1e-7);
    WallFound wall{std::numeric_limits<double>::infinity(), 0.0};
    for (int piece = 0; piece < skin.piece_count(); piece += skin.round() ? 1 : 2) {
      for (const double share : {0.2, 0.5, 0.8}) {
        const SkinPoint p = skin.At(share * skin.u_end(), piece + 0.5);
        // From just outside: in at the skin, out where the wall ends.
        const double before = 0.5;
        rays.Perform(gp_Lin(ToPnt(p.position + before * p.normal),
                            gp_Dir(-p.normal.x(), -p.normal.y(), -p.normal.z())),
                     0.0, 1e5);
        std::vector<double> hits;
        for (int i = 1; i <= rays.NbPnt(); ++i) hits.push_back(rays.WParameter(i));
        std::sort(hits.begin(), hits.end());
        const auto behind = std::find_if(hits.begin(), hits.end(),
                                         [&](double h) { return h > hits.front() + 1e-4; });
        if (hits.empty() || std::abs(hits.front() - before) > kMatch || behind == hits.end()) {
          return Fail(ErrorKind::job,
                      fmt::format("{}: no wall is met at [{:.1f}, {:.1f}, {:.1f}]", what,
                                  p.position.x(), p.position.y(), p.position.z()));
        }
        wall.least = std::min(wall.least, *behind - hits.front());
        wall.greatest = std::max(wall.greatest, *behind - hits.front());
      }
    }
    if (wall.greatest - wall.least > kMatch) {
      return Fail(ErrorKind::job,
                  fmt::format("{}: its wall is {:.3f} to {:.3f} mm; a part has the same wall "
                              "everywhere, within {:g} mm",
                              what, wall.least, wall.greatest, kMatch));
    }
    return wall;
  });
}

Result<NamedSolid> MatchedSolid(const TopoDS_Shape& solid, const Skin& skin,
                                const HollowSpec& spec) {
  const auto tube = NamedSolid::BuildHollow(skin, spec);
  if (!tube) return tube;
  return Guarded(spec.what, "telling its faces apart", [&]() -> Result<NamedSolid> {
    const Matcher matcher(skin, spec);
    std::vector<RawFace> faces;
    std::set<std::string> used;
    double off = 0.0;
    int number = 0;
    for (TopExp_Explorer e(solid, TopAbs_FACE); e.More(); e.Next()) {
      const TopoDS_Face face = TopoDS::Face(e.Current());
      const std::vector<Vec3> places = SamplesOf(face);
      const auto kind = matcher.Of(places);
      ++number;
      if (!kind) return Stray(spec, places, number);
      off = std::max(off, kind->off);
      faces.push_back({Unused(kind->name, used), kind->role, face});
    }
    auto made = SolidMaker::FromShape(spec.what, solid, std::move(faces));
    if (!made) return made;
    if (std::abs(made->volume() - tube->volume()) > kVolume * tube->volume()) {
      return Fail(ErrorKind::job,
                  fmt::format("{}: its volume is {:.1f} mm3, that of the tube {:.1f} mm3",
                              spec.what, made->volume(), tube->volume()));
    }
    SolidMaker::SetWall(*made, 2.0 * off, spec.wall - off, spec.wall + off);
    return made;
  });
}

}  // namespace holeward
