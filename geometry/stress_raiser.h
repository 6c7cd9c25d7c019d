// Published stress-concentration values for a round hole, with the limits they are published for.
// Figures and no verdict: strength is released by a named engineer or not at all.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "geometry/part.h"
#include "geometry/placed_point.h"

namespace holeward {

enum class Load { tension, bending, torsion, biaxial, shear };

/// The stress a factor multiplies.
enum class NominalStress {
  gross,  ///< of the section without the hole
  net,    ///< of the section less the hole
};

/// One published value, or why there is none.
struct StressRaiser {
  std::string of;  ///< "tube with a transverse hole, bending"
  Load load = Load::tension;
  std::optional<double> factor;  ///< greatest stress over nominal stress; empty: no published value
  NominalStress nominal = NominalStress::gross;
  std::string why_none;  ///< "outside the published range: d/D 0.45, to 0.40"; empty with a factor
  std::string source;
  std::string limits;           ///< what it holds for, in words
  bool case_as_drilled = true;  ///< false: published for another case than this hole (see
                                ///< `limits`); for comparison only
};

// ---------------------------------------------------------------- formulas

/// A hole in a wide plate (Kirsch 1898): tension 3, two equal tensions 2, pure shear 4; none for
/// other loads. Nominal stress: that far from the hole.
[[nodiscard]] StressRaiser KirschPlate(Load load);

/// The stress round the hole of a wide plate pulled with stress 1, across the load on the line
/// square to it: (2 + (a/r)² + 3 (a/r)⁴) / 2.
/// @param r_over_a distance from the hole's middle over its radius, at least 1
[[nodiscard]] double KirschAcross(double r_over_a);

/// A hole in the middle of a strip in tension, nominal stress net, three published fits.
/// @param ratio hole diameter over the strip's width, 0 to 0.5
enum class StripSource {
  heywood,  ///< 2 + (1 - x)³ (Heywood, Designing by Photoelasticity, 1952)
  roark,  ///< 3 - 3.13 x + 3.66 x² - 1.53 x³ (Roark's Formulas for Stress and Strain, table 17.1)
  howland,  ///< (0.284 + 2/(1-x) - 0.6 (1-x) + 1.32 (1-x)²)(1 - x) (Peterson's fit to Howland 1930)
};
[[nodiscard]] StressRaiser StripInTension(double ratio, StripSource source);

/// A hole square through **both** walls of a round tube, nominal stress gross: tension, bending and
/// torsion (Peterson's Stress Concentration Factors, tubes with a transverse hole).
/// @param bore_ratio inside over outside diameter, 0 to 0.9
/// @param hole_ratio hole over outside diameter, above 0 to 0.4
/// @param both_walls false: the hole goes through one wall only; the value is then for comparison
[[nodiscard]] StressRaiser TubeWithHole(Load load, double bore_ratio, double hole_ratio,
                                        bool both_walls);

/// Torsion of the same by Roark's formula.
[[nodiscard]] StressRaiser TubeWithHoleRoark(double bore_ratio, double hole_ratio, bool both_walls);

// ---------------------------------------------------------------- a hole of a part

/// Where the hole lies.
struct RaiserCase {
  double hole = 0.0;  ///< diameter, mm
  bool both_walls = false;
  /// Round part: outside diameter and wall at the hole, mm; 0 otherwise.
  double tube = 0.0;
  double wall = 0.0;
  /// Flat: its width between the tangent lines, and the hole's distance from its middle, mm; 0
  /// on a round part.
  double flat = 0.0;
  double off_middle = 0.0;
};

/// The case of a hole of `diameter` (mm) through one wall at a place of a part. On the curve of a
/// corner neither tube nor flat, and nothing is published.
[[nodiscard]] RaiserCase RaiserCaseOf(const Part& part, const SkinPlace& place, double diameter);

/// Every published value that comes near the case, each with its limits; empty where the case is
/// neither tube nor flat.
[[nodiscard]] std::vector<StressRaiser> StressRaisersOf(const RaiserCase& hole);

}  // namespace holeward
