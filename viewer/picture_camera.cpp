#include "viewer/picture_camera.h"

#include <cmath>

namespace holeward {

PictureCamera PictureCamera::From(const Vec3& toward_viewer) {
  PictureCamera camera;
  camera.eye = toward_viewer.normalized();
  const Vec3 world_up = std::abs(camera.eye.z()) > 0.99 ? Vec3::UnitX() : Vec3::UnitZ();
  camera.right = world_up.cross(camera.eye).normalized();
  camera.up = camera.eye.cross(camera.right);
  return camera;
}

}  // namespace holeward
