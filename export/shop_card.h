// The card for under the lift: each hole with its drills, stops, wire and closing, in large type.
#pragma once

#include "export/clearance_flow.h"
#include "export/shop_input.h"

namespace holeward {

/// Sets the card's table into a flow, a row a hole; says which points are tested.
void SetCard(const ShopInput& input, const ShopSide& side, Flow* flow);

}  // namespace holeward
