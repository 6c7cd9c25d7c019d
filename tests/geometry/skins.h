// Skins made by hand for the tests of measures, placing and zones.
#pragma once

#include <memory>
#include <stdexcept>

#include "geometry/skin.h"

namespace holeward::test {

inline std::shared_ptr<const Skin> Made(SkinLaw law) {
  auto skin = Skin::Make(std::move(law));
  if (!skin) throw std::runtime_error(skin.error().message);
  return std::make_shared<const Skin>(std::move(*skin));
}

/// A round tube along +y from the origin; a is +x (front), b is +z.
inline std::shared_ptr<const Skin> StraightTube(double diameter, double length) {
  SkinLaw law;
  law.centres = {{0, 0, 0}, {0, length, 0}};
  law.round = true;
  law.radii = {0.5 * diameter, 0.5 * diameter};
  law.girth_origin_v = 0.0;
  return Made(law);
}

/// A round taper along +y.
inline std::shared_ptr<const Skin> Taper(double radius_from, double radius_to, double length) {
  SkinLaw law;
  law.centres = {{0, 0, 0}, {0, length, 0}};
  law.round = true;
  law.radii = {radius_from, radius_to};
  law.girth_origin_v = 0.0;
  return Made(law);
}

/// The four sharp corners of a box, in the order of the skin's pieces.
inline std::vector<Vec2> BoxVertices(double width, double height) {
  const double a = 0.5 * width;
  const double b = 0.5 * height;
  return {{a, -b}, {a, b}, {-a, b}, {-a, -b}};
}

struct BoxStation {
  Vec3 centre;
  double width, height, corner;
};

/// A box through stations.
inline SkinLaw BoxLaw(const std::vector<BoxStation>& stations, bool smooth = true) {
  SkinLaw law;
  law.smooth = smooth;
  for (const auto& s : stations) {
    law.centres.push_back(s.centre);
    law.vertices.push_back(BoxVertices(s.width, s.height));
    law.corner_radii.push_back(std::vector<double>(4, s.corner));
  }
  law.girth_origin_v = 0.5;
  return law;
}

/// A straight box along +y.
inline std::shared_ptr<const Skin> StraightBox(double width, double height, double corner,
                                               double length) {
  return Made(
      BoxLaw({{{0, 0, 0}, width, height, corner}, {{0, length, 0}, width, height, corner}}));
}

/// A straight channel along +y, open toward -a (the rear): flanges 40 wide below (flat 0) and as
/// wide as asked above (flat 4), a web 50 high (flat 2).
inline std::shared_ptr<const Skin> StraightChannel(double corner, double length,
                                                   double upper = 40.0) {
  SkinLaw law;
  for (const double y : {0.0, length}) {
    law.centres.emplace_back(0, y, 0);
    law.vertices.push_back({{-20, -25}, {20, -25}, {20, 25}, {20 - upper, 25}});
    law.corner_radii.push_back({0, corner, corner, 0});
  }
  law.closed = false;
  law.girth_origin_v = 2.5;
  return Made(law);
}

/// A cranked, tapered arm of three sections.
inline SkinLaw ArmLaw() {
  return BoxLaw(
      {{{-90, 250, 300}, 56, 48, 10}, {{-84, 380, 292}, 60, 54, 10}, {{-96, 530, 276}, 48, 42, 9}});
}

/// A bent tube of four stations.
inline SkinLaw BentTubeLaw() {
  SkinLaw law;
  law.centres = {{0, 0, 300}, {18, 150, 306}, {60, 290, 318}, {130, 400, 330}};
  law.round = true;
  law.radii = {30, 30, 28, 26};
  law.girth_origin_v = 0.0;
  return law;
}

}  // namespace holeward::test
