#include <algorithm>
#include <iterator>
#include <set>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "app/commands.h"
#include "app/interrupt.h"
#include "app/output.h"
#include "app/work.h"
#include "app/work_clearance.h"
#include "app/work_pictures.h"
#include "app/work_shop.h"
#include "export/clearance_json.h"
#include "export/clearance_report.h"
#include "export/decision_out.h"
#include "export/index_sheet.h"
#include "export/instruction_sheet.h"
#include "export/pdf.h"
#include "export/record_sheet.h"
#include "export/said.h"
#include "export/sheet_frame.h"
#include "export/svg.h"
#include "export/tables.h"
#include "geometry/parallel.h"
#include "models/release.h"
#include "models/text_hash.h"
#include "viewer/part_picture.h"
#include "viewer/seen_from.h"

namespace holeward {
namespace {

constexpr auto Stop = [](ExitStatus status) { return tl::unexpected<ExitStatus>(status); };

using Files = std::vector<OutFile>;

/// All files, in order, or the first failure.
Result<Files> Together(std::vector<Result<Files>> made) {
  Files files;
  for (Result<Files>& some : made) {
    if (!some) {
      return some;
    }
    std::move(some->begin(), some->end(), std::back_inserter(files));
  }
  return files;
}

/// The PDF and SVG files of one sheet.
Result<Files> FilesOf(const Work& work, const SheetOut& sheet) {
  const Words& words = work.words;
  const std::string name = sheet.packed ? words.Say("all templates") : words.Own(sheet.name);
  const std::string title =
      fmt::format("{}: {}, {}", words.Own(work.job.title), name, Said(sheet.side, words));
  auto pdf = ToPdf(sheet.sheet.Drawings(), {title, DateOfRun()});
  if (!pdf) {
    return tl::unexpected<Error>(pdf.error());
  }
  Files files = {{sheet.file, std::move(*pdf), static_cast<int>(sheet.sheet.pages.size())}};
  if (sheet.packed) {
    return files;  // a plotter works from the sheets of the templates
  }
  const std::string stem = sheet.file.substr(0, sheet.file.rfind('.'));
  for (const SheetPage& page : sheet.sheet.pages) {
    auto svg = ToSvg(page.drawing, title);
    if (!svg) {
      return tl::unexpected<Error>(svg.error());
    }
    files.push_back({fmt::format("{}-page{}.svg", stem, page.number), std::move(*svg)});
  }
  return files;
}

Result<Files> SheetFiles(const Work& work, const std::vector<SheetOut>& sheets) {
  return Together(
      MadeOfEach(sheets.size(), [&](std::size_t i) { return FilesOf(work, sheets[i]); }));
}

std::vector<PicturePoint> MarksOf(const Work& work, const SideWork& side, const Part& part) {
  std::vector<PicturePoint> marks;
  for (const PlacedPoint& point : side.points) {
    if (point.part != part.name) {
      continue;
    }
    const PointRow* row = work.job.FindPoint(point.name);
    marks.push_back({point.name, work.words.Say(Word(row->use)), point.position, point.normal,
                     row->use == PointUse::drill});
  }
  return marks;
}

/// A picture still to be drawn.
struct PlannedPicture {
  const Part* part = nullptr;
  std::vector<PicturePoint> marks;
  PictureView view;
  std::string file;
};

/// Every part with its points, from as many views as it takes to show each point once.
std::vector<PlannedPicture> PlanPictures(const Work& work) {
  std::vector<PlannedPicture> planned;
  std::set<std::string> taken;
  const SideWork& side = work.sides.front();
  const Side seen = side.mirrored ? work.job.described_side : side.side;
  const PictureCompass compass{work.words.Say("FRONT"), work.words.Say("OUTBOARD"),
                               work.words.Say("UP")};
  for (const Part& part : side.scene.parts) {
    std::vector<PicturePoint> left = MarksOf(work, side, part);
    const std::string word = FreshFileWord(part.name, taken);
    const std::vector<PicturePoint> marks = left;
    for (int number = 1; !left.empty() && number <= 4; ++number) {
      PictureView view = ViewOf(left, side.scene.outboard_y);
      view.caption =
          work.words.Say("{}, {}, {}; the other side is its mirror image",
                         work.words.Own(part.name), SideWord(seen, work.words),
                         work.words.Say(SeenFrom(view.toward_viewer, side.scene.outboard_y)));
      view.compass = compass;
      planned.push_back({&part, marks, view, fmt::format("picture-{}-{}.png", word, number)});
    }
  }
  return planned;
}

Result<Files> PictureFiles(const Work& work) {
  const std::vector<PlannedPicture> planned = PlanPictures(work);
  return Together(MadeOfEach(planned.size(), [&](std::size_t i) -> Result<Files> {
    const PlannedPicture& plan = planned[i];
    if (Interrupted()) {
      return Fail(ErrorKind::computed, "the run was stopped");
    }
    auto picture = DrawPicture(work.sides.front().scene, {plan.part->name}, plan.marks, plan.view);
    if (!picture) {
      return tl::unexpected<Error>(picture.error());
    }
    return Files{{plan.file, std::move(*picture)}};
  }));
}

/// The documents of the three commands, for --json and for the set.
struct Documents {
  Json locate, check, sheets;
};

Result<Documents> DocumentsOf(const Work& work, const std::vector<SheetOut>& sheets) {
  auto locate = LocateJson(HeadOf(work), PointsOut(work));
  auto check =
      CheckJson(HeadOf(work), BasicsOf(work), HolesOut(work), PointChecksOut(work), work.overall);
  auto made = TemplateJson(HeadOf(work), BasicsOf(work), sheets, work.overall);
  for (const auto* document : {&locate, &check, &made}) {
    if (!*document) {
      return tl::unexpected<Error>(document->error());
    }
  }
  return Documents{std::move(*locate), std::move(*check), std::move(*made)};
}

/// The engineer's report, as PDF and as a document.
Result<Files> ClearanceFiles(const Work& work, Console& console) {
  const ClearanceReportInput input = ClearanceInputOf(work, console);
  auto report = MakeClearanceReport(input);
  if (!report) {
    return tl::unexpected<Error>(report.error());
  }
  auto pdf =
      ToPdf(report->pages, {fmt::format("{}: clearance report", work.job.title), DateOfRun()});
  if (!pdf) {
    return tl::unexpected<Error>(pdf.error());
  }
  const auto document = ClearanceJson(input);
  if (!document) {
    return tl::unexpected<Error>(document.error());
  }
  auto text = JsonText(*document);
  if (!text) {
    return tl::unexpected<Error>(text.error());
  }
  return Files{{"clearance.pdf", std::move(*pdf), static_cast<int>(report->pages.size())},
               {"clearance.json", std::move(*text)}};
}

/// A document of the workshop.
Result<Files> ShopFile(const Work& work, const std::string& name,
                       const Result<std::vector<Drawing>>& pages) {
  if (!pages) {
    return tl::unexpected<Error>(pages.error());
  }
  auto pdf =
      ToPdf(*pages, {fmt::format("{}: {}", work.words.Own(work.job.title), name), DateOfRun()});
  if (!pdf) {
    return tl::unexpected<Error>(pdf.error());
  }
  return Files{{name + ".pdf", std::move(*pdf), static_cast<int>(pages->size())}};
}

/// What the technician works by and writes on.
Result<Files> ShopFiles(const Work& work, const Options& options) {
  ShopInput input = ShopInputOf(work, options);
  AddPictures(work, &input);
  Result<Files> instructions;
  Result<Files> record;
  Both(
      [&] {
        auto sheet = MakeInstructionSheet(input);
        auto pages = sheet ? Result<std::vector<Drawing>>(std::move(sheet->pages))
                           : tl::unexpected<Error>(sheet.error());
        instructions = ShopFile(work, "instructions", pages);
      },
      [&] { record = ShopFile(work, "record", MakeRecordSheet(input)); });
  return Together({std::move(instructions), std::move(record)});
}

Result<Files> TableFiles(const Work& work) {
  const auto points = PointsCsv(PointsOut(work));
  const auto holes = HolesCsv(HolesOut(work));
  for (const auto* text : {&points, &holes}) {
    if (!*text) {
      return tl::unexpected<Error>(text->error());
    }
  }
  Files files = {{"points.csv", *points}, {"holes.csv", *holes}};
  if (const auto rows = BlankResultsOf(work.job); !rows.empty()) {
    files.push_back({"results.csv", BlankResultsCsv(rows)});
  }
  return files;
}

/// The index of the set, over the printed documents made so far.
Result<Files> IndexFile(const Work& work, const Files& files) {
  IndexInput input;
  input.facts = FactsOfRun(work);
  input.set = work.job.set;
  input.verdict = Said(work.overall, work.words);
  const ResultHead head = HeadOf(work);
  input.clearance = ReleaseWords(work.job.release.clearance, head.hash, work.words);
  input.strength = ReleaseWords(work.job.release.strength, head.hash, work.words);
  for (const OutFile& file : files) {
    if (file.pages > 0) {
      input.lines.push_back({file.name, file.pages, ShortHash(file.bytes)});
    }
  }
  return ShopFile(work, "index", MakeIndexSheet(input));
}

/// Tables, pictures and the engineer's report, which only `issue` adds.
Result<Files> SetFiles(const Work& work, const Options& options, Console& console) {
  return Together(MadeOfEach(4, [&](std::size_t i) -> Result<Files> {
    switch (i) {
      case 0: return options.no_pictures ? Files{} : PictureFiles(work);
      case 1: return ClearanceFiles(work, console);
      case 2: return ShopFiles(work, options);
      default: return TableFiles(work);
    }
  }));
}

/// What `issue` hands over.
struct WholeSet {
  std::vector<SheetOut> sheets;
  Files files;
  std::string document;  ///< the bytes of result.json
};

/// Makes everything at once: the sheets, and beside them what the commands' documents and the
/// engineer need.
tl::expected<WholeSet, ExitStatus> MakeSet(const Work& work, const Options& options,
                                           Console& console) {
  tl::expected<std::vector<SheetOut>, ExitStatus> sheets;
  Result<Files> files;
  Result<Files> more;
  Both(
      [&] {
        sheets = SheetWork(work, options, console);
        if (sheets) {
          files = SheetFiles(work, *sheets);
        }
      },
      [&] { more = SetFiles(work, options, console); });
  if (!sheets) {
    return Stop(sheets.error());
  }
  if (Interrupted()) {
    return Stop(ExitStatus::interrupted);
  }
  console.Progress("writing");
  const auto report = ReportOf(work, *sheets);
  const auto documents = DocumentsOf(work, *sheets);
  if (!files || !more) {
    return Stop(Failed(files ? more.error() : files.error(), console));
  }
  if (!report || !documents) {
    return Stop(Failed(report ? documents.error() : report.error(), console));
  }
  files->insert(files->end(), more->begin(), more->end());
  auto index = IndexFile(work, *files);
  if (!index) {
    return Stop(Failed(index.error(), console));
  }
  std::move(index->begin(), index->end(), std::back_inserter(*files));
  files->push_back({"check-report.txt", *report});
  std::vector<std::string> names;
  for (const OutFile& file : *files) {
    names.push_back(file.name);
  }
  names.emplace_back("result.json");
  const auto document = IssueJson(documents->locate, documents->check, documents->sheets, names);
  const auto text = document ? JsonText(*document) : Result<std::string>("");
  if (!document || !text) {
    return Stop(Failed(document ? text.error() : document.error(), console));
  }
  files->push_back({"result.json", *text});
  return WholeSet{std::move(*sheets), std::move(*files), *text};
}

void PrintSheets(const std::vector<SheetOut>& sheets, Console& console) {
  if (sheets.empty()) {
    console.Print("No template in the job.");
    return;
  }
  Table table({{"sheet", "", Align::left},
               {"side", "", Align::left},
               {"file", "", Align::left},
               {"pages", "", Align::right},
               {"marks", "", Align::right},
               {"stretch", "%", Align::right},
               {"wrap error", "mm", Align::right}});
  for (const SheetOut& sheet : sheets) {
    double wrap_error = 0.0;
    for (const SheetMark& mark : sheet.sheet.marks) {
      wrap_error = std::max(wrap_error, mark.wrap_error);
    }
    table.Row({Printable(sheet.name), Word(sheet.side), sheet.file,
               std::to_string(sheet.sheet.pages.size()), std::to_string(sheet.sheet.marks.size()),
               Decimal(100.0 * sheet.sheet.stretch_max, 4), Decimal(wrap_error, 3)});
  }
  console.Print(table);
}

void PrintEnd(const Work& work, const std::string& folder, std::size_t files, Console& console) {
  console.Print(fmt::format("\n{} files in {}", files, Printable(folder)));
  const std::string reason = WhyNotReleased(work);
  if (!reason.empty()) {
    console.Print(fmt::format("Every page is marked NOT RELEASED. {}", Printable(reason)));
  }
}

/// A set into its folder, and what is said of it; leaves with the verdict.
ExitStatus Deliver(const std::string& folder, const Files& files, const Result<std::string>& said,
                   const Work& work, Console& console) {
  if (!said) {
    return Failed(said.error(), console);
  }
  return WriteSet(folder, files, *said, StatusOf(work.overall), console);
}

/// What `template` and `issue` begin with.
tl::expected<Work, ExitStatus> CheckedWork(const Options& options, Console& console,
                                           AnalysisDepth depth) {
  auto work = PlaceWork(options, console);
  if (!work) {
    return work;
  }
  if (const Step words = FindWords(*work, options, console); !words) {
    return Stop(words.error());
  }
  if (const Step checked = CheckWork(*work, console, depth); !checked) {
    return Stop(checked.error());
  }
  return work;
}

}  // namespace

ExitStatus RunTemplate(const Options& options, Console& console) {
  const auto work = CheckedWork(options, console, AnalysisDepth::chance);
  if (!work) {
    return work.error();
  }
  const auto sheets = SheetWork(*work, options, console);
  if (!sheets) {
    return sheets.error();
  }
  if (sheets->empty()) {
    console.Message("the job has no [[template]] for what was asked; nothing was written");
    return ExitStatus::wrong_job;
  }
  console.Progress("writing");
  const auto files = SheetFiles(*work, *sheets);
  if (!files) {
    return Failed(files.error(), console);
  }
  const std::string folder = options.OutputFolder();
  if (options.json) {
    const auto said = TextOf(TemplateJson(HeadOf(*work), BasicsOf(*work), *sheets, work->overall));
    return Deliver(folder, *files, said, *work, console);
  }
  const std::string said = Spoken(console, [&](Console& to) {
    PrintSheets(*sheets, to);
    PrintEnd(*work, folder, files->size(), to);
    to.Print(LimitsUsed(*work));
    to.PrintVerdict(work->complete ? "Verdict over all" : "Verdict (only part of the job)",
                    work->overall);
  });
  return Deliver(folder, *files, said, *work, console);
}

ExitStatus RunIssue(const Options& options, Console& console) {
  const auto work = CheckedWork(options, console, AnalysisDepth::in_full);
  if (!work) {
    return work.error();
  }
  const auto set = MakeSet(*work, options, console);
  if (!set) {
    return set.error();
  }
  const std::string folder = options.OutputFolder();
  const std::string said = options.json ? set->document : Spoken(console, [&](Console& to) {
    PrintVerdicts(*work, to);
    to.Print("");
    PrintSheets(set->sheets, to);
    PrintEnd(*work, folder, set->files.size(), to);
  });
  return Deliver(folder, set->files, said, *work, console);
}

}  // namespace holeward
