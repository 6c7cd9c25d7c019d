#include "viewer/window/view_scene.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include <vtkActor.h>
#include <vtkAutoInit.h>
#include <vtkCamera.h>
#include <vtkCellArray.h>
#include <vtkCellPicker.h>
#include <vtkCleanPolyData.h>
#include <vtkPoints.h>
#include <vtkPolyData.h>
#include <vtkPolyDataMapper.h>
#include <vtkPolyDataNormals.h>
#include <vtkProperty.h>
#include <vtkRenderWindow.h>
#include <vtkRenderer.h>
#include <vtkSmartPointer.h>

#include "viewer/label_layout.h"
#include "viewer/window/still_picture.h"
#include "viewer/window/view_marker.h"
#include "viewer/window/view_overlay.h"

namespace holeward {
namespace {

template <class T>
using Ptr = vtkSmartPointer<T>;

constexpr double kAngle = 30.0;    // degrees of view in perspective
constexpr double kHit = 12.0;      // pixels within which a mark is hit
constexpr double kDatumHit = 7.0;  // pixels within which a datum is
constexpr Ink3 kInk = {20, 22, 26};
constexpr Ink3 kTape = {20, 60, 150};

Ptr<vtkPolyData> DataOf(const std::vector<std::array<Vec3, 4>>& quads) {
  auto points = Ptr<vtkPoints>::New();
  auto cells = Ptr<vtkCellArray>::New();
  for (const auto& quad : quads) {
    cells->InsertNextCell(4);
    for (const Vec3& p : quad) {
      cells->InsertCellPoint(points->InsertNextPoint(p.x(), p.y(), p.z()));
    }
  }
  auto data = Ptr<vtkPolyData>::New();
  data->SetPoints(points);
  data->SetPolys(cells);
  return data;
}

Ptr<vtkPolyData> LinesOf(const std::vector<std::vector<Vec3>>& lines) {
  auto points = Ptr<vtkPoints>::New();
  auto cells = Ptr<vtkCellArray>::New();
  for (const auto& line : lines) {
    cells->InsertNextCell(static_cast<int>(line.size()));
    for (const Vec3& p : line) {
      cells->InsertCellPoint(points->InsertNextPoint(p.x(), p.y(), p.z()));
    }
  }
  auto data = Ptr<vtkPolyData>::New();
  data->SetPoints(points);
  data->SetLines(cells);
  return data;
}

Ptr<vtkActor> Shaded(const ShapeBody& body) {
  auto clean = Ptr<vtkCleanPolyData>::New();
  clean->SetInputData(DataOf(body.quads));
  clean->SetToleranceIsAbsolute(true);
  clean->SetAbsoluteTolerance(1e-4);
  auto normals = Ptr<vtkPolyDataNormals>::New();
  normals->SetInputConnection(clean->GetOutputPort());
  normals->SetFeatureAngle(35.0);
  normals->SplittingOn();
  normals->ConsistencyOff();
  normals->Update();
  auto mapper = Ptr<vtkPolyDataMapper>::New();
  mapper->SetInputData(normals->GetOutput());
  mapper->ScalarVisibilityOff();
  auto actor = Ptr<vtkActor>::New();
  actor->SetMapper(mapper);
  vtkProperty* look = actor->GetProperty();
  look->SetAmbient(0.25);
  look->SetDiffuse(0.75);
  switch (body.kind) {
    case BodyKind::skin: look->SetColor(0.74, 0.78, 0.82); break;
    case BodyKind::fitting: look->SetColor(0.60, 0.63, 0.60); break;
    case BodyKind::inner: look->SetColor(0.80, 0.62, 0.42); break;
    case BodyKind::neighbour: look->SetColor(0.45, 0.47, 0.52); break;
  }
  return actor;
}

Ptr<vtkActor> Lined(const std::vector<std::vector<Vec3>>& lines) {
  auto mapper = Ptr<vtkPolyDataMapper>::New();
  mapper->SetInputData(LinesOf(lines));
  mapper->SetResolveCoincidentTopologyToPolygonOffset();
  mapper->SetRelativeCoincidentTopologyLineOffsetParameters(-1.0, -8.0);
  auto actor = Ptr<vtkActor>::New();
  actor->SetMapper(mapper);
  actor->GetProperty()->SetColor(0.22, 0.24, 0.28);
  actor->GetProperty()->SetLineWidth(1.2F);
  actor->GetProperty()->LightingOff();
  actor->PickableOff();
  return actor;
}

double ToSegment(const Vec2& p, const Vec2& a, const Vec2& b) {
  const Vec2 way = b - a;
  const double length = way.squaredNorm();
  const double t = length > 0.0 ? std::clamp((p - a).dot(way) / length, 0.0, 1.0) : 0.0;
  return (p - (a + t * way)).norm();
}

ChosenPoint IdOf(const ShapePoint& point) { return {point.name, point.side}; }

}  // namespace

struct ViewScene::Parts {
  Ptr<vtkRenderer> renderer = Ptr<vtkRenderer>::New();  ///< the bodies
  Ptr<vtkRenderer> over = Ptr<vtkRenderer>::New();      ///< what is laid over them
  ViewMarker marker;
  StillPicture still{over};
  ViewOverlay overlay{over};
  std::optional<Eye> still_from;  ///< the bodies as seen from there are in `still`
  std::vector<std::pair<ShapeBody, Ptr<vtkActor>>> bodies;
  std::vector<Ptr<vtkActor>> lines;
  std::vector<ShapeDatum> datums;
  std::vector<ShapePoint> points;
  std::optional<ChosenPoint> chosen;
  std::optional<ShownReading> reading;
  std::vector<Vec3> corners;  ///< of all bodies
  bool inside = false;
  bool perspective = false;
  bool inches = false;
  double scale = 1.0;
  int width = 1, height = 1;

