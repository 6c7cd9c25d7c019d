#include "models/solid_starter.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <memory>
#include <optional>

#include <BRep_Builder.hxx>
#include <TopoDS_Compound.hxx>
#include <fmt/format.h>

#include "geometry/rod_of_solid.h"
#include "geometry/skin.h"
#include "geometry/solid_cylinders.h"
#include "geometry/solid_datum.h"
#include "models/part_words.h"
#include "models/solid_file.h"
#include "models/solid_part.h"

namespace holeward {
namespace {

constexpr const char* kHead =
    R"(# A starter job for the solid bodies of {0}. Look at every size: they show whether the file's
# unit and place are right. Then:  holeward locate THIS-FILE    (where the points are)
# Axes: x forward, y to the left, z up. Lengths in mm, angles in degrees.

holeward = 1                          # version of the format
title    = "Parts of {0}"
units    = "mm"

[set]
number   = "0001"
revision = "A"

[vehicle]
described_side = "{1}"
sides          = ["{1}"]               # add the other one if it is the mirror image
posture        = "on a lift, wheels hanging"

# {0} holds {2} in the unit "{3}":
)";

constexpr std::size_t kMostCylinders = 12;

std::string Place(const Vec3& p) {
  return fmt::format("[{:.3f}, {:.3f}, {:.3f}]", p.x(), p.y(), p.z());
}

/// A text as it can stand in the job: quotes, backslashes and control characters out.
std::string Plain(const std::string& text) {
  std::string plain;
  for (const char c : text) {
    if (c == '"' || c == '\\' || static_cast<unsigned char>(c) < 0x20 || c == 0x7f) continue;
    plain.push_back(c);
  }
  return plain;
}

/// A text as it can stand in a comment.
std::string Comment(const std::string& text) {
  std::string line;
  for (const char c : text) {
    line.push_back(static_cast<unsigned char>(c) < 0x20 || c == 0x7f ? ' ' : c);
  }
  return line;
}

std::array<const char*, 2> EndNames(Lies lies) {
  switch (lies) {
    case Lies::across: return {"inner end", "outer end"};
    case Lies::along: return {"front end", "rear end"};
    case Lies::upright: return {"lower end", "upper end"};
  }
  return {"inner end", "outer end"};
}

std::string SectionWords(const PartRow& part, const StationRow& station) {
  switch (part.section) {
    case SectionKind::round:
      return fmt::format("round, {:.3f} across{}", station.diameter,
                         station.tangent ? ", bent" : "");
    case SectionKind::box:
      return fmt::format("box {:.3f} x {:.3f}, corner {:.3f}", station.width, station.height,
                         station.corner);
    case SectionKind::channel:
      return fmt::format("channel {:.3f} x {:.3f}, corner {:.3f}, its {} open", station.width,
                         station.height, station.corner, part.open.value_or(""));
    default: return fmt::format("outline of {} corners", station.outline.size());
  }
}

std::string Cylinders(const SolidBody& body) {
  const auto cylinders = CylindersOf(body.shape);
  if (!cylinders) return "";
  std::string text;
  for (std::size_t i = 0; i < std::min(cylinders->size(), kMostCylinders); ++i) {
    const SolidCylinder& one = (*cylinders)[i];
    text += fmt::format("#   {} {:.3f} across, axis from {} to {}\n",
                        one.outward ? "a cylinder" : "a bore", one.diameter, Place(one.from),
                        Place(one.to));
  }
  if (cylinders->size() > kMostCylinders) {
    text += fmt::format("#   and {} more\n", cylinders->size() - kMostCylinders);
  }
  return text;
}

/// Where in the list of a file's bodies one stands that is a bar or sleeve, and what it is.
struct RodBody {
  std::size_t index = 0;
  FoundRod rod;
};

/// A body that is a part.
struct PartBody {
  std::size_t index = 0;
  PartRow part;
  std::vector<FittingRow> fittings;  ///< holes and mounts it has
  std::vector<RodBody> inner;
};

/// The skin of a body that is a part.
std::optional<Skin> SkinOf(const PartRow& part, Side side) {
  auto skin = Skin::Make(LawOf(part, side));
  return skin ? std::optional<Skin>(std::move(*skin)) : std::nullopt;
}

/// True if the rod lies inside the part's skin as far as it lies between the part's ends.
bool LiesIn(const RodBody& rod, const PartRow& part, Side side) {
  const auto skin = SkinOf(part, side);
  if (!skin) return false;
  bool between = false;
  const auto& path = rod.rod.path;
  for (std::size_t i = 0; i < 4 * (path.size() - 1) + 1; ++i) {
    const std::size_t from = std::min(i / 4, path.size() - 2);
    const double share = 0.25 * static_cast<double>(i - 4 * from);
    const Vec3 p = path[from] + share * (path[from + 1] - path[from]);
    // On the centre line of a round part no place of the skin is the nearest: one beside it has
    // one.
    auto hit = skin->Project(p);
    if (!hit) hit = skin->Project(p + Vec3(0.02, 0.03, 0.04));
    if (!hit) return false;
    if (hit->place.u < 1e-6 || hit->place.u > skin->u_end() - 1e-6) continue;
    if ((p - hit->position).dot(skin->At(hit->place).normal) >= 0.0) return false;
    between = true;
  }
  return between;
}

/// True if an axis that shows a section passes so near to it that a person would measure from it.
bool PassesBy(const Skin& skin, const NamedPlace& found, const SolidCylinder& one) {
  if (found.form != NamedPlace::Form::section) return true;
  const Vec3 way = (one.to - one.from).normalized();
  const Vec3 off = skin.FrameAt(found.place.u).centre - one.from;
  return (off - off.dot(way) * way).norm() < 0.5 * skin.Perimeter(found.place.u);
}

/// The axes of a body that a part can be measured from, as tables that say so.
std::string AxesOn(const PartRow& part, const Skin& skin, const TopoDS_Shape& shape,
                   std::size_t number) {
  const auto cylinders = CylindersOf(shape);
  if (!cylinders) return "";
  std::string text;
  std::vector<NamedPlace> known;
  for (std::size_t i = 0; i < std::min(cylinders->size(), kMostCylinders); ++i) {
    const SolidCylinder& one = (*cylinders)[i];
    const Vec3 middle = 0.5 * (one.from + one.to);
    const auto found = AxisDatum(shape, skin, middle);
    if (!found || !PassesBy(skin, *found, one)) continue;
    const bool twice = std::any_of(known.begin(), known.end(), [&](const NamedPlace& other) {
      return (skin.At(other.place).position - skin.At(found->place).position).norm() < 1e-3;
    });
    if (twice) continue;
    known.push_back(*found);
    text += fmt::format(
        "\n[[part.{0}.datum]]    # {4}, {5:.3f} across, station {6:.2f}\nname = \"axis {1}{2}\"\n"
        "axis = {3}\nbody = \"{1}\"\n",
        part.name, number, known.size() > 1 ? fmt::format(" ({})", known.size()) : "",
        Place(middle), one.outward ? "a cylinder" : "a bore", one.diameter,
        skin.StationOf(found->place.u));
  }
  return text;
}

/// The bodies of a file as tables of a job, or as comments that say what they are.
class BodyWriter {
 public:
  BodyWriter(const SolidFile& file, const std::string& name, Side side)
      : file_(file), name_(name), side_(side) {}

