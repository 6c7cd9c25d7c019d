// Results as they are handed over: one row a point, hole or sheet and side, in that side's frame.
#pragma once

#include <string>

#include "export/template_sheet.h"
#include "geometry/checked.h"
#include "geometry/placed_point.h"
#include "models/job.h"

namespace holeward {

/// A placed point on one side; position, normal and zone already mirrored to it.
struct PointOut {
  Side side = Side::left;
  PointUse use = PointUse::reference;
  PlacedPoint point;
};

/// One stage of a hole on one side; contact position already mirrored to it.
struct HoleOut {
  Side side = Side::left;
  HoleCheck check;
};

/// A checked point on one side.
struct PointCheckOut {
  Side side = Side::left;
  PointCheck check;
};

/// A finished sheet and the file it went to.
struct SheetOut {
  std::string name;
  Side side = Side::left;
  std::string file;
  TemplateSheet sheet;
  bool packed = false;  ///< the pieces of all templates of the side
};

// The words of the results.
[[nodiscard]] constexpr const char* Word(Side side) {
  return side == Side::left ? "left" : "right";
}
[[nodiscard]] constexpr const char* Word(PointUse use) {
  switch (use) {
    case PointUse::reference: return "reference";
    case PointUse::test: return "test";
    case PointUse::drill: return "drill";
  }
  return "reference";
}
[[nodiscard]] constexpr const char* Word(Outcome outcome) {
  switch (outcome) {
    case Outcome::met: return "met";
    case Outcome::nothing: return "nothing";
    case Outcome::not_computed: return "not_computed";
  }
  return "not_computed";
}
[[nodiscard]] constexpr const char* Word(StopFrom from) {
  switch (from) {
    case StopFrom::job: return "job";
    case StopFrom::proposed: return "proposed";
    case StopFrom::none: return "none";
  }
  return "none";
}

}  // namespace holeward
