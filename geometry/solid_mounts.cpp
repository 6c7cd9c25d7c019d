#include "geometry/solid_mounts.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include <BRepAlgoAPI_Cut.hxx>
#include <BRepAlgoAPI_Defeaturing.hxx>
#include <BRepCheck_Analyzer.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_IndexedDataMapOfShapeListOfShape.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS.hxx>
#include <fmt/format.h>

#include "geometry/face_samples.h"
#include "geometry/footprint_closing.h"
#include "geometry/shape_parts.h"
#include "geometry/skin_nearest.h"
#include "geometry/solid_kernel.h"

namespace holeward {
namespace {

// A face this far off the skin is none of the tube, mm: as much as the match allows it.
constexpr double kOff = 0.02;
// A face of which more than this share lies on the skin is the tube's, whatever else it is: the
// toe of a small fillet lies on it with a tenth.
constexpr double kFlushShare = 0.4;
// Volumes of body, tube and mounts add up to this share of the tube's.
constexpr double kVolume = 1e-5;
// More faces stand on no tube: each is looked at by a hundred places.
constexpr int kMostMountFaces = 1000;

/// Height above the skin, mm; negative under it.
double HeightOver(const Skin& skin, const SkinNearest& nearest, const Vec3& place) {
  const auto hit = nearest.Project(place);
  if (!hit) return -1e3;  // on the centre line
  return (place - hit->position).dot(skin.At(hit->place).normal) < 0.0 ? -hit->distance
                                                                       : hit->distance;
}

tl::unexpected<Error> Refused(const std::string& what, const std::string& where,
                              const char* because) {
  return Fail(ErrorKind::job, fmt::format("{}: {}, {}", what, where, because));
}

/// True if a face stands off the skin; false if it is one of the tube, or under it.
Result<bool> StandsOff(const TopoDS_Face& face, const Skin& skin, const SkinNearest& nearest,
                       const std::string& what, int number) {
  const std::vector<Vec3> within = SamplesWithin(face);
  const std::vector<Vec3> places = SamplesOf(face);
  double least = 1e300;
  double most = -1e300;
  std::size_t flush = 0;
  for (std::size_t i = 0; i < places.size(); ++i) {
    const double height = HeightOver(skin, nearest, places[i]);
    least = std::min(least, height);
    most = std::max(most, height);
    if (i < within.size() && std::abs(height) <= kOff) ++flush;
  }
  if (places.empty() || most <= kOff) return false;
  if (least < -kOff) {
    return Refused(what, WhereFaceLies(number, places),
                   "lies partly outside the tube's skin and partly under it: what goes through a "
                   "mount into the tube cannot be taken apart; give the file as two bodies");
  }
  if (static_cast<double>(flush) > kFlushShare * static_cast<double>(within.size())) {
    return Refused(what, WhereFaceLies(number, places),
                   "runs on flush from the tube into a mount; give the file as two bodies");
  }
  return true;
}

/// Faces in groups that border each other.
class Groups {
 public:
  explicit Groups(std::size_t count) : root_(count) {
    std::iota(root_.begin(), root_.end(), std::size_t{0});
  }
  std::size_t Of(std::size_t i) {
    while (root_[i] != i) i = root_[i] = root_[root_[i]];
    return i;
  }
  void Join(std::size_t a, std::size_t b) { root_[Of(b)] = Of(a); }

