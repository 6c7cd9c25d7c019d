// Reads [[part.NAME.datum]] and [[part.NAME.face]]: places of a solid to measure from, and names of
// its flats.
#include "models/job_reader_datums.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>
#include <optional>

#include <fmt/format.h>

#include "geometry/skin.h"
#include "geometry/solid_datum.h"
#include "models/job_reading.h"
#include "models/part_law.h"
#include "models/solid_file.h"
#include "models/solid_part.h"

namespace holeward {
namespace {

constexpr std::size_t kLongestWord = 500;
// Each is looked for in the whole body.
constexpr std::size_t kMostDatums = 100;

constexpr std::array<const char*, 4> kShows{"point", "plane", "edge", "axis"};

/// The part as far as it is read, with its skin.
struct OnPart {
  const PartRow& part;
  const Skin& skin;
};

/// The body that shows a datum: the part's own unless another is given; null after an error.
const SolidBody* BodyOf(TableWalk& walk, const PartRow& part) {
  const auto word = walk.Text("body", kLongestWord);
  if (!walk.Has("body")) return &part.solid->body;
  if (!word) return nullptr;
  const auto chosen = BodyCalled(*part.solid->all, *word);
  if (!chosen) {
    walk.Error(
        walk.PlaceOf("body"),
        fmt::format("{} must be the name or number of a body of {}; found {}. It has: {}",
                    walk.What("body"), part.solid->file, Quoted(*word), ListOf(*part.solid->all)));
    return nullptr;
  }
  if (*chosen + 1 == part.solid->number) return &part.solid->body;
  const SolidBody& body = part.solid->all->bodies[*chosen];
  if (body.trouble.empty() && body.healed.empty()) return &body;
  walk.Error(
      walk.PlaceOf("body"),
      fmt::format("{}: nothing is measured from it, {}", walk.What("body"),
                  body.trouble.empty() ? "it is mended on reading (" + body.healed.front() + ")"
                                       : body.trouble));
  return nullptr;
}

Result<NamedPlace> Found(const std::string& shows, const SolidBody& body, const Skin& skin,
                         const Vec3& at) {
  if (shows == "plane") return PlaneDatum(body.shape, skin, at);
  if (shows == "edge") return EdgeDatum(body.shape, skin, at);
  return AxisDatum(body.shape, skin, at);
}

/// Which one of `kShows` a table gives; nothing after an error.
std::optional<std::string> ShownBy(TableWalk& walk) {
  std::vector<std::string> given;
  for (const char* key : kShows) {
    if (walk.Has(key)) given.emplace_back(key);
  }
  if (given.size() == 1) return given.front();
  walk.Accept({kShows.begin(), kShows.end()});
  walk.Accept({"body"});
  walk.Error(
      walk.node().at,
      fmt::format("{} must have one of \"point\", \"plane\", \"edge\" and \"axis\"; found {}",
                  walk.where(), given.empty() ? "none" : Listed(given)));
  return std::nullopt;
}

std::optional<NamedPlace> ReadShown(TableWalk& walk, const OnPart& on) {
  const auto shows = ShownBy(walk);
  if (!shows) return std::nullopt;
  const auto at = walk.Place(*shows, Need::required);
  const bool skin_only = *shows == "point";
  if (skin_only) {
    walk.Refuse("body", fmt::format("\"body\" in {} has no sense beside \"point\", a place of the "
                                    "part's own skin",
                                    walk.where()));
  }
  const SolidBody* body = skin_only ? nullptr : BodyOf(walk, on.part);
  if (!at || (!skin_only && body == nullptr)) return std::nullopt;
  auto found = skin_only ? PlaceDatum(on.skin, *at) : Found(*shows, *body, on.skin, *at);
  if (found) return *found;
  walk.Error(walk.PlaceOf(*shows), fmt::format("{}: {}", walk.What(*shows), found.error().message));
  return std::nullopt;
}

/// The name of a table whose part cannot have it, or is not known because of another error.
void PassOver(TableWalk& walk, const std::vector<std::string>& keys) {
  walk.Accept(keys);
  walk.IgnoreRest();
}

void ReadDatum(TableWalk& walk, const std::optional<Skin>& skin, const PartRow& part,
               std::vector<DatumRow>& found) {
  const auto name = walk.Name("name");
  if (!skin) {
    PassOver(walk, {"point", "plane", "edge", "axis", "body"});
    return;
  }
  auto place = ReadShown(walk, {part, *skin});
  if (!name) return;
  // A name whose place is wrong is a datum all the same: only the place is told.
  if (!place) place = NamedPlace{};
  place->name = *name;
  found.push_back({std::move(*place), walk.PlaceOf("name")});
}

/// The flat of the skin at a place; nothing after an error.
std::optional<int> FlatAt(TableWalk& walk, const Skin& skin, const Vec3& at) {
  const auto hit = skin.Project(at);
  const double off = hit ? hit->distance : 0.0;
  const int piece = hit ? skin.PieceOf(hit->place.v) : 0;
  const double mm = walk.context().unit_mm;
  if (hit && off <= kFoundWithin && skin.KindOf(piece) == PieceKind::flat) return piece / 2;
  walk.Error(
      walk.PlaceOf("at"),
      off > kFoundWithin
          ? fmt::format("{} must be a place of the part's skin, within {:.6g}; it lies {:.2f} "
                        "from it",
                        walk.What("at"), kFoundWithin / mm, off / mm)
          : fmt::format("{} must be a place on a flat of the part; it lies on a rounded "
                        "corner",
                        walk.What("at")));
  return std::nullopt;
}

void ReadFaceName(TableWalk& walk, const std::optional<Skin>& skin,
                  std::vector<FaceNameRow>& known) {
  const auto name = walk.Name("name");
  const auto at = walk.Place("at", Need::required);
  if (name) CheckReserved(*name, walk.PlaceOf("name"), walk.context());
  if (!skin || !name || !at) return;
  const auto flat = FlatAt(walk, *skin, *at);
  if (!flat) return;
  for (const FaceNameRow& other : known) {
    if (other.flat != *flat && other.name != *name) continue;
    walk.Error(other.name == *name ? walk.PlaceOf("name") : walk.PlaceOf("at"),
               other.name == *name
                   ? fmt::format("the name {} is taken: it is another face (line {})",
                                 Quoted(*name), other.at.line)
                   : fmt::format("{} lies on the face {} (line {}), which has its name",
                                 walk.What("at"), Quoted(other.name), other.at.line));
    return;
  }
  known.push_back({*name, *flat, walk.node().at});
}

/// The skin of a part that is a body of a file, if its shape is known.
std::optional<Skin> SkinFor(const PartRow& part, const PartSource& source, Side described) {
  if (!source.shape_known || !part.solid) return std::nullopt;
  auto skin = Skin::Make(LawOf(part, described));
  return skin ? std::optional<Skin>(std::move(*skin)) : std::nullopt;
}

/// True if there are tables to read; too many are an error.
bool HasTables(TableWalk& walk, const std::vector<const TomlNode*>& tables, const char* key) {
  if (tables.size() <= kMostDatums) return !tables.empty();
  walk.Error(tables[kMostDatums]->at, fmt::format("{} must be at most {} tables; found {}",
                                                  walk.What(key), kMostDatums, tables.size()));
  return false;
}

}  // namespace

void ReadDatums(TableWalk& walk, PartRow& part, const PartSource& source, Side described) {
  if (source.section_known && !part.solid) {
    walk.Refuse("datum", fmt::format("{} is for a part that is a body of a file (section = "
                                     "\"solid\"); of another the job gives every size, so measure "
                                     "from ends, edges and fittings",
                                     walk.What("datum")));
    return;
  }
  const auto tables = walk.Tables("datum");
  if (!HasTables(walk, tables, "datum")) return;
  const auto skin = SkinFor(part, source, described);
  std::vector<DatumRow> found;
  for (std::size_t i = 0; i < tables.size(); ++i) {
    TableWalk own(*tables[i], ItemName(*tables[i], "datum", i, walk.where()), walk.context());
    ReadDatum(own, skin, part, found);
    own.Finish();
  }
  if (!part.solid) return;
  auto shown = std::make_shared<SolidSource>(*part.solid);
  shown->datums = std::move(found);
  part.solid = std::move(shown);
}

void ReadFaceNames(TableWalk& walk, PartRow& part, PartSource& source, Side described) {
  if (source.section_known && (!part.solid || part.section == SectionKind::round)) {
    walk.Refuse("face", fmt::format("{} is for a part with flats that is a body of a file (section "
                                    "= \"solid\")",
                                    walk.What("face")));
    return;
  }
  const auto tables = walk.Tables("face");
  if (!HasTables(walk, tables, "face")) return;
  const auto skin = SkinFor(part, source, described);
  const PartNames before = skin ? NamesOf(part, described) : PartNames{};
  std::vector<FaceNameRow> names;
  for (std::size_t i = 0; i < tables.size(); ++i) {
    TableWalk own(*tables[i], ItemName(*tables[i], "face", i, walk.where()), walk.context());
    ReadFaceName(own, skin, names);
    own.Finish();
  }
  if (!skin) return;
  auto named = std::make_shared<SolidSource>(*part.solid);
  named->face_names = std::move(names);
  part.solid = std::move(named);
  source.words = WordsOf(part, described);
  FaceHolesAgain({*skin, before, NamesOf(part, described)}, source.holes);
}

}  // namespace holeward
