// The colours of a STEP file in an order of their own.
#pragma once

#include <string>

namespace holeward {

/// The text of a STEP file of the kernel's with the records of its colours sorted and numbered
/// afresh. The kernel writes them last, one group a shape, the groups in the order of addresses in
/// memory, so that no two runs would give the same bytes. A text without such records comes back as
/// it is.
[[nodiscard]] std::string WithStylesInOrder(const std::string& step);

}  // namespace holeward
