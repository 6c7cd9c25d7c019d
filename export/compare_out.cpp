#include "export/compare_out.h"

#include <cmath>

#include <fmt/format.h>

namespace holeward {
namespace {

/// To 1e-6 mm: a difference of two places holds no more.
Json Length(double mm) { return std::round(mm * 1e6) / 1e6 + 0.0; }

Json PointJson(const PointChange& point) {
  Json json = {{"name", point.name}, {"side", Word(point.side)}, {"change", Word(point.kind)}};
  if (point.moved) json["moved_mm"] = Length(*point.moved);
  json["changes"] = point.changes;
  return json;
}

Json HoleJson(const DoneHole& hole) {
  Json json = {{"name", hole.point},
               {"side", Word(hole.side)},
               {"stage", hole.stage},
               {"diameter_mm", Length(hole.diameter)}};
  if (hole.stop) json["stop_mm"] = Length(*hole.stop);
  json["margin_worst_mm"] = hole.margin_worst ? Length(*hole.margin_worst) : Json(nullptr);
  json["verdict"] = Word(hole.verdict);
  json["reasons"] = hole.reasons;
  return json;
}

bool Finite(const CompareOut& compared) {
  for (const PointChange& point : compared.points) {
    if (point.moved && !std::isfinite(*point.moved)) return false;
  }
  for (const DoneHole& hole : compared.done) {
    if (!std::isfinite(hole.diameter) || (hole.stop && !std::isfinite(*hole.stop))) return false;
    if (hole.margin_worst && !std::isfinite(*hole.margin_worst)) return false;
  }
  return true;
}

}  // namespace

const char* Word(PointChange::Kind kind) {
  switch (kind) {
    case PointChange::Kind::same: return "same";
    case PointChange::Kind::changed: return "changed";
    case PointChange::Kind::appeared: return "appeared";
    case PointChange::Kind::vanished: return "vanished";
  }
  return "changed";
}

Result<Json> CompareJson(const CompareOut& compared) {
  if (!Finite(compared)) return Fail(ErrorKind::computed, "a compared length is not a number");
  Json document = HeadJson(compared.new_head, "compare");
  document["old"] = {
      {"job", compared.old_head.job},
      {"set",
       {{"number", compared.old_head.set_number}, {"revision", compared.old_head.set_revision}}},
      {"hash", compared.old_head.hash}};
  document["points"] = Json::array();
  for (const PointChange& point : compared.points) document["points"].push_back(PointJson(point));
  document["holes_done"] = Json::array();
  for (const DoneHole& hole : compared.done) document["holes_done"].push_back(HoleJson(hole));
  document["verdict"] = Word(compared.done_verdict);
  return document;
}

}  // namespace holeward
