#include "export/model_json.h"

namespace holeward {
namespace {

Json PlaceJson(const Vec3& p) { return {p.x(), p.y(), p.z()}; }

}  // namespace

Json ModelJson(const ResultHead& head, const ModelDocument& model, const std::string& file) {
  Json document = HeadJson(head, "model");
  document["file"] = file;
  document["parts"] = Json::array();
  for (const ModelPart& part : model.parts) {
    Json faces = Json::array();
    for (const NamedSolid::NamedFace& face : part.solid.faces()) faces.push_back(face.name);
    document["parts"].push_back(
        {{"name", part.name}, {"volume_mm3", part.solid.volume()}, {"faces", std::move(faces)}});
  }
  document["points"] = Json::array();
  for (const ModelMark& mark : model.marks) {
    document["points"].push_back({{"name", mark.name}, {"position_mm", PlaceJson(mark.place)}});
  }
  document["axes"] = Json::array();
  for (const ModelAxis& axis : model.axes) {
    document["axes"].push_back(
        {{"name", axis.name}, {"from_mm", PlaceJson(axis.from)}, {"to_mm", PlaceJson(axis.to)}});
  }
  return document;
}

}  // namespace holeward
