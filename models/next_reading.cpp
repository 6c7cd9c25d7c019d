#include "models/next_reading.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "models/bench.h"
#include "models/bench_choice.h"
#include "models/checking.h"
#include "models/placing.h"
#include "models/scene.h"

namespace holeward {
namespace {

constexpr double kLeastGain = 0.01;

HalfWidth Widest(const HalfWidth& a, const HalfWidth& b) {
  return {std::max(a.minus, b.minus), std::max(a.plus, b.plus)};
}

double Sum(const HalfWidth& half) { return half.minus + half.plus; }

/// The marking errors with one reading more.
struct Offered {
  std::string part;
  std::string what;
  HalfWidth outline;
  HalfWidth wall;
};

class Adviser {
 public:
  explicit Adviser(const JobWithBenches& read) : read_(read), job_(read.reading.job) {}

  std::optional<MarginAdvice> Run() {
    if (read_.benches.empty()) return std::nullopt;
    auto build = BuildScene(job_, job_.described_side);
    if (!build.ok()) return std::nullopt;
    scene_ = std::move(build.scene);
    Placing placing = PlacePoints(job_, scene_, job_.described_side);
    if (!placing.errors.empty()) return std::nullopt;
    placed_ = std::move(placing.points);
    if (!FindWorst()) return std::nullopt;
    Choose();
    return advice_;
  }

 private:
  bool FindWorst() {
    const Checking now = CheckPoints(job_, scene_, placed_, job_.described_side);
    bool found = false;
    for (const HoleCheck& hole : now.holes) {
      if (!hole.margin_worst || (found && *hole.margin_worst >= advice_.margin)) continue;
      found = true;
      advice_.point = hole.point;
      advice_.stage = hole.stage;
      advice_.margin = *hole.margin_worst;
    }
    std::erase_if(placed_, [&](const PlacedPoint& p) { return p.name != advice_.point; });
    return found;
  }

  // What the job's marking comes to when one part's fit leaves these widths.
  [[nodiscard]] Offered With(const PartBench& bench, const BenchOffer& offer) const {
    Offered made{bench.part,
                 fmt::format("{} with the {}", offer.reading.name, offer.reading.instrument),
                 read_.outline_floor, read_.wall_floor};
    for (const PartBench& other : read_.benches) {
      const bool own = other.part == bench.part;
      made.outline =
          Widest(made.outline, own ? OutlineOf(*bench.fit, offer.then) : other.fit->outline);
      made.wall =
          Widest(made.wall, own ? WallErrorOf(*bench.fit, offer.then) : other.fit->wall_error);
    }
    return made;
  }

  [[nodiscard]] std::optional<double> MarginWith(const HalfWidth& outline,
                                                 const HalfWidth& wall) const {
    Job job = job_;
    job.marking.outline = outline;
    job.marking.wall = wall;
    const Checking then = CheckPoints(job, scene_, placed_, job.described_side);
    for (const HoleCheck& hole : then.holes) {
      if (hole.stage == advice_.stage) return hole.margin_worst;
    }
    return std::nullopt;
  }

  [[nodiscard]] std::vector<Offered> AllOffers() const {
    std::vector<Offered> all;
    for (const PartBench& bench : read_.benches) {
      const auto row = std::find_if(job_.parts.begin(), job_.parts.end(),
                                    [&](const PartRow& p) { return p.name == bench.part; });
      for (const BenchOffer& offer :
           OffersOf(*row, bench.fit->sheet, job_.described_side, bench.fit->found.adjustment)) {
        all.push_back(With(bench, offer));
      }
    }
    return all;
  }

  // The best for the outside and the best for the wall; the margin at the hole says which counts.
  void Choose() {
    const auto all = AllOffers();
    const auto least = [&](HalfWidth Offered::*which) {
      return std::min_element(all.begin(), all.end(), [&](const Offered& a, const Offered& b) {
        return Sum(a.*which) < Sum(b.*which);
      });
    };
    const Marking& m = job_.marking;
    for (const auto best : {least(&Offered::outline), least(&Offered::wall)}) {
      if (best == all.end()) return;
      const double narrower =
          std::max(Sum(m.outline) - Sum(best->outline), Sum(m.wall) - Sum(best->wall));
      if (!(narrower > 0.0)) continue;
      const auto margin = MarginWith(best->outline, best->wall);
      if (!margin || *margin - advice_.margin < std::max(kLeastGain, advice_.gain)) continue;
      advice_.part = best->part;
      advice_.what = best->what;
      advice_.gain = *margin - advice_.margin;
    }
  }

  const JobWithBenches& read_;
  const Job& job_;
  Scene scene_;
  std::vector<PlacedPoint> placed_;
  MarginAdvice advice_;
};

}  // namespace

std::optional<MarginAdvice> NextReadingAtWorst(const JobWithBenches& read) {
  return Adviser(read).Run();
}

}  // namespace holeward
