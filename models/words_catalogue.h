// The message catalogues built into the program.
#pragma once

#include <string_view>

namespace holeward {

/// The bytes of the catalogue (a .mo file) of a language by its code; empty if there is none.
[[nodiscard]] std::string_view CatalogueBytes(std::string_view code);

}  // namespace holeward
