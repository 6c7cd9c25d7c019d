// What the window is given by the program: writing files, the pages of sheets, issuing the set.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "geometry/result.h"
#include "viewer/bitmap.h"
#include "viewer/window_model.h"

namespace holeward {

/// A page of a sheet, drawn when it is wanted, by what draws the PDF.
struct ShownSheet {
  std::string title;   ///< "arm outboard, left, page 1"
  double width = 0.0;  ///< mm
  double height = 0.0;
  std::function<Bitmap(double dots_per_mm)> draw;  ///< from any thread
};

/// The pages of a job's templates, in the order they print.
struct SheetSet {
  std::vector<ShownSheet> pages;
  /// The PDF of these pages, by their index; from any thread. Errors: in words.
  std::function<Result<std::string>(const std::vector<std::size_t>& pages)> pdf;
};

/// Called as work goes on with what is being done; true asks it to stop.
using Progress = std::function<bool(const std::string& what)>;

struct WindowServices {
  FileWriter write;
  /// The template pages of a job's text as they will print. Errors: in words.
  std::function<Result<SheetSet>(const std::string& text, const std::string& file,
                                 const Progress& progress)>
      sheets;
  /// Issues the whole set of a job file to a folder; what came of it, in words.
  std::function<Result<std::string>(const std::string& job, const std::string& folder,
                                    const Progress& progress)>
      issue;
};

}  // namespace holeward
