#include "models/solid_file.h"

#include <algorithm>
#include <cerrno>
#include <charconv>
#include <cstdio>
#include <filesystem>
#include <system_error>

#include <fmt/format.h>

#include "geometry/solid_bytes.h"
#include "models/exchange.h"
#include "models/job.h"
#include "models/read_bytes.h"
#include "models/text_hash.h"

namespace holeward {
namespace {

using Json = nlohmann::json;

constexpr std::size_t kLargestFile = std::size_t{64} << 20;
Result<std::string> BytesOfFile(const std::string& path) {
  const auto fail = [&](const std::string& why) {
    return Fail(ErrorKind::file, fmt::format("{} {}", path, why));
  };
  std::error_code code;
  const auto status = std::filesystem::status(path, code);
  if (!code && std::filesystem::exists(status) && !std::filesystem::is_regular_file(status)) {
    return fail("is not a file");
  }
  const OpenFile file(std::fopen(path.c_str(), "rb"));
  if (!file) {
    return fail(fmt::format("cannot be opened: {}",
                            std::error_code(errno, std::generic_category()).message()));
  }
  auto bytes = ReadBytes(file.get(), kLargestFile);
  if (!bytes) return fail("cannot be read to its end");
  if (bytes->size() > kLargestFile) return fail("is larger than 64 MiB");
  return std::move(*bytes);
}

Vec3 PlaceOf(const Json& body, const char* key) {
  const auto found = body.find(key);
  if (found == body.end()) return Vec3::Zero();
  return {found->at(0).get<double>(), found->at(1).get<double>(), found->at(2).get<double>()};
}

Result<SolidBody> BodyOf(const Json& answer) {
  SolidBody body;
  body.name = answer.at("name").get<std::string>();
  body.trouble = answer.at("trouble").get<std::string>();
  body.healed = answer.at("healed").get<std::vector<std::string>>();
  body.faces = answer.at("faces").get<int>();
  body.low = PlaceOf(answer, "low");
  body.high = PlaceOf(answer, "high");
  if (!body.trouble.empty()) return body;
  body.volume = answer.at("volume").get<double>();
  auto shape = ShapeOfBytes(BinaryOf(answer.at("shape")));
  if (!shape) return tl::unexpected(shape.error());
  body.shape = std::move(*shape);
  return body;
}

Result<SolidFile> FileOfBytes(const std::string& path, const std::string& bytes, std::string hash) {
  const auto answer = AskExchange({{"do", "read_step"}, {"text", BinaryValue(bytes)}},
                                  fmt::format("reading {}", path), kBodyLimits);
  if (!answer) return tl::unexpected(answer.error());
  SolidFile file;
  file.hash = std::move(hash);
  try {
    file.unit = answer->at("unit").get<std::string>();
    for (const Json& one : answer->at("bodies")) {
      auto body = BodyOf(one);
      if (!body) return tl::unexpected(body.error());
      file.bodies.push_back(std::move(*body));
    }
  } catch (const Json::exception&) {
    return Fail(ErrorKind::computed, fmt::format("reading {} gave an answer that is none", path));
  }
  return file;
}

}  // namespace

Result<SolidFile> ReadSolidFile(const std::string& path) {
  const auto bytes = BytesOfFile(path);
  if (!bytes) return tl::unexpected(bytes.error());
  return FileOfBytes(path, *bytes, Sha256(*bytes));
}

Result<std::shared_ptr<const SolidFile>> ReadSolidFile(
    const std::string& path, const std::vector<std::shared_ptr<const SolidFile>>& known) {
  const auto bytes = BytesOfFile(path);
  if (!bytes) return tl::unexpected(bytes.error());
  const std::string hash = Sha256(*bytes);
  for (const auto& file : known) {
    if (file->hash == hash) return file;
  }
  auto file = FileOfBytes(path, *bytes, hash);
  if (!file) return tl::unexpected(file.error());
  return std::make_shared<const SolidFile>(std::move(*file));
}

std::string Described(const SolidBody& body, std::size_t number) {
  const Vec3 size = body.size();
  const std::string name = body.name.empty() ? "" : fmt::format(" \"{}\"", body.name);
  std::string state;
  if (!body.healed.empty()) state = ", mended on reading: " + body.healed.front();
  if (!body.trouble.empty()) state = ", but " + body.trouble;
  return fmt::format("{}{}, {:.1f} x {:.1f} x {:.1f} mm{}", number, name, size.x(), size.y(),
                     size.z(), state);
}

std::optional<std::size_t> BodyCalled(const SolidFile& file, const std::string& word) {
  for (std::size_t i = 0; i < file.bodies.size(); ++i) {
    if (file.bodies[i].name == word) return i;
  }
  std::size_t number = 0;
  const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), number);
  const bool whole = error == std::errc() && end == word.data() + word.size();
  if (!whole || number < 1 || number > file.bodies.size()) return std::nullopt;
  return number - 1;
}

std::string ListOf(const SolidFile& file) {
  std::string list;
  const std::size_t shown = std::min<std::size_t>(file.bodies.size(), 20);
  for (std::size_t i = 0; i < shown; ++i) {
    list += (i > 0 ? "; " : "") + Described(file.bodies[i], i + 1);
  }
  if (shown < file.bodies.size()) list += "; ...";
  return list;
}

const MountMetal* MetalOf(const PartRow& part, const FittingRow& fitting) {
  if (!fitting.in_body || fitting.kind == FittingKind::hole || !part.solid || !part.solid->mounts) {
    return nullptr;
  }
  const auto& all = part.solid->mounts->mounts;
  const auto found = std::find_if(all.begin(), all.end(),
                                  [&](const MountMetal& m) { return m.name == fitting.name; });
  return found == all.end() ? nullptr : &*found;
}

const std::vector<DatumRow>& DatumsOf(const PartRow& part) {
  static const std::vector<DatumRow> kNone;
  return part.solid ? part.solid->datums : kNone;
}

}  // namespace holeward
