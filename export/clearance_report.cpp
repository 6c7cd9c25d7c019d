#include "export/clearance_report.h"

#include <algorithm>
#include <cmath>
#include <memory>

#include <fmt/format.h>

#include "export/clearance_charts.h"
#include "export/clearance_flow.h"
#include "export/clearance_frame.h"
#include "export/limit_words.h"
#include "export/sheet_frame.h"
#include "export/upper.h"

namespace holeward {
namespace {

constexpr double kSectionHeight = 130.0;
constexpr double kChartHeight = 42.0;
constexpr double kGap = 4.0;

// Pages are kept by pointer: a Flow draws on one while others are added.
using Pages = std::vector<std::unique_ptr<ReportPage>>;

std::string Mm(const std::optional<double>& value, int decimals = 2) {
  return value ? fmt::format("{:.{}f}", *value + 0.0, decimals) : "-";
}

/// A bound that decides is never printed better than it is.
std::string Bound(const std::optional<double>& value) {
  return value ? fmt::format("{:.1f}", RoundedDown(*value)) : "-";
}

std::string ShortSides(const std::vector<Side>& sides) {
  if (sides.size() > 1) return "both alike";
  return sides.empty() ? "-" : Word(sides.front());
}

std::string Meets(const HoleCheck& check) {
  if (check.outcome == Outcome::met && check.first_contact) return check.first_contact->body;
  return check.outcome == Outcome::nothing ? "nothing" : "not computed";
}

std::string ProbabilityWords(const ChanceChart& chance) {
  return fmt::format("at most {:.2g}", chance.upper_95);
}

// ---- First pages

FlowTable VerdictTable(const std::vector<ClearanceHole>& holes) {
  FlowTable table;
  table.header = {"hole",         "side",          "stage",      "⌀",
                  "stop",         "meets first",   "free depth", "margin",
                  "worst margin", "contact, 95 %", "verdict"};
  table.right = {false, false, true, true, true, false, true, true, true, true, false};
  for (const ClearanceHole& hole : holes) {
    const HoleCheck& c = hole.check;
    const bool met = c.outcome == Outcome::met;
    table.rows.push_back({c.point, ShortSides(hole.sides), std::to_string(c.stage),
                          fmt::format("{:.1f}", c.diameter), c.stop ? Mm(c.stop, 1) : "none",
                          Meets(c), met ? Mm(c.free_depth, 1) : "-", met ? Mm(c.margin, 1) : "-",
                          met ? Bound(c.margin_worst) : "-",
                          hole.chance ? fmt::format("≤ {:.1g}", hole.chance->upper_95) : "-",
                          Word(c.verdict)});
  }
  return table;
}

FlowTable PointTable(const std::vector<PointCheckOut>& points) {
  FlowTable table;
  table.header = {"point",     "side",     "use",    "edge distance", "nearest edge",
                  "next hole", "seat gap", "access", "verdict"};
  table.right = {false, false, false, true, false, true, true, true, false};
  for (const PointCheckOut& row : points) {
    const PointCheck& p = row.check;
    std::vector<std::string> cells = {p.point,
                                      Word(row.side),
                                      p.test ? "test" : "drill",
                                      Mm(p.edge_distance, 1),
                                      p.nearest_edge.empty() ? "-" : p.nearest_edge,
                                      Mm(p.nearest_hole, 1),
                                      p.test ? Mm(p.seat_gap) : "-",
                                      p.access_known ? Mm(p.access, 1) : "not known",
                                      Word(p.verdict)};
    // Both sides alike share a line.
    const auto twin = std::find_if(table.rows.begin(), table.rows.end(), [&](const auto& other) {
      return other[0] == cells[0] && std::equal(other.begin() + 2, other.end(), cells.begin() + 2);
    });
    if (twin != table.rows.end()) {
      (*twin)[1] = "both alike";
    } else {
      table.rows.push_back(std::move(cells));
    }
  }
  return table;
}

FlowTable ValueTable(const std::vector<ValueWords>& values) {
  FlowTable table;
  table.header = {"", "", ""};
  table.right = {false, true, false};
  for (const ValueWords& value : values) {
    table.rows.push_back({value.name, value.value, value.meaning});
  }
  return table;
}

void AddReasons(const ClearanceReportInput& input, Flow* flow) {
  const auto add = [&](const std::string& what, Verdict verdict,
                       const std::vector<std::string>& reasons) {
    if (verdict == Verdict::clear && reasons.empty()) return;
    std::string text = fmt::format("{}: {}", what, Word(verdict));
    for (const std::string& reason : reasons) text += "; " + reason;
    flow->Paragraph(text + (text.back() == '.' ? "" : "."));
  };
  flow->Heading("Reasons");
  const double before = flow->y();
  for (const ClearanceHole& hole : input.holes) {
    add(fmt::format("{} {}, stage {}", hole.check.point, ShortSides(hole.sides), hole.check.stage),
        hole.check.verdict, hole.check.reasons);
  }
  for (const PointCheckOut& row : input.points) {
    add(fmt::format("{} {}, as a point", row.check.point, Word(row.side)), row.check.verdict,
        row.check.reasons);
  }
  if (flow->y() == before) flow->Paragraph("Everything is clear.");
}

void AddBasics(const ClearanceReportInput& input, Flow* flow) {
  flow->Heading("Limits");
  flow->Table(ValueTable(WordsOf(input.basics.limits)));
  flow->Heading("Marking and drilling: half-widths");
  flow->Table(ValueTable(WordsOf(input.basics.marking)));
  flow->Paragraph(fmt::format("Drawn for the probability of contact: {}.",
                              WordsOf(input.basics.marking.distribution)));
  if (input.basics.zeroed.empty()) {
    flow->Paragraph("No error is set to 0.");
  } else {
    flow->Paragraph(fmt::format(
        "Set to 0 by the job: {}. Nobody works without error: what rests on this is only as good "
        "as that claim.",
        fmt::join(input.basics.zeroed, ", ")));
  }
  flow->Heading("What walls and bodies rest on");
  FlowTable table;
  table.header = {"wall or body", "basis"};
  table.right = {false, false};
  for (const BasisRow& row : input.bases) table.rows.push_back({row.what, row.basis});
  if (!table.rows.empty()) flow->Table(table);
  flow->Paragraph("Nothing that rests on an assumed wall or body is proven.");
}

void AddSentences(const std::string& heading, const std::vector<std::string>& sentences,
                  Flow* flow) {
  if (sentences.empty()) return;
  flow->Heading(heading);
  for (const std::string& sentence : sentences) flow->Paragraph(sentence);
}

void DrawFirstPages(const ClearanceReportInput& input, Pages* pages) {
  const auto next = [&]() -> FlowArea {
    const ReportHeader header{
        "", pages->empty() ? "Clearance report" : "Clearance report, continued",
        input.posture.empty() ? "Posture not stated" : fmt::format("Vehicle {}", input.posture),
        Upper(Word(input.overall))};
    pages->push_back(std::make_unique<ReportPage>(StartPage(FactsOf(input), header)));
    return {&pages->back()->drawing, pages->back()->body};
  };
  Flow flow(next);
  flow.Heading("Verdict of every hole, mm");
  if (input.holes.empty()) {
    flow.Paragraph("The job has no hole.");
  } else {
    flow.Table(VerdictTable(input.holes));
  }
  flow.Paragraph(
      "Worst margin is a certified lower bound over every error within its half-width and alone "
      "decides: at or above the clearance limit clear, above 0 tight, else contact. Meets first: "
      "the body that governs. What is not proven clear is not clear.");
  if (!input.head.complete) {
    flow.Paragraph("Only part of the job was looked at: nothing is released on it.", true);
  }
  if (!input.points.empty()) {
    flow.Heading("Verdict of every point, mm");
    flow.Table(PointTable(input.points));
  }
  AddReasons(input, &flow);
  AddSentences("Who decides", WhoDecides(), &flow);
  AddBasics(input, &flow);
  AddSentences("Not checked", input.not_checked, &flow);
  AddSentences("Cautions", input.cautions.empty() ? StandardCautions() : input.cautions, &flow);
}

// ---- A stage of a hole

FlowTable Pairs(const std::vector<FigureRow>& rows) {
  FlowTable table;
  table.header = {"", ""};
  table.right = {false, true};
  for (const FigureRow& row : rows) table.rows.push_back({row.name, row.value});
  return table;
}

FlowTable TableOf(const FigureTable& figures) {
  FlowTable table = Pairs(figures.rows);
  if (!figures.before_after) return table;
  table.header = {"", figures.columns[0], figures.columns[1]};
  table.right.push_back(true);
  for (std::size_t i = 0; i < figures.rows.size(); ++i) {
    const std::string& after = figures.rows[i].after;
    table.rows[i].push_back(after.empty() ? "-" : after);
  }
  return table;
}

std::string StopWords(const HoleCheck& c) {
  if (!c.stop) return "none: run-on counts";
  return fmt::format("{:.2f}, {}", *c.stop,
                     c.stop_from == StopFrom::proposed ? "proposed" : "from the job");
}

std::vector<FigureRow> DepthRows(const ClearanceHole& hole) {
  const HoleCheck& c = hole.check;
  std::vector<FigureRow> rows = {
      {"near wall on the axis", Mm(c.near_wall), ""},
      {"break-through depth", Mm(c.breakthrough), ""},
      {"break-through, greatest over all errors", Mm(c.breakthrough_worst), ""},
      {"stop setting", StopWords(c), ""},
      {"goes through in every case", c.through ? "yes" : "no", ""},
      {"meets first", Meets(c), ""}};
  if (c.outcome == Outcome::met) {
    rows.push_back({"free depth", Mm(c.free_depth, 1), ""});
    rows.push_back({"margin, nominal", Mm(c.margin, 1), ""});
    rows.push_back({"margin, worst (certified)", Bound(c.margin_worst), ""});
    if (hole.margin_worst_upper) {
      rows.push_back({"margin of the worst pose found", Mm(hole.margin_worst_upper, 2), ""});
    }
  }
  if (hole.probe_depth) {
    rows.push_back({"probe depth: a marked wire must pass at least", Bound(hole.probe_depth), ""});
  }
  rows.push_back({"room for the chuck", c.access_known ? Mm(c.access) : "not known", ""});
  return rows;
}

void AddChance(const ClearanceHole& hole, Flow* flow) {
  if (!hole.chance) return;
  const ChanceChart& chance = *hole.chance;
  flow->Heading("How likely");
  std::vector<FigureRow> rows = {
      {"probability of contact", fmt::format("{:.2g}", chance.probability), ""},
      {"95 % upper bound (Clopper and Pearson)", ProbabilityWords(chance), ""}};
  for (const ChanceChart::Quantile& q : chance.quantiles) {
    rows.push_back({fmt::format("margin, {:g} % quantile", 100.0 * q.at), Mm(q.margin), ""});
  }
  flow->Table(Pairs(rows));
  if (!chance.about.empty()) flow->Paragraph(chance.about);
}

void AddTables(const ClearanceHole& hole, Flow* flow) {
  flow->Heading("Depths, mm");
  flow->Table(Pairs(DepthRows(hole)));
  AddSentences("Advice", hole.advice, flow);
  AddSentences("Why it is not clear", hole.check.reasons, flow);
  AddChance(hole, flow);
  for (const FigureTable& table : hole.tables) {
    flow->Heading(table.heading);
    if (table.rows.empty()) {
      flow->Paragraph(table.missing);
    } else {
      flow->Table(TableOf(table));
    }
    for (const std::string& note : table.notes) flow->Paragraph(note);
  }
}

ReportHeader HeaderOf(const ClearanceHole& hole, bool goes_on) {
  const HoleCheck& c = hole.check;
  return {c.point, SidesWord(hole.sides),
          fmt::format("{} · stage {} of {} · ⌀{:.1f}{}", c.part, c.stage, hole.stages, c.diameter,
                      goes_on ? " · continued" : ""),
          Word(c.verdict)};
}

/// The columns that a hole's tables flow through: two on its first page, two on each that follows.
class Columns {
 public:
  Columns(const ClearanceReportInput& input, const ClearanceHole& hole, const Box& rest,
          Pages* pages)
      : input_(input), hole_(hole), rest_(rest), pages_(pages) {}

