// Time to build a part's solid and its patches: decides whether every command can afford them.
#include <benchmark/benchmark.h>
#include <fmt/format.h>

#include "geometry/solid.h"

namespace holeward {
namespace {

Skin ArmSkin() {
  SkinLaw law;
  law.centres = {
      {-120, 240, 310}, {-112, 300, 306}, {-110, 360, 300}, {-112, 440, 295}, {-120, 520, 282}};
  const double sizes[5][2] = {{58, 46}, {60, 50}, {62, 52}, {55, 48}, {50, 44}};
  for (const auto& size : sizes) {
    const double w = 0.5 * size[0];
    const double h = 0.5 * size[1];
    law.vertices.push_back({{w, -h}, {w, h}, {-w, h}, {-w, -h}});
    law.corner_radii.push_back(std::vector<double>(4, 9.0));
  }
  return *Skin::Make(law);
}

Skin TubeSkin() {
  SkinLaw law;
  law.round = true;
  law.girth_origin_v = 0.0;
  law.centres = {{-20, -420, 330}, {-20, 420, 330}};
  law.radii = {38, 38};
  return *Skin::Make(law);
}

HollowSpec SpecFor(const Skin& skin) {
  HollowSpec spec;
  spec.what = "part";
  spec.wall = 2.6;
  spec.closed = {false, true};
  for (int i = 0; i < skin.piece_count(); ++i)
    spec.piece_names.push_back(fmt::format("piece {}", i));
  spec.end_names = {"inner end", "outer end"};
  return spec;
}

void BuildArmOfFiveSections(benchmark::State& state) {
  const Skin skin = ArmSkin();
  const HollowSpec spec = SpecFor(skin);
  for (auto _ : state) benchmark::DoNotOptimize(NamedSolid::BuildHollow(skin, spec));
}
BENCHMARK(BuildArmOfFiveSections)->Unit(benchmark::kMillisecond);

void BuildStraightTube(benchmark::State& state) {
  const Skin skin = TubeSkin();
  const HollowSpec spec = SpecFor(skin);
  for (auto _ : state) benchmark::DoNotOptimize(NamedSolid::BuildHollow(skin, spec));
}
BENCHMARK(BuildStraightTube)->Unit(benchmark::kMillisecond);

void PatchesOfArm(benchmark::State& state) {
  const Skin skin = ArmSkin();
  const auto solid = NamedSolid::BuildHollow(skin, SpecFor(skin));
  for (auto _ : state) benchmark::DoNotOptimize(solid->Patches());
}
BENCHMARK(PatchesOfArm)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace holeward
