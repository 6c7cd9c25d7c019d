// The program that has the window. `holeward view` hands over to it; its arguments are checked
// there.
#include <exception>
#include <iostream>
#include <optional>
#include <string>
#include <string_view>

#include "app/exit_status.h"
#include "app/view_services.h"
#include "viewer/window/picture.h"
#include "viewer/window/window_run.h"

namespace holeward {
namespace {

int Leave(const std::string& why) {
  std::cerr << "holeward: " << why << '\n';
  return Number(ExitStatus::failed);
}

/// Draws what can be drawn: of a job with errors its good parts, which are told and in the picture.
int DrawPicture(const std::string& job, const std::string& file) {
  const WindowServices services = ServicesOfProgram();
  WindowModel model;
  if (const auto opened = model.Open(job); !opened) return Leave(opened.error().message);
  const JobState state = CheckedState(PlacedState(model.text(), job, nullptr));
  for (const JobError& error : state.errors) std::cerr << error.Text(job) << '\n';
  const int status = Number(state.errors.empty() ? ExitStatus::done : ExitStatus::wrong_job);
  if (state.sides.empty() && status != 0) return status;
  const auto png = WindowPicture(state, {});
  if (!png) return Leave(png.error().message);
  if (const auto written = services.write(file, *png); !written) {
    return Leave(written.error().message);
  }
  if (status != 0) std::cerr << "holeward: " << state.Notice() << '\n';
  return status;
}

int Main(int argc, const char* const* argv) {
  std::string job;
  std::optional<std::string> picture;
  for (int i = 1; i < argc; ++i) {
    const std::string_view word = argv[i];
    if (word == "--picture" && i + 1 < argc) {
      picture = argv[++i];
    } else if (word != "--") {
      job = word;
    }
  }
  if (picture) return DrawPicture(job, *picture);
  if (const std::string why = WhyNoWindow(); !why.empty()) return Leave(why);
  return RunWindow(job, ServicesOfProgram());
}

}  // namespace
}  // namespace holeward

int main(int argc, char** argv) {
  try {
    return holeward::Main(argc, argv);
  } catch (const std::exception& error) {
    return holeward::Leave(std::string("unexpected failure, please report it: ") + error.what());
  }
}
