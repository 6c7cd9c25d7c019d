#include "geometry/develop_cut_sheet.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include "geometry/develop_shape.h"
#include "geometry/polygon.h"

namespace holeward {
namespace {

// An alignment line on a cut edge is drawn straight in the skin's parameters, the edge by girth: on
// a tapered part they differ by less than this, mm.
constexpr double kOnEdge = 0.3;
// Lines are cut at places this far apart, mm.
constexpr double kLineStep = 0.25;
// A slit keeps this far from the outline of a hole or foot, mm; more where there is room.
constexpr double kSlitClear = 5.0;
// A millimetre of slit across a line costs as much as so many beside it.
constexpr double kAcrossLine = 30.0;
// What is cut through to a border goes so far beyond it, mm.
constexpr double kThrough = 1.0;

// True where the sheet is cut away, or is no more.
bool IsGone(const std::vector<CutOut>& cuts, const ClippedRegion& left, const Vec2& p) {
  const bool cut = std::any_of(cuts.begin(), cuts.end(), [&](const CutOut& c) {
    return IsInside(c.outline, p) && OffBorder(c.outline, p) > kOnEdge;
  });
  return cut || (!IsInside(left.outline, p) && OffBorder(left.outline, p) > kOnEdge);
}

// The parts of a polyline that are still on the sheet.
std::vector<std::vector<Vec2>> Kept(const std::vector<Vec2>& line, const std::vector<CutOut>& cuts,
                                    const ClippedRegion& left) {
  std::vector<std::vector<Vec2>> out;
  bool open = false;
  auto add = [&](const Vec2& p) {
    const bool gone = IsGone(cuts, left, p);
    if (!gone && !open) out.emplace_back();
    if (!gone) out.back().push_back(p);
    open = !gone;
  };
  for (std::size_t k = 0; k + 1 < line.size(); ++k) {
    const int steps =
        std::max(1, static_cast<int>(std::ceil((line[k + 1] - line[k]).norm() / kLineStep)));
    for (int i = k == 0 ? 0 : 1; i <= steps; ++i) {
      add(line[k] + (line[k + 1] - line[k]) * (static_cast<double>(i) / steps));
    }
  }
  std::erase_if(out, [](const std::vector<Vec2>& part) { return part.size() < 2; });
  return out;
}

double LengthOf(const std::vector<Vec2>& line) {
  double length = 0.0;
  for (std::size_t k = 1; k < line.size(); ++k) length += (line[k] - line[k - 1]).norm();
  return length;
}

// A polyline without the places between that lie on it.
std::vector<Vec2> Straightened(const std::vector<Vec2>& line) {
  std::vector<Vec2> out;
  for (const Vec2& p : line) {
    while (out.size() > 1) {
      const Vec2 a = out[out.size() - 2], b = out.back();
      const Vec2 run = (p - a).normalized();
      const Vec2 off = b - a;
      if (std::abs(run.x() * off.y() - run.y() * off.x()) > 1e-6) break;
      out.pop_back();
    }
    out.push_back(p);
  }
  return out;
}

// Does a segment cross a polyline?
bool Crosses(const Vec2& a, const Vec2& b, const std::vector<Vec2>& line, bool closed) {
  auto side = [](const Vec2& p, const Vec2& q, const Vec2& x) {
    return (q.x() - p.x()) * (x.y() - p.y()) - (q.y() - p.y()) * (x.x() - p.x());
  };
  const std::size_t n = line.size();
  for (std::size_t k = 0; k + (closed ? 0 : 1) < n; ++k) {
    const Vec2 &c = line[k], &d = line[(k + 1) % n];
    if (side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0) return true;
  }
  return false;
}

bool ClearOfMarks(const Vec2& a, const Vec2& b, const std::vector<FlatMark>& marks) {
  return std::none_of(marks.begin(), marks.end(), [&](const FlatMark& mark) {
    return OffSegment(a, b, mark.at) < OutlineReach(mark) + kSlitClear;
  });
}

// Places of a closed polygon at most 2 mm apart.
std::vector<Vec2> Along(const std::vector<Vec2>& polygon) {
  std::vector<Vec2> out;
  for (std::size_t k = 0; k < polygon.size(); ++k) {
    const Vec2 &a = polygon[k], &b = polygon[(k + 1) % polygon.size()];
    const int steps = std::max(1, static_cast<int>(std::ceil((b - a).norm() / 2.0)));
    for (int i = 0; i < steps; ++i) out.push_back(a + (b - a) * (static_cast<double>(i) / steps));
  }
  return out;
}

// The cheapest straight slit from a hole to the border, clear of marks and of other holes.
std::optional<FlatLine> SlitFrom(std::size_t hole, const ClippedRegion& left,
                                 const DevelopedPiece& piece) {
  std::optional<FlatLine> best;
  double least = 1e300;
  const std::vector<Vec2> border = Along(left.outline);
  for (const Vec2& a : Along(left.holes[hole])) {
    for (const Vec2& b : border) {
      double cost = (b - a).norm();
      if (cost >= least) continue;
      if (!ClearOfMarks(a, b, piece.marks) || Crosses(a, b, left.outline, true)) continue;
      const bool through = std::any_of(left.holes.begin(), left.holes.end(),
                                       [&](const auto& h) { return Crosses(a, b, h, true); });
      if (through) continue;
      for (const FlatLine& line : piece.lines) {
        if (line.kind == FlatLineKind::align && Crosses(a, b, line.points, line.closed))
          cost += kAcrossLine;
      }
      if (cost >= least) continue;
      least = cost;
      best = FlatLine{FlatLineKind::cut, {a, b}, false, {}};
    }
  }
  return best;
}

// Adds what is left of a line; the longest part keeps its words. Returns the length left.
double AddKept(const std::vector<std::vector<Vec2>>& parts, const FlatLine& line,
               std::vector<FlatLine>& out) {
  double length = 0.0, longest = -1.0;
  std::size_t worded = out.size();
  for (const std::vector<Vec2>& part : parts) {
    const double own = LengthOf(part);
    length += own;
    if (own > longest) worded = out.size();
    longest = std::max(longest, own);
    out.push_back({line.kind, Straightened(part), false, {}});
  }
  if (worded < out.size()) out[worded].words = line.words;
  return length;
}

// Whose cut-out a hole is.
const CutOut* Around(const std::vector<CutOut>& cuts, const std::vector<Vec2>& hole) {
  const CutOut* best = nullptr;
  double nearest = 1e300;
  for (const CutOut& cut : cuts) {
    const double off = OffBorder(cut.outline, hole.front());
    if (off >= nearest) continue;
    nearest = off;
    best = &cut;
  }
  return best;
}

// The lines of a piece that are left; takes lost alignment lines out of the layout.
std::vector<FlatLine> LeftLines(const std::vector<CutOut>& cuts, const ClippedRegion& left,
                                const DevelopedPiece& piece, PieceLayout& layout) {
  std::vector<FlatLine> out;
  std::vector<bool> lost(layout.align.size(), false);
  std::size_t align = 0;
  for (std::size_t k = 1; k < piece.lines.size(); ++k) {
    const FlatLine& line = piece.lines[k];
    if (line.kind == FlatLineKind::fitting) {
      out.push_back(line);
      for (const CutOut& cut : cuts) {
        if (line.words == Phrase("{}", {cut.fitting})) out.back().words = cut.words;
      }
      continue;
    }
    const std::size_t first = out.size();
    const double length = AddKept(Kept(line.points, cuts, left), line, out);
    if (line.kind != FlatLineKind::align) continue;
    while (align < layout.align.size() && layout.align[align].words != line.words) ++align;
    if (align >= layout.align.size()) continue;
    const auto on_fitting = std::find_if(cuts.begin(), cuts.end(), [&](const CutOut& c) {
      return c.fitting == layout.align[align].name;
    });
    const bool on_eye = on_fitting != cuts.end() && on_fitting->eye;
    lost[align] = on_fitting == cuts.end() && length < kLeastAlign;
    if (lost[align] || (on_eye && length < kLeastAlign)) out.resize(first);
    ++align;
  }
  std::vector<AlignLine> kept;
  for (std::size_t k = 0; k < lost.size(); ++k) {
    if (lost[k]) layout.not_shown.push_back(layout.align[k].name);
    if (!lost[k]) kept.push_back(layout.align[k]);
  }
  layout.align = std::move(kept);
  return out;
}

// The edge of the sheet round an eye: what of the eye's outline lies within the sheet's.
void AddEyeLines(const std::vector<CutOut>& cuts, const std::vector<Vec2>& outline,
                 std::vector<FlatLine>& out) {
  for (const CutOut& cut : cuts) {
    if (!cut.eye) continue;
    const std::size_t n = cut.toe.size();
    std::size_t start = 0;
    while (start < n && IsInside(outline, cut.toe[start])) ++start;
    const FlatLineKind kind = cut.held ? FlatLineKind::align : FlatLineKind::fitting;
    if (start == n) {
      out.push_back({kind, cut.toe, true, cut.words});
      continue;
    }
    std::vector<Vec2> run;
    for (std::size_t k = 1; k <= n; ++k) {
      const Vec2& p = cut.toe[(start + k) % n];
      const bool inside = IsInside(outline, p);
      if (inside) run.push_back(p);
      if (inside || run.empty()) continue;
      if (run.size() > 1) out.push_back({kind, run, false, cut.words});
      run.clear();
    }
  }
}

// The nearest way from a closed polygon to another line: from, to.
std::optional<std::pair<Vec2, Vec2>> ShortestWay(const std::vector<Vec2>& from,
                                                 const std::vector<Vec2>& to) {
  std::optional<std::pair<Vec2, Vec2>> best;
  double least = kBridge;
  for (const Vec2& a : Along(from)) {
    for (std::size_t k = 0; k < to.size(); ++k) {
      const Vec2 b = NearestOn(to[k], to[(k + 1) % to.size()], a);
      if ((b - a).norm() >= least) continue;
      least = (b - a).norm();
      best = {a, b};
    }
  }
  return best;
}

// A closed polygon and what it sweeps when it is shifted.
std::vector<Vec2> Swept(const std::vector<Vec2>& polygon, const Vec2& shift) {
  std::vector<std::vector<Vec2>> parts(1);
  for (const Vec2& p : polygon) parts.front().push_back(p + shift);
  for (std::size_t k = 0; k < polygon.size(); ++k) {
    const Vec2 &a = polygon[k], &b = polygon[(k + 1) % polygon.size()];
    parts.push_back({a, b, b + shift, a + shift});
  }
  return JoinedTo(polygon, parts).front().outline;
}

bool TouchesMark(const std::vector<Vec2>& polygon, const std::vector<FlatMark>& marks) {
  return std::any_of(marks.begin(), marks.end(), [&](const FlatMark& mark) {
    std::vector<Vec2> places = mark.outline;
    places.push_back(mark.at);
    return std::any_of(places.begin(), places.end(), [&](const Vec2& p) {
      return IsInside(polygon, p) || OffBorder(polygon, p) < kMarkKeeps - 1e-6;
    });
  });
}

}  // namespace

std::vector<CutOut> WithoutThinBridges(const std::vector<CutOut>& cuts,
                                       const DevelopedPiece& piece) {
  std::vector<CutOut> out = cuts;
  const std::vector<Vec2>& outline = piece.lines.front().points;
  for (std::size_t k = 0; k < out.size(); ++k) {
    CutOut& cut = out[k];
    const auto crosses = [&](const Vec2& p) { return !IsInside(outline, p); };
    if (std::any_of(cut.outline.begin(), cut.outline.end(), crosses)) continue;
    std::optional<std::pair<Vec2, Vec2>> way = ShortestWay(cut.outline, outline);
    for (std::size_t j = 0; j < k && !way; ++j) way = ShortestWay(cut.outline, out[j].outline);
    if (!way || !((way->second - way->first).norm() > 1e-6)) continue;
    const Vec2 along = way->second - way->first;
    std::vector<Vec2> wider = Swept(cut.outline, along + kThrough * along.normalized());
    if (!TouchesMark(wider, piece.marks)) cut.outline = std::move(wider);
  }
  return out;
}

std::string CutSheet(const std::vector<CutOut>& cuts, PieceLayout& layout, DevelopedPiece& piece,
                     std::vector<std::string>& remarks) {
  if (cuts.empty()) return "";
  const std::vector<Vec2> whole = piece.lines.front().points;
  std::vector<std::vector<Vec2>> removed;
  for (const CutOut& cut : cuts) removed.push_back(cut.outline);
  std::optional<ClippedRegion> left;
  for (ClippedRegion& region : CutFrom(piece.lines.front().points, removed)) {
    const auto has = [&](const FlatMark& m) { return IsInside(region.outline, m.at); };
    if (std::none_of(piece.marks.begin(), piece.marks.end(), has)) continue;
    if (left)
      return fmt::format("the cut-out round the {} would cut it apart", cuts.front().fitting);
    left = std::move(region);
  }
  if (!left) return fmt::format("the cut-out round the {} leaves nothing", cuts.front().fitting);
  piece.lines.front().points = left->outline;
  std::vector<FlatLine> rest = LeftLines(cuts, *left, piece, layout);
  piece.lines.resize(1);
  piece.lines.insert(piece.lines.end(), rest.begin(), rest.end());
  AddEyeLines(cuts, whole, piece.lines);
  std::vector<FlatLine> holes;
  for (std::size_t k = 0; k < left->holes.size(); ++k) {
    holes.push_back({FlatLineKind::cut, left->holes[k], true, {}});
    const CutOut* cut = Around(cuts, left->holes[k]);
    if (cut == nullptr || !cut->tall) continue;
    if (const std::optional<FlatLine> slit = SlitFrom(k, *left, piece)) {
      holes.push_back(*slit);
    } else {
      remarks.push_back(fmt::format(
          "no straight slit to the cut-out round the {0} keeps {1:g} mm clear of every hole and "
          "foot; lower the sheet over the {0}, or cut it by hand and tape the cut",
          cut->fitting, kSlitClear));
    }
  }
  piece.lines.insert(piece.lines.begin() + 1, holes.begin(), holes.end());
  return "";
}

std::vector<Vec2> LeftOf(const std::vector<Vec2>& outline, const std::vector<CutOut>& cuts) {
  std::vector<std::vector<Vec2>> removed;
  for (const CutOut& cut : cuts) removed.push_back(cut.outline);
  const std::vector<ClippedRegion> left = CutFrom(outline, removed);
  return left.empty() ? outline : left.front().outline;
}

}  // namespace holeward
