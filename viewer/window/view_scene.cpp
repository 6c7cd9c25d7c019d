#include "viewer/window/view_scene.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <vtkActor.h>
#include <vtkCamera.h>
#include <vtkCellPicker.h>
#include <vtkProperty.h>
#include <vtkRenderer.h>
#include <vtkSmartPointer.h>

#include "viewer/window/body_actors.h"
#include "viewer/window/body_picture.h"
#include "viewer/window/view_marker.h"
#include "viewer/window/view_overlay.h"

namespace holeward {
namespace {

template <class T>
using Ptr = vtkSmartPointer<T>;

constexpr double kHit = 12.0;        // pixels within which a mark is hit
constexpr double kDatumHit = 7.0;    // pixels within which a datum is
constexpr double kPlaceFirst = 0.5;  // a place is hit as if it were so much nearer than a line
constexpr double kLineWidth = 1.2;   // pixels, of lines on bodies

double ToSegment(const Vec2& p, const Vec2& a, const Vec2& b) {
  const Vec2 way = b - a;
  const double length = way.squaredNorm();
  const double t = length > 0.0 ? std::clamp((p - a).dot(way) / length, 0.0, 1.0) : 0.0;
  return (p - (a + t * way)).norm();
}

}  // namespace

struct ViewScene::Parts {
  Ptr<vtkRenderer> renderer = Ptr<vtkRenderer>::New();
  BodyPicture picture{renderer};
  ViewOverlay overlay;
  PointLayer layer;
  Projection seen;
  std::vector<std::pair<ShapeBody, Ptr<vtkActor>>> bodies;
  std::vector<Ptr<vtkActor>> lines;
  std::vector<ShapeDatum> datums;
  std::vector<Vec3> corners;      ///< of all bodies
  Bitmap drawn_bodies;            ///< as seen from `drawn_from`
  std::optional<Eye> drawn_from;  ///< none: they must be drawn anew
  Finish drawn = Finish::quick;
  Bitmap whole;

