// Places to measure from, found in a solid: its flat faces, straight edges and round faces as
// sections, lines and places of a part's skin. The solid need not be the part's own: a mount shows
// where it stands as well. The names of what is found are left empty.
#pragma once

#include <TopoDS_Shape.hxx>

#include "geometry/named_place.h"
#include "geometry/result.h"
#include "geometry/skin.h"

namespace holeward {

/// What a solid has at a place is looked for within this, mm: the step of a rule.
inline constexpr double kFoundWithin = 0.5;
/// What is found departs from the section, line or place it stands for by no more, mm.
inline constexpr double kDatumOff = 0.1;

/// The place of the skin nearest to `at`. Errors (job): `at` is more than 0.5 mm from the skin.
[[nodiscard]] Result<NamedPlace> PlaceDatum(const Skin& skin, const Vec3& at);

/// The section in the plane of the flat face that passes `at`. Errors (job): no flat face there, or
/// several; its plane is not square to the centre line within 0.1 mm all round the section, or
/// meets it beyond the ends; (computed) the kernel failed.
[[nodiscard]] Result<NamedPlace> PlaneDatum(const TopoDS_Shape& solid, const Skin& skin,
                                            const Vec3& at);

/// The section or the line along the part that the edge passing `at` lies on. Errors (job): no edge
/// there, or several; it leaves the skin, or runs neither round nor along it, by more than 0.1 mm;
/// (computed) the kernel failed.
[[nodiscard]] Result<NamedPlace> EdgeDatum(const TopoDS_Shape& solid, const Skin& skin,
                                           const Vec3& at);

/// Where the axis that passes `at`, of the solid's cylinders, goes through the skin if it does so
/// once within them (a hole, a stud); else the section it lies in (an eye, a cross tube). Errors
/// (job): no axis there, or several; it runs along the part, slantwise to it or beyond its ends;
/// (computed) the kernel failed.
[[nodiscard]] Result<NamedPlace> AxisDatum(const TopoDS_Shape& solid, const Skin& skin,
                                           const Vec3& at);

}  // namespace holeward
