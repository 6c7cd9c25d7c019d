#include "viewer/job_state.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "models/bench_reading.h"
#include "models/scene_likeness.h"
#include "models/toml_text.h"

namespace holeward {
namespace {

constexpr int kTries = 24;  // tables taken out before a text is given up

/// The bytes as blanks, line ends kept, so that all else stays in its line and column.
void BlankOut(std::string& text, const TextSpan& span) {
  for (std::size_t i = span.from; i < std::min(span.to, text.size()); ++i) {
    if (text[i] != '\n' && text[i] != '\r') text[i] = ' ';
  }
}

void AddTables(const TomlSpot& spot, std::vector<TextSpan>& tables) {
  if (spot.kind == TomlSpot::Kind::table && spot.header && spot.span.to > spot.span.from) {
    tables.push_back(spot.span);
  }
  for (const TomlSpotEntry& entry : spot.entries) AddTables(entry.spot, tables);
  for (const TomlSpot& item : spot.items) AddTables(item, tables);
}

int LineOf(std::string_view text, std::size_t offset) {
  return 1 + static_cast<int>(std::count(
                 text.begin(),
                 text.begin() + static_cast<std::ptrdiff_t>(std::min(offset, text.size())), '\n'));
}

/// Blanks the innermost table each error stands in. False: none could be found.
bool BlankTablesOf(std::string& text, const std::vector<JobError>& errors) {
  const auto root = SpotsOf(text);
  if (!root) return false;
  std::vector<TextSpan> tables;
  AddTables(*root, tables);
  std::vector<TextSpan> bad;
  for (const JobError& error : errors) {
    for (const TextSpan& table : tables) {
      const bool within =
          LineOf(text, table.from) <= error.at.line &&
          error.at.line < LineOf(text, table.to) + (table.to == text.size() ? 1 : 0);
      if (within && !(table.from == 0 && text.front() != '[')) bad.push_back(table);
    }
  }
  for (const TextSpan& table : bad) BlankOut(text, table);
  return !bad.empty();
}

void AddErrors(JobState& state, const std::vector<JobError>& errors) {
  for (const JobError& error : errors) {
    const bool known = std::any_of(state.errors.begin(), state.errors.end(), [&](const auto& e) {
      return e.at.line == error.at.line && e.message == error.message;
    });
    if (!known) state.errors.push_back(error);
  }
  std::stable_sort(state.errors.begin(), state.errors.end(), [](const auto& a, const auto& b) {
    return std::pair(a.at.line, a.at.column) < std::pair(b.at.line, b.at.column);
  });
}

/// A side of an earlier state on the same metal.
struct EarlierSide {
  const JobState& state;
  const SideState& side;

  [[nodiscard]] std::size_t IndexOf(const std::string& name) const {
    const auto at = std::find_if(side.points.begin(), side.points.end(),
                                 [&](const PlacedPoint& p) { return p.name == name; });
    return static_cast<std::size_t>(at - side.points.begin());
  }
  [[nodiscard]] bool Stands(const PlacedPoint& point) const {
    const std::size_t i = IndexOf(point.name);
    return i < side.points.size() && SamePlace(side.points[i], point);
  }

