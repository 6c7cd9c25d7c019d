#include "models/part_solid.h"

#include <algorithm>

#include <fmt/format.h>

#include "geometry/mounted_body.h"

namespace holeward {

Result<NamedSolid> BuildPartSolid(const PartRow& row, const Skin& skin, const PartNames& names) {
  HollowSpec spec;
  spec.what = Described(row);
  spec.wall = row.wall;
  for (std::size_t end = 0; end < 2; ++end) spec.closed[end] = row.ends[end] == EndKind::closed;
  spec.piece_names = names.pieces;
  spec.end_names = {row.start, row.finish};
  spec.lip_names = names.lips;
  return NamedSolid::BuildHollow(skin, spec);
}

namespace {

Result<NamedSolid> BodyOf(const Part& part, const Fitting& fitting) {
  const Skin& skin = *part.skin;
  const double sink = 0.5 * part.wall;
  switch (fitting.shape) {
    case FittingShape::eye:
      return NamedSolid::Cylinder(fitting.name, fitting.cylinder_from, fitting.cylinder_to,
                                  0.5 * fitting.diameter);
    case FittingShape::stud: {
      const Vec3 normal = skin.At(fitting.centre).normal;
      return NamedSolid::Cylinder(fitting.name, fitting.cylinder_from - sink * normal,
                                  fitting.cylinder_to, 0.5 * fitting.diameter);
    }
    case FittingShape::block: {
      const double girth = skin.GirthOf(fitting.centre.u, fitting.centre.v);
      const double half = 0.5 * fitting.footprint.around;
      PadSpec pad{fitting.name, fitting.footprint.u_from,    fitting.footprint.u_to, 0.0, 0.0,
                  sink,         fitting.height.value_or(0.0)};
      pad.v_from = skin.VOfGirth(fitting.centre.u, girth - half);
      pad.v_to = skin.VOfGirth(fitting.centre.u, girth + half);
      if (pad.v_to < pad.v_from) pad.v_from -= skin.piece_count();
      return NamedSolid::Pad(skin, pad);
    }
    case FittingShape::hole: break;
  }
  // From a radius above the skin to as far below it, or through the wall at least.
  const SkinPoint p = skin.At(fitting.centre);
  const double reach = std::max(0.5 * fitting.diameter, 1.5 * part.wall);
  return NamedSolid::Cylinder(fitting.name, p.position + reach * p.normal,
                              p.position - reach * p.normal, 0.5 * fitting.diameter,
                              FaceRole::hole);
}

}  // namespace

Result<NamedSolid> WithFittings(const Part& part) {
  std::vector<NamedSolid> bodies;
  std::vector<NamedSolid> holes;
  for (const Fitting& fitting : part.fittings) {
    const bool sized = fitting.shape == FittingShape::eye || fitting.shape == FittingShape::hole ||
                       fitting.height.value_or(0.0) > 0.0;
    if (!sized || fitting.in_body) continue;
    auto body = BodyOf(part, fitting);
    if (!body) return body;
    (fitting.shape == FittingShape::hole ? holes : bodies).push_back(std::move(*body));
  }
  const auto joined =
      (part.solid->mounted() ? part.solid->mounted()->whole : *part.solid).Fused(bodies);
  return joined ? joined->Cut(holes) : joined;
}

}  // namespace holeward
