#include "export/point_card.h"

#include <gtest/gtest.h>

#include "export/lettering.h"

namespace holeward {
namespace {

struct Page {
  Drawing drawing;
  Flow flow;
  Page() : flow([this] { return FlowArea{&drawing, Box{{20, 20}, {190, 270}}}; }) {
    drawing.width = 210;
    drawing.height = 297;
  }
  std::vector<const Text*> Texts() const {
    std::vector<const Text*> texts;
    for (const Item& item : drawing.items) {
      if (const auto* text = std::get_if<Text>(&item.what)) texts.push_back(text);
    }
    return texts;
  }
};

ShopPicture Picture() {
  ShopPicture picture{84, 42, {}, {}, "seen from above"};
  picture.lines.emplace_back(Group::mark,
                             Stroke{{{20, 20}, {60, 20}}, kWideWidth, LineType::continuous, false});
  picture.words = {{"84.0 mm", {{40, 20}}, false}, {"P1", {{60, 20}}, true}};
  return picture;
}

TEST(PointCard, TwoStandAbreastAndEveryWordIsOnThePage) {
  Page page;
  const ShopPicture picture = Picture();
  const PointCard card{"P1  test", "84 mm by tape along the skin from the eye.", "Ties: A2",
                       &picture};
  SetPointCards({card, card}, &page.flow);
  int titles = 0;
  double lowest_title = 300.0;
  double highest_title = 0.0;
  for (const Text* text : page.Texts()) {
    EXPECT_GE(text->at.x(), 20.0);
    EXPECT_LE(text->at.x() + TextWidth(text->words, text->height, text->bold), 190.5)
        << text->words;
    if (text->words != "P1  test") continue;
    ++titles;
    lowest_title = std::min(lowest_title, text->at.y());
    highest_title = std::max(highest_title, text->at.y());
  }
  EXPECT_EQ(titles, 2);
  EXPECT_DOUBLE_EQ(lowest_title, highest_title);
}

TEST(PointCard, WordsOfAPictureDoNotLieOnEachOther) {
  Page page;
  ShopPicture picture = Picture();
  picture.words.push_back({"eye", {{40, 20}}, false});
  picture.words.push_back({"85.0 mm", {{41, 20}}, false});
  SetPointCards({{"P1", "rule.", "", &picture}}, &page.flow);
  std::vector<Box> boxes;
  for (const Text* text : page.Texts()) {
    boxes.push_back({text->at, text->at + Vec2(TextWidth(text->words, text->height, text->bold),
                                               text->height)});
  }
  ASSERT_GE(boxes.size(), 7U);  // title, rule, caption and four words
  for (std::size_t i = 0; i < boxes.size(); ++i) {
    for (std::size_t k = i + 1; k < boxes.size(); ++k) {
      const bool apart =
          boxes[i].high.x() < boxes[k].low.x() || boxes[k].high.x() < boxes[i].low.x() ||
          boxes[i].high.y() < boxes[k].low.y() || boxes[k].high.y() < boxes[i].low.y();
      EXPECT_TRUE(apart) << i << " and " << k;
    }
  }
}

}  // namespace
}  // namespace holeward
