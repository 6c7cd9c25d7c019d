#include "app/standard_files.h"

#include <fcntl.h>
#include <unistd.h>

namespace holeward {

void OpenMissingStandardFiles() {
  for (int file = STDIN_FILENO; file <= STDERR_FILENO; ++file) {
    if (fcntl(file, F_GETFD) == -1) {
      // The lowest free number is given: this one.
      [[maybe_unused]] const int opened = open("/dev/null", O_RDONLY);
    }
  }
}

}  // namespace holeward
