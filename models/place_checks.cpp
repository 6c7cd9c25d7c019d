#include "models/place_checks.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace holeward {
namespace {

// A reading whose reach is this short with the other one given says what the other one says, mm.
constexpr double kTied = 1e-3;
// Solutions this near each other are one place that the rule does not fix, mm.
constexpr double kTogether = 1.0;

std::string ValueText(const Measure& m, double value) {
  return m.is_angle() ? fmt::format("{:.1f} degrees", value / kDegree)
                      : fmt::format("{:.1f} mm", value);
}

// The tape from a fitting's centre to a place, or the straight distance where no tape settles.
double TapeFrom(const Placer& placer, const SkinPlace& centre, const PlacedPoint& point) {
  const auto path = placer.reader().tape().Path(centre, point.place);
  return path ? path->length : (placer.skin().At(centre).position - point.position).norm();
}

bool UnderBlock(const Skin& skin, const Fitting& fitting, const SkinPlace& place) {
  const Footprint& f = fitting.footprint;
  if (place.u < f.u_from || place.u > f.u_to) return false;
  const double middle = VOfLine(skin, LineThrough(skin, fitting.centre), place.u);
  double gap =
      skin.OutlineLength(place.u, place.v) - skin.OutlineLength(place.u, skin.Wrapped(middle));
  if (skin.closed()) gap = std::remainder(gap, skin.Perimeter(place.u));
  return std::abs(gap) <= 0.5 * f.around;
}

bool InsideCylinder(const Fitting& fitting, const Vec3& p) {
  const Vec3 axis = fitting.cylinder_to - fitting.cylinder_from;
  const double length = axis.norm();
  const Vec3 from = p - fitting.cylinder_from;
  const double along = from.dot(axis) / length;
  const double off = (from - along / length * axis).norm();
  return along >= 0.0 && along <= length && off <= 0.5 * fitting.diameter;
}

bool Covers(const Occupied& occupied, const Fitting& fitting, const PlacedPoint& point) {
  const Skin& skin = occupied.placer.skin();
  if (fitting.shape == FittingShape::eye) return InsideCylinder(fitting, point.position);
  if (!fitting.footprint.disc) return UnderBlock(skin, fitting, point.place);
  const double radius = fitting.footprint.radius;
  const double straight = (skin.At(fitting.centre).position - point.position).norm();
  if (straight > radius) return false;
  return TapeFrom(occupied.placer, fitting.centre, point) <= radius;
}

// Only a drill point has sizes.
double FinalRadius(const PointRow& row) {
  double widest = 0.0;
  for (const double size : row.drill) widest = std::max(widest, size);
  return 0.5 * widest;
}

}  // namespace

std::string NearestLine(const Part& part, double v) {
  std::string best;
  double least = 1e300;
  for (const NamedLine& line : part.lines) {
    const double gap = std::abs(std::remainder(v - line.v, part.skin->piece_count()));
    if (gap < least) {
      least = gap;
      best = line.name;
    }
  }
  return best;
}

