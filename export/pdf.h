// PDF of page drawings: fonts embedded, not to be scaled when printed, the same bytes for the same
// input.
#pragma once

#include <string>
#include <vector>

#include "export/drawing.h"
#include "geometry/result.h"

namespace holeward {

/// What a PDF says about itself.
struct PdfInfo {
  std::string title;
  std::string date;  ///< YYYY-MM-DD; the creation date unless SOURCE_DATE_EPOCH is set
};

/// The bytes of a PDF with one page a drawing, at 1:1.
/// The document asks viewers for no print scaling (ISO 32000-2, 12.2: /PrintScaling /None,
/// enforced), embeds its fonts and carries an identifier made from its contents. Errors: a drawing
/// with a number that is not finite or no page at all; Cairo or qpdf failing. Accuracy: coordinates
/// are written to about 0.001 mm.
[[nodiscard]] Result<std::string> ToPdf(const std::vector<Drawing>& pages, const PdfInfo& info);

/// The creation date a document gets: SOURCE_DATE_EPOCH (seconds since 1970, UTC) if the
/// environment sets it to a number, else `date` at midnight UTC. ISO 8601.
[[nodiscard]] std::string CreationDate(const std::string& date);

}  // namespace holeward
