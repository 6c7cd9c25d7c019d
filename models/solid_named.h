// What a job names of the file that a part's solid comes from.
#pragma once

#include <string>

#include "geometry/named_place.h"
#include "models/job_place.h"

namespace holeward {

/// A datum that a body of the file shows.
struct DatumRow {
  NamedPlace place;
  Location at;

  friend bool operator==(const DatumRow&, const DatumRow&) = default;
};

/// The job's own name of a flat of the part.
struct FaceNameRow {
  std::string name;
  int flat = 0;  ///< of the skin: piece 2 * flat
  Location at;

  friend bool operator==(const FaceNameRow&, const FaceNameRow&) = default;
};

}  // namespace holeward
