#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "app/commands.h"
#include "app/output.h"
#include "app/work.h"
#include "export/compare_out.h"
#include "models/done_holes.h"

namespace holeward {
namespace {

constexpr auto Stop = [](ExitStatus status) { return tl::unexpected<ExitStatus>(status); };

// A point that moved less than this did not move: below it lies the rounding of placing it.
constexpr double kStill = 1e-6;  // mm

tl::expected<Work, ExitStatus> Checked(const std::string& path, Console& console) {
  Options options;
  options.job = path;
  auto work = PlaceWork(options, console);
  if (!work) {
    return work;
  }
  if (const Step checked = CheckWork(*work, console); !checked) {
    return Stop(checked.error());
  }
  return work;
}

const SideWork* FindSide(const Work& work, Side side) {
  const auto found = std::find_if(work.sides.begin(), work.sides.end(),
                                  [&](const SideWork& one) { return one.side == side; });
  return found == work.sides.end() ? nullptr : &*found;
}

std::string Sizes(const PointRow& row) {
  return row.drill.empty() ? "none" : fmt::format("{}", fmt::join(row.drill, ", "));
}

std::string Stops(const Checking& checking, const std::string& point) {
  std::vector<std::string> stops;
  for (const HoleCheck& hole : checking.holes) {
    if (hole.point != point) continue;
    stops.push_back(hole.stop ? Decimal(*hole.stop, 1) : "none");
  }
  return fmt::format("{}", fmt::join(stops, ", "));
}

/// A point in one of the jobs.
struct Place {
  const PointRow* row = nullptr;
  const SideWork* side = nullptr;
  PointOut out;
};

std::vector<Place> PlacesOf(const Work& work) {
  std::vector<Place> places;
  for (PointOut& out : PointsOut(work)) {
    const PointRow* row = work.job.FindPoint(out.point.name);
    places.push_back({row, FindSide(work, out.side), std::move(out)});
  }
  return places;
}

void AddChange(const char* what, const std::string& before, const std::string& now,
               std::vector<std::string>* changes) {
  if (before != now) {
    changes->push_back(fmt::format("{} {} to {}", what, before, now));
  }
}

PointChange Changed(const Place& before, const Place& now) {
  PointChange change;
  change.name = now.out.point.name;
  change.side = now.out.side;
  change.moved = (now.out.point.position - before.out.point.position).norm();
  auto* changes = &change.changes;
  AddChange("part", before.row->part, now.row->part, changes);
  AddChange("use", Word(before.row->use), Word(now.row->use), changes);
  AddChange("drills", Sizes(*before.row), Sizes(*now.row), changes);
  const std::string& name = change.name;
  AddChange("stops", Stops(before.side->checking, name), Stops(now.side->checking, name), changes);
  AddChange("verdict", Word(WorstAt(before.side->checking, name)),
            Word(WorstAt(now.side->checking, name)), changes);
  const bool still = *change.moved < kStill && changes->empty();
  change.kind = still ? PointChange::Kind::same : PointChange::Kind::changed;
  return change;
}

PointChange Alone(const Place& place, PointChange::Kind kind) {
  PointChange change;
  change.kind = kind;
  change.name = place.out.point.name;
  change.side = place.out.side;
  return change;
}

std::vector<PointChange> ChangesOf(const Work& before, const Work& now) {
  const std::vector<Place> old_places = PlacesOf(before);
  const std::vector<Place> new_places = PlacesOf(now);
  const auto match = [](const std::vector<Place>& list, const Place& place) {
    return std::find_if(list.begin(), list.end(), [&](const Place& one) {
      return one.out.point.name == place.out.point.name && one.out.side == place.out.side;
    });
  };
  std::vector<PointChange> changes;
  for (const Place& place : new_places) {
    const auto old = match(old_places, place);
    changes.push_back(old == old_places.end() ? Alone(place, PointChange::Kind::appeared)
                                              : Changed(*old, place));
  }
  for (const Place& place : old_places) {
    if (match(new_places, place) == new_places.end()) {
      changes.push_back(Alone(place, PointChange::Kind::vanished));
    }
  }
  return changes;
}

DoneHole Done(const HoleCheck& check, Side side) {
  return {check.point,        side,          check.stage,  check.diameter, check.stop,
          check.margin_worst, check.verdict, check.reasons};
}

/// The holes of one side of the old job by the new one.
std::vector<DoneHole> DoneOf(const Work& before, const SideWork& old_side, const Work& now) {
  std::vector<DoneHole> done;
  const SideWork* side = FindSide(now, old_side.side);
  const bool alike = before.job.described_side == now.job.described_side;
  if (side != nullptr && alike) {
    const DoneSide worked{before.job, old_side.points, old_side.checking.holes};
    for (const HoleCheck& check : CheckDoneHoles(now.job, side->scene, worked, side->side)) {
      done.push_back(Done(check, side->side));
    }
    return done;
  }
  for (const HoleCheck& check : old_side.checking.holes) {
    done.push_back(Done(check, old_side.side));
    done.back().verdict = Verdict::unproven;
    done.back().margin_worst.reset();
    done.back().reasons = {side == nullptr
                               ? "The new job does not make this side: it cannot be judged."
                               : "The jobs describe different sides: it cannot be judged."};
  }
  return done;
}

void Print(const CompareOut& compared, Console& console) {
  Table points({{"point", "", Align::left},
                {"side", "", Align::left},
                {"", "", Align::left},
                {"moved", "mm", Align::right},
                {"what else changed", "", Align::left}});
  for (const PointChange& point : compared.points) {
    points.Row({Printable(point.name), Word(point.side), Word(point.kind),
                point.moved ? Decimal(*point.moved, 3) : "-",
                Printable(fmt::format("{}", fmt::join(point.changes, "; ")))});
  }
  console.Print(points);
  if (compared.done.empty()) {
    console.Print("\nThe old job drills no hole.");
    return;
  }
  Table holes({{"hole of the old job", "", Align::left},
               {"side", "", Align::left},
               {"stage", "", Align::right},
               {"size", "mm", Align::right},
               {"stop", "mm", Align::right},
               {"worst", "mm", Align::right},
               {"by the new job", "", Align::left}});
  for (const DoneHole& hole : compared.done) {
    holes.Row({Printable(hole.point), Word(hole.side), std::to_string(hole.stage),
               Decimal(hole.diameter, 1), hole.stop ? Decimal(*hole.stop, 1) : "none",
               hole.margin_worst ? Decimal(std::floor(*hole.margin_worst * 10.0) / 10.0, 1) : "-",
               hole.verdict});
  }
  console.Print("");
  console.Print(holes);
  for (const DoneHole& hole : compared.done) {
    for (const std::string& reason : hole.reasons) {
      console.Print(fmt::format("  {} {} stage {}: {}", Printable(hole.point), Word(hole.side),
                                hole.stage, Printable(reason)));
    }
  }
  console.PrintVerdict("Vehicles done by the old job", compared.done_verdict);
}

}  // namespace

ExitStatus RunCompare(const Options& options, Console& console) {
  const auto before = Checked(options.old_job, console);
  if (!before) {
    return before.error();
  }
  const auto now = Checked(options.job, console);
  if (!now) {
    return now.error();
  }
  CompareOut compared;
  compared.old_head = HeadOf(*before);
  compared.new_head = HeadOf(*now);
  compared.points = ChangesOf(*before, *now);
  for (const SideWork& side : before->sides) {
    for (DoneHole& hole : DoneOf(*before, side, *now)) {
      compared.done_verdict = Worse(compared.done_verdict, hole.verdict);
      compared.done.push_back(std::move(hole));
    }
  }
  if (options.json) {
    const ExitStatus printed = PrintDocument(CompareJson(compared), console);
    return printed == ExitStatus::done ? StatusOf(compared.done_verdict) : printed;
  }
  Print(compared, console);
  return StatusOf(compared.done_verdict);
}

}  // namespace holeward
