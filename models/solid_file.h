// Solid bodies from outside: a STEP file beside the job, read in the exchange process.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <TopoDS_Shape.hxx>

#include "geometry/result.h"
#include "geometry/vec.h"
#include "models/solid_named.h"

namespace holeward {

struct PartRow;  // models/job.h

/// One body of a file. Lengths are mm whatever the file's unit.
struct SolidBody {
  std::string name;                 ///< as the file has it; may be empty
  TopoDS_Shape shape;               ///< null if there is trouble
  std::string trouble;              ///< why it cannot be used; empty if it can
  std::vector<std::string> healed;  ///< what was wrong before the kernel mended it
  double volume = 0.0;              ///< mm³
  Vec3 low = Vec3::Zero();          ///< corners of the box round it, vehicle axes
  Vec3 high = Vec3::Zero();
  int faces = 0;

  [[nodiscard]] Vec3 size() const { return high - low; }
};

struct SolidFile {
  std::string hash;  ///< of its bytes, SHA-256
  std::string unit;  ///< of length, in the file's own word
  std::vector<SolidBody> bodies;
};

/// A body that a part is made of, and where it came from.
struct SolidSource {
  std::string file;  ///< as the job names it
  std::string unit;
  std::size_t number = 1;  ///< of the body in the file, from 1
  SolidBody body;
  std::shared_ptr<const SolidFile> all;  ///< with the bodies beside it
  std::vector<DatumRow> datums = {};
  std::vector<FaceNameRow> face_names = {};
};

/// The datums that the file of a part's solid shows; none of another part.
[[nodiscard]] const std::vector<DatumRow>& DatumsOf(const PartRow& part);

/// Reads the bodies of a file. Never throws but for memory.
/// Errors (file): it cannot be opened or read, is no regular file or larger than 64 MiB; (computed)
/// those of AskExchange: damaged, not STEP, without a solid body, or the process failed.
[[nodiscard]] Result<SolidFile> ReadSolidFile(const std::string& path);

/// The body called `word`, by name or number; its place in the file from 0.
[[nodiscard]] std::optional<std::size_t> BodyCalled(const SolidFile& file, const std::string& word);

/// The first 20 bodies of a file in words, for a message.
[[nodiscard]] std::string ListOf(const SolidFile& file);

/// `2 "arm", 700.0 x 58.0 x 46.0 mm`: the body as a list of them shows it.
[[nodiscard]] std::string Described(const SolidBody& body, std::size_t number);

}  // namespace holeward
