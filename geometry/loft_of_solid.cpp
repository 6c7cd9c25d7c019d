#include "geometry/loft_of_solid.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include <fmt/format.h>

#include "geometry/interpolate.h"
#include "geometry/loft_breaks.h"
#include "geometry/solid_kernel.h"
#include "geometry/tube_of_solid.h"

namespace holeward {
namespace {

// Sections are followed from end to end in steps of this share of the part, between these, mm.
constexpr double kStepShare = 1.0 / 60.0;
constexpr double kLeastStep = 2.0;
constexpr double kMostStep = 12.0;
constexpr int kMostSteps = 2000;
// Sections stand at most this far apart, mm, and at least; no more of them.
constexpr double kMostApart = 30.0;
constexpr double kLeastApart = 0.5;
constexpr std::size_t kMostPlaces = 240;
// The sections beside one, mm.
constexpr double kBeside = 0.4;
// The line has settled when no place moves by more, mm, and no tangent turns by more, radians.
constexpr double kSettledPlace = 1e-6;
constexpr double kSettledTurn = 1e-7;
constexpr int kMostRounds = 12;
// What the cubics between two sections may leave the body's by, mm.
constexpr double kFollows = 3e-4;

tl::unexpected<Error> Refused(const std::string& what, const std::string& why) {
  return Fail(ErrorKind::job, fmt::format("{}: {}", what, why));
}

tl::unexpected<Error> Lost(const std::string& what, const Vec3& at) {
  return Refused(what, fmt::format("from [{:.1f}, {:.1f}, {:.1f}] on its section is not one of the "
                                   "flats of its ends; the outside of a part goes on from end to "
                                   "end",
                                   at.x(), at.y(), at.z()));
}

/// A place of the centre line in making.
struct Place {
  double u = 0.0;
  PlaneOutline outline;
};

PlaneOutline OutlineOf(const TubeEnd& end, double sign) {
  PlaneOutline outline{CentroidOf(end.vertices), sign * end.outward, end.vertices,
                       end.corner_radii};
  return outline;
}

/// The centre line through places, with their normals as tangents.
class Line {
 public:
  explicit Line(std::vector<Place>& places) {
    std::vector<double> knots{0.0};
    for (std::size_t i = 1; i < places.size(); ++i) {
      const PlaneOutline& a = places[i - 1].outline;
      const PlaneOutline& b = places[i].outline;
      // At unit speed in both, as the skin's own line runs (geometry/skin_make.cpp).
      const double turn = std::acos(std::clamp(a.normal.dot(b.normal), -1.0, 1.0));
      const double cosine = std::cos(0.25 * turn);
      knots.push_back(knots.back() + (b.centre - a.centre).norm() / (cosine * cosine));
      places[i].u = knots.back();
    }
    for (int c = 0; c < 3; ++c) {
      std::vector<double> values;
      std::vector<double> slopes;
      for (const Place& place : places) {
        values.push_back(place.outline.centre[c]);
        slopes.push_back(place.outline.normal[c]);
      }
      curve_[static_cast<std::size_t>(c)] = PiecewiseCubic::WithSlopes(knots, values, slopes);
    }
    knots_ = std::move(knots);
  }

  [[nodiscard]] int SpanOf(double u) const {
    const auto after = std::upper_bound(knots_.begin() + 1, knots_.end() - 1, u);
    return static_cast<int>(after - knots_.begin()) - 1;
  }
  [[nodiscard]] Vec3 At(double u) const {
    const int span = SpanOf(u);
    return {curve_[0].At(u, span), curve_[1].At(u, span), curve_[2].At(u, span)};
  }
  [[nodiscard]] Vec3 TangentAt(double u) const {
    const int span = SpanOf(u);
    return Vec3(curve_[0].SlopeAt(u, span), curve_[1].SlopeAt(u, span), curve_[2].SlopeAt(u, span))
        .normalized();
  }
  [[nodiscard]] double end() const { return knots_.back(); }

 private:
  std::vector<double> knots_;
  std::array<PiecewiseCubic, 3> curve_;
};

class Follower {
 public:
  Follower(const TopoDS_Shape& solid, const std::array<TubeEnd, 2>& ends, const std::string& what)
      : rays_(solid), what_(what), breaks_(solid), ends_(ends) {}

  Result<FoundLoft> Follow() {
    auto rough = March();
    if (!rough) return tl::unexpected(rough.error());
    places_ = std::move(*rough);
    if (auto wrong = Settle(3)) return tl::unexpected(std::move(*wrong));
    if (auto wrong = StandAtBreaks()) return tl::unexpected(std::move(*wrong));
    for (bool more = true; more;) {
      if (auto wrong = Settle(kMostRounds)) return tl::unexpected(std::move(*wrong));
      auto added = Refine();
      if (!added) return tl::unexpected(added.error());
      more = *added > 0;
      if (places_.size() > kMostPlaces) {
        return Refused(what_, fmt::format("its sections change so much that more than {} of them "
                                          "would be needed",
                                          kMostPlaces));
      }
    }
    return Found();
  }

