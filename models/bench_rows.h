// A sample part as measured on a bench: rows along a straightedge, spare readings, and what sets
// the bench into the vehicle. Values in mm, radians and kg, as read from the job.
//
//   plan view            straightedge on the rear side
//        front face  ------------------
//        rear face   ------------------      ^ front, rear: offsets from the straightedge
//     ===============================        |
//     0 ---- distance --->                   top, underside: heights off the bench
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "geometry/vec.h"
#include "models/job.h"

namespace holeward {

/// What a bench reading reads.
enum class BenchKind {
  distance,  ///< a row's place along the straightedge
  face,      ///< height of a face off the bench, or its offset from the straightedge
  width,
  height,
  diameter,
  corner,    ///< outer corner radius
  girth,     ///< tape round a section
  diagonal,  ///< straight, between the middles of two faces at two rows
  tape,      ///< taut along a face, between its middles at two rows
  wall,
  weight,  ///< kg
};

/// A side of a section, by its axes: a toward front (else outboard), b up.
enum class BenchSide { b_minus, a_plus, b_plus, a_minus };

/// The middle of a face at a row.
struct BenchPlace {
  std::size_t row = 0;
  BenchSide side = BenchSide::b_plus;
};

/// One reading of the sample.
struct BenchReading {
  std::string name;  ///< "2 top"; unlike every other
  BenchKind kind = BenchKind::face;
  std::optional<std::size_t> row;  ///< face, width, height, diameter, corner, girth: at a row ...
  double distance = 0.0;           ///< ... or at this distance along the straightedge
  BenchSide side = BenchSide::b_plus;
  BenchPlace from, to;  ///< diagonal, tape
  double value = 0.0;   ///< the mean where several samples were read
  int samples = 1;
  double spread = 0.0;  ///< standard deviation of one sample, where several were read
  double others = 0.0;  ///< weight: of what hangs on the part, kg
  double sigma = 0.0;   ///< standard deviation by its instrument
  std::string instrument;
  bool spare = false;  ///< not one of a row's own readings
  Location at;
};

/// A mount whose place is known on the bench and in the vehicle.
struct BenchMount {
  std::string name;
  double distance = 0.0;
  double offset = 0.0;
  double height = 0.0;
  std::optional<Vec3> place;             ///< vehicle axes
  std::optional<double> vehicle_height;  ///< the third mount: its z alone
  Location at;
};

/// All that was measured of one part.
struct BenchSheet {
  std::string toward = "outboard";    ///< the way the distance grows: a direction word
  std::string straightedge = "rear";  ///< the side of the part it lies on
  std::vector<Location> rows;
  bool own_corners = false;  ///< each row has a corner radius of its own; else one serves all
  std::vector<BenchReading> readings;
  std::vector<BenchMount> mounts;
  /// How far what is level across the bench rises toward front (outboard) in the vehicle, radians.
  std::optional<double> slope;
  std::optional<Vec3> origin;  ///< without mounts: where the straightedge's 0 stands on the bench
  double density = 7.85;       ///< kg/dm³
  Location at;
};

}  // namespace holeward
