// A part ready to work on: its skin, named faces and lines, fittings, inner bodies and its solid.
// A scene is all parts and neighbours of one side, in the frame of the described side.
#pragma once

#include <array>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "geometry/lap.h"
#include "geometry/marking.h"
#include "geometry/skin.h"
#include "geometry/unproven_reach.h"
#include "geometry/vec.h"

namespace holeward {

class NamedSolid;  // geometry/solid.h

/// A flat of a part with a name. `first_edge` is at the lower v, `second_edge` at the higher v.
struct Face {
  std::string name;        ///< "rear"
  int piece = 0;           ///< the flat's piece of the skin
  std::string first_edge;  ///< "top edge"; empty at a channel's lip side if it has no name
  std::string second_edge;
};

/// A named line along a round part.
struct NamedLine {
  std::string name;  ///< "bottom"
  double v = 0.0;
};

/// What a fitting covers on the skin: a disc (by tape from the centre) or a rectangle along the
/// part's lines: u from u_from to u_to, outline length `around / 2` to both sides of the middle.
/// To the toe of the weld, which is what a person feels.
struct Footprint {
  bool disc = false;
  double radius = 0.0;
  double u_from = 0.0;
  double u_to = 0.0;
  double around = 0.0;
};

enum class FittingShape {
  eye,    ///< a cylinder across the part
  stud,   ///< a cylinder standing on the skin
  block,  ///< bracket, plate, seam: the footprint raised by `height`
  hole,   ///< an existing hole
};

struct Fitting {
  std::string name;
  std::string kind;  ///< the job's word: eye, stud, bracket, plate, seam, hole
  FittingShape shape = FittingShape::block;
  std::string face;  ///< face or line it sits on; empty for an eye
  SkinPlace
      centre;  ///< its centre on the skin (eye: where its datum lines cross, v of its face or 0)
  double station = 0.0;
  Footprint footprint;
  std::optional<double> height;       ///< off the skin
  Vec3 cylinder_from = Vec3::Zero();  ///< eye and stud: axis ends
  Vec3 cylinder_to = Vec3::Zero();
  double diameter = 0.0;  ///< eye, stud, hole; a stud's to the toe of its weld
  double weld = 0.0;      ///< leg of its fillet, mm: counted in footprint, cylinder and diameter
  Basis basis = Basis::measured;
  /// Its centre stands within this of where it is taken to be, mm (straight): what the readings
  /// that place it may be off. 0 where a station is given; nothing: not bounded.
  std::optional<double> spread = 0.0;
  bool mirrored = false;  ///< the mirror copy on a shared part; not a datum of its own
  bool in_body = false;   ///< hole: already in the solid of the part, which came from a file
};

enum class InnerShape { bar, sleeve };

/// An inner body: a disc swept along a path of straight segments.
struct InnerBody {
  std::string name;
  InnerShape shape = InnerShape::bar;
  std::vector<Vec3> path;   ///< at least two places, vehicle axes
  double path_error = 0.0;  ///< the true axis lies within this of `path`, mm
  double radius = 0.0;
  double bore_radius = 0.0;  ///< sleeve
  Basis basis = Basis::measured;
};

struct Neighbour {
  std::string name;
  std::vector<Vec3> path;  ///< straight segments, round joints
  double radius = 0.0;
  Basis basis = Basis::measured;
};

struct Part {
  std::string name;
  std::shared_ptr<const Skin> skin;
  double wall = 0.0;  ///< normal to the skin
  double wall_deviation =
      0.0;  ///< what the built solid deviates from the law; added to marking.wall
  std::array<bool, 2> end_closed{false, false};
  std::string start;
  std::string finish;
  bool shared = false;
  bool channel = false;
  Basis basis = Basis::measured;
  Basis wall_basis = Basis::measured;
  std::vector<Face> faces;
  std::vector<NamedLine> lines;
  std::vector<Fitting> fittings;
  std::vector<InnerBody> inner;
  std::vector<UnprovenReach> unproven;
  std::vector<Lap> laps;
  std::shared_ptr<const NamedSolid> solid;

  [[nodiscard]] const Face* FindFace(const std::string& face) const {
    for (const Face& f : faces) {
      if (f.name == face) return &f;
    }
    return nullptr;
  }
};

struct Scene {
  std::vector<Part> parts;
  std::vector<Neighbour> neighbours;
  double outboard_y = 1.0;  ///< +1 when the described side is the left one

  [[nodiscard]] const Part* FindPart(const std::string& part) const {
    for (const Part& p : parts) {
      if (p.name == part) return &p;
    }
    return nullptr;
  }
};

}  // namespace holeward
