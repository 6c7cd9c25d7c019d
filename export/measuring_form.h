// The form to measure a sample part by: a drawing with numbered places, boxes to fill in, the order
// to do it in. The numbers are the names of the readings in the job and in the results.
#pragma once

#include <string>
#include <vector>

#include "export/clearance_frame.h"
#include "export/drawing.h"
#include "models/bench_form.h"

namespace holeward {

/// Draws the forms, each beginning on a page of its own, A4.
/// @param facts `document`, `limits`, `cautions` and release are set here
[[nodiscard]] std::vector<Drawing> MakeMeasuringForms(PageFacts facts,
                                                      const std::vector<MeasuringForm>& forms);

/// The same readings as a table to fill in: part, reading, instrument, unit, value (empty).
[[nodiscard]] std::string MeasuringFormCsv(const std::vector<MeasuringForm>& forms);

}  // namespace holeward