 private:
  /// Sections from the first end to the second, square to the line from section to section.
  Result<std::vector<Place>> March() {
    PlaneOutline here = OutlineOf(ends_[0], -1.0);
    const Vec3 goal = CentroidOf(ends_[1].vertices);
    const double step = std::clamp(kStepShare * (goal - here.centre).norm(), kLeastStep, kMostStep);
    std::vector<Place> places{{0.0, here}};
    Vec3 way = here.normal;
    Vec3 before = way;
    while ((goal - here.centre).norm() > 1.6 * step) {
      if (places.size() == kMostSteps || (goal - here.centre).dot(ends_[1].outward) < 0.0) {
        return Lost(what_, here.centre);
      }
      const auto next = rays_.Near(here.MovedTo(here.centre + step * way, way));
      if (!next) return Lost(what_, here.centre + step * way);
      const Vec3 gone = (next->centre - here.centre).normalized();
      way = (2.0 * gone - before).normalized();  // it goes on turning
      before = gone;
      here = *next;
      places.push_back({0.0, here});
    }
    TubeEnd last = ends_[1];
    TubeEnd guess;
    guess.vertices = here.vertices;
    guess.centre = here.centre;
    last.centre = goal;
    if (!AlignEnds(guess, last, last.outward)) {
      return Refused(what_, fmt::format("its ends have {} and {} corners", guess.vertices.size(),
                                        last.vertices.size()));
    }
    if ((here.centre - goal).norm() < 0.5 * step && places.size() > 2) places.pop_back();
    places.push_back({0.0, OutlineOf(last, 1.0)});
    return places;
  }

  /// The section square to the line at u, near that of the place.
  [[nodiscard]] std::optional<PlaneOutline> Cut(const Line& line, double u,
                                                const PlaneOutline& near) {
    return rays_.Near(near.MovedTo(line.At(u), line.TangentAt(u)));
  }

  /// Brings the line to run through the centroids of the sections square to it.
  std::optional<Error> Settle(int most) {
    for (int round = 0; round < most; ++round) {
      const Line line(places_);
      double moved = 0.0;
      double turned = 0.0;
      std::vector<Place> next = places_;
      for (std::size_t i = 1; i + 1 < places_.size(); ++i) {
        const Place& place = places_[i];
        const auto here = Cut(line, place.u, place.outline);
        const auto before = Cut(line, place.u - kBeside, place.outline);
        const auto after = Cut(line, place.u + kBeside, place.outline);
        if (!here || !before || !after) return Lost(what_, place.outline.centre).value();
        const Vec3 tangent = (after->centre - before->centre).normalized();
        moved = std::max(moved, (here->centre - place.outline.centre).norm());
        turned = std::max(turned, (tangent - place.outline.normal).norm());
        next[i].outline = *here;
        next[i].outline.normal = tangent;
      }
      places_ = std::move(next);
      if (moved < kSettledPlace && turned < kSettledTurn) break;
    }
    (void)Line(places_);  // where they stand now
    return std::nullopt;
  }

  /// Sections where the faces of the body have their breaks, and not too far apart, in place of
  /// those that were marched along.
  std::optional<Error> StandAtBreaks() {
    const Line line(places_);
    std::vector<double> stands{0.0};
    std::vector<double> wanted = breaks_.Along([&](const Vec3& p) { return Nearest(line, p); });
    wanted.push_back(line.end());
    std::sort(wanted.begin(), wanted.end());
    for (const double u : wanted) {
      if (u - stands.back() < kLeastApart) continue;
      const double from = stands.back();
      const int parts = static_cast<int>(std::ceil((u - from) / kMostApart));
      for (int i = 1; i <= parts; ++i) stands.push_back(from + (u - from) * i / parts);
    }
    while (stands.size() > 2 && line.end() - stands.back() < kLeastApart) stands.pop_back();
    std::vector<Place> places{places_.front()};
    for (std::size_t i = 1; i < stands.size(); ++i) {
      if (line.end() - stands[i] < kLeastApart) continue;
      const auto here = Cut(line, stands[i], NearestPlace(stands[i]).outline);
      if (!here) return Lost(what_, line.At(stands[i])).value();
      places.push_back({stands[i], *here});
    }
    places.push_back(places_.back());
    places_ = std::move(places);
    (void)Line(places_);
    return std::nullopt;
  }

  [[nodiscard]] const Place& NearestPlace(double u) const {
    return *std::min_element(places_.begin(), places_.end(), [&](const Place& a, const Place& b) {
      return std::abs(a.u - u) < std::abs(b.u - u);
    });
  }

