#include "models/nearest_word.h"

#include <algorithm>
#include <cctype>
#include <numeric>

namespace holeward {
namespace {

// Longer words are never mistyped key words; comparing them would only cost time.
constexpr std::size_t kLongestWord = 80;

char Lower(char c) { return static_cast<char>(std::tolower(static_cast<unsigned char>(c))); }

}  // namespace

// Optimal string alignment: the Levenshtein recurrence with the swap of two neighbours added.
int EditDistance(std::string_view a, std::string_view b) {
  std::vector<int> before(b.size() + 1);
  std::vector<int> last(b.size() + 1);
  std::vector<int> row(b.size() + 1);
  std::iota(last.begin(), last.end(), 0);
  for (std::size_t i = 1; i <= a.size(); ++i) {
    row[0] = static_cast<int>(i);
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const int change = Lower(a[i - 1]) == Lower(b[j - 1]) ? 0 : 1;
      row[j] = std::min({last[j] + 1, row[j - 1] + 1, last[j - 1] + change});
      const bool swapped = i > 1 && j > 1 && Lower(a[i - 1]) == Lower(b[j - 2]) &&
                           Lower(a[i - 2]) == Lower(b[j - 1]);
      if (swapped) row[j] = std::min(row[j], before[j - 2] + 1);
    }
    std::swap(before, last);
    std::swap(last, row);
  }
  return last[b.size()];
}

std::optional<std::string> NearestWord(std::string_view word,
                                       const std::vector<std::string>& known) {
  if (word.empty() || word.size() > kLongestWord) return std::nullopt;
  std::optional<std::string> best;
  int least = std::max(1, static_cast<int>(word.size()) / 3) + 1;
  for (const auto& candidate : known) {
    // Any two words of two letters are near each other (cm, mm).
    if (candidate.size() <= 2 && word.size() <= 2) continue;
    if (candidate.empty() || candidate.size() > kLongestWord) continue;
    const int distance = EditDistance(word, candidate);
    if (distance < least && distance < static_cast<int>(candidate.size())) {
      least = distance;
      best = candidate;
    }
  }
  return best;
}

}  // namespace holeward
