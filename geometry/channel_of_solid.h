// Finding the straight open channel that a solid from elsewhere is: a box without one of its sides.
#pragma once

#include <array>
#include <string>

#include <TopoDS_Shape.hxx>

#include "geometry/result.h"
#include "geometry/vec.h"

namespace holeward {

/// The outside of a channel in the plane of one of its ends.
struct ChannelEnd {
  Vec3 centre = Vec3::Zero();      ///< of the rectangle of web and flanges
  Vec3 open = Vec3::UnitX();       ///< unit, from the web to the lips
  Vec3 along_web = Vec3::UnitZ();  ///< unit
  double web = 0.0;                ///< width over the flanges, mm
  double flange = 0.0;             ///< from the web's outside to the lips, mm
  double corner = 0.0;             ///< outer radius between web and flanges, mm
};

/// A straight channel between two flat ends square to it.
struct FoundChannel {
  std::array<ChannelEnd, 2> ends;
  double wall = 0.0;  ///< of the ends, mm
};

/// True if the body has flat faces with the outline of a channel's end.
[[nodiscard]] bool HasChannelEnds(const TopoDS_Shape& solid);

/// The channel of a solid.
/// @param what the body in words, for the messages
/// Errors (job): other than two ends of that outline; flanges of unequal length; ends turned
/// against each other or not square to the line between their middles; (computed) the kernel
/// failed.
[[nodiscard]] Result<FoundChannel> ChannelOfSolid(const TopoDS_Shape& solid,
                                                  const std::string& what);

}  // namespace holeward
