#include "models/print_error.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <string>

#include "geometry/develop_skin.h"
#include "models/solid_file.h"

namespace holeward {
namespace {

// Least lengths of the drawing's room on a page, along its long and its short edge, mm: A4 and
// Letter on their sides, and a page on which cautions and limits take much room.
constexpr double kLongRoom = 238.0;
constexpr double kShortRoom = 90.0;
// Both ways on an upright page.
constexpr double kEvenRoom = 105.0;
// What frame and bar take of a roll's width, mm.
constexpr double kRollFrame = 40.0;
// Neighbouring tiles overlap by this much, mm.
constexpr double kOverlap = 10.0;
// Sheet round the marks and flaps, both sides together, mm.
constexpr double kAround = 2.0 * 20.0 + 2.0 * 12.0;
// And to an end that is near.
constexpr double kToAnEnd = 2.0 * 15.0;
constexpr int kLengthSteps = 48;
// Chords are a little shorter than what they span.
constexpr double kChords = 1.001;

// Length of skin along the part between two sections, at one v.
double Along(const Skin& skin, double v, double from, double to) {
  double length = 0.0;
  Vec3 last = skin.At(from, v).position;
  for (int k = 1; k <= kLengthSteps; ++k) {
    const Vec3 next = skin.At(from + (to - from) * k / kLengthSteps, v).position;
    length += (next - last).norm();
    last = next;
  }
  return kChords * length;
}

class Reach {
 public:
  Reach(const PrintedSheet& sheet, const SkinPlace& place)
      : row_(sheet.row),
        part_(sheet.part),
        parts_(sheet.job.parts),
        skin_(*sheet.part.skin),
        at_(place),
        low_(place.u),
        high_(place.u) {
    for (const PointRow& p : sheet.job.points) {
      if (!row_.Shows(p.part, p.name)) continue;
      ++marks_;
      faces_differ_ = faces_differ_ || !p.face || (face_ && *face_ != *p.face);
      face_ = p.face;
      const PlacedPoint* placed = FindPlaced(sheet.points, p.name);
      if (placed == nullptr) continue;
      for (const NominalPlace& nominal : placed->nominals) Hold(nominal.place.u);
    }
    Align();
  }

  // Greatest distance along the part to what lines the sheet up along it.
  [[nodiscard]] double AlongPart() const { return far_; }

  // Greatest distance round the part to what lines the sheet up there.
  [[nodiscard]] double Round() const {
    if (OnOneFace()) return GirthRoom();
    const double girth = skin_.Perimeter(at_.u);
    if (!skin_.closed() || !skin_.round()) return girth;
    double far = 0.0;
    bool known = false;
    for (const NamedLine& line : part_.lines) {
      if (std::find(row_.align.begin(), row_.align.end(), line.name) == row_.align.end()) continue;
      known = true;
      const double arc = std::abs(
          std::remainder(OutlineTo(skin_, at_.u, at_.v) - OutlineTo(skin_, at_.u, line.v), girth));
      // The seam lies in the widest gap between marks and lines, which is at least this wide; a
      // nearer line is on the same side of it.
      const double widest = girth / static_cast<double>(marks_ + row_.align.size() + 1);
      far = std::max(far, arc < widest ? arc : girth - arc);
    }
    return known ? far : girth;
  }

  [[nodiscard]] double Joins(double along, double round) const {
    if (row_.paper.roll_width > 0.0) {
      // A piece as long as it likes, but not as wide.
      const double room = row_.paper.roll_width - kRollFrame;
      const double narrow = std::min(GirthRoom() + kAround, Length());
      return narrow <= room ? 0.0 : Between(std::max(along, round), 1e9, room);
    }
    const double length = Length(), girth = GirthRoom() + kAround;
    if (girth <= kShortRoom) return Between(along, length, kLongRoom);
    // Upright, or on its side with the part's length either way.
    const auto on = [&](double along_room, double round_room) {
      return Between(along, length, along_room) + Between(round, girth, round_room);
    };
    return std::max(
        {on(kEvenRoom, kEvenRoom), on(kLongRoom, kShortRoom), on(kShortRoom, kLongRoom)});
  }

 private:
  void Hold(double u) {
    low_ = std::min(low_, u);
    high_ = std::max(high_, u);
  }

  // A place the sheet is laid by.
  void See(double u) {
    Hold(u);
    far_ = std::max(far_, Along(skin_, at_.v, at_.u, u));
  }

  // The sections of the part that the file of its solid shows.
  [[nodiscard]] std::vector<NamedPlace> Shown() const {
    std::vector<NamedPlace> sections;
    for (const PartRow& part : parts_) {
      if (part.name != row_.part) continue;
      for (const DatumRow& datum : DatumsOf(part)) {
        if (datum.place.form == NamedPlace::Form::section) sections.push_back(datum.place);
      }
    }
    return sections;
  }

