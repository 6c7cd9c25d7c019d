// The true section of a scene by a plane: what the engineer's drawing of a hole shows.
//
//   const auto plane = CutPlane::Through(entry, tip_travel, along_the_part);
//   const SectionCutter cutter(scene);                     // once a scene
//   const SectionDrawing drawing = cutter.Cut(*plane, window);
//   const CutRegion drill = DrillOutline(*plane, pose, drill, {stop, 60.0});
//
// Everything is in plane coordinates (geometry/section_loop.h): x as asked for, y the way the tip
// travels, mm, origin where the plane's is. No geometry is left for the drawing to compute.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <Eigen/Geometry>

#include "geometry/clearance.h"
#include "geometry/drill.h"
#include "geometry/part.h"
#include "geometry/section_loop.h"

namespace holeward {

enum class CutKind { metal, inner_body, fitting, neighbour, drill };

/// One body, or a piece of it, where the plane cuts it. Filled by the even-odd rule over its loops.
struct CutRegion {
  std::string body;  ///< its name in the job
  std::string part;  ///< the part it belongs to; empty for a neighbour or the drill
  CutKind kind = CutKind::metal;
  std::vector<CutLoop> loops;
  /// Inner bodies, eyes and studs: where the axis passes through the plane, if it does
  /// so within 45 degrees of square. For centre lines.
  std::optional<Vec2> centre;
};

struct SectionDrawing {
  std::vector<CutRegion> regions;  ///< parts first, then what is in them, on them, beside them
  std::vector<std::string> notes;  ///< what could not be drawn, in sentences
};

/// Cuts a scene as often as wanted.
///
/// A part's metal is that of its built solid: the strips it is made of (geometry/solid_law.h), so
/// the inner skin stands one wall inside the outer and ends in the end planes. Holes, drilled or
/// existing, are not taken out of it. A block (bracket, plate, seam) without a stated height is not
/// drawn, and noted.
/// Accuracy: 0.01 mm of the law for metal, 0.003 mm for straight bodies; what comes and goes within
/// a few millimetres of a grazing plane may be missed.
class SectionCutter {
 public:
  explicit SectionCutter(const Scene& scene);

  /// @param window what to show, in plane coordinates; not empty
  [[nodiscard]] SectionDrawing Cut(const CutPlane& plane, const Eigen::AlignedBox2d& window) const;

 private:
  struct Hollow;
  std::shared_ptr<const Scene> scene_;
  std::vector<std::shared_ptr<const Hollow>> hollows_;  // one a part; empty where it failed
  std::vector<std::string> faults_;
};

/// How far a drill is drawn.
struct DrillReach {
  double depth = 0.0;   ///< of the tip along its axis, from pose.entry, mm
  double behind = 0.0;  ///< length drawn, from the tip back, mm, above 0
};

/// A drill as seen square to the plane: its section where its axis lies in the plane, else the
/// outline of its shadow on it. Steps have square shoulders, as for meeting metal.
[[nodiscard]] CutRegion DrillOutline(const CutPlane& plane, const Pose& pose, const Drill& drill,
                                     const DrillReach& reach);

/// The section of a cylinder with flat ends; empty where the plane passes it by.
/// @param window bounds how much of a long one is worked out; the loop may reach past it
[[nodiscard]] CutLoop CylinderCut(const CutPlane& plane, const Vec3& from, const Vec3& to,
                                  double radius, const Eigen::AlignedBox2d& window);

/// The sections of an inner body, one region a straight piece of its path; bends are mitred.
[[nodiscard]] std::vector<CutRegion> CutOf(const InnerBody& body, const CutPlane& plane,
                                           const Eigen::AlignedBox2d& window);
/// Of a neighbour, bends are round.
[[nodiscard]] std::vector<CutRegion> CutOf(const Neighbour& neighbour, const CutPlane& plane,
                                           const Eigen::AlignedBox2d& window);
/// Of a fitting; nothing for a hole or a block without height.
[[nodiscard]] std::vector<CutRegion> CutOf(const Fitting& fitting, const Skin& skin,
                                           const CutPlane& plane,
                                           const Eigen::AlignedBox2d& window);

}  // namespace holeward
