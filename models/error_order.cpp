#include "models/error_order.h"

#include <algorithm>
#include <tuple>

namespace holeward {

void SortByPlace(std::vector<JobError>* errors) {
  std::stable_sort(errors->begin(), errors->end(), [](const JobError& a, const JobError& b) {
    return std::tuple(a.at.line, a.at.column) < std::tuple(b.at.line, b.at.column);
  });
}

}  // namespace holeward
