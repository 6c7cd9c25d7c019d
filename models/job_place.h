// Where things stand: in the job file, and on the vehicle.
#pragma once

namespace holeward {

/// A place in the job file, both counted from 1; line 0 means "not in the file".
struct Location {
  int line = 0;
  int column = 0;
};

/// The vehicle's.
enum class Side { left, right };

}  // namespace holeward
