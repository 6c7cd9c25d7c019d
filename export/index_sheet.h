// The index of an issued set: what it is for, who released it, and the sheets that belong to it.
#pragma once

#include <string>
#include <vector>

#include "export/clearance_frame.h"
#include "models/job_shop.h"

namespace holeward {

/// A printed document of the set.
struct IndexLine {
  std::string file;
  int pages = 0;
  std::string check;  ///< first 8 digits of the file's SHA-256
};

struct IndexInput {
  PageFacts facts;  ///< `document` is set by the sheet
  SetRow set;
  std::string verdict;    ///< over all
  std::string clearance;  ///< who released it, and strength, in words
  std::string strength;
  std::vector<IndexLine> lines;
};

/// Draws the index, A4. A sheet that is not in it, or has another number, revision or hash, does
/// not belong to the set.
[[nodiscard]] std::vector<Drawing> MakeIndexSheet(const IndexInput& input);

}  // namespace holeward
