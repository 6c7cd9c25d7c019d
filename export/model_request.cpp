#include "export/model_request.h"

#include <utility>

#include "geometry/solid_bytes.h"
#include "models/exchange.h"

namespace holeward {
namespace {

using Json = nlohmann::json;

Json PlaceJson(const Vec3& p) { return {p.x(), p.y(), p.z()}; }

Result<Json> PartJson(const ModelPart& part) {
  const auto bytes = BytesOf(part.solid);
  if (!bytes) return tl::unexpected<Error>(bytes.error());
  Json faces = Json::array();
  for (const SolidBytes::FaceWords& face : bytes->faces) {
    faces.push_back({{"name", face.name}, {"colour", ColourOf(face.role)}});
  }
  return Json{
      {"name", part.name}, {"shape", BinaryValue(bytes->shape)}, {"faces", std::move(faces)}};
}

ArrivedPart PartOf(const Json& json, const TopoDS_Shape& shape) {
  ArrivedPart part{json.at("name"), shape, {}};
  for (const Json& face : json.at("faces")) {
    part.faces.push_back({face.at("name"), face.at("colour").get<Colour>()});
  }
  return part;
}

ArrivedLine LineOf(const Json& json) {
  ArrivedLine line{json.at("name"), json.at("colour").get<Colour>(), {}};
  for (const Json& place : json.at("places")) {
    line.places.emplace_back(place.at(0), place.at(1), place.at(2));
  }
  return line;
}

}  // namespace

Result<Json> WriteStepRequest(const ModelDocument& model) {
  Json request = {{"do", kWriteStep},   {"title", model.title},   {"note", model.note},
                  {"date", model.date}, {"parts", Json::array()}, {"lines", Json::array()}};
  for (const ModelPart& part : model.parts) {
    auto json = PartJson(part);
    if (!json) return tl::unexpected<Error>(json.error());
    request["parts"].push_back(std::move(*json));
  }
  for (const ModelMark& mark : model.marks) {
    request["lines"].push_back(
        {{"name", mark.name}, {"colour", ColourOf(mark.use)}, {"places", {PlaceJson(mark.place)}}});
  }
  for (const ModelAxis& axis : model.axes) {
    request["lines"].push_back({{"name", axis.name},
                                {"colour", ColourOf(PointUse::drill)},
                                {"places", {PlaceJson(axis.from), PlaceJson(axis.to)}}});
  }
  return request;
}

Result<ArrivedModel> ModelOfRequest(const nlohmann::json& request) {
  try {
    ArrivedModel model{request.at("title"), request.at("note"), request.at("date"), {}, {}};
    for (const Json& part : request.at("parts")) {
      const auto shape = ShapeOfBytes(BinaryOf(part.at("shape")));
      if (!shape) return tl::unexpected<Error>(shape.error());
      model.parts.push_back(PartOf(part, *shape));
    }
    for (const Json& line : request.at("lines")) model.lines.push_back(LineOf(line));
    return model;
  } catch (const Json::exception& bad) {
    return Fail(ErrorKind::computed, std::string("not a model: ") + bad.what());
  }
}

}  // namespace holeward
