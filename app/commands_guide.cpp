#include <optional>
#include <string>

#include <fmt/format.h>

#include "app/commands.h"
#include "app/output.h"
#include "app/work_guide.h"
#include "app/write_model.h"
#include "models/checking.h"

namespace holeward {
namespace {

/// The side a guide is for: the one asked for, or the only one.
std::optional<ExitStatus> RefuseSide(const Work& work, Console& console) {
  if (work.sides.size() == 1) {
    return std::nullopt;
  }
  console.Message("a guide fits one side of the vehicle: say --side left or --side right");
  return ExitStatus::wrong_job;
}

Json GuideJson(const Work& work, const DrillGuide& guide, const Options& options) {
  Json document = HeadJson(HeadOf(work), "guide");
  document["file"] = *options.to;
  document["point"] = guide.point;
  document["side"] = Word(guide.side);
  document["stage"] = options.stage;
  document["drill_mm"] = guide.drill;
  document["bush_mm"] = guide.spec.bush;
  document["bush_length_mm"] = guide.bush_length;
  document["stop_mm"] = guide.stop;
  document["landing_mm"] = guide.landing;
  document["gap_mm"] = {{"least", guide.fit.gap_least}, {"greatest", guide.fit.gap_greatest}};
  document["thinnest_mm"] = guide.thinnest;
  document["volume_mm3"] = guide.solid->volume();
  document["lined_up"] = guide.plan.lined_up;
  document["not_lined_up"] = guide.plan.not_lined_up;
  document["verdict"] = Word(guide.verdict);
  return document;
}

void PrintGuide(const DrillGuide& guide, const std::string& file, Console& console) {
  console.Print(fmt::format("{}: guide for {}, {} side, drill {} mm", Printable(file),
                            Printable(guide.point), Word(guide.side), Decimal(guide.drill, 2)));
  console.Print(fmt::format("  bush {} mm outside, {} mm long, flush with the top",
                            Decimal(guide.spec.bush, 2), Decimal(guide.bush_length, 1)));
  console.Print(
      fmt::format("  stop {} mm: the chuck, or a collar set {} mm behind the tip, lands "
                  "on the top",
                  Decimal(guide.stop, 1), Decimal(guide.landing, 1)));
  for (const std::string& words : guide.plan.lined_up) {
    console.Print("  " + Printable(words));
  }
  for (const std::string& words : guide.plan.not_lined_up) {
    console.Print("  " + Printable(words));
  }
  console.Print(
      fmt::format("  fit measured: gap {} to {} mm, nothing in the part or its fittings; "
                  "thinnest wall {} mm; {} cm3 to print",
                  Decimal(guide.fit.gap_least, 2), Decimal(guide.fit.gap_greatest, 2),
                  Decimal(guide.thinnest, 1), Decimal(guide.solid->volume() / 1000.0, 1)));
  console.PrintVerdict(fmt::format("Verdict on {}", guide.point), guide.verdict);
}

}  // namespace

ExitStatus RunGuide(const Options& options, Console& console) {
  auto work = PlaceWork(options, console);
  if (!work) {
    return work.error();
  }
  if (const auto refused = RefuseSide(*work, console)) {
    return *refused;
  }
  SideWork& side = work->sides.front();
  console.Progress(fmt::format("{}: checking", Word(side.side)));
  side.checking = CheckPoints(work->job, side.scene, side.points, side.side);
  console.Progress("building the guide");
  const auto guide = GuideOf(*work, options);
  console.EndProgress();
  if (!guide) {
    return Failed(guide.error(), console);
  }
  const auto said =
      options.json ? TextOf(GuideJson(*work, *guide, options))
                   : Spoken(console, [&](Console& to) { PrintGuide(*guide, *options.to, to); });
  if (!said) {
    return Failed(said.error(), console);
  }
  return WriteGuide(*work, *guide, *options.to, *said, console);
}

}  // namespace holeward
