// The documents that `--json` prints: keys as the job file's reference lists them, in order.
#pragma once

#include <string>
#include <vector>

#include <nlohmann/json.hpp>

#include "export/result_rows.h"
#include "geometry/marking.h"
#include "geometry/result.h"

namespace holeward {

using Json = nlohmann::ordered_json;

/// Whether a set is released, as it is printed.
struct ReleaseOut {
  bool released = false;
  std::string reason;     ///< why not, in sentences
  std::string clearance;  ///< by whom and when, "nobody", or why it is void
  std::string strength;
};

/// What every result document begins with.
struct ResultHead {
  std::string job;  ///< the job file as the user gave it
  std::string title;
  std::string set_number;
  std::string set_revision;
  std::string hash;
  std::string program;
  bool complete = true;  ///< false: filtered by side or part
  ReleaseOut release;    ///< of a job that was checked
};

/// What every document begins with, as JSON.
/// @param command the word of the command that made it
[[nodiscard]] Json HeadJson(const ResultHead& head, const char* command);

/// What a verdict was reached with; printed with it.
struct Basics {
  Limits limits;
  Marking marking;
  std::vector<std::string> zeroed;  ///< names of errors the job sets to 0
};

/// The document of `locate`. Errors: a number that is not finite (names point and key).
[[nodiscard]] Result<Json> LocateJson(const ResultHead& head, const std::vector<PointOut>& points);

/// The document of `check`. `free_depth_mm`, `first_contact` and both margins are null unless the
/// outcome is `met`; `stop_mm` is left out without a stop, `nearest_hole_mm` without another hole.
/// Errors: a number that is not finite (names hole or point and key).
[[nodiscard]] Result<Json> CheckJson(const ResultHead& head, const Basics& basics,
                                     const std::vector<HoleOut>& holes,
                                     const std::vector<PointCheckOut>& points, Verdict overall);

/// The document of `template`, with the verdict of the check that goes with it.
/// Errors: a number that is not finite (names sheet and key).
[[nodiscard]] Result<Json> TemplateJson(const ResultHead& head, const Basics& basics,
                                        const std::vector<SheetOut>& sheets, Verdict overall);

/// The document of `issue`: everything of the three, and the names of the files written.
[[nodiscard]] Result<Json> IssueJson(const Json& locate, const Json& check, const Json& sheets,
                                     const std::vector<std::string>& files);

/// The text of a document, two blanks an indent, a line feed at the end. Errors: any number in it
/// is not finite (it would be written as null).
[[nodiscard]] Result<std::string> JsonText(const Json& document);

}  // namespace holeward
