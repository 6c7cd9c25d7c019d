#include "export/point_card.h"

#include <algorithm>

#include "export/label_placer.h"
#include "export/lettering.h"
#include "export/sheet_frame.h"

namespace holeward {
namespace {

constexpr double kGap = 6.0;  // between two cards
constexpr double kBelow = 2.5;
constexpr double kLine = kText25 * 1.6;
constexpr double kPad = 1.5;
constexpr double kUnder = 1.2;  // below the title

struct SetCard {
  const PointCard* card = nullptr;
  double title_height = kText35;
  std::vector<std::string> title;
  std::vector<std::string> rule;
  std::vector<std::string> ties;
  double height = 0.0;

  [[nodiscard]] double TitleHeight() const {
    const auto more = static_cast<double>(title.size() - 1);
    return title_height + more * title_height * 1.6 + 1.5;
  }
};

/// Large if every title fits on one line, else all of them smaller.
double TitleHeightOf(const std::vector<PointCard>& cards, double width) {
  const bool fit = std::all_of(cards.begin(), cards.end(), [&](const PointCard& card) {
    return TextWidth(card.title, kText35, true) <= width - 2.0 * kPad;
  });
  return fit ? kText35 : kText25;
}

SetCard Measured(const PointCard& card, double width, double title_height) {
  const double room = width - 2.0 * kPad;
  SetCard set;
  set.card = &card;
  // On as many lines as it takes: no name is cut short.
  set.title_height = title_height;
  set.title = WrapText(card.title, room, set.title_height, true);
  set.rule = WrapText(card.rule, room, kText25);
  if (!card.ties.empty()) set.ties = WrapText(card.ties, room, kText25);
  const double lines = static_cast<double>(set.rule.size() + set.ties.size());
  set.height = set.TitleHeight() + (card.picture != nullptr ? card.picture->height : 0.0) +
               kLine * lines + 2.0 * kPad;
  return set;
}

// Words find room beside their places; a leader ties those that stand farther off.
void DrawWords(const ShopPicture& picture, const Vec2& low, Drawing* drawing) {
  LabelPlacer placer({low + Vec2(1.0, 4.5), low + Vec2(picture.width - 1.0, picture.height - 1.0)});
  for (const Item& item : picture.lines) {
    const Stroke* stroke = std::get_if<Stroke>(&item.what);
    if (stroke == nullptr || item.group != Group::mark) continue;
    std::vector<Vec2> points = stroke->points;
    for (Vec2& p : points) p += low;
    placer.AvoidPolyline(points, stroke->closed);
  }
  std::vector<const ShopPictureWords*> order;
  for (const ShopPictureWords& words : picture.words) order.push_back(&words);
  std::stable_sort(order.begin(), order.end(),
                   [](const auto* a, const auto* b) { return a->bold && !b->bold; });
  for (const ShopPictureWords* words : order) {
    const double height = words->bold ? kText35 : kText25;
    LabelPlacer::Request request;
    for (const Vec2& anchor : words->anchors) request.anchors.emplace_back(low + anchor);
    request.size = {TextWidth(words->words, height, words->bold) + 1.0, height + 1.2};
    request.clear = words->bold ? 2.0 : 1.2;
    const auto placed = placer.Place(request);
    if (!placed) continue;
    const Box& box = placed->box;
    drawing->Add(Group::text, Fill{CornersOf(box), Ink::white});
    if (placed->leader) {
      drawing->AddLine(Group::text, placed->leader_from, placed->leader_to, kHairWidth);
    }
    drawing->Add(Group::text, TextAt(words->words, box.low + Vec2(0.5, 0.6), height, words->bold));
  }
}

void DrawPicture(const ShopPicture& picture, const Vec2& low, Drawing* drawing) {
  for (Item item : picture.lines) {
    if (auto* stroke = std::get_if<Stroke>(&item.what)) {
      for (Vec2& p : stroke->points) p += low;
    } else if (auto* fill = std::get_if<Fill>(&item.what)) {
      for (Vec2& p : fill->points) p += low;
    }
    drawing->items.push_back(std::move(item));
  }
  DrawWords(picture, low, drawing);
  const double width = TextWidth(picture.caption, kText18);
  const Vec2 at = low + Vec2(picture.width - width - 1.5, 1.2);
  drawing->Add(
      Group::text,
      Fill{CornersOf(Box{at - Vec2(0.8, 0.8), at + Vec2(width + 0.8, kText18 + 0.8)}), Ink::white});
  drawing->Add(Group::text, TextAt(picture.caption, at, kText18));
}

void DrawCard(const SetCard& set, const Box& box, Drawing* drawing) {
  const Vec2 size = box.Size();
  double y = box.high.y() - 1.5 - set.title_height;
  for (const std::string& line : set.title) {
    drawing->Add(Group::text, TextAt(line, {box.low.x() + kPad, y}, set.title_height, true));
    y -= set.title_height * 1.6;
  }
  y = box.high.y() - set.TitleHeight() - kUnder;
  if (const ShopPicture* picture = set.card->picture; picture != nullptr) {
    y -= picture->height;
    DrawPicture(*picture, {box.low.x() + 0.5 * (size.x() - picture->width), y}, drawing);
  }
  const auto letter = [&](const std::vector<std::string>& lines) {
    for (const std::string& line : lines) {
      y -= kLine;
      drawing->Add(Group::text, TextAt(line, {box.low.x() + kPad, y}, kText25));
    }
  };
  letter(set.rule);
  letter(set.ties);
  drawing->AddBox(Group::frame, box);
}

}  // namespace

void SetPointCards(const std::vector<PointCard>& cards, Flow* flow) {
  for (std::size_t i = 0; i < cards.size(); i += 2) {
    const double width = 0.5 * (flow->Block(0.0).box.Size().x() - kGap);
    std::vector<SetCard> row;
    double height = 0.0;
    for (std::size_t k = i; k < std::min(i + 2, cards.size()); ++k) {
      row.push_back(Measured(cards[k], width, TitleHeightOf(cards, width)));
      height = std::max(height, row.back().height);
    }
    const FlowArea area = flow->Block(height + kBelow);
    double x = area.box.low.x();
    for (const SetCard& set : row) {
      DrawCard(set, {{x, area.box.low.y() + kBelow}, {x + width, area.box.high.y()}}, area.drawing);
      x += width + kGap;
    }
  }
}

}  // namespace holeward
