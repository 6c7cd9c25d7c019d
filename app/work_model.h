// The model of a run: its parts as solids, drilled or not, with their points and drill axes.
#pragma once

#include "app/work.h"
#include "export/model_document.h"
#include "geometry/result.h"

namespace holeward {

/// The model of placed work: every part with its fittings (a shared part once, else one a side),
/// every point, every drill axis; inner bodies and neighbours are left out.
/// @param options `part`: only this one; `drilled`: with every hole taken out at its final size,
///   straight through the near wall as it is intended; the sides of `work` must then be checked
/// Errors: those of WithFittings and NamedSolid::Cut; (computed) a hole whose depths are not known.
[[nodiscard]] Result<ModelDocument> ModelOf(const Work& work, const Options& options);

}  // namespace holeward
