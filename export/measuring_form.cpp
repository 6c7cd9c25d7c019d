#include "export/measuring_form.h"

#include <algorithm>
#include <memory>

#include <fmt/format.h>

#include "export/clearance_flow.h"
#include "export/lettering.h"

namespace holeward {
namespace {

constexpr double kRowBox = 8.0;
constexpr double kSpareBox = 7.0;
constexpr double kHead = 9.5;
constexpr double kPad = 1.2;
constexpr double kViews = 74.0;
constexpr double kNumberRadius = 2.6;

using Pages = std::vector<std::unique_ptr<ReportPage>>;

/// A view of the part: distances to the right, offsets or heights upwards.
struct View {
  Box box;
  double scale = 1.0;
  double base = 0.0;  ///< y of the straightedge or bench on the page

  [[nodiscard]] Vec2 At(double distance, double other) const {
    return {box.low.x() + distance * scale, base + other * scale};
  }
};

void NumberAt(int number, const Vec2& at, Drawing* drawing) {
  drawing->Add(Group::frame, Circle{at, kNumberRadius, kNarrowWidth, LineType::continuous});
  Letter(fmt::format("{}", number), {at.x(), at.y() - kText25 / 2.0}, kText25, drawing,
         AlignX::centre);
}

void DrawView(const View& view, const MeasuringForm& form, bool plan, Drawing* drawing) {
  std::vector<Vec2> outline;
  const auto pair = [&](const FormRow& row) { return plan ? row.offset : row.height; };
  double top = 0.0;
  for (const FormRow& row : form.rows) {
    outline.push_back(view.At(row.distance, pair(row)[1]));
    top = std::max({top, outline.back().y(), view.At(row.distance, pair(row)[0]).y()});
  }
  for (auto row = form.rows.rbegin(); row != form.rows.rend(); ++row) {
    outline.push_back(view.At(row->distance, pair(*row)[0]));
  }
  drawing->Add(Group::mark, Stroke{outline, kWideWidth, LineType::continuous, true});
  for (std::size_t i = 0; i < form.rows.size(); ++i) {
    const FormRow& row = form.rows[i];
    const Vec2 foot = view.At(row.distance, 0.0);
    drawing->Add(Group::mark,
                 Stroke{{foot, {foot.x(), top + 2.0}}, kHairWidth, LineType::dash_dot, false});
    NumberAt(static_cast<int>(i) + 1, {foot.x(), top + 2.0 + kNumberRadius}, drawing);
  }
  const double last = form.rows.back().distance;
  drawing->AddLine(Group::align, view.At(0.0, 0.0) - Vec2(4.0, 0.0),
                   view.At(last, 0.0) + Vec2(4.0, 0.0), kExtraWidth);
  const double x = view.At(last, 0.0).x() + 6.0;
  Letter(plan ? "straightedge" : "bench", {x, view.base - kText18 / 2.0}, kText18, drawing);
  const auto side = [&](int which, const std::string& word) {
    const double y = view.At(last, pair(form.rows.back())[static_cast<std::size_t>(which)]).y();
    Letter(word, {x, y - kText18 / 2.0}, kText18, drawing);
  };
  side(0, plan ? form.lateral[0] : "underside");
  side(1, plan ? form.lateral[1] : "top");
}

void SetViews(const MeasuringForm& form, Flow* flow) {
  const FlowArea area = flow->Block(kViews);
  double across = 0.0;
  double up = 0.0;
  for (const FormRow& row : form.rows) {
    across = std::max({across, row.offset[0], row.offset[1]});
    up = std::max(up, row.height[1]);
  }
  constexpr double kWords = 34.0;
  constexpr double kNumbers = 2.0 * (2.0 + 2.0 * kNumberRadius) + 8.0;
  const double length = std::max(1.0, form.rows.back().distance);
  const double scale = std::min((area.box.Size().x() - kWords) / length,
                                (kViews - kNumbers) / std::max(1.0, across + up));
  View plan{area.box, scale, area.box.low.y() + 2.0};
  plan.box.low.x() += 6.0;
  View side = plan;
  side.base = plan.base + across * scale + 2.0 + 2.0 * kNumberRadius + 5.0;
  DrawView(plan, form, true, area.drawing);
  DrawView(side, form, false, area.drawing);
  const double x = area.box.high.x();
  Letter("from the side", {x, side.base + up * scale}, kText18, area.drawing, AlignX::right);
  Letter("from above", {x, plan.base + across * scale}, kText18, area.drawing, AlignX::right);
}

void HeadCell(const Box& box, const std::string& word, const std::string& instrument,
              Drawing* drawing) {
  drawing->AddBox(Group::frame, box);
  const double room = box.Size().x() - 2.0 * kPad;
  const FittedText fit = FitText(word, room, {kText25, kText18}, true);
  BoldLetter(fit.words, {box.low.x() + kPad, box.high.y() - 1.2 - fit.height}, fit.height, drawing);
  const FittedText by = FitText(instrument, room, {kText18});
  Letter(by.words, {box.low.x() + kPad, box.low.y() + 1.2}, by.height, drawing);
}

void SetRows(const MeasuringForm& form, Flow* flow) {
  flow->Heading("1. Row by row, mm");
  const double number = 12.0;
  const auto cells = [&](const FlowArea& area) {
    std::vector<Box> boxes;
    const double width = (area.box.Size().x() - number) / static_cast<double>(form.columns.size());
    double x = area.box.low.x();
    for (std::size_t i = 0; i <= form.columns.size(); ++i) {
      const double w = i == 0 ? number : width;
      boxes.push_back({{x, area.box.low.y()}, {x + w, area.box.high.y()}});
      x += w;
    }
    return boxes;
  };
  const FlowArea head = flow->Block(kHead);
  const auto heads = cells(head);
  HeadCell(heads[0], "row", "", head.drawing);
  for (std::size_t i = 0; i < form.columns.size(); ++i) {
    HeadCell(heads[i + 1], form.columns[i].word, form.columns[i].instrument, head.drawing);
  }
  for (std::size_t row = 0; row < form.rows.size(); ++row) {
    const FlowArea area = flow->Block(kRowBox);
    const auto boxes = cells(area);
    for (const Box& box : boxes) area.drawing->AddBox(Group::frame, box);
    NumberAt(static_cast<int>(row) + 1, boxes[0].Centre(), area.drawing);
  }
}

/// Readings with a box each, two beside each other.
void SetBoxes(const std::vector<BenchReading>& readings, Flow* flow) {
  for (std::size_t i = 0; i < readings.size(); i += 2) {
    const FlowArea area = flow->Block(kSpareBox);
    const double half = area.box.Size().x() / 2.0;
    for (std::size_t k = i; k < std::min(readings.size(), i + 2); ++k) {
      const double x = area.box.low.x() + (k == i ? 0.0 : half);
      const Box words{{x, area.box.low.y()}, {x + half - 28.0, area.box.high.y()}};
      area.drawing->AddBox(Group::frame, words);
      area.drawing->AddBox(Group::frame,
                           {{words.high.x(), words.low.y()}, {x + half, words.high.y()}});
      const BenchReading& r = readings[k];
      const FittedText fit = FitText(fmt::format("{} ({})", r.name, r.instrument),
                                     words.Size().x() - 2.0 * kPad, {kText25, kText18});
      Letter(fit.words, {words.low.x() + kPad, words.Centre().y() - fit.height / 2.0}, fit.height,
             area.drawing);
    }
  }
}

void SetForm(const MeasuringForm& form, Flow* flow) {
  flow->Paragraph(fmt::format(
      "Lay the part on the bench as it lies in the vehicle and fix it. Lay the straightedge along "
      "its {} side, its 0 at the end where row 1 is; distances grow toward {}. Mark the rows, each "
      "square to the straightedge: the first and the last at the ends, the others where the "
      "drawing has them or where the shape changes. Faces are read at their middle.",
      form.straightedge, form.toward));
  SetViews(form, flow);
  SetRows(form, flow);
  flow->Heading("2. Once, mm");
  SetBoxes(form.once, flow);
  flow->Heading("3. Spare readings, without looking at those above, mm");
  SetBoxes(form.spares, flow);
  (void)flow->Block(1.5);
  flow->Paragraph(
      "A diagonal is straight, from the middle of one face to the middle of the other. A tape lies "
      "taut along its face. The spare readings are those with which a misreading above shows: "
      "leave none out, take others as you like. A weight in kg checks them all.");
}

}  // namespace

std::vector<Drawing> MakeMeasuringForms(PageFacts facts, const std::vector<MeasuringForm>& forms) {
  facts.document = "Measuring form";
  facts.limits = "none; this sheet gives no verdict";
  facts.released = true;
  facts.cautions = {
      "Fix the part so that it cannot roll or fall. Cut edges are sharp: wear gloves."};
  Pages pages;
  for (const MeasuringForm& form : forms) {
    bool first = true;
    Flow flow([&]() -> FlowArea {
      ReportHeader header;
      header.title = fmt::format("Measure {}{}", form.part, first ? "" : ", continued");
      header.line =
          "Numbers and words are the readings' names. Sample: left / right (strike one out)";
      first = false;
      pages.push_back(std::make_unique<ReportPage>(StartPage(facts, header)));
      return {&pages.back()->drawing, pages.back()->body};
    });
    SetForm(form, &flow);
  }
  std::vector<Drawing> drawings;
  for (std::size_t i = 0; i < pages.size(); ++i) {
    NumberPage(static_cast<int>(i) + 1, static_cast<int>(pages.size()), {}, pages[i].get());
    drawings.push_back(std::move(pages[i]->drawing));
  }
  return drawings;
}

std::string MeasuringFormCsv(const std::vector<MeasuringForm>& forms) {
  std::string csv = "part,reading,instrument,unit,value\r\n";
  const auto line = [&](const MeasuringForm& form, const std::string& name,
                        const std::string& instrument) {
    std::string part = form.part;
    for (std::size_t at = part.find('"'); at != std::string::npos; at = part.find('"', at + 2)) {
      part.insert(at, 1, '"');
    }
    csv += fmt::format("\"{}\",\"{}\",{},mm,\r\n", part, name, instrument);
  };
  for (const MeasuringForm& form : forms) {
    for (std::size_t row = 0; row < form.rows.size(); ++row) {
      for (const FormColumn& column : form.columns) {
        line(form, fmt::format("{} {}", row + 1, column.word), column.instrument);
      }
    }
    for (const auto* readings : {&form.once, &form.spares}) {
      for (const BenchReading& r : *readings) line(form, r.name, r.instrument);
    }
  }
  return csv;
}

}  // namespace holeward
