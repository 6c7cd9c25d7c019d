#include "models/hole_variant.h"

namespace holeward {

Job JudgedBy(const Job& job) {
  Job bare;
  bare.file = job.file;
  bare.described_side = job.described_side;
  bare.sides = job.sides;
  bare.posture = job.posture;
  bare.limits = job.limits;
  bare.marking = job.marking;
  bare.test = job.test;
  bare.drill = job.drill;
  return bare;
}

HoleCheck CheckVariant(const HoleVariant& variant, const Scene& scene, const Part& part,
                       const Surroundings& surroundings) {
  const HoleSite site{variant.job, scene, part, surroundings, variant.row, variant.placed, {}, {}};
  return CheckStage(MakeSite(site), site, variant.stage);
}

bool KeepsLimits(const HoleCheck& check, const Limits& limits) {
  if (!check.through || check.access < 0.0) return false;
  if (check.outcome == Outcome::nothing) return check.verdict == Verdict::clear;
  return check.outcome == Outcome::met && check.margin_worst &&
         *check.margin_worst >= limits.clearance;
}

void ShrinkZones(PlacedPoint& placed, const std::function<double&(ZoneMakeup&)>& part,
                 double left) {
  const auto shrink = [&](Zone& zone) {
    double& value = part(zone.makeup);
    zone.radius -= (1.0 - left) * value;
    if (zone.radius < 1e-9) zone.radius = 0.0;
    value *= left;
  };
  shrink(placed.zone);
  for (NominalPlace& nominal : placed.nominals) shrink(nominal.zone);
}

}  // namespace holeward
