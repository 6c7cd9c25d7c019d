#include "viewer/window/view_marker.h"

#include <algorithm>
#include <cmath>

#include <vtkActor.h>
#include <vtkBillboardTextActor3D.h>
#include <vtkCamera.h>
#include <vtkCellArray.h>
#include <vtkPoints.h>
#include <vtkPolyData.h>
#include <vtkPolyDataMapper.h>
#include <vtkProperty.h>
#include <vtkRenderer.h>
#include <vtkTextProperty.h>

#include "viewer/window/view_font.h"

namespace holeward {
namespace {

/// The outline of a vehicle, lengths in its own: front at +x, left at +y.
std::vector<std::vector<Vec3>> Outline() {
  const std::vector<Vec2> side = {{-2.0, -0.6}, {2.1, -0.6}, {2.2, 0.0},  {1.4, 0.2},
                                  {0.9, 1.0},   {-2.0, 1.0}, {-2.0, -0.6}};
  std::vector<std::vector<Vec3>> lines;
  for (const double y : {-0.85, 0.85}) {
    std::vector<Vec3> line;
    for (const Vec2& p : side) line.emplace_back(p.x(), y, p.y());
    lines.push_back(line);
    for (const double wheel : {-1.25, 1.35}) {
      std::vector<Vec3> ring;
      for (int i = 0; i <= 16; ++i) {
        const double angle = 2.0 * kPi * i / 16;
        ring.emplace_back(wheel + 0.38 * std::cos(angle), y, -0.6 + 0.38 * std::sin(angle));
      }
      lines.push_back(ring);
    }
  }
  for (std::size_t i = 0; i + 1 < side.size(); ++i) {
    lines.push_back({{side[i].x(), -0.85, side[i].y()}, {side[i].x(), 0.85, side[i].y()}});
  }
  return lines;
}

vtkSmartPointer<vtkBillboardTextActor3D> WordAt(const char* word, const Vec3& at) {
  auto actor = vtkSmartPointer<vtkBillboardTextActor3D>::New();
  actor->SetInput(word);
  actor->SetPosition(at.x(), at.y(), at.z());
  vtkTextProperty* text = actor->GetTextProperty();
  UseLettering(text, true);
  text->SetColor(0.1, 0.11, 0.14);
  text->SetBackgroundColor(0.97, 0.975, 0.98);
  text->SetBackgroundOpacity(0.85);
  text->SetJustificationToCentered();
  text->SetVerticalJustificationToCentered();
  return actor;
}

}  // namespace

ViewMarker::ViewMarker() : renderer_(vtkSmartPointer<vtkRenderer>::New()) {
  auto points = vtkSmartPointer<vtkPoints>::New();
  auto cells = vtkSmartPointer<vtkCellArray>::New();
  for (const auto& line : Outline()) {
    cells->InsertNextCell(static_cast<int>(line.size()));
    for (const Vec3& p : line) {
      cells->InsertCellPoint(points->InsertNextPoint(p.x(), p.y(), p.z()));
    }
  }
  auto data = vtkSmartPointer<vtkPolyData>::New();
  data->SetPoints(points);
  data->SetLines(cells);
  auto mapper = vtkSmartPointer<vtkPolyDataMapper>::New();
  mapper->SetInputData(data);
  auto actor = vtkSmartPointer<vtkActor>::New();
  actor->SetMapper(mapper);
  actor->GetProperty()->SetColor(0.35, 0.38, 0.44);
  actor->GetProperty()->LightingOff();
  actor->GetProperty()->SetLineWidth(1.3F);
  renderer_->AddActor(actor);
  words_ = {WordAt("FRONT", {3.5, 0.0, -0.3}), WordAt("LEFT", {0.0, 2.6, -0.3})};
  for (const auto& word : words_) renderer_->AddActor(word);
  renderer_->SetLayer(1);
  renderer_->InteractiveOff();
  renderer_->SetViewport(0.0, 0.0, 0.24, 0.26);
  renderer_->GetActiveCamera()->ParallelProjectionOn();
  SetScale(1.0);
}

vtkRenderer* ViewMarker::renderer() const { return renderer_; }

void ViewMarker::SetScale(double scale) {
  for (const auto& word : words_) {
    word->GetTextProperty()->SetFontSize(LetterSize(renderer_, 11.0 * scale));
  }
}

void ViewMarker::Follow(const Eye& eye) {
  const Vec3 from = 20.0 * eye.Toward();
  const Vec3 up = eye.Up();
  vtkCamera* camera = renderer_->GetActiveCamera();
  camera->SetFocalPoint(0.0, 0.0, 0.0);
  camera->SetPosition(from.x(), from.y(), from.z());
  camera->SetViewUp(up.x(), up.y(), up.z());
  // Room for the words beside the vehicle, however narrow the corner is.
  const double aspect = std::max(0.2, renderer_->GetTiledAspectRatio());
  camera->SetParallelScale(std::max(3.4, 5.0 / aspect));
  camera->SetClippingRange(1.0, 60.0);
}

}  // namespace holeward
