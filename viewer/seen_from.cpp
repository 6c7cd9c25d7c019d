#include "viewer/seen_from.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

namespace holeward {

Phrase SeenFrom(const Vec3& eye, double outboard_y) {
  constexpr double kTold = 0.3;
  struct Way {
    double part;
    const char* words;
  };
  std::vector<Way> ways{{eye.y() * outboard_y, eye.y() * outboard_y > 0.0 ? "outboard" : "inboard"},
                        {eye.x(), eye.x() > 0.0 ? "in front" : "behind"},
                        {eye.z(), eye.z() > 0.0 ? "above" : "below"}};
  std::stable_sort(ways.begin(), ways.end(),
                   [](const Way& a, const Way& b) { return std::abs(a.part) > std::abs(b.part); });
  std::vector<std::string> names;
  for (std::size_t i = 0; i < ways.size(); ++i) {
    if (i > 0 && std::abs(ways[i].part) < kTold) break;
    names.emplace_back(ways[i].words);
  }
  if (names.size() == 1) return Phrase(Told("seen from {}"), names);
  if (names.size() == 2) return Phrase(Told("seen from {} and {}"), names);
  return Phrase(Told("seen from {}, {} and {}"), names);
}

}  // namespace holeward
