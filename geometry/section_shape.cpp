// The metal of a part's section: the outline and the outline one wall inside it.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "geometry/section_outline.h"

namespace holeward {
namespace {

constexpr double kNothing = 1e-9;

double Cross(const Vec2& p, const Vec2& q) { return p.x() * q.y() - p.y() * q.x(); }

/// A chain of flats joined by corners.
struct Chain {
  bool closed = true;
  std::vector<Vec2> vertices;
  std::vector<double> corners;
};

Vec2 EdgeOf(const Chain& chain, std::size_t from) {
  return (chain.vertices[(from + 1) % chain.vertices.size()] - chain.vertices[from]).normalized();
}

/// The turn at a vertex, positive where the outline bulges; 0 at a lip.
double TurnAt(const Chain& chain, std::size_t k) {
  const std::size_t n = chain.vertices.size();
  if (!chain.closed && (k == 0 || k + 1 == n)) return 0.0;
  const Vec2 before = EdgeOf(chain, (k + n - 1) % n);
  const Vec2 after = EdgeOf(chain, k);
  return std::atan2(Cross(before, after), before.dot(after));
}

/// Edge k (from vertex k to the next) moved to the left by `by[k]`; lips stay square to theirs.
std::vector<Vec2> MovedIn(const Chain& chain, const std::vector<double>& by) {
  const std::size_t n = chain.vertices.size();
  std::vector<Vec2> moved(n);
  for (std::size_t k = 0; k < n; ++k) {
    const bool first = !chain.closed && k == 0;
    const bool last = !chain.closed && k + 1 == n;
    const std::size_t before = first ? 0 : (k + n - 1) % n;
    const std::size_t after = last ? before : k;
    const Vec2 d0 = EdgeOf(chain, before);
    const Vec2 d1 = EdgeOf(chain, after);
    const Vec2 n0(-d0.y(), d0.x());
    const Vec2 n1(-d1.y(), d1.x());
    const double sine = Cross(d0, d1);
    if (std::abs(sine) < 1e-9) {
      moved[k] = chain.vertices[k] + 0.5 * (by[before] * n0 + by[after] * n1);
      continue;
    }
    // p·n0 = by0 and p·n1 = by1 from the vertex on.
    Eigen::Matrix2d m;
    m << n0.transpose(), n1.transpose();
    moved[k] = chain.vertices[k] + m.inverse() * Vec2(by[before], by[after]);
  }
  return moved;
}

struct Drawn {
  std::vector<OutlinePiece> pieces;
  std::vector<std::size_t> edge;  // the edge a piece belongs to; a corner the edge after it
  bool sound = true;              // no flat turned round by its corners
};

Drawn Draw(const Chain& chain) {
  Drawn drawn;
  const std::size_t n = chain.vertices.size();
  const std::size_t edges = chain.closed ? n : n - 1;
  auto set_back = [&](std::size_t k) {
    return chain.corners[k] * std::tan(0.5 * std::abs(TurnAt(chain, k)));
  };
  for (std::size_t k = 0; k < edges; ++k) {
    const std::size_t next = (k + 1) % n;
    const Vec2 d = EdgeOf(chain, k);
    const double turn = TurnAt(chain, k);
    const double r = chain.corners[k];
    const Vec2 from = chain.vertices[k] + set_back(k) * d;
    const Vec2 to = chain.vertices[next] - set_back(next) * d;
    if (r > kNothing && std::abs(turn) > kNothing) {
      const double side = turn < 0.0 ? -1.0 : 1.0;
      const Vec2 centre = from + side * r * Vec2(-d.y(), d.x());
      const Vec2 spoke = from - centre;
      drawn.pieces.push_back(
          OutlinePiece::Arc(centre, r, std::atan2(spoke.y(), spoke.x()) - turn, turn));
      drawn.edge.push_back(k);
    }
    const double run = (to - from).dot(d);
    drawn.sound = drawn.sound && run > -kNothing;
    if (run > kNothing) {
      drawn.pieces.push_back(OutlinePiece::Line(from, to));
      drawn.edge.push_back(k);
    }
  }
  return drawn;
}

Error DoesNotFit(const Part& part, double u) {
  return {
      ErrorKind::computed,
      fmt::format("part \"{}\": a wall of {:.2f} does not fit into its section at station {:.1f}",
                  part.name, part.wall, part.skin->StationOf(u))};
}

/// The wall as the section shows it where the skin's normal leans out of the section.
double WallInSection(const Part& part, double u, double v) {
  const Skin& skin = *part.skin;
  const double lean = skin.At(u, v).normal.dot(skin.FrameAt(u).tangent);
  return part.wall / std::sqrt(std::max(1.0 - lean * lean, 1e-6));
}

Result<SectionShape> RoundShape(const Part& part, double u) {
  const double outer = part.skin->RadiusAt(u);
  const double wall = WallInSection(part, u, 0.5);
  if (!(wall < outer - kNothing)) return tl::unexpected(DoesNotFit(part, u));
  SectionShape shape;
  shape.round = true;
  const double start = -0.5 * kPi;
  shape.metal = {OutlinePiece::Arc(Vec2::Zero(), outer, start, 2.0 * kPi),
                 OutlinePiece::Arc(Vec2::Zero(), outer - wall, start, -2.0 * kPi)};
  shape.mid_line = {OutlinePiece::Arc(Vec2::Zero(), outer - 0.5 * wall, start, 2.0 * kPi)};
  shape.mid_wall = {wall};
  return shape;
}

}  // namespace

Result<SectionShape> SectionShapeOf(const Part& part, double u) {
  const Skin& skin = *part.skin;
  if (!(part.wall > 0.0)) return tl::unexpected(DoesNotFit(part, u));
  if (skin.round()) return RoundShape(part, u);
  Chain outer;
  outer.closed = skin.closed();
  const std::size_t n = static_cast<std::size_t>(skin.vertex_count());
  std::vector<double> walls;
  for (std::size_t k = 0; k < n; ++k) {
    outer.vertices.push_back(skin.VertexAt(u, static_cast<int>(k)));
    outer.corners.push_back(skin.CornerRadiusAt(u, static_cast<int>(k)));
    // Edge k is piece 2 (k + 1) of a closed skin, 2 k of an open one (geometry/skin.h).
    const int piece = outer.closed ? 2 * static_cast<int>((k + 1) % n) : 2 * static_cast<int>(k);
    const bool is_edge = piece < skin.piece_count();
    walls.push_back(is_edge ? WallInSection(part, u, piece + 0.5) : part.wall);
  }
  if (!outer.closed) outer.corners.front() = outer.corners.back() = 0.0;
  Chain inner = outer;
  Chain middle = outer;
  inner.vertices = MovedIn(outer, walls);
  std::vector<double> halves = walls;
  for (double& half : halves) half *= 0.5;
  middle.vertices = MovedIn(outer, halves);
  for (std::size_t k = 0; k < n; ++k) {
    const double turn = TurnAt(outer, k);
    const double wall = std::min(walls[k], walls[(k + n - 1) % n]);
    inner.corners[k] =
        turn < 0.0 ? outer.corners[k] + wall : std::max(outer.corners[k] - wall, 0.0);
    middle.corners[k] = 0.5 * (outer.corners[k] + inner.corners[k]);
  }
  const Drawn outside = Draw(outer);
  const Drawn inside = Draw(inner);
  const Drawn between = Draw(middle);
  bool fits = outside.sound && inside.sound && between.sound;
  for (std::size_t k = 0; k + (outer.closed ? 0 : 1) < n; ++k) {
    fits = fits && EdgeOf(inner, k).dot(EdgeOf(outer, k)) > 0.0;
  }
  if (!fits) return tl::unexpected(DoesNotFit(part, u));

  SectionShape shape;
  shape.closed = outer.closed;
  shape.metal = outside.pieces;
  if (!outer.closed) {
    shape.metal.push_back(OutlinePiece::Line(outer.vertices.back(), inner.vertices.back()));
  }
  for (auto it = inside.pieces.rbegin(); it != inside.pieces.rend(); ++it) {
    shape.metal.push_back(it->Reversed());
  }
  if (!outer.closed) {
    shape.metal.push_back(OutlinePiece::Line(inner.vertices.front(), outer.vertices.front()));
  }
  shape.mid_line = between.pieces;
  for (const std::size_t edge : between.edge) shape.mid_wall.push_back(walls[edge]);
  return shape;
}

}  // namespace holeward
