#include <algorithm>
#include <array>
#include <optional>

#include <fmt/format.h>

#include "export/lettering.h"
#include "export/piece_artist.h"
#include "export/piece_drawing.h"
#include "export/said.h"
#include "export/symbols.h"
#include "export/upper.h"
#include "models/misfit_words.h"

namespace holeward {
namespace {

/// White round the pair of arrows, mm.
constexpr double kCompassAir = 0.8;
/// What finds no room on a piece is put so far off it, mm.
constexpr double kOutside = 40.0;
constexpr std::array<double, 4> kWarningWidths = {110.0, 75.0, 50.0, 150.0};

/// How far apart places for what belongs to a whole piece are tried, mm.
double GridStep(const PiecePlace& place) {
  return std::max(3.0, (place.window.high - place.window.low).maxCoeff() / 24.0);
}

/// What a piece says of itself once it is cut out: side, part, name, set.
Label NameTag(const TemplateSheetInput& input, int index, const DevelopedPiece& piece,
              double height) {
  double small = kText18;
  if (height > kText25) small = kText25;
  if (height > kText5) small = kText35;
  const Words& say = input.words;
  const std::string set = fmt::format("{} · {}{}", input.set_number, input.set_revision,
                                      input.released ? "" : " · " + say.Say("NOT RELEASED"));
  const std::string part =
      say.Own(input.piece_parts.empty() ? input.part : input.piece_parts[index]);
  Label label;
  label.lines = {{SideWord(input.side, say), height, true}};
  for (const std::string& words :
       {fmt::format("{} · {}", part, PieceName(piece, say)), say.Say(piece.made_for), set}) {
    if (words.empty()) continue;
    label.lines.push_back({FitText(words, 70.0, {small, kText18}).words, small, false});
  }
  return label;
}

/// Large words where a piece fits a wrong place too, as nothing on it tells a hand so.
Label Warning(const DevelopedPiece& piece, const Words& say, double height, double width) {
  Label made;
  std::string places;
  for (const std::string& where : WrongPlaces(piece.misfits, say)) {
    places = places.empty() ? Upper(where) : say.Say("{} AND {}", places, Upper(where));
  }
  const std::string words = say.Say("ALSO FITS {}. CHECK SIDE, FACE AND ARROWS", places);
  for (const std::string& line : WrapText(words, width, height, true)) {
    made.lines.push_back({line, height, true});
  }
  return made;
}

/// Sizes of what a piece says of itself: lettering of its side, arrow, lettering of its warning.
struct TagSizes {
  double tag = 0.0;
  double arrow = 0.0;
  double warning = 0.0;
};
constexpr std::array<TagSizes, 6> kTagSizes = {{{kText7, 11.0, kText5},
                                                {kText5, 11.0, kText5},
                                                {kText5, 11.0, kText35},
                                                {kText5, 7.0, kText35},
                                                {kText35, 7.0, kText35},
                                                {kText25, 7.0, kText35}}};

}  // namespace

/// A grid of places inside the visible piece, from its middle outwards.
std::vector<Vec2> PieceArtist::RoomIn(const PiecePlace& place,
                                      const std::vector<Vec2>& outline) const {
  const Vec2 low = place.window.low + place.shift;
  const Vec2 high = place.window.high + place.shift;
  const Vec2 middle = (low + high) / 2.0;
  std::vector<Vec2> room;
  for (const Vec2& p : GridOver({low, high}, GridStep(place))) {
    if (outline.empty() || IsInside(outline, p)) room.push_back(p);
  }
  if (room.empty()) room.push_back(middle);
  std::stable_sort(room.begin(), room.end(), [&](const Vec2& a, const Vec2& b) {
    return (a - middle).norm() < (b - middle).norm();
  });
  return room;
}

LabelPlacer::Request PieceArtist::InTheRoom(const PiecePlace& place,
                                            const std::vector<Vec2>& outline) const {
  LabelPlacer::Request request;
  request.anchors = RoomIn(place, outline);
  request.clear = 0.5;
  request.inside = outline.empty() ? nullptr : &outline;
  request.leader = false;
  // The places are close together: what does not fit beside one fits beside none farther off.
  request.farthest = GridStep(place);
  return request;
}

Compass PieceArtist::CompassOf(const DevelopedPiece& piece, double arrow) const {
  return {piece.front, piece.up, input_.words.Say(piece.front_word.c_str()),
          input_.words.Say(piece.up_word.c_str()), arrow};
}

void PieceArtist::DrawCompass(const Compass& compass, const LabelPlacer::Placed& placed) {
  if (!placed.over_lines) Whiten(placed.box);
  compass.Draw(placed.box.low - compass.Extent().Grown(kCompassAir).low, &page_.drawing);
  page_.labels.push_back(
      {compass.front_word + ' ' + compass.up_word, placed.box, placed.over_lines});
}

/// Name, arrows and warning, all on the piece and as large as they fit together; false: they do
/// not.
bool PieceArtist::PutTogether(const PiecePlace& place, const DevelopedPiece& piece) {
  const std::vector<Vec2> outline = Outline(place, piece);
  if (outline.empty()) return false;
  LabelPlacer::Request request = InTheRoom(place, outline);
  request.only_inside = true;
  request.over_lines = false;
  const bool warns = !piece.misfits.empty();
  const bool points = !piece.front.isZero() || !piece.up.isZero();
  for (const TagSizes& sizes : kTagSizes) {
    LabelPlacer trial = placer_;
    const auto fits = [&](const Vec2& size) {
      request.size = size;
      return trial.Place(request);
    };
    const Label tag = NameTag(input_, place.piece, piece, sizes.tag);
    const auto tagged = fits(tag.Size());
    if (!tagged) continue;
    const Compass compass = CompassOf(piece, sizes.arrow);
    const auto pointed =
        points ? fits(compass.Extent().Grown(kCompassAir).Size()) : LabelPlacer::Placed{};
    if (!pointed) continue;
    Label warning;
    std::optional<LabelPlacer::Placed> warned;
    for (const double width : kWarningWidths) {
      if (!warns || warned) break;
      warning = Warning(piece, input_.words, sizes.warning, width);
      warned = fits(warning.Size());
    }
    if (warns && !warned) continue;
    placer_ = trial;
    Draw(tag, *tagged);
    if (points) DrawCompass(compass, *pointed);
    if (warned) Draw(warning, *warned);
    return true;
  }
  return false;
}

void PieceArtist::PutCompass(const PiecePlace& place, const DevelopedPiece& piece) {
  if (piece.front.isZero() && piece.up.isZero()) return;
  const std::vector<Vec2> outline = Outline(place, piece);
  LabelPlacer::Request request = InTheRoom(place, outline);
  for (const bool inside : {true, false}) {
    request.farthest = inside ? request.farthest : kOutside;
    for (const double arrow : {11.0, 7.0}) {
      const Compass compass = CompassOf(piece, arrow);
      request.size = compass.Extent().Grown(kCompassAir).Size();
      request.only_inside = inside && request.inside != nullptr;
      request.over_lines = !inside && arrow < 10.0;
      const std::optional<LabelPlacer::Placed> placed = placer_.Place(request);
      if (!placed) continue;
      DrawCompass(compass, *placed);
      return;
    }
  }
}

/// On the piece if at all possible: what is beside it is cut off.
void PieceArtist::PutWarning(const PiecePlace& place, const DevelopedPiece& piece) {
  if (piece.misfits.empty()) return;
  const std::vector<Vec2> outline = Outline(place, piece);
  LabelPlacer::Request request = InTheRoom(place, outline);
  request.over_lines = false;
  const auto put = [&](double height) {
    return std::any_of(kWarningWidths.begin(), kWarningWidths.end(), [&](double width) {
      return Put(Warning(piece, input_.words, height, width), request);
    });
  };
  for (const bool inside : {true, false}) {
    request.only_inside = inside && request.inside != nullptr;
    request.farthest = inside ? request.farthest : kOutside;
    if (put(kText5) || put(kText35)) return;
  }
  request.over_lines = true;
  put(kText35);
}

void PieceArtist::PutNameTag(const PiecePlace& place, const DevelopedPiece& piece) {
  const std::vector<Vec2> outline = Outline(place, piece);
  std::vector<std::pair<Label, bool>> tries;
  for (const double height : {kText7, kText5, kText35, kText25}) {
    tries.emplace_back(NameTag(input_, place.piece, piece, height), true);
  }
  // Better the side alone than nothing on the piece.
  for (const double height : {kText35, kText25}) {
    tries.emplace_back(Label{{{SideWord(input_.side, input_.words), height, true}}, 0.0}, true);
  }
  LabelPlacer::Request request = InTheRoom(place, outline);
  if (PutFirst(tries, request)) return;
  tries.clear();
  for (const double height : {kText7, kText5, kText35, kText25}) {
    tries.emplace_back(NameTag(input_, place.piece, piece, height), false);
  }
  request.farthest = kOutside;
  PutFirst(tries, request);
}

void PieceArtist::LabelRest(const PiecePlace& place, const DevelopedPiece& piece) {
  LabelJoins(place);
  if (!PutTogether(place, piece)) {
    PutWarning(place, piece);
    PutNameTag(place, piece);
    PutCompass(place, piece);
  }
  LabelLines(place, piece);
}

}  // namespace holeward
