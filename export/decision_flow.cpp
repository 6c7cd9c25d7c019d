#include "export/decision_flow.h"

#include <algorithm>

#include <fmt/format.h>

#include "export/clearance_frame.h"
#include "export/lettering.h"

namespace holeward {
namespace {

constexpr double kPad = 1.1;
constexpr double kGap = 3.2;        ///< between boxes, room for an arrow and its word
constexpr double kQuestion = 0.44;  ///< of the width: the question's box
constexpr double kYes = 13.0;       ///< between question and answer
constexpr double kTick = 3.2;       ///< side of a box to tick
constexpr double kSpacing = 1.45;   ///< between base lines, in letter heights
constexpr double kArrow = 1.6;

/// The words of one decision, broken to their boxes.
struct Broken {
  std::vector<std::string> question;  ///< empty: whatever is left
  std::vector<std::string> answer;
  double height = 0.0;  ///< of its boxes
};

bool TakesTheRest(const DecisionRow& row) { return row.condition.kind == Condition::Kind::always; }

double Lines(const std::vector<std::string>& lines) {
  return kText25 * (1.0 + kSpacing * static_cast<double>(lines.size() - 1));
}

std::string Question(std::size_t number, const DecisionRow& row, const Words& say) {
  return TakesTheRest(row) ? say.Say("{}  Otherwise", number)
                           : say.Say("{}  Is it so that {}?", number, say.Own(row.when));
}

Broken Break(std::size_t number, const DecisionRow& row, double width, const Words& say) {
  Broken broken;
  broken.question = WrapText(Question(number, row, say), width * kQuestion - 2.0 * kPad, kText25);
  const double answer = width * (1.0 - kQuestion) - kYes - kTick - 3.0 * kPad;
  broken.answer = WrapText(say.Own(row.then), answer, kText25, true);
  broken.height = std::max({Lines(broken.question), Lines(broken.answer), kTick}) + 2.0 * kPad;
  return broken;
}

void Arrow(const Vec2& from, const Vec2& to, Drawing* drawing) {
  drawing->AddLine(Group::frame, from, to, kMiddleWidth);
  const Vec2 along = (to - from).normalized();
  const Vec2 aside(-along.y(), along.x());
  drawing->Add(Group::frame, Fill{{to, to - kArrow * along + 0.5 * kArrow * aside,
                                   to - kArrow * along - 0.5 * kArrow * aside},
                                  Ink::black});
}

void Letters(const std::vector<std::string>& lines, const Box& box, double left, bool bold,
             Drawing* drawing) {
  double y = box.Centre().y() + Lines(lines) / 2.0 - kText25;
  for (const std::string& line : lines) {
    bold ? BoldLetter(line, {left, y}, kText25, drawing)
         : Letter(line, {left, y}, kText25, drawing);
    y -= kText25 * kSpacing;
  }
}

void DrawOne(const Broken& words, bool last, const Words& say, const FlowArea& area) {
  const double width = area.box.Size().x();
  const double top = area.box.high.y();
  const Box question{{area.box.low.x(), top - words.height},
                     {area.box.low.x() + width * kQuestion, top}};
  const Box answer{{question.high.x() + kYes, question.low.y()}, {area.box.high.x(), top}};
  area.drawing->AddBox(Group::frame, question);
  area.drawing->AddBox(Group::frame, answer, kMiddleWidth);
  Letters(words.question, question, question.low.x() + kPad, false, area.drawing);
  Letters(words.answer, answer, answer.low.x() + 2.0 * kPad + kTick, true, area.drawing);
  const Vec2 tick(answer.low.x() + kPad + kTick / 2.0, answer.Centre().y());
  area.drawing->AddBox(Group::frame, Box{tick, tick}.Grown(kTick / 2.0), kMiddleWidth);
  const double y = question.Centre().y();
  Arrow({question.high.x(), y}, {answer.low.x(), y}, area.drawing);
  if (last) return;
  Letter(say.Say("yes"), {question.high.x() + 3.0, y + 0.9}, kText18, area.drawing);
  const double x = question.low.x() + 12.0;
  Arrow({x, question.low.y()}, {x, question.low.y() - kGap}, area.drawing);
  Letter(say.Say("no"), {x + 1.5, question.low.y() - 0.8 - kText18}, kText18, area.drawing);
}

}  // namespace

double DecisionHeight(const std::vector<DecisionRow>& decisions, double width, const Words& words) {
  double height = 0.0;
  for (std::size_t i = 0; i < decisions.size(); ++i) {
    height += Break(i + 1, decisions[i], width, words).height + (i > 0 ? kGap : 0.0);
  }
  return height;
}

void SetDecisions(const std::vector<DecisionRow>& decisions, const Words& say, Flow* flow) {
  if (decisions.empty()) return;
  flow->Heading(say.Say("Decision: from the top, the first that holds"));
  const double width = flow->Block(0.0).box.Size().x();
  for (std::size_t i = 0; i < decisions.size(); ++i) {
    const Broken words = Break(i + 1, decisions[i], width, say);
    const bool last = i + 1 == decisions.size();
    DrawOne(words, last, say, flow->Block(words.height + (last ? 0.0 : kGap)));
  }
}

}  // namespace holeward
