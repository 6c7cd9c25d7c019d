#include <filesystem>

#include <fmt/format.h>

#include "app/commands.h"
#include "app/interrupt.h"
#include "app/output.h"
#include "app/work_model.h"
#include "export/model_gltf.h"
#include "export/model_json.h"
#include "export/model_request.h"
#include "export/model_stl.h"
#include "models/checking.h"
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

Result<std::string> BytesOf(const ModelDocument& model, ModelForm form) {
  switch (form) {
    case ModelForm::step: return StepOf(model);
    case ModelForm::glb: return ToGlb(model);
    case ModelForm::stl: return StlOf(model);
  }
  return Fail(ErrorKind::computed, "a form that is not known");
}

ExitStatus WriteOne(const std::string& file, std::string bytes, Console& console) {
  const std::filesystem::path path(file);
  const std::string folder = path.has_parent_path() ? path.parent_path().string() : ".";
  return WriteSet(folder, {{path.filename().string(), std::move(bytes)}}, console);
}

}  // namespace

ExitStatus RunModel(const Options& options, Console& console) {
  auto work = PlaceWork(options, console);
  if (!work) {
    return work.error();
  }
  if (options.drilled) {
    for (SideWork& side : work->sides) {
      console.Progress(fmt::format("{}: checking", Word(side.side)));
      side.checking = CheckPoints(work->job, side.scene, side.points, side.side);
    }
  }
  console.Progress("building the model");
  const auto model = ModelOf(*work, options);
  if (!model) {
    return Failed(model.error(), console);
  }
  auto bytes = BytesOf(*model, *ModelFormOf(*options.to));
  console.EndProgress();
  if (!bytes) {
    return Failed(bytes.error(), console);
  }
  const std::size_t size = bytes->size();
  const ExitStatus written = WriteOne(*options.to, std::move(*bytes), console);
  if (written != ExitStatus::done) {
    return written;
  }
  if (options.json) {
    return PrintDocument(ModelJson(HeadOf(*work), *model, *options.to), console);
  }
  console.Print(fmt::format("{}: {} part{}, {} points, {} drill axes; {} bytes",
                            Printable(*options.to), model->parts.size(),
                            model->parts.size() == 1 ? "" : "s", model->marks.size(),
                            model->axes.size(), size));
  return ExitStatus::done;
}

}  // namespace holeward
