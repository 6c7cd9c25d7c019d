#include "geometry/box_tree.h"

#include <algorithm>
#include <limits>
#include <numeric>
#include <queue>

namespace holeward {
namespace {

/// Where a box is sorted in; those without a middle go anywhere.
Vec3 SortedAt(const UprightBox& box) { return box.bounded() ? box.middle() : Vec3(Vec3::Zero()); }

}  // namespace

void UprightBox::Hold(const Vec3& place, double grown) {
  low = low.cwiseMin(place - Vec3::Constant(grown));
  high = high.cwiseMax(place + Vec3::Constant(grown));
}

void UprightBox::Hold(const UprightBox& other) {
  low = low.cwiseMin(other.low);
  high = high.cwiseMax(other.high);
}

BoxTree::BoxTree(std::vector<UprightBox> boxes) {
  if (boxes.empty()) return;
  std::vector<std::size_t> order(boxes.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  nodes_.reserve(2 * boxes.size());
  nodes_.emplace_back();
  Split(0, order, 0, order.size(), boxes);
}

void BoxTree::Split(std::size_t node, std::vector<std::size_t>& order, std::size_t from,
                    std::size_t to, const std::vector<UprightBox>& boxes) {
  UprightBox all;
  UprightBox middles;
  for (std::size_t i = from; i < to; ++i) {
    all.Hold(boxes[order[i]]);
    middles.Hold(SortedAt(boxes[order[i]]));
  }
  nodes_[node].box = all;
  if (to - from == 1) {
    nodes_[node].index = order[from];
    nodes_[node].leaf = true;
    return;
  }
  int side = 0;
  middles.half().maxCoeff(&side);
  const std::size_t half = from + (to - from) / 2;
  const auto at = [&](std::size_t i) { return order.begin() + static_cast<std::ptrdiff_t>(i); };
  std::nth_element(at(from), at(half), at(to), [&](std::size_t a, std::size_t b) {
    return SortedAt(boxes[a])[side] < SortedAt(boxes[b])[side];
  });
  const std::size_t child = nodes_.size();
  nodes_[node].index = child;
  nodes_.emplace_back();
  nodes_.emplace_back();
  Split(child, order, from, half, boxes);
  Split(child + 1, order, half, to, boxes);
}

std::size_t BoxTree::InOrder(const Bound& bound, const Take& take) const {
  struct Waiting {
    double bound;
    bool leaf;
    std::size_t index;  // of the list for a leaf, else of the node
  };
  // Inner boxes before leaves of the same bound, which may hold an earlier one of it.
  const auto later = [](const Waiting& a, const Waiting& b) {
    if (a.bound != b.bound) return a.bound > b.bound;
    if (a.leaf != b.leaf) return a.leaf;
    return a.index > b.index;
  };
  std::priority_queue<Waiting, std::vector<Waiting>, decltype(later)> waiting(later);
  std::size_t looked_at = 0;
  const auto push = [&](std::size_t node, double at_least) {
    const Node& one = nodes_[node];
    const double least = std::max(at_least, bound(one.box));
    ++looked_at;
    if (least < std::numeric_limits<double>::infinity()) {
      waiting.push({least, one.leaf, one.leaf ? one.index : node});
    }
  };
  if (!nodes_.empty()) push(0, -std::numeric_limits<double>::infinity());
  while (!waiting.empty()) {
    const Waiting next = waiting.top();
    waiting.pop();
    if (!next.leaf) {
      push(nodes_[next.index].index, next.bound);
      push(nodes_[next.index].index + 1, next.bound);
    } else if (!take(next.index, next.bound)) {
      break;
    }
  }
  return looked_at;
}

}  // namespace holeward
