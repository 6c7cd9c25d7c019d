#include "export/model_stl.h"

#include <cstdint>
#include <limits>

#include "export/little_endian.h"

namespace holeward {
namespace {

constexpr std::size_t kHead = 80;

// The head: other programs take a file that begins with "solid" for text.
std::string Head(const std::string& words) {
  std::string head = words.rfind("solid", 0) == 0 ? " " + words : words;
  head.resize(kHead, ' ');
  return head;
}

void AppendVector(const Vec3& v, std::string* bytes) {
  for (int i = 0; i < 3; ++i) AppendFloat(v[i], bytes);
}

bool AppendFace(const FaceMesh& face, std::string* bytes) {
  for (const auto& [a, b, c] : face.triangles) {
    const Vec3& p = face.places[static_cast<std::size_t>(a)];
    const Vec3& q = face.places[static_cast<std::size_t>(b)];
    const Vec3& r = face.places[static_cast<std::size_t>(c)];
    if (!p.allFinite() || !q.allFinite() || !r.allFinite()) return false;
    AppendVector((q - p).cross(r - p).stableNormalized(), bytes);
    for (const Vec3* corner : {&p, &q, &r}) AppendVector(*corner, bytes);
    AppendBytes(0, 2, bytes);
  }
  return true;
}

}  // namespace

Result<std::string> ToStl(const std::vector<SolidMesh>& meshes, const std::string& words) {
  std::size_t count = 0;
  for (const SolidMesh& mesh : meshes) count += mesh.TriangleCount();
  if (count > std::numeric_limits<std::uint32_t>::max()) {
    return Fail(ErrorKind::computed, "the mesh has more triangles than an STL file can count");
  }
  std::string bytes = Head(words);
  bytes.reserve(kHead + 4 + 50 * count);
  AppendBytes(static_cast<std::uint32_t>(count), 4, &bytes);
  for (const SolidMesh& mesh : meshes) {
    for (const FaceMesh& face : mesh.faces) {
      if (!AppendFace(face, &bytes)) {
        return Fail(ErrorKind::computed,
                    "face \"" + face.name + "\" has a place that is no number");
      }
    }
  }
  return bytes;
}

}  // namespace holeward
