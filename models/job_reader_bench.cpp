// Reads [part.NAME.bench]: a part as measured on a bench, which the fit turns into stations.
#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <set>

#include <fmt/format.h>

#include "models/bench.h"
#include "models/bench_instruments.h"
#include "models/bench_table.h"
#include "models/bench_words.h"
#include "models/job_reading.h"
#include "models/text_hash.h"

namespace holeward {
namespace {

// It bounds the work that a wrong file can cause: a fit grows with the cube of the rows.
constexpr std::size_t kMostBenchRows = 40;

/// Reads one bench.
class BenchReader {
 public:
  BenchReader(TableWalk walk, const PartRow& part, Job& job)
      : walk_(std::move(walk)), part_(part), job_(job) {}

  std::optional<BenchSheet> Run() {
    sheet_.at = walk_.node().at;
    Ways();
    const double density_low = 0.1;
    const Bounds density{
        "a density in kg/dm3 from 0.1 to 25", Measured::plain, density_low, false, 25.0, false};
    sheet_.density = walk_.Number("density", density).value_or(sheet_.density);
    Table();
    Rows();
    Wall();
    Corner();
    ReadSpareReadings(walk_, part_, words_, sheet_);
    TakeTable();
    Mounts();
    walk_.Finish();
    Names();
    if (!walk_.Sound()) return std::nullopt;
    return sheet_;
  }

 private:
  void Ways() {
    sheet_.toward =
        walk_.Choice("toward", {"outboard", "inboard", "front", "rear"}).value_or("outboard");
    words_ = WordsOfBench(sheet_);
    sheet_.straightedge = walk_.Choice("straightedge", {words_.lateral[0], words_.lateral[1]})
                              .value_or(words_.lateral[1]);
  }

  // A filled-in form beside the job.
  void Table() {
    const auto file = walk_.Text("readings", 500);
    if (!file || file->empty()) {
      if (file)
        walk_.Error(walk_.PlaceOf("readings"), walk_.What("readings") + " must not be empty");
      return;
    }
    const std::filesystem::path named(*file);
    const auto path =
        named.is_absolute() ? named : std::filesystem::path(job_.file).parent_path() / named;
    table_ = ReadBenchTableFile(path.string());
    TellTable(table_->errors);
    // What the file says is part of what is released.
    job_.content_hash =
        Sha256(job_.content_hash + table_->bytes_hash).substr(0, job_.content_hash.size());
  }

  void TellTable(const std::vector<JobError>& errors) {
    const auto file = walk_.node().Find("readings");
    for (const JobError& error : errors) {
      walk_.Error(file->at, fmt::format("{}: {}", walk_.What("readings"), error.Text(file->text)));
    }
  }

  void TakeTable() {
    if (!table_ || !table_->errors.empty()) return;
    const Location at = walk_.PlaceOf("readings");
    if (!HoldsPart(*table_, part_.name)) {
      return walk_.Error(
          at, fmt::format("{} holds no reading of part '{}'", walk_.What("readings"), part_.name));
    }
    TellTable(TakeReadings(*table_, part_, at, &sheet_));
  }

  void Rows() {
    if (table_ && !walk_.Has("rows")) {
      sheet_.rows.assign(RowsOf(*table_, part_.name), walk_.PlaceOf("readings"));
      walk_.Find("rows");
      return;
    }
    const TomlNode* list = walk_.Find("rows", Need::required);
    if (!list) return;
    if (list->kind != TomlKind::list || list->items.size() < 2 ||
        list->items.size() > kMostBenchRows) {
      walk_.Error(list->at, fmt::format("{} must be a list of 2 to {} rows; found {}",
                                        walk_.What("rows"), kMostBenchRows, Shown(*list)));
      return;
    }
    for (std::size_t i = 0; i < list->items.size(); ++i) {
      const TomlNode& node = list->items[i];
      const auto where = fmt::format("row {} of {}", i + 1, walk_.where());
      sheet_.rows.push_back(node.at);
      if (node.kind != TomlKind::table) {
        walk_.Error(node.at, fmt::format("{} must be a table {{ distance = ..., ... }}; found {}",
                                         where, Shown(node)));
        continue;
      }
      Row(TableWalk(node, where, walk_.context()), i);
    }
  }

