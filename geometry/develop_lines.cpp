#include "geometry/develop_lines.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include <fmt/format.h>

namespace holeward {
namespace {

// Lines are drawn through places this far apart, mm, and thinned to this error, mm.
constexpr double kStep = 1.0;
constexpr double kThin = 0.001;

// Flat image of the line straight in (u, v) between two places, break by break.
std::vector<Vec2> Drawn(const DevelopedPatch& patch, const SkinPlace& a, const SkinPlace& b) {
  const double long_way = (patch.At(a).at - patch.At(b).at).norm() + std::abs(b.v - a.v) * 20.0;
  const int steps = std::clamp(static_cast<int>(long_way / kStep), 32, 1500);
  std::vector<Vec2> out;
  for (int k = 0; k <= steps; ++k) {
    const double t = static_cast<double>(k) / steps;
    out.push_back(patch.At(a.u + t * (b.u - a.u), a.v + t * (b.v - a.v)).at);
  }
  return out;
}

void Farthest(const std::vector<Vec2>& line, std::size_t a, std::size_t b, double tolerance,
              std::vector<bool>& keep) {
  const Vec2 along = line[b] - line[a];
  const double length = along.norm();
  std::size_t worst = a;
  double most = tolerance;
  for (std::size_t k = a + 1; k < b; ++k) {
    const Vec2 r = line[k] - line[a];
    const double off =
        length > 1e-12 ? std::abs(along.x() * r.y() - along.y() * r.x()) / length : r.norm();
    if (off > most) {
      most = off;
      worst = k;
    }
  }
  if (worst == a) return;
  keep[worst] = true;
  Farthest(line, a, worst, tolerance, keep);
  Farthest(line, worst, b, tolerance, keep);
}

FlatLine Line(FlatLineKind kind, const std::vector<Vec2>& points, Phrase words) {
  return {kind, Thinned(points, kThin), false, std::move(words)};
}

// Tangent lines and folds at the corners that the piece crosses or touches.
void CornerLines(const Part& part, const PieceLayout& layout, const DevelopedPatch& patch,
                 std::vector<FlatLine>& lines) {
  const Skin& skin = *part.skin;
  if (skin.round()) return;
  const int count = skin.piece_count();
  auto add = [&](FlatLineKind kind, double v) {
    const bool inside = v > layout.range.v_from + 1e-9 && v < layout.range.v_to - 1e-9;
    const bool aligned = std::any_of(layout.align.begin(), layout.align.end(), [&](const auto& a) {
      return a.along && std::abs(a.at - v) < 1e-9;
    });
    if (!inside || aligned) return;
    const auto points = Drawn(patch, {patch.u_from(), v}, {patch.u_to(), v});
    lines.push_back(
        Line(kind, points, kind == FlatLineKind::fold ? Phrase(Told("fold")) : Phrase()));
  };
  for (int k = static_cast<int>(std::floor(layout.range.v_from)); k < layout.range.v_to; ++k) {
    const int piece = ((k % count) + count) % count;
    if (skin.KindOf(piece) != PieceKind::corner) continue;
    if (IsSharp(skin, piece, patch.u_from())) {
      add(FlatLineKind::fold, k + 0.5);
    } else {
      add(FlatLineKind::tangent, k);
      add(FlatLineKind::tangent, k + 1.0);
    }
  }
}

void AlignLines(const PieceLayout& layout, const DevelopedPatch& patch,
                std::vector<FlatLine>& lines) {
  for (const AlignLine& a : layout.align) {
    const double lo = std::max(a.from, a.along ? patch.u_from() : patch.v_from());
    const double hi = std::min(a.to, a.along ? patch.u_to() : patch.v_to());
    if (!(hi > lo)) continue;
    const SkinPlace from = a.along ? SkinPlace{lo, a.at} : SkinPlace{a.at, lo};
    const SkinPlace to = a.along ? SkinPlace{hi, a.at} : SkinPlace{a.at, hi};
    lines.push_back(Line(FlatLineKind::align, Drawn(patch, from, to), a.words));
  }
}

// Outline of a fitting's footprint as places of the patch, `inside` false where it leaves it.
struct OutlinePlace {
  Vec2 at;
  bool inside;
};
std::vector<OutlinePlace> FittingOutline(const Part& part, const Fitting& f, double turn,
                                         const DevelopedPatch& patch) {
  std::vector<OutlinePlace> out;
  const double slack = 1e-9;
  auto add = [&](const SkinPlace& p) {
    const bool inside = p.u >= patch.u_from() - slack && p.u <= patch.u_to() + slack &&
                        p.v >= patch.v_from() - slack && p.v <= patch.v_to() + slack;
    out.push_back({inside ? patch.At(p).at : Vec2::Zero(), inside});
  };
  const Footprint& foot = f.footprint;
  const SkinPlace centre{f.centre.u, f.centre.v + turn};
  if (foot.disc) {
    // By tape from the centre, which the sheet keeps: a circle when flat.
    const Vec2 middle = patch.At(centre).at;
    for (int k = 0; k < 180; ++k) {
      const double angle = 2.0 * kPi * k / 180;
      const Vec2 at = middle + foot.radius * Vec2(std::cos(angle), std::sin(angle));
      const bool inside = patch.Inverse(at).has_value();
      out.push_back({at, inside});
    }
    return out;
  }
  const double half = 0.5 * foot.around;
  auto v_at = [&](double u, double side) {
    return VAtOutline(*part.skin, std::clamp(u, 0.0, part.skin->u_end()), centre.v, side);
  };
  const int steps = 120;
  for (int k = 0; k < 4 * steps; ++k) {
    const double t = static_cast<double>(k % steps) / steps;
    const double u = foot.u_from + t * (foot.u_to - foot.u_from);
    const double back = foot.u_to + t * (foot.u_from - foot.u_to);
    if (k < steps)
      add({u, v_at(u, -half)});
    else if (k < 2 * steps)
      add({foot.u_to, v_at(foot.u_to, half * (2.0 * t - 1.0))});
    else if (k < 3 * steps)
      add({back, v_at(back, half)});
    else
      add({foot.u_from, v_at(foot.u_from, half * (1.0 - 2.0 * t))});
  }
  return out;
}

void FittingLines(const Part& part, const PieceLayout& layout, const DevelopedPatch& patch,
                  std::vector<FlatLine>& lines) {
  const int count = part.skin->piece_count();
  for (const Fitting& f : part.fittings) {
    if (f.shape == FittingShape::eye || (!f.footprint.disc && f.footprint.around <= 0.0)) continue;
    const double middle = 0.5 * (layout.range.v_from + layout.range.v_to);
    const double turns =
        part.skin->closed() ? std::round((middle - f.centre.v) / count) * count : 0.0;
    for (const double turn : {turns - count, turns, turns + count}) {
      if (turn != turns && !(layout.closed && part.skin->closed())) continue;
      const std::vector<OutlinePlace> all = FittingOutline(part, f, turn, patch);
      const std::size_t n = all.size();
      const auto first_out =
          std::find_if(all.begin(), all.end(), [](const OutlinePlace& p) { return !p.inside; });
      if (first_out == all.end()) {
        FlatLine whole{FlatLineKind::fitting, {}, true, Phrase("{}", {f.name})};
        for (const OutlinePlace& p : all) whole.points.push_back(p.at);
        lines.push_back(whole);
        continue;
      }
      // Runs that lie on the sheet, begun at a place off it.
      std::vector<Vec2> run;
      const std::size_t start = static_cast<std::size_t>(first_out - all.begin());
      for (std::size_t k = 1; k <= n; ++k) {
        const OutlinePlace& p = all[(start + k) % n];
        if (p.inside) run.push_back(p.at);
        if (!p.inside && run.size() > 1)
          lines.push_back(Line(FlatLineKind::fitting, run, Phrase("{}", {f.name})));
        if (!p.inside) run.clear();
      }
    }
  }
}

}  // namespace

FlatLine CutLine(const DevelopedPatch& p) {
  const SkinPlace corner[4] = {{p.u_from(), p.v_from()},
                               {p.u_to(), p.v_from()},
                               {p.u_to(), p.v_to()},
                               {p.u_from(), p.v_to()}};
  FlatLine cut;
  cut.closed = true;
  for (int k = 0; k < 4; ++k) {
    std::vector<Vec2> side = Thinned(Drawn(p, corner[k], corner[(k + 1) % 4]), kThin);
    cut.points.insert(cut.points.end(), side.begin(), side.end() - 1);
  }
  return cut;
}

std::vector<Vec2> Thinned(const std::vector<Vec2>& line, double tolerance) {
  if (line.size() < 3) return line;
  std::vector<bool> keep(line.size(), false);
  keep.front() = keep.back() = true;
  Farthest(line, 0, line.size() - 1, tolerance, keep);
  std::vector<Vec2> out;
  for (std::size_t k = 0; k < line.size(); ++k) {
    if (keep[k]) out.push_back(line[k]);
  }
  return out;
}

bool CrossesItself(const std::vector<Vec2>& outline) {
  const std::size_t n = outline.size();
  auto side = [](const Vec2& a, const Vec2& b, const Vec2& c) {
    return (b.x() - a.x()) * (c.y() - a.y()) - (b.y() - a.y()) * (c.x() - a.x());
  };
  for (std::size_t i = 0; i < n; ++i) {
    const Vec2 &a = outline[i], &b = outline[(i + 1) % n];
    for (std::size_t j = i + 2; j < n; ++j) {
      if (i == 0 && j + 1 == n) continue;
      const Vec2 &c = outline[j], &d = outline[(j + 1) % n];
      if (side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0) return true;
    }
  }
  return false;
}

std::vector<FlatLine> PieceLines(const Part& part, const PieceLayout& layout,
                                 const DevelopedPatch& patch) {
  std::vector<FlatLine> lines{CutLine(patch)};
  CornerLines(part, layout, patch, lines);
  AlignLines(layout, patch, lines);
  FittingLines(part, layout, patch, lines);
  if (layout.closed) {
    const double u = 0.5 * (patch.u_from() + patch.u_to());
    const double girth = (patch.At(u, patch.v_to()).at - patch.At(u, patch.v_from()).at).norm();
    for (const double v : {patch.v_from(), patch.v_to()}) {
      lines.push_back(
          Line(FlatLineKind::butt, Drawn(patch, {patch.u_from(), v}, {patch.u_to(), v}),
               Phrase(Told("this edge and the one across the sheet meet, without gap or overlap; "
                           "check: {} mm from edge to edge, half way along"),
                      {fmt::format("{:.1f}", girth)})));
    }
  }
  return lines;
}

}  // namespace holeward
