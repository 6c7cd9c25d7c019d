// A picture of what stands still, laid under what moves: shown again, it costs no drawing of
// solids.
#pragma once

#include <vtkSmartPointer.h>

class vtkActor2D;
class vtkImageData;
class vtkRenderWindow;
class vtkRenderer;

namespace holeward {

class StillPicture {
 public:
  /// @param over the renderer it is drawn by, under all that is added to it later
  explicit StillPicture(vtkRenderer* over);

  /// Takes what the window shows, all of it.
  void Take(vtkRenderWindow* window);
  void Show(bool on);

 private:
  vtkSmartPointer<vtkImageData> image_;
  vtkSmartPointer<vtkActor2D> actor_;
};

}  // namespace holeward
