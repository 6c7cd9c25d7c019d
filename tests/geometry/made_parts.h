// Parts round a skin, with the names of their faces and lines, for the tests of templates.
#pragma once

#include <memory>
#include <utility>

#include "geometry/part.h"

namespace holeward::test {

inline Part BoxPart(std::shared_ptr<const Skin> skin) {
  Part part;
  part.name = "arm";
  part.skin = std::move(skin);
  part.start = "inner end";
  part.finish = "outer end";
  part.faces = {{"underside", 0, "rear edge", "front edge"},
                {"front", 2, "bottom edge", "top edge"},
                {"top", 4, "front edge", "rear edge"},
                {"rear", 6, "top edge", "bottom edge"}};
  return part;
}

inline Part TubePart(std::shared_ptr<const Skin> skin) {
  Part part;
  part.name = "tube";
  part.skin = std::move(skin);
  part.start = "right end";
  part.finish = "left end";
  part.lines = {{"bottom", 0.0}, {"front", 1.0}, {"top", 2.0}, {"rear", 3.0}};
  return part;
}

}  // namespace holeward::test
