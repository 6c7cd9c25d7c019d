#include "viewer/window/view_widget.h"

#include <QKeyEvent>
#include <QMouseEvent>
#include <QPainter>
#include <QWheelEvent>
#include <chrono>
#include <cmath>

namespace holeward {
namespace {

constexpr double kTurn = 0.008;  // radians a pixel
constexpr double kKeyTurn = kPi / 24.0;
constexpr int kClick = 4;            // pixels a click may move
constexpr double kSmallStep = 1.0;   // mm a point moves by key
constexpr double kGreatStep = 10.0;  // the same with Shift
constexpr double kFineStep = 0.1;    // by Ctrl
constexpr int kRestsAfter = 150;     // ms the eye rests before the bodies are drawn finely

}  // namespace

ViewWidget::ViewWidget(QWidget* parent) : QWidget(parent) {
  context_.setFormat(QSurfaceFormat::defaultFormat());
  context_.create();
  surface_.setFormat(context_.format());
  surface_.create();
  context_.makeCurrent(&surface_);
  scene_ = std::make_unique<ViewScene>();
  setMouseTracking(true);
  setFocusPolicy(Qt::StrongFocus);
  setMinimumSize(320, 240);
  setAttribute(Qt::WA_OpaquePaintEvent);
  setObjectName("view");
  setAccessibleName("The parts and their points");
  rests_.setSingleShot(true);
  rests_.setInterval(kRestsAfter);
  connect(&rests_, &QTimer::timeout, this, [this] {
    finish_ = Finish::fine;
    Redraw();
  });
}

ViewWidget::~ViewWidget() {
  context_.makeCurrent(&surface_);
  scene_.reset();
  context_.doneCurrent();
}

void ViewWidget::Aim() {
  const double ratio = devicePixelRatioF();
  scene_->SetScale(ratio);
  // All of the widget, part of a pixel at its edges too.
  scene_->Aim(static_cast<int>(std::ceil(width() * ratio)),
              static_cast<int>(std::ceil(height() * ratio)));
}

void ViewWidget::Redraw() {
  Aim();
  changed_ = true;
  update();
}

void ViewWidget::Draw() {
  const bool turned = !scene_->BodiesDrawn();
  const auto begun = std::chrono::steady_clock::now();
  if (turned || finish_ == Finish::fine) context_.makeCurrent(&surface_);
  picture_ = &scene_->Draw(turned ? Finish::quick : finish_);
  finish_ = Finish::quick;
  changed_ = false;
  frame_ms_ =
      std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - begun).count();
  if (turned) turned_ms_ = frame_ms_;
  if (!scene_->BodiesFine()) rests_.start();
}

void ViewWidget::paintEvent(QPaintEvent* event) {
  const bool anew = changed_ || picture_ == nullptr;
  if (anew) Draw();
  QImage image(reinterpret_cast<const uchar*>(picture_->pixels.data()), picture_->width,
               picture_->height, QImage::Format_RGB32);
  image.setDevicePixelRatio(devicePixelRatioF());
  QPainter painter(this);
  painter.setClipRegion(event->region());
  painter.drawImage(QPointF(0.0, 0.0), image);
  // The window's surface is handed to the display after this.
  if (!anew) return;
  QTimer::singleShot(0, this, [this] {
    if (on_drawn) on_drawn();
  });
}

void ViewWidget::From(Look look) {
  scene_->eye.From(look);
  scene_->Fit();
  Redraw();
}

Vec2 ViewWidget::InScene(const QPoint& at) const {
  const double ratio = devicePixelRatioF();
  return {at.x() * ratio, (height() - 1 - at.y()) * ratio};
}

std::optional<QPoint> ViewWidget::MarkOf(const ChosenPoint& point) const {
  const auto at = scene_->MarkOf(point);
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
  held_ = scene_->PointAt(at.x(), at.y());
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
    const auto skin = scene_->SkinAt(at.x(), at.y());
    if (skin && skin->side == held_->side && on_drag) on_drag(*held_, skin->position);
    // A part that serves both sides stands there once.
    if (skin && skin->side != held_->side && on_drag) on_drag(*held_, skin->position);
    return;
  }
  if (pan) {
    scene_->Pan(by.x() * devicePixelRatioF(), -by.y() * devicePixelRatioF());
  } else {
    scene_->eye.Turn(-kTurn * by.x(), kTurn * by.y());
  }
  Redraw();
}

void ViewWidget::mouseReleaseEvent(QMouseEvent* event) {
  const Vec2 at = InScene(event->pos());
  if (held_ && moved_) {
    if (on_drag_end) on_drag_end();
  } else if (!moved_ && event->button() == Qt::LeftButton && picking_) {
    const auto point = scene_->PointAt(at.x(), at.y());
    const auto skin = point ? std::nullopt : scene_->SkinAt(at.x(), at.y());
    if (point && on_choose) on_choose(point);
    if (skin && on_pick) on_pick(*skin);
  }
  held_.reset();
}

void ViewWidget::wheelEvent(QWheelEvent* event) {
  scene_->Zoom(std::pow(0.999, event->angleDelta().y()));
  Redraw();
  event->accept();
}

void ViewWidget::keyPressEvent(QKeyEvent* event) {
  if (!Steer(event->key(), event->modifiers())) QWidget::keyPressEvent(event);
}

bool ViewWidget::Steer(int key, Qt::KeyboardModifiers with) {
  const double step = 30.0 * devicePixelRatioF();
  double x = 0.0;
  double y = 0.0;
  switch (key) {
    case Qt::Key_Left: x = -1.0; break;
    case Qt::Key_Right: x = 1.0; break;
    case Qt::Key_Up: y = 1.0; break;
    case Qt::Key_Down: y = -1.0; break;
    case Qt::Key_Plus:
    case Qt::Key_Equal: scene_->Zoom(0.87); break;
    case Qt::Key_Minus: scene_->Zoom(1.15); break;
    default: return false;
  }
  const bool arrow = x != 0.0 || y != 0.0;
  if (arrow && (with & (Qt::AltModifier | Qt::ControlModifier))) {
    const double great = with & Qt::ShiftModifier ? kGreatStep : kSmallStep;
    const double mm = with & Qt::ControlModifier ? kFineStep : great;
    if (on_nudge) on_nudge(mm * (x * scene_->eye.Right() + y * scene_->eye.Up()));
    return true;
  }
  if (arrow && (with & Qt::ShiftModifier)) {
    scene_->Pan(-step * x, -step * y);
  } else if (arrow) {
    scene_->eye.Turn(kKeyTurn * x, kKeyTurn * y);
  }
  Redraw();
  return true;
}

void ViewWidget::resizeEvent(QResizeEvent* event) {
  QWidget::resizeEvent(event);
  if (isVisible()) Redraw();
}

void ViewWidget::Hover(const QPoint& at) {
  if (!on_hover) return;
  const Vec2 place = InScene(at);
  const auto datum = scene_->DatumAt(place.x(), place.y());
  on_hover(datum ? QString::fromStdString(*datum) : QString());
}

}  // namespace holeward
