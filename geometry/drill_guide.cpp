#include "geometry/drill_guide.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>

#include <fmt/format.h>

#include "geometry/solid_mesh.h"
#include "geometry/solid_prism.h"

namespace holeward {
namespace {

static_assert(kGuideWall - kGuideEngraved > kGuideThinnest && kGuideSaddle > kGuideThinnest &&
              kGuideLip > kGuideThinnest);

constexpr int kSamples = 9;          // places across the block at which the skin's height is taken
constexpr double kSide = 0.05;       // the block's foot must stand this deep in the saddle, mm
constexpr double kLetterSink = 0.5;  // a letter's body begins this far outside the block, mm
// A place this near the offset of the saddle's underside is one of it, mm: above what any fit may
// be off, below the saddle's thickness.
constexpr double kUnderside = 1.0;

/// The axes of a guide: z away from the part.
struct GuideFrame {
  Vec3 origin, x, y, z;
  explicit GuideFrame(const GuideSpec& spec) : origin(spec.entry), z(-spec.direction) {
    x = (spec.along - spec.along.dot(z) * z).normalized();
    y = z.cross(x);
  }
  [[nodiscard]] Vec3 At(double a, double b, double c) const {
    return origin + a * x + b * y + c * z;
  }
};

/// Height of the skin over the entry at a place beside the axis; nothing: it is not met.
std::optional<double> HeightAt(const Skin& skin, const GuideFrame& frame, SkinPlace place, double a,
                               double b) {
  for (int step = 0; step < 30; ++step) {
    const SkinPoint s = skin.At(place);
    const Vec3 off = s.position - frame.origin;
    const Vec2 miss(off.dot(frame.x) - a, off.dot(frame.y) - b);
    if (miss.norm() < 1e-9) return off.dot(frame.z);
    Eigen::Matrix2d move;
    move << s.du.dot(frame.x), s.dv.dot(frame.x), s.du.dot(frame.y), s.dv.dot(frame.y);
    if (std::abs(move.determinant()) < 1e-6) return std::nullopt;
    const Vec2 back = move.inverse() * miss;
    place.u -= back.x();
    place.v -= std::clamp(back.y(), -0.5, 0.5);
  }
  return std::nullopt;
}

struct Heights {
  double least = std::numeric_limits<double>::infinity();
  double greatest = -std::numeric_limits<double>::infinity();
};

Result<Heights> HeightsUnder(const Skin& skin, const GuideFrame& frame, const GuideSpec& spec) {
  const double half = 0.5 * BlockSide(spec.bush);
  Heights heights;
  for (int i = 0; i < kSamples * kSamples; ++i) {
    const double a = half * (2.0 * (i / kSamples) / (kSamples - 1) - 1.0);
    const double b = half * (2.0 * (i % kSamples) / (kSamples - 1) - 1.0);
    const auto height = HeightAt(skin, frame, spec.at, a, b);
    if (!height) {
      return Fail(ErrorKind::job,
                  fmt::format("{}: the skin turns away under the block, which is {:g} mm square; a "
                              "thinner bush makes it smaller",
                              spec.what, 2.0 * half));
    }
    heights.least = std::min(heights.least, *height);
    heights.greatest = std::max(heights.greatest, *height);
  }
  return heights;
}

Result<NamedSolid> PadOver(const Skin& skin, const std::string& name, const SkinRectangle& r,
                           double sink, double height) {
  return NamedSolid::Pad(skin, {name, r.u_from, r.u_to, r.v_from, r.v_to, sink, height});
}

Result<NamedSolid> BlockOf(const GuideFrame& frame, const GuideSpec& spec, double foot) {
  const double half = 0.5 * BlockSide(spec.bush);
  return PrismOf("block",
                 {{frame.At(-half, -half, foot), frame.At(half, -half, foot),
                   frame.At(half, half, foot), frame.At(-half, half, foot)}},
                 (spec.height - foot) * frame.z);
}

/// The letters' bodies on the two sides of the block that lie across the part.
Result<std::vector<NamedSolid>> LettersOf(const GuideFrame& frame, const GuideSpec& spec,
                                          double middle) {
  std::vector<NamedSolid> letters;
  const double half = 0.5 * BlockSide(spec.bush);
  for (const double side : {-1.0, 1.0}) {
    // Seen from outside, to the right: -x of the frame on the +y side.
    const double right = (spec.mirrored ? -1.0 : 1.0) * -side;
    for (const auto& glyph : spec.letters) {
      std::vector<std::vector<Vec3>> loops;
      for (const auto& loop : glyph) {
        std::vector<Vec3> places;
        for (const Vec2& p : loop) {
          places.push_back(frame.At(right * p.x(), side * (half + kLetterSink), middle + p.y()));
        }
        loops.push_back(std::move(places));
      }
      auto letter = PrismOf("letter", loops, -side * (kLetterSink + kGuideEngraved) * frame.y,
                            FaceRole::hole);
      if (!letter) return tl::unexpected<Error>(letter.error());
      letters.push_back(std::move(*letter));
    }
  }
  return letters;
}

/// The bore and what of the block would stand in the gap, to be cut off.
Result<std::vector<NamedSolid>> CutsOf(const Skin& skin, const GuideFrame& frame,
                                       const GuideSpec& spec, const Heights& heights, double foot) {
  std::vector<NamedSolid> cuts;
  const double under = heights.least - kGuideSaddle - 10.0;
  auto bore =
      NamedSolid::Cylinder("bush bore", frame.At(0, 0, under), frame.At(0, 0, spec.height + 1.0),
                           0.5 * spec.bush, FaceRole::hole);
  if (!bore) return tl::unexpected<Error>(bore.error());
  cuts.push_back(std::move(*bore));
  if (foot > heights.greatest + spec.gap) return cuts;
  auto below = PadOver(skin, "underside", spec.saddle, heights.greatest - foot + 1.0, spec.gap);
  if (!below) return tl::unexpected<Error>(below.error());
  cuts.push_back(std::move(*below));
  return cuts;
}

}  // namespace

double BlockSide(double bush) { return bush + 2.0 * kGuideWall; }

Result<NamedSolid> BuildGuide(const Skin& skin, const GuideSpec& spec) {
  const GuideFrame frame(spec);
  const auto heights = HeightsUnder(skin, frame, spec);
  if (!heights) return tl::unexpected<Error>(heights.error());
  // The foot stands in the saddle where the skin is lowest, half way up.
  const double foot = heights->least + spec.gap + 0.5 * kGuideSaddle;
  const double shoulder = heights->greatest + spec.gap + kGuideSaddle;
  if (spec.height < shoulder + kSide + 2.0) {
    return Fail(ErrorKind::job,
                fmt::format("{}: its top stands {:.1f} mm over the skin, its saddle reaches to "
                            "{:.1f} mm: there is no room for a block; let the drill show more from "
                            "the chuck",
                            spec.what, spec.height, shoulder));
  }
  std::vector<NamedSolid> bodies;
  for (const GuideLip& lip : spec.lips) {
    auto body = PadOver(skin, "lip", lip.rectangle, lip.sink, spec.gap + kGuideSaddle);
    if (!body) return body;
    bodies.push_back(std::move(*body));
  }
  auto block = BlockOf(frame, spec, foot);
  if (!block) return block;
  bodies.push_back(std::move(*block));
  auto guide = PadOver(skin, "saddle", spec.saddle, -spec.gap, spec.gap + kGuideSaddle);
  if (guide) guide = guide->Fused(bodies);
  if (!guide) return guide;
  auto cuts = CutsOf(skin, frame, spec, *heights, foot);
  if (!cuts) return tl::unexpected<Error>(cuts.error());
  auto letters = LettersOf(frame, spec, 0.5 * (shoulder + spec.height));
  if (!letters) return tl::unexpected<Error>(letters.error());
  cuts->insert(cuts->end(), letters->begin(), letters->end());
  return guide->Cut(*cuts);
}

Result<GuideFit> FitOf(const NamedSolid& guide, const Skin& skin, const GuideSpec& spec) {
  const auto mesh = MeshOf(guide);
  if (!mesh) return tl::unexpected<Error>(mesh.error());
  GuideFit fit{std::numeric_limits<double>::infinity(), 0.0,
               std::numeric_limits<double>::infinity()};
  for (const FaceMesh& face : mesh->faces) {
    const bool saddle = face.name.rfind("saddle", 0) == 0;
    for (const Vec3& place : face.places) {
      const auto hit = skin.Project(place, spec.at);
      const auto near = hit ? hit : skin.Project(place);
      if (!near || near->place.u <= 1e-6 || near->place.u >= skin.u_end() - 1e-6) continue;
      const double inside =
          (place - near->position).dot(skin.At(near->place).normal) < 0.0 ? -1.0 : 1.0;
      const double distance = inside * near->distance;
      fit.skin_least = std::min(fit.skin_least, distance);
      if (!saddle || std::abs(distance - spec.gap) > kUnderside) continue;
      fit.gap_least = std::min(fit.gap_least, distance);
      fit.gap_greatest = std::max(fit.gap_greatest, distance);
    }
  }
  if (!std::isfinite(fit.gap_least)) {
    return Fail(ErrorKind::computed, spec.what + ": its saddle is nowhere near the skin");
  }
  return fit;
}

}  // namespace holeward
