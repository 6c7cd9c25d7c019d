// Decides whether our own flattening is good enough in time and stretch, or a library's should be
// used: ours against CGAL's LSCM and ARAP on the same patch, 20,000 triangles, in one run. Worst
// and rms stretch are measured on the same triangles for all three. CGAL is a peer to measure
// against; it is not linked into the program.
#include <algorithm>
#include <array>
#include <cmath>
#include <memory>
#include <utility>
#include <vector>

#include <CGAL/Polygon_mesh_processing/measure.h>
#include <CGAL/Simple_cartesian.h>
#include <CGAL/Surface_mesh.h>
#include <CGAL/Surface_mesh_parameterization/ARAP_parameterizer_3.h>
#include <CGAL/Surface_mesh_parameterization/LSCM_parameterizer_3.h>
#include <CGAL/Surface_mesh_parameterization/parameterize.h>
#include <benchmark/benchmark.h>

#include "geometry/develop_skin.h"

namespace holeward {
namespace {

namespace smp = CGAL::Surface_mesh_parameterization;
using Kernel = CGAL::Simple_cartesian<double>;
using Mesh = CGAL::Surface_mesh<Kernel::Point_3>;

constexpr int kGrid = 100;  // 100 x 100 quads: 20,000 triangles

enum Shape { kCylinder, kSphereCap, kArmFace, kTaperedBox };

std::shared_ptr<const Skin> BoxSkin(bool bent) {
  SkinLaw law;
  law.centres = bent ? std::vector<Vec3>{{-110, 250, 320}, {-96, 350, 306}, {-118, 540, 281}}
                     : std::vector<Vec3>{{0, 0, 0}, {0, 300, 0}};
  for (std::size_t k = 0; k < law.centres.size(); ++k) {
    const double a = 30.0 - 3.0 * static_cast<double>(k), b = 25.0 - 2.0 * static_cast<double>(k);
    law.vertices.push_back({{a, -b}, {a, b}, {-a, b}, {-a, -b}});
    law.corner_radii.push_back(std::vector<double>(4, 9.0 - static_cast<double>(k)));
  }
  return std::make_shared<const Skin>(*Skin::Make(law));
}

PatchSurface Cap(int cells) {
  PatchSurface patch;
  auto at = [](double x, double y) -> Vec3 {
    const double a = 40.0 * x * std::sqrt(1.0 - 0.5 * y * y);
    const double b = 40.0 * y * std::sqrt(1.0 - 0.5 * x * x);
    const double r = std::hypot(a, b), scale = r > 1e-12 ? 150.0 * std::sin(r / 150.0) / r : 1.0;
    return {scale * a, scale * b, 150.0 * std::cos(r / 150.0)};
  };
  patch.at = [at](double u, double v, int, int) {
    SkinPoint p;
    p.position = at(u, v);
    p.du = (at(u + 1e-5, v) - at(u - 1e-5, v)) / 2e-5;
    p.dv = (at(u, v + 1e-5) - at(u, v - 1e-5)) / 2e-5;
    p.normal = p.position.normalized();
    return p;
  };
  for (int k = 0; k <= cells; ++k) patch.u_breaks.push_back(-0.98 + 1.96 * k / cells);
  patch.v_breaks = patch.u_breaks;
  return patch;
}

PatchSurface PatchOf(Shape shape) {
  if (shape == kSphereCap) return Cap(4);
  if (shape == kCylinder) {
    SkinLaw law;
    law.centres = {{0, 0, 0}, {0, 100, 0}};
    law.round = true;
    law.radii = {30.15, 30.15};
    return SkinPatch(std::make_shared<const Skin>(*Skin::Make(law)), {0, 100, 0, 2}, {});
  }
  const auto skin = BoxSkin(shape == kArmFace);
  if (shape == kArmFace) return SkinPatch(skin, {0, skin->u_end(), 5.5, 7.5}, {});
  return SkinPatch(skin, {0, skin->u_end(), 0, 4}, {});
}

struct Sampled {
  std::vector<SkinPlace> places;
  std::vector<Vec3> points;
  std::vector<std::array<int, 3>> triangles;
};

Sampled Sample(const DevelopedPatch& patch) {
  Sampled out;
  for (int j = 0; j <= kGrid; ++j) {
    for (int i = 0; i <= kGrid; ++i) {
      const SkinPlace p{patch.u_from() + (patch.u_to() - patch.u_from()) * i / kGrid,
                        patch.v_from() + (patch.v_to() - patch.v_from()) * j / kGrid};
      out.places.push_back(p);
      out.points.push_back(patch.SurfaceAt(p.u, p.v).position);
      if (i == kGrid || j == kGrid) continue;
      const int k = j * (kGrid + 1) + i;
      out.triangles.push_back({k, k + 1, k + kGrid + 2});
      out.triangles.push_back({k, k + kGrid + 2, k + kGrid + 1});
    }
  }
  return out;
}

struct Worst {
  double max = 0.0, rms = 0.0;
};

// Singular values of the flat map on each triangle; `scaled`: to the area of the surface first.
Worst StretchOf(const Sampled& mesh, std::vector<Vec2> flat, bool scaled) {
  double area = 0.0, flat_area = 0.0;
  auto flat_of = [&](const std::array<int, 3>& t) {
    const Vec2 a = flat[t[1]] - flat[t[0]], b = flat[t[2]] - flat[t[0]];
    return a.x() * b.y() - a.y() * b.x();
  };
  for (const auto& t : mesh.triangles) {
    area +=
        (mesh.points[t[1]] - mesh.points[t[0]]).cross(mesh.points[t[2]] - mesh.points[t[0]]).norm();
    flat_area += std::abs(flat_of(t));
  }
  const double scale = scaled ? std::sqrt(area / flat_area) : 1.0;
  for (Vec2& p : flat) p *= scale;
  Worst out;
  for (const auto& t : mesh.triangles) {
    const Vec3 a = mesh.points[t[1]] - mesh.points[t[0]], b = mesh.points[t[2]] - mesh.points[t[0]];
    const Vec3 e1 = a.normalized(), e2 = a.cross(b).normalized().cross(e1);
    Eigen::Matrix2d from, to;
    from << a.dot(e1), b.dot(e1), 0.0, b.dot(e2);
    to.col(0) = flat[t[1]] - flat[t[0]];
    to.col(1) = flat[t[2]] - flat[t[0]];
    const Eigen::Matrix2d f = to * from.inverse();
    const double conformal = 0.5 * std::hypot(f(0, 0) + f(1, 1), f(1, 0) - f(0, 1));
    const double anti = 0.5 * std::hypot(f(0, 0) - f(1, 1), f(1, 0) + f(0, 1));
    const double low = std::abs(conformal - anti) - 1.0, high = conformal + anti - 1.0;
    out.max = std::max({out.max, std::abs(low), std::abs(high)});
    out.rms += 0.5 * (low * low + high * high) * a.cross(b).norm() / area;
  }
  out.rms = std::sqrt(out.rms);
  return out;
}

void Report(benchmark::State& state, const Worst& w) {
  state.counters["max_ppm"] = 1e6 * w.max;
  state.counters["rms_ppm"] = 1e6 * w.rms;
}

DevelopedPatch Ours(Shape shape, int minimax) {
  // A cap is smooth: one cell of a higher order holds it.
  if (shape == kSphereCap && minimax > 0) return DevelopedPatch::Unroll(Cap(1), 8).Relaxed(minimax);
  DevelopedPatch exact = DevelopedPatch::Unroll(PatchOf(shape), 8);
  if (exact.Measured().max < 1e-8) return exact;
  return DevelopedPatch::Unroll(PatchOf(shape), 6).Relaxed(minimax);
}

void BM_Ours(benchmark::State& state, Shape shape, int minimax) {
  for (auto _ : state) benchmark::DoNotOptimize(Ours(shape, minimax));
  const DevelopedPatch patch = Ours(shape, minimax);
  const Sampled mesh = Sample(patch);
  std::vector<Vec2> flat;
  for (const SkinPlace& p : mesh.places) flat.push_back(patch.At(p).at);
  Report(state, StretchOf(mesh, flat, false));
  state.counters["cells"] = patch.cell_count();
}

template <class Parameterizer>
void Peer(benchmark::State& state, Shape shape, bool scaled) {
  const Sampled sampled = Sample(DevelopedPatch::Unroll(PatchOf(shape), 6));
  Mesh mesh;
  for (const Vec3& p : sampled.points) mesh.add_vertex({p.x(), p.y(), p.z()});
  for (const auto& t : sampled.triangles) {
    mesh.add_face(Mesh::Vertex_index(t[0]), Mesh::Vertex_index(t[1]), Mesh::Vertex_index(t[2]));
  }
  auto uv = mesh.add_property_map<Mesh::Vertex_index, Kernel::Point_2>("v:flat").first;
  const auto border = CGAL::Polygon_mesh_processing::longest_border(mesh).first;
  for (auto _ : state) {
    if (smp::parameterize(mesh, Parameterizer(), border, uv) != smp::OK) {
      state.SkipWithError("not parameterized");
    }
  }
  std::vector<Vec2> flat;
  for (const Mesh::Vertex_index v : mesh.vertices()) flat.emplace_back(uv[v].x(), uv[v].y());
  Report(state, StretchOf(sampled, flat, scaled));
}

using Lscm = smp::LSCM_parameterizer_3<Mesh>;
using Arap = smp::ARAP_parameterizer_3<Mesh>;

// Conformal maps have no scale of their own.
void BM_Lscm(benchmark::State& state, Shape shape) { Peer<Lscm>(state, shape, true); }
void BM_Arap(benchmark::State& state, Shape shape) { Peer<Arap>(state, shape, false); }

BENCHMARK_CAPTURE(BM_Ours, cylinder, kCylinder, 0)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(BM_Lscm, cylinder, kCylinder)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(BM_Arap, cylinder, kCylinder)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(BM_Ours, tapered_box, kTaperedBox, 0)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(BM_Lscm, tapered_box, kTaperedBox)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(BM_Arap, tapered_box, kTaperedBox)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(BM_Ours, cap, kSphereCap, 0)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(BM_Ours, cap_minimax, kSphereCap, 10)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(BM_Lscm, cap, kSphereCap)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(BM_Arap, cap, kSphereCap)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(BM_Ours, arm_face, kArmFace, 0)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(BM_Lscm, arm_face, kArmFace)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(BM_Arap, arm_face, kArmFace)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace holeward
