#include "geometry/develop_propose.h"

#include <algorithm>
#include <cmath>

#include "geometry/develop_align.h"
#include "geometry/develop_fix.h"

namespace holeward {
namespace {

constexpr int kPlaces = 8;
// A sheet that grows by so much must hold twice as well to be preferred, mm.
constexpr double kDearGrowth = 200.0;
// Ways that differ by less are as long, mm: rounding does not choose between them.
constexpr double kSameWay = 1e-3;

double MeanU(const PieceRequest& r) {
  double sum = 0.0;
  for (const PieceMark& m : r.marks) sum += m.place.u;
  return sum / static_cast<double>(r.marks.size());
}

PieceLayout LayoutOf(const PieceRequest& r, const Face* face) {
  return face != nullptr ? LayoutOnFace(r, *face, false) : LayoutJoined(r);
}

// Lines and marks by station and girth, as if the part were straight.
SheetFix FixOnChart(const PieceRequest& r, const PieceLayout& layout) {
  const Skin& skin = *r.part->skin;
  const double u = MeanU(r);
  auto flat = [&](double at_u, double v) {
    return Vec2(skin.StationOf(at_u), OutlineTo(skin, u, v));
  };
  SheetHold sheet;
  for (const AlignLine& line : layout.align) {
    sheet.lines.emplace_back();
    for (int k = 0; k <= kPlaces; ++k) {
      const double t = line.from + k * (line.to - line.from) / kPlaces;
      sheet.lines.back().push_back(line.along ? flat(t, line.at) : flat(line.at, t));
    }
  }
  for (const PieceMark& m : r.marks) {
    const SkinPlace place = OnLayout(r, layout, m.place);
    sheet.marks.push_back(flat(place.u, place.v));
  }
  if (layout.closed) sheet.girth = skin.Perimeter(u);
  return FixOf(sheet);
}

// Everything of the part that the piece may be laid by.
std::vector<std::string> Offered(const PieceRequest& r, const Face* face) {
  const Part& part = *r.part;
  std::vector<std::string> out{part.start, part.finish};
  for (const Fitting& f : part.fittings) {
    // One that only readings place would shift the sheet by what they are off.
    if (!f.mirrored && f.spread == 0.0) out.push_back(f.name);
  }
  for (const NamedLine& line : part.lines) out.push_back(line.name);
  for (const Face& f : part.faces) {
    const bool here = face != nullptr
                          ? f.piece == face->piece
                          : std::any_of(r.marks.begin(), r.marks.end(), [&](const auto& m) {
                              return part.skin->PieceOf(m.place.v) == f.piece;
                            });
    if (!here) continue;
    out.push_back(f.first_edge);
    out.push_back(f.second_edge);
  }
  std::erase_if(out, [&](const std::string& name) {
    return name.empty() || std::find(r.align.begin(), r.align.end(), name) != r.align.end();
  });
  return out;
}

// How far a piece reaches along the part and round it, together, mm.
double Reach(const PieceRequest& r, const PieceLayout& layout) {
  const Skin& skin = *r.part->skin;
  const double u = MeanU(r);
  return skin.StationOf(layout.range.u_to) - skin.StationOf(layout.range.u_from) +
         OutlineTo(skin, u, layout.core_to) - OutlineTo(skin, u, layout.core_from);
}

}  // namespace

std::vector<std::string> ProposedAlignment(const PieceRequest& r, const Face* face) {
  const Skin& skin = *r.part->skin;
  const PieceExtent u = MarkedU(r);
  const double middle = MeanU(r);
  std::vector<std::string> out;
  out.push_back(u.from <= skin.u_end() - u.to + kSameWay ? r.part->start : r.part->finish);
  const double v = r.marks.front().place.v;
  if (face != nullptr) {
    const double to_first = OutlineTo(skin, middle, v) - OutlineTo(skin, middle, face->piece);
    const double to_second =
        OutlineTo(skin, middle, face->piece + 1.0) - OutlineTo(skin, middle, v);
    const bool first = !face->first_edge.empty() &&
                       (face->second_edge.empty() || to_first <= to_second + kSameWay);
    out.push_back(first ? face->first_edge : face->second_edge);
  } else if (!r.part->lines.empty()) {
    const NamedLine* best = &r.part->lines.front();
    auto off = [&](const NamedLine& l) {
      return std::abs(std::remainder(l.v - v, skin.piece_count()));
    };
    for (const NamedLine& l : r.part->lines) {
      if (off(l) < off(*best)) best = &l;
    }
    out.push_back(best->name);
  } else if (!r.part->faces.empty()) {
    for (const Face& f : r.part->faces) {
      if (f.piece == skin.PieceOf(v)) return {out[0], ProposedAlignment(r, &f).back()};
    }
  }
  if (out.back().empty()) out.pop_back();
  return out;
}

std::string FurtherAlignment(const PieceRequest& r, const Face* face) {
  const double reach = Reach(r, LayoutOf(r, face));
  std::string best;
  double most = 0.0;
  for (const std::string& name : Offered(r, face)) {
    PieceRequest with = r;
    with.align.push_back(name);
    const PieceLayout layout = LayoutOf(with, face);
    const SheetFix fix = FixOnChart(with, layout);
    if (!fix.Fixed()) continue;
    const double growth = std::max(0.0, Reach(with, layout) - reach);
    const double worth = fix.hold / (1.0 + growth / kDearGrowth);
    if (worth <= most) continue;
    most = worth;
    best = name;
  }
  return best;
}

}  // namespace holeward
