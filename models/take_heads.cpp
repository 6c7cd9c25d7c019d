#include "models/take_heads.h"

#include <utility>

#include "geometry/solid_bytes.h"
#include "models/exchange.h"

namespace holeward {
namespace {

using Json = nlohmann::json;

Json ToJson(const Vec3& v) { return {v.x(), v.y(), v.z()}; }

Vec3 ToVec3(const Json& value) {
  return {value.at(0).get<double>(), value.at(1).get<double>(), value.at(2).get<double>()};
}

Result<TopoDS_Shape> ShapeIn(const Json& value) { return ShapeOfBytes(BinaryOf(value)); }

Result<BeheadedBody> BodyIn(const Json& answer) {
  auto middle = ShapeIn(answer.at("middle"));
  if (!middle) return tl::unexpected(middle.error());
  BeheadedBody body{std::move(*middle), answer.at("faces").get<std::vector<int>>(), {}, {}};
  for (const Json& one : answer.at("plain")) {
    body.plain.push_back({ToVec3(one.at("at")), ToVec3(one.at("out"))});
  }
  for (const Json& one : answer.at("heads")) {
    auto shape = ShapeIn(one.at("shape"));
    if (!shape) return tl::unexpected(shape.error());
    body.heads.push_back({{ToVec3(one.at("at")), ToVec3(one.at("out"))},
                          std::move(*shape),
                          one.at("whole").get<std::vector<int>>()});
  }
  return body;
}

}  // namespace

Result<BeheadedBody> CutAtHeads(const TopoDS_Shape& solid, const std::string& what) {
  const auto bytes = ShapeBytes(solid);
  if (!bytes) return tl::unexpected(bytes.error());
  const Json request = {{"do", kTakeHeads}, {"shape", BinaryValue(*bytes)}, {"what", what}};
  const auto answer =
      AskExchange(request, what + ": cutting off what covers its ends", kBodyLimits);
  if (!answer) return tl::unexpected(answer.error());
  try {
    if (answer->contains("refused")) {
      return Fail(ErrorKind::job, answer->at("refused").get<std::string>());
    }
    return BodyIn(*answer);
  } catch (const Json::exception&) {
    return Fail(ErrorKind::computed,
                what + ": cutting off what covers its ends gave an answer that is none");
  }
}

Result<Json> TakeHeadsAnswer(const Json& request) {
  const auto solid = ShapeIn(request.at("shape"));
  if (!solid) return tl::unexpected(solid.error());
  const auto body = WithoutHeads(*solid, request.at("what").get<std::string>());
  if (!body && body.error().kind == ErrorKind::job) return Json{{"refused", body.error().message}};
  if (!body) return tl::unexpected(body.error());
  const auto middle = ShapeBytes(body->middle);
  if (!middle) return tl::unexpected(middle.error());
  Json answer = {{"middle", BinaryValue(*middle)},
                 {"faces", body->faces},
                 {"heads", Json::array()},
                 {"plain", Json::array()}};
  for (const HeadCut& end : body->plain) {
    answer["plain"].push_back({{"at", ToJson(end.at)}, {"out", ToJson(end.out)}});
  }
  for (const TubeHead& head : body->heads) {
    const auto shape = ShapeBytes(head.shape);
    if (!shape) return tl::unexpected(shape.error());
    answer["heads"].push_back({{"shape", BinaryValue(*shape)},
                               {"at", ToJson(head.cut.at)},
                               {"out", ToJson(head.cut.out)},
                               {"whole", head.whole}});
  }
  return answer;
}

}  // namespace holeward
