#include "export/model_gltf.h"

#include <algorithm>
#include <cstdint>
#include <map>
#include <vector>

#include <nlohmann/json.hpp>

#include "export/little_endian.h"
#include "geometry/solid_mesh.h"

namespace holeward {
namespace {

using Json = nlohmann::ordered_json;

// Numbers of the glTF 2.0 specification, chapters 3.6 and 3.7.
constexpr int kFloat = 5126;
constexpr int kUnsigned = 5125;
constexpr int kVertexTarget = 34962;
constexpr int kIndexTarget = 34963;
constexpr int kPoints = 0;
constexpr int kLines = 1;
constexpr int kTriangles = 4;
constexpr std::uint32_t kMagic = 0x46546C67;
constexpr std::uint32_t kJsonChunk = 0x4E4F534A;
constexpr std::uint32_t kBinaryChunk = 0x004E4942;

Vec3 InGltf(const Vec3& p) { return Vec3(p.y(), p.z(), p.x()) / 1000.0; }

/// Unit normals at the places of a face, each the sum over its triangles by area.
std::vector<Vec3> NormalsOf(const FaceMesh& face) {
  std::vector<Vec3> normals(face.places.size(), Vec3::Zero());
  for (const auto& triangle : face.triangles) {
    const auto at = [&](std::size_t i) {
      return face.places[static_cast<std::size_t>(triangle[i])];
    };
    const Vec3 twice_area = (at(1) - at(0)).cross(at(2) - at(0));
    for (const int corner : triangle) normals[static_cast<std::size_t>(corner)] += twice_area;
  }
  for (Vec3& n : normals) {
    // A place of no triangle is drawn nowhere; its normal must still be a unit vector.
    n = n.norm() > 0.0 ? Vec3(n.stableNormalized()) : Vec3(Vec3::UnitZ());
  }
  return normals;
}

class GlbBuilder {
 public:
  explicit GlbBuilder(const std::string& title) {
    json_["asset"] = {{"version", "2.0"}, {"generator", "holeward"}};
    json_["scene"] = 0;
    json_["scenes"] = Json::array({{{"name", title}, {"nodes", Json::array({0})}}});
    json_["nodes"] = Json::array({{{"name", title}, {"children", Json::array()}}});
    for (const char* list : {"meshes", "materials", "accessors", "bufferViews"}) {
      json_[list] = Json::array();
    }
  }

  void AddPart(const std::string& name, const SolidMesh& mesh) {
    const int part = AddNode(0, {{"name", name}, {"children", Json::array()}});
    for (const FaceMesh& face : mesh.faces) {
      Json primitive = {
          {"attributes",
           {{"POSITION", Vectors(face.places, true)}, {"NORMAL", Vectors(NormalsOf(face), false)}}},
          {"indices", Indices(face.triangles)},
          {"material", Material(ColourOf(face.role))},
          {"mode", kTriangles}};
      AddMesh(part, face.name, std::move(primitive));
    }
  }

  void AddMark(const ModelMark& mark) {
    AddMesh(0, mark.name,
            {{"attributes", {{"POSITION", Vectors({mark.place}, true)}}},
             {"material", Material(ColourOf(mark.use))},
             {"mode", kPoints}});
  }

  void AddAxis(const ModelAxis& axis) {
    AddMesh(0, axis.name,
            {{"attributes", {{"POSITION", Vectors({axis.from, axis.to}, true)}}},
             {"material", Material(ColourOf(PointUse::drill))},
             {"mode", kLines}});
  }

  std::string Bytes() {
    json_["buffers"] = Json::array({{{"byteLength", binary_.size()}}});
    std::string text = json_.dump();
    text.resize((text.size() + 3) / 4 * 4, ' ');
    std::string bytes;
    AppendBytes(kMagic, 4, &bytes);
    AppendBytes(2, 4, &bytes);
    AppendBytes(static_cast<std::uint32_t>(12 + 8 + text.size() + 8 + binary_.size()), 4, &bytes);
    AppendBytes(static_cast<std::uint32_t>(text.size()), 4, &bytes);
    AppendBytes(kJsonChunk, 4, &bytes);
    bytes += text;
    AppendBytes(static_cast<std::uint32_t>(binary_.size()), 4, &bytes);
    AppendBytes(kBinaryChunk, 4, &bytes);
    return bytes + binary_;
  }

