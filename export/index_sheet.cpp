#include "export/index_sheet.h"

#include <memory>

#include <fmt/format.h>

#include "export/clearance_flow.h"

namespace holeward {
namespace {

std::string OrNotStated(const std::string& words) { return words.empty() ? "not stated" : words; }

FlowTable SetTable(const IndexInput& input) {
  const ResultHead& head = input.facts.head;
  FlowTable table{{"", ""}, {false, false}, {}};
  table.rows = {{"Set number", OrNotStated(head.set_number)},
                {"Revision", OrNotStated(head.set_revision)},
                {"Applies to", OrNotStated(input.set.applies_to)},
                {"Effective from", OrNotStated(input.set.effective)},
                {"Supersedes", OrNotStated(input.set.supersedes)},
                {"Hash of job and program", head.hash},
                {"Verdict over all", input.verdict},
                {"Drill clearance released by", head.release.clearance},
                {"Strength released by", head.release.strength}};
  return table;
}

FlowTable SheetTable(const IndexInput& input) {
  FlowTable table{{"sheet", "pages", "check of the file"}, {false, true, false}, {}, true};
  for (const IndexLine& line : input.lines) {
    table.rows.push_back({line.file, std::to_string(line.pages), line.check});
  }
  return table;
}

}  // namespace

std::vector<Drawing> MakeIndexSheet(const IndexInput& input) {
  PageFacts facts = input.facts;
  facts.document = "Index of the set";
  std::vector<std::unique_ptr<ReportPage>> pages;
  Flow flow([&]() -> FlowArea {
    ReportHeader header;
    header.title = pages.empty() ? "Index of the set" : "Index of the set, continued";
    header.line = facts.head.title;
    pages.push_back(std::make_unique<ReportPage>(StartPage(facts, header)));
    return {&pages.back()->drawing, pages.back()->body};
  });
  flow.Heading("The set");
  flow.Table(SetTable(input));
  if (!facts.released) flow.Paragraph("NOT RELEASED. " + facts.reason, true);
  flow.Heading("Sheets that belong to it");
  flow.Table(SheetTable(input));
  flow.Paragraph(
      "Every page of these sheets shows the number, the revision and the hash above. A page that "
      "shows another, or a sheet that is not in this list, does not belong to the set: do not work "
      "by it. The check of a file is the first 8 digits of its SHA-256.");
  std::vector<Drawing> drawings;
  const int count = static_cast<int>(pages.size());
  for (int i = 0; i < count; ++i) {
    ReportPage& page = *pages[static_cast<std::size_t>(i)];
    NumberPage(i + 1, count, &page);
    drawings.push_back(std::move(page.drawing));
  }
  return drawings;
}

}  // namespace holeward
