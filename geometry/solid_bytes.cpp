#include "geometry/solid_bytes.h"

#include <sstream>

#include <BinTools.hxx>
#include <Message_ProgressRange.hxx>
#include <TopExp.hxx>
#include <TopTools_IndexedMapOfShape.hxx>

#include "geometry/solid_kernel.h"

namespace holeward {

Result<std::string> ShapeBytes(const TopoDS_Shape& shape) {
  return Guarded("a shape", "writing it out", [&]() -> Result<std::string> {
    std::ostringstream out;
    BinTools::Write(shape, out, false, false, BinTools_FormatVersion_CURRENT);
    if (!out) return Fail(ErrorKind::computed, "a shape could not be written out");
    return out.str();
  });
}

Result<TopoDS_Shape> ShapeOfBytes(const std::string& bytes) {
  return Guarded("a shape", "reading it back", [&]() -> Result<TopoDS_Shape> {
    std::istringstream in(bytes);
    TopoDS_Shape shape;
    BinTools::Read(shape, in);
    if (shape.IsNull()) return Fail(ErrorKind::computed, "the bytes of a shape are damaged");
    return shape;
  });
}

Result<SolidBytes> BytesOf(const NamedSolid& solid) {
  auto shape = ShapeBytes(solid.shape());
  if (!shape) return tl::unexpected<Error>(shape.error());
  SolidBytes bytes{std::move(*shape), {}};
  TopTools_IndexedMapOfShape in_order;
  TopExp::MapShapes(solid.shape(), TopAbs_FACE, in_order);
  bytes.faces.resize(static_cast<std::size_t>(in_order.Extent()));
  for (const NamedSolid::NamedFace& face : solid.faces()) {
    const int index = in_order.FindIndex(face.face);
    if (index > 0) bytes.faces[static_cast<std::size_t>(index - 1)] = {face.name, face.role};
  }
  return bytes;
}

}  // namespace holeward