  void Row(TableWalk row, std::size_t index) {
    row.Find("distance", Need::required);
    if (const auto r = ReadBenchReading(row, "distance", BenchKind::distance)) {
      Keep(*r, "distance", index);
      CheckOrder(row, index, r->value);
    }
    for (const std::string& face : words_.Faces()) {
      row.Find(face);
      if (auto r = ReadBenchReading(row, face, BenchKind::face)) {
        r->side = *words_.Side(face);
        Keep(*r, face, index);
      }
    }
    for (const KindWord& size : BenchSizeWords(part_.section)) {
      row.Find(size.word);
      if (const auto r = ReadBenchReading(row, size.word, size.kind)) {
        if (size.kind == BenchKind::corner) sheet_.own_corners = true;
        Keep(*r, size.word, index);
      }
    }
    row.Finish();
    CheckSides(row, "top", "underside");
    const bool from_rear = sheet_.straightedge == words_.lateral[1];
    CheckSides(row, words_.lateral[from_rear ? 0 : 1], words_.lateral[from_rear ? 1 : 0]);
  }

  void Keep(BenchReading reading, const std::string& word, std::size_t row) {
    reading.row = row;
    reading.name = fmt::format("{} {}", row + 1, word);
    AddBenchReading(reading, sheet_, walk_);
  }

  void CheckOrder(TableWalk& row, std::size_t index, double distance) {
    if (index > 0 && distance < last_ + 1.0) {
      row.Error(row.PlaceOf("distance"),
                fmt::format("{} must be at least 1 mm more than that of the row before ({:.6g}); "
                            "found {:.6g}. Were two rows swapped?",
                            row.What("distance"), last_ / walk_.context().unit_mm,
                            distance / walk_.context().unit_mm));
    }
    last_ = distance;
  }

  // Of two opposite faces the one named first reads more.
  void CheckSides(TableWalk& row, const std::string& more, const std::string& less) {
    const TomlNode* high = row.node().Find(more);
    const TomlNode* low = row.node().Find(less);
    if (!high || !low || !high->IsNumber() || !low->IsNumber()) return;
    if (high->number > low->number) return;
    row.Error(high->at, fmt::format("{} must be more than its {} ({}); found {}. Were the two "
                                    "swapped?",
                                    row.What(more), Quoted(less), Shown(*low), Shown(*high)));
  }

  // The part's wall is a reading like any other.
  void Wall() {
    BenchReading r;
    r.name = "wall";
    r.kind = BenchKind::wall;
    r.value = part_.wall;
    r.instrument = part_.wall_basis == Basis::measured ? "wall gauge" : "drawing";
    r.sigma = WallSigma(part_.wall_basis == Basis::measured, r.value);
    r.at = sheet_.at;
    AddBenchReading(r, sheet_, walk_);
  }

  // One corner radius for all rows that have none of their own.
  void Corner() {
    if (part_.section == SectionKind::round) return;
    walk_.Find("corner");
    auto common = ReadBenchReading(walk_, "corner", BenchKind::corner);
    if (common && sheet_.own_corners) {
      walk_.Error(common->at, fmt::format("{} cannot stand beside a corner of each row; give one "
                                          "or the other",
                                          walk_.What("corner")));
    } else if (common) {
      common->name = "corner";
      AddBenchReading(*common, sheet_, walk_);
    }
  }

  void Names() {
    std::set<std::string> taken;
    for (const BenchReading& r : sheet_.readings) {
      if (taken.insert(r.name).second) continue;
      walk_.Error(r.at,
                  fmt::format("two readings of {} are named {}", walk_.where(), Quoted(r.name)));
    }
  }

  void Mounts() {
    const auto tables = walk_.Tables("mounts");
    const Bounds angle{
        "an angle from -45 to 45 degrees", Measured::degrees, -45.0, false, 45.0, false};
    sheet_.slope = walk_.Number("slope", angle);
    sheet_.origin = walk_.Place("origin");
    for (std::size_t i = 0; i < tables.size(); ++i) {
      Mount(TableWalk(*tables[i], ItemName(*tables[i], "mount", i, walk_.where()), walk_.context()),
            i);
    }
    const std::size_t n = tables.size();
    if (n == 0 && sheet_.slope) {
      walk_.Error(walk_.PlaceOf("slope"),
                  fmt::format("{} has no sense without \"mounts\"", walk_.What("slope")));
    }
    if (n > 0 && sheet_.origin) {
      walk_.Error(walk_.PlaceOf("origin"),
                  fmt::format("{} cannot stand beside \"mounts\"", walk_.What("origin")));
    }
    if (n == 0) return;
    const std::size_t wanted = sheet_.slope ? 2 : 3;
    if (n == wanted) return;
    walk_.Error(walk_.PlaceOf("mounts"),
                fmt::format("{} must be two mounts with a \"slope\", or three of which the third "
                            "gives its height in the vehicle; found {}{}",
                            walk_.What("mounts"), n, sheet_.slope ? " with a slope" : ""));
  }

