// A box arm with a cranked centre line and changing sections, the part tapes are compared on.
#pragma once

#include <memory>

#include "geometry/skin.h"

namespace holeward::test {

inline std::shared_ptr<const Skin> CrankedArm() {
  struct Station {
    Vec3 centre;
    double width, height, corner;
  };
  SkinLaw law;
  for (const Station& s :
       {Station{{-100, 200, 300}, 56, 44, 8}, Station{{-90, 320, 288}, 60, 50, 9},
        Station{{-104, 400, 276}, 54, 48, 9}, Station{{-110, 500, 274}, 48, 42, 8}}) {
    const double a = s.width / 2, b = s.height / 2;
    law.centres.push_back(s.centre);
    law.vertices.push_back({{a, -b}, {a, b}, {-a, b}, {-a, -b}});
    law.corner_radii.push_back({s.corner, s.corner, s.corner, s.corner});
  }
  return std::make_shared<const Skin>(*Skin::Make(law));
}

}  // namespace holeward::test
