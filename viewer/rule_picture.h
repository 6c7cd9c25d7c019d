// A line picture of a part from the side one would look at a point, with the lines of its readings.
// Vector lines only, hidden ones left out: black ink on any paper.
#pragma once

#include <string>
#include <vector>

#include "geometry/part.h"
#include "geometry/phrase.h"
#include "viewer/picture_edges.h"

namespace holeward {

/// A line of a reading to be drawn.
struct RuleLine {
  std::vector<Vec3> places;  ///< from the datum to the point, vehicle axes
  std::string words;         ///< its dimension, or empty
  std::string from;          ///< name of the datum, or empty
  bool measured = true;      ///< dimensioned, with arrows; else only a line the point lies on
  bool on_skin = true;       ///< hidden where the skin hides it; else drawn through the air
};

/// What a picture shows.
struct RuleAsk {
  std::string name;  ///< of the point
  Vec3 position = Vec3::Zero();
  Vec3 normal = Vec3::UnitZ();
  bool drilled = false;
  std::vector<RuleLine> lines;
  double width = 84.0;  ///< mm on paper
  double height = 42.0;
};

/// A line on the paper: mm, x to the right, y up.
struct PictureStroke {
  enum class Look { outline, feature, reading, hidden_reading, guide, mark, arrow };
  Look look = Look::outline;
  std::vector<Vec2> points;
};

/// Words that belong beside a place of the picture; where exactly is for the page to find.
struct PictureWords {
  std::string words;
  std::vector<Vec2> anchors;  ///< the best first
  enum class Of { dimension, datum, point } of = Of::dimension;
};

struct RulePicture {
  double width = 0.0;
  double height = 0.0;
  std::vector<PictureStroke> strokes;  ///< arrows are filled triangles, all else lines
  std::vector<PictureWords> words;
  Phrase seen_from;  ///< "seen from above and behind" as far as it can be told in words
};

/// Pictures of one part; the mesh is made once.
class RulePainter {
 public:
  /// @param outboard_y +1 where outboard is +y, else -1
  RulePainter(const Part& part, double outboard_y);

  /// The picture of one point's readings. Deterministic.
  [[nodiscard]] RulePicture Draw(const RuleAsk& ask) const;

 private:
  PictureMesh mesh_;
  std::vector<PictureEdge> edges_;
  double outboard_y_;
};

/// The mirror image, for the other side: lines mirrored, words as they are.
[[nodiscard]] RulePicture Mirrored(RulePicture picture);

}  // namespace holeward
