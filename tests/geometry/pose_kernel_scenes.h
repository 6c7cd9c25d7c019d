// A lofted box arm with a bent bar in it, and holes in it, for the pose kernel's tests and
// benchmark.
#pragma once

#include <array>
#include <random>
#include <stdexcept>
#include <string>
#include <vector>

#include "geometry/pose_kernel.h"
#include "geometry/skin.h"
#include "geometry/solid.h"

namespace holeward::testing {

/// Five sections, curved centre line, wall 2.6.
inline Skin ArmSkin() {
  SkinLaw law;
  law.centres = {
      {-120, 240, 310}, {-112, 300, 306}, {-110, 360, 300}, {-112, 440, 295}, {-120, 520, 282}};
  const double sizes[5][2] = {{58, 46}, {60, 50}, {62, 52}, {55, 48}, {50, 44}};
  for (const auto& size : sizes) {
    const double w = 0.5 * size[0];
    const double h = 0.5 * size[1];
    law.vertices.push_back({{w, -h}, {w, h}, {-w, h}, {-w, -h}});
    law.corner_radii.push_back(std::vector<double>(4, 9.0));
  }
  return *Skin::Make(law);
}

/// The walls of a hollow part of a skin, each face an obstacle.
inline std::vector<Obstacle> WallsOf(const Skin& skin, double wall) {
  HollowSpec spec;
  spec.what = "arm";
  spec.wall = wall;
  for (int i = 0; i < skin.piece_count(); ++i) {
    spec.piece_names.push_back("piece " + std::to_string(i));
  }
  spec.end_names = {"inner end", "outer end"};
  const auto solid = NamedSolid::BuildHollow(skin, spec);
  if (!solid) throw std::runtime_error(solid.error().message);
  const auto faces = solid->Patches();
  if (!faces) throw std::runtime_error(faces.error().message);
  std::vector<Obstacle> walls;
  for (const FacePatches& face : *faces) {
    walls.push_back({"far wall", ObstacleKind::wall, face.role, face.patches});
  }
  return walls;
}

/// A bar through the arm, bent once.
inline Obstacle BentBar() {
  InnerBody bar;
  bar.name = "bar";
  bar.path = {{-118, 245, 302}, {-111, 370, 296}, {-120, 515, 280}};
  bar.radius = 8.0;
  Obstacle obstacle = ObstacleOf(bar);
  obstacle.own_error = 0.0;  // the body as drawn is what the kernel is compared on
  return obstacle;
}

/// A hole drilled square into a flat of a skin.
inline PoseRegion HoleIn(const Skin& skin, double u, double v, double tilt_rad, double radius) {
  const SkinPoint at = skin.At(u, v);
  PoseRegion region;
  region.middle = {at.position, -at.normal};
  region.place = 2.0;
  region.rise = 0.3;
  region.tilt = tilt_rad;
  region.radius = radius;
  region.horizon = 200.0;
  return region;
}

/// A random pose of a region: places in its disc, directions in its cone.
inline Pose PoseIn(const PoseRegion& region, std::mt19937_64& random) {
  std::uniform_real_distribution<double> one(0.0, 1.0);
  const AxisFrame frame = AxisFrame::At(region.middle.entry, region.middle.direction);
  const double turn = 2.0 * kPi * one(random);
  const double place = region.place * std::sqrt(one(random));
  const double tilt = region.tilt * std::sqrt(one(random));
  const double lean = 2.0 * kPi * one(random);
  Pose pose;
  pose.entry = frame.ToWorld({place * std::cos(turn), place * std::sin(turn), 0.0});
  pose.direction =
      frame.rotation.transpose() *
      Vec3(std::sin(tilt) * std::cos(lean), std::sin(tilt) * std::sin(lean), std::cos(tilt));
  pose.direction.normalize();
  return pose;
}

/// The same with the entry put onto the skin, from the inner half of the region's disc.
inline Pose PoseOn(const Skin& skin, const PoseRegion& region, std::mt19937_64& random) {
  PoseRegion half = region;
  half.place = 0.5 * region.place;
  Pose pose = PoseIn(half, random);
  const auto hit = skin.Project(pose.entry);
  if (hit) pose.entry = hit->position;
  return pose;
}

}  // namespace holeward::testing
