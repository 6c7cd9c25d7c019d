#include "app/write_model.h"

#include <filesystem>

#include "app/output.h"
#include "export/model_gltf.h"
#include "export/model_request.h"
#include "export/model_stl.h"
#include "geometry/solid_mesh.h"
#include "models/exchange.h"

namespace holeward {
namespace {

Result<std::string> StepOf(const ModelDocument& model) {
  const auto request = WriteStepRequest(model);
  if (!request) return tl::unexpected<Error>(request.error());
  const auto answer = AskExchange(*request, "writing the STEP file");
  if (!answer) return tl::unexpected<Error>(answer.error());
  const auto text = answer->find("text");
  if (text == answer->end() || !text->is_binary()) {
    return Fail(ErrorKind::computed, "writing the STEP file gave no file");
  }
  return BinaryOf(*text);
}

Result<std::string> StlOf(const ModelDocument& model) {
  std::vector<SolidMesh> meshes;
  for (const ModelPart& part : model.parts) {
    auto mesh = MeshOf(part.solid);
    if (!mesh) return tl::unexpected<Error>(mesh.error());
    meshes.push_back(std::move(*mesh));
  }
  return ToStl(meshes, "holeward, mm, " + model.note);
}

}  // namespace

Result<std::string> BytesOf(const ModelDocument& model, ModelForm form) {
  switch (form) {
    case ModelForm::step: return StepOf(model);
    case ModelForm::glb: return ToGlb(model);
    case ModelForm::stl: return StlOf(model);
  }
  return Fail(ErrorKind::computed, "a form that is not known");
}

ExitStatus WriteOne(const std::string& file, std::string bytes, std::string_view said,
                    ExitStatus status, Console& console) {
  const std::filesystem::path path(file);
  const std::string folder = path.has_parent_path() ? path.parent_path().string() : ".";
  return WriteSet(folder, {{path.filename().string(), std::move(bytes)}}, said, status, console);
}

}  // namespace holeward
