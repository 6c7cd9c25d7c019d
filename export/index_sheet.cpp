#include "export/index_sheet.h"

#include <memory>

#include <fmt/format.h>

#include "export/clearance_flow.h"

namespace holeward {
namespace {

std::string OrNotStated(const std::string& text, const Words& say) {
  return text.empty() ? say.Say("not stated") : say.Own(text);
}

FlowTable SetTable(const IndexInput& input) {
  const ResultHead& head = input.facts.head;
  const Words& say = input.facts.words;
  FlowTable table{{"", ""}, {false, false}, {}};
  table.rows = {{say.Say("Set number"), OrNotStated(head.set_number, say)},
                {say.Say("Revision"), OrNotStated(head.set_revision, say)},
                {say.Say("Applies to"), OrNotStated(input.set.applies_to, say)},
                {say.Say("Effective from"), OrNotStated(input.set.effective, say)},
                {say.Say("Supersedes"), OrNotStated(input.set.supersedes, say)},
                {say.Say("Hash of job and program"), head.hash},
                {say.Say("Verdict over all"), input.verdict},
                {say.Say("Drill clearance released by"), input.clearance},
                {say.Say("Strength released by"), input.strength}};
  return table;
}

FlowTable SheetTable(const IndexInput& input) {
  const Words& say = input.facts.words;
  FlowTable table{{say.Say("sheet"), say.Say("pages"), say.Say("check of the file")},
                  {false, true, false},
                  {},
                  true};
  for (const IndexLine& line : input.lines) {
    table.rows.push_back({line.file, std::to_string(line.pages), line.check});
  }
  return table;
}

}  // namespace

std::vector<Drawing> MakeIndexSheet(const IndexInput& input) {
  PageFacts facts = input.facts;
  const Words& say = facts.words;
  facts.document = say.Say("Index of the set");
  std::vector<std::unique_ptr<ReportPage>> pages;
  Flow flow([&]() -> FlowArea {
    ReportHeader header;
    header.title = pages.empty() ? facts.document : say.Say("{}, continued", facts.document);
    header.line = say.Own(facts.head.title);
    pages.push_back(std::make_unique<ReportPage>(StartPage(facts, header)));
    return {&pages.back()->drawing, pages.back()->body};
  });
  flow.Heading(say.Say("The set"));
  flow.Table(SetTable(input));
  if (!facts.released) flow.Paragraph(say.Say("NOT RELEASED. {}", facts.reason), true);
  flow.Heading(say.Say("Sheets that belong to it"));
  flow.Table(SheetTable(input));
  flow.Paragraph(say.Say(
      "Every page of these sheets shows the number, the revision and the hash above. A page that "
      "shows another, or a sheet that is not in this list, does not belong to the set: do not work "
      "by it. The check of a file is the first 8 digits of its SHA-256."));
  std::vector<Drawing> drawings;
  const int count = static_cast<int>(pages.size());
  for (int i = 0; i < count; ++i) {
    ReportPage& page = *pages[static_cast<std::size_t>(i)];
    NumberPage(i + 1, count, say, &page);
    drawings.push_back(std::move(page.drawing));
  }
  return drawings;
}

}  // namespace holeward