  FlowArea Next() {
    if (used_ == 2) {
      pages_->push_back(
          std::make_unique<ReportPage>(StartPage(FactsOf(input_), HeaderOf(hole_, true))));
      rest_ = pages_->back()->body;
      used_ = 0;
    }
    const double middle = rest_.Centre().x();
    Box column = rest_;
    (used_ == 0 ? column.high : column.low).x() = middle + (used_ == 0 ? -kGap : kGap) / 2.0;
    ++used_;
    return {&pages_->back()->drawing, column};
  }

 private:
  const ClearanceReportInput& input_;
  const ClearanceHole& hole_;
  Box rest_;
  Pages* pages_;
  int used_ = 0;
};

void DrawCharts(const ClearanceReportInput& input, const ClearanceHole& hole, const Box& room,
                Drawing* drawing) {
  const double middle = room.Centre().x();
  DrawHistogram(hole, input.basics.limits.clearance,
                {room.low, {middle - kGap / 2.0, room.high.y()}}, drawing);
  DrawShares(hole, {{middle + kGap / 2.0, room.low.y()}, room.high}, drawing);
}

void DrawHole(const ClearanceReportInput& input, const ClearanceHole& hole, Pages* pages,
              std::vector<ReportSection>* sections) {
  pages->push_back(std::make_unique<ReportPage>(StartPage(FactsOf(input), HeaderOf(hole, false))));
  ReportPage& page = *pages->back();
  Box rest = page.body;
  double y = rest.high.y();
  if (hole.section) {
    const Box room{{rest.low.x(), y - kSectionHeight}, rest.high};
    sections->push_back({hole.check.point, hole.check.stage, static_cast<int>(pages->size()),
                         DrawSection(hole, room, &page.drawing)});
    y -= kSectionHeight + kGap;
  } else {
    Letter("Section drawing: " + hole.no_section, {rest.low.x(), y - kText25}, kText25,
           &page.drawing);
    y -= kText25 + kGap;
  }
  DrawCharts(input, hole, {{rest.low.x(), y - kChartHeight}, {rest.high.x(), y}}, &page.drawing);
  y -= kChartHeight + kGap / 2.0;
  rest.high.y() = y;
  Columns columns(input, hole, rest, pages);
  Flow flow([&columns] { return columns.Next(); });
  AddTables(hole, &flow);
}

}  // namespace

std::vector<std::string> WhoDecides() {
  return {
      "The vehicle maker's instructions, local codes and licensed practice decide whether a "
      "part may be drilled at all; this report decides nothing.",
      "It says whether a drill can reach what the job describes. It gives figures of the "
      "section and no verdict on strength: strength is released by a named engineer or not at "
      "all.",
      "Vehicle inspectors may reject a stressed arm with a hole in it, whatever these figures "
      "say. Ask before drilling."};
}

Result<ClearanceReport> MakeClearanceReport(const ClearanceReportInput& input) {
  const std::string bad = FirstNotFinite(input);
  if (!bad.empty()) {
    return Fail(ErrorKind::computed, fmt::format("{} holds a value that is not a number", bad));
  }
  Pages pages;
  ClearanceReport report;
  DrawFirstPages(input, &pages);
  for (const ClearanceHole& hole : input.holes) DrawHole(input, hole, &pages, &report.sections);
  for (std::size_t i = 0; i < pages.size(); ++i) {
    NumberPage(static_cast<int>(i) + 1, static_cast<int>(pages.size()), {}, pages[i].get());
    report.pages.push_back(std::move(pages[i]->drawing));
  }
  return report;
}

}  // namespace holeward
