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
constexpr double kAtEnd = 1e-6;      // nearer to an end than this along the part is past it, mm
constexpr double kFacing = -0.5;     // cosine to the skin's normal below which a triangle faces it

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

/// A place over the skin between the part's ends.
struct Over {
  double height = 0.0;  ///< mm; negative: inside the part
  Vec3 normal = Vec3::UnitZ();
};

std::optional<Over> OverSkin(const Skin& skin, const Vec3& place, const SkinPlace& guess) {
  const auto settled = skin.Project(place, guess);
  const auto near = settled ? settled : skin.Project(place);
  if (!near || near->place.u <= kAtEnd || near->place.u >= skin.u_end() - kAtEnd) {
    return std::nullopt;
  }
  const Vec3 normal = skin.At(near->place).normal;
  const bool inside = (place - near->position).dot(normal) < 0.0;
  return Over{inside ? -near->distance : near->distance, normal};
}

/// Which places of a face belong to triangles that face the skin: those of the saddle's underside
/// and of what was cut off the block's foot, and not of the sides between it and the top.
std::vector<bool> FacingSkin(const FaceMesh& face, const Skin& skin, const SkinPlace& guess) {
  std::vector<bool> facing(face.places.size(), false);
  if (face.name.rfind("saddle", 0) != 0 && face.name.rfind("underside", 0) != 0) return facing;
  for (const auto& triangle : face.triangles) {
    const auto corner = [&](std::size_t i) -> const Vec3& {
      return face.places[static_cast<std::size_t>(triangle[i])];
    };
    const Vec3 normal = (corner(1) - corner(0)).cross(corner(2) - corner(0)).stableNormalized();
    const auto over = OverSkin(skin, (corner(0) + corner(1) + corner(2)) / 3.0, guess);
    if (!over || normal.dot(over->normal) > kFacing) continue;
    for (const int index : triangle) facing[static_cast<std::size_t>(index)] = true;
  }
  return facing;
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
    const std::vector<bool> underside = FacingSkin(face, skin, spec.at);
    for (std::size_t i = 0; i < face.places.size(); ++i) {
      const auto over = OverSkin(skin, face.places[i], spec.at);
      if (!over) continue;
      fit.skin_least = std::min(fit.skin_least, over->height);
      if (!underside[i]) continue;
      fit.gap_least = std::min(fit.gap_least, over->height);
      fit.gap_greatest = std::max(fit.gap_greatest, over->height);
    }
  }
  if (!std::isfinite(fit.gap_least)) {
    return Fail(ErrorKind::computed, spec.what + ": its saddle is nowhere near the skin");
  }
  return fit;
}

}  // namespace holeward
