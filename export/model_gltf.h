// A model as a binary glTF file, for viewers.
#pragma once

#include <string>

#include "export/model_document.h"
#include "geometry/result.h"

namespace holeward {

/// A .glb file (glTF 2.0, ISO/IEC 12113): metres, y up, z forward, x to the left; so a place
/// (x, y, z) of the vehicle in mm is (y, z, x) / 1000 there. One node a part, under it one a face;
/// one a point and one a drill axis, all named.
/// Accuracy: faces within 0.05 mm, numbers to single precision.
/// Errors (computed): those of MeshOf; a name that is not UTF-8.
[[nodiscard]] Result<std::string> ToGlb(const ModelDocument& model);

}  // namespace holeward
