// Whether a job is released: by whom, and whether what they released is still what it was.
#pragma once

#include <string>
#include <vector>

#include "models/job.h"
#include "models/words.h"

namespace holeward {

/// The hash a release is given for: content of the job and version of the program.
/// @param version "0.1.0"
[[nodiscard]] std::string ReleaseHash(const Job& job, const std::string& version);

/// What the job's releases lack, a sentence each: nobody has released drill clearance or strength,
/// or a release is void because job or program have changed since. Empty: both hold.
/// @param hash what is to be released, from ReleaseHash
[[nodiscard]] std::vector<std::string> WhyNotSigned(const ReleaseRows& release,
                                                    const std::string& hash,
                                                    const Words& words = {});

/// A release in words: "Jane Roe, 2026-11-03", "void: ...", "nobody".
[[nodiscard]] std::string ReleaseWords(const std::optional<ReleaseRow>& release,
                                       const std::string& hash, const Words& words = {});

}  // namespace holeward
