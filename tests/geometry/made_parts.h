// Parts round a skin, with the names of their faces and lines, for the tests of templates.
#pragma once

#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "geometry/develop_layout.h"
#include "geometry/part.h"

namespace holeward::test {

/// A box through the centres, its width and height at each.
inline std::shared_ptr<const Skin> BoxSkin(std::vector<Vec3> centres,
                                           const std::vector<Vec2>& sizes, double corner = 8.0) {
  SkinLaw law;
  law.centres = std::move(centres);
  for (const Vec2& s : sizes) {
    const double a = 0.5 * s.x(), b = 0.5 * s.y();
    law.vertices.push_back({{a, -b}, {a, b}, {-a, b}, {-a, -b}});
    law.corner_radii.push_back(std::vector<double>(4, corner));
  }
  return std::make_shared<const Skin>(*Skin::Make(law));
}

/// A piece with one mark.
inline PieceRequest Asked(const Part& part, double u, double v, std::vector<std::string> align,
                          std::vector<double> diameters = {8.0}) {
  PieceRequest r;
  r.part = &part;
  PieceMark mark;
  mark.name = "A";
  mark.place = {u, v};
  mark.diameters = std::move(diameters);
  r.marks = {mark};
  r.align = std::move(align);
  return r;
}

/// A bracket that stands 30 mm off a face.
inline Fitting Bracket(const std::string& face, double u_from, double u_to, double v,
                       double around) {
  Fitting f;
  f.name = "bracket";
  f.kind = "bracket";
  f.face = face;
  f.centre = {0.5 * (u_from + u_to), v};
  f.footprint = {false, 0.0, u_from, u_to, around};
  f.height = 30.0;
  return f;
}

inline Part BoxPart(std::shared_ptr<const Skin> skin) {
  Part part;
  part.name = "arm";
  part.skin = std::move(skin);
  part.start = "inner end";
  part.finish = "outer end";
  part.faces = {{"underside", 0, "rear edge", "front edge"},
                {"front", 2, "bottom edge", "top edge"},
                {"top", 4, "front edge", "rear edge"},
                {"rear", 6, "top edge", "bottom edge"}};
  return part;
}

inline Part TubePart(std::shared_ptr<const Skin> skin) {
  Part part;
  part.name = "tube";
  part.skin = std::move(skin);
  part.start = "right end";
  part.finish = "left end";
  part.lines = {{"bottom", 0.0}, {"front", 1.0}, {"top", 2.0}, {"rear", 3.0}};
  return part;
}

}  // namespace holeward::test
