#include "export/tiling.h"

#include <algorithm>
#include <cmath>

namespace holeward {
namespace {

constexpr double kMatchClear = 12.0;  ///< a cut keeps this far from a mark if it can, mm

/// Windows of the tiles along one axis: joins between them, the windows overlapping by
/// kTileOverlap.
struct Cuts {
  std::vector<double> joins;
  double low = 0.0;
  double high = 0.0;

  [[nodiscard]] double Low(int i) const {
    return i == 0 ? low : joins[static_cast<std::size_t>(i - 1)] - kTileOverlap / 2.0;
  }
  [[nodiscard]] double High(int i) const {
    return i == static_cast<int>(joins.size())
               ? high
               : joins[static_cast<std::size_t>(i)] + kTileOverlap / 2.0;
  }
};

int TilesAlong(double length, double room) {
  if (length <= room) return 1;
  return static_cast<int>(std::ceil((length - kTileOverlap) / (room - kTileOverlap) - 1e-9));
}

double Clearance(double at, const std::vector<FlatMark>& marks, int axis) {
  double clear = kMatchClear;
  for (const FlatMark& mark : marks) clear = std::min(clear, std::abs(mark.at[axis] - at));
  return clear;
}

/// The place within `slack` of the nominal one that keeps farthest from marks; the nearest such.
double BestCut(double nominal, double slack, const std::vector<FlatMark>& marks, int axis) {
  double best = nominal;
  const int steps = static_cast<int>(slack / 0.5);
  for (int i = 1; i <= 2 * steps; ++i) {
    const int step = (i + 1) / 2;  // 1, -1, 2, -2, …
    const double at = nominal + 0.5 * (i % 2 == 0 ? step : -step);
    if (Clearance(at, marks, axis) > Clearance(best, marks, axis) + 1e-9) best = at;
  }
  return best;
}

/// Along one axis of a page's room.
struct Along {
  int axis = 0;
  double room = 0.0;
  LastTile last = LastTile::as_others;
};

Cuts CutAlong(const Box& extent, const std::vector<FlatMark>& marks, const Along& along) {
  Cuts cuts{{}, extent.low[along.axis], extent.high[along.axis]};
  const double length = cuts.high - cuts.low;
  const int n = TilesAlong(length, along.room);
  if (n == 1) return cuts;
  const double even = (length + (n - 1) * kTileOverlap) / n;
  // A join keeps room to either side, so that it can keep off the marks.
  const double full = std::max(even, along.room - 2.0 * kMatchClear);
  const double window = along.last == LastTile::as_others ? even : full;
  const double slack = (along.room - window) / 2.0;
  for (int i = 1; i < n; ++i) {
    const double nominal = cuts.low + i * (window - kTileOverlap) + kTileOverlap / 2.0;
    cuts.joins.push_back(BestCut(nominal, slack, marks, along.axis));
  }
  return cuts;
}

double NearestMark(const Vec2& p, const std::vector<FlatMark>& marks) {
  double nearest = 25.0;  // farther off is as good
  for (const FlatMark& mark : marks) nearest = std::min(nearest, (mark.at - p).norm());
  return nearest;
}

/// The place near `share` of the range along a join that keeps farthest from marks.
double BestCross(const Join& join, const Vec2& range, double share,
                 const std::vector<FlatMark>& marks) {
  double best = 0.0;
  double best_clear = -1.0;
  for (const double aside : {0.0, -0.04, 0.04, -0.08, 0.08, -0.12, 0.12}) {
    const double along = range[0] + (share + aside) * (range[1] - range[0]);
    const Vec2 p = join.upright ? Vec2(join.at, along) : Vec2(along, join.at);
    const double clear = NearestMark(p, marks);
    if (clear <= best_clear + 1e-9) continue;
    best = along;
    best_clear = clear;
  }
  return best;
}

struct Tiling {
  Cuts x, y;
  TilePlace grid;
  std::vector<Join> joins;  ///< every join between two tiles, once
};

/// The join above or to the right of a tile, with its two crosses.
Join JoinAfter(int column, int row, bool upright, const Tiling& tiling) {
  Join join;
  join.upright = upright;
  join.at = upright ? tiling.x.joins[column] : tiling.y.joins[row];
  join.number = static_cast<int>(tiling.joins.size());
  join.lower_tile = tiling.grid.Index(column, row);
  join.upper_tile =
      upright ? tiling.grid.Index(column + 1, row) : tiling.grid.Index(column, row + 1);
  return join;
}

void AddJoins(const DevelopedPiece& piece, Tiling* tiling) {
  const auto add = [&](int column, int row, bool upright) {
    Join join = JoinAfter(column, row, upright, *tiling);
    const Vec2 range = upright ? Vec2(tiling->y.Low(row), tiling->y.High(row))
                               : Vec2(tiling->x.Low(column), tiling->x.High(column));
    for (const double share : {0.25, 0.75}) {
      join.crosses.push_back({BestCross(join, range, share, piece.marks), {}});
    }
    tiling->joins.push_back(join);
  };
  for (int row = tiling->grid.rows - 1; row >= 0; --row) {
    for (int column = 0; column < tiling->grid.columns; ++column) {
      if (column + 1 < tiling->grid.columns) add(column, row, true);
      if (row > 0) add(column, row - 1, false);
    }
  }
}

/// One tile with its joins.
PiecePlace TileAt(int column, int row, const Tiling& tiling) {
  PiecePlace place;
  place.window = {{tiling.x.Low(column), tiling.y.Low(row)},
                  {tiling.x.High(column), tiling.y.High(row)}};
  place.tile = tiling.grid;
  place.tile.column = column;
  place.tile.row = row;
  const int index = place.tile.Index();
  for (const Join& join : tiling.joins) {
    if (join.lower_tile == index || join.upper_tile == index) place.joins.push_back(join);
  }
  return place;
}

}  // namespace

int TilesOver(const Vec2& size, const Vec2& room) {
  return TilesAlong(size.x(), room.x()) * TilesAlong(size.y(), room.y());
}

std::vector<PiecePlace> TilesOf(const DevelopedPiece& piece, const Vec2& room, LastTile last) {
  const Box extent = ExtentOf(piece);
  Tiling tiling;
  tiling.x = CutAlong(extent, piece.marks, {0, room.x(), last});
  tiling.y = CutAlong(extent, piece.marks, {1, room.y(), last});
  tiling.grid.columns = static_cast<int>(tiling.x.joins.size()) + 1;
  tiling.grid.rows = static_cast<int>(tiling.y.joins.size()) + 1;
  AddJoins(piece, &tiling);
  std::vector<PiecePlace> tiles;
  for (int row = tiling.grid.rows - 1; row >= 0; --row) {
    for (int column = 0; column < tiling.grid.columns; ++column) {
      tiles.push_back(TileAt(column, row, tiling));
    }
  }
  return tiles;
}

}  // namespace holeward
