#include "models/release.h"

#include <fmt/format.h>

namespace holeward {
namespace {

void AddLack(const std::optional<ReleaseRow>& release, const std::string& what,
             const std::string& hash, std::vector<std::string>* lacks) {
  if (!release) {
    lacks->push_back(fmt::format("Nobody has released {}.", what));
  } else if (release->hash != hash) {
    lacks->push_back(
        fmt::format("The release of {} by {}, {}, is void: job or program have changed since.",
                    what, release->by, release->date));
  }
}

}  // namespace

std::string ReleaseHash(const Job& job, const std::string& version) {
  return fmt::format("{}-{}", job.content_hash, version);
}

std::vector<std::string> WhyNotSigned(const ReleaseRows& release, const std::string& hash) {
  std::vector<std::string> lacks;
  AddLack(release.clearance, "drill clearance", hash, &lacks);
  AddLack(release.strength, "strength", hash, &lacks);
  return lacks;
}

std::string ReleaseWords(const std::optional<ReleaseRow>& release, const std::string& hash) {
  if (!release) return "nobody";
  const std::string who = fmt::format("{}, {}", release->by, release->date);
  return release->hash == hash ? who
                               : fmt::format("void: {}, for {}, which is not this job and program",
                                             who, release->hash);
}

}  // namespace holeward
