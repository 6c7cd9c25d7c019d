// Things added to a job by its form.
#include <cctype>
#include <utility>

#include <fmt/format.h>

#include "models/job_edit.h"
#include "models/job_form_keys.h"
#include "models/part_words.h"

namespace holeward {
namespace {

using Names = std::vector<std::string>;

/// A name that no table of the text has: the same with a number behind it.
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

std::string PointBody(std::string_view text, const PartRow& part, const Job& job) {
  const PartWords words = WordsOf(part, job.described_side);
  const bool round = words.faces.empty();
  const char* toward = words.lies == Lies::across  ? "outboard"
                       : words.lies == Lies::along ? "rear"
                                                   : "down";
  return fmt::format(
      "name = {}\nuse  = \"reference\"\npart = {}\n{}rule = [ {{ tape = 30, from = {}, toward = "
      "{} }}, {{ {} }} ]\n",
      TomlQuoted(FreshName(text, "P1")), TomlQuoted(part.name),
      round ? "" : fmt::format("face = {}\n", TomlQuoted(words.faces.front())),
      TomlQuoted(part.start), TomlQuoted(part.finish.empty() ? toward : part.finish),
      round
          ? fmt::format("line = {}", TomlQuoted(words.lines.empty() ? "top" : words.lines.front()))
          : "middle = \"face\"");
}

struct Draft {
  NewTable table;
  std::string failure;
};

const PartRow* PartFor(const TomlPath& beside, const Job& job) {
  const PartRow* part = KeyAt(beside, 0) == "part" ? PartOf(job, KeyAt(beside, 1)) : nullptr;
  return part != nullptr || job.parts.empty() ? part : &job.parts.front();
}

Draft DraftOf(std::string_view text, NewThing thing, const TomlPath& beside, const Job& job) {
  Draft draft;
  const PartRow* part = PartFor(beside, job);
  const bool needs_part = thing != NewThing::part && thing != NewThing::neighbour;
  if (needs_part && part == nullptr) {
    draft.failure = "the job has no part yet: add one first";
    return draft;
  }
  switch (thing) {
    case NewThing::point: draft.table = {{"point"}, true, PointBody(text, *part, job), {}}; break;
    case NewThing::part:
      draft.table = {{"part", FreshName(text, "part1")},
                     false,
                     "section = \"box\"\nwall    = 2.5\nwidth   = 50\nheight  = 50\ncorner  = 8\n"
                     "start   = \"front end\"\nfinish  = \"rear end\"\nfrom    = [0, 500, 250]\n"
                     "to      = [-300, 500, 250]\n",
                     {}};
      break;
    case NewThing::fitting: {
      const PartWords words = WordsOf(*part, job.described_side);
      const Names& faces = words.faces.empty() ? words.lines : words.faces;
      draft.table = {{"part", part->name, "fitting"},
                     true,
                     fmt::format("name    = {}\nkind    = \"plate\"\nface    = {}\nstation = 60\n"
                                 "size    = [30, 20]\nheight  = 3\n",
                                 TomlQuoted(FreshName(text, "plate 1")),
                                 TomlQuoted(faces.empty() ? "top" : faces.front())),
                     {}};
      break;
    }
    case NewThing::inner:
      draft.table = {{"part", part->name, "inner"},
                     true,
                     fmt::format("name     = {}\ndiameter = 10\nbasis    = \"assumed\"\n",
                                 TomlQuoted(FreshName(text, "bar 1"))),
                     {}};
      break;
    case NewThing::neighbour:
      draft.table = {{"neighbour"},
                     true,
                     fmt::format("name     = {}\npath     = [[0, 400, 400], [-300, 400, 400]]\n"
                                 "diameter = 8\n",
                                 TomlQuoted(FreshName(text, "hose 1"))),
                     {}};
      break;
    case NewThing::template_sheet:
      draft.table = {
          {"template"},
          true,
          fmt::format("name = {}\npart = {}\n",
                      TomlQuoted(FreshName(text, part->name + " sheet 1")), TomlQuoted(part->name)),
          {}};
      break;
    case NewThing::station: break;
  }
  return draft;
}

/// A section more at the end, a step beyond the last.
Result<Added> WithStation(std::string_view text, const PartRow& part) {
  const auto root = SpotsOf(text);
  if (!root) return tl::unexpected<Error>(root.error());
  TomlPath path{std::string("part"), part.name, std::string("stations")};
  const TomlSpot* list = SpotAt(*root, path);
  if (list == nullptr || list->items.empty() || part.stations.size() < 2) {
    return Fail(ErrorKind::job, fmt::format("part \"{}\" is given by \"from\" and \"to\": write "
                                            "stations = [ ... ] instead to have sections",
                                            part.name));
  }
  const bool inches = ShownOf(text, root->Find("units")) == "in";
  const Vec3 last = part.stations.back().centre;
  const Vec3 next =
      (last + (last - part.stations[part.stations.size() - 2].centre)) / (inches ? kInch : 1.0);
  std::string value(text.substr(list->items.back().span.from,
                                list->items.back().span.to - list->items.back().span.from));
  const std::string place =
      fmt::format("[{}, {}, {}]", TomlNumber(next.x()), TomlNumber(next.y()), TomlNumber(next.z()));
  if (const TomlSpot* centre = list->items.back().Find("centre")) {
    const std::size_t from = centre->span.from - list->items.back().span.from;
    value.replace(from, centre->span.to - centre->span.from, place);
  } else {
    value = place;
  }
  path.emplace_back(list->items.size());
  auto changed = WithItem(text, path, value);
  if (!changed) return tl::unexpected<Error>(changed.error());
  return Added{std::move(*changed), {std::string("part"), part.name}};
}

}  // namespace

Result<Added> WithNew(std::string_view text, NewThing thing, const TomlPath& beside,
                      const Job& job) {
  if (thing == NewThing::station) {
    const PartRow* part = PartFor(beside, job);
    if (part == nullptr) return Fail(ErrorKind::job, "the job has no part yet: add one first");
    return WithStation(text, *part);
  }
  const Draft draft = DraftOf(text, thing, beside, job);
  if (!draft.failure.empty()) return Fail(ErrorKind::job, draft.failure);
  auto changed = WithTable(text, draft.table);
  if (!changed) return tl::unexpected<Error>(changed.error());
  TomlPath path(draft.table.table.begin(), draft.table.table.end());
  if (draft.table.many) {
    const auto root = SpotsOf(*changed);
    const TomlSpot* list = root ? SpotAt(*root, path) : nullptr;
    path.emplace_back(list == nullptr ? std::size_t{0} : list->items.size() - 1);
  }
  return Added{std::move(*changed), std::move(path)};
}

Result<Added> WithCopy(std::string_view text, const TomlPath& table) {
  const auto body = BodyOfTable(text, table);
  if (!body) return tl::unexpected<Error>(body.error());
  NewTable wish;
  wish.body = *body;
  wish.after = table;
  TomlPath path = table;
  auto* index = table.empty() ? nullptr : std::get_if<std::size_t>(&path.back());
  wish.many = index != nullptr;
  for (const TomlStep& step : table) {
    if (const auto* key = std::get_if<std::string>(&step)) wish.table.push_back(*key);
  }
  if (index != nullptr) {
    ++*index;
  } else {
    wish.table.back() = FreshName(text, wish.table.back());
    path.back() = wish.table.back();
  }
  auto changed = WithTable(text, wish);
  if (!changed) return tl::unexpected<Error>(changed.error());
  const auto root = SpotsOf(*changed);
  const TomlSpot* copy = root ? SpotAt(*root, path) : nullptr;
  if (copy == nullptr || copy->Find("name") == nullptr) return Added{std::move(*changed), path};
  TomlPath name = path;
  name.emplace_back("name");
  changed =
      WithValue(*changed, name, TomlQuoted(FreshName(text, ShownOf(*changed, copy->Find("name")))));
  if (!changed) return tl::unexpected<Error>(changed.error());
  return Added{std::move(*changed), std::move(path)};
}

}  // namespace holeward
