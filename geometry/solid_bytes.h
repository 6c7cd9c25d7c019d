// A solid as bytes, to be handed to another process.
#pragma once

#include <string>
#include <vector>

#include <TopoDS_Shape.hxx>

#include "geometry/result.h"
#include "geometry/solid.h"

namespace holeward {

/// A solid in the kernel's own binary form, its faces named in the order in which the kernel counts
/// them there.
struct SolidBytes {
  std::string shape;
  struct FaceWords {
    std::string name;
    FaceRole role = FaceRole::outer;
  };
  std::vector<FaceWords> faces;
};

/// The bytes of a solid. Errors (computed): the kernel could not write it.
[[nodiscard]] Result<SolidBytes> BytesOf(const NamedSolid& solid);

/// The bytes of a shape. Errors (computed): the kernel could not write it.
[[nodiscard]] Result<std::string> ShapeBytes(const TopoDS_Shape& shape);

/// The shape behind bytes of BytesOf. Errors (computed): they are no shape.
[[nodiscard]] Result<TopoDS_Shape> ShapeOfBytes(const std::string& bytes);

}  // namespace holeward
