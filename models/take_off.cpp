#include "models/take_off.h"

#include <utility>

#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS.hxx>

#include "geometry/shape_parts.h"
#include "geometry/solid_bytes.h"
#include "models/exchange.h"

namespace holeward {
namespace {

using Json = nlohmann::json;

}  // namespace

Result<PartedBody> TakenApart(const TopoDS_Shape& solid, std::vector<SolidMount> mounts,
                              const std::string& what) {
  const auto bytes = ShapeBytes(solid);
  if (!bytes) return tl::unexpected(bytes.error());
  const TopTools_IndexedMapOfShape faces = FacesOf(solid);
  Json request = {
      {"do", kTakeOff}, {"shape", BinaryValue(*bytes)}, {"what", what}, {"mounts", Json::array()}};
  for (const SolidMount& mount : mounts) {
    Json numbers = Json::array();
    for (const TopoDS_Face& face : mount.faces) numbers.push_back(faces.FindIndex(face));
    request["mounts"].push_back(std::move(numbers));
  }
  const auto answer = AskExchange(request, what + ": taking its mounts off", kBodyLimits);
  if (!answer) return tl::unexpected(answer.error());
  try {
    if (answer->contains("refused")) {
      return Fail(ErrorKind::job, answer->at("refused").get<std::string>());
    }
    auto bare = ShapeOfBytes(BinaryOf(answer->at("bare")));
    if (!bare) return tl::unexpected(bare.error());
    return PartedBody{std::move(*bare), std::move(mounts)};
  } catch (const Json::exception&) {
    return Fail(ErrorKind::computed, what + ": taking its mounts off gave an answer that is none");
  }
}

Result<Json> TakeOffAnswer(const Json& request) {
  const auto solid = ShapeOfBytes(BinaryOf(request.at("shape")));
  if (!solid) return tl::unexpected(solid.error());
  const TopTools_IndexedMapOfShape faces = FacesOf(*solid);
  std::vector<SolidMount> mounts;
  for (const Json& numbers : request.at("mounts")) {
    mounts.emplace_back();
    for (const Json& number : numbers) {
      const int index = number.get<int>();
      if (index < 1 || index > faces.Extent()) {
        return Fail(ErrorKind::computed, "a mount has a face that the body has not");
      }
      mounts.back().faces.push_back(TopoDS::Face(faces.FindKey(index)));
    }
  }
  const auto parted =
      WithoutMounts(*solid, std::move(mounts), request.at("what").get<std::string>());
  if (!parted && parted.error().kind == ErrorKind::job) {
    return Json{{"refused", parted.error().message}};
  }
  if (!parted) return tl::unexpected(parted.error());
  const auto bytes = ShapeBytes(parted->bare);
  if (!bytes) return tl::unexpected(bytes.error());
  return Json{{"bare", BinaryValue(*bytes)}};
}

}  // namespace holeward
