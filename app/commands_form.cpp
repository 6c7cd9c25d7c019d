#include <algorithm>
#include <set>

#include <fmt/format.h>

#include "app/commands.h"
#include "app/output.h"
#include "app/work.h"
#include "export/measuring_form.h"
#include "export/pdf.h"
#include "export/template_sheet.h"
#include "models/bench.h"
#include "models/bench_form.h"
#include "models/proof_wrap.h"
#include "models/scene.h"

namespace holeward {

namespace {

const BenchFit* FitOf(const std::vector<PartBench>& benches, const std::string& part) {
  const auto own = std::find_if(benches.begin(), benches.end(),
                                [&](const PartBench& b) { return b.part == part; });
  return own == benches.end() ? nullptr : own->fit.get();
}

TemplateSheetInput SheetOf(const Work& work, const ProofWrap& wrap) {
  const ResultHead head = HeadOf(work);
  TemplateSheetInput input;
  input.job_title = work.job.title;
  input.set_number = work.job.set_number;
  input.set_revision = work.job.set_revision;
  input.date = DateOfRun();
  input.hash = head.hash;
  input.program = head.program;
  input.part = wrap.part;
  input.template_name = "proof wrap";
  input.side = work.job.described_side;
  input.posture = work.job.posture;
  input.axle = work.job.axle;
  input.inches = work.job.inches;
  for (const TemplateRow& row : work.job.templates) {
    if (row.part == wrap.part) input.paper = row.paper;
  }
  input.pieces = wrap.pieces;
  input.limits = "none; this sheet gives no verdict";
  input.reason = "A proof wrap: it shows whether the model is the part. Nothing is drilled by it.";
  input.cautions = {
      "Lay it by the start and its first edge. Enter the gaps that show at the other "
      "lines, plus where the wrap is too short, in proof-wrap.csv.",
      "Fix the part so that it cannot roll or fall. Cut edges are sharp: wear "
      "gloves."};
  return input;
}

ExitStatus WriteWraps(const Work& work, const std::vector<ProofWrap>& wraps, const Options& options,
                      Console& console) {
  std::vector<OutFile> files;
  std::set<std::string> taken;
  for (const ProofWrap& wrap : wraps) {
    const auto sheet = MakeTemplateSheet(SheetOf(work, wrap));
    if (!sheet) return Failed(sheet.error(), console);
    auto pdf = ToPdf(sheet->Drawings(),
                     {fmt::format("{}: proof wrap of {}", work.job.title, wrap.part), DateOfRun()});
    if (!pdf) return Failed(pdf.error(), console);
    files.push_back(
        {fmt::format("proof-wrap-{}.pdf", FreshFileWord(wrap.part, taken)), std::move(*pdf)});
  }
  files.push_back({"proof-wrap.csv", ProofWrapCsv(wraps)});
  std::string said;
  for (const OutFile& file : files) {
    said += fmt::format("{}/{}\n", Printable(options.OutputFolder()), file.name);
  }
  return WriteSet(options.OutputFolder(), files, said, ExitStatus::done, console);
}

ExitStatus RunWrap(const Work& work, const std::vector<PartBench>& benches, const Options& options,
                   Console& console) {
  const SceneBuild build = BuildScene(work.job, work.job.described_side);
  for (const auto* errors : {&build.errors, &build.failures}) {
    for (const JobError& error : *errors) {
      console.PlacedMessage(Printable(error.Text(options.job)));
    }
  }
  if (!build.ok()) return build.errors.empty() ? ExitStatus::failed : ExitStatus::wrong_job;
  std::vector<ProofWrap> wraps;
  for (const Part& part : build.scene.parts) {
    if (options.part && part.name != *options.part) continue;
    auto wrap =
        MakeProofWrap({&work.job, &part, FitOf(benches, part.name), build.scene.outboard_y});
    if (!wrap) {
      console.Message(Printable(wrap.error().message));
      continue;
    }
    for (const std::string& note : wrap->notes) {
      console.Message(Printable(fmt::format("part {}: {}", part.name, note)));
    }
    wraps.push_back(std::move(*wrap));
  }
  if (!wraps.empty()) return WriteWraps(work, wraps, options, console);
  console.Message("the job has no part asked for that a proof wrap can be made of");
  return ExitStatus::wrong_job;
}

}  // namespace

ExitStatus RunForm(const Options& options, Console& console) {
  std::vector<PartBench> benches;
  auto job = ReadJobOf(options.job, console, &benches);
  if (!job) return job.error();
  Work work;
  work.job = std::move(*job);
  work.complete = !options.filtered();
  if (options.wrap) return RunWrap(work, benches, options, console);
  std::vector<MeasuringForm> forms;
  for (const PartRow& part : work.job.parts) {
    if (options.part && part.name != *options.part) continue;
    const BenchFit* fit = FitOf(benches, part.name);
    auto form = FormOf(part, work.job.described_side, fit ? &fit->sheet : nullptr);
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
  const std::string said = fmt::format("{}/measuring-form.pdf\n{}/measuring-form.csv\n",
                                       Printable(folder), Printable(folder));
  return WriteSet(folder,
                  {{"measuring-form.pdf", *pdf}, {"measuring-form.csv", MeasuringFormCsv(forms)}},
                  said, ExitStatus::done, console);
}

}  // namespace holeward