  std::string Write() {
    std::string none;
    for (std::size_t i = 0; i < file_.bodies.size(); ++i) {
      if (file_.bodies[i].trouble.empty()) none += Sort(i);
    }
    for (const RodBody& rod : rods_) {
      const auto in = std::find_if(parts_.begin(), parts_.end(),
                                   [&](const PartBody& p) { return LiesIn(rod, p.part, side_); });
      if (in != parts_.end()) {
        in->inner.push_back(rod);
      } else {
        none += Outside(rod);
      }
    }
    std::string text;
    for (const PartBody& part : parts_) text += AsPart(part);
    return text + none;
  }

 private:
  /// Takes a body as a part or a rod; a comment about one that is neither.
  std::string Sort(std::size_t index) {
    const SolidBody& body = file_.bodies[index];
    PartBody found{index, {}, {}, {}};
    PartRow& part = found.part;
    part.name = fmt::format("part{}", index + 1);
    part.start = "start";
    part.finish = "finish";
    part.solid = std::make_shared<const SolidSource>(
        SolidSource{name_, file_.unit, index + 1, body, nullptr});
    auto taken = TakeSolid(part, side_, std::nullopt);
    if (!taken) {
      if (const auto rod = RodOfSolid(body.shape, "it")) {
        rods_.push_back({index, *rod});
        return "";
      }
      // An upright tube has no upper side of its own.
      PartRow turned = part;
      turned.up = Vec3::UnitX();
      if (auto second = TakeSolid(turned, side_, std::nullopt)) {
        part = std::move(turned);
        taken = std::move(second);
      }
    }
    if (!taken) {
      return fmt::format("\n# Body {} is not a part of a job yet:\n# {}\n{}", index + 1,
                         Comment(taken.error().message), Cylinders(body));
    }
    found.fittings = std::move(*taken);
    parts_.push_back(std::move(found));
    return "";
  }

