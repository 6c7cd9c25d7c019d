#include "models/done_holes.h"

#include <algorithm>

#include <fmt/format.h>

namespace holeward {
namespace {

/// Puts a place of the old skin on the new one. False: it is not on it.
template <class Place>
bool PutOn(const Skin& skin, Place* place) {
  auto hit = skin.Project(place->position, place->place);
  if (!hit || hit->distance > kDoneOffSkin) hit = skin.Project(place->position);
  if (!hit || hit->distance > kDoneOffSkin) return false;
  place->place = hit->place;
  place->position = hit->position;
  place->normal = skin.At(hit->place).normal;
  return true;
}

/// The old row with the stops that were set.
PointRow RowOf(const PointRow& row, const DoneSide& done) {
  PointRow made = row;
  made.stop = {StopRow::Kind::given, {}};
  for (const HoleCheck& hole : done.holes) {
    if (hole.point != row.name) continue;
    if (hole.stop) made.stop.depth.push_back(*hole.stop);
  }
  if (made.stop.depth.size() != row.drill.size()) made.stop = {StopRow::Kind::none, {}};
  return made;
}

std::vector<HoleCheck> NotJudged(const PointRow& row, const DoneSide& done,
                                 const std::string& why) {
  std::vector<HoleCheck> checks;
  for (std::size_t i = 0; i < row.drill.size(); ++i) {
    HoleCheck check;
    check.point = row.name;
    check.part = row.part;
    check.stage = static_cast<int>(i) + 1;
    check.diameter = row.drill[i];
    for (const HoleCheck& hole : done.holes) {
      if (hole.point == row.name && hole.stage == check.stage) check.stop = hole.stop;
    }
    check.outcome = Outcome::not_computed;
    check.verdict = Verdict::unproven;
    check.reasons = {why};
    checks.push_back(std::move(check));
  }
  return checks;
}

/// A placed point on the new skin; empty, or why it cannot be.
std::string PutOnNew(const Scene& scene, PlacedPoint* point) {
  const Part* part = scene.FindPart(point->part);
  if (part == nullptr) {
    return fmt::format("The new job has no part \"{}\": the hole cannot be judged.", point->part);
  }
  bool on = PutOn(*part->skin, point);
  for (NominalPlace& nominal : point->nominals) on = on && PutOn(*part->skin, &nominal);
  if (on) return "";
  return fmt::format(
      "The skin of \"{}\" in the new job does not pass within {} mm of where the hole was drilled: "
      "it cannot be judged.",
      point->part, kDoneOffSkin);
}

}  // namespace

std::vector<HoleCheck> CheckDoneHoles(const Job& now, const Scene& scene, const DoneSide& done,
                                      Side side) {
  Job judged = now;
  judged.points.clear();
  std::vector<PlacedPoint> placed;
  std::vector<HoleCheck> checks;
  for (const PlacedPoint& old : done.points) {
    const PointRow* row = done.job.FindPoint(old.name);
    if (row == nullptr || row->use != PointUse::drill) continue;
    PlacedPoint point = old;
    if (const std::string why = PutOnNew(scene, &point); !why.empty()) {
      for (HoleCheck& check : NotJudged(*row, done, why)) checks.push_back(std::move(check));
      continue;
    }
    judged.points.push_back(RowOf(*row, done));
    placed.push_back(std::move(point));
  }
  const Checking checking = CheckPoints(judged, scene, placed, side);
  checks.insert(checks.end(), checking.holes.begin(), checking.holes.end());
  return checks;
}

}  // namespace holeward
