// A drill guide: a block that is put on a part and holds a guide bush on a drill's axis.
//
//            ______  top: what holds the drill lands here at the stop setting
//           |  | | |
//           |  | | |   block, square, lettered on its sides
//           |  |b| |   bore for the bush
//   ________|  | | |__________
//  |  saddle   | |            |--.   follows the skin, one gap off it
//  |___________| |____________|  |
//  =====skin=================== lip: hooks over an end of the part
//
#pragma once

#include <string>
#include <vector>

#include "geometry/result.h"
#include "geometry/skin.h"
#include "geometry/solid.h"
#include "geometry/vec.h"

namespace holeward {

// Sizes of every guide, mm.
inline constexpr double kGuideSaddle = 5.0;    ///< thickness of the saddle
inline constexpr double kGuideWall = 5.0;      ///< round the bush, at its thinnest
inline constexpr double kGuideLip = 5.0;       ///< thickness of a lip
inline constexpr double kGuideEngraved = 0.6;  ///< depth of the letters
/// Nothing a common printer makes of a nozzle of 0.4 may be thinner (three lines); common practice,
/// no source.
inline constexpr double kGuideThinnest = 1.2;

/// A rectangle of a skin: u and v from, to; v may lie outside one turn of a closed skin.
struct SkinRectangle {
  double u_from = 0.0;
  double u_to = 0.0;
  double v_from = 0.0;
  double v_to = 0.0;
};

/// A lip past an end of the part: the saddle over `rectangle`, let down by `sink` under the skin.
struct GuideLip {
  SkinRectangle rectangle;
  double sink = 0.0;  ///< mm
};

/// What a guide is made from, in the frame of the described side.
struct GuideSpec {
  std::string what;                 ///< for messages
  SkinPlace at;                     ///< of the hole
  Vec3 entry = Vec3::Zero();        ///< where the axis meets the skin
  Vec3 direction = -Vec3::UnitZ();  ///< unit, the way the tip travels
  Vec3 along = Vec3::UnitX();       ///< unit, along the part: the block is turned to it
  SkinRectangle saddle;
  std::vector<GuideLip> lips;
  double gap = 0.2;     ///< between skin and saddle, mm
  double bush = 0.0;    ///< diameter of the bore for the bush, mm
  double height = 0.0;  ///< of the top over the entry, along the axis, mm
  /// Engraved on both sides across: loops in mm, x to the right and y up, the middle at 0, 0. Each
  /// glyph: its outline, then its holes.
  std::vector<std::vector<std::vector<Vec2>>> letters;
  bool mirrored = false;  ///< the guide will be mirrored: its letters are cut the wrong way round
};

/// Side of the square block that holds a bush, mm.
[[nodiscard]] double BlockSide(double bush);

/// The guide as a solid. Errors: (job) a top that leaves no block above the saddle, a skin that
/// turns away under the block; (computed) the kernel's, or letters that did not fit.
[[nodiscard]] Result<NamedSolid> BuildGuide(const Skin& skin, const GuideSpec& spec);

/// How a guide fits, measured on the finished solid.
struct GuideFit {
  double gap_least = 0.0;  ///< between the saddle and the skin, mm
  double gap_greatest = 0.0;
  double skin_least = 0.0;  ///< any place of the guide over the part to the skin; < 0: inside it
};

/// Measures the places of a mesh of the guide against the skin: those of the saddle's underside for
/// the gap, all between the part's ends for the least. Errors: those of MeshOf; a guide that has no
/// place over the skin.
[[nodiscard]] Result<GuideFit> FitOf(const NamedSolid& guide, const Skin& skin,
                                     const GuideSpec& spec);

}  // namespace holeward
