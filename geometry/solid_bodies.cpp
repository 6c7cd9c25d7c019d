// Bodies that are fixed to a part: cylinders and raised pads.
#include <algorithm>
#include <array>
#include <cmath>

#include <BRepAdaptor_Surface.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepPrimAPI_MakeCylinder.hxx>
#include <Geom_BezierSurface.hxx>
#include <TColgp_Array2OfPnt.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <fmt/format.h>
#include <gp_Ax2.hxx>

#include "geometry/solid_kernel.h"

namespace holeward {
namespace {

// Longest cell of a pad along the part, mm, and the most of a piece in one around: a cubic through
// four places of an eighth of a circle is off by less than 2e-4 of its radius.
constexpr double kCell = 15.0;
constexpr double kTurnShare = 0.5;
constexpr double kEdge = 1e-7;

using Grid = std::array<std::array<Vec3, 4>, 4>;

std::array<Vec3, 4> CubicPoles(const std::array<Vec3, 4>& q) {
  return {q[0], (-5.0 * q[0] + 18.0 * q[1] - 9.0 * q[2] + 2.0 * q[3]) / 6.0,
          (2.0 * q[0] - 9.0 * q[1] + 18.0 * q[2] - 5.0 * q[3]) / 6.0, q[3]};
}

// Poles of the bicubic through a grid of places at thirds.
Grid BicubicPoles(Grid grid) {
  for (auto& row : grid) row = CubicPoles(row);
  for (std::size_t j = 0; j < 4; ++j) {
    const auto column = CubicPoles({grid[0][j], grid[1][j], grid[2][j], grid[3][j]});
    for (std::size_t i = 0; i < 4; ++i) grid[i][j] = column[i];
  }
  return grid;
}

TopoDS_Face GridFace(const Grid& poles) {
  TColgp_Array2OfPnt p(1, 4, 1, 4);
  for (int i = 0; i < 4; ++i) {
    for (int j = 0; j < 4; ++j) {
      p.SetValue(i + 1, j + 1,
                 ToPnt(poles[static_cast<std::size_t>(i)][static_cast<std::size_t>(j)]));
    }
  }
  return BRepBuilderAPI_MakeFace(new Geom_BezierSurface(p), kEdge).Face();
}

// The side of a pad between an edge of its underside and the same edge of its top.
TopoDS_Face SideFace(const std::array<Vec3, 4>& low, const std::array<Vec3, 4>& high) {
  TColgp_Array2OfPnt p(1, 4, 1, 2);
  for (int i = 0; i < 4; ++i) {
    p.SetValue(i + 1, 1, ToPnt(low[static_cast<std::size_t>(i)]));
    p.SetValue(i + 1, 2, ToPnt(high[static_cast<std::size_t>(i)]));
  }
  return BRepBuilderAPI_MakeFace(new Geom_BezierSurface(p), kEdge).Face();
}

// Breaks around: at every piece, and evenly within curved ones.
std::vector<double> VBreaks(const Skin& skin, double from, double to) {
  std::vector<double> breaks{from};
  for (double k = std::floor(from); k < to; k += 1.0) {
    const double low = std::max(from, k);
    const double high = std::min(to, k + 1.0);
    if (high - low < 1e-9) continue;
    const bool flat = skin.KindOf(skin.PieceOf(k + 0.5)) == PieceKind::flat;
    const int n = flat ? 1 : static_cast<int>(std::ceil((high - low) / kTurnShare - 1e-9));
    for (int i = 1; i <= n; ++i) breaks.push_back(low + (high - low) * i / n);
  }
  return breaks;
}

std::vector<double> UBreaks(const Skin& skin, double from, double to) {
  std::vector<double> marks{from};
  for (int i = 1; i < skin.span_count(); ++i) {
    const double u = skin.span_start(i);
    if (u > from + 1e-6 && u < to - 1e-6) marks.push_back(u);
  }
  marks.push_back(to);
  std::vector<double> breaks{from};
  for (std::size_t i = 0; i + 1 < marks.size(); ++i) {
    const bool straight = skin.is_straight() && skin.is_prismatic();
    const double length = marks[i + 1] - marks[i];
    const int n = straight ? 1 : std::max(1, static_cast<int>(std::ceil(length / kCell)));
    for (int k = 1; k <= n; ++k) breaks.push_back(marks[i] + (marks[i + 1] - marks[i]) * k / n);
  }
  return breaks;
}

std::array<Vec3, 4> ColumnOf(const Grid& g, std::size_t j) {
  return {g[0][j], g[1][j], g[2][j], g[3][j]};
}

}  // namespace

Result<NamedSolid> NamedSolid::Cylinder(const std::string& name, const Vec3& from, const Vec3& to,
                                        double radius, FaceRole role) {
  return Guarded(name, "making a cylinder", [&]() -> Result<NamedSolid> {
    const Vec3 along = to - from;
    if (!(along.norm() > 1e-6) || !(radius > 1e-6)) {
      return Fail(ErrorKind::job, fmt::format("{}: a cylinder {:g} mm across and {:g} mm long has "
                                              "no body",
                                              name, 2.0 * radius, along.norm()));
    }
    const gp_Ax2 axes(ToPnt(from), gp_Dir(along.x(), along.y(), along.z()));
    const TopoDS_Shape shape = BRepPrimAPI_MakeCylinder(axes, radius, along.norm()).Shape();
    std::vector<RawFace> faces;
    int end = 0;
    for (TopExp_Explorer e(shape, TopAbs_FACE); e.More(); e.Next()) {
      const TopoDS_Face face = TopoDS::Face(e.Current());
      const bool plane = BRepAdaptor_Surface(face).GetType() == GeomAbs_Plane;
      faces.push_back({plane ? fmt::format("{} end {}", name, ++end) : name, role, face});
    }
    return SolidMaker::FromShape(name, shape, std::move(faces));
  });
}

Result<NamedSolid> NamedSolid::Pad(const Skin& skin, const PadSpec& spec) {
  return Guarded(spec.name, "raising its footprint", [&]() -> Result<NamedSolid> {
    const std::vector<double> us = UBreaks(skin, spec.u_from, spec.u_to);
    const std::vector<double> vs = VBreaks(skin, spec.v_from, spec.v_to);
    std::vector<RawFace> faces;
    auto add = [&](const TopoDS_Face& face) {
      faces.push_back({fmt::format("{} {}", spec.name, faces.size() + 1), FaceRole::fitting, face});
    };
    for (std::size_t i = 0; i + 1 < us.size(); ++i) {
      for (std::size_t j = 0; j + 1 < vs.size(); ++j) {
        const int piece = skin.PieceOf(0.5 * (vs[j] + vs[j + 1]));
        const int span = skin.SpanOf(0.5 * (us[i] + us[i + 1]));
        auto grid = [&](double off) {
          Grid g;
          for (std::size_t a = 0; a < 4; ++a) {
            for (std::size_t b = 0; b < 4; ++b) {
              const double u = us[i] + (us[i + 1] - us[i]) * static_cast<double>(a) / 3.0;
              const double v = vs[j] + (vs[j + 1] - vs[j]) * static_cast<double>(b) / 3.0;
              const SkinPoint p = skin.At(u, v, span, piece);
              g[a][b] = p.position + off * p.normal;
            }
          }
          return BicubicPoles(g);
        };
        const Grid low = grid(-spec.sink);
        const Grid high = grid(spec.height);
        add(GridFace(low));
        add(GridFace(high));
        if (i == 0) add(SideFace(low[0], high[0]));
        if (i + 2 == us.size()) add(SideFace(low[3], high[3]));
        if (j == 0) add(SideFace(ColumnOf(low, 0), ColumnOf(high, 0)));
        if (j + 2 == vs.size()) add(SideFace(ColumnOf(low, 3), ColumnOf(high, 3)));
      }
    }
    return SolidMaker::Sew(spec.name, faces);
  });
}

}  // namespace holeward