  void Align() {
    bool end = false;
    for (const std::string& name : row_.align) {
      end = end || name == part_.start || name == part_.finish;
      if (name == part_.start) See(0.0);
      if (name == part_.finish) See(skin_.u_end());
      for (const Fitting& f : part_.fittings) {
        if (f.name != name) continue;
        const Footprint& foot = f.footprint;
        const double half = foot.disc ? foot.radius : 0.0;
        See(std::clamp(std::min(f.centre.u - half, foot.disc ? f.centre.u : foot.u_from), 0.0,
                       skin_.u_end()));
        See(std::clamp(std::max(f.centre.u + half, foot.disc ? f.centre.u : foot.u_to), 0.0,
                       skin_.u_end()));
      }
    }
    for (const NamedPlace& shown : Shown()) {
      const auto named = std::find(row_.align.begin(), row_.align.end(), shown.name);
      if (named != row_.align.end()) See(shown.place.u);
    }
    // Where nothing named can be shown, an end is proposed: either.
    if (end) return;
    See(0.0);
    See(skin_.u_end());
  }

  // Length of a piece along the part at most.
  [[nodiscard]] double Length() const {
    return std::min(skin_.length() + kAround,
                    Along(skin_, at_.v, low_, high_) + kAround + kToAnEnd);
  }

  [[nodiscard]] bool OnOneFace() const { return !skin_.round() && face_ && !faces_differ_; }

  // Width of a piece round the part at most.
  [[nodiscard]] double GirthRoom() const {
    double wide = 0.0;
    const int flat = skin_.PieceOf(at_.v);
    for (int k = 0; k <= 8; ++k) {
      const double u = skin_.u_end() * k / 8.0;
      wide = std::max(wide, OnOneFace() ? skin_.OutlineLength(u, flat + 1.0) -
                                              skin_.OutlineLength(u, 1.0 * flat)
                                        : skin_.Perimeter(u));
    }
    return wide;
  }

  // Joins that can lie within a distance on a piece of at most `whole`, on tiles with this room: a
  // third of it apart at least, as each may be moved out of a mark's way by half of what is spare.
  static double Between(double distance, double whole, double room) {
    if (!(distance > 0.0)) return 0.0;
    const double most = std::ceil((whole - kOverlap) / (room - kOverlap)) - 1.0;
    const double here = std::floor(distance / ((room - kOverlap) / 3.0)) + 1.0;
    return std::max(0.0, std::min(most, here));
  }

  const TemplateRow& row_;
  const Part& part_;
  const std::vector<PartRow>& parts_;
  const Skin& skin_;
  SkinPlace at_;
  double low_, high_;  // u that the sheet reaches
  double far_ = 0.0;
  std::size_t marks_ = 0;
  bool faces_differ_ = false;
  std::optional<std::string> face_;
};

}  // namespace

PrintError PrintErrorAt(const PrintedSheet& sheet, const SkinPlace& place) {
  const Reach reach(sheet, place);
  const double along = reach.AlongPart(), round = reach.Round();
  return {kAcceptedScale * std::hypot(along, round), kJoinError * reach.Joins(along, round)};
}

PrintError PrintErrorBetween(const PrintedSheet& sheet, const SkinPlace& place, double straight) {
  // Half way round a round part is pi / 2 as long as straight through it.
  const double way = 0.5 * kPi * straight;
  return {kAcceptedScale * way, kJoinError * Reach(sheet, place).Joins(way, way)};
}

namespace {

// Greatest error of the prints that show a point, mm.
double PrintOf(const Job& job, const Part& part, const PointRow& row,
               const std::vector<PlacedPoint>& points, const SkinPlace& place) {
  double most = 0.0;
  for (const TemplateRow& sheet : job.templates) {
    if (sheet.Shows(row.part, row.name)) {
      most = std::max(most, PrintErrorAt({sheet, job, part, points}, place).Total());
    }
  }
  return most;
}

}  // namespace

void AddPrintErrors(const Job& job, const Scene& scene, std::vector<PlacedPoint>& points) {
  std::map<std::string, double> added;  // greatest of the point's zones, by its name
  for (PlacedPoint& point : points) {
    const PointRow* row = job.FindPoint(point.name);
    const Part* part = scene.FindPart(point.part);
    if (row == nullptr || part == nullptr) continue;
    std::array<double, 2> from{0.0, 0.0};
    for (std::size_t i = 0; i < 2; ++i) {
      for (const std::string& name : row->rule[i].from) {
        if (const auto known = added.find(name); known != added.end()) {
          from[i] = std::max(from[i], known->second);
        }
      }
    }
    double& most = added[point.name];
    for (NominalPlace& nominal : point.nominals) {
      Zone& zone = nominal.zone;
      const double print = PrintOf(job, *part, *row, points, nominal.place);
      // Read twice from one point, all of what that is off is the first gain's.
      const double datum =
          zone.makeup.datum_gain[0] * from[0] + zone.makeup.datum_gain[1] * from[1];
      zone.makeup.sheet += print;
      zone.makeup.datum += datum;
      zone.radius += print + datum;
      most = std::max(most, print + datum);
    }
    if (!point.nominals.empty()) point.zone = point.nominals.front().zone;
  }
}

}  // namespace holeward
