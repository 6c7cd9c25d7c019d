// The 1:1 template of one part for one side, laid out on pages. It is drawn as seen from outside,
// printed face outward; black ink alone says everything.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "export/drawing.h"
#include "export/label_placer.h"
#include "export/printer_bars.h"
#include "geometry/checked.h"
#include "geometry/development.h"
#include "geometry/result.h"
#include "models/job.h"
#include "models/words.h"

namespace holeward {

/// One drill size at a mark.
struct StageNote {
  double diameter = 0.0;       ///< mm
  std::optional<double> stop;  ///< stop setting, mm; none: drilled without a depth stop
  StopFrom stop_from = StopFrom::none;
};

/// What is printed at a mark besides its name.
struct MarkNote {
  std::string point;
  PointUse use = PointUse::drill;
  std::vector<StageNote> stages;   ///< pilot first; empty unless drilled
  std::optional<Verdict> verdict;  ///< worst of its stages and of the point itself
  std::optional<double>
      probe_depth;  ///< certified free depth, mm: the check before the final drill
};

/// Everything one template sheet is made from.
struct TemplateSheetInput {
  std::string job_title;
  std::string set_number;
  std::string set_revision;
  std::string date;     ///< YYYY-MM-DD
  std::string hash;     ///< short hash of job and program
  std::string program;  ///< "Holeward 0.1.0"
  std::string part;
  std::string template_name;
  Side side = Side::left;
  std::string posture;
  std::optional<Axle> axle;  ///< the end of the vehicle, for its plan
  std::string limits;        ///< the limits used, in one line
  Paper paper;
  std::vector<DevelopedPiece> pieces;  ///< of this side (already mirrored)
  std::vector<MarkNote> notes;         ///< by point name; a mark without one gets its name alone
  bool released = false;
  std::string reason;                 ///< why not released, in a sentence
  std::vector<std::string> cautions;  ///< empty: StandardCautions()
  std::optional<PrinterBars> bars;    ///< the printer whose fault is to be made up for
  /// Pieces of several templates on the fewest pages, the first of which is a map of the others.
  bool packed = false;
  std::vector<std::string> piece_parts;  ///< the part of each piece; empty: `part` for all
  std::vector<Paper> piece_papers;       ///< the paper of each piece; empty: `paper` for all
  int first_page = 1;                    ///< the number of the first page planned
  Words words;                           ///< the language of the sheet
  bool inches = false;  ///< the job's lengths are inches: printed beside the millimetres
};

/// Where a mark came to lie. A mark in an overlap of two pages lies on both.
struct SheetMark {
  std::string name;
  int page = 1;
  double x = 0.0;           ///< mm to the right of the page's lower left
  double y = 0.0;           ///< mm up from it
  double wrap_error = 0.0;  ///< mm from its place when the sheet is laid back on the skin
};

/// A label as it was placed.
struct SheetLabel {
  std::string words;
  Box box;
  bool over_lines = false;  ///< the page was so full that it had to cross a line
};

/// The two ends of a check bar, mm on the page; 150 mm apart unless a printer is made up for.
struct CheckBar {
  Vec2 from = Vec2::Zero();
  Vec2 to = Vec2::Zero();
};

/// Where two tiles are joined: the same cross lies on both pages.
struct MatchMark {
  std::string letter;
  Vec2 at = Vec2::Zero();  ///< mm on the page
  int other_page = 0;
};

struct SheetPage {
  int number = 1;
  bool on_its_side = false;  ///< a sheet of paper turned, its long edge across
  Drawing drawing;
  CheckBar bar_across;      ///< along x
  CheckBar bar_up;          ///< along y
  std::optional<Box> card;  ///< the outline of a bank card, where the page has the room
  std::vector<SheetLabel> labels;
  std::vector<Box> mark_boxes;  ///< what the marks cover, no label may
  std::vector<MatchMark> match_marks;
};

/// A piece's wrong place.
struct SheetMisfit {
  std::string piece;
  Misfit misfit;
};

struct TemplateSheet {
  std::vector<SheetPage> pages;
  std::vector<SheetMark> marks;
  std::vector<SheetMisfit> misfits;
  double stretch_max = 0.0;  ///< worst over the pieces
  double stretch_rms = 0.0;
  std::optional<PrinterBars> bars;  ///< as in the input

  /// The pages' drawings, for ToPdf and ToSvg.
  [[nodiscard]] std::vector<Drawing> Drawings() const;
};

/// Overlap of neighbouring tiles, mm.
inline constexpr double kTileOverlap = 10.0;
/// Length of the check bars, mm.
inline constexpr double kCheckBar = 150.0;

/// Lays the pieces out and draws every page. Pieces that fit a page, upright or on its side, share
/// pages; a larger one is tiled with kTileOverlap, join lines and match marks.
/// Errors: unusable paper; no piece, or one without a line; lengths that are not finite; a page too
/// crowded for the labels of its marks (names the point).
[[nodiscard]] Result<TemplateSheet> MakeTemplateSheet(const TemplateSheetInput& input);

/// The templates of one side as one set: their pieces, named by template, on the fewest pages of
/// the papers they are for, with a map of the pages in front.
/// @pre at least one template; all of one side
[[nodiscard]] TemplateSheetInput PackedInput(const std::vector<TemplateSheetInput>& templates);

/// The cautions every sheet carries, one sentence each.
[[nodiscard]] std::vector<std::string> StandardCautions(const Words& words = {});

}  // namespace holeward
