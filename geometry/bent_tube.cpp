#include "geometry/bent_tube.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include <BRepTools.hxx>
#include <BRep_Tool.hxx>
#include <GeomLib_IsPlanarSurface.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Face.hxx>
#include <TopoDS_Wire.hxx>
#include <fmt/format.h>
#include <gp_Pln.hxx>

#include "geometry/circle.h"
#include "geometry/circle_face.h"
#include "geometry/solid_kernel.h"

namespace holeward {
namespace {

// An end departs from a plane and its rim from a circle by no more, mm.
constexpr double kShape = 1e-4;
// Faces that follow each other do so within this, mm.
constexpr double kMeet = 1e-3;
// Ends are square to the centre line, and faces go on without a kink, within this, radians.
constexpr double kSquare = 1e-4;
// A cubic of the centre line keeps a spline face within this, mm.
constexpr double kFollow = 2e-3;
// What a cubic may leave its chord by between three places looked at, by the greatest of them.
constexpr double kBetween = 1.25;
constexpr int kMostPlaces = 400;
constexpr int kDeepest = 8;  // halvings of a stretch of a spline

tl::unexpected<Error> Refused(const std::string& what, const std::string& why) {
  return Fail(ErrorKind::job, fmt::format("{}: {}", what, why));
}

/// A flat face with a round rim.
struct RoundEnd {
  TopoDS_Face face;
  SpaceCircle rim;
  bool closed = false;
};

std::vector<Vec3> PlacesOfWire(const TopoDS_Shape& wire) {
  std::vector<Vec3> places;
  for (TopExp_Explorer e(wire, TopAbs_EDGE); e.More(); e.Next()) {
    if (BRep_Tool::Degenerated(TopoDS::Edge(e.Current()))) continue;
    double first = 0.0;
    double last = 0.0;
    const Handle(Geom_Curve) curve = BRep_Tool::Curve(TopoDS::Edge(e.Current()), first, last);
    if (curve.IsNull()) continue;
    constexpr int kSteps = 12;
    for (int i = 0; i <= kSteps; ++i) {
      places.push_back(ToVec3(curve->Value(first + (last - first) * i / kSteps)));
    }
  }
  return places;
}

std::optional<RoundEnd> RoundEndOf(const TopoDS_Face& face) {
  if (!GeomLib_IsPlanarSurface(BRep_Tool::Surface(face), kShape).IsPlanar()) return std::nullopt;
  const std::vector<Vec3> places = PlacesOfWire(BRepTools::OuterWire(face));
  const auto rim = CircleOf(places);
  if (!rim || rim->Departure(places) > kShape) return std::nullopt;
  int wires = 0;
  for (TopExp_Explorer w(face, TopAbs_WIRE); w.More(); w.Next()) ++wires;
  return wires > 2 ? std::nullopt : std::optional(RoundEnd{face, *rim, wires == 1});
}

/// The flat round faces of the largest size.
std::vector<RoundEnd> RoundEnds(const TopoDS_Shape& solid) {
  std::vector<RoundEnd> ends;
  for (TopExp_Explorer e(solid, TopAbs_FACE); e.More(); e.Next()) {
    auto end = RoundEndOf(TopoDS::Face(e.Current()));
    if (!end) continue;
    if (!ends.empty() && end->rim.radius > ends.front().rim.radius + kMeet) ends.clear();
    if (ends.empty() || end->rim.radius > ends.front().rim.radius - kMeet) {
      ends.push_back(std::move(*end));
    }
  }
  return ends;
}

/// The cubic between two places, as Skin has it (skin_make.cpp).
Vec3 CubicAt(const CentrePlace& a, const CentrePlace& b, double share) {
  const double turn = std::acos(std::clamp(a.tangent.dot(b.tangent), -1.0, 1.0));
  const double cosine = std::cos(0.25 * turn);
  const double handle = (b.centre - a.centre).norm() / (3.0 * cosine * cosine);
  const Vec3 p = a.centre + handle * a.tangent;
  const Vec3 q = b.centre - handle * b.tangent;
  const double r = 1.0 - share;
  return r * r * r * a.centre + 3.0 * r * r * share * p + 3.0 * r * share * share * q +
         share * share * share * b.centre;
}

/// Distance of a place from the cubic between two others.
double FromCubic(const CentrePlace& a, const CentrePlace& b, const Vec3& place) {
  double low = 0.0;
  double high = 1.0;
  // The nearest place by golden section; the stretch turns by less than a right angle.
  constexpr double kGolden = 0.6180339887498949;
  for (int i = 0; i < 40; ++i) {
    const double c = high - kGolden * (high - low);
    const double d = low + kGolden * (high - low);
    if ((CubicAt(a, b, c) - place).norm() < (CubicAt(a, b, d) - place).norm()) {
      high = d;
    } else {
      low = c;
    }
  }
  return (CubicAt(a, b, 0.5 * (low + high)) - place).norm();
}

/// True if the face between two parameters lies on the tube about the cubic between their places.
bool Follows(const CircleFace& face, const std::array<double, 2>& t,
             const std::array<CentrePlace, 2>& ends) {
  if (std::acos(std::clamp(ends[0].tangent.dot(ends[1].tangent), -1.0, 1.0)) > CircleFace::kTurn)
    return false;
  for (const double share : {0.25, 0.5, 0.75}) {
    for (const Vec3& place : face.Section(t[0] + share * (t[1] - t[0]))) {
      if (std::abs(FromCubic(ends[0], ends[1], place) - face.radius()) > kFollow) return false;
    }
  }
  return true;
}

/// A stretch of the centre line, one face's.
using Stretch = std::vector<CentrePlace>;

/// Adds what lies between two parameters, the second included; false if no cubic follows it.
bool AddBetween(const CircleFace& face, const std::array<double, 2>& t, int depth, Stretch& to) {
  const auto end = face.At(t[1]);
  if (!end || to.size() > kMostPlaces) return false;
  if (face.is_analytic() || Follows(face, t, {to.back(), *end})) {
    to.push_back(*end);
    return true;
  }
  if (depth >= kDeepest) return false;
  const double middle = 0.5 * (t[0] + t[1]);
  return AddBetween(face, {t[0], middle}, depth + 1, to) &&
         AddBetween(face, {middle, t[1]}, depth + 1, to);
}

std::optional<Stretch> StretchOf(const CircleFace& face) {
  const std::vector<double> breaks = face.Breaks();
  const auto start = face.At(breaks.front());
  if (!start) return std::nullopt;
  Stretch stretch{*start};
  for (std::size_t i = 0; i + 1 < breaks.size(); ++i) {
    if (!AddBetween(face, {breaks[i], breaks[i + 1]}, 0, stretch)) return std::nullopt;
  }
  return stretch;
}

Stretch Turned(Stretch stretch) {
  std::reverse(stretch.begin(), stretch.end());
  for (CentrePlace& place : stretch) place.tangent = -place.tangent;
  return stretch;
}

bool Same(const Vec3& a, const Vec3& b) { return (a - b).norm() < kMeet; }

/// True if two stretches have the same ends and as many places: faces side by side.
bool SideBySide(const Stretch& a, const Stretch& b) {
  const auto match = [](const Stretch& x, const Stretch& y) {
    return Same(x.front().centre, y.front().centre) && Same(x.back().centre, y.back().centre);
  };
  return match(a, b) || match(a, Turned(b));
}

std::string At(const Vec3& p) {
  return fmt::format("[{:.1f}, {:.1f}, {:.1f}]", p.x(), p.y(), p.z());
}

/// The stretches in one line from a place; what cannot be joined is refused.
Result<Stretch> Chained(std::vector<Stretch> stretches, const CentrePlace& start,
                        const std::string& what) {
  Stretch chain{start};
  while (!stretches.empty()) {
    const Vec3 here = chain.back().centre;
    const auto next = std::find_if(stretches.begin(), stretches.end(), [&](const Stretch& s) {
      return Same(s.front().centre, here) || Same(s.back().centre, here);
    });
    if (next == stretches.end()) {
      return Refused(what, fmt::format("its round faces do not follow each other at {}", At(here)));
    }
    const bool ahead = Same(next->front().centre, here);
    const Stretch stretch = ahead ? *next : Turned(*next);
    stretches.erase(next);
    if (stretch.front().tangent.cross(chain.back().tangent).norm() > kSquare ||
        stretch.front().tangent.dot(chain.back().tangent) < 0.0) {
      return Refused(what, fmt::format("its centre line has a kink at {}", At(here)));
    }
    chain.insert(chain.end(), stretch.begin() + 1, stretch.end());
  }
  return chain;
}

/// Straight pieces one after the other become one.
Stretch WithoutFlatJoints(const Stretch& chain) {
  Stretch kept{chain.front()};
  for (std::size_t i = 1; i + 1 < chain.size(); ++i) {
    const auto straight = [&](const CentrePlace& a, const CentrePlace& b) {
      const Vec3 way = (b.centre - a.centre).normalized();
      return way.cross(a.tangent).norm() < 1e-9 && way.cross(b.tangent).norm() < 1e-9;
    };
    if (straight(kept.back(), chain[i]) && straight(chain[i], chain[i + 1])) continue;
    kept.push_back(chain[i]);
  }
  kept.push_back(chain.back());
  return kept;
}

Result<std::vector<Stretch>> StretchesOf(const TopoDS_Shape& solid,
                                         const std::vector<RoundEnd>& ends,
                                         const std::string& what) {
  std::vector<Stretch> stretches;
  for (TopExp_Explorer e(solid, TopAbs_FACE); e.More(); e.Next()) {
    const TopoDS_Face face = TopoDS::Face(e.Current());
    const bool is_end = std::any_of(ends.begin(), ends.end(),
                                    [&](const RoundEnd& end) { return end.face.IsSame(face); });
    if (is_end) continue;
    const auto circles = CircleFace::Of(face, ends.front().rim.radius);
    if (!circles) continue;
    auto stretch = StretchOf(*circles);
    if (!stretch || stretch->size() > kMostPlaces) {
      return Refused(what, "the centre line of one of its round faces cannot be followed");
    }
    const bool known = std::any_of(stretches.begin(), stretches.end(),
                                   [&](const Stretch& s) { return SideBySide(s, *stretch); });
    if (!known) stretches.push_back(std::move(*stretch));
  }
  return stretches;
}

}  // namespace

bool BentTube::is_straight() const {
  return std::all_of(places.begin(), places.end(), [&](const CentrePlace& p) {
    return p.tangent.cross(places.front().tangent).norm() < 1e-9;
  });
}

BentTube BentTube::Reversed() const { return {radius, {closed[1], closed[0]}, Turned(places)}; }

CentreChords ChordsOf(const BentTube& tube, double sag) {
  constexpr int kFine = 64;   // steps of a stretch by which it is measured
  constexpr int kMost = 128;  // chords of a stretch
  CentreChords chords{{tube.places.front().centre}, 0.0, 0.0};
  for (std::size_t i = 0; i + 1 < tube.places.size(); ++i) {
    const CentrePlace& a = tube.places[i];
    const CentrePlace& b = tube.places[i + 1];
    for (int k = 0; k < kFine; ++k) {
      chords.length += (CubicAt(a, b, (k + 1.0) / kFine) - CubicAt(a, b, k * 1.0 / kFine)).norm();
    }
    double off = 0.0;
    int n = 1;
    for (; n <= kMost; n *= 2) {
      off = 0.0;
      for (int k = 0; k < n; ++k) {
        const Vec3 from = CubicAt(a, b, static_cast<double>(k) / n);
        const Vec3 way = (CubicAt(a, b, (k + 1.0) / n) - from).normalized();
        for (const double share : {0.25, 0.5, 0.75}) {
          off = std::max(off, (CubicAt(a, b, (k + share) / n) - from).cross(way).norm());
        }
      }
      if (kBetween * off <= sag) break;
    }
    n = std::min(n, kMost);
    for (int k = 1; k <= n; ++k) chords.places.push_back(CubicAt(a, b, static_cast<double>(k) / n));
    chords.sag = std::max(chords.sag, kBetween * off);
  }
  return chords;
}

bool HasRoundEnds(const TopoDS_Shape& solid) {
  const auto found = Guarded("the solid", "looking for round ends",
                             [&]() -> Result<bool> { return RoundEnds(solid).size() == 2; });
  return found && *found;
}

Result<BentTube> BentTubeOfSolid(const TopoDS_Shape& solid, const std::string& what) {
  return Guarded(what, "looking for its centre line", [&]() -> Result<BentTube> {
    const std::vector<RoundEnd> ends = RoundEnds(solid);
    if (ends.size() != 2) {
      return Refused(what, fmt::format("a round tube has two flat round ends of one size; here {} "
                                       "flat faces are round and of the largest size",
                                       ends.size()));
    }
    auto stretches = StretchesOf(solid, ends, what);
    if (!stretches) return tl::unexpected(stretches.error());
    const Vec3 first = ends[0].rim.centre;
    const auto starts = std::find_if(stretches->begin(), stretches->end(), [&](const Stretch& s) {
      return Same(s.front().centre, first) || Same(s.back().centre, first);
    });
    if (starts == stretches->end()) {
      return Refused(what, fmt::format("no face round the end at {} is made of circles of its size",
                                       At(first)));
    }
    const bool ahead = Same(starts->front().centre, first);
    const CentrePlace start{first, ahead ? starts->front().tangent : Vec3(-starts->back().tangent)};
    const auto chain = Chained(std::move(*stretches), start, what);
    if (!chain) return tl::unexpected(chain.error());
    if (!Same(chain->back().centre, ends[1].rim.centre)) {
      return Refused(what, fmt::format("its round faces lead from the end at {} to {}, not to the "
                                       "other end",
                                       At(first), At(chain->back().centre)));
    }
    const std::array<Vec3, 2> at_ends{chain->front().tangent, chain->back().tangent};
    for (std::size_t i = 0; i < 2; ++i) {
      if (ends[i].rim.normal.cross(at_ends[i]).norm() > kSquare) {
        return Refused(what, "an end is not square to the centre line");
      }
    }
    return BentTube{
        ends.front().rim.radius, {ends[0].closed, ends[1].closed}, WithoutFlatJoints(*chain)};
  });
}

}  // namespace holeward
