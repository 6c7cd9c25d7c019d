#include "geometry/mounted_body.h"

#include <algorithm>
#include <cmath>

namespace holeward {
namespace {

constexpr double kSame = 1e-9;

bool SamePatch(const BezierPatch& a, const BezierPatch& b) {
  return std::abs(a.grown - b.grown) <= kSame &&
         std::equal(a.poles.begin(), a.poles.end(), b.poles.begin(), b.poles.end(),
                    [](const auto& p, const auto& q) { return (p - q).norm() <= kSame; });
}

bool SameMount(const MountBody& a, const MountBody& b) {
  const auto& p = a.body->patches;
  const auto& q = b.body->patches;
  return a.fitting == b.fitting && std::equal(p.begin(), p.end(), q.begin(), q.end(), SamePatch);
}

const std::vector<MountBody>& MountsOf(const NamedSolid* solid) {
  static const std::vector<MountBody> kNone;
  return solid != nullptr && solid->mounted() ? solid->mounted()->mounts : kNone;
}

}  // namespace

const FittingBody* BodyOfFitting(const NamedSolid* solid, const std::string& fitting) {
  for (const MountBody& mount : MountsOf(solid)) {
    if (mount.fitting == fitting) return mount.body.get();
  }
  return nullptr;
}

bool SameMounts(const NamedSolid* a, const NamedSolid* b) {
  const auto& p = MountsOf(a);
  const auto& q = MountsOf(b);
  return std::equal(p.begin(), p.end(), q.begin(), q.end(), SameMount);
}

}  // namespace holeward
