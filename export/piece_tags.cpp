#include <algorithm>
#include <array>
#include <optional>
#include <utility>

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
/// How far apart places within a piece are tried, mm.
constexpr double kFineStep = 1.0;
constexpr std::array<double, 4> kWarningWidths = {110.0, 75.0, 50.0, 150.0};

/// How far apart places for what belongs to a whole piece are tried, mm.
double GridStep(const PiecePlace& place) {
  return std::max(3.0, (place.window.high - place.window.low).maxCoeff() / 24.0);
}

/// The side, large: what must not be missed once a piece is cut out.
Label SideTag(const TemplateSheetInput& input, double height) {
  return {{{SideWord(input.side, input.words), height, true}}, 0.0};
}

/// What else a piece says of itself: part, name, set. @param large lettering of its side
Label NameTag(const TemplateSheetInput& input, int index, const DevelopedPiece& piece,
              double large) {
  double small = kText18;
  if (large > kText25) small = kText25;
  if (large > kText5) small = kText35;
  const Words& say = input.words;
  const std::string set = fmt::format("{} · {}{}", input.set_number, input.set_revision,
                                      input.released ? "" : " · " + say.Say("NOT RELEASED"));
  const std::string part =
      say.Own(input.piece_parts.empty() ? input.part : input.piece_parts[index]);
  Label label;
  for (const std::string& words :
       {fmt::format("{} · {}", part, PieceName(piece, say)), say.Say(piece.made_for), set}) {
    if (words.empty()) continue;
    label.lines.push_back({FitText(words, 70.0, {small, kText18}).words, small, false});
  }
  return label;
}

/// Both in one block.
Label WholeTag(const TemplateSheetInput& input, int index, const DevelopedPiece& piece,
               double height) {
  Label label = SideTag(input, height);
  const Label name = NameTag(input, index, piece, height);
  label.lines.insert(label.lines.end(), name.lines.begin(), name.lines.end());
  return label;
}

/// How a warning is set: lettering and width, mm; brief: without the places, which the check report
/// names.
struct WarningLook {
  double height = 0.0;
  double width = 0.0;
  bool brief = false;
};

/// Large words where a piece fits a wrong place too, as nothing on it tells a hand so.
Label Warning(const DevelopedPiece& piece, const Words& say, const WarningLook& look) {
  Label made;
  std::string places;
  for (const std::string& where : WrongPlaces(piece.misfits, say)) {
    places = places.empty() ? Upper(where) : say.Say("{} AND {}", places, Upper(where));
  }
  const std::string words = look.brief
                                ? say.Say("ALSO FITS OTHER PLACES. CHECK SIDE, FACE AND ARROWS")
                                : say.Say("ALSO FITS {}. CHECK SIDE, FACE AND ARROWS", places);
  for (const std::string& line : WrapText(words, look.width, look.height, true)) {
    made.lines.push_back({line, look.height, true});
  }
  return made;
}

using Tag = PieceArtist::Tag;

constexpr std::array<PieceArtist::TagSizes, 10> kTagSizes = {{{kText7, 11.0, kText5, false, false},
                                                              {kText5, 11.0, kText5, false, false},
                                                              {kText5, 11.0, kText35, false, false},
                                                              {kText5, 7.0, kText35, false, false},
                                                              {kText7, 7.0, kText35, true, false},
                                                              {kText5, 7.0, kText35, true, false},
                                                              {kText35, 7.0, kText35, true, false},
                                                              {kText5, 7.0, kText35, true, true},
                                                              {kText35, 7.0, kText35, true, true},
                                                              {kText25, 7.0, kText35, true, true}}};
constexpr std::array<PieceArtist::TagOrder, 3> kTagOrders = {
    {{Tag::side, Tag::arrows, Tag::warning, Tag::name},
     {Tag::warning, Tag::arrows, Tag::side, Tag::name},
     {Tag::arrows, Tag::warning, Tag::side, Tag::name}}};

bool Points(const DevelopedPiece& piece) { return !piece.front.isZero() || !piece.up.isZero(); }

}  // namespace

