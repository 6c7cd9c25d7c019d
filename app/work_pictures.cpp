#include "app/work_pictures.h"

#include <algorithm>
#include <map>
#include <memory>

#include <fmt/format.h>

#include "geometry/parallel.h"
#include "models/reading_paths.h"
#include "models/scene_likeness.h"
#include "viewer/rule_picture.h"

namespace holeward {
namespace {

constexpr double kDegrees = 180.0 / kPi;

std::string DimensionOf(const ReadingPath& path, bool inches) {
  if (!path.measured) return "";
  if (path.is_angle) return fmt::format("{:.1f}°", path.value * kDegrees);
  return ShopLength(path.value, inches);
}

RuleAsk AskOf(const PlacedPoint& placed, bool drilled, const std::vector<ReadingPath>& paths,
              bool inches) {
  RuleAsk ask;
  ask.name = placed.name;
  ask.position = placed.position;
  ask.normal = placed.normal;
  ask.drilled = drilled;
  for (const ReadingPath& path : paths) {
    const bool named = path.from != "face" && path.measured;
    ask.lines.push_back({path.places, DimensionOf(path, inches), named ? path.from : "",
                         path.measured, path.on_skin});
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

/// The pictures of a side's points, in their order, in the frame of the described side.
std::vector<RulePicture> Drawn(const Job& job, const SideWork& side) {
  const auto paths = ReadingPathsOf(job, side.scene, side.points);
  std::map<std::string, std::unique_ptr<RulePainter>> painters;
  for (const Part& part : side.scene.parts) {
    painters[part.name] = std::make_unique<RulePainter>(part, side.scene.outboard_y);
  }
  return MadeOfEach(side.points.size(), [&](std::size_t i) {
    const PlacedPoint& placed = side.points[i];
    const bool drilled = job.FindPoint(placed.name)->use == PointUse::drill;
    return painters.at(placed.part)->Draw(AskOf(placed, drilled, paths[i], job.inches));
  });
}

/// A picture as a side sees it, its words in the language of the sheets.
ShopPicture ShopPictureOf(RulePicture picture, const SideWork& side, const Part& part,
                          const Words& words) {
  if (side.mirrored) picture = Mirrored(std::move(picture));
  ShopPicture out{picture.width, picture.height, {}, {}, words.Say(picture.seen_from)};
  for (const PictureStroke& stroke : picture.strokes) out.lines.push_back(ItemOf(stroke));
  const bool exchanged = side.mirrored && part.shared;
  for (const PictureWords& beside : picture.words) {
    std::string said = beside.words;
    if (beside.of == PictureWords::Of::datum) {
      said = words.Own(exchanged ? EndsExchanged(said, part) : said);
    }
    out.words.push_back({std::move(said), beside.anchors, beside.of == PictureWords::Of::point});
  }
  return out;
}

void AddPictures(const SideWork& side, const std::vector<RulePicture>& pictures, const Words& words,
                 ShopSide* shop) {
  for (std::size_t i = 0; i < side.points.size(); ++i) {
    const auto point =
        std::find_if(shop->points.begin(), shop->points.end(),
                     [&](const ShopPoint& p) { return p.name == side.points[i].name; });
    if (point == shop->points.end()) continue;
    const Part& part = *side.scene.FindPart(side.points[i].part);
    point->picture = ShopPictureOf(pictures[i], side, part, words);
  }
}

bool Alike(const SideWork& a, const SideWork& b) {
  return SameMetal(a.scene, b.scene) && SamePlaces(a.points, b.points);
}

}  // namespace

void AddPictures(const Work& work, ShopInput* input) {
  const SideWork* drawn = nullptr;  // the side that `pictures` are of
  std::vector<RulePicture> pictures;
  for (const SideWork& side : work.sides) {
    if (drawn == nullptr || !Alike(*drawn, side)) pictures = Drawn(work.job, side);
    drawn = &side;
    for (ShopSide& shop : input->sides) {
      if (shop.side == side.side) AddPictures(side, pictures, work.words, &shop);
    }
  }
}

}  // namespace holeward
