#include "app/work.h"

#include <algorithm>

#include <fmt/format.h>

#include "app/interrupt.h"
#include "geometry/parallel.h"
#include "models/bench.h"
#include "models/bench_reading.h"
#include "models/nearest_word.h"
#include "models/placing.h"
#include "models/scene_likeness.h"

namespace holeward {
namespace {

constexpr auto Stop = [](ExitStatus status) { return tl::unexpected<ExitStatus>(status); };

void Tell(Console& console, const Job& job, const std::vector<JobError>& errors) {
  for (const JobError& error : errors) {
    console.PlacedMessage(Printable(error.Text(job.file)));
  }
}

std::vector<Side> SidesAskedFor(const Job& job, const Options& options) {
  if (!options.side) {
    return job.sides;
  }
  const bool made = std::find(job.sides.begin(), job.sides.end(), *options.side) != job.sides.end();
  return made ? std::vector<Side>{*options.side} : std::vector<Side>{};
}

Step CheckFilters(const Job& job, const Options& options, Console& console) {
  if (SidesAskedFor(job, options).empty()) {
    console.Message(
        fmt::format("--side {}: the job does not make that side; see `sides` in [vehicle]",
                    Word(*options.side)));
    return Stop(ExitStatus::wrong_job);
  }
  if (!options.part) {
    return {};
  }
  std::vector<std::string> names;
  for (const PartRow& part : job.parts) {
    names.push_back(part.name);
  }
  if (std::find(names.begin(), names.end(), *options.part) != names.end()) {
    return {};
  }
  const auto nearest = NearestWord(*options.part, names);
  console.Message(fmt::format(
      "--part {}: the job has no such part{} Its parts: {}", Printable(*options.part),
      nearest ? fmt::format("; did you mean \"{}\"?", *nearest) : ".", fmt::join(names, ", ")));
  return Stop(ExitStatus::wrong_job);
}

/// What a side's parts and points came to, before anything is told.
struct BuiltSide {
  SceneBuild build;
  Placing placing;
};

BuiltSide BuildSide(const Job& job, Side side, Console& console) {
  BuiltSide built;
  console.Progress(fmt::format("{}: building the parts", Word(side)));
  built.build = BuildScene(job, side);
  if (!built.build.ok() || Interrupted()) {
    return built;
  }
  console.Progress(fmt::format("{}: placing the points", Word(side)));
  built.placing = PlacePoints(job, built.build.scene, side);
  return built;
}

tl::expected<SideWork, ExitStatus> PlaceSide(const Job& job, Side side, BuiltSide built,
                                             const Options& options, Console& console) {
  SideWork work;
  work.side = side;
  work.mirrored = side != job.described_side;
  if (!built.build.ok()) {
    Tell(console, job, built.build.errors);
    Tell(console, job, built.build.failures);
    return Stop(built.build.errors.empty() ? ExitStatus::failed : ExitStatus::wrong_job);
  }
  if (Interrupted()) {
    return Stop(ExitStatus::interrupted);
  }
  work.scene = std::move(built.build.scene);
  Placing& placing = built.placing;
  Tell(console, job, placing.errors);
  if (!placing.errors.empty()) {
    return Stop(ExitStatus::wrong_job);
  }
  if (!work.mirrored || job.sides.size() == 1) {
    Tell(console, job, placing.warnings);  // the mirror image would only repeat them
  }
  for (PlacedPoint& point : placing.points) {
    if (!options.part || point.part == *options.part) {
      work.points.push_back(std::move(point));
    }
  }
  return work;
}

// An earlier side, checked, whose metal and points are the same, or null.
const SideWork* ImageOf(const Work& work, const SideWork& side) {
  for (const SideWork& other : work.sides) {
    if (&other == &side) {
      break;
    }
    if (SameMetal(other.scene, side.scene) && SamePlaces(other.points, side.points)) {
      return &other;
    }
  }
  return nullptr;
}

// Samples the holes of a checked side. False: interrupted.
bool AnalyseSide(const Work& work, SideWork& side, const CheckMemo& memo, AnalysisDepth depth,
                 Console& console) {
  AnalysisOptions options;
  options.shares = options.settings = depth == AnalysisDepth::in_full;
  options.progress = [&](double share) {
    console.Progress(fmt::format("{}: sampling poses, {:.0f} %", Word(side.side), 100.0 * share));
    return !Interrupted();
  };
  const auto analyst =
      HoleAnalyst::Make(work.job, side.scene, side.points, side.side, memo.surroundings);
  if (analyst) {
    side.analyses = analyst->AnalyseAll(side.checking.holes, options);
  }
  for (std::size_t i = 0; i < side.analyses.size(); ++i) {
    Adopt(side.analyses[i], side.checking.holes[i]);
  }
  side.checking.verdict = OverallVerdict(side.checking.holes, side.checking.points);
  return !Interrupted();
}

// Checks and samples one side. False: interrupted.
bool CheckSide(const Work& work, SideWork& side, AnalysisDepth depth, Console& console) {
  if (const SideWork* image = ImageOf(work, side)) {
    side.checking = image->checking;
    side.analyses = image->analyses;
    return true;
  }
  console.Progress(fmt::format("{}: checking", Word(side.side)));
  CheckMemo memo;
  side.checking = CheckPoints(work.job, side.scene, side.points, side.side, {&memo, {}});
  return !Interrupted() && AnalyseSide(work, side, memo, depth, console);
}

}  // namespace

namespace {

// A job as it was read, its warnings told; or what is wrong with it.
tl::expected<Job, ExitStatus> JobOf(JobWithBenches read, const std::string& path, Console& console,
                                    std::vector<PartBench>* benches = nullptr) {
  JobReading& reading = read.reading;
  if (!reading.ok()) {
    for (const JobError& error : reading.errors) {
      console.PlacedMessage(Printable(error.Text(path)));
    }
    return Stop(reading.unreadable ? ExitStatus::failed : ExitStatus::wrong_job);
  }
  console.EndProgress();
  for (const PartBench& bench : read.benches) {
    for (const std::string& warning : WarningsOf(*bench.fit)) {
      console.Message(Printable(fmt::format("part {}: {}", bench.part, warning)));
    }
  }
  if (benches) *benches = std::move(read.benches);
  return std::move(reading.job);
}

}  // namespace

tl::expected<Job, ExitStatus> ReadJobOf(const std::string& path, Console& console,
                                        std::vector<PartBench>* benches) {
  console.Progress("reading the job");
  return JobOf(ReadBenchJobFile(path), path, console, benches);
}

tl::expected<Work, ExitStatus> PlaceWork(const Options& options, Console& console) {
  console.Progress("reading the job");
  return PlaceWork(ReadBenchJobFile(options.job), options, console);
}

tl::expected<Work, ExitStatus> PlaceWork(JobWithBenches read, const Options& options,
                                         Console& console) {
  auto job = JobOf(std::move(read), options.job, console);
  if (!job) {
    return Stop(job.error());
  }
  Work work;
  work.job = std::move(*job);
  work.complete = !options.filtered();
  if (const Step filters = CheckFilters(work.job, options, console); !filters) {
    return Stop(filters.error());
  }
  const std::vector<Side> sides = SidesAskedFor(work.job, options);
  std::vector<BuiltSide> built = MadeOfEach(
      sides.size(), [&](std::size_t i) { return BuildSide(work.job, sides[i], console); });
  for (std::size_t i = 0; i < sides.size(); ++i) {
    auto placed = PlaceSide(work.job, sides[i], std::move(built[i]), options, console);
    if (!placed) {
      return Stop(placed.error());
    }
    work.sides.push_back(std::move(*placed));
    if (Interrupted()) {
      return Stop(ExitStatus::interrupted);
    }
  }
  console.EndProgress();
  return work;
}

Step CheckWork(Work& work, Console& console, AnalysisDepth depth) {
  std::vector<HoleCheck> holes;
  std::vector<PointCheck> points;
  for (SideWork& side : work.sides) {
    if (!CheckSide(work, side, depth, console)) {
      return Stop(ExitStatus::interrupted);
    }
    holes.insert(holes.end(), side.checking.holes.begin(), side.checking.holes.end());
    points.insert(points.end(), side.checking.points.begin(), side.checking.points.end());
  }
  console.EndProgress();
  // A side may have nothing to check; what counts is that the job has.
  const Verdict overall = OverallVerdict(holes, points);
  work.overall = work.complete ? overall : Worse(overall, Verdict::unproven);
  return {};
}

std::vector<PointOut> PointsOut(const Work& work) {
  std::vector<PointOut> rows;
  for (const SideWork& side : work.sides) {
    for (const PlacedPoint& point : side.points) {
      PointOut row;
      row.side = side.side;
      const PointRow* given = work.job.FindPoint(point.name);
      row.use = given != nullptr ? given->use : PointUse::reference;
      row.point = side.mirrored ? Mirrored(point, *side.scene.FindPart(point.part)) : point;
      rows.push_back(std::move(row));
    }
  }
  return rows;
}

std::vector<HoleOut> HolesOut(const Work& work) {
  std::vector<HoleOut> rows;
  for (const SideWork& side : work.sides) {
    for (const HoleCheck& hole : side.checking.holes) {
      rows.push_back({side.side, side.mirrored ? Mirrored(hole) : hole});
    }
  }
  return rows;
}

std::vector<PointCheckOut> PointChecksOut(const Work& work) {
  std::vector<PointCheckOut> rows;
  for (const SideWork& side : work.sides) {
    for (const PointCheck& point : side.checking.points) {
      const Part* part = side.mirrored ? side.scene.FindPart(point.part) : nullptr;
      rows.push_back({side.side, part != nullptr ? Mirrored(point, *part) : point});
    }
  }
  return rows;
}

}  // namespace holeward