/// A grid of places inside the visible piece, from its middle outwards.
std::vector<Vec2> PieceArtist::RoomIn(const PiecePlace& place, const std::vector<Vec2>& outline,
                                      double step) const {
  const Vec2 low = place.window.low + place.shift;
  const Vec2 high = place.window.high + place.shift;
  const Vec2 middle = (low + high) / 2.0;
  std::vector<std::pair<double, Vec2>> found;  // with the distance from the middle
  std::vector<double> crossings;               // of the row at `level`
  std::optional<double> level;
  for (const Vec2& p : GridOver({low, high}, step)) {
    if (level != p.y()) crossings = CrossingsAt(outline, p.y());
    level = p.y();
    const auto beyond =
        crossings.end() - std::upper_bound(crossings.begin(), crossings.end(), p.x());
    if (outline.empty() || beyond % 2 != 0) found.emplace_back((p - middle).norm(), p);
  }
  if (found.empty()) return {middle};
  std::stable_sort(found.begin(), found.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<Vec2> room;
  room.reserve(found.size());
  for (const auto& [distance, p] : found) room.push_back(p);
  return room;
}

LabelPlacer::Request PieceArtist::InTheRoom(const PiecePlace& place,
                                            const std::vector<Vec2>& outline) const {
  LabelPlacer::Request request;
  request.anchors = RoomIn(place, outline, GridStep(place));
  request.clear = 0.5;
  request.inside = outline.empty() ? nullptr : &outline;
  request.leader = false;
  // The places are close together: what does not fit beside one fits beside none farther off.
  request.farthest = GridStep(place);
  return request;
}

LabelPlacer::Request PieceArtist::WithinThePiece(const PiecePlace& place,
                                                 const std::vector<Vec2>& outline) const {
  LabelPlacer::Request request;
  request.anchors = RoomIn(place, outline, kFineStep);
  request.inside = &outline;
  request.only_inside = true;
  request.over_lines = false;
  request.leader = false;
  request.centred = true;
  return request;
}

Compass PieceArtist::CompassOf(const DevelopedPiece& piece, double arrow) const {
  return {piece.front, piece.up, input_.words.Say(piece.front_word.c_str()),
          input_.words.Say(piece.up_word.c_str()), arrow};
}

void PieceArtist::DrawCompass(const Compass& compass, const LabelPlacer::Placed& placed) {
  if (!placed.over_lines) Whiten(placed.box);
  compass.Draw(placed.box.low - compass.Extent().Grown(kCompassAir).low, &page_.drawing);
  const bool both = !compass.front.isZero() && !compass.up.isZero();
  const std::string words = (compass.front.isZero() ? "" : compass.front_word) + (both ? " " : "") +
                            (compass.up.isZero() ? "" : compass.up_word);
  page_.labels.push_back({words, placed.box, placed.over_lines});
}

/// Side, arrows, warning and name, all on the piece and as large as they fit together; false: they
/// do not.
bool PieceArtist::PutTogether(const PiecePlace& place, const DevelopedPiece& piece) {
  const std::vector<Vec2> outline = Outline(place, piece);
  if (outline.empty()) return false;
  const Tagged on{place, piece, outline, WithinThePiece(place, outline), {}, {}};
  for (const TagSizes& sizes : kTagSizes) {
    for (const TagOrder& order : kTagOrders) {
      if (PutInOrder(on, sizes, order)) return true;
    }
  }
  return false;
}

bool PieceArtist::PutInOrder(const Tagged& on, const TagSizes& sizes, const TagOrder& order) {
  LabelPlacer trial = placer_;
  PutLabels put;
  std::vector<std::pair<Compass, LabelPlacer::Placed>> arrows;
  LabelPlacer::Request request = on.request;
  const auto find = [&](const Vec2& size) -> std::optional<LabelPlacer::Placed> {
    request.size = size;
    // What finds no room on the empty piece need not be tried beside others.
    const auto [alone, is_new] = on.alone.try_emplace({size.x(), size.y()});
    if (is_new) alone->second = placer_.Find(request);
    if (!alone->second || !put.empty() || !arrows.empty()) {
      return alone->second ? trial.Place(request) : std::nullopt;
    }
    trial.Put(*alone->second);
    return alone->second;
  };
  const auto sets = [&](const Label& label) {
    const auto placed = find(label.Size());
    if (placed) put.emplace_back(label, *placed);
    return placed.has_value();
  };
  const auto made = [&](const Tagged::LabelKey& key, const auto& make) -> const Label& {
    const auto [known, is_new] = on.labels.try_emplace(key);
    if (is_new) known->second = make();
    return known->second;
  };
  const auto side = [&]() -> const Label& {
    return made({sizes.apart ? 1 : 0, sizes.tag, 0.0, false}, [&] {
      return sizes.apart ? SideTag(input_, sizes.tag)
                         : WholeTag(input_, on.place.piece, on.piece, sizes.tag);
    });
  };
  const auto warning = [&](double width) -> const Label& {
    return made({2, sizes.warning, width, sizes.brief}, [&] {
      return Warning(on.piece, input_.words, {sizes.warning, width, sizes.brief});
    });
  };
  const auto points = [&](const Compass& compass) {
    if (compass.front.isZero() && compass.up.isZero()) return true;
    const auto placed = find(compass.Extent().Grown(kCompassAir).Size());
    if (placed) arrows.emplace_back(compass, *placed);
    return placed.has_value();
  };
  const auto tag = [&](Tag what) {
    switch (what) {
      case Tag::side: return sets(side());
      case Tag::name:
        // Of all it is missed least: it may be put elsewhere.
        if (sizes.apart) sets(NameTag(input_, on.place.piece, on.piece, kText25));
        return true;
      case Tag::arrows: {
        const Compass both = CompassOf(on.piece, sizes.arrow);
        if (points(both)) return true;
        Compass front = both;
        Compass up = both;
        front.up = up.front = Vec2::Zero();
        return sizes.apart && points(front) && points(up);
      }
      case Tag::warning:
        return on.piece.misfits.empty() ||
               std::any_of(kWarningWidths.begin(), kWarningWidths.end(),
                           [&](double width) { return sets(warning(width)); });
    }
    return false;
  };
  if (!std::all_of(order.begin(), order.end(), tag)) return false;
  placer_ = trial;
  for (const auto& [label, placed] : put) Draw(label, placed);
  for (const auto& [compass, placed] : arrows) DrawCompass(compass, placed);
  const std::size_t labels = on.piece.misfits.empty() ? 2 : 3;
  if (sizes.apart && put.size() < labels) {
    LabelPlacer::Request elsewhere = InTheRoom(on.place, on.outline);
    elsewhere.farthest = kOutside;
    Put(NameTag(input_, on.place.piece, on.piece, kText25), elsewhere);
  }
  return true;
}

void PieceArtist::PutCompass(const PiecePlace& place, const DevelopedPiece& piece) {
  if (!Points(piece)) return;
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
  const auto put = [&](double height, bool brief) {
    return std::any_of(kWarningWidths.begin(), kWarningWidths.end(), [&](double width) {
      return Put(Warning(piece, input_.words, {height, width, brief}), request);
    });
  };
  for (const bool inside : {true, false}) {
    request.only_inside = inside && request.inside != nullptr;
    request.farthest = inside ? request.farthest : kOutside;
    if (put(kText5, false) || put(kText35, false) || put(kText35, true)) return;
  }
  request.over_lines = true;
  put(kText35, true);
}

/// The side as large as it fits, the name with it or apart.
void PieceArtist::PutNameTag(const PiecePlace& place, const DevelopedPiece& piece) {
  const std::vector<Vec2> outline = Outline(place, piece);
  const LabelPlacer::Request on_piece = InTheRoom(place, outline);
  LabelPlacer::Request anywhere = on_piece;
  anywhere.farthest = kOutside;
  const auto set = [&](const Label& label, bool inside) {
    return PutFirst({{label, inside}}, inside ? on_piece : anywhere);
  };
  const Label name = NameTag(input_, place.piece, piece, kText25);
  for (const double height : {kText7, kText5, kText35, kText25}) {
    if (set(WholeTag(input_, place.piece, piece, height), true)) return;
    if (!set(SideTag(input_, height), true)) continue;
    if (!set(name, true)) set(name, false);
    return;
  }
  for (const double height : {kText7, kText5, kText35, kText25}) {
    if (set(WholeTag(input_, place.piece, piece, height), false)) return;
  }
}

bool PieceArtist::LabelRest(const PiecePlace& place, const DevelopedPiece& piece) {
  LabelJoins(place);
  const bool together = PutTogether(place, piece);
  if (!together) {
    PutWarning(place, piece);
    PutCompass(place, piece);
    PutNameTag(place, piece);
  }
  LabelLines(place, piece);
  return together;
}

}  // namespace holeward
