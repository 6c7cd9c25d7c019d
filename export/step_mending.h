// What of a body of a STEP file is not as the file has it: the kernel's reader mends some damage in
// silence. The file's own faces, edges and corners are compared with those of the body as read.
#pragma once

#include <map>
#include <string>

#include <STEPControl_Reader.hxx>
#include <StepShape_ManifoldSolidBrep.hxx>
#include <TopoDS_Shape.hxx>
#include <TopoDS_TShape.hxx>
#include <Transfer_TransientProcess.hxx>

namespace holeward {

class StepAccount {
 public:
  /// @param reader that has transferred its file
  explicit StepAccount(const STEPControl_Reader& reader);

  /// What was mended of a body when it was read, one sentence; empty if nothing was. Seams of
  /// closed surfaces, edges of no length at a cone's tip or a pole, and curves in a surface's
  /// parameters are no part of a STEP file: that the reader adds them is not counted.
  [[nodiscard]] std::string MendedOf(const TopoDS_Shape& solid) const;

 private:
  Handle(Transfer_TransientProcess) process_;
  double apart_ = 0.0;  ///< how far edges and corners may lie off each other, mm
  std::map<const TopoDS_TShape*, Handle(StepShape_ManifoldSolidBrep)> bodies_;
};

}  // namespace holeward
