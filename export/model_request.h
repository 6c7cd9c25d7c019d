// A model as the exchange process is handed it, and back: the two ends of one form.
#pragma once

#include <string>
#include <vector>

#include <TopoDS_Shape.hxx>
#include <nlohmann/json.hpp>

#include "export/model_document.h"
#include "geometry/result.h"

namespace holeward {

/// What a request begins with: {"do": "write_step", ...}.
inline constexpr const char* kWriteStep = "write_step";

/// The request to write a model as STEP. Errors (computed): those of BytesOf.
[[nodiscard]] Result<nlohmann::json> WriteStepRequest(const ModelDocument& model);

/// A part as it arrives: its shape, and the names and colours of its faces in the kernel's order.
struct ArrivedPart {
  std::string name;
  TopoDS_Shape shape;
  struct ArrivedFace {
    std::string name;
    Colour colour{};
  };
  std::vector<ArrivedFace> faces;
};

/// A point (one place) or an axis (two).
struct ArrivedLine {
  std::string name;
  Colour colour{};
  std::vector<Vec3> places;
};

struct ArrivedModel {
  std::string title;
  std::string note;
  std::string date;
  std::vector<ArrivedPart> parts;
  std::vector<ArrivedLine> lines;
};

/// The model of a request. Errors (computed): it is not one.
[[nodiscard]] Result<ArrivedModel> ModelOfRequest(const nlohmann::json& request);

}  // namespace holeward
