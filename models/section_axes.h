// The axes that the sections of a part of a solid are described in, and what is asked of them.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "geometry/result.h"
#include "geometry/vec.h"
#include "models/job.h"

namespace holeward {

/// True if a tube from a to b is to start at b.
[[nodiscard]] bool StartsAtSecond(const Vec3& a, const Vec3& b);

/// `[x, y, z] to [x, y, z]`
[[nodiscard]] std::string Places(const Vec3& a, const Vec3& b);

/// True if a bent centre line between these ends is to run from last to first.
/// @param given where the job says it runs: its ends must be these within 0.01 mm (Errors: job)
[[nodiscard]] Result<bool> RunsBack(const Vec3& first, const Vec3& last,
                                    const std::optional<std::pair<Vec3, Vec3>>& given,
                                    const std::string& what);

/// True for the outline of a box about the centre line, within 0.001 mm.
[[nodiscard]] bool IsBox(const std::vector<Vec2>& outline, const std::vector<double>& corners);

/// True if the corners run clockwise, a to the right and b up.
[[nodiscard]] bool RunsClockwise(const std::vector<Vec2>& outline);

/// The axes of a section: b is `up` across the centre line, a across both to its named side.
/// @pre StandIn(part, ...)
[[nodiscard]] std::pair<Vec3, Vec3> SectionAxes(const PartRow& part, const Vec3& axis,
                                                Side described);

/// A straight stand-in: the words that tell which way a and b point ask for stations.
void StandIn(PartRow& part, const Vec3& from, const Vec3& to);

/// Errors (job): a centre line that runs along `up`, within 5 degrees.
[[nodiscard]] std::optional<Error> UpFault(const PartRow& part, const Vec3& axis,
                                           const std::string& what);

}  // namespace holeward
