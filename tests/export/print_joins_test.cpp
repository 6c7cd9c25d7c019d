// The bound on a print's joins (models/print_error.h) against the tiles that are really laid out.
#include <algorithm>
#include <cstdlib>
#include <limits>

#include <gtest/gtest.h>

#include "export/page_pack.h"
#include "export/paper.h"
#include "models/print_error.h"
#include "models/templates.h"
#include "tests/export/synthetic_pieces.h"
#include "tests/models/example_jobs.h"

namespace holeward {
namespace {

using namespace testing_tools;

/// Joins between a mark and a line of its piece, the nearest way.
int JoinsTo(const FlatLine& line, const Vec2& mark, const std::vector<PiecePlace>& tiles) {
  int fewest = std::numeric_limits<int>::max();
  for (const PiecePlace& a : tiles) {
    if (!a.window.Contains(mark)) continue;
    for (const PiecePlace& b : tiles) {
      const bool shows = std::any_of(line.points.begin(), line.points.end(),
                                     [&](const Vec2& p) { return b.window.Contains(p); });
      if (!shows) continue;
      fewest = std::min(
          fewest, std::abs(a.tile.column - b.tile.column) + std::abs(a.tile.row - b.tile.row));
    }
  }
  return fewest;
}

/// The tiles of a piece, printed by itself or packed with others; the piece as it was turned.
struct Laid {
  DevelopedPiece piece;
  std::vector<PiecePlace> tiles;
};

Laid LaidOut(const DevelopedPiece& piece, const Paper& paper, bool packed) {
  TemplateSheetInput input = Input({piece});
  input.paper = paper;
  input.packed = packed;
  std::vector<DevelopedPiece> pieces{piece};
  const PageSize size = *SizeOf(paper);
  Laid laid;
  for (const PlannedPage& page :
       packed ? PackPages(input, size, {}, &pieces).pages : PlanPages(input, size, &pieces)) {
    for (const PiecePlace& place : page.places) {
      if (place.tile.Tiled()) laid.tiles.push_back(place);
    }
  }
  laid.piece = pieces[0];
  return laid;
}

struct Counted {
  int marks = 0;
  int joined = 0;  ///< with a join between
};

void Judge(const std::string& name, const Paper& paper, Counted* counted) {
  auto [job, build, placing] = Example(name);
  for (TemplateRow& row : job.templates) row.paper = paper;
  for (const TemplateRow& row : job.templates) {
    const auto made = DevelopTemplate(row, job, build.scene, placing.points);
    ASSERT_TRUE(made.has_value()) << made.error().message;
    for (const DevelopedPiece& piece : made->pieces) {
      for (const bool packed : {false, true}) {
        const Laid laid = LaidOut(piece, paper, packed);
        for (const FlatMark& mark : laid.piece.marks) {
          const auto at = std::find_if(placing.points.begin(), placing.points.end(),
                                       [&](const PlacedPoint& p) { return p.name == mark.name; });
          const PrintError error =
              PrintErrorAt({row, job, *build.scene.FindPart(row.part), placing.points}, at->place);
          ++counted->marks;
          for (const FlatLine& line : laid.piece.lines) {
            if (line.kind != FlatLineKind::align || line.words.empty() || laid.tiles.empty()) {
              continue;
            }
            const int joins = JoinsTo(line, mark.at, laid.tiles);
            if (joins > 0) ++counted->joined;
            EXPECT_LE(joins * kJoinError, error.joins + 1e-9)
                << name << ": " << row.name << ", " << mark.name << ", " << line.words.English();
          }
        }
      }
    }
  }
}

TEST(PrintJoins, AreNoMoreThanWasCountedBeforeTheTilesWereLaidOut) {
  Counted counted;
  for (const char* name : kExampleJobs) {
    for (const Paper& paper :
         {Paper{"A4", 0.0}, Paper{"Letter", 0.0}, Paper{"A4 or Letter", 0.0}}) {
      if (!SizeOf(paper)) continue;
      Judge(name, paper, &counted);
    }
  }
  EXPECT_GT(counted.marks, 30);
  EXPECT_GT(counted.joined, 5) << "no piece of the examples is tiled: nothing was tested";
}

// The rooms on a page that the bound rests on, in every language: 238 by 90 mm on its side, 105 by
// 105 upright.
TEST(PrintJoins, TheRoomsThatAreCountedWithAreThere) {
  for (const Language language : kLanguages) {
    for (const Paper& paper : {Paper{"A4", 0.0}, Paper{"Letter", 0.0}}) {
      TemplateSheetInput input = Input({FlatPiece()});
      input.words = Words(language);
      input.paper = paper;
      input.released = false;
      input.posture = "on a two-post lift, wheels hanging, dampers connected";
      // Longer than any limits are: the room is least.
      for (int i = 0; i < 40; ++i) input.limits += ", clearance 5.0 mm, side 1.0 mm";
      input.reason =
          "A3 meets the far wall in the worst case. Nobody has released drill clearance. "
          "Nobody has released strength.";
      const PageSize upright = *SizeOf(paper);
      for (const PageSize& size : {upright, upright.Turned()}) {
        // Two millimetres of white on every side of the drawing.
        const Vec2 room = DividePage(size.width, size.height, input).drawing.Grown(-2.0).Size();
        const bool on_its_side = size.width > size.height;
        EXPECT_GE(room.x(), on_its_side ? 238.0 : 105.0) << paper.name << Code(language);
        EXPECT_GE(room.y(), on_its_side ? 90.0 : 105.0) << paper.name << Code(language);
      }
    }
  }
}

}  // namespace
}  // namespace holeward
