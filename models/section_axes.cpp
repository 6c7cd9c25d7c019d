#include "models/section_axes.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "models/part_law.h"
#include "models/part_words.h"

namespace holeward {
namespace {

// The ends of a given centre line are those of a bent one within this, mm.
constexpr double kLine = 0.01;
// Sine of the least angle between `up` and the centre line: 5 degrees.
constexpr double kLeastUp = 0.087;
// Corners of a section this near those of a box are a box's, mm.
constexpr double kBox = 1e-3;

}  // namespace

bool StartsAtSecond(const Vec3& a, const Vec3& b) {
  switch (LiesFromChord(b - a).by_chord) {
    case Lies::across: return std::abs(b.y()) < std::abs(a.y());
    case Lies::along: return b.x() > a.x();
    case Lies::upright: return b.z() < a.z();
  }
  return false;
}

std::string Places(const Vec3& a, const Vec3& b) {
  return fmt::format("[{:.3f}, {:.3f}, {:.3f}] to [{:.3f}, {:.3f}, {:.3f}]", a.x(), a.y(), a.z(),
                     b.x(), b.y(), b.z());
}

Result<bool> RunsBack(const Vec3& first, const Vec3& last,
                      const std::optional<std::pair<Vec3, Vec3>>& given, const std::string& what) {
  if (!given) return StartsAtSecond(first, last);
  const auto& [from, to] = *given;
  const bool back = (from - last).norm() < (from - first).norm();
  if ((from - (back ? last : first)).norm() > kLine ||
      (to - (back ? first : last)).norm() > kLine) {
    return Fail(
        ErrorKind::job,
        fmt::format("{}: its centre line is bent and runs from {}; \"from\" and \"to\" must "
                    "be these",
                    what, back ? Places(last, first) : Places(first, last)));
  }
  return back;
}

bool IsBox(const std::vector<Vec2>& outline, const std::vector<double>& corners) {
  if (outline.size() != 4) return false;
  const double half_width = std::abs(outline[0].x());
  const double half_height = std::abs(outline[0].y());
  for (std::size_t i = 0; i < 4; ++i) {
    if (std::abs(std::abs(outline[i].x()) - half_width) > kBox ||
        std::abs(std::abs(outline[i].y()) - half_height) > kBox ||
        std::abs(corners[i] - corners[0]) > kBox) {
      return false;
    }
  }
  return true;
}

bool RunsClockwise(const std::vector<Vec2>& outline) {
  double area = 0.0;
  for (std::size_t i = 0; i < outline.size(); ++i) {
    const Vec2& p = outline[i];
    const Vec2& q = outline[(i + 1) % outline.size()];
    area += p.x() * q.y() - p.y() * q.x();
  }
  return area < 0.0;
}

std::pair<Vec3, Vec3> SectionAxes(const PartRow& part, const Vec3& axis, Side described) {
  const SkinLaw law = LawOf(part, described);  // of a stand-in box: only its axes count
  const Vec3 b = (law.up - law.up.dot(axis) * axis).normalized();
  Vec3 a = axis.cross(b);
  if (a.dot(law.a_toward) < 0.0) a = -a;
  return {a, b};
}

void StandIn(PartRow& part, const Vec3& from, const Vec3& to) {
  part.section = SectionKind::box;
  part.between = CentreShape::straight;
  part.stations.clear();
  for (const Vec3& centre : {from, to}) {
    StationRow station;
    station.centre = centre;
    station.width = station.height = 1.0;
    part.stations.push_back(station);
  }
}

std::optional<Error> UpFault(const PartRow& part, const Vec3& axis, const std::string& what) {
  const Vec3 up = part.up.value_or(Vec3::UnitZ());
  if (up.cross(axis).norm() > kLeastUp * up.norm()) return std::nullopt;
  return Error{
      ErrorKind::job,
      fmt::format("{}: its centre line runs along \"up\" (without one: [0, 0, 1]); give an "
                  "\"up\" across it",
                  what)};
}

}  // namespace holeward
