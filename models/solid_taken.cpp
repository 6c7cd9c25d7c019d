#include "models/solid_taken.h"

#include <algorithm>

#include "models/solid_part.h"

namespace holeward {
namespace {

/// The same at another place of the job.
PartRow MovedTo(PartRow part, const Location& at) {
  part.at = at;
  for (StationRow& station : part.stations) station.at = at;
  return part;
}

std::vector<FittingRow> MovedTo(std::vector<FittingRow> fittings, const Location& at) {
  for (FittingRow& fitting : fittings) fitting.at = at;
  return fittings;
}

std::shared_ptr<const TakenSolid> KnownAs(const AskedSolid& asked, const Job* known) {
  if (known == nullptr) return nullptr;
  for (const PartRow& part : known->parts) {
    if (part.solid && part.solid->taken && part.solid->taken->asked == asked) {
      return part.solid->taken;
    }
  }
  return nullptr;
}

bool SameMountNames(const SolidSource& a, const SolidSource& b) {
  if (!a.mounts || !b.mounts) return !a.mounts && !b.mounts;
  return std::equal(a.mounts->mounts.begin(), a.mounts->mounts.end(), b.mounts->mounts.begin(),
                    b.mounts->mounts.end(),
                    [](const MountMetal& p, const MountMetal& q) { return p.name == q.name; });
}

/// True if two bodies are one, called the same in every word of the job.
bool SameSource(const SolidSource& a, const SolidSource& b) {
  return a.taken && a.taken == b.taken && a.file == b.file && a.unit == b.unit && a.all == b.all &&
         a.datums == b.datums && a.face_names == b.face_names && SameMountNames(a, b);
}

}  // namespace

AskedSolid AskedOf(const PartRow& part, Side described,
                   const std::optional<std::pair<Vec3, Vec3>>& centre_line) {
  AskedSolid asked{part.solid->all ? part.solid->all->hash : "", part.solid->number,
                   MovedTo(part, {}), described, centre_line};
  asked.part.solid = nullptr;
  return asked;
}

Result<std::vector<FittingRow>> TakeSolidOnce(
    PartRow& part, Side described, const std::optional<std::pair<Vec3, Vec3>>& centre_line,
    const Job* known) {
  const AskedSolid asked = AskedOf(part, described, centre_line);
  const SolidSource named = *part.solid;
  std::shared_ptr<const TakenSolid> taken = KnownAs(asked, known);
  if (!taken) {
    PartRow row = part;
    auto fittings = TakeSolid(row, described, centre_line);
    if (!fittings) return fittings;
    taken =
        std::make_shared<const TakenSolid>(TakenSolid{asked, std::move(row), std::move(*fittings)});
  }
  const Location at = part.at;
  part = MovedTo(taken->part, at);
  auto source = std::make_shared<SolidSource>(*part.solid);
  source->file = named.file;
  source->taken = taken;
  part.solid = std::move(source);
  return MovedTo(taken->fittings, at);
}

std::vector<std::shared_ptr<const SolidFile>> FilesOf(const Job* known) {
  std::vector<std::shared_ptr<const SolidFile>> files;
  if (known == nullptr) return files;
  for (const PartRow& part : known->parts) {
    if (part.solid && part.solid->all) files.push_back(part.solid->all);
  }
  return files;
}

void UseKnownSolids(const Job* known, Job& job) {
  if (known == nullptr) return;
  for (PartRow& part : job.parts) {
    if (!part.solid) continue;
    for (const PartRow& row : known->parts) {
      if (row.name == part.name && row.solid && SameSource(*part.solid, *row.solid)) {
        part.solid = row.solid;
      }
    }
  }
}

}  // namespace holeward
