// The demo job's text and state, made once for the tests of the window's model.
#pragma once

#include <fstream>
#include <iterator>
#include <memory>
#include <string>

#include "viewer/job_state.h"

namespace holeward {

inline std::string DemoText() {
  std::ifstream file(std::string(HOLEWARD_SOURCE_DIR) + "/models/examples/utility-van.toml",
                     std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

/// Placed and checked.
inline const std::shared_ptr<const JobState>& DemoState() {
  static const auto kState =
      std::make_shared<const JobState>(CheckedState(PlacedState(DemoText(), "van.toml", nullptr)));
  return kState;
}

/// The text with one piece of it another.
inline std::string With(std::string text, const std::string& piece, const std::string& other) {
  const auto at = text.find(piece);
  return at == std::string::npos ? "" : text.replace(at, piece.size(), other);
}

}  // namespace holeward
