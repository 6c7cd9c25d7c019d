#include "viewer/window/body_actors.h"

#include <vtkActor.h>
#include <vtkCellArray.h>
#include <vtkCleanPolyData.h>
#include <vtkPoints.h>
#include <vtkPolyData.h>
#include <vtkPolyDataMapper.h>
#include <vtkPolyDataNormals.h>
#include <vtkProperty.h>

namespace holeward {
namespace {

template <class T>
using Ptr = vtkSmartPointer<T>;

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

}  // namespace

vtkSmartPointer<vtkActor> ShadedActor(const ShapeBody& body) {
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

vtkSmartPointer<vtkActor> LineActor(const std::vector<std::vector<Vec3>>& lines) {
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

}  // namespace holeward
