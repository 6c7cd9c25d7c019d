// The picture of the vehicle as a widget: turned, moved and zoomed by mouse and keys, points chosen
// and dragged in it.
#pragma once

#include <QOffscreenSurface>
#include <QOpenGLContext>
#include <QTimer>
#include <QWidget>
#include <functional>
#include <memory>

#include "viewer/window/view_scene.h"

namespace holeward {

class ViewWidget : public QWidget {
 public:
  explicit ViewWidget(QWidget* parent = nullptr);
  ~ViewWidget() override;

  /// What is drawn; what was changed in it shows after Redraw.
  [[nodiscard]] ViewScene& scene() { return *scene_; }

  /// Aims at once, and draws when the event loop comes to it.
  void Redraw();
  void Aim();
  void From(Look look);
  /// Turns, moves, zooms the picture or moves the chosen point, as that key does. False: it does
  /// nothing here.
  bool Steer(int key, Qt::KeyboardModifiers with);
  /// Clicks pick places of the skin instead of points.
  void SetPicking(bool picking) { picking_ = picking; }
  /// Places of the window are asked for in the person's pixels, y down.
  [[nodiscard]] std::optional<QPoint> MarkOf(const ChosenPoint& point) const;
  /// How long the last picture took to draw, ms; and the last that drew the bodies too.
  [[nodiscard]] double frame_ms() const { return frame_ms_; }
  [[nodiscard]] double turned_ms() const { return turned_ms_; }

  std::function<void(const std::optional<ChosenPoint>&)> on_choose;
  std::function<void(const ChosenPoint&, const Vec3& to)> on_drag;
  std::function<void()> on_drag_end;
  /// Alt or Ctrl and an arrow key: the way on the screen in vehicle axes, as long as the step, mm.
  std::function<void(const Vec3& way)> on_nudge;
  std::function<void(const SkinPick&)> on_pick;
  std::function<void(const QString&)> on_hover;
  std::function<void()> on_drawn;  ///< once what was drawn is in the window

 protected:
  void paintEvent(QPaintEvent* event) override;
  void mousePressEvent(QMouseEvent* event) override;
  void mouseMoveEvent(QMouseEvent* event) override;
  void mouseReleaseEvent(QMouseEvent* event) override;
  void wheelEvent(QWheelEvent* event) override;
  void keyPressEvent(QKeyEvent* event) override;
  void resizeEvent(QResizeEvent* event) override;

 private:
  [[nodiscard]] Vec2 InScene(const QPoint& at) const;
  void Hover(const QPoint& at);
  void Draw();

  QTimer rests_;  ///< runs while the eye may yet move
  QOffscreenSurface surface_;
  QOpenGLContext context_;
  std::unique_ptr<ViewScene> scene_;
  const Bitmap* picture_ = nullptr;  ///< the scene's, as last drawn
  Finish finish_ = Finish::quick;    ///< of the next picture
  bool changed_ = true;              ///< since the last picture
  QPoint pressed_, last_;
  std::optional<ChosenPoint> held_;  ///< the chosen point under the pressed button
  bool moved_ = false;
  bool picking_ = false;
  double frame_ms_ = 0.0;
  double turned_ms_ = 0.0;
};

}  // namespace holeward
