#include "app/work_pictures.h"

#include <algorithm>
#include <map>
#include <memory>

#include <fmt/format.h>

#include "geometry/parallel.h"
#include "models/reading_paths.h"
#include "viewer/rule_picture.h"

namespace holeward {
namespace {

constexpr double kDegrees = 180.0 / kPi;

std::string DimensionOf(const ReadingPath& path, bool inches) {
  if (!path.measured) return "";
  if (path.is_angle) return fmt::format("{:.1f}°", path.value * kDegrees);
  return ShopLength(path.value, inches);
}

/// How the lines' words are said.
struct LineWords {
  bool inches = false;
  const Words& words;
};

RuleAsk AskOf(const PlacedPoint& placed, bool drilled, const std::vector<ReadingPath>& paths,
              const LineWords& say) {
  RuleAsk ask;
  ask.name = placed.name;
  ask.position = placed.position;
  ask.normal = placed.normal;
  ask.drilled = drilled;
  for (const ReadingPath& path : paths) {
    const bool named = path.from != "face" && path.measured;
    ask.lines.push_back({path.places, DimensionOf(path, say.inches),
                         named ? say.words.Own(path.from) : "", path.measured, path.on_skin});
  }
  return ask;
}

Item ItemOf(const PictureStroke& stroke) {
  using Look = PictureStroke::Look;
  switch (stroke.look) {
    case Look::arrow: return {Group::mark, Fill{stroke.points, Ink::black}};
    case Look::mark:
      return {Group::mark, Stroke{stroke.points, kMiddleWidth, LineType::continuous, false}};
    case Look::reading:
      return {Group::mark, Stroke{stroke.points, kWideWidth, LineType::continuous, false}};
    case Look::hidden_reading:
      return {Group::mark, Stroke{stroke.points, kMiddleWidth, LineType::dashed, false}};
    case Look::guide:
      return {Group::mark, Stroke{stroke.points, kNarrowWidth, LineType::dash_dot, false}};
    case Look::outline:
      return {Group::fitting, Stroke{stroke.points, kNarrowWidth, LineType::continuous, false}};
    case Look::feature: break;
  }
  return {Group::fitting, Stroke{stroke.points, 0.13, LineType::continuous, false}};
}

ShopPicture ShopPictureOf(const RulePicture& picture, const Words& words) {
  ShopPicture out{picture.width, picture.height, {}, {}, words.Say(picture.seen_from)};
  for (const PictureStroke& stroke : picture.strokes) out.lines.push_back(ItemOf(stroke));
  for (const PictureWords& beside : picture.words) {
    out.words.push_back({beside.words, beside.anchors, beside.strong});
  }
  return out;
}

void AddPictures(const Work& work, const SideWork& side, ShopSide* shop) {
  const auto paths = ReadingPathsOf(work.job, side.scene, side.points);
  std::map<std::string, std::unique_ptr<RulePainter>> painters;
  for (const Part& part : side.scene.parts) {
    painters[part.name] = std::make_unique<RulePainter>(part, side.scene.outboard_y);
  }
  auto pictures = MadeOfEach(side.points.size(), [&](std::size_t i) {
    const PlacedPoint& placed = side.points[i];
    const auto row = std::find_if(work.job.points.begin(), work.job.points.end(),
                                  [&](const PointRow& p) { return p.name == placed.name; });
    const Part& part = *side.scene.FindPart(placed.part);
    std::vector<ReadingPath> lines = paths[i];
    if (side.mirrored && part.shared) {
      for (ReadingPath& line : lines) line.from = EndsExchanged(line.from, part);
    }
    const RuleAsk ask =
        AskOf(placed, row->use == PointUse::drill, lines, {work.job.inches, work.words});
    RulePicture picture = painters.at(placed.part)->Draw(ask);
    return ShopPictureOf(side.mirrored ? Mirrored(std::move(picture)) : picture, work.words);
  });
  for (ShopPoint& point : shop->points) {
    const auto at = std::find_if(side.points.begin(), side.points.end(),
                                 [&](const PlacedPoint& p) { return p.name == point.name; });
    if (at == side.points.end()) continue;
    point.picture = std::move(pictures[static_cast<std::size_t>(at - side.points.begin())]);
  }
}

}  // namespace

void AddPictures(const Work& work, ShopInput* input) {
  for (const SideWork& side : work.sides) {
    for (ShopSide& shop : input->sides) {
      if (shop.side == side.side) AddPictures(work, side, &shop);
    }
  }
}

}  // namespace holeward