  [[nodiscard]] Vec2 OnScreen(const Vec3& p) const {
    renderer->SetWorldPoint(p.x(), p.y(), p.z(), 1.0);
    renderer->WorldToDisplay();
    const double* at = renderer->GetDisplayPoint();
    return {at[0], at[1]};
  }

  [[nodiscard]] bool Faces(const Vec3& position, const Vec3& normal) const {
    if (inside) return true;
    double eye[3];
    renderer->GetActiveCamera()->GetPosition(eye);
    Vec3 to_eye = Vec3(eye[0], eye[1], eye[2]) - position;
    if (!perspective) {
      double way[3];
      renderer->GetActiveCamera()->GetDirectionOfProjection(way);
      to_eye = -Vec3(way[0], way[1], way[2]);
    }
    return normal.dot(to_eye.normalized()) > 0.02;
  }

  void PaintPath(const std::vector<Vec3>& places, const Ink3& ink) {
    std::vector<Vec2> flat;
    for (const Vec3& p : places) flat.push_back(OnScreen(p));
    if (flat.size() >= 2) overlay.Line(flat, ink);
  }

  void PaintChosenPaths(const ShapePoint& point, std::vector<LabelWish>& wishes,
                        std::vector<std::string>& words) {
    for (const ReadingPath& path : point.paths) {
      PaintPath(path.places, kTape);
      const std::string said = WordsOf(path, inches);
      if (said.empty() || path.places.empty()) continue;
      wishes.push_back({OnScreen(path.places[path.places.size() / 2]), overlay.SizeOf(said)});
      words.push_back(said);
    }
  }

