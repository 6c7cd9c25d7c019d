#include "export/model_step.h"

#include <APIHeaderSection_MakeHeader.hxx>
#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRepBuilderAPI_MakeVertex.hxx>
#include <BRep_Builder.hxx>
#include <Interface_Static.hxx>
#include <Message.hxx>
#include <Message_Messenger.hxx>
#include <Quantity_Color.hxx>
#include <STEPCAFControl_Writer.hxx>
#include <StepData_StepModel.hxx>
#include <StepRepr_NextAssemblyUsageOccurrence.hxx>
#include <TCollection_ExtendedString.hxx>
#include <TCollection_HAsciiString.hxx>
#include <TDataStd_Name.hxx>
#include <TDocStd_Document.hxx>
#include <TopExp.hxx>
#include <TopLoc_Location.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS_Compound.hxx>
#include <XCAFDoc_ColorTool.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <XCAFDoc_ShapeTool.hxx>
#include <XSControl_WorkSession.hxx>
#include <fmt/format.h>
#include <sys/mman.h>
#include <unistd.h>

#include "export/step_styles.h"
#include "geometry/solid_kernel.h"

namespace holeward {
namespace {

constexpr const char* kSchema = "FILE_SCHEMA(('AUTOMOTIVE_DESIGN";  // AP214, ISO 10303-214

Quantity_Color ColorOf(const Colour& c) { return {c[0], c[1], c[2], Quantity_TOC_sRGB}; }

void Name(const TDF_Label& label, const std::string& name) {
  TDataStd_Name::Set(label, TCollection_ExtendedString(name.c_str(), true));
}

/// Fills a document of the kernel's with a model.
class DocumentMaker {
 public:
  explicit DocumentMaker(const std::string& title)
      : document_(new TDocStd_Document("BinXCAF")),
        shapes_(XCAFDoc_DocumentTool::ShapeTool(document_->Main())),
        colours_(XCAFDoc_DocumentTool::ColorTool(document_->Main())),
        root_(shapes_->NewShape()) {
    Name(root_, title);
  }

  void Add(const ArrivedPart& part) {
    const TDF_Label label = AddProduct(part.name, part.shape);
    TopTools_IndexedMapOfShape in_order;
    TopExp::MapShapes(part.shape, TopAbs_FACE, in_order);
    for (std::size_t i = 0; i < part.faces.size(); ++i) {
      const TDF_Label face = shapes_->AddSubShape(label, in_order.FindKey(static_cast<int>(i) + 1));
      if (face.IsNull()) continue;
      Name(face, part.faces[i].name);
      colours_->SetColor(face, ColorOf(part.faces[i].colour), XCAFDoc_ColorSurf);
    }
  }

  void Add(const ArrivedLine& line) {
    // A bare vertex would lose its name: the kernel names what stands in a compound.
    BRep_Builder builder;
    TopoDS_Compound group;
    builder.MakeCompound(group);
    if (line.places.size() == 1) {
      builder.Add(group, BRepBuilderAPI_MakeVertex(ToPnt(line.places[0])).Vertex());
    } else {
      builder.Add(group, BRepBuilderAPI_MakeEdge(ToPnt(line.places[0]), ToPnt(line.places[1])));
    }
    const TDF_Label label = AddProduct(line.name, group);
    colours_->SetColor(label, ColorOf(line.colour), XCAFDoc_ColorCurv);
  }

  Handle(TDocStd_Document) Finish() {
    shapes_->UpdateAssemblies();
    return document_;
  }

 private:
  TDF_Label AddProduct(const std::string& name, const TopoDS_Shape& shape) {
    const TDF_Label label = shapes_->AddShape(shape, false);
    Name(label, name);
    Name(shapes_->AddComponent(root_, label, TopLoc_Location()), name);
    return label;
  }

