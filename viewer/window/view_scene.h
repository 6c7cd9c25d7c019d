// The picture of the vehicle's parts and points, in any VTK render window: on the screen or off it.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "geometry/vec.h"
#include "viewer/scene_shape.h"
#include "viewer/window/eye.h"
#include "viewer/window_model.h"

class vtkRenderWindow;

namespace holeward {

/// A place of a part's skin under the pointer.
struct SkinPick {
  std::string part;
  Side side = Side::left;
  Vec3 position = Vec3::Zero();  ///< vehicle axes
};

/// A tape laid between two picked places.
struct ShownReading {
  std::vector<Vec3> path;  ///< vehicle axes
  std::string words;
};

/// What is drawn. Places in the window are pixels, x to the right and y up.
class ViewScene {
 public:
  ViewScene();
  ~ViewScene();
  ViewScene(const ViewScene&) = delete;
  ViewScene& operator=(const ViewScene&) = delete;

  /// Draws into this window from now on.
  void Attach(vtkRenderWindow* window);

  // ---- What is shown
  void SetShape(const SceneShape& shape);
  void SetPoints(std::vector<ShapePoint> points, bool inches);
  void Choose(const std::optional<ChosenPoint>& chosen);
  void SeeInside(bool inside);
  void Perspective(bool on);
  void SetReading(std::optional<ShownReading> reading);
  /// Pixels of the screen for one of the person's.
  void SetScale(double scale);

  // ---- From where
  Eye eye;
  /// Brings everything into view.
  void Fit();
  /// Brings one place to the middle.
  void LookAt(const Vec3& place) { eye.focus = place; }
  void Pan(double by_x, double by_y);
  void Zoom(double factor);

  /// Sets the camera and lays out names and marks for a window of this size; then Render().
  void Prepare(int width, int height);
  /// Takes a picture of the bodies as the last Prepare saw them. Until they or the eye change,
  /// Prepare puts it in their place: only points, names and tapes are drawn anew. The window shows
  /// the bodies alone until it is prepared and rendered again.
  void HoldStill();
  [[nodiscard]] bool HeldStill() const;

  // ---- What lies at a place of the window, after Prepare
  [[nodiscard]] std::optional<ChosenPoint> PointAt(double x, double y) const;
  [[nodiscard]] std::optional<std::string> DatumAt(double x, double y) const;
  [[nodiscard]] std::optional<SkinPick> SkinAt(double x, double y) const;
  /// Where a point's mark is drawn; nothing if it is turned away.
  [[nodiscard]] std::optional<Vec2> MarkOf(const ChosenPoint& point) const;

 private:
  struct Parts;
  std::unique_ptr<Parts> parts_;
};

}  // namespace holeward
