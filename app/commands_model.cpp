#include <fmt/format.h>

#include "app/commands.h"
#include "app/output.h"
#include "app/work_model.h"
#include "app/write_model.h"
#include "export/model_json.h"
#include "models/checking.h"

namespace holeward {

ExitStatus RunModel(const Options& options, Console& console) {
  auto work = PlaceWork(options, console);
  if (!work) {
    return work.error();
  }
  if (options.drilled) {
    for (SideWork& side : work->sides) {
      console.Progress(fmt::format("{}: checking", Word(side.side)));
      side.checking = CheckPoints(work->job, side.scene, side.points, side.side);
    }
  }
  console.Progress("building the model");
  const auto model = ModelOf(*work, options);
  if (!model) {
    return Failed(model.error(), console);
  }
  auto bytes = BytesOf(*model, *ModelFormOf(*options.to));
  console.EndProgress();
  if (!bytes) {
    return Failed(bytes.error(), console);
  }
  const auto said = options.json
                        ? TextOf(ModelJson(HeadOf(*work), *model, *options.to))
                        : fmt::format("{}: {} part{}, {} points, {} drill axes; {} bytes\n",
                                      Printable(*options.to), model->parts.size(),
                                      model->parts.size() == 1 ? "" : "s", model->marks.size(),
                                      model->axes.size(), bytes->size());
  return said ? WriteOne(*options.to, std::move(*bytes), *said, ExitStatus::done, console)
              : Failed(said.error(), console);
}

}  // namespace holeward
