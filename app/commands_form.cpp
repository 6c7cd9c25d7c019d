#include <fmt/format.h>

#include "app/commands.h"
#include "app/output.h"
#include "app/work.h"
#include "export/measuring_form.h"
#include "export/pdf.h"
#include "models/bench_form.h"

namespace holeward {

ExitStatus RunForm(const Options& options, Console& console) {
  auto job = ReadJobOf(options.job, console);
  if (!job) return job.error();
  Work work;
  work.job = std::move(*job);
  work.complete = !options.filtered();
  std::vector<MeasuringForm> forms;
  for (const PartRow& part : work.job.parts) {
    if (options.part && part.name != *options.part) continue;
    auto form = FormOf(part, work.job.described_side);
    if (form) {
      forms.push_back(std::move(*form));
    } else {
      console.Message(Printable(form.error().message));
    }
  }
  if (forms.empty()) {
    console.Message("the job has no part asked for that a measuring form can be made of");
    return ExitStatus::wrong_job;
  }
  PageFacts facts;
  facts.head = HeadOf(work);
  facts.date = DateOfRun();
  auto pdf = ToPdf(MakeMeasuringForms(facts, forms),
                   {fmt::format("{}: measuring form", work.job.title), facts.date});
  if (!pdf) return Failed(pdf.error(), console);
  const std::string folder = options.OutputFolder();
  const ExitStatus status = WriteSet(
      folder, {{"measuring-form.pdf", *pdf}, {"measuring-form.csv", MeasuringFormCsv(forms)}},
      console);
  if (status != ExitStatus::done) return status;
  console.Print(fmt::format("{}/measuring-form.pdf\n{}/measuring-form.csv", Printable(folder),
                            Printable(folder)));
  return ExitStatus::done;
}

}  // namespace holeward
