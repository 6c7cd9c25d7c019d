#include "export/piece_drawing.h"

#include <algorithm>
#include <cmath>

#include "export/piece_artist.h"
#include "export/symbols.h"

namespace holeward {
void PieceArtist::DrawLines(const PiecePlace& place, const DevelopedPiece& piece) {
  bool outlined = false;
  for (const FlatLine& line : piece.lines) {
    if (line.kind == FlatLineKind::cut && line.closed) {
      if (outlined) AvoidCutOut(line, place);
      outlined = true;
    }
    const LineLook look = LookOf(line.kind);
    for (std::vector<Vec2>& part : Clipped(line.points, line.closed, place.window)) {
      for (Vec2& p : part) p += place.shift;
      placer_.AvoidPolyline(part, false);
      // A line drawn whole is closed, so that its last corner is mitred too.
      const bool whole =
          line.closed && part.size() == line.points.size() + 1 && part.front() == part.back();
      if (whole) part.pop_back();
      page_.drawing.Add(look.group, Stroke{part, look.width, look.type, whole});
    }
    if (line.kind == FlatLineKind::align) PointAt(line, place, piece);
  }
}

/// Nothing is written on what is cut out of a piece.
void PieceArtist::AvoidCutOut(const FlatLine& line, const PiecePlace& place) {
  Box box{line.points.front(), line.points.front()};
  for (const Vec2& p : line.points) {
    box.low = box.low.cwiseMin(p);
    box.high = box.high.cwiseMax(p);
  }
  placer_.AvoidBox({box.low + place.shift, box.high + place.shift});
}

/// A pointer on the piece at an alignment line, in the middle of what is seen of it.
void PieceArtist::PointAt(const FlatLine& line, const PiecePlace& place,
                          const DevelopedPiece& piece) {
  Vec2 a = Vec2::Zero();
  Vec2 b = Vec2::Zero();
  for (const std::vector<Vec2>& part : Clipped(line.points, line.closed, place.window)) {
    for (std::size_t i = 1; i < part.size(); ++i) {
      if ((part[i] - part[i - 1]).norm() <= (b - a).norm()) continue;
      a = part[i - 1];
      b = part[i];
    }
  }
  if ((b - a).norm() < 1.0) return;
  Vec2 way = Vec2(-(b - a).y(), (b - a).x()).normalized();
  if (way.dot((a + b) / 2.0 - ExtentOf(piece).Centre()) < 0.0) way = -way;
  const Vec2 tip = (a + b) / 2.0 + place.shift;
  DrawPointer(tip, way, &page_.drawing);
  const Vec2 back = tip - 3.2 * way;
  placer_.AvoidBox(
      {tip.cwiseMin(back) - Vec2::Constant(0.6), tip.cwiseMax(back) + Vec2::Constant(0.6)});
}

void PieceArtist::DrawJoins(const PiecePlace& place) {
  for (const Join& join : place.joins) {
    const int axis = join.upright ? 0 : 1;
    Vec2 from = place.window.low;
    Vec2 to = place.window.high;
    from[axis] = to[axis] = join.at;
    const std::vector<Vec2> line = {from + place.shift, to + place.shift};
    placer_.AvoidPolyline(line, false);
    page_.drawing.Add(Group::mark, Stroke{line, kNarrowWidth, LineType::dotted, false});
    for (const Join::Cross& cross : join.crosses) {
      Vec2 at;
      at[axis] = join.at;
      at[1 - axis] = cross.along;
      if (!place.window.Contains(at)) continue;
      at += place.shift;
      DrawMatchMark(at, &page_.drawing);
      const bool lower = join.lower_tile == place.tile.Index();
      page_.match_marks.push_back({cross.letter, at, lower ? join.upper_page : join.lower_page});
      page_.mark_boxes.push_back(
          {at - Vec2::Constant(kMatchReach), at + Vec2::Constant(kMatchReach)});
      placer_.AvoidBox(page_.mark_boxes.back());
    }
  }
}

void PieceArtist::DrawMarks(const PiecePlace& place, const DevelopedPiece& piece,
                            std::vector<SheetMark>* marks) {
  for (const FlatMark& mark : piece.marks) {
    if (!place.window.Contains(mark.at)) continue;
    const Vec2 at = mark.at + place.shift;
    std::vector<Vec2> outline = mark.outline;
    for (Vec2& p : outline) p += place.shift;
    DrawMark(mark, at, outline, &page_.drawing);
    marks->push_back({mark.name, page_.number, at.x(), at.y(), mark.wrap_error});
    const double reach = ReachOf(mark);
    page_.mark_boxes.push_back({at - Vec2::Constant(reach), at + Vec2::Constant(reach)});
    placer_.AvoidBox(page_.mark_boxes.back());
  }
}

std::vector<std::vector<Vec2>> Clipped(const std::vector<Vec2>& points, bool closed,
                                       const Box& box) {
  std::vector<std::vector<Vec2>> parts;
  const std::size_t n = points.size();
  const std::size_t segments = n < 2 ? 0 : (closed ? n : n - 1);
  for (std::size_t i = 0; i < segments; ++i) {
    const Vec2& a = points[i];
    const Vec2 way = points[(i + 1) % n] - a;
    const auto part = StretchWithin(box, a, points[(i + 1) % n]);
    if (!part) continue;
    const Vec2 from = a + part->from * way;
    const Vec2 to = a + part->to * way;
    if (!parts.empty() && parts.back().back() == from) {
      parts.back().push_back(to);
    } else {
      parts.push_back({from, to});
    }
  }
  return parts;
}

namespace {

/// A page drawn with its marks labelled in one way.
struct Attempt {
  SheetPage page;
  std::vector<SheetMark> marks;
  int apart = 0;  ///< pieces that do not carry all they say of themselves
};

Result<Attempt> Draw(MarkText text, const PlannedPage& plan, const Box& area,
                     const TemplateSheetInput& input, const std::vector<DevelopedPiece>& pieces,
                     const SheetPage& page) {
  Attempt made{page, {}, 0};
  PieceArtist artist(plan, area, input, &made.page);
  for (const PiecePlace& place : plan.places) artist.DrawLines(place, pieces[place.piece]);
  for (const PiecePlace& place : plan.places) artist.DrawJoins(place);
  for (const PiecePlace& place : plan.places) {
    artist.DrawMarks(place, pieces[place.piece], &made.marks);
  }
  const Result<void> labelled = artist.LabelMarks(pieces, text);
  if (!labelled) return tl::unexpected<Error>(labelled.error());
  for (const PiecePlace& place : plan.places) {
    if (!artist.LabelRest(place, pieces[place.piece])) ++made.apart;
  }
  return made;
}

}  // namespace

Result<std::vector<SheetMark>> DrawPieces(const PlannedPage& plan, const Box& area,
                                          const TemplateSheetInput& input,
                                          const std::vector<DevelopedPiece>& pieces,
                                          SheetPage* page) {
  Result<Attempt> best = Draw(MarkText::large, plan, area, input, pieces, *page);
  if (!best) return tl::unexpected<Error>(best.error());
  // Side, arrows and warning must be on the piece once it is cut out; the marks' texts make way.
  for (const MarkText text : {MarkText::small, MarkText::in_list}) {
    if (best->apart == 0) break;
    Result<Attempt> other = Draw(text, plan, area, input, pieces, *page);
    if (other && other->apart < best->apart) best = std::move(other);
  }
  *page = std::move(best->page);
  return std::move(best->marks);
}

}  // namespace holeward
