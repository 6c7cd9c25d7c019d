// The orientation marker in the corner: a plain outline of a vehicle with its ways in words.
#pragma once

#include <vector>

#include <vtkSmartPointer.h>

#include "viewer/window/eye.h"

class vtkBillboardTextActor3D;
class vtkRenderer;

namespace holeward {

class ViewMarker {
 public:
  ViewMarker();

  [[nodiscard]] vtkRenderer* renderer() const;
  /// Turns the vehicle as the eye sees it.
  void Follow(const Eye& eye);
  void SetScale(double scale);

 private:
  vtkSmartPointer<vtkRenderer> renderer_;
  std::vector<vtkSmartPointer<vtkBillboardTextActor3D>> words_;
};

}  // namespace holeward
