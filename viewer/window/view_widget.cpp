#include "viewer/window/view_widget.h"

#include <QKeyEvent>
#include <QMouseEvent>
#include <QWheelEvent>
#include <chrono>
#include <cmath>

#include <vtkGenericOpenGLRenderWindow.h>
#include <vtkNew.h>
#include <vtkRenderWindowInteractor.h>

namespace holeward {
namespace {

constexpr double kTurn = 0.008;  // radians a pixel
constexpr double kKeyTurn = kPi / 24.0;
constexpr int kClick = 4;            // pixels a click may move
constexpr double kSmallStep = 1.0;   // mm a point moves by key
constexpr double kGreatStep = 10.0;  // the same with Shift
constexpr int kStillAfter = 120;     // ms the eye rests before the bodies are held as a picture

}  // namespace

ViewWidget::ViewWidget(QWidget* parent) : QVTKOpenGLNativeWidget(parent) {
  vtkNew<vtkGenericOpenGLRenderWindow> window;
  setRenderWindow(window);
  // The window's own hands move the camera.
  if (auto* interactor = window->GetInteractor()) interactor->SetInteractorStyle(nullptr);
  scene.Attach(window);
  setMouseTracking(true);
  setFocusPolicy(Qt::StrongFocus);
  setMinimumSize(320, 240);
  setObjectName("view");
  setAccessibleName("The parts and their points");
  still_.setSingleShot(true);
  still_.setInterval(kStillAfter);
  connect(&still_, &QTimer::timeout, this, [this] { HoldStill(); });
}

void ViewWidget::Redraw() {
  const auto begun = std::chrono::steady_clock::now();
  const double ratio = devicePixelRatioF();
  scene.SetScale(ratio);
  scene.Prepare(static_cast<int>(width() * ratio), static_cast<int>(height() * ratio));
  renderWindow()->Render();
  frame_ms_ =
      std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - begun).count();
  if (scene.HeldStill()) return;
  turned_ms_ = frame_ms_;
  still_.start();
}

void ViewWidget::HoldStill() {
  if (!isVisible() || scene.HeldStill()) return;
  scene.HoldStill();
  Redraw();
}

void ViewWidget::From(Look look) {
  scene.eye.From(look);
  scene.Fit();
  Redraw();
}

Vec2 ViewWidget::InScene(const QPoint& at) const {
  const double ratio = devicePixelRatioF();
  return {at.x() * ratio, (height() - 1 - at.y()) * ratio};
}

std::optional<QPoint> ViewWidget::MarkOf(const ChosenPoint& point) const {
  const auto at = scene.MarkOf(point);
  if (!at) return std::nullopt;
  const double ratio = devicePixelRatioF();
  return QPoint(static_cast<int>(std::lround(at->x() / ratio)),
                static_cast<int>(std::lround(height() - 1 - at->y() / ratio)));
}

void ViewWidget::mousePressEvent(QMouseEvent* event) {
  setFocus();
  pressed_ = last_ = event->pos();
  moved_ = false;
  held_.reset();
  if (event->button() != Qt::LeftButton || picking_) return;
  const Vec2 at = InScene(event->pos());
  held_ = scene.PointAt(at.x(), at.y());
  if (held_ && on_choose) on_choose(held_);
}

void ViewWidget::mouseMoveEvent(QMouseEvent* event) {
  const QPoint by = event->pos() - last_;
  if (event->buttons() == Qt::NoButton) {
    Hover(event->pos());
    return;
  }
  if ((event->pos() - pressed_).manhattanLength() > kClick) moved_ = true;
  if (!moved_) return;
  last_ = event->pos();
  const bool pan = event->buttons() != Qt::LeftButton || (event->modifiers() & Qt::ShiftModifier);
  if (held_ && !pan) {
    const Vec2 at = InScene(event->pos());
    const auto skin = scene.SkinAt(at.x(), at.y());
    if (skin && skin->side == held_->side && on_drag) on_drag(*held_, skin->position);
    // A part that serves both sides stands there once.
    if (skin && skin->side != held_->side && on_drag) on_drag(*held_, skin->position);
    return;
  }
  if (pan) {
    scene.Pan(by.x() * devicePixelRatioF(), -by.y() * devicePixelRatioF());
  } else {
    scene.eye.Turn(-kTurn * by.x(), kTurn * by.y());
  }
  Redraw();
}

void ViewWidget::mouseReleaseEvent(QMouseEvent* event) {
  const Vec2 at = InScene(event->pos());
  if (held_ && moved_) {
    if (on_drag_end) on_drag_end();
  } else if (!moved_ && event->button() == Qt::LeftButton && picking_) {
    const auto point = scene.PointAt(at.x(), at.y());
    const auto skin = point ? std::nullopt : scene.SkinAt(at.x(), at.y());
    if (point && on_choose) on_choose(point);
    if (skin && on_pick) on_pick(*skin);
  }
  held_.reset();
}

void ViewWidget::wheelEvent(QWheelEvent* event) {
  scene.Zoom(std::pow(0.999, event->angleDelta().y()));
  Redraw();
  event->accept();
}

void ViewWidget::keyPressEvent(QKeyEvent* event) {
  const bool pan = event->modifiers() & Qt::ShiftModifier;
  const double step = 30.0 * devicePixelRatioF();
  double x = 0.0;
  double y = 0.0;
  switch (event->key()) {
    case Qt::Key_Left: x = -1.0; break;
    case Qt::Key_Right: x = 1.0; break;
    case Qt::Key_Up: y = 1.0; break;
    case Qt::Key_Down: y = -1.0; break;
    case Qt::Key_Plus:
    case Qt::Key_Equal: scene.Zoom(0.87); break;
    case Qt::Key_Minus: scene.Zoom(1.15); break;
    default: QVTKOpenGLNativeWidget::keyPressEvent(event); return;
  }
  if ((event->modifiers() & Qt::AltModifier) && (x != 0.0 || y != 0.0)) {
    const double mm = pan ? kGreatStep : kSmallStep;
    if (on_nudge) on_nudge(mm * (x * scene.eye.Right() + y * scene.eye.Up()));
    return;
  }
  if (pan) {
    scene.Pan(-step * x, -step * y);
  } else {
    scene.eye.Turn(kKeyTurn * x, kKeyTurn * y);
  }
  Redraw();
}

void ViewWidget::resizeEvent(QResizeEvent* event) {
  QVTKOpenGLNativeWidget::resizeEvent(event);
  if (isVisible()) Redraw();
}

void ViewWidget::Hover(const QPoint& at) {
  if (!on_hover) return;
  const Vec2 place = InScene(at);
  const auto datum = scene.DatumAt(place.x(), place.y());
  on_hover(datum ? QString::fromStdString(*datum) : QString());
}

}  // namespace holeward
