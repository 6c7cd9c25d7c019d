#include "export/model_document.h"

#include <algorithm>
#include <cctype>

namespace holeward {

std::optional<ModelForm> ModelFormOf(const std::string& file) {
  const auto name =
      file.find_last_of('/') == std::string::npos ? file : file.substr(file.find_last_of('/') + 1);
  const auto dot = name.rfind('.');
  if (dot == std::string::npos || dot == 0) return std::nullopt;
  std::string ending = name.substr(dot + 1);
  std::transform(ending.begin(), ending.end(), ending.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  if (ending == "step" || ending == "stp") return ModelForm::step;
  if (ending == "glb") return ModelForm::glb;
  if (ending == "stl") return ModelForm::stl;
  return std::nullopt;
}

}  // namespace holeward
