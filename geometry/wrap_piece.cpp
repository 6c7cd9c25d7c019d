#include "geometry/wrap_piece.h"

#include <algorithm>

namespace holeward {
namespace {

// Places drawn along each side of the outline.
constexpr int kSidePlaces = 60;

std::vector<Vec2> CoreOutline(const PieceLayout& layout, const DevelopedPatch& patch) {
  const SkinPlace corner[4] = {{patch.u_from(), layout.core_from},
                               {patch.u_to(), layout.core_from},
                               {patch.u_to(), layout.core_to},
                               {patch.u_from(), layout.core_to}};
  std::vector<Vec2> out;
  for (int side = 0; side < 4; ++side) {
    const SkinPlace &a = corner[side], &b = corner[(side + 1) % 4];
    for (int k = 0; k < kSidePlaces; ++k) {
      const double t = static_cast<double>(k) / kSidePlaces;
      out.push_back(patch.At(a.u + t * (b.u - a.u), a.v + t * (b.v - a.v)).at);
    }
  }
  return out;
}

}  // namespace

WrapSheet WrapSheetOf(const PieceRequest& request, const PieceLayout& layout,
                      const DevelopedPatch& patch, const std::vector<FlatMark>& marks) {
  WrapSheet sheet;
  sheet.skin = request.part->skin;
  sheet.offset = request.Offset();
  sheet.outline = CoreOutline(layout, patch);
  for (std::size_t k = 0; k < marks.size(); ++k) {
    sheet.marks.push_back(
        {marks[k].name, marks[k].at, OnLayout(request, layout, request.marks[k].place)});
  }
  for (const AlignLine& line : layout.align) {
    const double from = std::max(line.from, line.along ? patch.u_from() : patch.v_from());
    const double to = std::min(line.to, line.along ? patch.u_to() : patch.v_to());
    if (!(to > from)) continue;
    const bool along = line.along;
    const double at = line.at;
    sheet.edges.push_back({line.name, along, at, from, to, [&patch, along, at](double t) {
                             const FlatJet f = along ? patch.At(t, at) : patch.At(at, t);
                             return SheetLineJet{f.at, along ? f.du : f.dv};
                           }});
  }
  return sheet;
}

}  // namespace holeward
