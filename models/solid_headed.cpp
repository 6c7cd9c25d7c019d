#include "models/solid_headed.h"

#include <algorithm>
#include <cmath>
#include <memory>

#include <TopoDS.hxx>
#include <fmt/format.h>

#include "geometry/fitting_body.h"
#include "geometry/head_ends.h"
#include "geometry/shape_parts.h"
#include "geometry/skin.h"
#include "geometry/solid_match.h"
#include "models/part_law.h"
#include "models/solid_file.h"
#include "models/solid_loft.h"
#include "models/solid_mount_rows.h"
#include "models/solid_sections.h"
#include "models/take_heads.h"
#include "models/take_off.h"

namespace holeward {
namespace {

// The tube's line runs through the middle of an eye within this, mm.
constexpr double kThrough = 0.5;
// Eyes of a part that serves both sides are mirror images within this, mm.
constexpr double kMirror = 0.01;

using CentreLine = std::optional<std::pair<Vec3, Vec3>>;
using Fittings = std::vector<FittingRow>;

/// A head with what is measured of it.
struct Eye {
  const TubeHead* head = nullptr;
  HeadEye eye;
};

/// A tube on whose skin everything is placed.
struct Tube {
  PartRow row;
  Skin skin;
  TubeCuts cuts;
};

Result<std::vector<Eye>> EyesOf(const BeheadedBody& body) {
  std::vector<Eye> eyes;
  for (const TubeHead& head : body.heads) {
    const auto eye = EyeOf(head);
    if (!eye) return tl::unexpected(eye.error());
    if (*eye) eyes.push_back({&head, **eye});
  }
  return eyes;
}

/// Where along the skin the section through p stands, mm from the start.
double StationOf(const Skin& skin, const Vec3& p) {
  double u = 0.5 * skin.u_end();
  for (int i = 0; i < 60; ++i) {
    const SectionFrame frame = skin.FrameAt(u);
    u = std::clamp(u + (p - frame.centre).dot(frame.tangent), 0.0, skin.u_end());
  }
  return skin.StationOf(u);
}

TubeCuts CutsOf(const Skin& skin, const std::vector<Eye>& eyes) {
  TubeCuts cuts;
  for (const Eye& eye : eyes) {
    const HeadCut& cut = eye.head->cut;
    const bool first = (cut.at - skin.FrameAt(0.0).centre).norm() <
                       (cut.at - skin.FrameAt(skin.u_end()).centre).norm();
    cuts[first ? 0 : 1] = cut;
  }
  return cuts;
}

/// What is known of a body when its heads are cut off.
struct Known {
  const PartRow& part;
  Side described;
  const CentreLine& line;
  const BeheadedBody& body;
  const std::vector<Eye>& eyes;
  std::vector<HeadEnd> ends;
};

/// The tube that faces carried on under the eyes show, straight or bent.
Result<Tube> TubeOf(const Known& known, const CarriedOn& carried, bool straight) {
  PartRow row = known.part;
  const auto taken = straight
                         ? TakeSections(row, known.described, known.line, carried.ends)
                         : TakeLoft(row, known.described, known.line, carried.ends, carried.body);
  if (!taken) return tl::unexpected(taken.error());
  auto skin = Skin::Make(LawOf(row, known.described));
  if (!skin) return tl::unexpected(skin.error());
  const TubeCuts cuts = CutsOf(*skin, known.eyes);
  return Tube{std::move(row), std::move(*skin), cuts};
}

/// A tube that the body is, with its holes and other mounts.
struct Found {
  Tube tube;
  TopoDS_Shape bare;
  std::vector<SolidHole> holes;
};

Result<Found> Matched(const Known& known, Tube tube, const TopoDS_Shape& bare) {
  const auto wall = WallOfSolid(bare, tube.skin, Named(known.part));
  if (!wall) return tl::unexpected(wall.error());
  tube.row.wall = wall->middle();
  auto matched = MatchedSolid(bare, tube.skin, SpecOf(tube.row, NamesOf(tube.row, known.described)),
                              {}, tube.cuts);
  if (!matched) return tl::unexpected(matched.error());
  return Found{std::move(tube), bare, std::move(matched->holes)};
}

/// The tube that `bare` is. Those that it is not are put into `others`.
Result<Found> Matching(const Known& known, const TopoDS_Shape& bare, std::vector<Tube>& others) {
  const auto carried = CarriedOnTo(bare, known.ends, known.body.plain, Named(known.part));
  if (!carried) return tl::unexpected(carried.error());
  std::optional<Error> no_tube;
  std::optional<Error> no_match;
  for (const bool straight : {true, false}) {
    auto tube = TubeOf(known, *carried, straight);
    if (!tube) {
      if (!no_tube) no_tube = tube.error();
      continue;
    }
    auto found = Matched(known, *tube, bare);
    if (found) return found;
    no_match = found.error();
    others.push_back(std::move(*tube));
  }
  return tl::unexpected(no_match ? *no_match : *no_tube);
}

/// The same when more stands on one of the tubes than eyes over its ends: what does is put into
/// `parted`.
Result<Found> MatchingWithMounts(const Known& known, const std::vector<Tube>& tubes,
                                 const Error& plain, PartedBody& parted) {
  const std::string what = Named(known.part);
  std::optional<Error> why;
  for (const Tube& tube : tubes) {
    auto mounts = MountsOn(known.body.middle, tube.skin, what);
    if (mounts && mounts->empty()) continue;
    auto apart = mounts ? TakenApart(known.body.middle, std::move(*mounts), what)
                        : tl::unexpected(mounts.error());
    std::vector<Tube> others;
    auto found = apart ? Matching(known, apart->bare, others) : tl::unexpected(apart.error());
    if (found) {
      parted = std::move(*apart);
      return found;
    }
    why = found.error();
  }
  return tl::unexpected(why ? *why : plain);
}

Result<FittingRow> RowOf(const Tube& tube, const Eye& eye) {
  FittingRow row;
  row.kind = FittingKind::eye;
  row.in_body = true;
  row.station = StationOf(tube.skin, eye.eye.centre);
  row.diameter = eye.eye.diameter;
  row.length = eye.eye.length;
  row.axis = eye.eye.axis;
  row.basis = tube.row.basis;
  row.at = tube.row.at;
  const Vec3 centre = tube.skin.FrameAt(tube.skin.UOfStation(row.station)).centre;
  const double off = (centre - eye.eye.centre).norm();
  if (off <= kThrough) return row;
  return Fail(ErrorKind::job,
              fmt::format("{}: the middle of its eye, [{:.1f}, {:.1f}, {:.1f}], lies {:.1f} mm off "
                          "its centre line; give the eye as a body of its own",
                          Named(tube.row), eye.eye.centre.x(), eye.eye.centre.y(),
                          eye.eye.centre.z(), off));
}

/// Faces of a body by their numbers, from 1.
Result<std::vector<TopoDS_Face>> FacesCalled(const TopoDS_Shape& solid,
                                             const std::vector<int>& numbers,
                                             const std::string& what) {
  const TopTools_IndexedMapOfShape all = FacesOf(solid);
  std::vector<TopoDS_Face> faces;
  for (const int number : numbers) {
    if (number < 1 || number > all.Extent()) {
      return Fail(ErrorKind::computed, what + ": a mount has a face that the body has not");
    }
    faces.push_back(TopoDS::Face(all(number)));
  }
  return faces;
}

std::vector<TopoDS_Face> FacesIn(const TopoDS_Shape& shape) {
  const TopTools_IndexedMapOfShape all = FacesOf(shape);
  std::vector<TopoDS_Face> faces;
  for (int i = 1; i <= all.Extent(); ++i) faces.push_back(TopoDS::Face(all(i)));
  return faces;
}

/// All of the head is metal; the plane that it was cut in lies within the tube's wall. Drawn are
/// the faces that lie in it whole: stretches of the tube's are drawn with it.
Result<MountMetal> MetalOfEye(const TopoDS_Shape& solid, const TubeHead& head,
                              const std::string& what) {
  auto faces = FacesCalled(solid, head.whole, what);
  if (!faces) return tl::unexpected(faces.error());
  MountMetal metal;
  metal.faces = std::move(*faces);
  auto body = BodyOfFaces(FacesIn(head.shape), metal.faces, what);
  if (!body) return tl::unexpected(body.error());
  metal.body = std::make_shared<const FittingBody>(std::move(*body));
  return metal;
}

/// A mount with its row.
struct Mount {
  FittingRow row;
  MountMetal metal;
};

/// Of a part that serves both sides: eyes that are mirror images stand on both.
void PairEyes(const std::vector<Eye>& eyes, Side described, std::vector<Mount>& mounts) {
  for (std::size_t i = 0; i < eyes.size(); ++i) {
    mounts[i].row.only = described;
    const std::size_t k = eyes.size() - 1 - i;
    const HeadEye& a = eyes[i].eye;
    const HeadEye& b = eyes[k].eye;
    if (i == k || (Mirrored(a.centre) - b.centre).norm() > kMirror ||
        Mirrored(a.axis).cross(b.axis).norm() > 1e-3 ||
        std::abs(a.diameter - b.diameter) > kMirror || std::abs(a.length - b.length) > kMirror) {
      continue;
    }
    mounts[i].row.only.reset();
    mounts[i].metal.mirrored = std::make_shared<const FittingBody>(Mirrored(*mounts[k].metal.body));
  }
}

Result<std::vector<Mount>> EyeMounts(const Tube& tube, const std::vector<Eye>& eyes,
                                     Side described) {
  std::vector<Mount> mounts;
  for (const Eye& eye : eyes) {
    auto row = RowOf(tube, eye);
    if (!row) return tl::unexpected(row.error());
    auto metal = MetalOfEye(tube.row.solid->body.shape, *eye.head, Named(tube.row));
    if (!metal) return tl::unexpected(metal.error());
    mounts.push_back({std::move(*row), std::move(*metal)});
  }
  if (tube.row.shared) PairEyes(eyes, described, mounts);
  return mounts;
}

/// Keeps holes and mounts with the part, the mounts in order along it.
Fittings Keep(Tube tube, const TopoDS_Shape& bare, Fittings holes, std::vector<Mount> mounts,
              PartRow& part) {
  std::stable_sort(mounts.begin(), mounts.end(), [](const Mount& a, const Mount& b) {
    return a.row.station < b.row.station - 1e-6;
  });
  BodyMounts all{bare, tube.cuts, {}};
  for (Mount& mount : mounts) {
    mount.row.name = fmt::format("mount {}", all.mounts.size() + 1);
    mount.metal.name = mount.row.name;
    all.mounts.push_back(std::move(mount.metal));
    holes.push_back(std::move(mount.row));
  }
  auto source = std::make_shared<SolidSource>(*tube.row.solid);
  source->mounts = std::make_shared<const BodyMounts>(std::move(all));
  part = std::move(tube.row);
  part.solid = std::move(source);
  return holes;
}

/// The mounts on the tube that are none of its eyes, with the faces that they are of the body.
Result<std::vector<Mount>> OtherMounts(const BeheadedBody& body, Side described,
                                       const PartedBody& parted, Tube& tube) {
  std::vector<Mount> mounts;
  if (parted.mounts.empty()) return mounts;
  const TopoDS_Shape whole = tube.row.solid->body.shape;
  auto rows = TakeMounts(tube.row, described, parted);
  if (!rows) return tl::unexpected(rows.error());
  const TopTools_IndexedMapOfShape left = FacesOf(body.middle);
  std::vector<MountMetal> metal = tube.row.solid->mounts->mounts;
  for (std::size_t i = 0; i < rows->size(); ++i) {
    std::vector<int> numbers;
    for (const TopoDS_Face& face : metal[i].faces) {
      const int at = left.FindIndex(face);
      numbers.push_back(at > 0 ? body.faces.at(static_cast<std::size_t>(at) - 1) : 0);
    }
    auto faces = FacesCalled(whole, numbers, Named(tube.row));
    if (!faces) return tl::unexpected(faces.error());
    metal[i].faces = std::move(*faces);
    mounts.push_back({std::move((*rows)[i]), std::move(metal[i])});
  }
  return mounts;
}

}  // namespace

Result<std::optional<Fittings>> TakeHeaded(PartRow& part, Side described, const CentreLine& line) {
  const std::string what = Named(part);
  const auto body = CutAtHeads(part.solid->body.shape, what);
  if (!body || body->heads.empty()) return std::optional<Fittings>();
  const auto eyes = EyesOf(*body);
  if (!eyes) return tl::unexpected(eyes.error());
  if (eyes->size() != body->heads.size()) return std::optional<Fittings>();
  Known known{part, described, line, *body, *eyes, {}};
  for (const Eye& eye : *eyes) {
    known.ends.push_back({eye.head->cut, EndUnder(body->middle, *eye.head, eye.eye)});
  }
  PartedBody parted;
  std::vector<Tube> tubes;
  auto found = Matching(known, body->middle, tubes);
  if (!found) found = MatchingWithMounts(known, tubes, found.error(), parted);
  if (!found) return tl::unexpected(found.error());
  auto mounts = EyeMounts(found->tube, *eyes, described);
  if (!mounts) return tl::unexpected(mounts.error());
  auto others = OtherMounts(*body, described, parted, found->tube);
  if (!others) return tl::unexpected(others.error());
  mounts->insert(mounts->end(), others->begin(), others->end());
  const Skin skin = found->tube.skin;
  Fittings holes =
      HoleRows(found->tube.row, skin, NamesOf(found->tube.row, described), found->holes);
  PartRow whole = part;
  auto fittings =
      Keep(std::move(found->tube), found->bare, std::move(holes), std::move(*mounts), whole);
  // Every face of the body as it is must be the tube's or a mount's.
  const auto told = MatchedSolid(whole.solid->body.shape, skin,
                                 SpecOf(whole, NamesOf(whole, described)), FacesOfMounts(whole));
  if (!told) return tl::unexpected(told.error());
  part = std::move(whole);
  return std::optional<Fittings>(std::move(fittings));
}

}  // namespace holeward
