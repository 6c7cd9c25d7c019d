// A place of a part that the job names and the file of its solid shows.
#pragma once

#include <string>

#include "geometry/placed_point.h"

namespace holeward {

/// Where readings may start: a section across the part, a line along it, or a place of its skin.
struct NamedPlace {
  enum class Form {
    section,  ///< all of the section at place.u; v is 0
    line,     ///< the line along the part through the place
    place,
  };
  std::string name;
  Form form = Form::place;
  SkinPlace place;
  double off = 0.0;  ///< what the solid shows lies within this of it, mm

  friend bool operator==(const NamedPlace&, const NamedPlace&) = default;
};

}  // namespace holeward
