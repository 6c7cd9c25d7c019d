// What a check gives, for holes and points, in the words of the results.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "geometry/vec.h"

namespace holeward {

/// Ordered from best to worst as far as "the worst of" goes: clear < tight < unproven < contact.
enum class Verdict { clear, tight, unproven, contact };

/// The worse of two verdicts.
[[nodiscard]] constexpr Verdict Worse(Verdict a, Verdict b) { return a < b ? b : a; }
[[nodiscard]] constexpr const char* Word(Verdict v) {
  switch (v) {
    case Verdict::clear: return "clear";
    case Verdict::tight: return "tight";
    case Verdict::unproven: return "unproven";
    case Verdict::contact: return "contact";
  }
  return "unproven";
}

enum class Outcome { met, nothing, not_computed };
enum class StopFrom { job, proposed, none };

struct FirstContact {
  std::string body;  ///< "far wall", or the name of an inner body, fitting, part or neighbour
  Vec3 position = Vec3::Zero();
};

/// The pose that meets metal first of all that a hand may give the drill.
struct AttainedPose {
  Vec3 entry = Vec3::Zero();        ///< of the axis, on the skin
  Vec3 direction = -Vec3::UnitZ();  ///< unit, the way the tip travels
  double depth = 0.0;               ///< at which it meets metal, all bodies grown, mm
  double lower = 0.0;               ///< certified: no pose meets anything shallower, mm
  double upper = 0.0;               ///< this pose meets it no deeper, mm
};

/// Probability that a hole meets something, by Monte Carlo over the stated errors.
struct ContactChance {
  double value = 0.0;
  double upper_95 = 1.0;  ///< Clopper and Pearson's one-sided upper bound
};

/// One stage of one hole, in the frame of the described side.
struct HoleCheck {
  std::string point;
  std::string part;
  int stage = 1;  ///< counted from 1, pilot first
  double diameter = 0.0;
  double near_wall = 0.0;           ///< nominal length on the axis
  double breakthrough = 0.0;        ///< nominal break-through depth
  double breakthrough_worst = 0.0;  ///< upper bound over all errors
  Outcome outcome = Outcome::not_computed;
  std::optional<double> free_depth;  ///< nominal
  std::optional<FirstContact> first_contact;
  std::optional<double> stop;  ///< depth of the stop; none when drilled without
  StopFrom stop_from = StopFrom::none;
  bool through = false;
  std::optional<double> margin;        ///< nominal
  std::optional<double> margin_worst;  ///< certified lower bound over all errors
  /// Least stop that takes the full diameter through in every case, mm; nothing: not computed.
  std::optional<double> stop_needed;
  /// No pose meets anything shallower than this, mm; nothing: not computed, or free throughout.
  std::optional<double> free_depth_worst;
  /// The pose that attains it, as far as it was found; nothing: not computed, or free throughout.
  std::optional<AttainedPose> worst_pose;
  /// How likely it meets something; nothing: not estimated.
  std::optional<ContactChance> probability_contact;
  double access = 0.0;
  bool access_known = true;  ///< false: something beside it has no stated height
  Verdict verdict = Verdict::unproven;
  std::vector<std::string> reasons;  ///< why it is not clear, in sentences
};

/// One test or drill point.
struct PointCheck {
  std::string point;
  std::string part;
  bool test = false;
  double edge_distance = 0.0;
  std::string nearest_edge;  ///< what the nearest edge is
  std::optional<double> nearest_hole;
  double seat_gap = 0.0;
  double access = 0.0;
  bool access_known = true;
  Verdict verdict = Verdict::unproven;
  std::vector<std::string> reasons;
};

}  // namespace holeward