  void Mount(TableWalk mount, std::size_t index) {
    BenchMount m;
    m.at = mount.node().at;
    m.name = mount.Name("name").value_or("");
    m.distance = mount.Number("distance", CoordinateBounds(), Need::required).value_or(0.0);
    m.offset = mount.Number("offset", CoordinateBounds(), Need::required).value_or(0.0);
    m.height = mount.Number("height", CoordinateBounds(), Need::required).value_or(0.0);
    if (index < 2) {
      m.place = mount.Place("place", Need::required);
      if (!m.place) m.place = Vec3::Zero();
    } else {
      m.vehicle_height = mount.Number("z", CoordinateBounds(), Need::required);
    }
    mount.Finish();
    sheet_.mounts.push_back(m);
  }

  TableWalk walk_;
  const PartRow& part_;
  Job& job_;
  std::optional<BenchTable> table_;
  BenchWords words_;
  BenchSheet sheet_;
  double last_ = 0.0;
};

}  // namespace

bool ReadBench(TableWalk& walk, PartRow& part, JobReadingState& state) {
  const TomlNode* table = walk.Table("bench");
  for (const char* key : {"stations", "from", "to", "width", "height", "corner", "diameter",
                          "outline", "up", "lies"}) {
    walk.Refuse(key, fmt::format("\"{}\" in {} cannot stand beside its bench, which says it", key,
                                 walk.where()));
  }
  part.between = walk.Choice("between", {"smooth", "straight"}) == "straight"
                     ? CentreShape::straight
                     : CentreShape::smooth;
  if (part.section == SectionKind::channel) part.open = walk.Text("open", 60, Need::required);
  if (part.section == SectionKind::outline) {
    walk.Error(walk.PlaceOf("bench"),
               fmt::format("{} takes box, round and channel sections; give the stations of an "
                           "outline",
                           walk.What("bench")));
    return false;
  }
  if (!table) return false;
  const auto where = fmt::format("[part.{}.bench]", part.name);
  const auto sheet = BenchReader(TableWalk(*table, where, walk.context()), part, state.job).Run();
  if (!sheet || !(part.wall > 0.0)) return false;
  auto fit = FitBench(part, *sheet, state.job.described_side);
  if (!fit) {
    walk.Error(fit.error().at, fmt::format("{}: {}", where, fit.error().message));
    return false;
  }
  part.stations = fit->stations;
  part.wall = fit->wall;
  if ((fit->up - Vec3::UnitZ()).norm() > 1e-9) part.up = fit->up;
  const bool across = sheet->toward == "outboard" || sheet->toward == "inboard";
  part.lies = across ? "across" : "along";
  if (!fit->doubts.empty()) part.basis = Basis::assumed;
  part.unproven = fit->unchecked;
  state.benches.push_back({part.name, std::make_shared<const BenchFit>(std::move(*fit))});
  return true;
}

void WidenMarking(JobReadingState& state) {
  if (state.benches.empty()) return;
  const TomlNode* marking = state.root->Find("marking");
  HalfWidth outline;
  HalfWidth wall;
  const auto widen = [](HalfWidth& to, const HalfWidth& by) {
    to = {std::max(to.minus, by.minus), std::max(to.plus, by.plus)};
  };
  for (const PartBench& bench : state.benches) {
    widen(outline, bench.fit->outline);
    widen(wall, bench.fit->wall_error);
  }
  // What the job says, or the default where other parts rest on it, is never narrowed.
  Marking& m = state.job.marking;
  const bool all = state.benches.size() == state.job.parts.size();
  if (all && !(marking && marking->Find("outline"))) m.outline = {};
  if (all && !(marking && marking->Find("wall"))) m.wall = {};
  state.outline_floor = m.outline;
  state.wall_floor = m.wall;
  widen(m.outline, outline);
  widen(m.wall, wall);
}

}  // namespace holeward
