// The template sheets of a run, and what is printed on all of them.
#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <ctime>
#include <map>
#include <set>
#include <utility>

#include <fmt/chrono.h>
#include <fmt/format.h>

#include "app/interrupt.h"
#include "app/work.h"
#include "export/limit_words.h"
#include "export/said.h"
#include "geometry/parallel.h"
#include "models/release.h"
#include "models/scene_likeness.h"
#include "models/templates.h"

namespace holeward {
namespace {

constexpr auto Stop = [](ExitStatus status) { return tl::unexpected<ExitStatus>(status); };

// The certified depth of the first pilot hole, rounded down to what is printed.
std::optional<double> ProbeAt(const SideWork& side, const std::string& point) {
  for (const HoleAnalysis& analysis : side.analyses) {
    if (analysis.point == point && analysis.probe && analysis.probe->certified) {
      return std::floor(*analysis.probe->certified * 10.0) / 10.0;
    }
  }
  return std::nullopt;
}

std::vector<MarkNote> NotesOf(const Job& job, const SideWork& side) {
  std::vector<MarkNote> notes;
  for (const PlacedPoint& placed : side.points) {
    const PointRow* row = job.FindPoint(placed.name);
    MarkNote note;
    note.point = placed.name;
    note.use = row->use;
    for (const HoleCheck& hole : side.checking.holes) {
      if (hole.point == placed.name) {
        note.stages.push_back({hole.diameter, hole.stop, hole.stop_from});
      }
    }
    note.probe_depth = ProbeAt(side, placed.name);
    if (row->use != PointUse::reference) {
      note.verdict = WorstAt(side.checking, placed.name);
    }
    notes.push_back(std::move(note));
  }
  return notes;
}

TemplateSheetInput InputOf(const Work& work, const Options& options, const SideWork& side,
                           const TemplatePieces& made) {
  TemplateSheetInput input;
  input.bars = options.bars;
  input.words = work.words;
  input.inches = work.job.inches;
  const ResultHead head = HeadOf(work);
  input.job_title = work.job.title;
  input.set_number = work.job.set_number;
  input.set_revision = work.job.set_revision;
  input.date = DateOfRun();
  input.hash = SheetHash(work);
  input.program = head.program;
  input.part = made.part;
  input.template_name = made.name;
  input.side = side.side;
  input.posture = work.job.posture;
  input.axle = work.job.axle;
  input.limits = LimitsLine(work.job.limits, work.job.marking, work.job.zeroed_errors, work.words);
  input.paper = made.paper;
  for (const DevelopedPiece& piece : made.pieces) {
    input.pieces.push_back(side.mirrored ? Mirrored(piece, *side.scene.FindPart(made.part))
                                         : piece);
  }
  input.notes = NotesOf(work.job, side);
  input.reason = WhyNotReleased(work, work.words);
  input.released = input.reason.empty();
  return input;
}

/// True if templates developed for one side serve the other: same metal, same points.
bool DevelopsAlike(const SideWork& a, const SideWork& b) {
  return a.points.size() == b.points.size() && SameMetal(a.scene, b.scene) &&
         std::equal(a.points.begin(), a.points.end(), b.points.begin(),
                    [](const PlacedPoint& p, const PlacedPoint& q) {
                      return p.name == q.name && p.part == q.part && SamePlace(p, q);
                    });
}

/// A sheet still to be drawn.
struct PlannedSheet {
  const SideWork* side = nullptr;
  const TemplateRow* row = nullptr;
  Result<TemplatePieces> made;  ///< or why it cannot be developed
  std::string file;
};

/// Develops the templates, in the order of their sheets, up to the first that cannot be.
std::vector<PlannedSheet> PlanSheets(const Work& work, const Options& options, Console& console) {
  std::vector<PlannedSheet> planned;
  std::map<std::string, TemplatePieces> developed;  // of the first side, by template
  for (const SideWork& side : work.sides) {
    const bool again = !developed.empty() && DevelopsAlike(work.sides.front(), side);
    std::set<std::string> taken;
    for (const TemplateRow& row : work.job.templates) {
      if (options.part && row.part != *options.part) {
        continue;
      }
      console.Progress(fmt::format("{}: developing \"{}\"", Word(side.side), Printable(row.name)));
      const auto known = developed.find(row.name);
      auto made = again && known != developed.end()
                      ? Result<TemplatePieces>(known->second)
                      : DevelopTemplate(row, work.job, side.scene, side.points);
      if (made && &side == &work.sides.front()) {
        developed.emplace(row.name, *made);
      }
      if (made && made->pieces.empty()) {
        continue;  // none of its points is on this side
      }
      const std::string file =
          fmt::format("template-{}-{}.pdf", FreshFileWord(row.name, taken), Word(side.side));
      const bool stop = !made || Interrupted();
      planned.push_back({&side, &row, std::move(made), file});
      if (stop) {
        return planned;
      }
    }
  }
  return planned;
}

TemplateSheetInput InputOf(const Work& work, const Options& options, const PlannedSheet& plan) {
  return InputOf(work, options, *plan.side, *plan.made);
}

/// The templates of a side as one set.
struct PackedSheet {
  TemplateSheetInput input;
  std::string file;
};

/// One packed set a side; none where a single template would make it up.
std::vector<PackedSheet> PlanPacked(const Work& work, const Options& options,
                                    const std::vector<PlannedSheet>& planned) {
  std::vector<PackedSheet> packed;
  for (const SideWork& side : work.sides) {
    std::vector<TemplateSheetInput> templates;
    for (const PlannedSheet& plan : planned) {
      if (plan.side == &side && plan.made) templates.push_back(InputOf(work, options, plan));
    }
    if (templates.size() < 2) continue;
    packed.push_back({PackedInput(templates), fmt::format("templates-{}.pdf", Word(side.side))});
  }
  return packed;
}

}  // namespace

Verdict WorstAt(const Checking& checking, const std::string& point) {
  Verdict worst = Verdict::clear;
  for (const HoleCheck& hole : checking.holes) {
    if (hole.point == point) {
      worst = Worse(worst, hole.verdict);
    }
  }
  for (const PointCheck& check : checking.points) {
    if (check.point == point) {
      worst = Worse(worst, check.verdict);
    }
  }
  return worst;
}

std::string FileWord(const std::string& name) {
  std::string word;
  for (const char c : name) {
    const auto byte = static_cast<unsigned char>(c);
    if (std::isalnum(byte) != 0 && byte < 0x80) {
      word += static_cast<char>(std::tolower(byte));
    } else if (!word.empty() && word.back() != '-') {
      word += '-';
    }
  }
  while (!word.empty() && word.back() == '-') {
    word.pop_back();
  }
  return word.empty() ? "unnamed" : word;
}

std::string FreshFileWord(const std::string& name, std::set<std::string>& taken) {
  const std::string word = FileWord(name);
  std::string fresh = word;
  for (int i = 2; !taken.insert(fresh).second; ++i) {
    fresh = fmt::format("{}-{}", word, i);
  }
  return fresh;
}

std::string DateOfRun() {
  std::time_t now = std::time(nullptr);
  if (const char* fixed = std::getenv("SOURCE_DATE_EPOCH"); fixed != nullptr && *fixed != '\0') {
    char* end = nullptr;
    const long long seconds = std::strtoll(fixed, &end, 10);
    if (*end == '\0') {
      now = static_cast<std::time_t>(seconds);
    }
  }
  return fmt::format("{:%Y-%m-%d}", fmt::gmtime(now));
}

namespace {

std::string Joined(std::string first, const std::vector<std::string>& more) {
  for (const std::string& sentence : more) {
    first += (first.empty() ? "" : " ") + sentence;
  }
  return first;
}

}  // namespace

ResultHead HeadOf(const Work& work) {
  ResultHead head;
  head.job = work.job.file;
  head.title = work.job.title;
  head.set_number = work.job.set_number;
  head.set_revision = work.job.set_revision;
  head.program = VersionText();
  // Job and program together decide every figure, so the hash names both.
  head.hash = ReleaseHash(work.job, head.program.substr(head.program.rfind(' ') + 1));
  head.complete = work.complete;
  head.release.clearance = ReleaseWords(work.job.release.clearance, head.hash);
  head.release.strength = ReleaseWords(work.job.release.strength, head.hash);
  head.release.reason = Joined(WhyNotClear(work), WhyNotSigned(work.job.release, head.hash));
  head.release.released = head.release.reason.empty();
  return head;
}

Basics BasicsOf(const Work& work) {
  return {work.job.limits, work.job.marking, work.job.zeroed_errors};
}

std::string WhyNotReleased(const Work& work, const Words& words) {
  return Joined(WhyNotClear(work, words), WhyNotSigned(work.job.release, HeadOf(work).hash, words));
}

std::string WhyNotClear(const Work& work, const Words& words) {
  if (work.overall == Verdict::clear) {
    return "";
  }
  if (!work.complete) {
    return words.Say("Only part of the job was checked (--side or --part).");
  }
  std::map<Verdict, std::set<std::string>> names;
  for (const SideWork& side : work.sides) {
    for (const PlacedPoint& point : side.points) {
      const Verdict worst = WorstAt(side.checking, point.name);
      if (worst != Verdict::clear) {
        names[worst].insert(point.name);
      }
    }
  }
  if (names.empty()) {
    return words.Say("The job has no hole and no test point that could be checked.");
  }
  std::string reason;
  for (auto it = names.rbegin(); it != names.rend(); ++it) {
    reason += fmt::format("{}{}: {}", reason.empty() ? "" : "; ", Said(it->first, words),
                          fmt::join(it->second, ", "));
  }
  return words.Say("Not clear. {}. See the check report.", reason);
}

tl::expected<std::vector<SheetOut>, ExitStatus> SheetWork(const Work& work, const Options& options,
                                                          Console& console) {
  const std::vector<PlannedSheet> planned = PlanSheets(work, options, console);
  const std::vector<PackedSheet> packed = PlanPacked(work, options, planned);
  const std::size_t alone = planned.size();
  const auto sheets =
      MadeOfEach(alone + packed.size(), [&](std::size_t i) -> Result<TemplateSheet> {
        if (Interrupted()) return Fail(ErrorKind::computed, "the run was stopped");
        if (i >= alone) return MakeTemplateSheet(packed[i - alone].input);
        const PlannedSheet& plan = planned[i];
        if (!plan.made) return tl::unexpected<Error>(plan.made.error());
        console.Progress(
            fmt::format("{}: template \"{}\"", Word(plan.side->side), Printable(plan.row->name)));
        return MakeTemplateSheet(InputOf(work, options, plan));
      });
  if (Interrupted()) {
    return Stop(ExitStatus::interrupted);
  }
  std::vector<SheetOut> out;
  for (std::size_t i = 0; i < planned.size(); ++i) {
    const PlannedSheet& plan = planned[i];
    const auto tell = [&](const std::string& what) {
      console.PlacedMessage(Printable(JobError{plan.row->at, what}.Text(work.job.file)));
    };
    if (plan.made && (!plan.side->mirrored || work.sides.size() == 1)) {
      for (const std::string& note : plan.made->notes) tell(note);
    }
    if (!sheets[i]) {
      tell(sheets[i].error().message);
      return Stop(StatusOf(sheets[i].error().kind));
    }
    out.push_back({plan.row->name, plan.side->side, plan.file, *sheets[i]});
  }
  for (std::size_t k = 0; k < packed.size(); ++k) {
    const Result<TemplateSheet>& sheet = sheets[alone + k];
    const PackedSheet& plan = packed[k];
    // Every piece stands on its template's own sheet as well: the set is whole without this one.
    if (!sheet) {
      console.Message(
          fmt::format("{} is left out: {}", plan.file, Printable(sheet.error().message)));
      continue;
    }
    out.push_back({plan.input.template_name, plan.input.side, plan.file, *sheet, true});
  }
  console.EndProgress();
  return out;
}

}  // namespace holeward
