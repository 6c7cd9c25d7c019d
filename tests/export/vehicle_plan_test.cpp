#include "export/vehicle_plan.h"

#include <cmath>
#include <string>
#include <variant>

#include <gtest/gtest.h>

#include "export/lettering.h"
#include "export/paper.h"
#include "models/misfit_words.h"
#include "tests/export/synthetic_pieces.h"

namespace holeward {
namespace {

const Box kRoom{{10, 20}, {40, 41}};

Box BlackOf(const PlanCorner& corner) {
  Drawing drawing;
  DrawVehiclePlan(kRoom, corner, {}, &drawing);
  Box black;
  int fills = 0;
  for (const Item& item : drawing.items) {
    const Fill* fill = std::get_if<Fill>(&item.what);
    if (fill == nullptr) continue;
    ++fills;
    EXPECT_EQ(fill->ink, Ink::black);
    black = {fill->points[0], fill->points[2]};
  }
  EXPECT_EQ(fills, 1);
  return black;
}

TEST(VehiclePlan, BlacksTheCornerSeenFromAboveWithTheFrontUp) {
  const double middle = kRoom.low.x() + 0.5 * VehiclePlanWidth(kRoom.Size().y());
  for (const Side side : {Side::left, Side::right}) {
    for (const Axle axle : {Axle::front, Axle::rear}) {
      const Box black = BlackOf({side, axle});
      EXPECT_EQ(black.Centre().x() < middle, side == Side::left);
      EXPECT_EQ(black.Centre().y() > kRoom.low.y() + 9.0, axle == Axle::front);
    }
    const Box whole = BlackOf({side, std::nullopt});
    EXPECT_DOUBLE_EQ(whole.low.y(), BlackOf({side, Axle::rear}).low.y());
    EXPECT_DOUBLE_EQ(whole.high.y(), BlackOf({side, Axle::front}).high.y());
  }
}

void Grow(Box* box, const Vec2& p, double by) {
  box->low = box->low.cwiseMin(p - Vec2::Constant(by));
  box->high = box->high.cwiseMax(p + Vec2::Constant(by));
}

// What the ink of a drawing covers; lettering by its width and the height of its capitals.
Box InkOf(const Drawing& drawing) {
  Box box{Vec2::Constant(1e9), Vec2::Constant(-1e9)};
  for (const Item& item : drawing.items) {
    if (const auto* stroke = std::get_if<Stroke>(&item.what)) {
      for (const Vec2& p : stroke->points) Grow(&box, p, 0.5 * stroke->width);
    } else if (const auto* circle = std::get_if<Circle>(&item.what)) {
      Grow(&box, circle->centre, circle->radius + 0.5 * circle->width);
    } else if (const auto* fill = std::get_if<Fill>(&item.what)) {
      for (const Vec2& p : fill->points) Grow(&box, p, 0.0);
    } else if (const auto* text = std::get_if<Text>(&item.what)) {
      const double width = TextWidth(text->words, text->height, text->bold);
      const double from = text->align == AlignX::left     ? 0.0
                          : text->align == AlignX::centre ? -0.5 * width
                                                          : -width;
      const Eigen::Rotation2Dd turn(text->turn_rad);
      for (const double x : {from, from + width}) {
        for (const double y : {0.0, text->height}) Grow(&box, text->at + turn * Vec2(x, y), 0.0);
      }
    }
  }
  return box;
}

TEST(VehiclePlan, LiesWithinItsBoxAndWidth) {
  Drawing drawing;
  DrawVehiclePlan(kRoom, {Side::right, Axle::rear}, {}, &drawing);
  const Box ink = InkOf(drawing);
  EXPECT_GE(ink.low.x(), kRoom.low.x() - 0.3);
  EXPECT_LE(ink.high.x(), kRoom.low.x() + VehiclePlanWidth(kRoom.Size().y()) + 0.3);
  EXPECT_GE(ink.low.y(), kRoom.low.y() - 0.3);
  EXPECT_LE(ink.high.y(), kRoom.high.y() + 0.3);
}

// A printer sets a page that is smaller than its paper into a corner or into the middle.
TEST(TemplateSheet, ForA4OrLetterKeepsTenMillimetresOnEitherHoweverItIsSet) {
  using namespace testing_tools;
  int pages = 0;
  for (const Side side : {Side::left, Side::right}) {
    TemplateSheetInput input = Input({FlatPiece(), TubeWrap()});
    input.paper.name = "A4 or Letter";
    input.side = side;
    const Result<TemplateSheet> sheet = MakeTemplateSheet(input);
    ASSERT_TRUE(sheet.has_value()) << sheet.error().message;
    for (const SheetPage& page : sheet->pages) {
      const Box ink = InkOf(page.drawing);
      const bool turned = page.drawing.width > page.drawing.height;
      for (const char* name : {"A4", "Letter"}) {
        Paper paper;
        paper.name = name;
        PageSize size = *SizeOf(paper);
        if (turned) size = size.Turned();
        const Vec2 spare(size.width - page.drawing.width, size.height - page.drawing.height);
        for (const double x : {0.0, 0.5, 1.0}) {
          for (const double y : {0.0, 0.5, 1.0}) {
            const Vec2 low = ink.low + spare.cwiseProduct(Vec2(x, y));
            const Vec2 high = ink.high + spare.cwiseProduct(Vec2(x, y));
            EXPECT_GE(low.minCoeff(), kPaperMargin - 0.5) << name << " page " << page.number;
            EXPECT_LE(high.x(), size.width - kPaperMargin + 0.5) << name << page.number;
            EXPECT_LE(high.y(), size.height - kPaperMargin + 0.5) << name << page.number;
          }
        }
      }
      ++pages;
    }
  }
  EXPECT_GT(pages, 3);
}

TEST(TemplateSheet, SaysInLargeWordsWhereAPieceFitsAndShouldNot) {
  using namespace testing_tools;
  DevelopedPiece piece = FlatPiece();
  piece.misfits = {{true, false, "rear", true, 0.2},
                   {false, true, "rear", true, 0.4},
                   {false, false, "front", false, 1.2}};
  TemplateSheetInput input = Input({piece});
  input.side = Side::left;
  const Result<TemplateSheet> sheet = MakeTemplateSheet(input);
  ASSERT_TRUE(sheet.has_value()) << sheet.error().message;
  std::string words;
  for (const SheetLabel& label : sheet->pages.front().labels) words += label.words + "\n";
  EXPECT_NE(words.find("ALSO FITS ON THE OTHER SIDE AND END FOR END AND AT FRONT."),
            std::string::npos)
      << words;
  EXPECT_EQ(sheet->misfits.size(), 3U);
  input.pieces.front().misfits.clear();
  const Result<TemplateSheet> plain = MakeTemplateSheet(input);
  for (const SheetLabel& label : plain->pages.front().labels) {
    EXPECT_EQ(label.words.find("ALSO FITS"), std::string::npos);
  }
}

}  // namespace
}  // namespace holeward