 private:
  std::vector<std::size_t> root_;
};

std::vector<SolidMount> Grouped(const TopoDS_Shape& solid,
                                const TopTools_IndexedMapOfShape& standing) {
  TopTools_IndexedDataMapOfShapeListOfShape faces_of;
  TopExp::MapShapesAndAncestors(solid, TopAbs_EDGE, TopAbs_FACE, faces_of);
  Groups groups(static_cast<std::size_t>(standing.Extent()));
  const auto index = [&](const TopoDS_Shape& face) { return standing.FindIndex(face) - 1; };
  for (int e = 1; e <= faces_of.Extent(); ++e) {
    int first = -1;
    for (const TopoDS_Shape& face : faces_of(e)) {
      const int at = index(face);
      if (at < 0) continue;
      if (first >= 0) groups.Join(static_cast<std::size_t>(first), static_cast<std::size_t>(at));
      first = at;
    }
  }
  std::vector<SolidMount> mounts;
  std::vector<int> mount_of(static_cast<std::size_t>(standing.Extent()), -1);
  for (std::size_t i = 0; i < mount_of.size(); ++i) {
    int& number = mount_of[groups.Of(i)];
    if (number < 0) {
      number = static_cast<int>(mounts.size());
      mounts.emplace_back();
    }
    mounts[static_cast<std::size_t>(number)].faces.push_back(
        TopoDS::Face(standing.FindKey(static_cast<int>(i) + 1)));
  }
  for (int e = 1; e <= faces_of.Extent(); ++e) {
    int on = -1;
    bool leaves = false;
    for (const TopoDS_Shape& face : faces_of(e)) {
      const int at = index(face);
      if (at < 0) {
        leaves = true;
      } else {
        on = mount_of[groups.Of(static_cast<std::size_t>(at))];
      }
    }
    if (on < 0 || !leaves) continue;
    mounts[static_cast<std::size_t>(on)].border.push_back(TopoDS::Edge(faces_of.FindKey(e)));
  }
  return mounts;
}

bool HasFace(const TopoDS_Shape& shape, const SolidMount& mount) {
  const TopTools_IndexedMapOfShape faces = FacesOf(shape);
  return std::any_of(mount.faces.begin(), mount.faces.end(),
                     [&](const TopoDS_Face& face) { return faces.Contains(face); });
}

std::string WhereStands(const SolidMount& mount) {
  return WhereFaceLies(1, SamplesOf(mount.faces.front()))
      .substr(std::string("face 1 of it, ").size());
}

/// The body without the faces of its mounts.
Result<TopoDS_Shape> TakenOff(const TopoDS_Shape& solid, const std::vector<SolidMount>& mounts,
                              const std::string& what) {
  BRepAlgoAPI_Defeaturing remover;
  remover.SetShape(solid);
  for (const SolidMount& mount : mounts) {
    for (const TopoDS_Face& face : mount.faces) remover.AddFaceToRemove(face);
  }
  remover.SetRunParallel(false);
  remover.Build();
  TopoDS_Shape bare = remover.IsDone() ? remover.Shape() : solid;
  // Where the skin goes on smoothly from face to face the kernel cannot find the line they share.
  for (const SolidMount& mount : mounts) {
    if (!HasFace(bare, mount)) continue;
    auto closed = WithFootprintClosed(bare, mount.faces, what);
    if (!closed) {
      return Fail(ErrorKind::job,
                  fmt::format("{}: the skin could not be closed under the mount {} ({}); give it "
                              "as a body of its own",
                              what, WhereStands(mount), closed.error().message));
    }
    bare = std::move(*closed);
  }
  return bare;
}

}  // namespace

Result<std::vector<SolidMount>> MountsOn(const TopoDS_Shape& solid, const Skin& skin,
                                         const std::string& what) {
  return Guarded(what, "looking for mounts", [&]() -> Result<std::vector<SolidMount>> {
    const SkinNearest nearest(skin);
    TopTools_IndexedMapOfShape standing;
    int number = 0;
    for (TopExp_Explorer e(solid, TopAbs_FACE); e.More(); e.Next()) {
      const TopoDS_Face face = TopoDS::Face(e.Current());
      const auto stands = StandsOff(face, skin, nearest, what, ++number);
      if (!stands) return tl::unexpected(stands.error());
      if (*stands) standing.Add(face);
      if (standing.Extent() > kMostMountFaces) {
        return Fail(ErrorKind::job, fmt::format("{}: more than {} faces stand off its skin", what,
                                                kMostMountFaces));
      }
    }
    return Grouped(solid, standing);
  });
}

Result<PartedBody> WithoutMounts(const TopoDS_Shape& solid, std::vector<SolidMount> mounts,
                                 const std::string& what) {
  return Guarded(what, "taking its mounts off", [&]() -> Result<PartedBody> {
    const auto taken = TakenOff(solid, mounts, what);
    if (!taken) return tl::unexpected(taken.error());
    const std::vector<TopoDS_Shape> left = SolidsOf(*taken);
    if (left.size() != 1 || !BRepCheck_Analyzer(left.front()).IsValid()) {
      return Fail(ErrorKind::computed,
                  fmt::format("{}: without its mounts it is not one sound solid", what));
    }
    const TopoDS_Shape& bare = left.front();
    BRepAlgoAPI_Cut cut(solid, bare);
    if (!cut.IsDone() || cut.HasErrors()) {
      return Fail(ErrorKind::computed, fmt::format("{}: its mounts could not be cut off", what));
    }
    const std::vector<TopoDS_Shape> bodies = SolidsOf(cut.Shape());
    double sum = VolumeOf(bare);
    const double most = kVolume * sum;
    bool sound = !bodies.empty() && bodies.size() <= mounts.size();
    for (const TopoDS_Shape& body : bodies) {
      const double volume = VolumeOf(body);
      sound = sound && volume > 0.0 && BRepCheck_Analyzer(body).IsValid();
      sum += volume;
    }
    const double whole = VolumeOf(solid);
    if (!sound || std::abs(sum - whole) > most) {
      return Fail(ErrorKind::computed,
                  fmt::format("{}: its tube and {} mounts do not make the body up: {:.1f} mm3 of "
                              "{:.1f} mm3; give the mounts as bodies of their own",
                              what, mounts.size(), sum, whole));
    }
    return PartedBody{bare, std::move(mounts)};
  });
}

}  // namespace holeward
