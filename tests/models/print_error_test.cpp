#include "models/print_error.h"

#include <algorithm>
#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "models/templates.h"
#include "tests/models/example_jobs.h"

namespace holeward {
namespace {

double DistanceTo(const FlatLine& line, const Vec2& p) {
  double nearest = 1e9;
  for (std::size_t k = 1; k < line.points.size(); ++k) {
    const Vec2 way = line.points[k] - line.points[k - 1];
    const double t = std::clamp(way.dot(p - line.points[k - 1]) / way.squaredNorm(), 0.0, 1.0);
    nearest = std::min(nearest, (p - line.points[k - 1] - t * way).norm());
  }
  return nearest;
}

// The bound is set before templates are developed: none of their marks may lie farther from any of
// the lines its sheet is laid by.
TEST(PrintError, BoundsEveryMarksDistanceFromItsAlignmentInTheExampleJobs) {
  int marks = 0;
  for (const char* name : testing_tools::kExampleJobs) {
    const auto [job, build, placing] = testing_tools::Example(name);
    for (const TemplateRow& row : job.templates) {
      const auto made = DevelopTemplate(row, job, build.scene, placing.points);
      ASSERT_TRUE(made.has_value()) << made.error().message;
      for (const DevelopedPiece& piece : made->pieces) {
        for (const FlatMark& mark : piece.marks) {
          const auto at = std::find_if(placing.points.begin(), placing.points.end(),
                                       [&](const PlacedPoint& p) { return p.name == mark.name; });
          const PrintError error =
              PrintErrorAt({row, job, *build.scene.FindPart(row.part), placing.points}, at->place);
          for (const FlatLine& line : piece.lines) {
            if (line.kind != FlatLineKind::align || line.words.empty()) continue;
            EXPECT_LE(DistanceTo(line, mark.at) * kAcceptedScale, error.scale + 1e-3)
                << name << ": " << row.name << ", " << mark.name << ", " << line.words.English();
            ++marks;
          }
        }
      }
    }
  }
  EXPECT_GT(marks, 15);
}

}  // namespace
}  // namespace holeward
