#include "models/scene.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <memory>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "geometry/mounted_body.h"
#include "geometry/parallel.h"
#include "geometry/solid.h"
#include "models/error_order.h"
#include "models/part_solid.h"
#include "models/scene_parts.h"
#include "models/solid_file.h"
#include "models/solid_part.h"

namespace holeward {
namespace {

// A shared part's skin may miss its own mirror image by this much, mm (the job file's limit).
constexpr double kMirrorMiss = 0.01;

void AddError(SceneBuild& build, const Location& at, const Error& error) {
  auto& list = error.kind == ErrorKind::job ? build.errors : build.failures;
  list.push_back({at, error.message});
}

template <class One>
void Append(std::vector<One>& to, std::vector<One>&& more) {
  to.insert(to.end(), std::make_move_iterator(more.begin()), std::make_move_iterator(more.end()));
}

void CheckShared(const PartMaking& making, const Part& part) {
  if (!part.shared) return;
  const MirrorMiss miss = MissOfMirror(*part.skin);
  if (miss.distance <= kMirrorMiss) return;
  making.Wrong(making.row->at,
               fmt::format("part \"{}\" is shared, but its skin is not its own mirror image about "
                           "the centre plane: at station {:.1f} it misses it by {:.3f} mm, more "
                           "than {:g} mm",
                           part.name, miss.station, miss.distance, kMirrorMiss));
}

// The other side's part is the mirror image: one that lies on the wrong side, or across the centre
// plane without serving both, would be made where it is not.
void CheckSide(const PartMaking& making) {
  const PartRow& row = *making.row;
  if (row.shared || row.stations.empty()) return;
  const double outward = making.job->described_side == Side::left ? 1.0 : -1.0;
  double least = outward * row.stations.front().centre.y();
  double most = least;
  for (const StationRow& station : row.stations) {
    least = std::min(least, outward * station.centre.y());
    most = std::max(most, outward * station.centre.y());
  }
  if (most < 0.0) {
    const bool left = outward > 0.0;
    making.Wrong(row.at, fmt::format("part \"{}\" is described for the {} side, where y is {} 0, "
                                     "but its centre line lies on the {} side",
                                     row.name, left ? "left" : "right", left ? "above" : "below",
                                     left ? "right" : "left"));
  } else if (least < 0.0 && most > 0.0 && making.job->sides.size() > 1) {
    making.Wrong(row.at, fmt::format("part \"{}\" crosses the centre plane, so that it and its "
                                     "mirror image for the other side would run through each "
                                     "other; a part that serves both sides has shared = true",
                                     row.name));
  }
}

// Stretches of a part, by stations. On a shared part the other side is looked at in a mirror: what
// stays where it is lies at the stations counted from the other end.
template <class Stretch>
std::vector<Stretch> StretchesOf(std::vector<Stretch> stretches, const PartMaking& making,
                                 double length) {
  if (!making.row->shared || !making.other_side()) return stretches;
  for (Stretch& stretch : stretches) {
    const double from = stretch.from;
    stretch.from = length - stretch.to;
    stretch.to = length - from;
  }
  return stretches;
}

// What stands on a body: its mounts by the names of the fittings, as they are seen from the side at
// hand. On the other side of a shared part, looked at in a mirror, that is the one opposite.
std::vector<MountBody> MountsSeen(const PartMaking& making) {
  std::vector<MountBody> seen;
  const bool turned = making.row->shared && making.other_side();
  for (const FittingRow& row : making.row->fittings) {
    const MountMetal* const metal = MetalOf(*making.row, row);
    if (metal == nullptr) continue;
    if (!turned) {
      seen.push_back({row.name, metal->body});
    } else if (metal->mirrored) {
      seen.push_back({row.name, metal->mirrored});
    } else {
      seen.push_back({row.name + " (other side)",
                      std::make_shared<const FittingBody>(Mirrored(*metal->body))});
    }
  }
  return seen;
}

// The part's solid; one of a file with mounts knows the whole body.
Result<NamedSolid> MadeSolid(const PartMaking& making, const PartNames& names, const Skin& skin) {
  const PartRow& row = *making.row;
  if (!row.solid) return BuildPartSolid(row, skin, names);
  auto solids = SolidOfSource(row, skin, names);
  if (!solids) return tl::unexpected(solids.error());
  if (!solids->whole) return std::move(solids->tube);
  const bool turned = row.shared && making.other_side();
  auto whole = turned ? solids->whole->Mirrored() : Result<NamedSolid>(std::move(*solids->whole));
  if (!whole) return whole;
  return solids->tube.TakenFrom(
      std::make_shared<const MountedBody>(MountedBody{std::move(*whole), MountsSeen(making)}));
}

std::optional<Part> BuildPart(const PartMaking& making) {
  const PartRow& row = *making.row;
  auto skin = Skin::Make(LawOf(row, making.job->described_side));
  if (!skin) {
    AddError(*making.build, row.at,
             {skin.error().kind, fmt::format("{}: {}", Described(row), skin.error().message)});
    return std::nullopt;
  }
  Part part;
  part.name = row.name;
  part.skin = std::make_shared<const Skin>(std::move(*skin));
  part.wall = row.wall;
  for (std::size_t end = 0; end < 2; ++end) part.end_closed[end] = row.ends[end] == EndKind::closed;
  part.start = row.start;
  part.finish = row.finish;
  part.shared = row.shared;
  part.channel = row.section == SectionKind::channel;
  part.basis = row.basis;
  part.wall_basis = row.wall_basis;
  part.unproven = StretchesOf(row.unproven, making, part.skin->length());
  part.laps = StretchesOf(row.laps, making, part.skin->length());
  PartNames names = NamesOf(row, making.job->described_side);
  auto solid = MadeSolid(making, names, *part.skin);
  if (!solid) {
    AddError(*making.build, row.at, solid.error());
    return std::nullopt;
  }
  part.wall_deviation = solid->wall_deviation();
  if (solid->mounted()) {
    part.wall_deviation = std::max(part.wall_deviation, solid->mounted()->whole.wall_deviation());
  }
  part.solid = std::make_shared<const NamedSolid>(std::move(*solid));
  part.faces = std::move(names.faces);
  part.lines = std::move(names.lines);
  CheckShared(making, part);
  CheckSide(making);
  AddFittings(making, part);
  AddInnerBodies(making, part);
  return part;
}

// A neighbour described without `only` stands on both sides; each is in the way of shared parts.
void AddNeighbours(const Job& job, Side side, Scene& scene) {
  for (const NeighbourRow& row : job.neighbours) {
    Neighbour neighbour{row.name, row.path, 0.5 * row.diameter, row.basis};
    if (!row.only || *row.only == side) scene.neighbours.push_back(neighbour);
    if (!row.only || *row.only != side) {
      neighbour.name += " (other side)";
      for (Vec3& place : neighbour.path) place = Mirrored(place);
      scene.neighbours.push_back(std::move(neighbour));
    }
  }
}

}  // namespace

SceneBuild BuildScene(const Job& job, Side side) {
  SceneBuild build;
  build.scene.outboard_y = job.described_side == Side::left ? 1.0 : -1.0;
  const auto built = [&](std::size_t i) {
    SceneBuild alone;
    if (auto part = BuildPart({&job, &job.parts[i], side, &alone})) {
      alone.scene.parts.push_back(std::move(*part));
    }
    return alone;
  };
  for (SceneBuild& alone : MadeOfEach(job.parts.size(), built)) {
    Append(build.scene.parts, std::move(alone.scene.parts));
    Append(build.errors, std::move(alone.errors));
    Append(build.failures, std::move(alone.failures));
  }
  AddNeighbours(job, side, build.scene);
  FindOverlaps(job, build);
  SortByPlace(&build.errors);
  SortByPlace(&build.failures);
  return build;
}

}  // namespace holeward
