#include "geometry/stress_raiser.h"

#include <cmath>

#include <fmt/format.h>

namespace holeward {
namespace {

constexpr double kMostBore = 0.9;    // the range stated with the torsion formula
constexpr double kMostHole = 0.4;    // likewise
constexpr double kMostStrip = 0.5;   // where the fits were compared: they agree to 1.6 % there
constexpr double kWidePlate = 0.1;   // Kirsch is within 1 % of Howland's strip there
constexpr double kOffMiddle = 0.05;  // of the width; the fits are for a hole in the middle

constexpr const char* kPeterson =
    "Peterson's Stress Concentration Factors, tube with a transverse hole";
constexpr const char* kRoark = "Roark's Formulas for Stress and Strain, table 17.1";

std::string TubeLimits(bool both_walls) {
  std::string limits =
      "round tube, hole square through both walls, inside/outside diameter to 0.9, hole/outside "
      "diameter to 0.4; gross nominal stress; elastic";
  if (!both_walls) {
    limits += "; this hole goes through one wall only, for which no value is published";
  }
  return limits;
}

std::string TubeRangeFault(double q, double x) {
  if (!(q >= 0.0 && q <= kMostBore)) {
    return fmt::format("no published value: inside/outside diameter {:.2f}, range 0 to {:.1f}", q,
                       kMostBore);
  }
  if (!(x > 0.0 && x <= kMostHole)) {
    return fmt::format("no published value: hole/outside diameter {:.2f}, range above 0 to {:.1f}",
                       x, kMostHole);
  }
  return {};
}

double TubeTension(double q, double x) {
  return 3.0 + (0.427 + q * (-6.770 + q * (22.698 - q * 16.670))) * x +
         (11.357 + q * (15.665 + q * (-60.929 + q * 41.501))) * x * x;
}

double TubeBending(double q, double x) {
  return 3.0 + (-6.25 + q * (-0.585 + q * 3.115)) * x + (41.0 + q * (-1.071 - q * 6.746)) * x * x +
         (-45.0 + q * (1.389 + q * 13.889)) * x * x * x;
}

double TubeTorsion(double q, double x) {
  return 4.0 + (-6.055 + q * (3.184 - q * 3.461)) * x +
         (32.764 + q * (-30.121 + q * 39.887)) * x * x +
         (-38.33 + 51.542 * std::sqrt(q) - 27.483 * q) * x * x * x;
}

double TubeTorsionRoark(double q, double x) {
  return 4.0 + (-6.793 + q * (1.133 - q * 0.126)) * x +
         (38.382 + q * (-7.242 + q * 6.495)) * x * x +
         (-44.576 + q * (-7.428 + q * 58.656)) * x * x * x;
}

double StripFactor(double x, StripSource source) {
  const double y = 1.0 - x;
  switch (source) {
    case StripSource::heywood: return 2.0 + y * y * y;
    case StripSource::roark: return 3.0 + x * (-3.13 + x * (3.66 - x * 1.53));
    case StripSource::howland: return (0.284 + 2.0 / y - 0.6 * y + 1.32 * y * y) * y;
  }
  return 0.0;
}

const char* StripName(StripSource source) {
  switch (source) {
    case StripSource::heywood: return "Heywood, Designing by Photoelasticity, 1952";
    case StripSource::roark: return kRoark;
    case StripSource::howland: return "Peterson's fit to Howland, 1930";
  }
  return "";
}

void ForComparison(StressRaiser& raiser, const std::string& why) {
  raiser.case_as_drilled = false;
  raiser.limits += "; " + why;
}

void AddPlate(std::vector<StressRaiser>& raisers, const RaiserCase& hole) {
  constexpr const char* kFace = "a face of a hollow part is held by its neighbours at its edges";
  const double ratio = hole.hole / hole.flat;
  StressRaiser plate = KirschPlate(Load::tension);
  ForComparison(plate, kFace);
  if (!(ratio <= kWidePlate)) {
    plate.factor.reset();
    plate.why_none = fmt::format("no published value: hole/width {:.2f}, a plate is wide to {:.1f}",
                                 ratio, kWidePlate);
  }
  raisers.push_back(plate);
  for (const StripSource source :
       {StripSource::heywood, StripSource::roark, StripSource::howland}) {
    StressRaiser strip = StripInTension(ratio, source);
    ForComparison(strip, kFace);
    if (strip.factor && hole.off_middle > kOffMiddle * hole.flat) {
      strip.factor.reset();
      strip.why_none = fmt::format(
          "no published value: the hole lies {:.1f} mm off the middle of a face {:.1f} mm wide",
          hole.off_middle, hole.flat);
    }
    raisers.push_back(strip);
  }
}

}  // namespace

StressRaiser KirschPlate(Load load) {
  StressRaiser raiser;
  raiser.load = load;
  raiser.source = "Kirsch, Z. VDI 42 (1898) 797";
  raiser.limits = "plate wide and long against the hole, stress even through it; elastic";
  switch (load) {
    case Load::tension:
      raiser.of = "wide plate, tension";
      raiser.factor = 3.0;
      break;
    case Load::biaxial:
      raiser.of = "wide plate, equal tension both ways";
      raiser.factor = 2.0;
      break;
    case Load::shear:
      raiser.of = "wide plate, pure shear";
      raiser.factor = 4.0;
      break;
    case Load::bending:
    case Load::torsion:
      raiser.of = "wide plate";
      raiser.why_none = "no published value for this load";
      break;
  }
  return raiser;
}

double KirschAcross(double r_over_a) {
  const double s = 1.0 / (r_over_a * r_over_a);
  return 0.5 * (2.0 + s + 3.0 * s * s);
}

StressRaiser StripInTension(double ratio, StripSource source) {
  StressRaiser raiser;
  raiser.of = "strip with a hole in its middle, tension";
  raiser.load = Load::tension;
  raiser.nominal = NominalStress::net;
  raiser.source = StripName(source);
  raiser.limits =
      "strip with free edges, hole in its middle, hole/width to 0.5; net nominal stress; elastic";
  if (ratio > 0.0 && ratio <= kMostStrip) {
    raiser.factor = StripFactor(ratio, source);
  } else {
    raiser.why_none = fmt::format("no published value: hole/width {:.2f}, range above 0 to {:.1f}",
                                  ratio, kMostStrip);
  }
  return raiser;
}

StressRaiser TubeWithHole(Load load, double bore_ratio, double hole_ratio, bool both_walls) {
  StressRaiser raiser;
  raiser.load = load;
  raiser.source = kPeterson;
  raiser.limits = TubeLimits(both_walls);
  raiser.case_as_drilled = both_walls;
  raiser.why_none = TubeRangeFault(bore_ratio, hole_ratio);
  double factor = 0.0;
  switch (load) {
    case Load::tension:
      raiser.of = "tube with a transverse hole, tension";
      factor = TubeTension(bore_ratio, hole_ratio);
      break;
    case Load::bending:
      raiser.of = "tube with a transverse hole, bending";
      factor = TubeBending(bore_ratio, hole_ratio);
      break;
    case Load::torsion:
      raiser.of = "tube with a transverse hole, torsion";
      raiser.limits += "; greatest stress over nominal shear stress";
      factor = TubeTorsion(bore_ratio, hole_ratio);
      break;
    case Load::biaxial:
    case Load::shear:
      raiser.of = "tube with a transverse hole";
      raiser.why_none = "no published value for this load";
      break;
  }
  if (raiser.why_none.empty()) raiser.factor = factor;
  return raiser;
}

StressRaiser TubeWithHoleRoark(double bore_ratio, double hole_ratio, bool both_walls) {
  StressRaiser raiser = TubeWithHole(Load::torsion, bore_ratio, hole_ratio, both_walls);
  raiser.source = kRoark;
  if (raiser.factor) raiser.factor = TubeTorsionRoark(bore_ratio, hole_ratio);
  return raiser;
}

RaiserCase RaiserCaseOf(const Part& part, const SkinPlace& place, double diameter) {
  const Skin& skin = *part.skin;
  RaiserCase hole;
  hole.hole = diameter;
  if (skin.round()) {
    hole.tube = 2.0 * skin.RadiusAt(place.u);
    hole.wall = part.wall;
    return hole;
  }
  const int piece = skin.PieceOf(place.v);
  if (skin.KindOf(piece) != PieceKind::flat) return hole;
  hole.flat = skin.OutlineLength(place.u, piece + 1.0) - skin.OutlineLength(place.u, piece);
  hole.off_middle = std::abs(skin.Wrapped(place.v) - piece - 0.5) * hole.flat;
  return hole;
}

std::vector<StressRaiser> StressRaisersOf(const RaiserCase& hole) {
  std::vector<StressRaiser> raisers;
  if (hole.tube > 0.0) {
    const double q = (hole.tube - 2.0 * hole.wall) / hole.tube;
    const double x = hole.hole / hole.tube;
    for (const Load load : {Load::tension, Load::bending, Load::torsion}) {
      raisers.push_back(TubeWithHole(load, q, x, hole.both_walls));
    }
    raisers.push_back(TubeWithHoleRoark(q, x, hole.both_walls));
  } else if (hole.flat > 0.0) {
    AddPlate(raisers, hole);
  }
  return raisers;
}

}  // namespace holeward
