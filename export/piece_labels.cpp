#include <algorithm>
#include <cmath>
#include <functional>

#include <fmt/format.h>

#include "export/lettering.h"
#include "export/piece_artist.h"
#include "export/piece_drawing.h"
#include "export/symbols.h"

namespace holeward {
namespace {

constexpr double kNarrowText = 32.0;  ///< width of a label broken short, mm

/// A way to set a mark's label, and where it may go.
struct MarkTry {
  MarkStyle style;
  bool only_inside = false;
  bool over_lines = false;
};

/// Labels one mark in the first way that finds room.
bool TryMark(const std::vector<MarkTry>& tries, const std::function<Label(const MarkStyle&)>& make,
             LabelPlacer::Request request, LabelPlacer* placer,
             std::vector<std::pair<Label, LabelPlacer::Placed>>* put) {
  for (const MarkTry& attempt : tries) {
    const Label label = make(attempt.style);
    request.size = label.Size();
    request.only_inside = attempt.only_inside && request.inside != nullptr;
    request.over_lines = attempt.over_lines;
    const std::optional<LabelPlacer::Placed> placed = placer->Place(request);
    if (!placed) continue;
    put->emplace_back(label, *placed);
    return true;
  }
  return false;
}

/// On the piece if at all possible: what is beside it is cut off.
const std::vector<MarkTry>& WholeTries() {
  static const std::vector<MarkTry> kTries = {
      {{kText5, kText25, false}, true, false},  {{kText5, kText25, true}, true, false},
      {{kText35, kText18, false}, true, false}, {{kText35, kText18, true}, true, false},
      {{kText5, kText25, false}, false, false}, {{kText35, kText18, true}, false, false}};
  return kTries;
}

/// The same in small letters, to leave room for what else a small piece must say.
const std::vector<MarkTry>& SmallTries() {
  static const std::vector<MarkTry> kTries = {{{kText35, kText18, false}, true, false},
                                              {{kText35, kText18, true}, true, false}};
  return kTries;
}

const std::vector<MarkTry>& NameTries() {
  static const std::vector<MarkTry> kTries = {
      {{kText5, kText25, false}, true, false},   {{kText35, kText25, false}, true, false},
      {{kText25, kText25, false}, true, false},  {{kText35, kText25, false}, false, false},
      {{kText25, kText25, false}, false, false}, {{kText25, kText25, false}, false, true}};
  return kTries;
}

/// Places along the visible parts of a line, middle first.
std::vector<Vec2> AnchorsOn(const std::vector<std::vector<Vec2>>& parts, double* turn) {
  std::vector<Vec2> anchors;
  double longest = 0.0;
  for (const std::vector<Vec2>& part : parts) {
    for (std::size_t i = 1; i < part.size(); ++i) {
      const Vec2 way = part[i] - part[i - 1];
      if (way.norm() <= longest) continue;
      longest = way.norm();
      *turn = std::abs(way.y()) > 3.0 * std::abs(way.x()) ? kPi / 2.0 : 0.0;
      anchors.clear();
      for (const double t : {0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9})
        anchors.push_back(part[i - 1] + t * way);
    }
  }
  return anchors;
}

}  // namespace

std::vector<Vec2> GridOver(const Box& box, double step) {
  const int columns = static_cast<int>(box.Size().x() / step) + 1;
  const int rows = static_cast<int>(box.Size().y() / step) + 1;
  const Vec2 first = box.Centre() - step / 2.0 * Vec2(columns - 1, rows - 1);
  std::vector<Vec2> places;
  places.reserve(static_cast<std::size_t>(rows) * static_cast<std::size_t>(columns));
  for (int i = 0; i < rows * columns; ++i) {
    places.emplace_back(first + step * Vec2(i % columns, rows - 1 - i / columns));
  }
  return places;
}

/// Keeps the banner's outlines out of a label.
void PieceArtist::Whiten(const Box& box) {
  page_.drawing.Add(Group::text, Fill{CornersOf(box.Grown(0.3)), Ink::white});
}

void PieceArtist::Draw(const Label& label, const LabelPlacer::Placed& placed) {
  const Box& box = placed.box;
  if (placed.leader) {
    page_.drawing.AddLine(Group::text, placed.leader_from, placed.leader_to, kHairWidth);
  }
  if (!placed.over_lines) Whiten(box);
  const bool turned = label.turn_rad != 0.0;
  double across = 0.0;
  for (const LabelLine& line : label.lines) {
    Text text;
    text.words = line.words;
    text.height = line.height;
    text.bold = line.bold;
    text.turn_rad = label.turn_rad;
    across += line.height;
    text.at =
        turned ? Vec2(box.low.x() + across, box.low.y()) : Vec2(box.low.x(), box.high.y() - across);
    across += line.height * (kLineSpacing - 1.0);
    page_.drawing.Add(Group::text, text);
  }
  page_.labels.push_back({label.Words(), box, placed.over_lines});
}

bool PieceArtist::Put(const Label& label, LabelPlacer::Request request) {
  request.size = label.Size();
  const std::optional<LabelPlacer::Placed> placed = placer_.Place(request);
  if (placed) Draw(label, *placed);
  return placed.has_value();
}

/// Puts the first of the labels that finds room; `second` of each: only inside the piece.
bool PieceArtist::PutFirst(const std::vector<std::pair<Label, bool>>& tries,
                           LabelPlacer::Request request) {
  return std::any_of(tries.begin(), tries.end(), [&](const std::pair<Label, bool>& attempt) {
    request.only_inside = attempt.second && request.inside != nullptr;
    request.over_lines = !attempt.second;
    return Put(attempt.first, request);
  });
}

std::vector<Vec2> PieceArtist::Outline(const PiecePlace& place, const DevelopedPiece& piece) const {
  std::vector<Vec2> outline;
  // The first closed cut; those after it are cut out of it.
  for (const FlatLine& line : piece.lines) {
    if (line.kind == FlatLineKind::cut && line.closed) {
      outline = line.points;
      break;
    }
  }
  for (Vec2& p : outline) p += place.shift;
  return outline;
}

bool PieceArtist::PutMarkList(LabelPlacer* placer, const std::vector<FlatMark>& marks,
                              PutLabels* put) const {
  Label list = MarkList(marks, input_);
  for (const double height : {kText25, kText18}) {
    for (LabelLine& line : list.lines) line.height = height;
    LabelPlacer::Request request;
    request.anchors = GridOver(area_, area_.Size().maxCoeff() / 40.0);
    request.size = list.Size();
    request.leader = false;
    request.over_lines = false;
    const std::optional<LabelPlacer::Placed> placed = placer->Place(request);
    if (!placed) continue;
    put->emplace_back(list, *placed);
    return true;
  }
  return false;
}

/// The marks seen on the page, each with its piece's place.
std::vector<std::pair<const PiecePlace*, const FlatMark*>> PieceArtist::MarksOn(
    const std::vector<DevelopedPiece>& pieces) const {
  std::vector<std::pair<const PiecePlace*, const FlatMark*>> marks;
  for (const PiecePlace& place : plan_.places) {
    for (const FlatMark& mark : pieces[place.piece].marks) {
      if (place.window.Contains(mark.at)) marks.emplace_back(&place, &mark);
    }
  }
  return marks;
}

/// Labels every mark of the page. Draws nothing and returns the name of the mark that found no
/// room, else an empty string.
std::string PieceArtist::TryMarkLabels(const std::vector<DevelopedPiece>& pieces, MarkText text) {
  const bool in_list = text == MarkText::in_list;
  const std::vector<MarkTry>& tries = in_list                   ? NameTries()
                                      : text == MarkText::small ? SmallTries()
                                                                : WholeTries();
  LabelPlacer trial = placer_;
  PutLabels put;
  std::vector<FlatMark> listed;
  for (const auto& [place, mark] : MarksOn(pieces)) {
    const std::vector<Vec2> outline = Outline(*place, pieces[place->piece]);
    LabelPlacer::Request request;
    request.anchors = {mark->at + place->shift};
    request.clear = ReachOf(*mark) * 0.75 + 1.0;
    request.inside = outline.empty() ? nullptr : &outline;
    const auto make = [&, what = mark](const MarkStyle& style) {
      Label label = MarkLabel(*what, input_, style);
      if (in_list) label.lines.resize(1);
      return label;
    };
    if (!TryMark(tries, make, request, &trial, &put)) return mark->name;
    listed.push_back(*mark);
  }
  if (in_list && !listed.empty() && !PutMarkList(&trial, listed, &put)) return listed.back().name;
  placer_ = trial;
  for (const auto& [label, placed] : put) Draw(label, placed);
  return {};
}

Result<void> PieceArtist::LabelMarks(const std::vector<DevelopedPiece>& pieces, MarkText text) {
  if (text != MarkText::in_list && TryMarkLabels(pieces, text).empty()) return {};
  const std::string crowded = TryMarkLabels(pieces, MarkText::in_list);
  if (crowded.empty()) return {};
  return Fail(ErrorKind::job,
              fmt::format("template \"{}\": there is no room on page {} for the label of point "
                          "\"{}\"; use a larger paper or split the points over more templates",
                          input_.template_name, page_.number, crowded));
}

void PieceArtist::LabelLines(const PiecePlace& place, const DevelopedPiece& piece) {
  const std::vector<Vec2> outline = Outline(place, piece);
  for (const FlatLine& line : piece.lines) {
    if (!line.words.empty()) LabelOneLine(line, place, outline);
  }
}

void PieceArtist::LabelOneLine(const FlatLine& line, const PiecePlace& place,
                               const std::vector<Vec2>& outline) {
  double turn = 0.0;
  LabelPlacer::Request request;
  request.anchors = AnchorsOn(Clipped(line.points, line.closed, place.window), &turn);
  if (request.anchors.empty()) return;
  for (Vec2& anchor : request.anchors) anchor += place.shift;
  request.clear = 1.0;
  request.inside = outline.empty() ? nullptr : &outline;
  const bool bold = line.kind == FlatLineKind::align;
  const auto label = [&](double height, double angle, double width = 70.0) {
    Label made;
    for (const std::string& words : WrapText(input_.words.Say(line.words), width, height, bold)) {
      made.lines.push_back({words, height, bold});
    }
    made.turn_rad = angle;
    return made;
  };
  // On the piece if at all possible: what is beside it is cut off.
  PutFirst({{label(kText25, turn), true},
            {label(kText18, turn), true},
            {label(kText25, 0.0), true},
            {label(kText18, 0.0), true},
            {label(kText18, 0.0, kNarrowText), true},
            {label(kText25, turn), false},
            {label(kText18, 0.0), false}},
           request);
}

namespace {

/// What is done at a join, said on its lower or its upper tile.
std::string JoinWords(const Join& join, bool lower, const Words& words) {
  if (join.lower_page != join.upper_page) {
    return lower ? words.Say("join: page {} is laid over from here", join.upper_page)
                 : words.Say("join: cut here, lay over page {}", join.lower_page);
  }
  std::string letters;
  for (const Join::Cross& cross : join.crosses) {
    letters += fmt::format("{}{}", letters.empty() ? "" : ", ", cross.letter);
  }
  return lower ? words.Say("join: the other sheet with {} is laid over from here", letters)
               : words.Say("join: cut here, lay over the other sheet with {}", letters);
}

}  // namespace

void PieceArtist::LabelJoins(const PiecePlace& place) {
  for (const Join& join : place.joins) {
    const bool lower = join.lower_tile == place.tile.Index();
    const int axis = join.upright ? 0 : 1;
    std::vector<Vec2> anchors;
    for (const double t : {0.5, 0.4, 0.6, 0.1, 0.9}) {
      Vec2 at;
      at[axis] = join.at;
      at[1 - axis] = place.window.low[1 - axis] +
                     t * (place.window.high[1 - axis] - place.window.low[1 - axis]);
      anchors.push_back(at + place.shift);
    }
    Label label;
    label.turn_rad = join.upright ? kPi / 2.0 : 0.0;
    label.lines = {{JoinWords(join, lower, input_.words), kText25, false}};
    LabelPlacer::Request request;
    request.anchors = anchors;
    request.clear = 1.0;
    Put(label, request);
  }
  // Letters of the crosses: on one place for both pages would be best, but each finds its own room.
  const Box shown{place.window.low + place.shift, place.window.high + place.shift};
  for (const MatchMark& mark : page_.match_marks) {
    if (!shown.Grown(1e-6).Contains(mark.at)) continue;
    LabelPlacer::Request request;
    request.anchors = {mark.at};
    request.clear = kMatchReach * 0.9;
    Put({{{mark.letter, kText5, true}}, 0.0}, request);
  }
}

}  // namespace holeward
