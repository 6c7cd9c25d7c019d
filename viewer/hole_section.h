// The section at a hole, as the window shows it: the plane through the drill's axis, turned about
// it by hand, and the drill at a depth of the person's choosing. In plane coordinates: x to the
// right, y the way the tip travels, mm, the axis meeting the skin at the origin.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "geometry/section_cut.h"
#include "viewer/job_state.h"

namespace holeward {

/// A length along the drill's axis, to be dimensioned.
struct SectionDimension {
  double from = 0.0;  ///< depths, mm
  double to = 0.0;
  std::string words;  ///< "near wall 2.9", "margin 24.1, worst 18.0"
};

/// A depth of the tip worth a line across the picture.
struct SectionLevel {
  double depth = 0.0;
  std::string words;  ///< "stop 9.5"
};

struct HoleSection {
  std::string title;  ///< "A3, left, stage 2, 8 mm"
  std::vector<CutRegion> regions;
  CutRegion drill;                 ///< at the depth asked for
  std::optional<CutRegion> worst;  ///< the pose that meets metal first
  std::optional<Vec2> contact;     ///< first contact, as far as it lies near the plane
  std::string contact_words;       ///< "meets torsion bar at 31.2"
  std::vector<SectionDimension> dimensions;
  std::vector<SectionLevel> levels;
  std::string now;                    ///< what the drill does at this depth, in words
  std::string left_word, right_word;  ///< what lies that way: FRONT, REAR, ...
  std::string tip_word;               ///< what lies the tip's way
  double depth = 0.0;                 ///< of the tip, mm
  double deepest = 0.0;               ///< worth showing, mm
};

/// Which hole, and how it is looked at.
struct SectionWish {
  std::size_t side = 0;  ///< in JobState::sides
  std::string point;
  int stage = 1;                ///< counted from 1
  double turn = 0.0;            ///< radians, of the plane about the axis
  std::optional<double> depth;  ///< of the tip, mm; nothing: at the stop
};

/// Sections of one state; what is made once is kept.
class HoleSections {
 public:
  explicit HoleSections(std::shared_ptr<const JobState> state) : state_(std::move(state)) {}

  /// Errors (job): no such drill point, or its drill or axis makes no sense; (computed): not
  /// checked.
  [[nodiscard]] Result<HoleSection> At(const SectionWish& wish);

 private:
  std::shared_ptr<const JobState> state_;
  std::vector<std::optional<SectionCutter>> cutters_;
};

}  // namespace holeward
