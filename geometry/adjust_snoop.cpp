#include "geometry/adjust_snoop.h"

#include <algorithm>
#include <cmath>

namespace holeward {
namespace {

// A reading may be the misread one in a suspect's place where their tests are tied by more than
// this and the sum of squares without it is greater by less than that: it is then 90 times less
// likely or less (exp(-9 / 2)). What is farther off is told apart.
constexpr double kTied = 0.5;
constexpr double kAsLikely = 9.0;
// Beyond this even the robust fit leaves no doubt: such a reading must not bend the first squares.
constexpr double kGross = 12.0;
// More than a third of the spare readings wrong is no longer a set with slips in it.
constexpr double kMostShare = 0.34;

std::optional<Eigen::Index> MostStanding(const Adjustment& a, double limit) {
  std::optional<Eigen::Index> worst;
  double most = limit;
  for (Eigen::Index i = 0; i < a.standardized.size(); ++i) {
    if (!a.used[static_cast<std::size_t>(i)] || !(std::abs(a.standardized[i]) > most)) continue;
    most = std::abs(a.standardized[i]);
    worst = i;
  }
  return worst;
}

// The statistic that survives for a reading that may not be taken out again.
class Snooper {
 public:
  explicit Snooper(const AdjustProblem& problem) : problem_(problem), used_(AllOf(problem)) {}

  // @param first how the readings are weighed until no gross error is left
  tl::expected<Snooping, AdjustFailure> Run(Loss first) {
    auto fit = Adjust(problem_, used_, first);
    if (!fit) return tl::unexpected(fit.error());
    const auto spare = fit->freedom;
    const int most = std::max(1, static_cast<int>(std::ceil(kMostShare * spare)));
    // The robust fit's figures are only good for gross errors.
    double limit = first == Loss::huber ? kGross : kStandsOut;
    for (bool settled = false; !settled;) {
      const auto worst = MostStanding(*fit, limit);
      if (worst && static_cast<int>(made_.suspects.size()) < most && fit->freedom > 0) {
        TakeOut(*fit, *worst);
      } else if (limit == kStandsOut) {
        settled = true;
      } else {
        limit = kStandsOut;
      }
      if (settled) break;
      auto next = Refit(*fit, limit == kGross ? Loss::huber : Loss::squares);
      if (!next) return tl::unexpected(next.error());
      fit = std::move(next);
    }
    return Finished(*fit);
  }

 private:
  void TakeOut(const Adjustment& fit, Eigen::Index worst) {
    SuspectReading suspect;
    suspect.reading = worst;
    suspect.standardized = fit.standardized[worst];
    used_[static_cast<std::size_t>(worst)] = false;
    made_.suspects.push_back(suspect);
  }

  [[nodiscard]] tl::expected<Adjustment, AdjustFailure> Refit(const Adjustment& from,
                                                              Loss loss) const {
    return RefitWithout(used_, from, loss);
  }

  [[nodiscard]] tl::expected<Adjustment, AdjustFailure> RefitWithout(const ReadingMask& used,
                                                                     const Adjustment& from,
                                                                     Loss loss) const {
    AdjustProblem from_there = problem_;
    from_there.start = from.x;
    from_there.jacobian = from.jacobian;
    return Adjust(from_there, used, loss);
  }

  // Who else it may be: what the tests say when the suspect is back among the rest.
  void FindRivals(const Adjustment& fit) {
    for (SuspectReading& s : made_.suspects) {
      ReadingMask used = used_;
      used[static_cast<std::size_t>(s.reading)] = true;
      const auto with = RefitWithout(used, fit, Loss::squares);
      if (!with) continue;
      const double own = std::pow(with->standardized[s.reading], 2);
      for (Eigen::Index j = 0; j < problem_.readings(); ++j) {
        if (j == s.reading || !used[static_cast<std::size_t>(j)]) continue;
        const double other = std::pow(with->standardized[j], 2);
        const bool tied = std::abs(with->Correlation(problem_, s.reading, j)) > kTied;
        if (tied && own - other < kAsLikely) s.rivals.push_back(j);
      }
    }
  }