  Handle(TDocStd_Document) document_;
  Handle(XCAFDoc_ShapeTool) shapes_;
  Handle(XCAFDoc_ColorTool) colours_;
  TDF_Label root_;
};

Handle(TCollection_HAsciiString) Ascii(const std::string& text) {
  return new TCollection_HAsciiString(text.c_str());
}

/// The head of the file, and the numbers of what stands in the assembly: the kernel counts them on
/// from one file to the next.
void Settle(const ArrivedModel& model, const Handle(StepData_StepModel) & file) {
  APIHeaderSection_MakeHeader head(file);
  head.SetName(Ascii(model.title));
  head.SetTimeStamp(Ascii(model.date + "T00:00:00"));
  head.SetAuthorValue(1, Ascii(""));
  head.SetOrganizationValue(1, Ascii(""));
  head.SetOriginatingSystem(Ascii("holeward"));
  head.SetAuthorisation(Ascii(""));
  head.SetDescriptionValue(1, Ascii(model.note));
  int number = 0;
  for (int i = 1; i <= file->NbEntities(); ++i) {
    const auto use = Handle(StepRepr_NextAssemblyUsageOccurrence)::DownCast(file->Value(i));
    if (!use.IsNull()) use->SetId(Ascii(std::to_string(++number)));
  }
}

/// The file's text, written by the kernel to a file in memory.
Result<std::string> TextOf(STEPCAFControl_Writer& writer) {
  const int memory = memfd_create("step", MFD_CLOEXEC);
  if (memory < 0) return Fail(ErrorKind::computed, "there is no memory to write the STEP file to");
  const bool written =
      writer.Write(fmt::format("/proc/self/fd/{}", memory).c_str()) == IFSelect_RetDone;
  std::string text;
  text.resize(static_cast<std::size_t>(std::max<off_t>(0, lseek(memory, 0, SEEK_END))));
  const ssize_t got = pread(memory, text.data(), text.size(), 0);
  close(memory);
  if (!written || got != static_cast<ssize_t>(text.size()) || text.empty()) {
    return Fail(ErrorKind::computed, "the geometry kernel could not write the STEP file");
  }
  return text;
}

/// Other signs than ASCII as ISO 10303-21 writes them: \X2\00FC\X0\, \X4\ beyond four digits.
std::string Escaped(const std::string& text) {
  std::string out;
  out.reserve(text.size());
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto first = static_cast<unsigned char>(text[i]);
    if (first < 0x80) {
      out.push_back(text[i]);
      continue;
    }
    const int more = first >= 0xF0 ? 3 : first >= 0xE0 ? 2 : 1;
    unsigned sign = first & (0x3FU >> more);
    for (int k = 0; k < more && i + 1 < text.size(); ++k) {
      sign = (sign << 6) | (static_cast<unsigned char>(text[++i]) & 0x3FU);
    }
    out += sign > 0xFFFF ? fmt::format("\\X4\\{:08X}\\X0\\", sign)
                         : fmt::format("\\X2\\{:04X}\\X0\\", sign);
  }
  return out;
}

Result<std::string> Written(const ArrivedModel& model) {
  Message::DefaultMessenger()->ChangePrinters().Clear();
  DocumentMaker maker(model.title);
  for (const ArrivedPart& part : model.parts) maker.Add(part);
  for (const ArrivedLine& line : model.lines) maker.Add(line);
  STEPCAFControl_Writer writer;
  Interface_Static::SetCVal("write.step.schema", "AP214IS");
  Interface_Static::SetCVal("write.step.unit", "MM");
  Interface_Static::SetIVal("write.stepcaf.subshapes.name", 1);
  writer.SetColorMode(true);
  writer.SetNameMode(true);
  if (!writer.Transfer(maker.Finish())) {
    return Fail(ErrorKind::computed, "the geometry kernel could not translate the model to STEP");
  }
  Settle(model, Handle(StepData_StepModel)::DownCast(writer.ChangeWriter().WS()->Model()));
  auto text = TextOf(writer);
  if (text && text->find(kSchema) == std::string::npos) {
    return Fail(ErrorKind::computed, "the STEP file came out in another schema than AP214");
  }
  return text ? Escaped(WithStylesInOrder(*text)) : text;
}

}  // namespace

Result<std::string> ToStep(const ArrivedModel& model) {
  return Guarded("the model", "writing STEP", [&] { return Written(model); });
}

}  // namespace holeward
