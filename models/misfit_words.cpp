#include "models/misfit_words.h"

#include <algorithm>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace holeward {

std::vector<std::string> WrongPlaces(const std::vector<Misfit>& misfits) {
  std::vector<std::string> out;
  for (const bool other : {true, false}) {
    std::vector<std::string> faces;
    bool own = false, along = false;
    for (const Misfit& m : misfits) {
      if (m.other_side != other) continue;
      if (m.own_face) {
        (other || m.turned ? own : along) = true;
      } else if (std::find(faces.begin(), faces.end(), m.face) == faces.end()) {
        faces.push_back(m.face);
      }
    }
    if (other && (own || !faces.empty())) {
      out.emplace_back("on the other side");
      if (!own) out.back() += fmt::format(" at {}", fmt::join(faces, ", "));
      continue;
    }
    if (own) out.emplace_back("end for end");
    if (along) out.emplace_back("elsewhere on this face");
    if (!faces.empty()) out.push_back(fmt::format("at {}", fmt::join(faces, ", ")));
  }
  return out;
}

}  // namespace holeward
