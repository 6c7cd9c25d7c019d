#include "models/release.h"

#include <fmt/format.h>

namespace holeward {
namespace {

/// The two sentences that a release may lack, of what it is for.
struct LackWords {
  const char* nobody;
  const char* voided;  ///< by whom, when
};

constexpr LackWords kClearance = {
    Told("Nobody has released drill clearance."),
    Told("The release of drill clearance by {}, {}, is void: job or program have changed since.")};
constexpr LackWords kStrength = {
    Told("Nobody has released strength."),
    Told("The release of strength by {}, {}, is void: job or program have changed since.")};

void AddLack(const std::optional<ReleaseRow>& release, const LackWords& lack,
             const std::string& hash, const Words& words, std::vector<std::string>* lacks) {
  if (!release) {
    lacks->push_back(words.Say(lack.nobody));
  } else if (release->hash != hash) {
    lacks->push_back(Filled(words.Say(lack.voided), {release->by, release->date}));
  }
}

}  // namespace

std::string ReleaseHash(const Job& job, const std::string& version) {
  return fmt::format("{}-{}", job.content_hash, version);
}

std::vector<std::string> WhyNotSigned(const ReleaseRows& release, const std::string& hash,
                                      const Words& words) {
  std::vector<std::string> lacks;
  AddLack(release.clearance, kClearance, hash, words, &lacks);
  AddLack(release.strength, kStrength, hash, words, &lacks);
  return lacks;
}

std::string ReleaseWords(const std::optional<ReleaseRow>& release, const std::string& hash,
                         const Words& words) {
  if (!release) return words.Say("nobody");
  const std::string who = fmt::format("{}, {}", release->by, release->date);
  return release->hash == hash
             ? who
             : words.Say("void: {}, for {}, which is not this job and program", who, release->hash);
}

}  // namespace holeward
