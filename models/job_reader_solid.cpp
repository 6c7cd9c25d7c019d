// Reads section = "solid": a body of a STEP file beside the job.
#include <algorithm>
#include <cmath>
#include <filesystem>

#include <fmt/format.h>

#include "geometry/rod_of_solid.h"
#include "models/job_reading.h"
#include "models/solid_file.h"
#include "models/solid_mount_rows.h"
#include "models/solid_part.h"
#include "models/solid_taken.h"

namespace holeward {
namespace {

// A size given to confirm the file is that of the body within this, mm: what a rule shows.
constexpr double kSize = 0.5;
// A wall given is that of the body within this, mm.
constexpr double kWall = 0.02;
// A mount that the job lists is the body's if no side of its outline is farther off, mm.
constexpr double kMount = 1.0;
constexpr std::size_t kLongestPath = 500;

/// A path of the job's: beside the job unless it is absolute.
std::string PathOf(const std::string& file, const std::string& job) {
  const std::filesystem::path path(file);
  return path.is_absolute() ? file : (std::filesystem::path(job).parent_path() / path).string();
}

class SolidReader {
 public:
  SolidReader(TableWalk& walk, PartRow& part, PartSource& source, JobReadingState& state)
      : walk_(walk), part_(part), source_(source), state_(state) {}

  bool Read() {
    const auto name = walk_.Text("file", kLongestPath, Need::required);
    const auto body = walk_.Text("body", kLongestPath);
    const auto size = walk_.Place("size", Need::required);
    const auto healing = walk_.Flag("healing");
    const auto from = walk_.Place("from");
    const auto to = walk_.Place("to");
    part_.up = walk_.Place("up");
    part_.lies = walk_.Choice("lies", {"across", "along", "upright"});
    RefuseFound();
    if (!name || !size || !walk_.Sound()) return false;
    if (from.has_value() != to.has_value()) {
      walk_.Error(part_.at, fmt::format("{} must have \"from\" and \"to\", both ends of its centre "
                                        "line, or neither",
                                        walk_.where()));
      return false;
    }
    const std::shared_ptr<const SolidFile> file = Open(*name);
    if (!file) return false;
    const auto chosen = Choose(*file, body);
    if (!chosen) return false;
    const SolidBody& solid = file->bodies[*chosen];
    if (!IsUsable(solid, healing.value_or(false)) || !HasSize(solid, *size, file->unit)) {
      return false;
    }
    part_.solid = std::make_shared<const SolidSource>(
        SolidSource{*name, file->unit, *chosen + 1, solid, file});
    return Take(from && to ? std::optional(std::pair(*from, *to)) : std::nullopt);
  }

 private:
  /// What the solid itself says.
  void RefuseFound() {
    for (const char* key : {"stations", "ends", "between", "diameter", "width", "height", "corner",
                            "outline", "open", "bench"}) {
      walk_.Refuse(key,
                   fmt::format("\"{}\" in {} has no sense: the solid says it", key, walk_.where()));
    }
  }

  std::shared_ptr<const SolidFile> Open(const std::string& name) {
    auto file = ReadSolidFile(PathOf(name, state_.job.file), FilesOf(state_.known));
    if (file) {
      state_.solid_hashes += (*file)->hash;
      return std::move(*file);
    }
    state_.unreadable = true;
    walk_.Error(walk_.PlaceOf("file"),
                fmt::format("{}: {}", walk_.What("file"), file.error().message));
    return nullptr;
  }

  std::optional<std::size_t> Choose(const SolidFile& file, const std::optional<std::string>& body) {
    if (!body && file.bodies.size() == 1) return 0;
    const auto chosen = body ? BodyCalled(file, *body) : std::nullopt;
    if (chosen) return chosen;
    walk_.Error(body ? walk_.PlaceOf("body") : walk_.PlaceOf("file"),
                fmt::format("{} must be the name or number of a body of the file; {}. It has: {}",
                            walk_.What("body"), body ? "found " + Quoted(*body) : "it is missing",
                            ListOf(file)));
    return std::nullopt;
  }

  bool IsUsable(const SolidBody& body, bool healing) {
    if (!body.trouble.empty()) {
      state_.unreadable = true;
      walk_.Error(walk_.PlaceOf("file"),
                  fmt::format("the body in {} cannot be used: {}", walk_.where(), body.trouble));
      return false;
    }
    if (body.healed.empty() || healing) return true;
    walk_.Error(walk_.PlaceOf("file"),
                fmt::format("the body in {} is mended on reading ({}); look at it and, if it is "
                            "right, give healing = true",
                            walk_.where(), body.healed.front()));
    return false;
  }

  bool HasSize(const SolidBody& body, const Vec3& size, const std::string& unit) {
    const Vec3 found = body.size();
    if ((found - size).cwiseAbs().maxCoeff() <= kSize) return true;
    const double mm = walk_.context().unit_mm;
    walk_.Error(walk_.PlaceOf("size"),
                fmt::format("{} must be the size of the body, [{:.2f}, {:.2f}, {:.2f}] as read in "
                            "the file's unit ({}); found [{:.2f}, {:.2f}, {:.2f}]",
                            walk_.What("size"), found.x() / mm, found.y() / mm, found.z() / mm,
                            unit, size.x() / mm, size.y() / mm, size.z() / mm));
    return false;
  }

