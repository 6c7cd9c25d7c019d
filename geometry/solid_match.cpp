#include "geometry/solid_match.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <set>

#include <BRepAdaptor_Surface.hxx>
#include <IntCurvesFace_ShapeIntersector.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <fmt/format.h>
#include <gp_Lin.hxx>

#include "geometry/face_samples.h"
#include "geometry/shape_parts.h"
#include "geometry/skin_nearest.h"
#include "geometry/solid_kernel.h"
#include "geometry/solid_law.h"
#include "geometry/tube_heads.h"

namespace holeward {
namespace {

// What a face may be off the tube and still be one of it, mm: as much as a solid built here may be.
constexpr double kMatch = 0.02;
// Volumes agree to this share: less than one small hole takes.
constexpr double kVolume = 1e-4;
// A bore is square to the skin within this, radians, and its axis meets the place found within
// this, mm.
constexpr double kSquareHole = 0.01;
constexpr double kHoleAside = 0.02;
// What bores take of a curved wall is told by diameter and wall to this share.
constexpr double kHoleVolume = 0.1;

/// What one face is of the tube.
struct FaceKind {
  FaceRole role = FaceRole::outer;
  std::string name;
  double off = 0.0;  ///< greatest departure, mm
};

class Matcher {
 public:
  Matcher(const Skin& skin, const HollowSpec& spec, const TubeCuts& cuts)
      : skin_(skin), nearest_(skin), spec_(spec), cuts_(cuts) {
    for (std::size_t end = 0; end < 2; ++end) {
      const SectionFrame frame = skin.FrameAt(end == 0 ? 0.0 : skin.u_end());
      out_[end] = end == 0 ? Vec3(-frame.tangent) : frame.tangent;
      at_[end] = frame.centre;
    }
  }

  /// The kind of a face that is one of the tube; nothing if it is none.
  [[nodiscard]] std::optional<FaceKind> Of(const std::vector<Vec3>& places) const {
    for (std::size_t end = 0; end < 2; ++end) {
      if (cuts_[end]) {
        if (const auto off = OffCut(places, *cuts_[end])) {
          return FaceKind{FaceRole::end, spec_.end_names[end] + " cut", *off};
        }
        continue;
      }
      if (const auto off = OffPlane(places, end, 0.0)) {
        return FaceKind{FaceRole::end, spec_.end_names[end], *off};
      }
      if (!spec_.closed[end]) continue;
      if (const auto off = OffPlane(places, end, -spec_.wall)) {
        return FaceKind{FaceRole::end, spec_.end_names[end] + " inner", *off};
      }
    }
    if (!skin_.closed()) {
      if (const auto lip = LipOf(places)) return lip;
    }
    FaceKind kind;
    std::array<double, 2> off{0.0, 0.0};  // from the outside, from the inside
    std::vector<int> votes(static_cast<std::size_t>(skin_.piece_count()), 0);
    for (const Vec3& place : places) {
      const auto hit = nearest_.Project(place);
      if (!hit) return std::nullopt;
      ++votes[static_cast<std::size_t>(skin_.PieceOf(skin_.Wrapped(hit->place.v)))];
      off[0] = std::max(off[0], hit->distance);
      const bool within = (place - hit->position).dot(skin_.At(hit->place).normal) <= 0.0;
      off[1] = std::max(off[1], std::abs((within ? hit->distance : -hit->distance) - spec_.wall));
    }
    const bool inner = off[1] < off[0];
    kind.off = off[inner ? 1 : 0];
    if (kind.off > kMatch) return std::nullopt;
    kind.role = inner ? FaceRole::inner : FaceRole::outer;
    const auto most = std::max_element(votes.begin(), votes.end()) - votes.begin();
    kind.name = spec_.piece_names[static_cast<std::size_t>(most)] + (inner ? " inner" : "");
    return kind;
  }

