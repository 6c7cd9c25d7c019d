#include "export/bank_card.h"

#include <cmath>
#include <string>
#include <vector>

#include "export/lettering.h"

namespace holeward {
namespace {

constexpr int kCornerSteps = 8;
constexpr double kPad = 6.0;

// 0.3 mm of 85.60 is the share that 0.5 mm is of the check bar.
constexpr const char* kHowTo = Told(
    "Lay a bank card on this outline. If any side misses the line by more than 0.3 mm, do not use "
    "this print.");
constexpr const char* kSize = Told("Card of size ID-1, ISO/IEC 7810: 85.60 x 53.98 mm");

/// Counter-clockwise, from the end of the lower right corner's arc.
std::vector<Vec2> RoundedCorners(const Box& box) {
  std::vector<Vec2> outline;
  const Box inner = box.Grown(-kCardCorner);
  const std::vector<Vec2> centres = CornersOf(inner);
  for (std::size_t i = 0; i < centres.size(); ++i) {
    const double first = kPi + static_cast<double>(i) * kPi / 2.0;
    for (int step = 0; step <= kCornerSteps; ++step) {
      const double angle = first + kPi / 2.0 * step / kCornerSteps;
      outline.emplace_back(centres[i] + kCardCorner * Vec2(std::cos(angle), std::sin(angle)));
    }
  }
  return outline;
}

}  // namespace

void DrawBankCard(const Box& box, const Words& words, Drawing* drawing) {
  const std::vector<Vec2> outline = RoundedCorners(box);
  drawing->Add(Group::frame, Stroke{outline, kNarrowWidth, LineType::continuous, true});
  const std::vector<std::string> lines =
      WrapText(words.Say(kHowTo), box.Size().x() - 2.0 * kPad, kText25);
  const double middle = static_cast<double>(lines.size()) * kText25 * kLineSpacing;
  const double whole = middle + (kText35 + kText18) * kLineSpacing;
  double y = box.Centre().y() + whole / 2.0;
  // NOT RELEASED does not run through the words.
  const Vec2 block(box.Size().x() / 2.0 - kPad + 1.0, whole / 2.0 + 0.5);
  drawing->Add(Group::text,
               Fill{CornersOf({box.Centre() - block, box.Centre() + block}), Ink::white});
  const auto line = [&](const std::string& text, double height, bool bold) {
    y -= height;
    drawing->Add(Group::text, TextAt(text, {box.Centre().x(), y}, height, bold, AlignX::centre));
    y -= height * (kLineSpacing - 1.0);
  };
  line(words.Say("Second check: bank card"), kText35, true);
  for (const std::string& text : lines) line(text, kText25, false);
  line(words.Say(kSize), kText18, false);
}

}  // namespace holeward