std::string WhyNone(const Placer& placer, const Part& part, const Rule& rule,
                    const std::vector<Solution>& found) {
  const Solution* off = nullptr;
  for (const Solution& s : found) {
    if (s.right_side && s.off_face == 0.0) {
      return fmt::format(
          "it lands nearest to the {} line (station {:.1f}, at ({:.1f}, {:.1f}, {:.1f})), not to "
          "the one it is to sit on",
          NearestLine(part, s.place.v), placer.skin().StationOf(s.place.u), s.position.x(),
          s.position.y(), s.position.z());
    }
    if (s.right_side && (!off || s.off_face < off->off_face)) off = &s;
  }
  if (off) {
    std::string name = "its face";
    for (const Face& face : part.faces) {
      if (face.piece == rule.flat) name = fmt::format("the flat of the {}", face.name);
    }
    return fmt::format(
        "it lands {:.1f} mm off {}, on a corner or the next face (station {:.1f}, at "
        "({:.1f}, {:.1f}, {:.1f}))",
        off->off_face, name, placer.skin().StationOf(off->place.u), off->position.x(),
        off->position.y(), off->position.z());
  }
  // What reaches far enough needs no telling beside what does not.
  std::string beyond, within, nowhere;
  bool tied = false;
  for (int i = 0; i < 2; ++i) {
    const Measure& m = rule.measures[static_cast<std::size_t>(i)];
    const bool has_value = m.form == Measure::Form::tape || m.form == Measure::Form::rule ||
                           m.form == Measure::Form::square || m.form == Measure::Form::angle;
    if (!has_value) continue;
    const std::string named = fmt::format("{} from \"{}\"", m.method, m.from);
    const ReadingReach reach = placer.ReachOf(rule, i);
    if (!reach.any) {
      nowhere +=
          fmt::format("; {} has no place on that side where the other reading is as given", named);
      continue;
    }
    tied = tied || reach.greatest - reach.least < kTied;
    const std::string reaches = fmt::format(
        "; with the other reading as given, {} reaches from {} to {} ({} asked for)", named,
        ValueText(m, reach.least), ValueText(m, reach.greatest), ValueText(m, m.value));
    const double over = std::max(m.value - reach.greatest, reach.least - m.value);
    if (over > 0.05 && !m.is_angle()) {
      beyond += reaches + fmt::format(", {:.1f} mm beyond", over);
    } else {
      within += reaches;
    }
  }
  std::string why = beyond;
  if (why.empty()) why = within + nowhere;
  if (beyond.empty() && tied) {
    return "its two measures say the same thing: neither tells where the other leaves it open" +
           why;
  }
  return "no place on the part has these two readings" + why;
}

std::string WhySeveral(const Skin& skin, const std::vector<Solution>& candidates) {
  const Vec3& first = candidates.front().position;
  const bool together = std::all_of(candidates.begin(), candidates.end(), [&](const Solution& s) {
    return (s.position - first).norm() < kTogether;
  });
  if (together) {
    return fmt::format(
        "its two measures nearly say the same thing at station {:.1f}, at ({:.1f}, {:.1f}, "
        "{:.1f}); read one of them another way",
        skin.StationOf(candidates.front().place.u), first.x(), first.y(), first.z());
  }
  std::string text = fmt::format(
      "its rule has {} places; say which with `toward` or another measure:", candidates.size());
  for (const Solution& s : candidates) {
    text += fmt::format(" [station {:.1f}, girth {:.1f}, at ({:.1f}, {:.1f}, {:.1f})]",
                        skin.StationOf(s.place.u), skin.GirthOf(s.place.u, s.place.v),
                        s.position.x(), s.position.y(), s.position.z());
  }
  return text;
}

std::optional<std::string> WhyOccupied(const Occupied& occupied, const PointRow& row,
                                       const PlacedPoint& point) {
  for (const Fitting& fitting : occupied.part.fittings) {
    if (!Covers(occupied, fitting, point)) continue;
    return fmt::format("it lies {} \"{}\" (station {:.1f}, at ({:.1f}, {:.1f}, {:.1f}))",
                       fitting.shape == FittingShape::hole ? "in the hole" : "under the fitting",
                       fitting.name, point.station, point.position.x(), point.position.y(),
                       point.position.z());
  }
  const double radius = FinalRadius(row);
  if (!(radius > 0.0)) return std::nullopt;
  for (const Fitting& fitting : occupied.part.fittings) {
    if (fitting.shape != FittingShape::hole) continue;
    const Vec3 centre = occupied.placer.skin().At(fitting.centre).position;
    const double gap = (centre - point.position).norm();
    if (gap < radius + 0.5 * fitting.diameter) {
      return fmt::format(
          "its hole runs into the hole \"{}\": centres {:.1f} mm apart, radii {:.1f} "
          "and {:.1f} mm",
          fitting.name, gap, radius, 0.5 * fitting.diameter);
    }
  }
  for (const PlacedPoint& other : occupied.earlier) {
    if (other.part != point.part) continue;
    const double other_radius = FinalRadius(*occupied.job.FindPoint(other.name));
    const double gap = (other.position - point.position).norm();
    if (other_radius > 0.0 && gap < radius + other_radius) {
      return fmt::format(
          "its hole runs into that of point \"{}\": centres {:.1f} mm apart, radii "
          "{:.1f} and {:.1f} mm",
          other.name, gap, radius, other_radius);
    }
  }
  return std::nullopt;
}

}  // namespace holeward