  // The fits with a rival left out in place of the suspect.
  void Otherwise(const Adjustment& fit) {
    for (const SuspectReading& s : made_.suspects) {
      for (const Eigen::Index rival : s.rivals) {
        ReadingMask used = used_;
        if (!used[static_cast<std::size_t>(rival)]) continue;
        used[static_cast<std::size_t>(s.reading)] = true;
        used[static_cast<std::size_t>(rival)] = false;
        auto other = RefitWithout(used, fit, Loss::squares);
        if (other) made_.otherwise.push_back(std::move(*other));
      }
    }
  }

  // A reading left out early may agree once another one is gone.
  tl::expected<Adjustment, AdjustFailure> Readmit(Adjustment fit) {
    for (std::size_t i = 0; i < made_.suspects.size();) {
      const Eigen::Index reading = made_.suspects[i].reading;
      if (made_.suspects.size() < 2 || std::abs(fit.standardized[reading]) > kStandsOut) {
        ++i;
        continue;
      }
      used_[static_cast<std::size_t>(reading)] = true;
      auto with = Refit(fit, Loss::squares);
      if (with && !MostStanding(*with, kStandsOut)) {
        fit = *with;
        made_.suspects.erase(made_.suspects.begin() + static_cast<std::ptrdiff_t>(i));
        continue;
      }
      used_[static_cast<std::size_t>(reading)] = false;
      ++i;
    }
    return fit;
  }

  tl::expected<Snooping, AdjustFailure> Finished(const Adjustment& settled) {
    const auto fit = Readmit(settled);
    if (!fit) return tl::unexpected(fit.error());
    made_.adjustment = *fit;
    for (SuspectReading& s : made_.suspects) {
      s.probable = fit->fitted[s.reading];
      s.probable_sigma = fit->SigmaAlong(fit->jacobian.row(s.reading).transpose());
    }
    FindRivals(*fit);
    Otherwise(*fit);
    made_.contradicting = MostStanding(*fit, kStandsOut).has_value() ||
                          (fit->freedom > 0 && fit->chi_square > ChiSquareLimit(fit->freedom));
    return made_;
  }

  const AdjustProblem& problem_;
  ReadingMask used_;
  Snooping made_;
};

}  // namespace

Snooping::Interval Snooping::IntervalOf(Eigen::Index k, double deviations) const {
  const double half = deviations * adjustment.SigmaOf(k);
  Interval all{adjustment.x[k] - half, adjustment.x[k] + half};
  for (const Adjustment& other : otherwise) {
    const double own = deviations * other.SigmaOf(k);
    all.low = std::min(all.low, other.x[k] - own);
    all.high = std::max(all.high, other.x[k] + own);
  }
  return all;
}

namespace {

// The fewer readings are called wrong the better; of as few, what leaves the lesser squares.
bool IsBetter(const Snooping& a, const Snooping& b) {
  if (a.contradicting != b.contradicting) return !a.contradicting;
  if (a.suspects.size() != b.suspects.size()) return a.suspects.size() < b.suspects.size();
  return a.adjustment.chi_square < b.adjustment.chi_square;
}

}  // namespace

tl::expected<Snooping, AdjustFailure> Snoop(const AdjustProblem& problem) {
  auto robust = Snooper(problem).Run(Loss::huber);
  if (robust && robust->suspects.size() < 2 && !robust->contradicting) return robust;
  // One wrong reading of a fine instrument may outweigh several right ones of coarser instruments,
  // which the robust fit then calls wrong in its place: least squares from the start tell that.
  auto plain = Snooper(problem).Run(Loss::squares);
  if (!plain) return robust;
  return !robust || IsBetter(*plain, *robust) ? plain : robust;
}

}  // namespace holeward
