#include "geometry/misfit_guard.h"

#include <algorithm>

#include "geometry/misfit_search.h"

namespace holeward {
namespace {

// Scissors need so much room between two flaps, mm.
constexpr double kBetweenFlaps = 6.0;

std::ptrdiff_t StoppedBy(const PieceRequest& r, const Flap& flap,
                         const std::vector<WrongPlace>& places) {
  return std::count_if(places.begin(), places.end(),
                       [&](const WrongPlace& place) { return IsStopped(r, flap, place); });
}

void Drop(const PieceRequest& r, const Flap& flap, std::vector<WrongPlace>& places) {
  std::erase_if(places, [&](const WrongPlace& place) { return IsStopped(r, flap, place); });
}

}  // namespace

void GuardAgainstMisfits(const PieceRequest& r, PieceResult& made) {
  std::vector<WrongPlace> places = PlacesWhereItFits(r, made);
  for (const Flap& flap : made.flaps) Drop(r, flap, places);
  std::vector<Flap> possible;
  if (!places.empty()) possible = PossibleFlaps(r, made.layout, made.patch);
  while (!places.empty()) {
    std::erase_if(possible, [&](const Flap& flap) {
      return std::any_of(made.flaps.begin(), made.flaps.end(),
                         [&](const Flap& f) { return !AreApart(f, flap, kBetweenFlaps); });
    });
    if (possible.empty()) break;
    const auto best =
        std::max_element(possible.begin(), possible.end(), [&](const Flap& a, const Flap& b) {
          return StoppedBy(r, a, places) < StoppedBy(r, b, places);
        });
    const Flap flap = *best;
    possible.erase(best);
    if (StoppedBy(r, flap, places) == 0) break;
    if (!AddFlaps({flap}, made.piece)) continue;
    made.flaps.push_back(flap);
    Drop(r, flap, places);
  }
  made.piece.misfits = MisfitsAt(places);
}

}  // namespace holeward
