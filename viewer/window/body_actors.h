// Bodies of the vehicle as things the drawing library draws.
#pragma once

#include <vector>

#include <vtkSmartPointer.h>

#include "viewer/scene_shape.h"

class vtkActor;

namespace holeward {

/// A body's surfaces, shaded in the colour of its kind.
[[nodiscard]] vtkSmartPointer<vtkActor> ShadedActor(const ShapeBody& body);

/// Lines on bodies, drawn over the surfaces they lie in.
[[nodiscard]] vtkSmartPointer<vtkActor> LineActor(const std::vector<std::vector<Vec3>>& lines);

}  // namespace holeward
