// Models written to files, in the form that the file's ending says.
#pragma once

#include <string>
#include <string_view>

#include "app/console.h"
#include "app/exit_status.h"
#include "export/model_document.h"
#include "geometry/result.h"

namespace holeward {

/// The bytes of a model. Errors: those of the form; STEP's come from the exchange process.
[[nodiscard]] Result<std::string> BytesOf(const ModelDocument& model, ModelForm form);

/// Writes one file, whole or not at all, then prints `said` and leaves with `status`.
[[nodiscard]] ExitStatus WriteOne(const std::string& file, std::string bytes, std::string_view said,
                                  ExitStatus status, Console& console);

}  // namespace holeward
