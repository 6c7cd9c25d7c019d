#include "models/solid_starter.h"

#include <algorithm>
#include <array>
#include <filesystem>
#include <memory>

#include <fmt/format.h>

#include "geometry/solid_cylinders.h"
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
    case SectionKind::round: return fmt::format("round, {:.3f} across", station.diameter);
    case SectionKind::box:
      return fmt::format("box {:.3f} x {:.3f}, corner {:.3f}", station.width, station.height,
                         station.corner);
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

/// One body as a part, or as a comment that says why it is none.
class BodyWriter {
 public:
  BodyWriter(const SolidFile& file, const std::string& name, Side side)
      : file_(file), name_(name), side_(side) {}

  std::string Write(std::size_t index) {
    const SolidBody& body = file_.bodies[index];
    if (!body.trouble.empty()) return "";
    PartRow part;
    part.name = fmt::format("part{}", index + 1);
    part.start = "start";
    part.finish = "finish";
    part.solid =
        std::make_shared<const SolidSource>(SolidSource{name_, file_.unit, index + 1, body});
    auto taken = TakeSolid(part, side_, std::nullopt);
    if (!taken) {
      // An upright tube has no upper side of its own.
      PartRow turned = part;
      turned.up = Vec3::UnitX();
      if (TakeSolid(turned, side_, std::nullopt)) {
        part = std::move(turned);
        taken = {};
      }
    }
    if (!taken) {
      return fmt::format("\n# Body {} is not a part of a job yet:\n# {}\n{}", index + 1,
                         Comment(taken.error().message), Cylinders(body));
    }
    return AsPart(part, body, index);
  }

 private:
  std::string AsPart(const PartRow& part, const SolidBody& body, std::size_t index) {
    const StationRow& first = part.stations.front();
    const StationRow& last = part.stations.back();
    const auto ends = EndNames(LiesFromChord(last.centre - first.centre).by_chord);
    const Vec3 size = body.size();
    std::string text =
        fmt::format("\n[part.{}]\nsection = \"solid\"\nfile    = \"{}\"\n", part.name, name_);
    if (file_.bodies.size() > 1) text += fmt::format("body    = \"{}\"\n", index + 1);
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
    return text + Cylinders(body) + Point(part, ends[0], (last.centre - first.centre).norm());
  }

  /// One mark on it, to begin with.
  std::string Point(const PartRow& part, const char* start, double length) const {
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
        0.4 * length, start, toward,
        round ? fmt::format("line = \"{}\"", names.front()) : std::string("middle = \"face\""));
  }

  const SolidFile& file_;
  const std::string& name_;
  Side side_;
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
  BodyWriter writer(*file, name, side);
  for (std::size_t i = 0; i < file->bodies.size(); ++i) text += writer.Write(i);
  return text;
}

}  // namespace holeward