  std::string Outside(const RodBody& rod) const {
    std::vector<std::string> places;
    for (const Vec3& place : rod.rod.path) places.push_back(Place(place));
    return fmt::format(
        "\n# Body {} is a {} in none of the parts. If it is in the way of a drill outside them:\n"
        "# [[neighbour]]\n# name = \"body {}\"\n# path = [{}]\n# diameter = {:.3f}\n",
        rod.index + 1, rod.rod.bore > 0.0 ? "sleeve" : "bar", rod.index + 1,
        fmt::join(places, ", "), rod.rod.widest());
  }

  static std::string Inner(const PartRow& part, const RodBody& rod) {
    return fmt::format(
        "\n[[part.{}.inner]]\nname = \"body {}\"\nbody = \"{}\"    # a {}{:.3f} "
        "across{}\n",
        part.name, rod.index + 1, rod.index + 1,
        fmt::format("{}{}", rod.rod.is_bent() ? "bent " : "",
                    rod.rod.bore > 0.0 ? "sleeve " : "bar "),
        rod.rod.diameter, rod.rod.bore > 0.0 ? fmt::format(", bore {:.3f}", rod.rod.bore) : "");
  }

  /// A hole or mount of the body in words.
  static std::string Known(const FittingRow& one) {
    std::string what;
    switch (one.kind) {
      case FittingKind::hole: what = fmt::format("{:.3f} across", one.diameter); break;
      case FittingKind::stud:
        what = fmt::format("a stud {:.3f} across, {:.3f} high", one.diameter, one.length);
        break;
      case FittingKind::eye:
        return fmt::format(
            "#   {}: an eye {:.3f} across, {:.3f} long, {:.2f} from the start: it is known "
            "without being listed\n",
            one.name, one.diameter, one.length, one.station);
      default:
        what = fmt::format("a bracket {:.3f} along, {:.3f} around, {:.3f} high", one.size.x(),
                           one.size.y(), one.height.value_or(0.0));
    }
    return fmt::format(
        "#   {}: {}, {:.2f} from the start, on the {} ({:.2f} aside): it is known without being "
        "listed\n",
        one.name, what, one.station, one.face.value_or(""), one.aside);
  }

  std::string AsPart(const PartBody& found) const {
    const PartRow& part = found.part;
    const SolidBody& body = file_.bodies[found.index];
    const StationRow& first = part.stations.front();
    const StationRow& last = part.stations.back();
    const auto ends = EndNames(LiesFromChord(last.centre - first.centre).by_chord);
    const Vec3 size = body.size();
    std::string text =
        fmt::format("\n[part.{}]\nsection = \"solid\"\nfile    = \"{}\"\n", part.name, name_);
    if (file_.bodies.size() > 1) text += fmt::format("body    = \"{}\"\n", found.index + 1);
    text += fmt::format("size    = [{:.2f}, {:.2f}, {:.2f}]    # the box round it: confirm it\n",
                        size.x(), size.y(), size.z());
    if (!body.healed.empty()) {
      text += fmt::format("# healing = true    # it is mended on reading: {}\n",
                          Comment(body.healed.front()));
    }
    text += fmt::format("wall    = {:.3f}    # as found in it\n", part.wall);
    text += "wall_basis = \"drawn\"    # measured, once it is\n";
    text += fmt::format("from    = {}    # the middle of its {}\nto      = {}    # and of its {}\n",
                        Place(first.centre), ends[0], Place(last.centre), ends[1]);
    text += fmt::format(
        "start   = \"{}\"    # {}, {}\nfinish  = \"{}\"    # {}, {}\n", ends[0],
        part.ends[0] == EndKind::open ? "open" : "closed", SectionWords(part, first), ends[1],
        part.ends[1] == EndKind::open ? "open" : "closed", SectionWords(part, last));
    if (part.up) text += "up      = [1, 0, 0]    # its upper side in the section: choose one\n";
    text += Cylinders(body);
    for (const FittingRow& fitting : found.fittings) text += Known(fitting);
    for (const RodBody& rod : found.inner) text += Inner(part, rod);
    text += Axes(found);
    return text + Point(found, ends[0], (last.centre - first.centre).norm());
  }

