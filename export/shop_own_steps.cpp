#include "export/shop_own_steps.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace holeward {
namespace {

std::vector<const StepRow*> StepsOn(const ShopInput& input, const ShopSide& side) {
  std::vector<const StepRow*> steps;
  for (const StepRow& step : input.steps) {
    if (!step.only || *step.only == side.side) steps.push_back(&step);
  }
  return steps;
}

std::string TorqueWords(const std::vector<double>& torque, const Words& say) {
  return torque.size() == 1 ? say.Say("Torque: {:g} N·m.", torque[0])
                            : say.Say("Torque: {:g} to {:g} N·m.", torque[0], torque[1]);
}

std::vector<std::string> AllOwn(const std::vector<std::string>& texts, const Words& say) {
  std::vector<std::string> said;
  for (const std::string& text : texts) said.push_back(say.Own(text));
  return said;
}

Hazard HazardOf(const StepCaution& caution, const Words& say) {
  return {caution.signal, say.Own(caution.hazard), say.Own(caution.avoid)};
}

ShopStep Own(const StepRow& row, const Words& say) {
  ShopStep step{say.Own(row.title), AllOwn(row.text, say), {}, std::nullopt, std::nullopt};
  if (!row.material.empty()) {
    step.sentences.push_back(
        say.Say("Material: {}.", fmt::format("{}", fmt::join(AllOwn(row.material, say), "; "))));
  }
  if (!row.torque.empty()) step.sentences.push_back(TorqueWords(row.torque, say));
  if (row.minutes > 0.0) step.sentences.push_back(say.Say("Time: {:g} min.", row.minutes));
  if (row.caution) step.hazard = HazardOf(*row.caution, say);
  return step;
}

/// Where a step stands among all: standard steps at 3, 6, 9 and so on, own ones beside them.
int Rank(const StepRow& row) {
  const int standard = 3 * (static_cast<int>(row.standard) + 1);
  return row.order == StepRow::Order::before ? standard - 1 : standard + 1;
}

}  // namespace

std::vector<ShopStep> WithOwnSteps(std::vector<ShopStep> standard, const ShopInput& input,
                                   const ShopSide& side) {
  std::vector<std::pair<int, ShopStep>> ranked;
  for (ShopStep& step : standard) {
    const int rank = 3 * (static_cast<int>(step.standard.value_or(StandardStep::clean)) + 1);
    ranked.emplace_back(rank, std::move(step));
  }
  std::vector<const StepRow*> numbered;
  for (const StepRow* row : StepsOn(input, side)) {
    if (row->order == StepRow::Order::number) {
      numbered.push_back(row);
    } else {
      ranked.emplace_back(Rank(*row), Own(*row, input.facts.words));
    }
  }
  std::stable_sort(ranked.begin(), ranked.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<ShopStep> steps;
  for (auto& [rank, step] : ranked) steps.push_back(std::move(step));
  std::stable_sort(numbered.begin(), numbered.end(),
                   [](const StepRow* a, const StepRow* b) { return a->number < b->number; });
  for (const StepRow* row : numbered) {
    const auto place = std::min<std::ptrdiff_t>(row->number - 1, std::ssize(steps));
    steps.insert(steps.begin() + place, Own(*row, input.facts.words));
  }
  return steps;
}

std::vector<Hazard> OwnHazards(const ShopInput& input, const ShopSide& side) {
  std::vector<Hazard> hazards;
  for (const StepRow* row : StepsOn(input, side)) {
    if (row->caution) hazards.push_back(HazardOf(*row->caution, input.facts.words));
  }
  return hazards;
}

std::vector<ToolLine> OwnMaterials(const ShopInput& input, const ShopSide& side) {
  const Words& say = input.facts.words;
  std::vector<ToolLine> lines;
  for (const StepRow* row : StepsOn(input, side)) {
    for (const std::string& item : AllOwn(row->material, say)) {
      const auto known = std::find_if(lines.begin(), lines.end(),
                                      [&](const ToolLine& line) { return line.item == item; });
      if (known == lines.end()) {
        lines.push_back({item, say.Own(row->title)});
      } else {
        known->use += "; " + say.Own(row->title);
      }
    }
  }
  return lines;
}

std::string OwnTime(const ShopInput& input, const ShopSide& side) {
  const Words& say = input.facts.words;
  double minutes = 0.0;
  for (const StepRow* row : StepsOn(input, side)) minutes += row->minutes;
  if (minutes == 0.0) return "";
  return say.Say("Time stated for the steps of this side: {:g} min in all.", minutes);
}

}  // namespace holeward
