#include "models/solid_part.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "geometry/solid_joined.h"
#include "geometry/solid_match.h"
#include "geometry/solid_mounts.h"
#include "geometry/tube_ends.h"
#include "geometry/tube_of_solid.h"
#include "models/part_words.h"
#include "models/solid_file.h"
#include "models/solid_headed.h"
#include "models/solid_loft.h"
#include "models/solid_mount_rows.h"
#include "models/solid_sections.h"
#include "models/take_off.h"

namespace holeward {
namespace {

// More faces are not compared with a tube, place by place: 2000 take some seconds.
constexpr int kMostFaces = 2000;
// So many pairs of ends are tried; another tube of more than this share of the found one's skin
// makes the body two.
constexpr std::size_t kMostTries = 4;
constexpr double kAsLarge = 0.5;

using CentreLine = std::optional<std::pair<Vec3, Vec3>>;
using Fittings = std::vector<FittingRow>;

Result<Skin> SkinOf(const PartRow& part, Side described) {
  auto skin = Skin::Make(LawOf(part, described));
  if (skin) return skin;
  return Fail(skin.error().kind, fmt::format("{}: {}", Named(part), skin.error().message));
}

/// What is left when sections and ends are known: the wall, and every face of the body told.
Result<Fittings> TakeWall(PartRow& part, Side described, const TopoDS_Shape& body) {
  const auto skin = SkinOf(part, described);
  if (!skin) return tl::unexpected(skin.error());
  const auto wall = WallOfSolid(body, *skin, Named(part));
  if (!wall) return tl::unexpected(wall.error());
  part.wall = wall->middle();
  const PartNames names = NamesOf(part, described);
  const auto matched = MatchedSolid(body, *skin, SpecOf(part, names));
  if (!matched) return tl::unexpected(matched.error());
  return HoleRows(part, *skin, names, matched->holes);
}

/// A body that is nothing but a tube.
Result<Fittings> TakeTube(PartRow& part, Side described, const CentreLine& line,
                          const TopoDS_Shape& body) {
  const auto joined = WithFacesJoined(body, Named(part));
  if (!joined) return tl::unexpected(joined.error());
  PartRow straight = part;
  const auto taken = TakeSections(straight, described, line, *joined);
  auto holes = taken ? TakeWall(straight, described, body) : tl::unexpected(taken.error());
  if (holes) {
    part = std::move(straight);
    return holes;
  }
  PartRow bent = part;
  const auto followed = TakeLoft(bent, described, line, *joined, body);
  auto more = followed ? TakeWall(bent, described, body) : tl::unexpected(followed.error());
  if (more) {
    part = std::move(bent);
    return more;
  }
  return tl::unexpected(HasTiltedEnds(*joined) ? more.error() : holes.error());
}

/// A tube that a body with mounts may be: its sections, without its wall.
struct Candidate {
  std::size_t pair = 0;  ///< the flat faces that its ends are
  PartRow part;
  Skin skin;
  [[nodiscard]] double size() const { return skin.length() * skin.Perimeter(0.0); }
};

/// The tubes that a body may be by its flat faces, the largest first.
Result<std::vector<Candidate>> CandidatesOf(const PartRow& part, Side described,
                                            const CentreLine& line) {
  const auto joined = WithFacesJoined(part.solid->body.shape, Named(part));
  if (!joined) return tl::unexpected(joined.error());
  std::vector<Candidate> candidates;
  // Joined, an end is one with the side of a mount that is flush with it.
  for (const TopoDS_Shape& body : {*joined, part.solid->body.shape}) {
    if (!candidates.empty()) break;
    const auto pairs = PairsOfEnds(body);
    if (!pairs) return tl::unexpected(pairs.error());
    for (std::size_t i = 0; i < pairs->size(); ++i) {
      const TopoDS_Shape& pair = (*pairs)[i];
      for (const bool straight : {true, false}) {
        PartRow row = part;
        const auto taken = straight ? TakeSections(row, described, line, pair)
                                    : TakeLoft(row, described, line, pair, part.solid->body.shape);
        if (!taken) continue;
        if (auto skin = SkinOf(row, described)) candidates.push_back({i, row, std::move(*skin)});
      }
    }
  }
  std::stable_sort(candidates.begin(), candidates.end(),
                   [](const auto& a, const auto& b) { return a.size() > b.size(); });
  if (candidates.size() > kMostTries)
    candidates.erase(candidates.begin() + kMostTries, candidates.end());
  return candidates;
}

/// Takes the body as this tube with mounts. Nothing if none stand on it.
Result<std::optional<Fittings>> TakeWithMounts(PartRow& part, const Candidate& candidate,
                                               Side described, const CentreLine& line) {
  const std::string what = Named(part);
  const TopoDS_Shape& body = part.solid->body.shape;
  auto mounts = MountsOn(body, candidate.skin, what);
  if (!mounts) return tl::unexpected(mounts.error());
  if (mounts->empty()) return std::optional<Fittings>();
  auto parted = TakenApart(body, std::move(*mounts), what);
  if (!parted) return tl::unexpected(parted.error());
  PartRow bare = part;
  auto fittings = TakeTube(bare, described, line, parted->bare);
  if (!fittings) return tl::unexpected(fittings.error());
  auto rows = TakeMounts(bare, described, *parted);
  if (!rows) return tl::unexpected(rows.error());
  // Every face of the body as it is must be the tube's or a mount's.
  const auto skin = SkinOf(bare, described);
  if (!skin) return tl::unexpected(skin.error());
  const auto told =
      MatchedSolid(body, *skin, SpecOf(bare, NamesOf(bare, described)), FacesOfMounts(bare));
  if (!told) return tl::unexpected(told.error());
  fittings->insert(fittings->end(), rows->begin(), rows->end());
  part = std::move(bare);
  return std::optional<Fittings>(std::move(*fittings));
}

/// A body with mounts in one piece with its tube.
/// @param plain why it is no tube as it is
Result<Fittings> TakeMounted(PartRow& part, Side described, const CentreLine& line,
                             const Error& plain) {
  const auto candidates = CandidatesOf(part, described, line);
  if (!candidates) return tl::unexpected(candidates.error());
  std::optional<Error> first;
  std::optional<Fittings> found;
  double size = 0.0;
  std::size_t pair = 0;
  for (const Candidate& candidate : *candidates) {
    if (found && candidate.size() < kAsLarge * size) break;
    if (found && candidate.pair == pair) continue;  // the same, followed otherwise
    PartRow row = part;
    auto taken = TakeWithMounts(row, candidate, described, line);
    if (!taken && !first) first = taken.error();
    if (!taken || !*taken) continue;
    if (found) {
      return Fail(
          ErrorKind::job,
          fmt::format("{}: it is two tubes in one piece, and either could be the part; give "
                      "them as two bodies",
                      Named(part)));
    }
    found = std::move(*taken);
    size = candidate.size();
    pair = candidate.pair;
    part = std::move(row);
  }
  if (found) return std::move(*found);
  return tl::unexpected(first ? *first : plain);
}

/// A body that ends where its tube does.
Result<Fittings> TakeWhole(PartRow& part, Side described, const CentreLine& line) {
  PartRow plain = part;
  auto holes = TakeTube(plain, described, line, part.solid->body.shape);
  if (!holes) return TakeMounted(part, described, line, holes.error());
  part = std::move(plain);
  return holes;
}

}  // namespace

Result<Fittings> TakeSolid(PartRow& part, Side described, const CentreLine& centre_line) {
  if (part.solid->body.faces > kMostFaces) {
    return Fail(ErrorKind::job, fmt::format("{}: it has {} faces; a hollow tube with one wall and "
                                            "its holes has at most {}",
                                            Named(part), part.solid->body.faces, kMostFaces));
  }
  auto taken = TakeWhole(part, described, centre_line);
  if (taken) return taken;
  auto headed = TakeHeaded(part, described, centre_line);
  if (!headed) return tl::unexpected(headed.error());
  return *headed ? Result<Fittings>(std::move(**headed)) : taken;
}

void FaceHolesAgain(const Renamed& names, std::vector<FittingRow>& fittings) {
  for (FittingRow& hole : fittings) {
    const double u = names.skin.UOfStation(hole.station);
    for (const Face& face : names.before.faces) {
      if (face.name != hole.face) continue;
      const double girth = names.skin.GirthOf(u, face.piece + 0.5) + hole.aside;
      PutOnNearest(names.skin, names.after, {u, girth}, hole);
      break;
    }
  }
}

Result<SourceSolids> SolidOfSource(const PartRow& row, const Skin& skin, const PartNames& names) {
  const BodyMounts* const mounts = row.solid->mounts.get();
  const TopoDS_Shape& bare = mounts == nullptr ? row.solid->body.shape : mounts->bare;
  auto matched = MatchedSolid(bare, skin, SpecOf(row, names), {},
                              mounts == nullptr ? TubeCuts{} : mounts->cuts);
  if (!matched) return tl::unexpected(matched.error());
  SourceSolids solids{std::move(matched->solid), std::nullopt};
  if (mounts == nullptr) return solids;
  auto whole = MatchedSolid(row.solid->body.shape, skin, SpecOf(row, names), FacesOfMounts(row));
  if (!whole) return tl::unexpected(whole.error());
  solids.whole = std::move(whole->solid);
  return solids;
}

}  // namespace holeward
