// Reads [part.*]: what a part is called, its ends and its wall; then its shape, fittings and
// inner bodies.
#include <algorithm>

#include <fmt/format.h>

#include "models/job_reader_datums.h"
#include "models/job_reading.h"

namespace holeward {
namespace {

// No vehicle has more; it bounds the work that a wrong file can cause.
constexpr std::size_t kMostParts = 500;

const std::vector<std::string>& SectionWords() {
  static const std::vector<std::string> kWords{"box", "round", "channel", "outline", "solid"};
  return kWords;
}

std::optional<SectionKind> ReadSection(TableWalk& walk) {
  const TomlNode* value = walk.Find("section", Need::required);
  std::optional<std::string> word;
  if (value) word = ReadChoice(*value, walk.What("section"), SectionWords(), walk.context());
  if (word == "box") return SectionKind::box;
  if (word == "round") return SectionKind::round;
  if (word == "channel") return SectionKind::channel;
  if (word == "outline") return SectionKind::outline;
  if (word == "solid") return std::nullopt;
  // Which keys belong here depends on the section.
  walk.Accept({"stations", "from", "to", "between", "diameter", "width", "height", "corner",
               "outline", "up", "lies", "open"});
  return std::nullopt;
}

void ReadEnds(TableWalk& walk, PartRow& part) {
  const TomlNode* list = walk.Find("ends");
  if (!list) return;
  if (list->kind != TomlKind::list || list->items.size() != 2) {
    walk.Error(list->at, fmt::format("{} must be two words, at the start and at the finish, each "
                                     "open or closed; found {}",
                                     walk.What("ends"), Shown(*list)));
    return;
  }
  for (std::size_t i = 0; i < 2; ++i) {
    const auto what = fmt::format("item {} of {}", i + 1, walk.What("ends"));
    const auto word = ReadChoice(list->items[i], what, {"open", "closed"}, walk.context());
    part.ends[i] = word == "closed" ? EndKind::closed : EndKind::open;
  }
}

void ReadEndNames(TableWalk& walk, PartRow& part) {
  part.start = walk.Name("start").value_or("");
  part.finish = walk.Name("finish").value_or("");
  if (!part.start.empty() && part.start == part.finish) {
    walk.Error(walk.PlaceOf("finish"),
               fmt::format("\"start\" and \"finish\" in {} must be two different names; found {} "
                           "twice",
                           walk.where(), Quoted(part.start)));
  }
  if (!part.start.empty()) CheckReserved(part.start, walk.PlaceOf("start"), walk.context());
  if (!part.finish.empty()) CheckReserved(part.finish, walk.PlaceOf("finish"), walk.context());
}

void ReadPart(TableWalk walk, PartRow& part, PartSource& source, JobReadingState& state) {
  walk.Accept({"section", "shared", "wall", "wall_basis", "coating", "basis", "ends", "start",
               "finish", "stations", "from", "to"});
  const auto section = ReadSection(walk);
  const TomlNode* word = walk.Find("section");
  const bool solid = word && word->kind == TomlKind::text && word->text == "solid";
  part.shared = walk.Flag("shared").value_or(false);
  part.basis = ReadBasis(walk, "basis", solid ? Basis::drawn : Basis::measured);
  part.wall =
      walk.Number("wall", SizeBounds(), solid ? Need::optional : Need::required).value_or(0.0);
  part.coating = walk.Number("coating", LengthBounds()).value_or(0.0);
  part.wall_basis = ReadBasis(walk, "wall_basis", part.basis);
  if (!solid) ReadEnds(walk, part);
  ReadEndNames(walk, part);
  source.section_known = section.has_value();
  part.section = section.value_or(SectionKind::box);
  if (solid) {
    source.shape_known = source.section_known = ReadSolid(walk, part, source, state);
    if (source.shape_known) CheckShape(walk, part, source, state.job.described_side);
  } else if (!section) {
    walk.Accept({"bench"});
  }
  if (section) {
    source.shape_known = walk.Has("bench") ? ReadBench(walk, part, state) : ReadShape(walk, part);
    if (source.shape_known) CheckShape(walk, part, source, state.job.described_side);
  }
  ReadFaceNames(walk, part, source, state.job.described_side);
  ReadFittings(walk, part, source, state);
  AddBodyHoles(part, source);
  ReadDatums(walk, part, source, state.job.described_side);
  ReadInnerBodies(walk, part, source);
  ReadLaps(walk, part, source);
  walk.Finish();
}

}  // namespace

void ReadParts(TableWalk& root, JobReadingState& state) {
  const TomlNode* parts = root.Find("part", Need::required);
  root.CallMissing("part", "a part ([part.NAME])");
  if (!parts) return;
  if (parts->kind != TomlKind::table || parts->entries.empty()) {
    root.Error(parts->at, fmt::format("{} must hold one table a part, [part.NAME]; found {}",
                                      root.What("part"), Shown(*parts)));
    return;
  }
  if (parts->entries.size() > kMostParts) {
    root.Error(parts->at, fmt::format("the job must have at most {} parts; found {}", kMostParts,
                                      parts->entries.size()));
    return;
  }
  for (const auto& entry : parts->entries) {
    TomlNode name;
    name.kind = TomlKind::text;
    name.text = entry.key;
    name.at = entry.key_at;
    state.part_names.push_back(entry.key);
    (void)ReadText(name, "the name of a part", 60, state.context);
    CheckReserved(entry.key, entry.key_at, state.context);
    PartRow part;
    part.name = entry.key;
    part.at = entry.value.at;
    PartSource source;
    const auto where = fmt::format("[part.{}]", entry.key.empty() ? "\"\"" : entry.key);
    if (entry.value.kind == TomlKind::table) {
      ReadPart(TableWalk(entry.value, where, state.context), part, source, state);
    } else {
      state.context.Add(entry.value.at,
                        fmt::format("{} must be a table; found {}", where, Shown(entry.value)));
    }
    state.job.parts.push_back(std::move(part));
    state.sources.push_back(std::move(source));
  }
}

}  // namespace holeward
