#include "models/scene_likeness.h"

#include <algorithm>
#include <cmath>

#include "geometry/mounted_body.h"

namespace holeward {
namespace {

constexpr double kSame = 1e-9;

bool Same(double a, double b) { return std::abs(a - b) <= kSame; }
bool Same(const Vec3& a, const Vec3& b) { return (a - b).norm() <= kSame; }

bool Same(const std::vector<Vec3>& a, const std::vector<Vec3>& b) {
  const auto same = [](const Vec3& p, const Vec3& q) { return Same(p, q); };
  return std::equal(a.begin(), a.end(), b.begin(), b.end(), same) ||
         std::equal(a.begin(), a.end(), b.rbegin(), b.rend(), same);
}

bool Same(const InnerBody& a, const InnerBody& b) {
  return a.name == b.name && a.shape == b.shape && Same(a.radius, b.radius) &&
         Same(a.bore_radius, b.bore_radius) && Same(a.path_error, b.path_error) &&
         a.basis == b.basis && Same(a.path, b.path);
}

bool Same(const Neighbour& a, const Neighbour& b) {
  return a.name == b.name && Same(a.radius, b.radius) && a.basis == b.basis && Same(a.path, b.path);
}

bool Same(const Footprint& a, const Footprint& b) {
  return a.disc == b.disc && Same(a.radius, b.radius) && Same(a.u_from, b.u_from) &&
         Same(a.u_to, b.u_to) && Same(a.around, b.around);
}

bool Same(const Fitting& a, const Fitting& b) {
  return a.name == b.name && a.shape == b.shape && Same(a.centre.u, b.centre.u) &&
         Same(a.centre.v, b.centre.v) && Same(a.footprint, b.footprint) &&
         a.height.has_value() == b.height.has_value() &&
         Same(a.height.value_or(0.0), b.height.value_or(0.0)) &&
         Same(a.cylinder_from, b.cylinder_from) && Same(a.cylinder_to, b.cylinder_to) &&
         Same(a.diameter, b.diameter) && a.basis == b.basis &&
         a.spread.has_value() == b.spread.has_value() &&
         Same(a.spread.value_or(0.0), b.spread.value_or(0.0));
}

bool SameSkin(const Skin& a, const Skin& b) {
  if (a.piece_count() != b.piece_count() || a.span_count() != b.span_count()) return false;
  if (!Same(a.u_end(), b.u_end())) return false;
  // One law makes both; a few places a span and piece tell whether its sizes are the same.
  for (int span = 0; span < a.span_count(); ++span) {
    for (int piece = 0; piece < a.piece_count(); ++piece) {
      for (const double t : {0.0, 0.37, 0.81}) {
        const double from = a.span_start(span);
        const double u = from + t * (a.span_start(span + 1) - from);
        if (!Same(a.At(u, piece + t).position, b.At(u, piece + t).position)) return false;
      }
    }
  }
  return true;
}

bool Same(const Part& a, const Part& b);
bool Same(const NominalPlace& a, const NominalPlace& b);

template <class T>
bool SameAll(const std::vector<T>& a, const std::vector<T>& b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                    [](const T& x, const T& y) { return Same(x, y); });
}

bool Same(const Part& a, const Part& b) {
  return a.name == b.name && Same(a.wall, b.wall) && Same(a.wall_deviation, b.wall_deviation) &&
         a.end_closed == b.end_closed && a.basis == b.basis && a.wall_basis == b.wall_basis &&
         a.unproven == b.unproven && a.laps == b.laps && SameAll(a.fittings, b.fittings) &&
         SameAll(a.inner, b.inner) && SameMounts(a.solid.get(), b.solid.get()) &&
         SameSkin(*a.skin, *b.skin);
}

bool Same(const Zone& a, const Zone& b) {
  const ZoneMakeup& x = a.makeup;
  const ZoneMakeup& y = b.makeup;
  return a.bounded == b.bounded && Same(a.radius, b.radius) && Same(x.per_unit[0], y.per_unit[0]) &&
         Same(x.per_unit[1], y.per_unit[1]) && Same(x.readings_radius, y.readings_radius) &&
         Same(x.datum, y.datum) && Same(x.datum_gain[0], y.datum_gain[0]) &&
         Same(x.datum_gain[1], y.datum_gain[1]) && Same(x.punch, y.punch) && Same(x.sheet, y.sheet);
}

bool Same(const NominalPlace& a, const NominalPlace& b) {
  return Same(a.position, b.position) && Same(a.normal, b.normal) && Same(a.zone, b.zone);
}

}  // namespace

bool SameMetal(const Scene& a, const Scene& b) {
  return SameAll(a.parts, b.parts) && SameAll(a.neighbours, b.neighbours);
}

bool SamePlace(const PlacedPoint& a, const PlacedPoint& b) {
  return a.name == b.name && a.part == b.part && Same(a.position, b.position) &&
         Same(a.normal, b.normal) && Same(a.zone, b.zone) && SameAll(a.nominals, b.nominals);
}

bool SamePlaces(const std::vector<PlacedPoint>& a, const std::vector<PlacedPoint>& b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(), SamePlace);
}

}  // namespace holeward
