// One point as a person measures it: a line picture of the part with the readings drawn and
// dimensioned, and its rule and ties in words below.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "export/clearance_flow.h"
#include "export/drawing.h"

namespace holeward {

/// Words beside a place of a picture.
struct ShopPictureWords {
  std::string words;
  std::vector<Vec2> anchors;  ///< places of the picture they may stand beside, the best first
  bool bold = false;
};

/// A line picture, mm from its lower left; words are set by the page.
struct ShopPicture {
  double width = 0.0;
  double height = 0.0;
  std::vector<Item> lines;  ///< strokes and fills
  std::vector<ShopPictureWords> words;
  std::string caption;  ///< from where it is seen
};

/// What a card says.
struct PointCard {
  std::string title;  ///< the point's name and use
  std::string rule;   ///< how it is measured, in words
  std::string ties;   ///< straight distances to its neighbours; may be empty
  const ShopPicture* picture = nullptr;
};

/// Sets the cards two abreast.
void SetPointCards(const std::vector<PointCard>& cards, Flow* flow);

}  // namespace holeward
