// Inner bodies of a part, whether parts stand in each other, and whether a shared one is its own
// mirror image.
#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include <fmt/format.h>

#include "geometry/solid.h"
#include "models/scene_parts.h"

namespace holeward {
namespace {

// An inner body may stand this far into the metal at nominal sizes, mm.
constexpr double kIntoMetal = 0.01;
// The path of a body along a bent part departs from the true line by at most this, mm.
constexpr double kPathError = 0.05;
// Distance between places tested along an inner body, mm.
constexpr double kBodyStep = 4.0;
// Distance between places of one skin tested against another part, mm, and what counts as one in
// the other.
constexpr double kSkinStep = 4.0;
constexpr double kPartsOverlap = 0.02;

// Five-point Gauss-Legendre rule on [0, 1].
constexpr std::array<double, 5> kNode{0.046910077030668, 0.230765344947158, 0.5, 0.769234655052841,
                                      0.953089922969332};
constexpr std::array<double, 5> kWeight{0.118463442528095, 0.239314335249683, 0.284444444444444,
                                        0.239314335249683, 0.118463442528095};

}  // namespace

double LineLength(const Skin& skin, double v, double u_from, double u_to) {
  const double sign = u_to < u_from ? -1.0 : 1.0;
  const double low = std::min(u_from, u_to);
  const double high = std::max(u_from, u_to);
  std::vector<double> breaks{low};
  for (int i = 1; i < skin.span_count(); ++i) {
    if (skin.span_start(i) > low && skin.span_start(i) < high) breaks.push_back(skin.span_start(i));
  }
  breaks.push_back(high);
  constexpr int kParts = 4;
  double length = 0.0;
  for (std::size_t i = 0; i + 1 < breaks.size(); ++i) {
    const double h = (breaks[i + 1] - breaks[i]) / kParts;
    for (int part = 0; part < kParts; ++part) {
      for (std::size_t g = 0; g < kNode.size(); ++g) {
        length += h * kWeight[g] * skin.At(breaks[i] + h * (part + kNode[g]), v).du.norm();
      }
    }
  }
  return sign * length;
}

double WalkLine(const Skin& skin, const SkinPlace& from, double length) {
  double u = from.u + length / skin.At(from).du.norm();
  for (int step = 0; step < 30; ++step) {
    const double move =
        (length - LineLength(skin, from.v, from.u, u)) / skin.At(u, from.v).du.norm();
    u += move;
    if (std::abs(move) < 1e-10) break;
  }
  return u;
}

Depth DepthIn(const Skin& skin, const Vec3& p_world) {
  Depth depth;
  for (const int end : {0, 1}) {
    const SectionFrame f = skin.FrameAt(end == 0 ? 0.0 : skin.u_end());
    // Past an end only if it is the near one: a bent part may cross its ends' planes elsewhere.
    const double past = (p_world - f.centre).dot(f.tangent) * (end == 0 ? -1.0 : 1.0);
    const auto hit = past > 0.0 ? skin.Project(p_world) : std::nullopt;
    const double edge = end == 0 ? 0.0 : skin.u_end();
    if (hit && std::abs(hit->place.u - edge) < 1e-6) return depth;
  }
  const auto hit = skin.Project(p_world);
  if (!hit) return depth;
  depth.nearest = hit->place;
  depth.below_skin = hit->distance;
  depth.inside = (p_world - hit->position).dot(skin.At(hit->place).normal) < 0.0;
  return depth;
}

MirrorMiss MissOfMirror(const Skin& skin) {
  constexpr int kAlong = 12;
  MirrorMiss worst;
  for (int i = 0; i <= kAlong; ++i) {
    const double u = skin.u_end() * i / kAlong;
    for (int j = 0; j < 2 * skin.piece_count(); ++j) {
      const double v = 0.5 * j;
      const Vec3 image = Mirrored(skin.At(u, v).position);
      auto hit = skin.Project(image, {skin.u_end() - u, v});
      if (!hit || hit->distance > 1e-4) {
        const auto far = skin.Project(image);
        if (far && (!hit || far->distance < hit->distance)) hit = far;
      }
      const double miss = hit ? hit->distance : 1e9;
      if (miss > worst.distance) worst = {miss, skin.StationOf(u)};
    }
  }
  return worst;
}

// ---------------------------------------------------------------- inner bodies

namespace {

struct Reach {
  double from = 0.0;
  double to = 0.0;
};

// As given, or all of the hollow.
Reach ReachOf(const InnerRow& row, const Part& part) {
  if (row.reach[1] > row.reach[0]) return {row.reach[0], row.reach[1]};
  return {part.end_closed[0] ? part.wall : 0.0,
          part.skin->length() - (part.end_closed[1] ? part.wall : 0.0)};
}

// The part's centre line between two stations, with how far its chords miss it.
void FollowCentre(const Skin& skin, const Reach& reach, const Vec3& offset, InnerBody& body) {
  std::vector<double> breaks{skin.UOfStation(reach.from)};
  const double last = skin.UOfStation(reach.to);
  for (int i = 1; i < skin.span_count(); ++i) {
    const double u = skin.span_start(i);
    if (u > breaks.front() + 1e-6 && u < last - 1e-6 && !skin.is_straight()) breaks.push_back(u);
  }
  breaks.push_back(last);
  const bool bent = !skin.is_straight() && skin.law().smooth;
  auto at = [&](double u) { return Vec3(skin.FrameAt(u).centre + offset); };
  for (int n = bent ? 4 : 1; n <= 256; n *= 2) {
    body.path = {at(breaks.front())};
    body.path_error = 0.0;
    for (std::size_t i = 0; i + 1 < breaks.size(); ++i) {
      const double h = (breaks[i + 1] - breaks[i]) / n;
      for (int k = 1; k <= n; ++k) {
        const double u = breaks[i] + h * k;
        const Vec3 to = at(u);
        const Vec3 along = (to - body.path.back()).normalized();
        for (const double share : {0.25, 0.5, 0.75}) {
          const Vec3 off = at(u - share * h) - to;
          body.path_error = std::max(body.path_error, off.cross(along).norm());
        }
        body.path.push_back(to);
      }
    }
    // A quarter more than sampled covers what lies between the samples of a smooth curve.
    body.path_error *= bent ? 1.25 : 0.0;
    if (body.path_error <= kPathError) break;
  }
}

// How far a body of this radius about a place on its axis stands in the part's metal.
double IntoMetal(const Part& part, const Vec3& p, double radius) {
  const Skin& skin = *part.skin;
  const Depth depth = DepthIn(skin, p);
  if (depth.inside) return radius + part.wall - depth.below_skin;
  if (part.channel) return radius - depth.below_skin;  // may stand out of the open side
  return radius + part.wall + depth.below_skin;
}

void CheckInner(const PartMaking& making, const InnerRow& row, const Part& part,
                const InnerBody& body) {
  const Skin& skin = *part.skin;
  double worst = 0.0;
  double station = 0.0;
  for (std::size_t i = 0; i + 1 < body.path.size(); ++i) {
    const Vec3 along = body.path[i + 1] - body.path[i];
    const int n = std::max(1, static_cast<int>(std::ceil(along.norm() / kBodyStep)));
    for (int k = 0; k <= n; ++k) {
      const Vec3 p = body.path[i] + along * k / n;
      const SectionFrame start = skin.FrameAt(0.0);
      const SectionFrame finish = skin.FrameAt(skin.u_end());
      // What sticks out of an end is not in the part.
      if ((p - start.centre).dot(start.tangent) < 1e-6 && i == 0) continue;
      if ((p - finish.centre).dot(finish.tangent) > -1e-6 && i + 2 == body.path.size()) continue;
      const double into = IntoMetal(part, p, body.radius) - body.path_error;
      if (into > worst) {
        worst = into;
        const auto hit = skin.Project(p);
        station = hit ? skin.StationOf(hit->place.u) : 0.0;
      }
    }
  }
  if (worst > kIntoMetal) {
    making.Wrong(row.at,
                 fmt::format("inner body \"{}\" stands {:.2f} mm in the wall of part \"{}\" "
                             "at station {:.1f}",
                             row.name, worst, part.name, station));
  }
}

// A stated reach that runs into a closed end.
void CheckCaps(const PartMaking& making, const InnerRow& row, const Part& part,
               const InnerBody& body) {
  for (std::size_t end = 0; end < 2; ++end) {
    if (!part.end_closed[end]) continue;
    const SectionFrame f = part.skin->FrameAt(end == 0 ? 0.0 : part.skin->u_end());
    double least = 1e300;
    for (const Vec3& p : body.path) {
      least = std::min(least, (p - f.centre).dot(f.tangent) * (end == 0 ? 1.0 : -1.0));
    }
    if (least >= part.wall - kIntoMetal) continue;
    making.Wrong(row.at, fmt::format("inner body \"{}\" stands {:.2f} mm in the closed {} of part "
                                     "\"{}\"; give its reach",
                                     row.name, part.wall - least,
                                     end == 0 ? part.start : part.finish, part.name));
  }
}

}  // namespace

void AddInnerBodies(const PartMaking& making, Part& part) {
  for (const InnerRow& row : making.row->inner) {
    InnerBody body;
    body.name = row.name;
    body.shape = row.kind == InnerKind::sleeve ? InnerShape::sleeve : InnerShape::bar;
    body.radius = 0.5 * row.diameter;
    body.bore_radius = 0.5 * row.bore;
    body.basis = row.basis;
    if (!row.path.empty()) {
      body.path = row.path;
    } else {
      const Reach reach = ReachOf(row, part);
      if (reach.from < -1e-6 || reach.to > part.skin->length() + 1e-6) {
        making.Wrong(row.at,
                     fmt::format("inner body \"{}\" reaches to station {:g}, part \"{}\" is "
                                 "{:.1f} mm long",
                                 row.name, reach.to, part.name, part.skin->length()));
        continue;
      }
      FollowCentre(*part.skin, reach, row.offset, body);
    }
    // On a shared part the other side is looked at in a mirror, the body stays where it is.
    if (part.shared && making.other_side()) {
      for (Vec3& place : body.path) place = Mirrored(place);
    }
    CheckInner(making, row, part, body);
    CheckCaps(making, row, part, body);
    part.inner.push_back(std::move(body));
  }
}

// ---------------------------------------------------------------- parts in each other

namespace {

struct DeepestPlace {
  double depth = 0.0;
  Vec3 at = Vec3::Zero();
};

// The place of one skin that lies deepest in another part, among places not kSkinStep apart.
DeepestPlace DeepestIn(const Part& part, const Part& other, const Eigen::AlignedBox3d& box) {
  const Skin& skin = *part.skin;
  DeepestPlace deepest;
  const int along = std::max(2, static_cast<int>(std::ceil(skin.u_end() / kSkinStep)));
  for (int i = 0; i <= along; ++i) {
    const double u = skin.u_end() * i / along;
    for (int piece = 0; piece < skin.piece_count(); ++piece) {
      const double length = skin.OutlineLength(u, piece + 1.0) - skin.OutlineLength(u, piece);
      const int n = std::max(1, static_cast<int>(std::ceil(length / kSkinStep)));
      for (int k = 0; k < n; ++k) {
        const Vec3 p = skin.At(u, piece + static_cast<double>(k) / n).position;
        if (!box.contains(p)) continue;
        const Depth depth = DepthIn(*other.skin, p);
        if (depth.inside && depth.below_skin > deepest.depth) deepest = {depth.below_skin, p};
      }
    }
  }
  return deepest;
}

Location PlaceOf(const Job& job, const std::string& part) {
  for (const PartRow& row : job.parts) {
    if (row.name == part) return row.at;
  }
  return {};
}

}  // namespace

void FindOverlaps(const Job& job, SceneBuild& build) {
  const auto& parts = build.scene.parts;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    for (std::size_t j = i + 1; j < parts.size(); ++j) {
      const auto box = parts[i].solid->Bounds().intersection(parts[j].solid->Bounds());
      if (box.isEmpty()) continue;
      DeepestPlace deepest = DeepestIn(parts[i], parts[j], box);
      const DeepestPlace back = DeepestIn(parts[j], parts[i], box);
      if (back.depth > deepest.depth) deepest = back;
      if (deepest.depth <= kPartsOverlap) continue;
      build.errors.push_back(
          {PlaceOf(job, parts[j].name),
           fmt::format(
               "part \"{}\" stands in part \"{}\": at ({:.1f}, {:.1f}, {:.1f}) they overlap "
               "by {:.2f} mm",
               parts[j].name, parts[i].name, deepest.at.x(), deepest.at.y(), deepest.at.z(),
               deepest.depth)});
    }
  }
}

}  // namespace holeward