  void PaintLabels() {
    std::vector<LabelWish> wishes;
    std::vector<std::string> words;
    std::vector<bool> strong;
    const auto add = [&](const ShapePoint& point) {
      const std::string said = point.name + "  " + point.word;
      wishes.push_back({OnScreen(point.position), overlay.SizeOf(said)});
      words.push_back(said);
    };
    for (const ShapePoint& point : points) {
      if (chosen == IdOf(point)) add(point);
    }
    strong.resize(words.size(), true);
    for (const ShapePoint& point : points) {
      if (chosen == IdOf(point)) PaintChosenPaths(point, wishes, words);
    }
    if (reading && !reading->path.empty()) {
      PaintPath(reading->path, kTape);
      wishes.push_back(
          {OnScreen(reading->path[reading->path.size() / 2]), overlay.SizeOf(reading->words)});
      words.push_back(reading->words);
    }
    for (const ShapePoint& point : points) {
      if (chosen != IdOf(point) && Faces(point.position, point.normal)) add(point);
    }
    strong.resize(words.size(), false);
    const auto boxes = PlaceLabels(wishes, Vec2(width, height), 11.0 * scale);
    for (std::size_t i = 0; i < words.size(); ++i) {
      const Vec2 low = boxes[i];
      const Vec2 high = low + wishes[i].size;
      const Vec2 end(std::clamp(wishes[i].at.x(), low.x(), high.x()),
                     std::clamp(wishes[i].at.y(), low.y(), high.y()));
      overlay.Line({wishes[i].at, end}, kInk);
      overlay.Words(words[i], low, strong[i]);
    }
  }