  void ShowThrough() {
    for (auto& [body, actor] : bodies) {
      if (body.kind == BodyKind::skin) actor->GetProperty()->SetOpacity(layer.inside ? 0.28 : 1.0);
    }
  }
  void WidenLines() {
    for (auto& actor : lines) {
      actor->GetProperty()->SetLineWidth(static_cast<float>(kLineWidth * overlay.scale()));
    }
  }
  void AimCamera() {
    vtkCamera* camera = renderer->GetActiveCamera();
    const Eye& eye = seen.eye;
    const Vec3 from = eye.focus + seen.Distance() * eye.Toward();
    const Vec3 up = eye.Up();
    camera->SetFocalPoint(eye.focus.x(), eye.focus.y(), eye.focus.z());
    camera->SetPosition(from.x(), from.y(), from.z());
    camera->SetViewUp(up.x(), up.y(), up.z());
    camera->SetViewAngle(Projection::kAngle * 180.0 / kPi);
    camera->SetParallelScale(0.5 * eye.height);
    camera->SetParallelProjection(seen.perspective ? 0 : 1);
    renderer->ResetCameraClippingRange();
  }
};

ViewScene::ViewScene() : parts_(std::make_unique<Parts>()) {
  parts_->renderer->SetBackground(0.97, 0.975, 0.98);
  eye.From(Look::three_quarter);
}

ViewScene::~ViewScene() = default;

void ViewScene::SetShape(const SceneShape& shape) {
  parts_->drawn_from.reset();
  for (auto& [body, actor] : parts_->bodies) parts_->renderer->RemoveActor(actor);
  for (auto& actor : parts_->lines) parts_->renderer->RemoveActor(actor);
  parts_->bodies.clear();
  parts_->lines.clear();
  parts_->corners.clear();
  for (const ShapeBody& body : shape.bodies) {
    auto actor = ShadedActor(body);
    parts_->renderer->AddActor(actor);
    if (body.kind != BodyKind::skin) actor->PickableOff();
    if (!body.lines.empty()) {
      parts_->lines.push_back(LineActor(body.lines));
      parts_->renderer->AddActor(parts_->lines.back());
    }
    for (const auto& quad : body.quads)
      parts_->corners.insert(parts_->corners.end(), quad.begin(), quad.end());
    parts_->bodies.emplace_back(ShapeBody{body.kind, body.part, body.side, {}, {}}, actor);
  }
  parts_->datums = shape.datums;
  parts_->layer.sight = LineOfSight(shape.bodies);
  parts_->ShowThrough();
  parts_->WidenLines();
}

void ViewScene::SetPoints(std::vector<ShapePoint> points, bool inches) {
  parts_->layer.points = std::move(points);
  parts_->layer.inches = inches;
}

void ViewScene::Choose(const std::optional<ChosenPoint>& chosen) { parts_->layer.chosen = chosen; }

void ViewScene::SeeInside(bool inside) {
  parts_->drawn_from.reset();
  parts_->layer.inside = inside;
  parts_->ShowThrough();
}

void ViewScene::Perspective(bool on) {
  parts_->drawn_from.reset();
  parts_->seen.perspective = on;
}

void ViewScene::SetReading(std::optional<ShownReading> reading) {
  parts_->layer.reading = std::move(reading);
}

void ViewScene::SetNotice(const std::string& notice) { parts_->layer.notice = notice; }

void ViewScene::SetScale(double scale) {
  if (scale == parts_->overlay.scale()) return;
  parts_->drawn_from.reset();
  parts_->overlay.SetScale(scale);
  parts_->WidenLines();
}

void ViewScene::Fit() {
  if (parts_->corners.empty()) return;
  const Vec3 up = eye.Up();
  const Vec3 right = eye.Right();
  Eigen::AlignedBox2d seen;
  Eigen::AlignedBox3d bounds;
  for (const Vec3& p : parts_->corners) {
    seen.extend(Vec2(p.dot(right), p.dot(up)));
    bounds.extend(p);
  }
  const Vec3 toward = eye.Toward();
  eye.focus =
      seen.center().x() * right + seen.center().y() * up + bounds.center().dot(toward) * toward;
  // Room for the names beside the outermost points.
  const double aspect = static_cast<double>(parts_->seen.width) / std::max(1, parts_->seen.height);
  eye.height = 1.22 * std::max({1.0, seen.sizes().y(), seen.sizes().x() / aspect});
}

void ViewScene::Pan(double by_x, double by_y) {
  const double mm = eye.height / std::max(1, parts_->seen.height);
  eye.focus -= mm * (by_x * eye.Right() + by_y * eye.Up());
}

void ViewScene::Zoom(double factor) { eye.height = std::clamp(eye.height * factor, 5.0, 20000.0); }

void ViewScene::Aim(int width, int height) {
  Projection& seen = parts_->seen;
  if (width != seen.width || height != seen.height) parts_->drawn_from.reset();
  seen.width = std::max(1, width);
  seen.height = std::max(1, height);
  seen.eye = eye;
  parts_->picture.Resize(seen.width, seen.height);
  parts_->AimCamera();
}

bool ViewScene::BodiesDrawn() const { return parts_->drawn_from == parts_->seen.eye; }

bool ViewScene::BodiesFine() const { return BodiesDrawn() && parts_->drawn == Finish::fine; }

const Bitmap& ViewScene::Draw(Finish finish) {
  Parts& all = *parts_;
  if (finish == Finish::fine ? !BodiesFine() : !BodiesDrawn()) {
    all.picture.Draw(finish == Finish::fine, all.drawn_bodies);
    all.drawn_from = all.seen.eye;
    all.drawn = finish;
  }
  all.whole = all.drawn_bodies;
  all.overlay.Begin(all.whole);
  PaintMarker(all.overlay, all.seen.eye);
  all.layer.Paint(all.overlay, all.seen);
  all.overlay.End();
  return all.whole;
}

std::optional<ChosenPoint> ViewScene::PointAt(double x, double y) const {
  const ShapePoint* best = nullptr;
  double nearest = kHit * parts_->overlay.scale();
  for (const ShapePoint& point : parts_->layer.points) {
    const double off = (parts_->seen.OnScreen(point.position) - Vec2(x, y)).norm();
    if (off >= nearest) continue;
    if (!parts_->layer.IsChosen(point) && !parts_->layer.IsSeen(point, parts_->seen)) continue;
    nearest = off;
    best = &point;
  }
  return best == nullptr ? std::nullopt : std::optional(ChosenPoint{best->name, best->side});
}

std::optional<std::string> ViewScene::DatumAt(double x, double y) const {
  const ShapeDatum* best = nullptr;
  double nearest = kDatumHit * parts_->overlay.scale();
  for (const ShapeDatum& datum : parts_->datums) {
    // A fitting is a place or an axis; lines of the skin run past it everywhere.
    const bool place = datum.places.size() <= 2;
    for (std::size_t i = 0; i < datum.places.size(); ++i) {
      const Vec2 a = parts_->seen.OnScreen(datum.places[i]);
      const Vec2 b = parts_->seen.OnScreen(datum.places[std::min(i + 1, datum.places.size() - 1)]);
      const double off = ToSegment(Vec2(x, y), a, b) * (place ? kPlaceFirst : 1.0);
      if (off >= nearest) continue;
      nearest = off;
      best = &datum;
    }
  }
  return best == nullptr ? std::nullopt : std::optional(best->words);
}

std::optional<SkinPick> ViewScene::SkinAt(double x, double y) const {
  auto picker = Ptr<vtkCellPicker>::New();
  picker->SetTolerance(0.0005);
  if (picker->Pick(x, y, 0.0, parts_->renderer) == 0) return std::nullopt;
  for (const auto& [body, actor] : parts_->bodies) {
    if (actor.Get() != picker->GetActor()) continue;
    const double* at = picker->GetPickPosition();
    return SkinPick{body.part, body.side, Vec3(at[0], at[1], at[2])};
  }
  return std::nullopt;
}

std::optional<Vec2> ViewScene::MarkOf(const ChosenPoint& id) const {
  for (const ShapePoint& point : parts_->layer.points) {
    if (id == ChosenPoint{point.name, point.side} && parts_->layer.IsSeen(point, parts_->seen)) {
      return parts_->seen.OnScreen(point.position);
    }
  }
  return std::nullopt;
}

}  // namespace holeward