  /// The faces of the mounts in one piece with the part that are not measured from by their middle.
  static TopoDS_Shape Brackets(const PartBody& found) {
    TopoDS_Compound compound;
    BRep_Builder builder;
    builder.MakeCompound(compound);
    for (const FittingRow& row : found.fittings) {
      const MountMetal* const metal = MetalOf(found.part, row);
      if (metal == nullptr || row.kind == FittingKind::stud) continue;
      for (const TopoDS_Face& face : metal->faces) builder.Add(compound, face);
    }
    return compound;
  }

  /// What the part can be measured from: mounts in one piece with it, and of the other bodies
  /// mounts, tubes and pins on it.
  [[nodiscard]] std::string Axes(const PartBody& found) const {
    const auto skin = SkinOf(found.part, side_);
    std::string text;
    if (skin) text += AxesOn(found.part, *skin, Brackets(found), found.index + 1);
    for (std::size_t i = 0; skin && i < file_.bodies.size(); ++i) {
      const auto is = [&](const auto& other) { return other.index == i; };
      const bool taken = std::any_of(parts_.begin(), parts_.end(), is) ||
                         std::any_of(found.inner.begin(), found.inner.end(), is);
      const SolidBody& body = file_.bodies[i];
      if (taken || !body.trouble.empty() || !body.healed.empty()) continue;
      text += AxesOn(found.part, *skin, body.shape, i + 1);
    }
    return text;
  }

  /// A share of the part's length at which no mount stands, 0.4 if it can be.
  static double BareShare(const PartBody& found, double length) {
    for (const double share : {0.4, 0.5, 0.3, 0.6, 0.2, 0.7, 0.1, 0.8, 0.9}) {
      const bool under =
          std::any_of(found.fittings.begin(), found.fittings.end(), [&](const FittingRow& row) {
            const double half = 0.5 * std::max(row.size.x(), row.diameter) + 2.0;
            return row.kind != FittingKind::hole && std::abs(row.station - share * length) < half;
          });
      if (!under) return share;
    }
    return 0.4;
  }

  /// One mark on it, to begin with.
  std::string Point(const PartBody& found, const char* start, double length) const {
    const PartRow& part = found.part;
    const PartWords words = WordsOf(part, side_);
    const bool round = part.section == SectionKind::round;
    const auto& names = round ? words.lines : words.faces;
    if (names.empty()) return "";
    const Vec3 chord = part.stations.back().centre - part.stations.front().centre;
    const Lies lies = words.lies;
    const bool outward = chord.y() * (side_ == Side::left ? 1.0 : -1.0) > 0.0;
    const char* toward = lies == Lies::across  ? (outward ? "outboard" : "inboard")
                         : lies == Lies::along ? (chord.x() > 0.0 ? "front" : "rear")
                                               : (chord.z() > 0.0 ? "up" : "down");
    return fmt::format(
        "\n[[point]]\nname = \"K{0}\"\nuse  = \"reference\"\npart = \"{1}\"\n{2}rule = [ {{ tape = "
        "{3:.0f}, from = \"{4}\", toward = \"{5}\" }}, {{ {6} }} ]\n",
        part.solid->number, part.name, round ? "" : fmt::format("face = \"{}\"\n", names.front()),
        BareShare(found, length) * length, start, toward,
        round ? fmt::format("line = \"{}\"", names.front()) : std::string("middle = \"face\""));
  }

  const SolidFile& file_;
  const std::string& name_;
  Side side_;
  std::vector<PartBody> parts_;
  std::vector<RodBody> rods_;
};

}  // namespace

Result<std::string> SolidStarterJob(const std::string& path) {
  const auto file = ReadSolidFile(path);
  if (!file) return tl::unexpected(file.error());
  const std::string name = Plain(std::filesystem::path(path).filename().string());
  double y = 0.0;
  for (const SolidBody& body : file->bodies) y += body.low.y() + body.high.y();
  const Side side = y < 0.0 ? Side::right : Side::left;
  const std::string count =
      file->bodies.size() == 1 ? "one body" : fmt::format("{} bodies", file->bodies.size());
  std::string text = fmt::format(fmt::runtime(kHead), name, side == Side::left ? "left" : "right",
                                 count, Plain(file->unit));
  for (std::size_t i = 0; i < file->bodies.size(); ++i) {
    text += fmt::format("#   {}\n", Comment(Described(file->bodies[i], i + 1)));
  }
  return text + BodyWriter(*file, name, side).Write();
}

}  // namespace holeward