  void PaintMarks() {
    for (const ShapePoint& point : points) {
      const bool is_chosen = chosen == IdOf(point);
      if (!is_chosen && !Faces(point.position, point.normal)) continue;
      overlay.Mark(OnScreen(point.position), point.verdict.has_value(),
                   point.verdict.value_or(Verdict::unproven), is_chosen);
    }
  }
};

ViewScene::ViewScene() : parts_(std::make_unique<Parts>()) {
  parts_->renderer->SetBackground(0.97, 0.975, 0.98);
  parts_->renderer->SetLayer(0);
  parts_->over->SetLayer(1);
  parts_->over->InteractiveOff();
  eye.From(Look::three_quarter);
}

ViewScene::~ViewScene() = default;

void ViewScene::Attach(vtkRenderWindow* window) {
  window->SetNumberOfLayers(3);
  window->SetMultiSamples(4);
  window->AddRenderer(parts_->renderer);
  window->AddRenderer(parts_->over);
  window->AddRenderer(parts_->marker.renderer());
}

void ViewScene::SetShape(const SceneShape& shape) {
  parts_->still_from.reset();
  for (auto& [body, actor] : parts_->bodies) parts_->renderer->RemoveActor(actor);
  for (auto& actor : parts_->lines) parts_->renderer->RemoveActor(actor);
  parts_->bodies.clear();
  parts_->lines.clear();
  parts_->corners.clear();
  for (const ShapeBody& body : shape.bodies) {
    auto actor = Shaded(body);
    parts_->renderer->AddActor(actor);
    if (body.kind != BodyKind::skin) actor->PickableOff();
    if (!body.lines.empty()) {
      parts_->lines.push_back(Lined(body.lines));
      parts_->renderer->AddActor(parts_->lines.back());
    }
    for (const auto& quad : body.quads)
      parts_->corners.insert(parts_->corners.end(), quad.begin(), quad.end());
    parts_->bodies.emplace_back(ShapeBody{body.kind, body.part, body.side, {}, {}}, actor);
  }
  parts_->datums = shape.datums;
  SeeInside(parts_->inside);
}

void ViewScene::SetPoints(std::vector<ShapePoint> points, bool inches) {
  parts_->points = std::move(points);
  parts_->inches = inches;
}

void ViewScene::Choose(const std::optional<ChosenPoint>& chosen) { parts_->chosen = chosen; }

void ViewScene::SeeInside(bool inside) {
  parts_->still_from.reset();
  parts_->inside = inside;
  for (auto& [body, actor] : parts_->bodies) {
    if (body.kind == BodyKind::skin) actor->GetProperty()->SetOpacity(inside ? 0.28 : 1.0);
  }
}

void ViewScene::Perspective(bool on) {
  parts_->still_from.reset();
  parts_->perspective = on;
}

void ViewScene::SetReading(std::optional<ShownReading> reading) {
  parts_->reading = std::move(reading);
}

void ViewScene::SetScale(double scale) {
  parts_->scale = scale;
  parts_->overlay.SetScale(scale);
  parts_->marker.SetScale(scale);
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
  const double aspect = static_cast<double>(parts_->width) / std::max(1, parts_->height);
  eye.height = 1.22 * std::max({1.0, seen.sizes().y(), seen.sizes().x() / aspect});
}

void ViewScene::Pan(double by_x, double by_y) {
  const double mm = eye.height / std::max(1, parts_->height);
  eye.focus -= mm * (by_x * eye.Right() + by_y * eye.Up());
}

void ViewScene::Zoom(double factor) { eye.height = std::clamp(eye.height * factor, 5.0, 20000.0); }

void ViewScene::HoldStill() {
  vtkRenderWindow* window = parts_->renderer->GetRenderWindow();
  if (window == nullptr || HeldStill()) return;
  parts_->renderer->DrawOn();
  parts_->over->DrawOff();
  parts_->marker.renderer()->DrawOff();
  window->Render();
  parts_->still.Take(window);
  parts_->over->DrawOn();
  parts_->marker.renderer()->DrawOn();
  parts_->still_from = eye;
}

bool ViewScene::HeldStill() const { return parts_->still_from == eye; }

void ViewScene::Prepare(int width, int height) {
  if (width != parts_->width || height != parts_->height) parts_->still_from.reset();
  parts_->renderer->SetDraw(HeldStill() ? 0 : 1);
  parts_->still.Show(HeldStill());
  parts_->width = width;
  parts_->height = height;
  vtkCamera* camera = parts_->renderer->GetActiveCamera();
  const double distance = 0.5 * eye.height / std::tan(0.5 * kAngle * kPi / 180.0);
  const Vec3 from = eye.focus + distance * eye.Toward();
  const Vec3 up = eye.Up();
  camera->SetFocalPoint(eye.focus.x(), eye.focus.y(), eye.focus.z());
  camera->SetPosition(from.x(), from.y(), from.z());
  camera->SetViewUp(up.x(), up.y(), up.z());
  camera->SetViewAngle(kAngle);
  camera->SetParallelScale(0.5 * eye.height);
  camera->SetParallelProjection(parts_->perspective ? 0 : 1);
  parts_->renderer->ResetCameraClippingRange();
  parts_->marker.Follow(eye);
  parts_->overlay.Clear();
  parts_->PaintLabels();
  parts_->PaintMarks();
  parts_->overlay.Done();
}

std::optional<ChosenPoint> ViewScene::PointAt(double x, double y) const {
  const ShapePoint* best = nullptr;
  double nearest = kHit * parts_->scale;
  for (const ShapePoint& point : parts_->points) {
    if (!parts_->Faces(point.position, point.normal) && parts_->chosen != IdOf(point)) continue;
    const double off = (parts_->OnScreen(point.position) - Vec2(x, y)).norm();
    if (off >= nearest) continue;
    nearest = off;
    best = &point;
  }
  return best == nullptr ? std::nullopt : std::optional(IdOf(*best));
}

std::optional<std::string> ViewScene::DatumAt(double x, double y) const {
  const ShapeDatum* best = nullptr;
  double nearest = kDatumHit * parts_->scale;
  for (const ShapeDatum& datum : parts_->datums) {
    for (std::size_t i = 0; i < datum.places.size(); ++i) {
      const Vec2 a = parts_->OnScreen(datum.places[i]);
      const Vec2 b = parts_->OnScreen(datum.places[std::min(i + 1, datum.places.size() - 1)]);
      const double off = ToSegment(Vec2(x, y), a, b);
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
  for (const ShapePoint& point : parts_->points) {
    if (IdOf(point) == id && parts_->Faces(point.position, point.normal)) {
      return parts_->OnScreen(point.position);
    }
  }
  return std::nullopt;
}

}  // namespace holeward
