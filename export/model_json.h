// The document of `model`.
#pragma once

#include <string>

#include "export/model_document.h"
#include "export/result_json.h"

namespace holeward {

/// Every part with its volume and its faces, every point and axis by its place, and the file.
[[nodiscard]] Json ModelJson(const ResultHead& head, const ModelDocument& model,
                             const std::string& file);

}  // namespace holeward