  /// The lines of a point that stands where it stood, as do the points it is read from; or null.
  [[nodiscard]] const std::vector<ReadingPath>* PathsOf(
      const Job& job, const PlacedPoint& point, const std::vector<PlacedPoint>& points) const {
    const PointRow* row = job.FindPoint(point.name);
    const PointRow* old = state.job.FindPoint(point.name);
    if (row == nullptr || old == nullptr || !(*row == *old) || !Stands(point)) return nullptr;
    for (const PlacedPoint& other : points) {
      const bool read_from = std::any_of(row->rule.begin(), row->rule.end(), [&](const auto& m) {
        return std::find(m.from.begin(), m.from.end(), other.name) != m.from.end();
      });
      if (read_from && !Stands(other)) return nullptr;
    }
    const std::size_t i = IndexOf(point.name);
    return i < side.paths.size() ? &side.paths[i] : nullptr;
  }
};

/// The lines of a side's readings; of points that did not move, those of an earlier state.
std::vector<std::vector<ReadingPath>> PathsOf(const Job& job, const SideState& side,
                                              const JobState* before) {
  if (before != nullptr && before->job.marking == job.marking) {
    for (const SideState& old : before->sides) {
      if (old.scene != side.scene) continue;
      const EarlierSide earlier{*before, old};
      return ReadingPathsOf(job, *side.scene, side.points, [&](std::size_t i) {
        return earlier.PathsOf(job, side.points[i], side.points);
      });
    }
  }
  return ReadingPathsOf(job, *side.scene, side.points);
}

/// Shows what an evaluation found.
void Take(const Evaluation& evaluation, const JobState* before, JobState& state) {
  state.warnings.clear();
  state.sides.clear();
  for (const SideEvaluation& found : evaluation.sides) {
    AddErrors(state, found.build->errors);
    AddErrors(state, found.build->failures);
    AddErrors(state, found.placing.errors);
    state.warnings.insert(state.warnings.end(), found.placing.warnings.begin(),
                          found.placing.warnings.end());
    SideState side;
    side.side = found.side;
    side.mirrored = found.mirrored;
    side.scene = std::shared_ptr<const Scene>(found.build, &found.build->scene);
    side.points = found.placing.points;
    side.paths = PathsOf(state.job, side, before);
    side.checking = found.checking;
    state.sides.push_back(std::move(side));
  }
}

}  // namespace

const PlacedPoint* JobState::Placed(std::size_t side, const std::string& point) const {
  return side < sides.size() ? FindPlaced(sides[side].points, point) : nullptr;
}

std::string JobState::Notice() const {
  if (errors.empty()) return "";
  return fmt::format("{} in the job: not all of it is drawn, and nothing is judged",
                     errors.size() == 1 ? "1 error" : fmt::format("{} errors", errors.size()));
}

JobReading ReadGoodParts(const std::string& text, const std::string& file,
                         std::vector<JobError>& errors, const Job* known) {
  JobReading reading = ReadBenchJobText(text, file, known).reading;
  errors = reading.errors;
  std::string left = text;
  for (int i = 0; !reading.errors.empty() && i < kTries; ++i) {
    if (!BlankTablesOf(left, reading.errors)) break;
    const Job before = std::move(reading.job);
    reading = ReadBenchJobText(left, file, before.parts.empty() ? known : &before).reading;
  }
  return reading;
}

JobState PlacedState(const std::string& text, const std::string& file, const JobState* before) {
  JobState state;
  state.text = text;
  JobReading reading =
      ReadGoodParts(text, file, state.errors, before == nullptr ? nullptr : &before->job);
  state.partial = !state.errors.empty();
  if (!reading.errors.empty()) return state;
  state.job = std::move(reading.job);
  const Evaluation* known = before == nullptr ? nullptr : before->evaluation.get();
  state.evaluation = std::make_shared<const Evaluation>(EvaluatePlaces(state.job, known));
  Take(*state.evaluation, before, state);
  return state;
}

JobState CheckedState(const JobState& placed, const std::stop_token& stop) {
  JobState state = placed;
  state.checked = true;
  state.stopped = false;
  // What the errors left out may be what a drill meets: of a part of a job nothing is judged.
  if (state.evaluation == nullptr || !state.errors.empty()) return state;
  auto evaluation =
      std::make_shared<const Evaluation>(Evaluate(state.job, placed.evaluation.get(), stop));
  if (stop.stop_requested()) {
    state.checked = false;
    state.stopped = true;
    if (evaluation->stopped) state.evaluation = std::move(evaluation);
    return state;
  }
  state.evaluation = std::move(evaluation);
  state.verdict = state.evaluation->verdict;
  Take(*state.evaluation, &placed, state);
  return state;
}

}  // namespace holeward
