// The kernel's exceptions and shapes kept at arm's length: what the solid_*.cpp files share.
#pragma once

#include <exception>
#include <new>
#include <string>
#include <utility>
#include <vector>

#include <Standard_Failure.hxx>
#include <Standard_OutOfMemory.hxx>
#include <gp_Pnt.hxx>

#include "geometry/solid.h"

namespace holeward {

/// Runs `make`; what the kernel throws becomes one sentence about `what`. Memory that ran out is no
/// matter of the shape and becomes std::bad_alloc.
template <class Make>
auto Guarded(const std::string& what, const std::string& doing, Make&& make) -> decltype(make()) {
  auto sentence = [&](const char* text) {
    std::string message = what + ": " + doing + " failed in the geometry kernel";
    if (text != nullptr && *text != '\0') message += std::string(" (") + text + ")";
    return Fail(ErrorKind::computed, message);
  };
  try {
    return std::forward<Make>(make)();
  } catch (const Standard_OutOfMemory&) {
    throw std::bad_alloc();
  } catch (const std::bad_alloc&) {
    throw;
  } catch (const Standard_Failure& failure) {
    return sentence(failure.GetMessageString());
  } catch (const std::exception& failure) {
    return sentence(failure.what());
  }
}

[[nodiscard]] inline gp_Pnt ToPnt(const Vec3& p) { return {p.x(), p.y(), p.z()}; }
[[nodiscard]] inline Vec3 ToVec3(const gp_Pnt& p) { return {p.X(), p.Y(), p.Z()}; }

/// A face to be sewn, with the name it is to keep.
using RawFace = NamedSolid::NamedFace;

/// Gives the solid_*.cpp files access to a solid in the making.
struct SolidMaker {
  /// Sews faces into one closed solid, orients it outward, follows the names and checks it.
  /// Errors (computed): gaps, more than one shell, an invalid or empty solid, a lost face.
  static Result<NamedSolid> Sew(const std::string& what, const std::vector<RawFace>& faces);
  static Result<NamedSolid> FromShape(const std::string& what, const TopoDS_Shape& shape,
                                      std::vector<RawFace> faces);
  static void SetWall(NamedSolid& solid, double deviation, double least, double greatest);
};

}  // namespace holeward
