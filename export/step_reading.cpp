#include "export/step_reading.h"

#include <algorithm>
#include <sstream>

#include <BRepBndLib.hxx>
#include <BRepCheck_Analyzer.hxx>
#include <BRep_Tool.hxx>
#include <Bnd_Box.hxx>
#include <IFSelect_CheckCounter.hxx>
#include <Interface_Check.hxx>
#include <Interface_CheckIterator.hxx>
#include <Interface_InterfaceModel.hxx>
#include <STEPControl_Reader.hxx>
#include <ShapeAnalysis_ShapeTolerance.hxx>
#include <ShapeFix_Shape.hxx>
#include <StepData_StepModel.hxx>
#include <StepRepr_RepresentationItem.hxx>
#include <TColStd_SequenceOfAsciiString.hxx>
#include <TCollection_HAsciiString.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS.hxx>
#include <TransferBRep.hxx>
#include <Transfer_TransientProcess.hxx>
#include <XSControl_TransferReader.hxx>
#include <XSControl_WorkSession.hxx>
#include <fmt/format.h>

#include "export/step_mending.h"
#include "geometry/shape_parts.h"
#include "geometry/solid_bytes.h"
#include "models/exchange.h"

namespace holeward {
namespace {

using Json = nlohmann::json;

// More bodies, or faces of one, are not a suspension part.
constexpr int kMostBodies = 1000;
constexpr int kMostFaces = 20000;
// Faces, edges and corners of one body lie on each other within this, mm: as much as a face may be
// off the tube it is one of (geometry/solid_match). The reader widens the tolerance of an edge
// until a damaged one fits, and what lies within a tolerance is anyone's guess.
constexpr double kFit = 0.02;

bool IsClosed(const TopoDS_Shape& solid) {
  for (TopExp_Explorer e(solid, TopAbs_SHELL); e.More(); e.Next()) {
    if (!BRep_Tool::IsClosed(e.Current())) return false;
  }
  return TopExp_Explorer(solid, TopAbs_SHELL).More();
}

/// Why a solid cannot be used; empty if it can.
std::string TroubleOf(const TopoDS_Shape& solid) {
  if (!IsClosed(solid)) return "its surface is not closed";
  if (!BRepCheck_Analyzer(solid).IsValid()) return "its faces and edges do not fit together";
  const double fit = ShapeAnalysis_ShapeTolerance().Tolerance(solid, 1);  // 1: the greatest
  if (!(fit <= kFit)) {
    return fmt::format("its faces and edges meet only within {:.3g} mm, not within {:g} mm", fit,
                       kFit);
  }
  if (!(VolumeOf(solid, 1e-5) > 1e-3)) return "it has no volume";
  return "";
}

int FacesOf(const TopoDS_Shape& shape) {
  TopTools_IndexedMapOfShape faces;
  TopExp::MapShapes(shape, TopAbs_FACE, faces);
  return faces.Extent();
}

Json PlaceJson(double x, double y, double z) { return Json::array({x, y, z}); }

/// The name the file gives a solid, or an empty one.
std::string NameIn(const STEPControl_Reader& reader, const TopoDS_Shape& solid) {
  const auto transfer = reader.WS()->TransferReader();
  const Handle(Standard_Transient) entity = transfer->EntityFromShapeResult(solid, 3);
  const auto item = Handle(StepRepr_RepresentationItem)::DownCast(entity);
  if (item.IsNull() || item->Name().IsNull()) return "";
  return item->Name()->ToCString();
}

Json BodyJson(const STEPControl_Reader& reader, const StepAccount& account, TopoDS_Shape solid) {
  Json body = {{"name", NameIn(reader, solid)}, {"healed", Json::array()}, {"trouble", ""}};
  const std::string mended = account.MendedOf(solid);
  body["faces"] = FacesOf(solid);
  std::string trouble = FacesOf(solid) > kMostFaces
                            ? fmt::format("it has more than {} faces", kMostFaces)
                            : TroubleOf(solid);
  if (!mended.empty()) body["healed"].push_back(mended);
  if (!trouble.empty() && FacesOf(solid) <= kMostFaces) {
    ShapeFix_Shape fix(solid);
    fix.Perform();
    const TopExp_Explorer fixed(fix.Shape(), TopAbs_SOLID);
    if (fixed.More() && TroubleOf(fixed.Current()).empty()) {
      body["healed"].push_back(trouble);
      solid = fixed.Current();
      trouble.clear();
    }
  }
  body["trouble"] = trouble;
  Bnd_Box box;
  BRepBndLib::AddOptimal(solid, box, false, false);
  if (!box.IsVoid()) {
    const gp_Pnt low = box.CornerMin();
    const gp_Pnt high = box.CornerMax();
    body["low"] = PlaceJson(low.X(), low.Y(), low.Z());
    body["high"] = PlaceJson(high.X(), high.Y(), high.Z());
  }
  if (!trouble.empty()) return body;
  body["volume"] = VolumeOf(solid, 1e-5);
  const auto bytes = ShapeBytes(solid);
  if (bytes) {
    body["shape"] = BinaryValue(*bytes);
  } else {
    body["trouble"] = bytes.error().message;
  }
  return body;
}

std::string Words(const TColStd_SequenceOfAsciiString& words) {
  std::string all;
  for (int i = 1; i <= words.Length(); ++i) {
    if (all.find(words.Value(i).ToCString()) != std::string::npos) continue;
    if (!all.empty()) all += ", ";
    all += words.Value(i).ToCString();
  }
  return all;
}

/// What the file's own check finds; empty if nothing fails.
std::string FailuresOf(STEPControl_Reader& reader) {
  const Interface_CheckIterator checks = reader.WS()->ModelCheckList();
  Interface_CheckIterator list = checks;
  int failed = 0;
  std::string first;
  for (list.Start(); list.More(); list.Next()) {
    const Handle(Interface_Check) check = list.Value();
    if (check.IsNull() || !check->HasFailed()) continue;
    if (failed++ == 0) first = check->CFail(1);
  }
  if (failed == 0) return "";
  return fmt::format("{} of its entities {} damaged; the first: {}", failed,
                     failed == 1 ? "is" : "are", first);
}

}  // namespace

Result<Json> ReadStepAnswer(const std::string& text) {
  if (text.substr(0, 4096).find("ISO-10303-21") == std::string::npos) {
    return Fail(ErrorKind::computed, "it is not a STEP file (ISO 10303-21)");
  }
  STEPControl_Reader reader;
  std::istringstream stream(text);
  if (reader.ReadStream("job.step", stream) != IFSelect_RetDone) {
    return Fail(ErrorKind::computed, "it cannot be read as a STEP file: it is damaged or cut off");
  }
  if (const std::string failures = FailuresOf(reader); !failures.empty()) {
    return Fail(ErrorKind::computed, failures);
  }
  TColStd_SequenceOfAsciiString lengths;
  TColStd_SequenceOfAsciiString angles;
  TColStd_SequenceOfAsciiString solid_angles;
  reader.FileUnits(lengths, angles, solid_angles);
  reader.TransferRoots();
  Json answer = {{"unit", Words(lengths)}, {"bodies", Json::array()}};
  const TopoDS_Shape all = reader.OneShape();
  TopTools_IndexedMapOfShape solids;
  if (!all.IsNull()) TopExp::MapShapes(all, TopAbs_SOLID, solids);
  if (solids.Extent() > kMostBodies) {
    return Fail(ErrorKind::computed,
                fmt::format("it holds {} bodies, more than {}", solids.Extent(), kMostBodies));
  }
  const StepAccount account(reader);
  for (int i = 1; i <= solids.Extent(); ++i) {
    answer["bodies"].push_back(BodyJson(reader, account, solids.FindKey(i)));
  }
  if (answer["bodies"].empty()) {
    return Fail(ErrorKind::computed,
                "there is no solid body in it, only loose faces, lines or none");
  }
  return answer;
}

}  // namespace holeward
