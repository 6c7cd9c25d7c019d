// Where things stand: in the job file, and on the vehicle.
#pragma once

namespace holeward {

/// A place in the job file, both counted from 1; line 0 means "not in the file".
struct Location {
  int line = 0;
  int column = 0;

  /// Where something stands does not count when rows are compared: they say the same thing.
  friend bool operator==(const Location&, const Location&) { return true; }
};

/// The vehicle's.
enum class Side { left, right };

}  // namespace holeward
