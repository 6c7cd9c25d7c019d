#include "geometry/develop_hold.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include <fmt/format.h>

#include "geometry/develop_shape.h"
#include "geometry/polygon.h"

namespace holeward {
namespace {

constexpr int kStations = 40;
constexpr int kCircleSteps = 48;
constexpr std::size_t kMostMagnets = 4;
constexpr double kGrid = 3.0;
constexpr double kLineStep = 1.0;

// Distance from a place to a polyline, by its places and those between, mm.
double OffLine(const FlatLine& line, const Vec2& p) {
  double nearest = 1e300;
  const std::size_t n = line.points.size();
  for (std::size_t k = 0; k + (line.closed ? 0 : 1) < n; ++k) {
    nearest = std::min(nearest, OffSegment(line.points[k], line.points[(k + 1) % n], p));
  }
  return nearest;
}

// Room round a place that is free of borders, cuts, alignment lines and marks, mm; negative off the
// sheet.
double RoomAt(const DevelopedPiece& piece, const Vec2& p) {
  if (!IsInside(piece.lines.front().points, p)) return -1.0;
  double room = 1e300;
  for (const FlatLine& line : piece.lines) {
    const bool counts = line.kind == FlatLineKind::cut || line.kind == FlatLineKind::align ||
                        line.kind == FlatLineKind::butt || line.kind == FlatLineKind::fitting ||
                        line.kind == FlatLineKind::magnet;
    if (counts && line.closed && &line != &piece.lines.front() && IsInside(line.points, p)) {
      return -1.0;
    }
    if (counts) room = std::min(room, OffLine(line, p));
  }
  for (const FlatMark& mark : piece.marks) {
    room = std::min(room, (mark.at - p).norm() - OutlineReach(mark));
  }
  return room;
}

// A slot along the part, its middle a little inside the border v at u; nothing where no room is.
std::optional<FlatLine> SlotAt(const PieceRequest& r, const DevelopedPatch& patch,
                               const DevelopedPiece& piece, const SkinPlace& border, bool upward) {
  const FlatJet f = patch.At(border);
  const Vec2 along = f.du.normalized();
  Vec2 in(-along.y(), along.x());
  if (in.dot(upward ? Vec2(-f.dv) : f.dv) < 0.0) in = -in;
  const Vec2 middle = f.at + (kHoldClear + 0.5 * kSlotWidth + 1.0) * in;
  const double half = 0.5 * (r.strap + kSlotWidth);
  for (double t = -half; t <= half; t += kLineStep) {
    if (RoomAt(piece, middle + t * along) < kHoldClear + 0.5 * kSlotWidth) return std::nullopt;
  }
  const Vec2 a = half * along, b = 0.5 * kSlotWidth * in;
  return FlatLine{FlatLineKind::cut,
                  {middle - a - b, middle + a - b, middle + a + b, middle - a + b},
                  true,
                  {}};
}

std::string AddSlots(const PieceRequest& r, const PieceLayout& layout, const DevelopedPatch& patch,
                     DevelopedPiece& piece) {
  if (layout.closed) return "goes all round: its straps are put round outside, it has no slots";
  std::vector<std::vector<FlatLine>> pairs;
  for (int k = 1; k < kStations; ++k) {
    const double u = patch.u_from() + k * (patch.u_to() - patch.u_from()) / kStations;
    const auto low = SlotAt(r, patch, piece, {u, layout.core_from}, false);
    const auto high = SlotAt(r, patch, piece, {u, layout.core_to}, true);
    if (low && high) pairs.push_back({*low, *high});
  }
  if (pairs.empty()) {
    return fmt::format("has no room for the slots of a strap {:g} mm wide; tape it on", r.strap);
  }
  const Vec2 first = pairs.front()[0].points[0], last = pairs.back()[0].points[0];
  const bool two = (last - first).norm() > 2.0 * r.strap;
  std::vector<std::vector<FlatLine>> taken{two ? pairs.front() : pairs[pairs.size() / 2]};
  if (two) taken.push_back(pairs.back());
  taken.front().front().words =
      Phrase(Told("slot for a strap {} mm wide"), {fmt::format("{:g}", r.strap)});
  for (const std::vector<FlatLine>& pair : taken) {
    piece.lines.insert(piece.lines.end(), pair.begin(), pair.end());
  }
  return "";
}

FlatLine Circle(const Vec2& middle, double radius) {
  FlatLine circle{FlatLineKind::magnet, {}, true, {}};
  for (int k = 0; k < kCircleSteps; ++k) {
    const double angle = 2.0 * kPi * k / kCircleSteps;
    circle.points.push_back(middle + radius * Vec2(std::cos(angle), std::sin(angle)));
  }
  return circle;
}

std::string AddMagnets(const PieceRequest& r, DevelopedPiece& piece) {
  const std::vector<Vec2>& outline = piece.lines.front().points;
  Vec2 lo = outline.front(), hi = outline.front();
  for (const Vec2& p : outline) {
    lo = lo.cwiseMin(p);
    hi = hi.cwiseMax(p);
  }
  const double need = 0.5 * r.magnet + kHoldClear;
  std::vector<Vec2> free;
  for (double x = lo.x() + need; x <= hi.x() - need; x += kGrid) {
    for (double y = lo.y() + need; y <= hi.y() - need; y += kGrid) {
      if (RoomAt(piece, {x, y}) >= need) free.emplace_back(x, y);
    }
  }
  if (free.empty()) {
    return fmt::format("has no room for a magnet of {:g} mm; tape it on", r.magnet);
  }
  // The farthest from the middle, then always the farthest from those there are.
  std::vector<Vec2> taken;
  const Vec2 middle = 0.5 * (lo + hi);
  while (taken.size() < kMostMagnets) {
    auto spare = [&](const Vec2& p) {
      double off = taken.empty() ? (p - middle).norm() : 1e300;
      for (const Vec2& t : taken) off = std::min(off, (p - t).norm());
      return off;
    };
    const auto best = std::max_element(free.begin(), free.end(), [&](const Vec2& a, const Vec2& b) {
      return spare(a) < spare(b);
    });
    if (!taken.empty() && spare(*best) < 2.0 * r.magnet) break;
    taken.push_back(*best);
  }
  for (const Vec2& at : taken) piece.lines.push_back(Circle(at, 0.5 * r.magnet));
  piece.lines[piece.lines.size() - taken.size()].words =
      Phrase(Told("magnet {} mm"), {fmt::format("{:g}", r.magnet)});
  return "";
}

}  // namespace

std::string AddHold(const PieceRequest& r, const PieceLayout& layout, const DevelopedPatch& patch,
                    DevelopedPiece& piece) {
  if (r.strap > 0.0) return AddSlots(r, layout, patch, piece);
  if (r.magnet > 0.0) return AddMagnets(r, piece);
  return "";
}

}  // namespace holeward
