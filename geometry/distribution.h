// How an error is spread over what the job states for it: evenly, falling to nothing at the limits,
// or as a bell cut off there. JCGM 101:2008, 6.4: rectangular (6.4.2), triangular (6.4.5), normal
// (6.4.7), all kept within the stated limits, so that no draw leaves them and a bound over the
// limits holds whatever the distribution.
//
// Each function takes a uniform number to the number that an even spread would need for the same
// value: Within, InDisc and InCone (geometry/random.h) then give the value.
#pragma once

#include <array>

namespace holeward {

enum class Distribution { rectangular, triangular, normal };

/// One for each error that is drawn. Rectangular is what JCGM 101:2008, 6.4.2 assigns where nothing
/// but limits is known.
struct ErrorDistributions {
  Distribution readings = Distribution::rectangular;  ///< both readings
  Distribution datum = Distribution::rectangular;     ///< the points read from
  Distribution punch = Distribution::rectangular;
  Distribution sheet = Distribution::rectangular;
  Distribution tilt = Distribution::rectangular;
  Distribution wall = Distribution::rectangular;
  Distribution outline = Distribution::rectangular;
  Distribution inner_body = Distribution::rectangular;
  Distribution depth = Distribution::rectangular;
  Distribution run_on = Distribution::rectangular;

  bool operator==(const ErrorDistributions&) const = default;
};

/// The job's word for an error and where its distribution stands, in the order they are told.
struct DistributionKey {
  const char* key;
  Distribution ErrorDistributions::*of;
};
inline constexpr std::array<DistributionKey, 10> kDistributionKeys{
    {{"readings", &ErrorDistributions::readings},
     {"datum", &ErrorDistributions::datum},
     {"punch", &ErrorDistributions::punch},
     {"template", &ErrorDistributions::sheet},
     {"tilt", &ErrorDistributions::tilt},
     {"wall", &ErrorDistributions::wall},
     {"outline", &ErrorDistributions::outline},
     {"inner_body", &ErrorDistributions::inner_body},
     {"depth", &ErrorDistributions::depth},
     {"run_on", &ErrorDistributions::run_on}}};

/// The job's word.
[[nodiscard]] const char* Word(Distribution distribution);

/// How many standard deviations of the normal make a half-width; it is cut off there.
inline constexpr double kDeviationsOfHalfWidth = 3.0;

/// Over an interval with its mode at 0. Triangular: density falling in a straight line to nothing
/// at each end. Normal: half-width three standard deviations on each side. Each side has a share of
/// the probability as its width, so that a lopsided density does not jump at 0.
/// @param nothing the even number of the value 0, in [0, 1] @param u uniform, in [0, 1]
/// @return the even number, in [0, 1], growing with u; 0, `nothing` and 1 stay
[[nodiscard]] double EvenInInterval(Distribution distribution, double nothing, double u);

/// Over a disc, or a cone of directions by its equal-area map. Triangular: density falling in a
/// straight line from the middle to nothing at the rim. Normal: two-dimensional, radius three
/// standard deviations.
/// @param u uniform, in [0, 1] @return the even number of the radius, the share of the disc's area
/// inside it, in [0, 1], growing with u; 0 and 1 stay
[[nodiscard]] double EvenInDisc(Distribution distribution, double u);

}  // namespace holeward
