// The picture of the vehicle's parts and points, drawn off screen into memory.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "geometry/vec.h"
#include "viewer/bitmap.h"
#include "viewer/scene_shape.h"
#include "viewer/window/eye.h"
#include "viewer/window/point_layer.h"
#include "viewer/window_model.h"

namespace holeward {

/// A place of a part's skin under the pointer.
struct SkinPick {
  std::string part;
  Side side = Side::left;
  Vec3 position = Vec3::Zero();  ///< vehicle axes
};

/// How well the bodies are drawn: quickly while the eye moves, with smooth edges once it rests.
enum class Finish { quick, fine };

/// What is drawn. Places in the window are pixels, x to the right and y up. Draw needs a graphics
/// context, the same each time, and so does the end of the scene once it drew.
class ViewScene {
 public:
  ViewScene();
  ~ViewScene();
  ViewScene(const ViewScene&) = delete;
  ViewScene& operator=(const ViewScene&) = delete;

  // ---- What is shown
  void SetShape(const SceneShape& shape);
  void SetPoints(std::vector<ShapePoint> points, bool inches);
  void Choose(const std::optional<ChosenPoint>& chosen);
  void SeeInside(bool inside);
  void Perspective(bool on);
  void SetReading(std::optional<ShownReading> reading);
  /// What must be known of the whole picture, in its corner; empty: nothing.
  void SetNotice(const std::string& notice);
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

  /// Looks from the eye into a window of this size: what lies where, and what Draw draws.
  void Aim(int width, int height);
  /// The picture as aimed. The bodies are drawn anew only if they, the eye or the window's size
  /// changed since, or to get a finer finish; points, names and tapes are laid over them each time.
  /// @pre a graphics context is current
  [[nodiscard]] const Bitmap& Draw(Finish finish);
  /// The bodies as last drawn are those that Draw would draw; and how well.
  [[nodiscard]] bool BodiesDrawn() const;
  [[nodiscard]] bool BodiesFine() const;

  // ---- What lies at a place of the window, after Aim
  [[nodiscard]] std::optional<ChosenPoint> PointAt(double x, double y) const;
  [[nodiscard]] std::optional<std::string> DatumAt(double x, double y) const;
  [[nodiscard]] std::optional<SkinPick> SkinAt(double x, double y) const;
  /// Where a point's mark is drawn; nothing if it is turned away or hidden.
  [[nodiscard]] std::optional<Vec2> MarkOf(const ChosenPoint& point) const;

 private:
  struct Parts;
  std::unique_ptr<Parts> parts_;
};

}  // namespace holeward