 private:
  int Append(const char* list, Json entry) {
    json_[list].push_back(std::move(entry));
    return static_cast<int>(json_[list].size()) - 1;
  }

  int AddNode(int parent, Json node) {
    const int index = Append("nodes", std::move(node));
    json_["nodes"][static_cast<std::size_t>(parent)]["children"].push_back(index);
    return index;
  }

  void AddMesh(int parent, const std::string& name, Json primitive) {
    const int mesh =
        Append("meshes", {{"name", name}, {"primitives", Json::array({std::move(primitive)})}});
    AddNode(parent, {{"name", name}, {"mesh", mesh}});
  }

  int View(std::size_t from, int target) {
    return Append("bufferViews", {{"buffer", 0},
                                  {"byteOffset", from},
                                  {"byteLength", binary_.size() - from},
                                  {"target", target}});
  }

  int Vectors(const std::vector<Vec3>& vectors, bool places) {
    const std::size_t from = binary_.size();
    Eigen::Vector3f least = Eigen::Vector3f::Constant(std::numeric_limits<float>::max());
    Eigen::Vector3f most = -least;
    for (const Vec3& v : vectors) {
      const Vec3 out = places ? InGltf(v) : Vec3(v.y(), v.z(), v.x());
      for (int i = 0; i < 3; ++i) AppendFloat(out[i], &binary_);
      least = least.cwiseMin(out.cast<float>());
      most = most.cwiseMax(out.cast<float>());
    }
    Json accessor = {{"bufferView", View(from, kVertexTarget)},
                     {"componentType", kFloat},
                     {"count", vectors.size()},
                     {"type", "VEC3"}};
    if (places) {
      accessor["min"] = {least.x(), least.y(), least.z()};
      accessor["max"] = {most.x(), most.y(), most.z()};
    }
    return Append("accessors", std::move(accessor));
  }

  int Indices(const std::vector<std::array<int, 3>>& triangles) {
    const std::size_t from = binary_.size();
    for (const auto& triangle : triangles) {
      for (const int corner : triangle) {
        AppendBytes(static_cast<std::uint32_t>(corner), 4, &binary_);
      }
    }
    return Append("accessors", {{"bufferView", View(from, kIndexTarget)},
                                {"componentType", kUnsigned},
                                {"count", 3 * triangles.size()},
                                {"type", "SCALAR"}});
  }

  // One material a colour. The form takes linear values.
  int Material(const Colour& colour) {
    const auto known = materials_.find(colour);
    if (known != materials_.end()) return known->second;
    Json factor = Json::array();
    for (const double c : colour) {
      // IEC 61966-2-1, sRGB to linear.
      factor.push_back(c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4));
    }
    factor.push_back(1.0);
    const int index = Append(
        "materials",
        {{"pbrMetallicRoughness",
          {{"baseColorFactor", factor}, {"metallicFactor", 0.3}, {"roughnessFactor", 0.6}}}});
    return materials_[colour] = index;
  }

  Json json_;
  std::string binary_;
  std::map<Colour, int> materials_;
};

}  // namespace

Result<std::string> ToGlb(const ModelDocument& model) {
  GlbBuilder builder(model.title);
  for (const ModelPart& part : model.parts) {
    const auto mesh = MeshOf(part.solid);
    if (!mesh) return tl::unexpected<Error>(mesh.error());
    builder.AddPart(part.name, *mesh);
  }
  for (const ModelMark& mark : model.marks) builder.AddMark(mark);
  for (const ModelAxis& axis : model.axes) builder.AddAxis(axis);
  try {
    return builder.Bytes();
  } catch (const Json::type_error&) {  // what the library throws for bytes that are not UTF-8
    return Fail(ErrorKind::computed, "a name in the model is not UTF-8");
  }
}

}  // namespace holeward
