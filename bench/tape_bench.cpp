// The tape on a cranked, tapering box arm, cold and warm, beside exact polyhedral paths of CGAL on
// meshes of the same skin. Decides how many tape readings placement may take per point.
//
// The error counters are the worst difference from the tape's own answer: what the mesh is off
// (CGAL), or the difference between the two directions of one path (ours).
#include <algorithm>
#include <cmath>
#include <random>

#include <benchmark/benchmark.h>

#include "geometry/tape.h"
#include "tests/geometry/cranked_arm.h"
#include "tests/geometry/tape_mesh_oracle.h"

namespace holeward {
namespace {

struct Pairs {
  std::vector<SkinPlace> from, to;
};

/// Pairs as in a job: up to 120 mm along and one and a half faces apart.
Pairs SomePairs() {
  std::mt19937 random(3);
  std::uniform_real_distribution<double> u(20, 280), v(0, 8), du(-120, 120), dv(-3, 3);
  Pairs pairs;
  while (pairs.from.size() < 64) {
    const SkinPlace a{u(random), v(random)};
    const SkinPlace b{a.u + du(random), a.v + dv(random)};
    if (b.u < 5 || b.u > 300 || b.v < 0 || b.v > 8) continue;
    pairs.from.push_back(a);
    pairs.to.push_back(b);
  }
  return pairs;
}

TapeSolver Solver() { return TapeSolver(std::make_shared<SkinSurface>(test::CrankedArm())); }

void SurfaceEvaluation(benchmark::State& state) {
  const SkinSurface surface(test::CrankedArm());
  double v = 0.0;
  for (auto _ : state) {
    v = v > 0.9 ? 0.1 : v + 0.01;
    benchmark::DoNotOptimize(surface.JetAt(120, 1.0 + v, 0, 1));
  }
}
BENCHMARK(SurfaceEvaluation);

void SolverOnce(benchmark::State& state) {
  const auto surface = std::make_shared<SkinSurface>(test::CrankedArm());
  for (auto _ : state) benchmark::DoNotOptimize(TapeSolver(surface));
}
BENCHMARK(SolverOnce)->Unit(benchmark::kMicrosecond);

void PointToPointCold(benchmark::State& state) {
  const TapeSolver tape = Solver();
  const Pairs pairs = SomePairs();
  std::size_t i = 0;
  for (auto _ : state) {
    benchmark::DoNotOptimize(tape.Path(pairs.from[i], pairs.to[i]));
    i = (i + 1) % pairs.from.size();
  }
  double worst = 0.0;
  double proven = 0.0;
  for (std::size_t k = 0; k < pairs.from.size(); ++k) {
    const auto there = tape.Path(pairs.from[k], pairs.to[k]);
    const auto back = tape.Path(pairs.to[k], pairs.from[k]);
    if (there && back) worst = std::max(worst, std::abs(there->length - back->length));
    proven += there && there->proven_shortest;
  }
  state.counters["error_mm"] = worst;
  state.counters["proven"] = proven / static_cast<double>(pairs.from.size());
}
BENCHMARK(PointToPointCold)->Unit(benchmark::kMicrosecond);

void PointToPointWarm(benchmark::State& state) {
  const TapeSolver tape = Solver();
  const Pairs pairs = SomePairs();
  const double move = 1e-3 * static_cast<double>(state.range(0));
  std::vector<TapePath> seeds;
  for (std::size_t k = 0; k < pairs.from.size(); ++k) {
    seeds.push_back(*tape.Path(pairs.from[k], pairs.to[k]));
  }
  std::size_t i = 0;
  for (auto _ : state) {
    const SkinPlace moved{pairs.to[i].u + move, pairs.to[i].v - move / 30};
    benchmark::DoNotOptimize(tape.Path(pairs.from[i], moved, &seeds[i]));
    i = (i + 1) % pairs.from.size();
  }
}
BENCHMARK(PointToPointWarm)->Arg(10)->Arg(1000)->Unit(benchmark::kMicrosecond);

void SectionCold(benchmark::State& state) {
  const TapeSolver tape = Solver();
  const Pairs pairs = SomePairs();
  std::size_t i = 0;
  for (auto _ : state) {
    benchmark::DoNotOptimize(tape.FromSection(0.0, pairs.to[i]));
    i = (i + 1) % pairs.from.size();
  }
}
BENCHMARK(SectionCold)->Unit(benchmark::kMicrosecond);

void LineCold(benchmark::State& state) {
  const TapeSolver tape = Solver();
  const Pairs pairs = SomePairs();
  std::size_t i = 0;
  for (auto _ : state) {
    benchmark::DoNotOptimize(tape.FromLine(TapeLine::Constant(0.5), pairs.to[i]));
    i = (i + 1) % pairs.from.size();
  }
}
BENCHMARK(LineCold)->Unit(benchmark::kMicrosecond);

/// CGAL: one source, all its distances at hand, one target asked.
void MeshPointToPoint(benchmark::State& state) {
  const auto skin = test::CrankedArm();
  const TapeSolver tape = Solver();
  const int rows = static_cast<int>(state.range(0));
  testing::MeshOracle mesh(*skin, rows, rows / 10, rows / 5);
  double worst = 0.0;
  int source = 0;
  for (auto _ : state) {
    source = (source + 7) % mesh.round();
    const int i0 = rows / 4, i1 = rows / 2, k1 = (source + mesh.round() / 4) % mesh.round();
    mesh.From(i0, source);
    const double length = mesh.To(i1, k1);
    state.PauseTiming();
    const auto ours = tape.Path(mesh.PlaceOf(i0, source), mesh.PlaceOf(i1, k1));
    if (ours) worst = std::max(worst, std::abs(ours->length - length));
    state.ResumeTiming();
  }
  state.counters["error_mm"] = worst;
  state.counters["triangles"] = static_cast<double>(mesh.triangles());
}
BENCHMARK(MeshPointToPoint)->Arg(40)->Arg(120)->Unit(benchmark::kMicrosecond)->Iterations(3);

}  // namespace
}  // namespace holeward
