// A wrong place at which a piece of a template can be laid as if it were the right one.
#pragma once

#include <string>
#include <vector>

namespace holeward {

/// Where a piece fits and should not. Named as the part it was made for names its faces.
struct Misfit {
  bool other_side = false;  ///< on the other side of the vehicle
  bool turned = false;      ///< end for end
  std::string face;         ///< the face (round part: named line) its first mark lands on
  bool own_face = false;    ///< that is the face it is meant for
  double deviation = 0.0;   ///< mm its lines lie off the part's there, at most
};

/// A piece fits a wrong place when its lines lie within this of like lines there: what a hand
/// takes for right, mm.
inline constexpr double kMisfitWithin = 3.0;

}  // namespace holeward