 private:
  /// A channel's lip: the places lie on one of the ruled strips between its skins.
  [[nodiscard]] std::optional<FaceKind> LipOf(const std::vector<Vec3>& places) const {
    for (std::size_t lip = 0; lip < 2; ++lip) {
      const double v = lip == 0 ? 0.0 : skin_.piece_count();
      const int piece = lip == 0 ? 0 : skin_.piece_count() - 1;
      const SkinPoint from = skin_.At(0.0, v, 0, piece);
      const SkinPoint to = skin_.At(skin_.u_end(), v, skin_.span_count() - 1, piece);
      const Vec3 along = (to.position - from.position).normalized();
      const Vec3 out = along.cross(from.normal).normalized();
      double off = 0.0;
      for (const Vec3& place : places) {
        const Vec3 apart = place - from.position;
        const double deep = -apart.dot(from.normal);
        off = std::max({off, std::abs(apart.dot(out)), -deep, deep - spec_.wall});
      }
      if (off <= kMatch) return FaceKind{FaceRole::lip, spec_.lip_names[lip], off};
    }
    return std::nullopt;
  }

  [[nodiscard]] std::optional<double> OffPlane(const std::vector<Vec3>& places, std::size_t end,
                                               double beyond) const {
    double off = 0.0;
    for (const Vec3& place : places) {
      off = std::max(off, std::abs((place - at_[end]).dot(out_[end]) - beyond));
    }
    return off <= kMatch ? std::optional(off) : std::nullopt;
  }

  [[nodiscard]] static std::optional<double> OffCut(const std::vector<Vec3>& places,
                                                    const HeadCut& cut) {
    double off = 0.0;
    for (const Vec3& place : places) off = std::max(off, std::abs((place - cut.at).dot(cut.out)));
    return off <= kMatch ? std::optional(off) : std::nullopt;
  }

  const Skin& skin_;
  SkinNearest nearest_;
  const HollowSpec& spec_;
  const TubeCuts& cuts_;
  std::array<Vec3, 2> at_;
  std::array<Vec3, 2> out_;  ///< outward at the ends
};

/// The bores of a body through the wall of its tube, face by face.
class HoleFinder {
 public:
  HoleFinder(const Skin& skin, double wall) : skin_(skin), nearest_(skin), wall_(wall) {}

  /// Takes a face if it is a stretch of a bore square to the skin, from the skin to one wall under
  /// it; the bore's name, or nothing.
  std::optional<std::string> Take(const TopoDS_Face& face, const std::vector<Vec3>& places) {
    const BRepAdaptor_Surface surface(face);
    if (surface.GetType() != GeomAbs_Cylinder) return std::nullopt;
    const gp_Cylinder cylinder = surface.Cylinder();
    if (cylinder.Direct() != (face.Orientation() == TopAbs_REVERSED)) return std::nullopt;
    Vec3 middle = Vec3::Zero();
    for (const Vec3& place : places) {
      const auto hit = nearest_.Project(place);
      if (!hit) return std::nullopt;
      const double off = (place - hit->position).dot(skin_.At(hit->place).normal);
      if (off > kMatch || off < -wall_ - kMatch) return std::nullopt;
      middle += place / static_cast<double>(places.size());
    }
    const Vec3 origin = ToVec3(cylinder.Location());
    const gp_Dir& direction = cylinder.Axis().Direction();
    const Vec3 way(direction.X(), direction.Y(), direction.Z());
    const auto at = nearest_.Project(Vec3(origin + (middle - origin).dot(way) * way));
    if (!at) return std::nullopt;
    const SkinPoint skin = skin_.At(at->place);
    const Vec3 off = skin.position - origin;
    if (skin.normal.cross(way).norm() > kSquareHole ||
        (off - off.dot(way) * way).norm() > kHoleAside) {
      return std::nullopt;
    }
    return Add({at->place, skin.position, 2.0 * cylinder.Radius()},
               surface.LastUParameter() - surface.FirstUParameter());
  }

  [[nodiscard]] const std::vector<SolidHole>& holes() const { return holes_; }

