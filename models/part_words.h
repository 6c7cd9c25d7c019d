// The words a part offers: how it lies, its faces, lines, edges and datums. The one place that
// knows them; the reader checks references with it and the datums are resolved with it.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "geometry/vec.h"
#include "models/job.h"

namespace holeward {

/// How a part lies, from the chord between its ends; it decides which faces it has.
enum class Lies { across, along, upright };

[[nodiscard]] const char* Word(Lies lies);

/// How a part lies by the rule alone, and the words the job may choose from near a border.
struct LiesRule {
  Lies by_chord = Lies::across;
  std::vector<Lies>
      candidates;  ///< more than one within 10 degrees of a border: `lies` is required
};

/// The rule: within 30 degrees of upright is upright, else |dy| >= |dx| across, else along.
/// @param chord from the first to the last station, mm, vehicle axes, not zero
[[nodiscard]] LiesRule LiesFromChord(const Vec3& chord);

/// Unit vector (vehicle axes) of a direction word: up, down, front, rear, inboard, outboard, or a
/// face or line name (top, underside, bottom, front, rear, inboard, outboard). Outboard is +y for
/// a job described for the left side, -y for the right. Any other word: nothing.
[[nodiscard]] std::optional<Vec3> DirectionOf(std::string_view word, Side described);

/// The directions a measure or an axis may name; left and right are not among them.
[[nodiscard]] const std::vector<std::string>& DirectionWords();

/// An edge as a datum of one face: the sharp corner where the face meets its neighbour.
struct EdgeWord {
  std::string name;       ///< "bottom edge", "front edge", ...
  std::string face;       ///< the face it is an edge of, canonical
  std::string neighbour;  ///< the face on its other side; for a channel's lip the open side's name
  bool lip = false;       ///< the free edge of a channel's flange
};

/// The words of one part.
///
///   across          along             upright
///   b+ top          b+ top            b+ the way `up` points
///   b- underside    b- underside      b- opposite
///   a+ front        a+ outboard       a+ front, or outboard if `up` lies fore and aft
///   a- rear         a- inboard        a- rear, or inboard
///
/// with a and b the section's axes: b is `up` (else z) across the centre line, a across both,
/// toward front (else outboard).
struct PartWords {
  SectionKind section = SectionKind::box;
  Lies lies = Lies::across;
  std::string a_plus, a_minus, b_plus, b_minus;  ///< canonical names; for round parts of lines
  std::vector<std::string> faces;                ///< box, channel, outline; none for round
  std::vector<std::string> lines;                ///< round only
  std::vector<EdgeWord> edges;                   ///< of every face, in the order of `faces`
  std::vector<std::size_t> flat_of_face;  ///< outline only: the flat (first vertex) of each face

  /// Canonical form of a face or line name ("underside" for "bottom" on faces, "bottom" for
  /// "underside" on lines); nothing if this part does not offer it.
  [[nodiscard]] std::optional<std::string> Face(std::string_view name) const;
  [[nodiscard]] std::optional<std::string> Line(std::string_view name) const;
  /// Face of a flat-sided part, line of a round one.
  [[nodiscard]] std::optional<std::string> FaceOrLine(std::string_view name) const;
  /// The edge of `face` (canonical) called `name`; nothing if the face has no such edge.
  [[nodiscard]] const EdgeWord* Edge(std::string_view face, std::string_view name) const;
  /// The names of a face's edges.
  [[nodiscard]] std::vector<std::string> EdgesOf(std::string_view face) const;
};

/// The words of `part`, whose stations (at least two, ends apart) and, if upright, `up` are set.
/// `lies` of the job counts before the rule.
[[nodiscard]] PartWords WordsOf(const PartRow& part, Side described);

}  // namespace holeward
