#include "geometry/loft_breaks.h"

#include <algorithm>

#include <BRepAdaptor_Surface.hxx>
#include <Geom_BSplineSurface.hxx>
#include <TColStd_Array1OfReal.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>

#include "geometry/solid_kernel.h"

namespace holeward {
namespace {

constexpr double kOneSection = 0.05;

}  // namespace

LoftBreaks::LoftBreaks(const TopoDS_Shape& solid) {
  for (TopExp_Explorer e(solid, TopAbs_FACE); e.More(); e.Next()) {
    const BRepAdaptor_Surface surface(TopoDS::Face(e.Current()));
    if (surface.GetType() != GeomAbs_BSplineSurface) continue;
    const Handle(Geom_BSplineSurface) spline = surface.BSpline();
    const std::array<double, 2> from{surface.FirstUParameter(), surface.FirstVParameter()};
    const std::array<double, 2> to{surface.LastUParameter(), surface.LastVParameter()};
    for (const int across : {0, 1}) {
      const int knots = across == 0 ? spline->NbUKnots() : spline->NbVKnots();
      const auto along = static_cast<std::size_t>(1 - across);
      for (int i = 1; i <= knots; ++i) {
        const double t = across == 0 ? spline->UKnot(i) : spline->VKnot(i);
        if (t <= from[static_cast<std::size_t>(across)] ||
            t >= to[static_cast<std::size_t>(across)])
          continue;
        std::array<Vec3, 3> line;
        for (std::size_t k = 0; k < 3; ++k) {
          const double s =
              from[along] + (to[along] - from[along]) * (0.1 + 0.4 * static_cast<double>(k));
          line[k] = ToVec3(across == 0 ? surface.Value(t, s) : surface.Value(s, t));
        }
        lines_.push_back(line);
      }
    }
  }
}

std::vector<double> LoftBreaks::Along(const std::function<double(const Vec3&)>& station) const {
  std::vector<double> breaks;
  for (const auto& line : lines_) {
    const double middle = station(line[1]);
    if (std::abs(station(line[0]) - middle) < kOneSection &&
        std::abs(station(line[2]) - middle) < kOneSection) {
      breaks.push_back(middle);
    }
  }
  return breaks;
}

}  // namespace holeward
