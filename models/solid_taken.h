// What the bodies of a job were taken as, kept so that another reading of it need not do it again:
// a body with mounts takes seconds.
#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "geometry/vec.h"
#include "models/job.h"
#include "models/solid_file.h"

namespace holeward {

/// What the job asked of a body.
struct AskedSolid {
  std::string file_hash;
  std::size_t body = 1;  ///< number in the file
  PartRow part;          ///< as read, without its body and place in the job
  Side described = Side::left;
  std::optional<std::pair<Vec3, Vec3>> centre_line;

  friend bool operator==(const AskedSolid&, const AskedSolid&) = default;
};

/// And what it was taken as.
struct TakenSolid {
  AskedSolid asked;
  PartRow part;
  std::vector<FittingRow> fittings;  ///< holes and mounts
};

/// The question, for a part whose body is chosen.
[[nodiscard]] AskedSolid AskedOf(const PartRow& part, Side described,
                                 const std::optional<std::pair<Vec3, Vec3>>& centre_line);

/// TakeSolid, but what a part of `known` was taken as by the same question is used again. The
/// part's `solid` keeps what it was taken as.
/// @param known an earlier reading, or null
[[nodiscard]] Result<std::vector<FittingRow>> TakeSolidOnce(
    PartRow& part, Side described, const std::optional<std::pair<Vec3, Vec3>>& centre_line,
    const Job* known);

/// The files that the parts of a job came from; none of a job that is null.
[[nodiscard]] std::vector<std::shared_ptr<const SolidFile>> FilesOf(const Job* known);

/// Gives parts that are in every word those of an earlier reading its very bodies, so that they are
/// equal (PartRow).
void UseKnownSolids(const Job* known, Job& job);

}  // namespace holeward
