#include "export/record_sheet.h"

#include <algorithm>
#include <memory>

#include <fmt/format.h>

#include "export/clearance_flow.h"
#include "export/decision_flow.h"
#include "export/lettering.h"
#include "export/said.h"
#include "export/sheet_frame.h"

namespace holeward {
namespace {

constexpr double kMostRow = 7.5;
constexpr double kLeastRow = 5.2;  ///< below this nobody can write into a row
constexpr double kHeadRow = 9.0;
constexpr double kHeading = 8.2;
constexpr double kField = 9.0;
constexpr double kLeastField = 7.6;  ///< where the sheet would else take a second page
constexpr double kPad = 1.2;
constexpr double kCellLine = 1.4;  ///< between base lines, in letter heights
constexpr double kTick = 3.2;      ///< side of a box to tick
constexpr double kRemarks = 14.0;
// With a flow of decisions above them, which takes its own room.
constexpr double kShortRemarks = 7.0;

/// Heights of what is written into: as large as one page allows.
struct Rows {
  double row = kMostRow;
  double field = kField;
};

/// Remarks, signatures and, where the job decides nothing itself, what is decided.
double EndBlock(bool ask, double field) {
  return ask ? kRemarks + 3.0 * field + 4.0 : kShortRemarks + 2.0 * field + 3.0;
}

using Pages = std::vector<std::unique_ptr<ReportPage>>;

/// What a cell holds.
enum class CellKind { words, blank, tick, two_ticks };

struct Column {
  std::string caption;
  double share = 0.1;  ///< of the width
  CellKind kind = CellKind::words;
};

struct Grid {
  std::string heading;
  std::vector<Column> columns;
  std::vector<std::vector<std::string>> rows;  ///< words; of cells to fill in, "-": not wanted
};

void Tick(const Vec2& centre, Drawing* drawing) {
  const Box box = Box{centre, centre}.Grown(kTick / 2.0);
  drawing->AddBox(Group::frame, box, kMiddleWidth);
}

/// Words of a cell: on one line, or in small print on as many as it takes. Names are not cut short:
/// two holes must not look alike.
struct CellWords {
  double height = kText25;
  std::vector<std::string> lines;

