#include "viewer/window/still_picture.h"

#include <vtkActor2D.h>
#include <vtkImageData.h>
#include <vtkImageMapper.h>
#include <vtkPointData.h>
#include <vtkProperty2D.h>
#include <vtkRenderWindow.h>
#include <vtkRenderer.h>
#include <vtkUnsignedCharArray.h>

namespace holeward {

StillPicture::StillPicture(vtkRenderer* over)
    : image_(vtkSmartPointer<vtkImageData>::New()), actor_(vtkSmartPointer<vtkActor2D>::New()) {
  auto mapper = vtkSmartPointer<vtkImageMapper>::New();
  mapper->SetInputData(image_);
  // Every level of light as it is.
  mapper->SetColorWindow(255.0);
  mapper->SetColorLevel(127.5);
  actor_->SetMapper(mapper);
  actor_->GetProperty()->SetDisplayLocationToBackground();
  actor_->SetVisibility(0);
  over->AddActor2D(actor_);
}

void StillPicture::Take(vtkRenderWindow* window) {
  const int* size = window->GetSize();
  auto pixels = vtkSmartPointer<vtkUnsignedCharArray>::New();
  window->GetPixelData(0, 0, size[0] - 1, size[1] - 1, 0, pixels);
  image_->SetDimensions(size[0], size[1], 1);
  image_->GetPointData()->SetScalars(pixels);
  image_->Modified();
}

void StillPicture::Show(bool on) { actor_->SetVisibility(on ? 1 : 0); }

}  // namespace holeward