  /// The first bore that does not go all round, or nothing.
  [[nodiscard]] std::optional<SolidHole> Open() const {
    for (std::size_t i = 0; i < holes_.size(); ++i) {
      if (turns_[i] < 2.0 * kPi - 1e-3) return holes_[i];
    }
    return std::nullopt;
  }

  /// What the bores take of the tube's metal, about, mm3.
  [[nodiscard]] double volume() const {
    double sum = 0.0;
    for (const SolidHole& hole : holes_) {
      sum += 0.25 * kPi * hole.diameter * hole.diameter * wall_;
    }
    return sum;
  }

 private:
  std::string Add(const SolidHole& hole, double turn) {
    std::size_t i = 0;
    while (i < holes_.size() && ((holes_[i].position - hole.position).norm() > 2.0 * kHoleAside ||
                                 std::abs(holes_[i].diameter - hole.diameter) > kHoleAside)) {
      ++i;
    }
    if (i == holes_.size()) {
      holes_.push_back(hole);
      turns_.push_back(0.0);
    }
    turns_[i] += turn;
    return fmt::format("hole {}", i + 1);
  }

  const Skin& skin_;
  SkinNearest nearest_;
  double wall_;
  std::vector<SolidHole> holes_;
  std::vector<double> turns_;
};

tl::unexpected<Error> Stray(const HollowSpec& spec, const std::vector<Vec3>& places, int number) {
  return Fail(ErrorKind::job,
              fmt::format("{}: {}, is neither outside, inside nor end of a tube with one wall, nor "
                          "a round hole square through it, nor a mount that stands on its skin",
                          spec.what, WhereFaceLies(number, places)));
}

tl::unexpected<Error> OpenBore(const HollowSpec& spec, const SolidHole& hole) {
  return Fail(ErrorKind::job,
              fmt::format("{}: a bore {:.2f} mm across at [{:.1f}, {:.1f}, {:.1f}] does not go all "
                          "round; a slot or a notch cannot be judged",
                          spec.what, hole.diameter, hole.position.x(), hole.position.y(),
                          hole.position.z()));
}

Result<double> VolumeOfCutTube(const Skin& skin, const HollowSpec& spec, const TubeCuts& cuts) {
  const auto tube = NamedSolid::BuildHollow(skin, spec);
  if (!tube) return tl::unexpected(tube.error());
  TopoDS_Shape left = tube->shape();
  for (const auto& cut : cuts) {
    if (!cut) continue;
    auto rest = ThisSideOf(left, *cut, spec.what);
    if (!rest) return tl::unexpected(rest.error());
    left = std::move(*rest);
  }
  return VolumeOf(left);
}

/// The volume of the metal that the skin has with that wall between its cuts, mm3.
Result<double> VolumeOfTube(const Skin& skin, const HollowSpec& spec, const TubeCuts& cuts) {
  if (cuts[0] || cuts[1]) return VolumeOfCutTube(skin, spec, cuts);
  if (skin.is_straight()) {
    const auto tube = NamedSolid::BuildHollow(skin, spec);
    if (!tube) return tl::unexpected(tube.error());
    return tube->volume();
  }
  const auto law = HollowLaw::Make(skin, spec.wall, spec.closed);
  if (!law) return Fail(law.error().kind, spec.what + ": " + law.error().message);
  return law->VolumeByLaw(8);
}

std::string Unused(const std::string& name, std::set<std::string>& used) {
  std::string unique = name;
  for (int i = 2; !used.insert(unique).second; ++i) unique = fmt::format("{} {}", name, i);
  return unique;
}

/// The name of the mount that a face is one of; null if of none.
const std::string* MountOf(const TopoDS_Face& face, const std::vector<NamedMount>& mounts) {
  for (const NamedMount& mount : mounts) {
    for (const TopoDS_Face& own : mount.faces) {
      if (own.IsSame(face)) return &mount.name;
    }
  }
  return nullptr;
}

/// The wall under a place of the skin; nothing if none begins there.
std::optional<double> WallAt(IntCurvesFace_ShapeIntersector& rays, const SkinPoint& p) {
  // From just outside: in at the skin, out where the wall ends.
  const double before = 0.5;
  rays.Perform(gp_Lin(ToPnt(p.position + before * p.normal),
                      gp_Dir(-p.normal.x(), -p.normal.y(), -p.normal.z())),
               0.0, 1e5);
  std::vector<double> hits;
  for (int i = 1; i <= rays.NbPnt(); ++i) hits.push_back(rays.WParameter(i));
  std::sort(hits.begin(), hits.end());
  const auto behind =
      std::find_if(hits.begin(), hits.end(), [&](double h) { return h > hits.front() + 1e-4; });
  if (hits.empty() || std::abs(hits.front() - before) > kMatch || behind == hits.end()) {
    return std::nullopt;
  }
  return *behind - hits.front();
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
        std::optional<double> met;
        for (const double aside : {0.0, 0.07, -0.07, 0.13}) {  // a hole may be in the way
          if (!met) met = WallAt(rays, skin.At((share + aside) * skin.u_end(), piece + 0.5));
        }
        if (!met) {
          const Vec3 p = skin.At(share * skin.u_end(), piece + 0.5).position;
          return Fail(ErrorKind::job, fmt::format("{}: no wall is met at [{:.1f}, {:.1f}, {:.1f}]",
                                                  what, p.x(), p.y(), p.z()));
        }
        wall.least = std::min(wall.least, *met);
        wall.greatest = std::max(wall.greatest, *met);
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

Result<MatchedBody> MatchedSolid(const TopoDS_Shape& solid, const Skin& skin,
                                 const HollowSpec& spec, const std::vector<NamedMount>& mounts,
                                 const TubeCuts& cuts) {
  const bool bare = mounts.empty();
  const auto volume = bare ? VolumeOfTube(skin, spec, cuts) : Result<double>(0.0);
  if (!volume) return tl::unexpected(volume.error());
  return Guarded(spec.what, "telling its faces apart", [&]() -> Result<MatchedBody> {
    const Matcher matcher(skin, spec, cuts);
    HoleFinder holes(skin, spec.wall);
    std::vector<RawFace> faces;
    std::set<std::string> used;
    double off = 0.0;
    int number = 0;
    for (TopExp_Explorer e(solid, TopAbs_FACE); e.More(); e.Next()) {
      const TopoDS_Face face = TopoDS::Face(e.Current());
      const std::vector<Vec3> places = SamplesOf(face);
      ++number;
      if (const std::string* mount = MountOf(face, mounts)) {
        faces.push_back({Unused(*mount, used), FaceRole::fitting, face});
      } else if (const auto kind = matcher.Of(places)) {
        off = std::max(off, kind->off);
        faces.push_back({Unused(kind->name, used), kind->role, face});
      } else if (const auto hole = holes.Take(face, places)) {
        faces.push_back({Unused(*hole, used), FaceRole::hole, face});
      } else {
        return Stray(spec, places, number);
      }
    }
    if (const auto open = holes.Open()) return OpenBore(spec, *open);
    auto made = SolidMaker::FromShape(spec.what, solid, std::move(faces));
    if (!made) return tl::unexpected(made.error());
    // What a bent wall may be off by, the law's volume may be off by too.
    const double share = kVolume + (skin.is_straight() ? 0.0 : 2.0 * off / spec.wall);
    const double expected = *volume - holes.volume();
    if (bare &&
        std::abs(made->volume() - expected) > share * *volume + kHoleVolume * holes.volume()) {
      return Fail(ErrorKind::job,
                  fmt::format("{}: its volume is {:.1f} mm3, that of the tube {:.1f} mm3",
                              spec.what, made->volume(), expected));
    }
    SolidMaker::SetWall(*made, 2.0 * off, spec.wall - off, spec.wall + off);
    return MatchedBody{std::move(*made), holes.holes()};
  });
}

}  // namespace holeward
