#include "geometry/solid_joined.h"

#include <ShapeUpgrade_UnifySameDomain.hxx>

#include "geometry/solid_kernel.h"

namespace holeward {

Result<TopoDS_Shape> WithFacesJoined(const TopoDS_Shape& solid, const std::string& what) {
  return Guarded(what, "joining its faces", [&]() -> Result<TopoDS_Shape> {
    ShapeUpgrade_UnifySameDomain joiner(solid, true, true, false);
    joiner.SetSafeInputMode(true);
    joiner.Build();
    return joiner.Shape();
  });
}

}  // namespace holeward
