// CLI11 takes seconds to compile: no other file includes it.
#include "app/command_line.h"

#include <algorithm>
#include <array>
#include <filesystem>
#include <string_view>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "app/help.h"
#include "export/model_document.h"
#include "models/nearest_word.h"

namespace holeward {
namespace {

constexpr std::array kCommands = {
    Command::locate,  Command::check,   Command::make_template, Command::issue, Command::decide,
    Command::compare, Command::model,   Command::fit,           Command::form,  Command::guide,
    Command::words,   Command::new_job, Command::view};

/// "; did you mean 'check'?" when a known word is close, else nothing.
std::string Suggestion(std::string_view found, const std::vector<std::string>& known) {
  const std::optional<std::string> nearest = NearestWord(found, known);
  return nearest ? fmt::format("; did you mean '{}'?", *nearest) : "";
}

std::vector<std::string> CommandWords() {
  std::vector<std::string> words;
  words.reserve(kCommands.size());
  for (const Command command : kCommands) {
    words.emplace_back(Word(command));
  }
  return words;
}

/// What the parser writes into: CLI11 keeps pointers to it.
struct Raw {
  Options options;
  std::string side;
  std::string part;
  std::string to;
  std::string bars;
  std::string language;
  std::string picture;
};

/// A path or name must say something.
std::string RefuseEmpty(const std::string& text) {
  return text.empty() ? "an empty text names nothing" : "";
}

/// The check bars of a printer, within what can be made up for.
std::string RefuseBars(const std::string& text) {
  const Result<PrinterBars> bars = ParsePrinterBars(text);
  return bars ? "" : bars.error().message;
}

/// A model's form goes by the ending of its file.
std::string RefuseEnding(const std::string& file) {
  return ModelFormOf(file) ? ""
                           : fmt::format(
                                 "'{}' does not end in .step, .stp, .glb or .stl, which "
                                 "says what is written",
                                 file);
}

/// Refuses what is not one of the words.
auto OneOf(std::vector<std::string> words) {
  return [words = std::move(words)](const std::string& text) -> std::string {
    if (std::find(words.begin(), words.end(), text) != words.end()) {
      return "";
    }
    return fmt::format("'{}' is not one of {}{}", text, fmt::join(words, ", "),
                       Suggestion(text, words));
  };
}

std::vector<std::string> LanguageCodes() {
  std::vector<std::string> codes;
  for (const Language language : kLanguages) {
    codes.emplace_back(Code(language));
  }
  return codes;
}

CLI::App& AddCommand(CLI::App& app, Raw& raw, Command command) {
  CLI::App* added = app.add_subcommand(Word(command));
  added->callback([&raw, command] { raw.options.command = command; });
  if (command == Command::view) {
    added->add_option("JOB", raw.options.job)->check(RefuseEmpty);
    added->add_option("--picture", raw.picture)->check(RefuseEmpty)->needs("JOB");
    return *added;
  }
  if (command != Command::form && command != Command::words) {
    added->add_flag("--json", raw.options.json);
  }
  if (command != Command::decide && command != Command::compare && command != Command::fit) {
    added->add_option("--to", raw.to)->check(RefuseEmpty);
  }
  return *added;
}

void AddGuideOptions(CLI::App& added, Raw& raw) {
  added.add_option("--point", raw.options.point)->required()->check(RefuseEmpty);
  added.add_option("--bush", raw.options.bush)->required()->check(CLI::Range(3.0, 40.0));
  added.add_option("--stage", raw.options.stage)->check(CLI::Range(1, 20));
  added.add_option("--gap", raw.options.gap)->check(CLI::Range(0.0, 1.0));
}

void AddCommands(CLI::App& app, Raw& raw) {
  for (const Command command : kCommands) {
    CLI::App& added = AddCommand(app, raw, command);
    if (command == Command::view) {
      continue;
    }
    if (command == Command::new_job) {
      added.add_option("KIND", raw.options.kind)
          ->required()
          ->check(OneOf({"arm", "tube", "channel", "solid"}));
      added.add_option("FILE", raw.options.step)->check(RefuseEmpty);
      continue;
    }
    if (command == Command::compare) {
      added.add_option("OLD", raw.options.old_job)->required()->check(RefuseEmpty);
      added.add_option("NEW", raw.options.job)->required()->check(RefuseEmpty);
      continue;
    }
    added.add_option("JOB", raw.options.job)->required()->check(RefuseEmpty);
    if (command == Command::words) {
      continue;
    }
    if (command == Command::decide) {
      added.add_option("RESULTS", raw.options.results)->required()->check(RefuseEmpty);
      continue;
    }
    if (command == Command::form) {
      added.add_flag("--wrap", raw.options.wrap);
    }
    if (command == Command::fit) {
      CLI::Option* readings = added.add_option("READINGS", raw.options.results);
      readings->check(RefuseEmpty);
      added.add_flag("--other-side", raw.options.other_side)->needs(readings);
    }
    if (command != Command::fit && command != Command::form) {
      added.add_option("--side", raw.side)->check(OneOf({"left", "right"}));
    }
    added.add_option("--part", raw.part)->check(RefuseEmpty);
    if (command == Command::make_template || command == Command::issue) {
      added.add_option("--bars", raw.bars)->check(RefuseBars);
      added.add_option("--language", raw.language)->check(OneOf(LanguageCodes()));
    }
    if (command == Command::issue) {
      added.add_flag("--no-pictures", raw.options.no_pictures);
    }
    if (command == Command::model || command == Command::guide) {
      added.get_option("--to")->required()->check(RefuseEnding);
    }
    if (command == Command::model) {
      added.add_flag("--drilled", raw.options.drilled);
    }
    if (command == Command::guide) {
      AddGuideOptions(added, raw);
    }
  }
}

/// The first argument that is not an option; empty if there is none.
std::string_view FirstWord(int argc, const char* const* argv) {
  for (int i = 1; i < argc; ++i) {
    const std::string_view argument = argv[i];
    if (!argument.empty() && argument.front() != '-') {
      return argument;
    }
  }
  return {};
}

ParsedCommandLine Wrong(const std::string& what, std::string_view command) {
  ParsedCommandLine parsed;
  parsed.status = ExitStatus::wrong_job;
  parsed.message = fmt::format("holeward: {}\nSee: holeward {}{}--help", what, command,
                               command.empty() ? "" : " ");
  return parsed;
}

/// A sentence about an argument that was not expected.
std::string Unexpected(const std::string& argument, const CLI::App& command) {
  if (argument.empty() || argument.front() != '-') {
    return fmt::format("'{}' was not expected here: one is given at a time", argument);
  }
  std::vector<std::string> known;
  for (const CLI::Option* option : command.get_options()) {
    for (const std::string& name : option->get_lnames()) {
      known.push_back("--" + name);
    }
  }
  std::sort(known.begin(), known.end());
  return fmt::format("'{}' is not an option of '{}'; its options are {}{}", argument,
                     command.get_name(), fmt::join(known, ", "), Suggestion(argument, known));
}

/// The command whose arguments were being parsed, or the program itself.
const CLI::App& ParsedCommand(const CLI::App& app) {
  const auto commands = app.get_subcommands();
  return commands.empty() ? app : *commands.front();
}

/// A sentence about something required that is missing.
std::string Missing(const std::string& command) {
  if (command.empty()) {
    return fmt::format("no command was given; the commands are {}",
                       fmt::join(CommandWords(), ", "));
  }
  if (command == Word(Command::decide)) {
    return "'decide' needs a job file and a table of results";
  }
  if (command == Word(Command::compare)) {
    return "'compare' needs two job files, the old and the new";
  }
  if (command == Word(Command::model)) {
    return "'model' needs a job file and --to FILE, which ends in .step, .glb or .stl";
  }
  if (command == Word(Command::guide)) {
    return "'guide' needs a job file, --point NAME, --bush MM and --to FILE, which ends in .stl, "
           ".step or .glb";
  }
  return command == Word(Command::new_job)
             ? "'new' needs a kind: arm, tube, channel, or solid and a STEP file"
             : fmt::format("'{}' needs a job file", command);
}

ParsedCommandLine FromError(const CLI::App& app, const CLI::ParseError& error) {
  const CLI::App& command = ParsedCommand(app);
  const std::string name = &command == &app ? "" : command.get_name();
  const auto extras = app.remaining(true);
  if (!extras.empty()) {
    return Wrong(Unexpected(extras.front(), command), name);
  }
  if (dynamic_cast<const CLI::RequiredError*>(&error) != nullptr) {
    return Wrong(Missing(name), name);
  }
  const std::string what = error.what();
  if (dynamic_cast<const CLI::ArgumentMismatch*>(&error) != nullptr) {
    return Wrong(fmt::format("'{}' needs one value", what.substr(0, what.find(':'))), name);
  }
  return Wrong(what, name);
}

ParsedCommandLine FromSuccess(const CLI::App& app, const CLI::Success& success) {
  ParsedCommandLine parsed;
  if (dynamic_cast<const CLI::CallForVersion*>(&success) != nullptr) {
    parsed.output = VersionText() + "\n";
    return parsed;
  }
  parsed.output = HelpText();
  for (const Command command : kCommands) {
    if (ParsedCommand(app).get_name() == Word(command)) {
      parsed.output = HelpText(command);
    }
  }
  return parsed;
}

Options Finished(const Raw& raw) {
  Options options = raw.options;
  if (!raw.to.empty()) {
    options.to = raw.to;
  }
  if (!raw.part.empty()) {
    options.part = raw.part;
  }
  if (!raw.picture.empty()) {
    options.picture = raw.picture;
  }
  if (!raw.bars.empty()) {
    options.bars = *ParsePrinterBars(raw.bars);
  }
  if (!raw.language.empty()) {
    options.language = *LanguageOf(raw.language);
  }
  if (!raw.side.empty()) {
    options.side = raw.side == "left" ? Side::left : Side::right;
  }
  return options;
}

}  // namespace

const char* Word(Command command) {
  switch (command) {
    case Command::locate: return "locate";
    case Command::check: return "check";
    case Command::make_template: return "template";
    case Command::issue: return "issue";
    case Command::decide: return "decide";
    case Command::compare: return "compare";
    case Command::model: return "model";
    case Command::fit: return "fit";
    case Command::form: return "form";
    case Command::guide: return "guide";
    case Command::words: return "words";
    case Command::new_job: return "new";
    case Command::view: return "view";
  }
  return "";
}

std::string Options::OutputFolder() const {
  if (to) {
    return *to;
  }
  const std::filesystem::path job_path(job);
  const std::string stem = job_path.stem().string();
  // A job without an extension would give a folder of its own name, which the job has taken.
  return job_path.has_extension() ? stem : stem + "-set";
}

std::string VersionText() { return fmt::format("holeward {}", HOLEWARD_VERSION); }

ParsedCommandLine ParseCommandLine(int argc, const char* const* argv) {
  const std::vector<std::string> words = CommandWords();
  const std::string_view first = FirstWord(argc, argv);
  if (!first.empty() && std::find(words.begin(), words.end(), first) == words.end()) {
    return Wrong(fmt::format("'{}' is not a command; the commands are {}{}", first,
                             fmt::join(words, ", "), Suggestion(first, words)),
                 "");
  }

  Raw raw;
  CLI::App app("", "holeward");
  app.set_version_flag("--version", VersionText());
  app.require_subcommand(1);
  AddCommands(app, raw);
  try {
    app.parse(argc, argv);
  } catch (const CLI::Success& success) {
    return FromSuccess(app, success);
  } catch (const CLI::ParseError& error) {
    return FromError(app, error);
  }
  if ((raw.options.kind == "solid") != !raw.options.step.empty()) {
    return Wrong(raw.options.step.empty()
                     ? "'new solid' needs a STEP file"
                     : fmt::format("'{}' was not expected here: only 'new solid' takes a file",
                                   raw.options.step),
                 Word(Command::new_job));
  }
  ParsedCommandLine parsed;
  parsed.options = Finished(raw);
  return parsed;
}

}  // namespace holeward
