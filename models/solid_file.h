// Solid bodies from outside: a STEP file beside the job, read in the exchange process.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <TopoDS_Face.hxx>
#include <TopoDS_Shape.hxx>

#include "geometry/fitting_body.h"
#include "geometry/head_cut.h"
#include "geometry/result.h"
#include "geometry/vec.h"
#include "models/solid_named.h"

namespace holeward {

struct FittingRow;  // models/job.h
struct PartRow;
struct TakenSolid;  // models/solid_taken.h

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

/// A mount in one piece with a body.
struct MountMetal {
  std::string name;                ///< of the fitting that it is
  std::vector<TopoDS_Face> faces;  ///< the body's own
  std::shared_ptr<const FittingBody> body;
  /// Of a part that serves both sides: the faces seen there when it is looked at in a mirror; null
  /// where none stands.
  std::shared_ptr<const FittingBody> mirrored;
};

/// A body that has mounts.
struct BodyMounts {
  TopoDS_Shape bare;  ///< without them, cut off where one covers an end
  TubeCuts cuts;      ///< there
  std::vector<MountMetal> mounts;
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
  std::shared_ptr<const BodyMounts> mounts = nullptr;  ///< null if it has none
  std::shared_ptr<const TakenSolid> taken = nullptr;   ///< null if that is not kept
};

/// What a fitting of the part is made of; null if it is no mount in one piece with its body.
[[nodiscard]] const MountMetal* MetalOf(const PartRow& part, const FittingRow& fitting);

/// The datums that the file of a part's solid shows; none of another part.
[[nodiscard]] const std::vector<DatumRow>& DatumsOf(const PartRow& part);

/// Reads the bodies of a file. Never throws but for memory.
/// Errors (file): it cannot be opened or read, is no regular file or larger than 64 MiB; (computed)
/// those of AskExchange: damaged, not STEP, without a solid body, or the process failed.
[[nodiscard]] Result<SolidFile> ReadSolidFile(const std::string& path);

/// The same; one of `known` with the same bytes is given back as it is.
[[nodiscard]] Result<std::shared_ptr<const SolidFile>> ReadSolidFile(
    const std::string& path, const std::vector<std::shared_ptr<const SolidFile>>& known);

/// The body called `word`, by name or number; its place in the file from 0.
[[nodiscard]] std::optional<std::size_t> BodyCalled(const SolidFile& file, const std::string& word);

/// The first 20 bodies of a file in words, for a message.
[[nodiscard]] std::string ListOf(const SolidFile& file);

/// `2 "arm", 700.0 x 58.0 x 46.0 mm`: the body as a list of them shows it.
[[nodiscard]] std::string Described(const SolidBody& body, std::size_t number);

}  // namespace holeward
