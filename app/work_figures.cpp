#include "app/work_figures.h"

#include <algorithm>
#include <cmath>
#include <memory>

#include <fmt/format.h>

#include "app/work_section.h"
#include "geometry/round_hole.h"
#include "geometry/section_properties.h"
#include "geometry/stress_raiser.h"
#include "geometry/surface.h"
#include "geometry/tape.h"
#include "models/hole_check.h"

namespace holeward {
namespace {

/// Four figures, grouped by blanks from 10 000 on.
std::string Figure(double value) {
  if (!(std::abs(value) >= 10000.0)) return fmt::format("{:.4g}", value);
  const double unit = std::pow(10.0, std::floor(std::log10(std::abs(value))) - 3.0);
  std::string digits = fmt::format("{:.0f}", std::round(value / unit) * unit);
  for (std::size_t at = digits.size(); at > 3 + (value < 0.0 ? 1U : 0U);) {
    at -= 3;
    digits.insert(at, " ");
  }
  return digits;
}

/// The holes of a part: the one in question first, the others drilled to their last stage, and
/// those that were there already.
std::vector<PartHole> HolesOfPart(const Job& job, const SideWork& side, const Part& part,
                                  const HoleCheck& check) {
  std::vector<PartHole> holes;
  for (const PlacedPoint& placed : side.points) {
    const PointRow* row = job.FindPoint(placed.name);
    if (placed.part != part.name || row == nullptr || row->drill.empty()) continue;
    const auto pose = IntendedPose(job, side, placed.name);
    if (!pose) continue;
    const bool asked = placed.name == check.point;
    PartHole hole{placed.name, placed.place, pose->direction,
                  asked ? check.diameter : row->drill.back(), false};
    holes.insert(asked ? holes.begin() : holes.end(), std::move(hole));
  }
  const auto existing = ExistingHoles(part);
  holes.insert(holes.end(), existing.begin(), existing.end());
  return holes;
}

void AddBending(const std::string& name, const BeforeAfter& bending, FigureTable* table) {
  table->rows.push_back({"I, " + name + ", mm⁴", Figure(bending.before.second_moment),
                         Figure(bending.after.second_moment)});
  table->rows.push_back(
      {"W, " + name + ", mm³", Figure(bending.before.modulus), Figure(bending.after.modulus)});
}

FigureTable SectionTable(const Part& part, const std::vector<PartHole>& holes) {
  FigureTable table;
  table.heading = "Section at the hole";
  table.before_after = true;
  const auto made = SectionThroughHole(part, holes, 0);
  if (!made) {
    table.missing = made.error().message;
    return table;
  }
  const HoledSection& holed = made->together;
  table.rows.push_back({"area, mm²", Figure(made->before.area), Figure(holed.after.area)});
  AddBending("hole at the extreme fibre", holed.extreme, &table);
  AddBending("hole on the neutral axis", holed.neutral, &table);
  table.rows.push_back({"It, torsion constant, mm⁴", Figure(made->before.torsion.constant), "-"});
  table.rows.push_back(
      {"shift of the neutral axis, mm", "-", fmt::format("{:.2f}", holed.shift.norm())});
  table.notes.push_back(
      made->sharing.empty()
          ? std::string("No other hole shares this section.")
          : fmt::format("Holes that share this section are taken out as well: {}.",
                        fmt::join(made->sharing, ", ")));
  table.notes.emplace_back(
      "The hole counts as a parallel-sided strip through one wall. It with the hole is not given: "
      "a "
      "round hole breaks the shear flow on about its diameter only, and nothing published says how "
      "much that costs.");
  table.notes.emplace_back(
      "Figures and no verdict: strength is released by a named engineer or not at all.");
  return table;
}

FigureTable RaiserTable(const Part& part, const PartHole& hole) {
  FigureTable table;
  table.heading = "Published stress raisers";
  table.missing = "No published value applies.";
  // Several sources of one case share a row and a note.
  const std::vector<StressRaiser> all =
      StressRaisersOf(RaiserCaseOf(part, hole.place, hole.diameter));
  for (std::size_t i = 0; i < all.size();) {
    const StressRaiser& first = all[i];
    std::string values;
    std::string sources;
    for (; i < all.size() && all[i].of == first.of && all[i].limits == first.limits; ++i) {
      const char* comma = values.empty() ? "" : ", ";
      values += all[i].factor ? fmt::format("{}{:.2f}", comma, *all[i].factor) : std::string();
      sources += fmt::format("{}{}", sources.empty() ? "" : "; ", all[i].source);
    }
    const char* on = first.nominal == NominalStress::gross ? "gross" : "net";
    table.rows.push_back(
        {first.of,
         values.empty() ? "none"
                        : fmt::format("{} on {}{}", values, on, first.case_as_drilled ? "" : " *"),
         ""});
    table.notes.push_back(fmt::format("{}: {}{}holds for {} ({}).", first.of, first.why_none,
                                      first.why_none.empty() ? "" : "; ", first.limits, sources));
  }
  if (!table.rows.empty()) {
    table.notes.emplace_back("* published for another case than this hole, for comparison only.");
  }
  return table;
}

const char* WordsOf(NearKind kind) {
  switch (kind) {
    case NearKind::end: return "end";
    case NearKind::lip: return "lip";
    case NearKind::edge: return "edge";
    case NearKind::fitting: return "fitting, weld toe";
    case NearKind::hole: return "hole";
  }
  return "edge";
}

Result<RoundHole> Surveyed(const Job& job, const SideWork& side, const Part& part,
                           const HoleCheck& check) {
  const PointRow* row = job.FindPoint(check.point);
  const PlacedPoint* placed = FindPlaced(side.points, check.point);
  if (row == nullptr || placed == nullptr) {
    return Fail(ErrorKind::computed, "the point is not on this side");
  }
  const auto axis = AxisOf(row->axis, job.described_side, placed->normal);
  if (!axis) return tl::unexpected<Error>(axis.error());
  RoundHoleQuestion question{check.diameter, *axis, job.marking.tilt_rad.Greatest(), {}};
  for (const PlacedPoint& other : side.points) {
    const PointRow* drilled = job.FindPoint(other.name);
    if (other.part != part.name || other.name == check.point || drilled == nullptr ||
        drilled->drill.empty()) {
      continue;
    }
    question.others.push_back(
        {other.name, other.place, drilled->drill.back() / 2.0, other.zone.radius});
  }
  question.nearest_only = true;
  const TapeSolver tape(std::make_shared<SkinSurface>(part.skin));
  return RoundHoleOf(part, tape, *placed, question);
}

}  // namespace

FigureTable FiguresRound(const Job& job, const SideWork& side, const HoleCheck& check) {
  FigureTable table;
  table.heading = "Round the hole, mm";
  table.before_after = true;
  table.columns = {"as intended", "over the zone"};
  const Part* part = side.scene.FindPart(check.part);
  if (part == nullptr) return table;
  const auto found = Surveyed(job, side, *part, check);
  if (!found) {
    table.missing = found.error().message;
    return table;
  }
  if (const auto& wall = found->wall) {
    table.rows.push_back({"near wall along the axis", fmt::format("{:.2f}", wall->nominal),
                          wall->greatest
                              ? fmt::format("{:.2f} to {:.2f}", wall->least, *wall->greatest)
                              : fmt::format("from {:.2f}", wall->least)});
  }
  for (const NearKind kind :
       {NearKind::end, NearKind::lip, NearKind::edge, NearKind::fitting, NearKind::hole}) {
    const NearThing* thing = found->Nearest(kind);
    if (thing == nullptr) continue;
    table.rows.push_back({fmt::format("{} ({})", thing->to, WordsOf(kind)),
                          fmt::format("{:.1f}", thing->nominal),
                          fmt::format("≥ {:.1f}{}", std::floor(thing->least * 10.0) / 10.0,
                                      thing->proven ? "" : " *")});
  }
  const bool proven = std::all_of(found->things.begin(), found->things.end(),
                                  [](const NearThing& thing) { return thing.proven; });
  table.notes.emplace_back(
      "The nearest of each kind, by tape on the skin from the hole's middle; a fitting's "
      "outline is the toe of its weld where the job gives one. The wall is as stated, without its "
      "error.");
  if (!proven) table.notes.emplace_back("* not proven to be the least.");
  table.notes.insert(table.notes.end(), found->faults.begin(), found->faults.end());
  return table;
}

std::vector<FigureTable> FiguresOfHole(const Job& job, const SideWork& side, const HoleCheck& check,
                                       const FigureTable& round) {
  const Part* part = side.scene.FindPart(check.part);
  if (part == nullptr) return {};
  const std::vector<PartHole> holes = HolesOfPart(job, side, *part, check);
  if (holes.empty() || holes.front().name != check.point) {
    return {round};
  }
  return {round, SectionTable(*part, holes), RaiserTable(*part, holes.front())};
}

}  // namespace holeward