  [[nodiscard]] double Height() const {
    return height * (1.0 + kCellLine * static_cast<double>(lines.size() - 1));
  }
};

CellWords WordsIn(const std::string& words, double width) {
  if (TextWidth(words, kText25) <= width) return {kText25, {words}};
  return {kText18, WrapText(words, width, kText18)};
}

void DrawCell(const Box& box, CellKind kind, const std::string& words, Drawing* drawing) {
  drawing->AddBox(Group::frame, box);
  const double room = box.Size().x() - 2.0 * kPad;
  if (kind == CellKind::words || words == "-") {
    const CellWords fit = WordsIn(words, room);
    double y = box.Centre().y() + fit.Height() / 2.0 - fit.height;
    for (const std::string& line : fit.lines) {
      Letter(line, {box.low.x() + kPad, y}, fit.height, drawing);
      y -= fit.height * kCellLine;
    }
    return;
  }
  if (kind == CellKind::blank && !words.empty()) {
    // What is asked for stands at the left, what was found is written beside it.
    const FittedText fit = FitText(words, room * 0.6, {kText25, kText18});
    Letter(fit.words, {box.low.x() + kPad, box.Centre().y() - fit.height / 2.0}, fit.height,
           drawing);
  }
  if (kind == CellKind::tick) Tick(box.Centre(), drawing);
  if (kind == CellKind::two_ticks) {
    // Pass at the left, fail at the right, as the column's caption says.
    Tick({box.low.x() + box.Size().x() * 0.28, box.Centre().y()}, drawing);
    Tick({box.low.x() + box.Size().x() * 0.72, box.Centre().y()}, drawing);
  }
}

void DrawHead(const Grid& grid, const FlowArea& area) {
  double x = area.box.low.x();
  for (const Column& column : grid.columns) {
    const double width = area.box.Size().x() * column.share;
    const Box box{{x, area.box.low.y()}, {x + width, area.box.high.y()}};
    area.drawing->AddBox(Group::frame, box);
    const double room = width - 2.0 * kPad;
    double height = HeightForWords(column.caption, room, {kText25, kText18}, true);
    auto lines = WrapText(column.caption, room, height, true);
    if (lines.size() > 2) height = kText18;
    if (lines.size() > 2) lines = WrapText(column.caption, room, height, true);
    double y = box.high.y() - 1.0 - height;
    for (const std::string& line : lines) {
      BoldLetter(line, {x + kPad, y}, height, area.drawing);
      y -= height * 1.4;
    }
    x += width;
  }
}

/// Height of a row: `least`, or more where a name takes several lines.
double HeightOf(const std::vector<std::string>& row, const Grid& grid, double width, double least) {
  double height = least;
  for (std::size_t i = 0; i < row.size(); ++i) {
    const Column& column = grid.columns[i];
    if (column.kind != CellKind::words) continue;
    height = std::max(height, WordsIn(row[i], width * column.share - 2.0 * kPad).Height() + 1.6);
  }
  return height;
}

void SetGrid(const Grid& grid, double row_height, Flow* flow) {
  if (grid.rows.empty()) return;
  flow->Heading(grid.heading);
  DrawHead(grid, flow->Block(kHeadRow));
  const double room = flow->Block(0.0).box.Size().x();
  for (const auto& row : grid.rows) {
    const double height = HeightOf(row, grid, room, row_height);
    if (!flow->Fits(height)) {
      flow->Break();
      DrawHead(grid, flow->Block(kHeadRow));
    }
    const FlowArea area = flow->Block(height);
    double x = area.box.low.x();
    for (std::size_t i = 0; i < row.size(); ++i) {
      const double width = area.box.Size().x() * grid.columns[i].share;
      DrawCell({{x, area.box.low.y()}, {x + width, area.box.high.y()}}, grid.columns[i].kind,
               row[i], area.drawing);
      x += width;
    }
  }
}

/// A row of captioned fields to write into.
void SetFields(const std::vector<std::pair<std::string, double>>& fields, double field,
               Flow* flow) {
  const FlowArea area = flow->Block(field);
  double x = area.box.low.x();
  for (const auto& [caption, share] : fields) {
    const double width = area.box.Size().x() * share;
    const Box box{{x, area.box.low.y()}, {x + width, area.box.high.y()}};
    area.drawing->AddBox(Group::frame, box);
    Letter(caption, {x + kPad, box.high.y() - 0.9 - kText18}, kText18, area.drawing);
    x += width;
  }
}

std::string Place(const ShopSide& side, const ShopPoint& point, const Words& say) {
  return fmt::format("{} {}", SideWord(side.side, say), point.name);
}

/// Capitals tell what is not to be worked on from what is.
std::string State(const ShopPoint& point, const Words& say) {
  return point.Clear() ? say.Say("clear") : SaidLoud(*point.verdict, say);
}

Grid TestGrid(const ShopInput& input) {
  const Words& say = input.facts.words;
  Grid grid;
  grid.heading = say.Say("Test points");
  grid.columns = {{say.Say("point"), 0.15, CellKind::words},
                  {say.Say("part, face"), 0.21, CellKind::words},
                  {say.Say("verdict of the check"), 0.13, CellKind::words},
                  {say.Say("seen"), 0.07, CellKind::tick},
                  {say.Say("tested"), 0.08, CellKind::tick},
                  {say.Say("pass   fail"), 0.13, CellKind::two_ticks},
                  {say.Say("wall as stated"), 0.10, CellKind::words},
                  {say.Say("remaining, mm"), 0.13, CellKind::blank}};
  for (const ShopSide& side : input.sides) {
    for (const ShopPoint& point : side.points) {
      if (point.use != PointUse::test) continue;
      const std::string fill = point.Clear() ? "" : "-";
      grid.rows.push_back({Place(side, point, say), say.OwnList({point.part, point.face}),
                           State(point, say), "", fill, fill, ShopLength(point.wall, input.inches),
                           fill});
    }
  }
  return grid;
}

Grid HoleGrid(const ShopInput& input) {
  const Words& say = input.facts.words;
  Grid grid;
  grid.heading = say.Say("Holes");
  grid.columns = {{say.Say("hole"), 0.14, CellKind::words},
                  {say.Say("verdict of the check"), 0.12, CellKind::words},
                  {say.Say("drills"), 0.12, CellKind::words},
                  {say.Say("pilot drilled"), 0.085, CellKind::tick},
                  {say.Say("wire, mm: at least, passed"), 0.15, CellKind::blank},
                  {say.Say("final drilled"), 0.085, CellKind::tick},
                  {say.Say("edge done"), 0.08, CellKind::tick},
                  {say.Say("close with"), 0.14, CellKind::words},
                  {say.Say("done"), 0.08, CellKind::tick}};
  for (const ShopSide& side : input.sides) {
    for (const ShopPoint& point : side.points) {
      if (!point.Drilled()) continue;
      std::string drills;
      for (const ShopStage& stage : point.stages) {
        drills += (drills.empty() ? "" : ", ") + ShopDiameter(stage.check.diameter, input.inches);
      }
      const std::string fill = point.Clear() ? "" : "-";
      const bool pilot = point.stages.size() > 1 && point.Clear();
      grid.rows.push_back({Place(side, point, say), State(point, say), drills, pilot ? "" : "-",
                           pilot ? ProbeWords(point.probe, false, say) : "-", fill, fill,
                           CloseWords(point, input.inches, say), fill});
    }
  }
  return grid;
}

/// The height of everything at given heights of rows; `decisions`: of the flow, 0 without one.
double HeightOf(const std::vector<const Grid*>& grids, double decisions, double width,
                const Rows& rows) {
  double height = 2.0 * rows.field + EndBlock(decisions <= 0.0, rows.field) + decisions;
  for (const Grid* grid : grids) {
    if (!grid->rows.empty()) height += kHeading + kHeadRow;
    for (const auto& row : grid->rows) height += HeightOf(row, *grid, width, rows.row);
  }
  return height;
}

/// The heights at which everything fits one page, within what can be written into.
Rows RowsFor(const Vec2& room, const std::vector<const Grid*>& grids, double decisions) {
  constexpr double kStep = 0.1;
  const auto fits = [&](const Rows& rows) {
    return HeightOf(grids, decisions, room.x(), rows) <= room.y();
  };
  Rows rows;
  while (rows.row > kLeastRow && !fits(rows)) rows.row -= kStep;
  while (rows.field > kLeastField && !fits(rows)) rows.field -= kStep;
  return rows;
}

/// What is decided about the part, to tick; `at` is the lower left of its row.
void AskInGeneral(const Vec2& at, double field, const Words& say, Drawing* drawing) {
  const std::string asked[] = {say.Say("The part stays in use"),
                               say.Say("The part is taken out of use"),
                               say.Say("Responsible person asked")};
  double x = at.x();
  for (const std::string& words : asked) {
    Tick({x + kTick, at.y() + field / 2.0}, drawing);
    BoldLetter(words, {x + 2.2 * kTick, at.y() + field / 2.0 - kText25 / 2.0}, kText25, drawing);
    x += 2.2 * kTick + TextWidth(words, kText25, true) + 6.0;
  }
}

/// The height of the flow of decisions, 0 without one.
double DecisionsHeight(const ShopInput& input, double width) {
  if (input.decisions.empty()) return 0.0;
  return kHeading + DecisionHeight(input.decisions, width, input.facts.words);
}

/// Remarks, decision and signatures. @param ask whether to ask for a decision in general terms,
/// where the job has none of its own
void SetEnd(bool ask, double field_height, const Words& say, Flow* flow) {
  const FlowArea gap = flow->Block(EndBlock(ask, field_height));
  // All in one block, so that decision and signature stand on the same page.
  const Box& box = gap.box;
  const double height = ask ? kRemarks : kShortRemarks;
  const Box remarks{{box.low.x(), box.high.y() - 3.0 - height}, {box.high.x(), box.high.y() - 3.0}};
  gap.drawing->AddBox(Group::frame, remarks);
  Letter(say.Say("Remarks; what was found different from the sheets"),
         remarks.low + Vec2(kPad, height - 0.9 - kText18), kText18, gap.drawing);
  double y = remarks.low.y();
  if (ask) {
    y -= field_height;
    AskInGeneral({box.low.x(), y}, field_height, say, gap.drawing);
  }
  const std::string fields[] = {
      say.Say("Decided by"), say.Say("Licence or stamp"), say.Say("Date"),
      say.Say("Signature"),  say.Say("Second check by"),  say.Say("Licence or stamp"),
      say.Say("Date"),       say.Say("Signature")};
  const double shares[] = {0.32, 0.22, 0.16, 0.30};
  for (std::size_t row = 0; row < 2; ++row) {
    y -= field_height;
    double x = box.low.x();
    for (std::size_t i = 0; i < std::size(shares); ++i) {
      const Box field{{x, y}, {x + box.Size().x() * shares[i], y + field_height}};
      gap.drawing->AddBox(Group::frame, field);
      Letter(fields[row * std::size(shares) + i], {x + kPad, field.high.y() - 0.9 - kText18},
             kText18, gap.drawing);
      x = field.high.x();
    }
  }
}

}  // namespace

Result<std::vector<Drawing>> MakeRecordSheet(const ShopInput& input) {
  if (const std::string what = FirstNotFinite(input); !what.empty()) {
    return Fail(ErrorKind::computed, fmt::format("{} is not a finite number", what));
  }
  PageFacts facts = input.facts;
  const Words& say = facts.words;
  facts.document = say.Say("Record sheet");
  Pages pages;
  Flow flow([&]() -> FlowArea {
    ReportHeader header;
    header.title = pages.empty() ? say.Say("Record sheet, one a vehicle")
                                 : say.Say("{}, continued", facts.document);
    header.line = input.posture.empty() ? say.Own(facts.head.title)
                                        : say.Say("Vehicle: {}", say.Own(input.posture));
    pages.push_back(std::make_unique<ReportPage>(StartPage(facts, header)));
    return {&pages.back()->drawing, pages.back()->body};
  });
  const Grid tests = TestGrid(input);
  const Grid holes = HoleGrid(input);
  const Vec2 room = pages.front()->body.Size();
  const Rows rows = RowsFor(room, {&tests, &holes}, DecisionsHeight(input, room.x()));
  SetFields({{say.Say("Vehicle identification number"), 0.42},
             {say.Say("Registration"), 0.20},
             {say.Say("First used"), 0.18},
             {say.Say("Odometer"), 0.20}},
            rows.field, &flow);
  SetFields({{say.Say("Workshop"), 0.42}, {say.Say("Inspector"), 0.38}, {say.Say("Date"), 0.20}},
            rows.field, &flow);
  SetGrid(tests, rows.row, &flow);
  SetGrid(holes, rows.row, &flow);
  SetDecisions(input.decisions, say, &flow);
  SetEnd(input.decisions.empty(), rows.field, say, &flow);
  std::vector<Drawing> drawings;
  const int count = static_cast<int>(pages.size());
  for (int i = 0; i < count; ++i) {
    ReportPage& page = *pages[static_cast<std::size_t>(i)];
    NumberPage(i + 1, count, facts.words, &page);
    drawings.push_back(std::move(page.drawing));
  }
  return drawings;
}

}  // namespace holeward
