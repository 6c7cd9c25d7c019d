// Fittings of a part: where they sit, what they cover, and whether that is possible.
#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include <fmt/format.h>

#include "models/placing.h"
#include "models/scene_parts.h"

namespace holeward {
namespace {

// Lengths that differ by less than this are equal for a fitting, mm.
constexpr double kSlack = 1e-6;
// Two footprints may touch; more than this over each other is an overlap, mm.
constexpr double kTouch = 0.01;

constexpr std::array<const char*, 6> kKinds{"eye", "stud", "bracket", "plate", "seam", "hole"};

FittingShape ShapeOf(FittingKind kind) {
  switch (kind) {
    case FittingKind::eye: return FittingShape::eye;
    case FittingKind::stud: return FittingShape::stud;
    case FittingKind::hole: return FittingShape::hole;
    default: return FittingShape::block;
  }
}

// v of the middle of the face, or of the line, a fitting sits on.
std::optional<double> MiddleV(const Part& part, const std::string& name) {
  if (const Face* face = part.FindFace(name)) return face->piece + 0.5;
  for (const NamedLine& line : part.lines) {
    if (line.name == name) return line.v;
  }
  return std::nullopt;
}

// The eye's axis: as given, else horizontal across the part; an upright part's a axis.
Vec3 EyeAxis(const FittingRow& row, const SectionFrame& frame) {
  if (row.axis) return row.axis->normalized();
  const Vec3 across = frame.tangent.cross(Vec3::UnitZ());
  return across.norm() > 1e-3 ? Vec3(across.normalized()) : frame.a;
}

void PlaceEye(const FittingRow& row, const Skin& skin, Fitting& fitting) {
  const SectionFrame frame = skin.FrameAt(fitting.centre.u);
  const Vec3 half = 0.5 * row.length * EyeAxis(row, frame);
  fitting.cylinder_from = frame.centre - half;
  fitting.cylinder_to = frame.centre + half;
}

// A face narrower than the fitting, allowing it the corners on both sides up to their middles.
void CheckWidth(const PartMaking& making, const FittingRow& row, const Part& part,
                const Fitting& fitting) {
  const Skin& skin = *part.skin;
  const double u = fitting.centre.u;
  const double around =
      fitting.footprint.disc ? 2.0 * fitting.footprint.radius : fitting.footprint.around;
  const std::string who =
      fmt::format("{} \"{}\" of part \"{}\"", fitting.kind, row.name, part.name);
  if (part.faces.empty()) {
    const double round = skin.Perimeter(u);
    if (around < round - kSlack) return;
    making.Wrong(row.at, fmt::format("{} is {:.1f} mm around, the part is {:.1f} mm round there",
                                     who, around, round));
    return;
  }
  const Face* face = part.FindFace(fitting.face);
  const double low = skin.OutlineLength(u, face->piece);
  const double high = skin.OutlineLength(u, face->piece + 1.0);
  const double at = skin.OutlineLength(u, fitting.centre.v);
  const int count = skin.piece_count();
  auto corner = [&](int piece) {
    if (!skin.closed() && (piece < 0 || piece >= count)) return 0.0;
    const int p = (piece + count) % count;
    return 0.5 * (skin.OutlineLength(u, p + 1.0) - skin.OutlineLength(u, p));
  };
  const double over = std::max(low - corner(face->piece - 1) - (at - 0.5 * around),
                               at + 0.5 * around - high - corner(face->piece + 1));
  if (over <= kSlack) return;
  making.Wrong(row.at,
               fmt::format("{} does not fit on the {} face: it is {:.1f} mm across, the flat "
                           "there {:.1f} mm, and it reaches {:.1f} mm past the corner",
                           who, fitting.face, around, high - low, over));
}

void CheckEnds(const PartMaking& making, const FittingRow& row, const Part& part,
               const Fitting& fitting) {
  if (fitting.shape == FittingShape::eye) return;  // may stick out of an end
  const Skin& skin = *part.skin;
  const bool disc = fitting.footprint.disc;
  const double from =
      disc ? WalkLine(skin, fitting.centre, -fitting.footprint.radius) : fitting.footprint.u_from;
  const double to =
      disc ? WalkLine(skin, fitting.centre, fitting.footprint.radius) : fitting.footprint.u_to;
  const double over = std::max(-from, to - skin.u_end());
  if (over <= kSlack) return;
  making.Wrong(row.at, fmt::format("{} \"{}\" of part \"{}\" reaches {:.1f} mm beyond the {}",
                                   fitting.kind, row.name, part.name, over,
                                   -from > to - skin.u_end() ? part.start : part.finish));
}

// Where a block begins and ends along the part, to the toe of its weld.
void PlaceAlong(const FittingRow& row, const Skin& skin, Fitting& fitting) {
  auto walked = [&](double half) { return WalkLine(skin, fitting.centre, half); };
  Footprint& print = fitting.footprint;
  const double half = 0.5 * row.size.x();
  print.u_from = walked(-half - row.weld);
  print.u_to = walked(half + row.weld);
  // A footprint that ends flush with the part keeps to it; so does a weld that finds no more skin.
  if (print.u_from < kSlack && walked(-half) > -kSlack) print.u_from = 0.0;
  if (print.u_to > skin.u_end() - kSlack && walked(half) < skin.u_end() + kSlack)
    print.u_to = skin.u_end();
}

std::optional<Fitting> PlaceFitting(const PartMaking& making, const FittingRow& row,
                                    const Part& part) {
  const Skin& skin = *part.skin;
  Fitting fitting;
  fitting.name = row.name;
  fitting.kind = kKinds[static_cast<std::size_t>(row.kind)];
  fitting.shape = ShapeOf(row.kind);
  fitting.station = row.station;
  fitting.height = row.height;
  fitting.weld = row.weld;
  fitting.diameter = row.diameter + 2.0 * row.weld;
  fitting.basis = row.basis;
  if (row.station < -kSlack || row.station > skin.length() + kSlack) {
    making.Wrong(row.at,
                 fmt::format("{} \"{}\" stands at station {:g}, beyond part \"{}\", which "
                             "is {:.1f} mm long",
                             fitting.kind, row.name, row.station, part.name, skin.length()));
    return std::nullopt;
  }
  fitting.centre.u = std::clamp(skin.UOfStation(row.station), 0.0, skin.u_end());
  if (fitting.shape == FittingShape::eye) {
    PlaceEye(row, skin, fitting);
    return fitting;
  }
  fitting.face = row.face.value_or("");
  const auto middle = MiddleV(part, fitting.face);
  if (!middle) {
    making.Wrong(row.at, fmt::format("{} \"{}\": part \"{}\" has no face \"{}\"", fitting.kind,
                                     row.name, part.name, fitting.face));
    return std::nullopt;
  }
  const double u = fitting.centre.u;
  fitting.centre.v =
      row.aside == 0.0 ? *middle : skin.VOfGirth(u, skin.GirthOf(u, *middle) + row.aside);
  Footprint& print = fitting.footprint;
  if (fitting.shape == FittingShape::block) {
    PlaceAlong(row, skin, fitting);
    print.around = row.size.y() + 2.0 * row.weld;
  } else {
    print.disc = true;
    print.radius = 0.5 * fitting.diameter;
    const SkinPoint p = skin.At(fitting.centre);
    fitting.cylinder_from = p.position;
    fitting.cylinder_to = p.position + row.height.value_or(0.0) * p.normal;
  }
  if (row.in_body) return fitting;  // it stands where it does
  CheckEnds(making, row, part, fitting);
  CheckWidth(making, row, part, fitting);
  return fitting;
}

// A fitting's copy on the other half of a shared part.
std::optional<Fitting> MirrorCopy(const Skin& skin, const Fitting& fitting) {
  Fitting copy = fitting;
  copy.name += " (other side)";
  copy.mirrored = true;
  const double centre = skin.length() - fitting.station;
  copy.station = centre;
  copy.centre.u = skin.u_end() - fitting.centre.u;
  std::swap(copy.footprint.u_from, copy.footprint.u_to);
  copy.footprint.u_from = skin.u_end() - copy.footprint.u_from;
  copy.footprint.u_to = skin.u_end() - copy.footprint.u_to;
  copy.cylinder_from = Mirrored(fitting.cylinder_from);
  copy.cylinder_to = Mirrored(fitting.cylinder_to);
  if (fitting.shape == FittingShape::eye) return copy;
  const auto hit =
      skin.Project(Mirrored(skin.At(fitting.centre).position), {copy.centre.u, fitting.centre.v});
  const auto best =
      hit && hit->distance < 0.05 ? hit : skin.Project(Mirrored(skin.At(fitting.centre).position));
  if (!best) return std::nullopt;
  copy.centre = best->place;
  return copy;
}

// ---------------------------------------------------------------- overlaps

struct Patch {
  double from = 0.0, to = 0.0;  // stations
  double girth = 0.0, half = 0.0;
  bool disc = false;
};

Patch PatchOf(const Skin& skin, const Fitting& f) {
  Patch p;
  p.disc = f.footprint.disc;
  p.girth = skin.GirthOf(f.centre.u, f.centre.v);
  const double station = skin.StationOf(f.centre.u);
  if (p.disc) {
    p.half = f.footprint.radius - f.weld;
    p.from = station - p.half;
    p.to = station + p.half;
  } else {
    p.half = 0.5 * f.footprint.around - f.weld;
    p.from = skin.StationOf(f.footprint.u_from) + f.weld;
    p.to = skin.StationOf(f.footprint.u_to) - f.weld;
  }
  return p;
}

// How far two footprints lie over each other without their welds, which may run into one, compared
// as developed on the plane; 0 if they do not.
double Overlap(const Skin& skin, const Fitting& f, const Fitting& g) {
  const Patch a = PatchOf(skin, f);
  const Patch b = PatchOf(skin, g);
  double across = std::abs(a.girth - b.girth);
  if (skin.closed()) {
    across = std::abs(std::remainder(across, skin.Perimeter(0.5 * (f.centre.u + g.centre.u))));
  }
  const double gap_along = std::max(a.from, b.from) - std::min(a.to, b.to);
  const double gap_around = across - a.half - b.half;
  if (gap_along >= 0.0 || gap_around >= 0.0) return 0.0;
  const double apart = std::abs(0.5 * (a.from + a.to) - 0.5 * (b.from + b.to));
  if (a.disc && b.disc) return std::max(0.0, a.half + b.half - std::hypot(apart, across));
  if (a.disc || b.disc) {
    const Patch& disc = a.disc ? a : b;
    const Patch& block = a.disc ? b : a;
    const double dx = std::max(0.0, apart - 0.5 * (block.to - block.from));
    const double dy = std::max(0.0, across - block.half);
    return std::max(0.0, disc.half - std::hypot(dx, dy));
  }
  return std::min(-gap_along, -gap_around);
}

void CheckOverlaps(const PartMaking& making, const Part& part) {
  for (std::size_t i = 0; i < part.fittings.size(); ++i) {
    for (std::size_t j = i + 1; j < part.fittings.size(); ++j) {
      const Fitting& f = part.fittings[i];
      const Fitting& g = part.fittings[j];
      const bool flat = f.shape != FittingShape::eye && g.shape != FittingShape::eye;
      if (!flat || (f.mirrored && g.mirrored) || (f.in_body && g.in_body)) continue;
      const double over = Overlap(*part.skin, f, g);
      if (over <= kTouch) continue;
      Location at = making.row->at;
      for (const FittingRow& row : making.row->fittings) {
        if (row.name == g.name || row.name + " (other side)" == g.name) at = row.at;
      }
      making.Wrong(at, fmt::format("{} \"{}\" lies over {} \"{}\" of part \"{}\" by {:.1f} mm",
                                   g.kind, g.name, f.kind, f.name, part.name, over));
    }
  }
}

// A fitting's row with its station, and how far off that may be.
struct StandingRow {
  FittingRow row;
  std::optional<double> spread = 0.0;
};

// A fitting placed by two readings stands where a point of that rule would: its station, how far
// aside it is, and how far the readings may be off. The fittings before it may be read from.
std::optional<StandingRow> ByStation(const PartMaking& making, const FittingRow& row,
                                     const Part& part) {
  if (!row.rule) return StandingRow{row};
  Job job;
  job.marking = making.job->marking;
  job.marking.punch = {};  // nobody punches it
  job.described_side = making.job->described_side;
  job.parts.push_back(*making.row);  // what its solid shows to measure from
  PointRow point;
  point.name = row.name;
  point.part = part.name;
  point.face = row.face;
  point.rule = *row.rule;
  point.rule_at = row.rule_at;
  point.at = row.at;
  job.points.push_back(point);
  Scene scene;
  scene.parts.push_back(part);
  scene.outboard_y = job.described_side == Side::left ? 1.0 : -1.0;
  const Placing placing = PlacePoints(job, scene, making.side);
  if (placing.points.empty()) {
    making.Wrong(row.rule_at, placing.errors.empty()
                                  ? fmt::format("the rule of \"{}\" places nothing", row.name)
                                  : placing.errors.front().message);
    return std::nullopt;
  }
  const PlacedPoint& placed = placing.points.front();
  StandingRow found{row, MarkSpread(placed)};
  found.row.station = placed.station;
  const auto middle = MiddleV(part, row.face.value_or(""));
  if (middle) found.row.aside = placed.girth - part.skin->GirthOf(placed.place.u, *middle);
  return found;
}

// The mirror copy of a fitting on the centre plane is the fitting itself.
bool SamePlace(const Skin& skin, const Fitting& f, const Fitting& g) {
  const Vec3 apart = f.shape == FittingShape::eye
                         ? Vec3(f.cylinder_from + f.cylinder_to - g.cylinder_from - g.cylinder_to)
                         : Vec3(skin.At(f.centre).position - skin.At(g.centre).position);
  return apart.norm() < 0.05;
}

}  // namespace

void AddFittings(const PartMaking& making, Part& part) {
  const Side other = making.side == Side::left ? Side::right : Side::left;
  std::vector<Fitting> copies;
  for (const FittingRow& row : making.row->fittings) {
    if (row.in_body && row.kind != FittingKind::hole && row.only && !part.shared) {
      making.Wrong(row.at,
                   fmt::format("\"only\" of {} \"{}\" has no sense: it is in one piece with "
                               "part \"{}\", on whichever side that is",
                               kKinds[static_cast<std::size_t>(row.kind)], row.name, part.name));
      continue;
    }
    const bool here = !row.only || *row.only == making.side;
    const bool there = part.shared && (!row.only || *row.only == other);
    if (!here && !there) continue;
    const auto placed = ByStation(making, row, part);
    auto fitting = placed ? PlaceFitting(making, placed->row, part) : std::nullopt;
    if (!fitting) continue;
    fitting->spread = placed->spread;
    fitting->in_body = row.in_body;
    if (here) part.fittings.push_back(*fitting);
    // The body has those of both halves; what stands on one alone is limited to its side.
    if (!there || (row.in_body && !row.only)) continue;
    const auto copy = MirrorCopy(*part.skin, *fitting);
    if (copy && !(here && SamePlace(*part.skin, *fitting, *copy))) copies.push_back(*copy);
  }
  part.fittings.insert(part.fittings.end(), copies.begin(), copies.end());
  CheckOverlaps(making, part);
}

}  // namespace holeward