  /// Where along the line the section through p stands.
  [[nodiscard]] double Nearest(const Line& line, const Vec3& p) const {
    const auto& place =
        *std::min_element(places_.begin(), places_.end(), [&](const Place& a, const Place& b) {
          return (a.outline.centre - p).norm() < (b.outline.centre - p).norm();
        });
    double u = place.u;
    for (int i = 0; i < 12; ++i) {
      u = std::clamp(u + (p - line.At(u)).dot(line.TangentAt(u)), 0.0, line.end());
    }
    return u;
  }

  /// Puts a section into the middle where the cubics do not follow the body; how many.
  Result<std::size_t> Refine() {
    const Line line(places_);
    std::vector<LoftPlace> known;
    for (std::size_t i = 0; i < places_.size(); ++i) {
      auto place = WithSlopes(line, i);
      if (!place) return Lost(what_, places_[i].outline.centre);
      known.push_back(std::move(*place));
    }
    std::vector<Place> next{places_.front()};
    std::size_t added = 0;
    for (std::size_t i = 1; i < places_.size(); ++i) {
      const double from = places_[i - 1].u;
      const double to = places_[i].u;
      const double middle = 0.5 * (from + to);
      const auto here = Cut(line, middle, places_[i].outline);
      if (!here) return Lost(what_, line.At(middle));
      if (to - from > 2.0 * kLeastApart && Departs(known[i - 1], known[i], to - from, *here)) {
        next.push_back({middle, *here});
        ++added;
      }
      next.push_back(places_[i]);
    }
    places_ = std::move(next);
    found_ = std::move(known);
    return added;
  }

  /// True if the cubics between two sections do not pass through the one found in their middle.
  [[nodiscard]] static bool Departs(const LoftPlace& a, const LoftPlace& b, double apart,
                                    const PlaneOutline& middle) {
    const auto half = [&](const auto& from, const auto& from_slope, const auto& to,
                          const auto& to_slope) {
      return (0.5 * (from + to) + 0.125 * apart * (from_slope - to_slope));
    };
    for (std::size_t k = 0; k < middle.vertices.size(); ++k) {
      const auto slope = [&](const LoftPlace& p) {
        return p.Slope<Vec3>(p.outline.vertices[k], p.beside[0].vertices[k],
                             p.beside[1].vertices[k]);
      };
      const auto bend = [&](const LoftPlace& p) {
        return p.Slope(p.outline.radii[k], p.beside[0].radii[k], p.beside[1].radii[k]);
      };
      const Vec3 vertex = half(a.outline.vertices[k], slope(a), b.outline.vertices[k], slope(b));
      const double radius = half(a.outline.radii[k], bend(a), b.outline.radii[k], bend(b));
      if ((vertex - middle.vertices[k]).norm() > kFollows ||
          std::abs(radius - middle.radii[k]) > kFollows) {
        return true;
      }
    }
    return false;
  }

  /// A place with the two sections beside it: on both sides, at an end twice on one.
  std::optional<LoftPlace> WithSlopes(const Line& line, std::size_t i) {
    const bool first = i == 0;
    const bool last = i + 1 == places_.size();
    LoftPlace place;
    place.outline = places_[i].outline;
    place.off = {first ? 2.0 * kBeside : -kBeside, last ? -2.0 * kBeside : kBeside};
    for (std::size_t k = 0; k < 2; ++k) {
      const double u = places_[i].u + place.off[k];
      auto beside = Cut(line, u, place.outline);
      if (!beside) return std::nullopt;
      place.beside[k] = std::move(*beside);
    }
    return place;
  }

  [[nodiscard]] FoundLoft Found() const { return {{ends_[0].closed, ends_[1].closed}, found_}; }

  OutlineRays rays_;
  const std::string& what_;
  LoftBreaks breaks_;
  const std::array<TubeEnd, 2>& ends_;
  std::vector<Place> places_;
  std::vector<LoftPlace> found_;
};

}  // namespace

FoundLoft FoundLoft::Reversed() const {
  FoundLoft turned{{closed[1], closed[0]}, {places.rbegin(), places.rend()}};
  for (LoftPlace& place : turned.places) {
    std::swap(place.beside[0], place.beside[1]);
    place.off = {-place.off[1], -place.off[0]};
    place.outline.normal = -place.outline.normal;
    for (PlaneOutline& beside : place.beside) beside.normal = -beside.normal;
  }
  return turned;
}

Result<FoundLoft> LoftOfSolid(const TopoDS_Shape& ends, const TopoDS_Shape& solid,
                              const std::string& what) {
  const auto found = EndsOfSolid(ends, what);
  if (!found) return tl::unexpected(found.error());
  if ((*found)[0].round || (*found)[1].round) {
    return Refused(what, "an end of it is round; only a round tube of one diameter may bend");
  }
  return Guarded(what, "following its sections",
                 [&] { return Follower(solid, *found, what).Follow(); });
}

}  // namespace holeward
