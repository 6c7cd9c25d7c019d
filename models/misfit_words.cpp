#include "models/misfit_words.h"

#include <algorithm>

namespace holeward {

std::vector<std::string> WrongPlaces(const std::vector<Misfit>& misfits, const Words& words) {
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
      out.push_back(own ? words.Say("on the other side")
                        : words.Say("on the other side at {}", words.OwnList(faces)));
      continue;
    }
    if (own) out.push_back(words.Say("end for end"));
    if (along) out.push_back(words.Say("elsewhere on this face"));
    if (!faces.empty()) out.push_back(words.Say("at {}", words.OwnList(faces)));
  }
  return out;
}

}  // namespace holeward
