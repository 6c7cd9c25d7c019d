// The pictures of the instruction sheet: each point with its readings drawn on the part.
#pragma once

#include "app/work.h"
#include "export/shop_input.h"

namespace holeward {

/// Gives every point of the input its picture; a side that is the mirror image of the described one
/// gets the mirror image, lettered afresh.
void AddPictures(const Work& work, ShopInput* input);

}  // namespace holeward
