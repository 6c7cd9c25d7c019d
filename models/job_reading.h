// What the readers of the single tables share while a job file is read. Internal to the reader.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "models/bench_reading.h"
#include "models/job.h"
#include "models/part_words.h"
#include "models/toml_walk.h"

namespace holeward {

/// A part while the job is read: what later tables need to know of it.
struct PartSource {
  bool section_known = false;  ///< the section is one of those known
  bool names_known = false;    ///< its ends and fittings all have names
  bool shape_known = false;    ///< section and stations are sound: words and length hold
  PartWords words;
  double length = 0.0;            ///< greatest length its centre line can have, mm
  double girth = 0.0;             ///< greatest way round a section, upper bound, mm
  double widest = 0.0;            ///< greatest size of a section, mm
  std::vector<FittingRow> holes;  ///< that a body of a file has already
};

/// The job so far. `sources` runs beside `job.parts`.
struct JobReadingState {
  std::vector<PartBench> benches;  ///< of the parts measured on a bench
  HalfWidth outline_floor;         ///< marking errors without the benches
  HalfWidth wall_floor;
  Job job;
  WalkContext context;
  const TomlNode* root = nullptr;
  std::string_view text;  ///< of the file
  std::vector<PartSource> sources;
  std::vector<const TomlNode*> point_nodes;  ///< every [[point]] of the file, in order
  std::vector<std::string> part_names;       ///< every part of the file
  std::string solid_hashes;                  ///< of the STEP files its solids come from
  bool unreadable = false;                   ///< one of them could not be read
  const Job* known = nullptr;                ///< an earlier reading: its bodies are used again

  /// Index of the part, or nothing.
  [[nodiscard]] std::optional<std::size_t> Part(std::string_view name) const;
};

/// A name that has been given, so that the second one can point to the first.
struct NameBook {
  struct Entry {
    std::string kind;
    Location at;
  };
  std::map<std::string, Entry> entries;

  /// Adds an error and returns false if the name is taken. An empty name claims nothing.
  bool Claim(const std::string& name, const std::string& kind, Location at, WalkContext& context);
};

/// Whether a name is a word of the job file and so cannot be given to an end, fitting or point.
[[nodiscard]] bool IsReservedName(std::string_view name);
void CheckReserved(const std::string& name, Location at, WalkContext& context);

std::optional<Side> ReadOnly(TableWalk& walk);
Basis ReadBasis(TableWalk& walk, const std::string& key, Basis otherwise);

/// [set], [vehicle], [limits], [marking], [tool].
void ReadSettings(TableWalk& root, JobReadingState& state);
/// [part.*] with their stations, fittings and inner bodies.
void ReadParts(TableWalk& root, JobReadingState& state);
/// Sections and centre line of a part; false if they are not sound.
bool ReadShape(TableWalk& walk, PartRow& part);
/// [part.NAME.bench]: fits the readings and leaves the part with stations; false after an error.
bool ReadBench(TableWalk& walk, PartRow& part, JobReadingState& state);
/// section = "solid": reads the STEP file and leaves the part with the sections found in it; false
/// after an error.
bool ReadSolid(TableWalk& walk, PartRow& part, PartSource& source, JobReadingState& state);
/// The holes of the body among the fittings: those that the job lists too keep their names.
void AddBodyHoles(PartRow& part, const PartSource& source);
/// `body` of an inner body: a bar or sleeve that is another body of the part's file.
void ReadInnerBody(TableWalk& walk, const PartRow& part, const PartSource& source, InnerRow& inner);
/// Marking errors not narrower than what the fits of the bench parts leave.
void WidenMarking(JobReadingState& state);
/// Sizes that cannot be: corner, wall, coincident stations, chord, lies, up, open.
void CheckShape(TableWalk& walk, PartRow& part, PartSource& source, Side described);
/// Corner points, crossings and corner radii of an outline; leaves it counter-clockwise.
bool CheckOutline(StationRow& station, Location at, const std::string& where, WalkContext& context);
void ReadFittings(TableWalk& walk, PartRow& part, const PartSource& source, JobReadingState& state);
/// `rule` of the fittings that have one, when every part is known.
void ReadFittingRules(JobReadingState& state);
void ReadInnerBodies(TableWalk& walk, PartRow& part, const PartSource& source);
void ReadLaps(TableWalk& walk, PartRow& part, const PartSource& source);
/// [[neighbour]].
void ReadNeighbours(TableWalk& root, JobReadingState& state);
/// `part` of a point or template: its index, or nothing after an error. `name` is what was given.
[[nodiscard]] std::optional<std::size_t> ReadPartName(TableWalk& walk, const JobReadingState& state,
                                                      std::string& name);
/// [[point]].
void ReadPoints(TableWalk& root, JobReadingState& state);
/// [[template]].
void ReadTemplates(TableWalk& root, JobReadingState& state);
/// What [set] says besides number and revision.
void ReadSetExtras(TableWalk& set, Job& job);
/// [release].
void ReadRelease(TableWalk& root, JobReadingState& state);
/// [[step]].
void ReadOwnSteps(TableWalk& root, JobReadingState& state);
/// [[decision]], after the points.
void ReadDecisions(TableWalk& root, JobReadingState& state);
/// [words].
void ReadWords(TableWalk walk, Job& job);
/// The trainer's own words: names, sentences, and where they stand.
void ReadOwnTexts(const TomlNode& tree, Job& job);

/// What a message calls an item: by its name if it has one, else by its number in the file.
[[nodiscard]] std::string ItemName(const TomlNode& node, const std::string& kind, std::size_t index,
                                   const std::string& part);

/// What a measure may refer to: its point's part, face and the datums before it.
struct MeasureScope {
  const JobReadingState* state = nullptr;
  std::optional<std::size_t> part;  ///< index; nothing if the reference was wrong
  std::optional<std::string> face;  ///< canonical; nothing if round or wrong
  std::string point;                ///< the point's own name
  std::optional<Side> only;
};

/// `rule` of a point: its two measures.
void ReadRule(TableWalk& walk, PointRow& point, const MeasureScope& scope);
/// A measure of a point's rule.
[[nodiscard]] MeasureRow ReadMeasure(TableWalk walk, const MeasureScope& scope);

/// What kind of datum a name is.
enum class DatumKind { unknown, end, fitting, edge, line, middle, point };
struct FoundDatum {
  DatumKind kind = DatumKind::unknown;
  std::string name;  ///< canonical
  const FittingRow* fitting = nullptr;
};

/// The datum `name` of the scope's part; adds an error if there is none. Unknown without an error
/// if what the part offers is not known because of another error.
[[nodiscard]] FoundDatum FindDatum(const std::string& name, Location at, const std::string& what,
                                   const MeasureScope& scope, WalkContext& context);

/// A direction for `toward` and `axis` was left or right: why that is refused.
[[nodiscard]] std::string LeftRightRefused(const std::string& what, std::string_view word);

}  // namespace holeward
