#include "models/job_form_drafts.h"

#include <cctype>
#include <cmath>
#include <cstdlib>

#include <fmt/format.h>

#include "models/job_form_keys.h"
#include "models/part_words.h"

namespace holeward {
namespace {

using Names = std::vector<std::string>;

/// Faces of a part, or lines of a round one; of a part that cannot be read yet, what most have.
Names PlacesOn(const DraftPlace& place) {
  const PartRow* part = PartOf(place.job, place.part);
  if (part == nullptr) return {"top"};
  const PartWords words = WordsOf(*part, place.job.described_side);
  const Names& names = words.faces.empty() ? words.lines : words.faces;
  return names.empty() ? Names{"top"} : names;
}

std::string PointBody(const DraftPlace& place) {
  const PartRow* part = PartOf(place.job, place.part);
  const PartWords words = part == nullptr ? PartWords{} : WordsOf(*part, place.job.described_side);
  const bool round = part != nullptr && words.faces.empty();
  const char* toward = words.lies == Lies::across  ? "outboard"
                       : words.lies == Lies::along ? "rear"
                                                   : "down";
  const std::string start = part == nullptr ? "front end" : part->start;
  const std::string to = part == nullptr || part->finish.empty() ? toward : part->finish;
  return fmt::format(
      "name = {}\nuse  = \"reference\"\npart = {}\n{}rule = [ {{ tape = 30, from = {}, toward = "
      "{} }}, {{ {} }} ]\n",
      TomlQuoted(FreshName(place.text, "P1")), TomlQuoted(place.part),
      round ? "" : fmt::format("face = {}\n", TomlQuoted(PlacesOn(place).front())),
      TomlQuoted(start), TomlQuoted(to),
      round ? fmt::format("line = {}", TomlQuoted(PlacesOn(place).front())) : "middle = \"face\"");
}

NewTable PartDraft(std::string_view text) {
  return {{"part", FreshName(text, "part1")},
          false,
          "section = \"box\"\nwall    = 2.5\nwidth   = 50\nheight  = 50\ncorner  = 8\n"
          "start   = \"front end\"\nfinish  = \"rear end\"\nfrom    = [0, 500, 250]\n"
          "to      = [-300, 500, 250]\n",
          {}};
}

NewTable BenchPartDraft(std::string_view text) {
  const std::string name = FreshName(text, "part1");
  return {{"part", name},
          false,
          fmt::format("section = \"box\"\nwall    = 2.5\nstart   = \"inner end\"\n"
                      "finish  = \"outer end\"\n\n[part.{}.bench]\ncorner = 8\nrows = [\n"
                      "  {},\n  {{ distance = 150, front = 90, rear = 40, top = 80, underside = 30 "
                      "}},\n]\n",
                      TomlKey(name), FirstBenchRow()),
          {}};
}

NewTable FittingDraft(const DraftPlace& place) {
  return {{"part", place.part, "fitting"},
          true,
          fmt::format("name    = {}\nkind    = \"plate\"\nface    = {}\nstation = 60\n"
                      "size    = [30, 20]\nheight  = 3\n",
                      TomlQuoted(FreshName(place.text, "plate 1")),
                      TomlQuoted(PlacesOn(place).front())),
          {}};
}

/// A table of a list with a name of its own and lines behind it.
NewTable Named(Names table, const std::string& name, const std::string& lines) {
  return {std::move(table), true, fmt::format("name     = {}\n{}", TomlQuoted(name), lines), {}};
}

/// What no part and no point is.
NewTable ShopDraft(std::string_view text, NewThing thing) {
  if (thing == NewThing::step) {
    return {{"step"},
            true,
            fmt::format("title = {}\nafter = \"clean\"\ntext  = \"What is to be done.\"\n",
                        TomlQuoted(FreshName(text, "Own step 1"))),
            {}};
  }
  const auto root = SpotsOf(text);
  const bool first = !root || root->Find("decision") == nullptr;
  return {{"decision"},
          true,
          fmt::format("when = {}\nthen = \"What is to be done.\"\n",
                      first ? "\"otherwise\"" : "\"any test fails\""),
          {}};
}

NewTable InMillimetres(const DraftPlace& place, NewThing thing) {
  switch (thing) {
    case NewThing::point: return {{"point"}, true, PointBody(place), {}};
    case NewThing::part: return PartDraft(place.text);
    case NewThing::bench_part: return BenchPartDraft(place.text);
    case NewThing::fitting: return FittingDraft(place);
    case NewThing::inner:
      return Named({"part", place.part, "inner"}, FreshName(place.text, "bar 1"),
                   "diameter = 10\nbasis    = \"assumed\"\n");
    case NewThing::lap:
      return Named({"part", place.part, "lap"}, FreshName(place.text, "lap 1"),
                   "wall     = 1\nbasis    = \"assumed\"\n");
    case NewThing::datum:
      return Named({"part", place.part, "datum"}, FreshName(place.text, "datum 1"),
                   "point    = [0, 500, 250]\n");
    case NewThing::face_name:
      return Named({"part", place.part, "face"}, FreshName(place.text, "flat 1"),
                   "at       = [0, 500, 250]\n");
    case NewThing::neighbour:
      return Named({"neighbour"}, FreshName(place.text, "hose 1"),
                   "path     = [[0, 400, 400], [-300, 400, 400]]\ndiameter = 8\n");
    case NewThing::template_sheet:
      return Named({"template"}, FreshName(place.text, place.part + " sheet 1"),
                   fmt::format("part     = {}\n", TomlQuoted(place.part)));
    default: return ShopDraft(place.text, thing);
  }
}

/// A draft's lengths, which is every number of it that is no part of a name, in inches to 1/16.
std::string InInches(const std::string& body) {
  std::string made;
  bool quoted = false;
  for (std::size_t i = 0; i < body.size();) {
    const char c = body[i];
    if (c == '"' && (i == 0 || body[i - 1] != '\\')) quoted = !quoted;
    const char before = i == 0 ? ' ' : body[i - 1];
    const bool starts = std::string_view(" [(,=").find(before) != std::string_view::npos;
    char* end = nullptr;
    const double number =
        quoted || !starts || c == ' ' || c == '\n' ? 0.0 : std::strtod(body.c_str() + i, &end);
    if (end == nullptr || end == body.c_str() + i) {
      made += c;
      ++i;
      continue;
    }
    made += TomlNumber(std::round(number / kInch * 16.0) / 16.0);
    i = static_cast<std::size_t>(end - body.c_str());
  }
  return made;
}

}  // namespace

std::string FreshName(std::string_view text, const std::string& model) {
  std::string stem = model;
  while (!stem.empty() && std::isdigit(static_cast<unsigned char>(stem.back())) != 0) {
    stem.pop_back();
  }
  for (int i = 1;; ++i) {
    const std::string name = fmt::format("{}{}", stem.empty() ? "P" : stem, i);
    if (text.find(TomlQuoted(name)) == std::string_view::npos &&
        text.find("." + name + "]") == std::string_view::npos) {
      return name;
    }
  }
}

std::string FirstBenchRow() {
  return "{ distance = 0, front = 90, rear = 40, top = 80, underside = 30 }";
}

bool NeedsPart(NewThing thing) {
  switch (thing) {
    case NewThing::part:
    case NewThing::bench_part:
    case NewThing::neighbour:
    case NewThing::step:
    case NewThing::decision:
    case NewThing::variant: return false;
    default: return true;
  }
}

std::string PartNameFor(const TomlSpot& root, const TomlPath& beside) {
  const TomlSpot* parts = root.Find("part");
  if (parts == nullptr || parts->entries.empty()) return "";
  const std::string chosen = KeyAt(beside, 0) == "part" ? KeyAt(beside, 1) : "";
  return parts->Find(chosen) != nullptr ? chosen : parts->entries.front().key;
}

NewTable DraftOf(const DraftPlace& place, NewThing thing) {
  NewTable draft = InMillimetres(place, thing);
  const auto root = SpotsOf(place.text);
  if (root && ShownOf(place.text, root->Find("units")) == "in") draft.body = InInches(draft.body);
  return draft;
}

}  // namespace holeward
