#include "viewer/window_model.h"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <sstream>
#include <utility>

#include <fmt/format.h>

#include "geometry/mirrored.h"
#include "models/job_edit.h"
#include "models/placing.h"
#include "models/read_bytes.h"
#include "models/rule_reading.h"

namespace holeward {
namespace {

constexpr double kStepMm = 0.5;  // what a tape can be read to
constexpr double kStepInch = 1.0 / 64.0;
constexpr double kStepDegrees = 0.5;
constexpr double kFineMm = 0.1;  // what a person may wish for all the same
constexpr double kFineInch = 1.0 / 256.0;
constexpr double kFineDegrees = 0.1;

/// The bytes of a file that may be a job. Errors (file): in words.
Result<std::string> BytesOf(const std::string& path) {
  const OpenFile file(std::fopen(path.c_str(), "rb"));
  auto bytes = file ? ReadBytes(file.get(), kLargestJob) : std::nullopt;
  if (!bytes) return Fail(ErrorKind::file, fmt::format("{} cannot be read", path));
  if (bytes->size() > kLargestJob) {
    return Fail(ErrorKind::file,
                fmt::format("{} is larger than {} MiB; a job is not", path, kLargestJob >> 20U));
  }
  return std::move(*bytes);
}

std::string Lower(std::string text) {
  std::transform(text.begin(), text.end(), text.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return text;
}

bool Holds(const ListRow& row, const std::string& filter) {
  const std::string all = Lower(fmt::format("{} {} {} {} {} {}", row.id.point, WordOf(row.id.side),
                                            row.part, row.rule, row.position, row.verdict));
  std::istringstream words(Lower(filter));
  for (std::string word; words >> word;) {
    if (all.find(word) == std::string::npos) return false;
  }
  return true;
}

int Rank(const ListRow& row) { return row.judged ? static_cast<int>(*row.judged) : -1; }

/// What is met by no stage has more room than any margin.
double MarginRank(const ListRow& row) {
  if (row.margin) return *row.margin;
  return row.free ? 1e9 : -1e9;
}

bool Before(const ListRow& a, const ListRow& b, ListColumn column) {
  switch (column) {
    case ListColumn::name: return a.id.point < b.id.point;
    case ListColumn::side: return a.id.side < b.id.side;
    case ListColumn::rule: return a.rule < b.rule;
    case ListColumn::position: return a.position < b.position;
    case ListColumn::verdict: return Rank(a) < Rank(b);
    case ListColumn::margin: return MarginRank(a) < MarginRank(b);
  }
  return false;
}

ListRow RowOf(const JobState& state, const SideState& side, const PointRow& given) {
  ListRow row;
  row.id = {given.name, side.side};
  row.use = given.use;
  row.part = given.part;
  const Part* part = side.scene->FindPart(given.part);
  const bool turned = side.mirrored && part != nullptr && part->shared;
  row.rule = RuleInWords(turned ? WithEndsExchanged(given, *part) : given, state.job.inches);
  const PlacedPoint* placed = FindPlaced(side.points, given.name);
  if (placed == nullptr) {
    row.verdict = "not placed";
    return row;
  }
  const double unit = state.job.inches ? kInch : 1.0;
  const Vec3 at = (side.mirrored ? Mirrored(placed->position) : placed->position) / unit;
  row.position = state.job.inches ? fmt::format("{:.3f}, {:.3f}, {:.3f}", at.x(), at.y(), at.z())
                                  : fmt::format("{:.1f}, {:.1f}, {:.1f}", at.x(), at.y(), at.z());
  row.judged = VerdictOf(side, given);
  row.reasons = ReasonsOf(side, given);
  row.verdict = VerdictWord(state, given, row.judged);
  row.free = given.use == PointUse::drill;
  for (const HoleCheck& hole : side.checking.holes) {
    if (hole.point != given.name) continue;
    if (hole.margin_worst) row.margin = std::min(row.margin.value_or(1e9), *hole.margin_worst);
    row.free = row.free && hole.outcome == Outcome::nothing;
  }
  row.free = row.free && row.judged.has_value();
  return row;
}

/// What a number of a rule goes by when its point is moved, in the file's unit.
double GrainOf(bool angle, bool inches, bool fine) {
  if (angle) return fine ? kFineDegrees : kStepDegrees;
  if (inches) return fine ? kFineInch : kStepInch;
  return fine ? kFineMm : kStepMm;
}

double Rounded(double value, double grain) {
  return std::max(grain, std::round(value / grain) * grain);
}

const char* KeyOf(Method method) {
  switch (method) {
    case Method::tape: return "tape";
    case Method::rule: return "rule";
    case Method::square: return "square";
    case Method::protractor: return "protractor";
    default: return "";
  }
}

}  // namespace

void TextHistory::Change(std::string text, const std::string& step) {
  if (text == texts_[at_]) return;
  const bool same = !step.empty() && step == step_ && at_ + 1 == texts_.size() && at_ > 0;
  step_ = step;
  if (same) {
    texts_[at_] = std::move(text);
    return;
  }
  texts_.resize(at_ + 1);
  texts_.push_back(std::move(text));
  ++at_;
}

void TextHistory::Undo() {
  if (CanUndo()) --at_;
  EndStep();
}

void TextHistory::Redo() {
  if (CanRedo()) ++at_;
  EndStep();
}

std::optional<Verdict> VerdictOf(const SideState& side, const PointRow& row) {
  if (row.use == PointUse::reference) return std::nullopt;
  const auto point = std::find_if(side.checking.points.begin(), side.checking.points.end(),
                                  [&](const PointCheck& p) { return p.point == row.name; });
  if (point == side.checking.points.end()) return std::nullopt;
  Verdict worst = point->verdict;
  std::size_t stages = 0;
  for (const HoleCheck& hole : side.checking.holes) {
    if (hole.point != row.name) continue;
    worst = Worse(worst, hole.verdict);
    ++stages;
  }
  const bool whole = row.use != PointUse::drill || stages == row.drill.size();
  return whole ? std::optional(worst) : std::nullopt;
}

std::vector<std::string> ReasonsOf(const SideState& side, const PointRow& row) {
  std::vector<std::string> reasons;
  const Part* part = side.mirrored ? side.scene->FindPart(row.part) : nullptr;
  const auto add = [&](const std::string& before, const std::vector<std::string>& more) {
    for (const std::string& reason : more) {
      const bool turned = part != nullptr && part->shared;
      reasons.push_back(before + (turned ? EndsExchanged(reason, *part) : reason));
    }
  };
  for (const PointCheck& point : side.checking.points) {
    if (point.point == row.name) add("", point.reasons);
  }
  for (const HoleCheck& hole : side.checking.holes) {
    if (hole.point == row.name) add(fmt::format("{:g} mm: ", hole.diameter), hole.reasons);
  }
  return reasons;
}

std::string VerdictWord(const JobState& state, const PointRow& row,
                        const std::optional<Verdict>& verdict) {
  if (row.use == PointUse::reference) return "mark only";
  if (!state.errors.empty() || state.stopped) return "not checked";
  return verdict ? Word(*verdict) : "checking";
}

Result<void> WindowModel::Open(const std::string& path) {
  auto bytes = BytesOf(path);
  if (!bytes) return tl::unexpected<Error>(bytes.error());
  path_ = path;
  saved_ = *bytes;
  history_ = TextHistory(std::move(*bytes));
  state_.reset();
  rows_.clear();
  chosen_.reset();
  return {};
}

bool WindowModel::ChangedOutside() const {
  if (path_.empty()) return false;
  const auto bytes = BytesOf(path_);
  return !bytes || *bytes != saved_;
}

Result<void> WindowModel::Save(const FileWriter& write, bool over) {
  if (!over && ChangedOutside()) {
    return Fail(ErrorKind::file,
                fmt::format("{} was changed by something else since it was read", path_));
  }
  auto written = write(path_, text());
  if (!written) return written;
  saved_ = text();
  history_.EndStep();
  DropRecovery();
  return {};
}

Result<void> WindowModel::SaveAs(const std::string& path, const FileWriter& write) {
  auto written = write(path, text());
  if (!written) return written;
  if (!path_.empty()) DropRecovery();
  path_ = path;
  saved_ = text();
  history_.EndStep();
  return {};
}

Result<void> WindowModel::TakeOutside() {
  auto bytes = BytesOf(path_);
  if (!bytes) return tl::unexpected<Error>(bytes.error());
  saved_ = *bytes;
  Change(std::move(*bytes));
  return {};
}

std::string WindowModel::RecoveryPathOf(const std::string& path) {
  const std::filesystem::path file(path);
  return (file.parent_path() / ("." + file.filename().string() + ".unsaved")).string();
}

Result<void> WindowModel::KeepRecovery(const FileWriter& write) const {
  if (path_.empty()) return {};
  if (modified()) return write(RecoveryPathOf(path_), text());
  DropRecovery();
  return {};
}

std::optional<std::string> WindowModel::FindRecovery() const {
  if (path_.empty()) return std::nullopt;
  auto bytes = BytesOf(RecoveryPathOf(path_));
  return bytes && *bytes != saved_ ? std::optional(std::move(*bytes)) : std::nullopt;
}

void WindowModel::DropRecovery() const {
  if (path_.empty()) return;
  std::error_code ignored;
  std::filesystem::remove(RecoveryPathOf(path_), ignored);
}

void WindowModel::Change(std::string text, const std::string& step) {
  history_.Change(std::move(text), step);
}

Result<void> WindowModel::DragPoint(const ChosenPoint& point, const Vec3& to) {
  return MovePoint(point, to, false);
}

Result<void> WindowModel::MovePoint(const ChosenPoint& point, const Vec3& to, bool fine) {
  const auto side = SideIndex(point.side);
  const auto table = TableOfPoint(forms(), point.point);
  if (!side || !table) return Fail(ErrorKind::job, "the point is not there");
  const SideState& on = state_->sides[*side];
  const PointRow* row = state_->job.FindPoint(point.point);
  const Part* part = row == nullptr ? nullptr : on.scene->FindPart(row->part);
  if (part == nullptr) return Fail(ErrorKind::job, "the point is not there");
  const auto hit = part->skin->Project(on.mirrored ? Mirrored(to) : to);
  if (!hit) return Fail(ErrorKind::job, "there is no place of the part near by");
  const auto values = RuleValuesAt(state_->job, *on.scene, on.points, *row, hit->place);
  const double length = state_->job.inches ? kInch : 1.0;
  std::string changed = text();
  bool numbers = false;
  for (std::size_t i = 0; i < 2; ++i) {
    if (!values[i]) continue;
    numbers = true;
    const bool angle = row->rule[i].method == Method::protractor;
    const double unit = angle ? kPi / 180.0 : length;
    const double grain = GrainOf(angle, state_->job.inches, fine);
    // A number the move does not change is not rounded either. Decimals of a tenth are kept short.
    if (std::abs(*values[i] - row->rule[i].value) / unit < grain / 2.0) continue;
    const double value = std::round(Rounded(*values[i] / unit, grain) * 1e9) / 1e9;
    TomlPath path = *table;
    path.insert(path.end(), {std::string("rule"), i, std::string(KeyOf(row->rule[i].method))});
    auto next = WithValue(changed, path, TomlNumber(value));
    if (!next) return tl::unexpected<Error>(next.error());
    changed = std::move(*next);
  }
  if (!numbers) {
    return Fail(ErrorKind::job, "its rule has no number: change the rule instead");
  }
  Change(std::move(changed), "drag " + point.point);
  return {};
}

Result<void> WindowModel::NudgePoint(const ChosenPoint& point, const Vec3& way) {
  const auto side = SideIndex(point.side);
  const PlacedPoint* placed = side ? state_->Placed(*side, point.point) : nullptr;
  if (placed == nullptr) return Fail(ErrorKind::job, "the point has no place yet");
  const bool mirrored = state_->sides[*side].mirrored;
  const Vec3 from = mirrored ? Mirrored(placed->position) : placed->position;
  const Vec3 normal = mirrored ? Mirrored(placed->normal) : placed->normal;
  const Vec3 flat = way - way.dot(normal) * normal;
  if (flat.norm() < 0.05 * way.norm()) {
    return Fail(ErrorKind::job, "that way leads off the part: turn the picture or go another way");
  }
  return MovePoint(point, from + way.norm() * flat.normalized(), way.norm() < kStepMm);
}

void WindowModel::Adopt(std::shared_ptr<const JobState> state) {
  state_ = std::move(state);
  MakeRows();
}

std::string WindowModel::Summary() const {
  if (!state_) return "reading";
  if (!state_->errors.empty()) {
    return state_->errors.size() == 1
               ? "1 error: the job cannot be used as it is"
               : fmt::format("{} errors: the job cannot be used as it is", state_->errors.size());
  }
  if (state_->stopped && UpToDate()) return "not checked: stopped, F5 checks again";
  if (!state_->checked || !UpToDate()) return "checking";
  return Word(state_->verdict);
}

void WindowModel::SetFilter(const std::string& filter) {
  filter_ = filter;
  MakeRows();
}

void WindowModel::SortBy(ListColumn column, bool falling) {
  column_ = column;
  falling_ = falling;
  MakeRows();
}

std::optional<TomlPath> WindowModel::ChosenTable() const {
  return chosen_ ? TableOfPoint(forms(), chosen_->point) : std::nullopt;
}

std::optional<std::size_t> WindowModel::SideIndex(Side side) const {
  for (std::size_t i = 0; state_ && i < state_->sides.size(); ++i) {
    if (state_->sides[i].side == side) return i;
  }
  return std::nullopt;
}

void WindowModel::MakeRows() {
  rows_.clear();
  if (!state_) return;
  for (const PointRow& given : state_->job.points) {
    for (const SideState& side : state_->sides) {
      if (given.only && *given.only != side.side) continue;
      ListRow row = RowOf(*state_, side, given);
      if (Holds(row, filter_)) rows_.push_back(std::move(row));
    }
  }
  if (!column_) return;
  std::stable_sort(rows_.begin(), rows_.end(), [&](const ListRow& a, const ListRow& b) {
    return falling_ ? Before(b, a, *column_) : Before(a, b, *column_);
  });
}

}  // namespace holeward
