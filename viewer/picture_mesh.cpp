#include "viewer/picture_mesh.h"

#include <algorithm>
#include <cmath>

#include "geometry/datum.h"
#include "geometry/mounted_body.h"

namespace holeward {
namespace {

constexpr double kAlongStep = 6.0;      // mm of one facet along the part
constexpr int kFlatParts = 3;           // facets across a flat
constexpr int kCornerParts = 6;         // facets round a corner
constexpr int kRoundParts = 16;         // facets round a quarter of a tube
constexpr int kCylinderParts = 48;      // facets round a fitting's cylinder
constexpr double kBodyStep = 8.0;       // mm of a side of a facet of a mount
constexpr double kUnknownHeight = 4.0;  // a block whose height is not stated is drawn this thick

std::vector<double> Fractions(const Skin& skin) {
  std::vector<double> v;
  for (int piece = 0; piece < skin.piece_count(); ++piece) {
    const int parts = skin.KindOf(piece) == PieceKind::flat     ? kFlatParts
                      : skin.KindOf(piece) == PieceKind::corner ? kCornerParts
                                                                : kRoundParts;
    for (int i = 0; i < parts; ++i) {
      v.push_back(piece + static_cast<double>(i) / parts);
    }
  }
  v.push_back(skin.piece_count());
  return v;
}

Vec3 OnPiece(const Skin& skin, double u, double v) {
  const int piece = std::min(static_cast<int>(v), skin.piece_count() - 1);
  return skin.At(u, v, skin.SpanOf(u), piece).position;
}

void AddFacet(PictureMesh& mesh, const std::array<Vec3, 4>& corners, bool fitting,
              const Vec3& outward) {
  Vec3 normal = (corners[2] - corners[0]).cross(corners[3] - corners[1]);
  if (normal.norm() < 1e-9) {
    return;
  }
  normal.normalize();
  mesh.facets.push_back({corners, normal.dot(outward) < 0.0 ? Vec3(-normal) : normal, fitting});
}

void AddSkin(PictureMesh& mesh, const Part& part) {
  const Skin& skin = *part.skin;
  const int steps = std::max(2, static_cast<int>(std::ceil(skin.u_end() / kAlongStep)));
  const std::vector<double> v = Fractions(skin);
  for (int i = 0; i < steps; ++i) {
    const double u0 = skin.u_end() * i / steps;
    const double u1 = skin.u_end() * (i + 1) / steps;
    for (std::size_t j = 0; j + 1 < v.size(); ++j) {
      const Vec3 outward = skin.At(0.5 * (u0 + u1), 0.5 * (v[j] + v[j + 1])).normal;
      AddFacet(mesh,
               {OnPiece(skin, u0, v[j]), OnPiece(skin, u1, v[j]), OnPiece(skin, u1, v[j + 1]),
                OnPiece(skin, u0, v[j + 1])},
               false, outward);
      // The inside shows through open ends.
      const Vec3 in = part.wall * outward;
      AddFacet(mesh,
               {OnPiece(skin, u0, v[j]) - in, OnPiece(skin, u1, v[j]) - in,
                OnPiece(skin, u1, v[j + 1]) - in, OnPiece(skin, u0, v[j + 1]) - in},
               false, -outward);
    }
  }
  for (int piece = 0; piece <= skin.piece_count() && !skin.round(); ++piece) {
    FeatureLine line;
    for (int i = 0; i <= steps; ++i) {
      const double u = skin.u_end() * i / steps;
      line.points.push_back(OnPiece(skin, u, piece));
      line.normals.push_back(skin.At(u, piece).normal);
    }
    mesh.lines.push_back(line);
  }
  for (double u : {0.0, skin.u_end()}) {
    FeatureLine line;
    const Vec3 centre = skin.FrameAt(u).centre;
    const Vec3 outward = (u == 0.0 ? -1.0 : 1.0) * skin.FrameAt(u).tangent;
    std::vector<Vec3> ring;
    std::vector<Vec3> inner;
    for (double fraction : v) {
      ring.push_back(OnPiece(skin, u, fraction));
      inner.push_back(ring.back() - part.wall * skin.At(u, fraction).normal);
      line.points.push_back(ring.back());
      line.normals.push_back(skin.At(u, fraction).normal + outward);
    }
    mesh.lines.push_back(line);
    const bool closed = part.end_closed[u == 0.0 ? 0 : 1] && !part.channel;
    for (std::size_t j = 0; j + 1 < ring.size(); ++j) {
      if (closed) {
        AddFacet(mesh, {centre, ring[j], ring[j + 1], 0.5 * (centre + ring[j + 1])}, false,
                 outward);
      } else {
        AddFacet(mesh, {ring[j], ring[j + 1], inner[j + 1], inner[j]}, false, outward);
      }
    }
  }
}

void AddCylinder(PictureMesh& mesh, const Vec3& from, const Vec3& to, double radius) {
  const Vec3 axis = (to - from).normalized();
  const Vec3 a = axis.unitOrthogonal();
  const Vec3 b = axis.cross(a);
  auto rim = [&](int i) {
    const double angle = 2.0 * kPi * i / kCylinderParts;
    return Vec3(radius * (std::cos(angle) * a + std::sin(angle) * b));
  };
  constexpr int kLengths = 4;
  for (int i = 0; i < kCylinderParts; ++i) {
    const Vec3 p = rim(i);
    const Vec3 q = rim(i + 1);
    for (int k = 0; k < kLengths; ++k) {
      const Vec3 near = from + (to - from) * k / kLengths;
      const Vec3 far = from + (to - from) * (k + 1) / kLengths;
      AddFacet(mesh, {near + p, far + p, far + q, near + q}, true, p + q);
    }
    AddFacet(mesh, {from, from + p, from + q, from + 0.5 * q}, true, -axis);
    AddFacet(mesh, {to, to + p, to + q, to + 0.5 * q}, true, axis);
  }
}

void AddBlock(PictureMesh& mesh, const Skin& skin, const Fitting& fitting) {
  constexpr int kParts = 12;
  const double height = fitting.height.value_or(kUnknownHeight);
  auto place = [&](int i, int j, double raised) {
    const double u =
        fitting.footprint.u_from + (fitting.footprint.u_to - fitting.footprint.u_from) * i / kParts;
    const double around = fitting.footprint.around * (static_cast<double>(j) / kParts - 0.5);
    const SkinPoint s = skin.At(u, WalkAround(skin, u, fitting.centre.v, around));
    return Vec3(s.position + raised * s.normal);
  };
  const Vec3 up = skin.At(fitting.centre).normal;
  const Vec3 inside = skin.At(fitting.centre).position;
  for (int i = 0; i < kParts; ++i) {
    for (int j = 0; j < kParts; ++j) {
      AddFacet(mesh,
               {place(i, j, height), place(i + 1, j, height), place(i + 1, j + 1, height),
                place(i, j + 1, height)},
               true, up);
    }
    for (int edge : {0, kParts}) {
      AddFacet(mesh,
               {place(i, edge, 0), place(i + 1, edge, 0), place(i + 1, edge, height),
                place(i, edge, height)},
               true, place(i, edge, 0) - inside);
      AddFacet(mesh,
               {place(edge, i, 0), place(edge, i + 1, 0), place(edge, i + 1, height),
                place(edge, i, height)},
               true, place(edge, i, 0) - inside);
    }
  }
}

// A triangle in pieces small enough to be drawn in the order of their depth.
void AddTriangle(PictureMesh& mesh, const std::array<Vec3, 3>& t) {
  std::size_t longest = 0;
  const auto side = [&](std::size_t i) { return (t[(i + 1) % 3] - t[i]).norm(); };
  for (std::size_t i = 1; i < 3; ++i) {
    if (side(i) > side(longest)) longest = i;
  }
  const Vec3& a = t[longest];
  const Vec3& b = t[(longest + 1) % 3];
  const Vec3& c = t[(longest + 2) % 3];
  if (side(longest) > kBodyStep) {
    const Vec3 half = 0.5 * (a + b);
    AddTriangle(mesh, {a, half, c});
    AddTriangle(mesh, {half, b, c});
    return;
  }
  const Vec3 normal = (b - a).cross(c - a);
  if (normal.norm() > 1e-9) mesh.facets.push_back({{a, b, c, c}, normal.normalized(), true});
}

void AddRim(PictureMesh& mesh, const Skin& skin, const Fitting& fitting) {
  const double middle = skin.GirthOf(fitting.centre.u, fitting.centre.v);
  const double per_u = skin.At(fitting.centre).du.norm();
  FeatureLine rim;
  for (int i = 0; i <= kCylinderParts; ++i) {
    const double angle = 2.0 * kPi * i / kCylinderParts;
    const double along = 0.5 * fitting.diameter * std::cos(angle) / per_u;
    const double around = 0.5 * fitting.diameter * std::sin(angle);
    const double v = skin.VOfGirth(fitting.centre.u, middle + around);
    const SkinPoint s = skin.At(fitting.centre.u + along, v);
    rim.points.push_back(s.position);
    rim.normals.push_back(s.normal);
  }
  mesh.lines.push_back(std::move(rim));
}

}  // namespace

PictureMesh MeshForPicture(const Part& part) {
  PictureMesh mesh;
  AddSkin(mesh, part);
  for (const Fitting& fitting : part.fittings) {
    if (const auto* body = BodyOfFitting(part.solid.get(), fitting.name)) {
      for (const auto& triangle : body->facets) AddTriangle(mesh, triangle);
      continue;
    }
    switch (fitting.shape) {
      case FittingShape::eye:
      case FittingShape::stud:
        AddCylinder(mesh, fitting.cylinder_from, fitting.cylinder_to, 0.5 * fitting.diameter);
        break;
      case FittingShape::block: AddBlock(mesh, *part.skin, fitting); break;
      case FittingShape::hole: AddRim(mesh, *part.skin, fitting); break;
    }
  }
  return mesh;
}

}  // namespace holeward
