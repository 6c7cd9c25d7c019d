#include "app/view_services.h"

#include <filesystem>
#include <memory>
#include <sstream>
#include <utility>

#include <fmt/format.h>

#include "app/commands.h"
#include "app/interrupt.h"
#include "app/last_words.h"
#include "app/watched_memory.h"
#include "app/work.h"
#include "export/file_set.h"
#include "export/page_picture.h"
#include "export/pdf.h"

namespace holeward {
namespace {

/// Where a run's passing lines go: each is handed on, and may ask for a stop.
class ProgressStream : public std::stringbuf {
 public:
  explicit ProgressStream(const Progress& progress) : progress_(progress) {}

 protected:
  int sync() override {
    std::string line = str();
    str("");
    // A passing line begins with what erases the one before.
    constexpr std::string_view kErase = "\r\x1b[K";
    if (line.rfind(kErase, 0) != 0) {
      told_ += line;
      return 0;
    }
    line.erase(0, kErase.size());
    if (!line.empty() && progress_ && progress_(line)) AskForStop(true);
    return 0;
  }

 public:
  [[nodiscard]] std::string told() const {
    const auto end = told_.find_last_not_of('\n');
    return end == std::string::npos ? "" : told_.substr(0, end + 1);
  }

 private:
  const Progress& progress_;
  std::string told_;
};

/// A console that shows its progress in the window.
struct WindowConsole {
  explicit WindowConsole(const Progress& progress)
      : lines(progress), err(&lines), console(out, err, {false, true}) {
    AskForStop(false);
    // What was refused to an earlier run, or to the drawing of a window, does not count here.
    WatchMemoryAnew();
    WorkBegins();
  }
  ~WindowConsole() { WorkBegins(); }  // the window goes on
  WindowConsole(const WindowConsole&) = delete;
  WindowConsole& operator=(const WindowConsole&) = delete;

  ProgressStream lines;
  std::ostringstream out;
  std::ostream err;
  Console console;

  [[nodiscard]] Error Failure() const {
    if (Interrupted()) return {ErrorKind::computed, "Stopped; nothing was written."};
    const std::string told = lines.told();
    return {ErrorKind::computed, told.empty() ? "It could not be done." : told};
  }
};

Result<void> WriteWhole(const std::string& path, const std::string& bytes) {
  const std::filesystem::path file(path);
  const std::string folder = file.has_parent_path() ? file.parent_path().string() : ".";
  return WriteFileSet(folder, {{file.filename().string(), bytes}});
}

using Pages = std::vector<std::shared_ptr<const Drawing>>;

Result<std::string> PdfOf(const Pages& all, const std::vector<std::size_t>& wanted,
                          const PdfInfo& info) {
  std::vector<Drawing> drawings;
  for (const std::size_t page : wanted) {
    if (page < all.size()) drawings.push_back(*all[page]);
  }
  return ToPdf(drawings, info);
}

SheetSet ViewsOf(const std::vector<SheetOut>& sheets, const std::string& title) {
  SheetSet set;
  Pages drawings;
  for (const SheetOut& sheet : sheets) {
    if (sheet.packed) continue;  // the same pieces again
    for (const SheetPage& page : sheet.sheet.pages) {
      ShownSheet view;
      view.title = fmt::format("{}, {}, page {} of {}", sheet.name, Word(sheet.side), page.number,
                               sheet.sheet.pages.size());
      view.width = page.drawing.width;
      view.height = page.drawing.height;
      drawings.push_back(std::make_shared<const Drawing>(page.drawing));
      view.draw = [drawing = drawings.back()](double dots) {
        auto picture = PictureOfPage(*drawing, dots);
        if (!picture) return Bitmap{};
        return Bitmap{picture->width, picture->height, std::move(picture->pixels)};
      };
      set.pages.push_back(std::move(view));
    }
  }
  set.pdf = [drawings, info = PdfInfo{title, DateOfRun()}](const std::vector<std::size_t>& wanted) {
    return PdfOf(drawings, wanted, info);
  };
  return set;
}

Result<SheetSet> SheetsOf(const std::string& text, const std::string& file,
                          const Progress& progress) {
  WindowConsole window(progress);
  Options options;
  options.command = Command::make_template;
  options.job = file;
  auto work = PlaceWork(ReadBenchJobText(text, file), options, window.console);
  if (!work) return tl::unexpected<Error>(window.Failure());
  if (!CheckWork(*work, window.console)) return tl::unexpected<Error>(window.Failure());
  const auto sheets = SheetWork(*work, options, window.console);
  if (!sheets) return tl::unexpected<Error>(window.Failure());
  return ViewsOf(*sheets, work->words.Own(work->job.title));
}

Result<std::string> IssueOf(const std::string& job, const std::string& folder,
                            const Progress& progress) {
  WindowConsole window(progress);
  Options options;
  options.command = Command::issue;
  options.job = job;
  options.to = folder;
  const ExitStatus status = RunIssue(options, window.console);
  const bool written = status == ExitStatus::done || status == ExitStatus::not_clear ||
                       status == ExitStatus::unproven;
  if (Interrupted() || !written) return tl::unexpected<Error>(window.Failure());
  return fmt::format(
      "The set is in {}.{}", folder,
      status == ExitStatus::done
          ? " Every hole and test point is proven clear; a sheet marked NOT RELEASED "
            "is not used before an engineer has released it."
          : " Not everything is clear: every page is marked NOT RELEASED.");
}

}  // namespace

WindowServices ServicesOfProgram() { return {WriteWhole, SheetsOf, IssueOf}; }

}  // namespace holeward