  bool Take(const std::optional<std::pair<Vec3, Vec3>>& centre_line) {
    const double given = part_.wall;
    auto taken = TakeSolidOnce(part_, state_.job.described_side, centre_line, state_.known);
    if (!taken) {
      if (taken.error().kind != ErrorKind::job) state_.unreadable = true;
      walk_.Error(walk_.PlaceOf("file"), taken.error().message);
      return false;
    }
    source_.holes = std::move(*taken);
    if (given == 0.0 || std::abs(given - part_.wall) <= kWall) return true;
    walk_.Error(walk_.PlaceOf("wall"),
                fmt::format("{} must be that of the body ({:.3f}) or left out; found {:.3f}",
                            walk_.What("wall"), part_.wall / walk_.context().unit_mm,
                            given / walk_.context().unit_mm));
    return false;
  }

  TableWalk& walk_;
  PartRow& part_;
  PartSource& source_;
  JobReadingState& state_;
};

/// True if a fitting that the job lists is the one found in the body.
bool IsListed(const FittingRow& listed, const FittingRow& found) {
  const auto near = [](double a, double b, double by) { return std::abs(a - b) < by; };
  const bool block = listed.kind == FittingKind::bracket || listed.kind == FittingKind::plate ||
                     listed.kind == FittingKind::seam;
  const bool kind = found.kind == FittingKind::bracket ? block : listed.kind == found.kind;
  if (!kind || listed.in_body || listed.rule || listed.face != found.face) return false;
  const double along = listed.station - found.station;
  const double aside = listed.aside - found.aside;
  if (found.kind != FittingKind::bracket) {
    const double most = found.kind == FittingKind::hole ? kSize : kMount;
    return near(along, 0.0, kSize) && near(aside, 0.0, kSize) &&
           near(listed.diameter + 2.0 * listed.weld, found.diameter, most);
  }
  // Each side of the outline, to the toe of the weld.
  const Vec2 wider = 0.5 * (listed.size - found.size) + Vec2::Constant(listed.weld);
  return std::abs(along) + std::abs(wider.x()) < kMount &&
         std::abs(aside) + std::abs(wider.y()) < kMount;
}

bool IsFitting(const PartRow& part, const std::string& name) {
  return std::any_of(part.fittings.begin(), part.fittings.end(),
                     [&](const FittingRow& f) { return f.name == name; });
}

}  // namespace

bool ReadSolid(TableWalk& walk, PartRow& part, PartSource& source, JobReadingState& state) {
  return SolidReader(walk, part, source, state).Read();
}

void AddBodyHoles(PartRow& part, const PartSource& source) {
  std::vector<std::string> mounts;
  for (const FittingRow& found : source.holes) {
    const bool mount = found.kind != FittingKind::hole;
    const auto known = std::find_if(part.fittings.begin(), part.fittings.end(),
                                    [&](const auto& f) { return IsListed(f, found); });
    FittingRow row = found;
    if (known == part.fittings.end()) {
      for (std::size_t n = 2; IsFitting(part, row.name); ++n) {
        row.name = fmt::format("{} ({})", found.name, n);
      }
      part.fittings.push_back(row);
    } else {
      row.name = known->name;
      row.kind = known->kind;
      row.basis = known->basis;
      row.at = known->at;
      // Of a shared part the body says on which side a mount stands.
      if (!mount || !part.shared) row.only = known->only;
      *known = row;
    }
    if (mount) mounts.push_back(row.name);
  }
  NameMounts(part, mounts);
}

void ReadInnerBody(TableWalk& walk, const PartRow& part, const PartSource& source,
                   InnerRow& inner) {
  for (const char* key : {"kind", "diameter", "bore", "offset", "reach", "path"}) {
    walk.Refuse(key, fmt::format("\"{}\" in {} has no sense beside \"body\": the body says it", key,
                                 walk.where()));
  }
  const auto name = walk.Text("body", kLongestPath);
  if (!name) return;
  if (!part.solid) {
    if (!source.shape_known) return;  // the part's own errors come first
    walk.Error(walk.PlaceOf("body"),
               fmt::format("{} is for a part that is a body of a file itself (section = \"solid\")",
                           walk.What("body")));
    return;
  }
  const auto chosen = BodyCalled(*part.solid->all, *name);
  if (!chosen || *chosen + 1 == part.solid->number) {
    walk.Error(
        walk.PlaceOf("body"),
        fmt::format("{} must be the name or number of another body of {}; found {}. It has: "
                    "{}",
                    walk.What("body"), part.solid->file, Quoted(*name), ListOf(*part.solid->all)));
    return;
  }
  const SolidBody& body = part.solid->all->bodies[*chosen];
  const std::string what = fmt::format("body {} of {}", *chosen + 1, part.solid->file);
  const auto rod = !body.trouble.empty()
                       ? Result<FoundRod>(Fail(ErrorKind::job, what + ": " + body.trouble))
                       : RodOfSolid(body.shape, what);
  if (!rod) {
    walk.Error(walk.PlaceOf("body"), rod.error().message);
    return;
  }
  inner.kind = rod->bore > 0.0 ? InnerKind::sleeve : InnerKind::bar;
  inner.diameter = rod->widest();
  inner.bore = rod->hollow();
  inner.path = rod->path;
  inner.reach = {0.0, -1.0};
}

}  // namespace holeward
