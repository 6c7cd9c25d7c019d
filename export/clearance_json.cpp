#include "export/clearance_json.h"

#include <cmath>

#include <fmt/format.h>

#include "export/clearance_report.h"
#include "export/limit_words.h"

namespace holeward {
namespace {

/// To 1e-9 mm; a rounded nothing has no sign.
double Rounded(double value) { return std::round(value * 1e9) / 1e9 + 0.0; }

Json Maybe(const std::optional<double>& value) {
  return value ? Json(Rounded(*value)) : Json(nullptr);
}

Json ValuesJson(const std::vector<ValueWords>& values) {
  Json json = Json::object();
  for (const ValueWords& value : values) json[value.name] = value.value;
  return json;
}

Json ChanceJson(const ChanceChart& chance) {
  Json json = {{"about", chance.about},
               {"value", chance.probability},
               {"upper_95", chance.upper_95},
               {"quantiles", Json::array()},
               {"histogram", Json::array()}};
  for (const ChanceChart::Quantile& q : chance.quantiles) {
    json["quantiles"].push_back({{"at", q.at}, {"margin_mm", Rounded(q.margin)}});
  }
  for (const ChartBin& bin : chance.bins) {
    json["histogram"].push_back(
        {{"from_mm", Rounded(bin.from)}, {"to_mm", Rounded(bin.to)}, {"share", bin.share}});
  }
  return json;
}

Json TableJson(const FigureTable& table) {
  Json json = {{"heading", table.heading}, {"rows", Json::array()}, {"notes", table.notes}};
  if (table.before_after) json["columns"] = {table.columns[0], table.columns[1]};
  for (const FigureRow& row : table.rows) {
    Json line = {{"name", row.name}, {"value", row.value}};
    if (table.before_after) line["second"] = row.after;
    json["rows"].push_back(std::move(line));
  }
  return json;
}

void AddMargins(const ClearanceHole& hole, Json* json) {
  const HoleCheck& c = hole.check;
  const bool met = c.outcome == Outcome::met;
  (*json)["free_depth_mm"] = Maybe(met ? c.free_depth : std::nullopt);
  (*json)["governing_body"] = met && c.first_contact ? Json(c.first_contact->body) : Json(nullptr);
  if (c.stop) (*json)["stop_mm"] = Rounded(*c.stop);
  (*json)["stop_from"] = Word(c.stop_from);
  (*json)["through"] = c.through;
  (*json)["margin_mm"] = Maybe(met ? c.margin : std::nullopt);
  (*json)["margin_worst_mm"] = Maybe(met ? c.margin_worst : std::nullopt);
  if (hole.margin_worst_upper) {
    (*json)["margin_worst_pose_mm"] = Rounded(*hole.margin_worst_upper);
  }
  if (hole.probe_depth) (*json)["probe_depth_mm"] = Rounded(*hole.probe_depth);
}

Json HoleJson(const ClearanceHole& hole, Side side) {
  const HoleCheck& c = hole.check;
  Json json = {{"name", c.point},
               {"side", Word(side)},
               {"part", c.part},
               {"stage", c.stage},
               {"diameter_mm", Rounded(c.diameter)},
               {"verdict", Word(c.verdict)},
               {"reasons", c.reasons},
               {"near_wall_mm", Rounded(c.near_wall)},
               {"breakthrough_mm", Rounded(c.breakthrough)},
               {"breakthrough_worst_mm", Rounded(c.breakthrough_worst)},
               {"outcome", Word(c.outcome)}};
  AddMargins(hole, &json);
  Json missing = Json::object();
  if (!hole.section) missing["section"] = hole.no_section;
  if (hole.chance) {
    json["probability_contact"] = ChanceJson(*hole.chance);
  } else {
    missing["probability_contact"] = hole.no_chance;
  }
  if (hole.shares.empty()) missing["shares"] = hole.no_shares;
  json["shares"] = Json::array();
  for (const ShareBar& share : hole.shares) {
    Json bar = {{"error", share.error}, {"gain_mm", Rounded(share.gain)}};
    if (share.variance_share) bar["variance_share"] = Rounded(*share.variance_share);
    json["shares"].push_back(std::move(bar));
  }
  json["tables"] = Json::array();
  for (const FigureTable& table : hole.tables) {
    if (table.rows.empty()) missing[table.heading] = table.missing;
    json["tables"].push_back(TableJson(table));
  }
  json["advice"] = hole.advice;
  json["not_computed"] = std::move(missing);
  return json;
}

}  // namespace

Result<Json> ClearanceJson(const ClearanceReportInput& input) {
  const std::string bad = FirstNotFinite(input);
  if (!bad.empty()) {
    return Fail(ErrorKind::computed, fmt::format("{} holds a value that is not a number", bad));
  }
  const ResultHead& head = input.head;
  Json json = {{"holeward_result", 1},
               {"command", "issue"},
               {"document", "clearance"},
               {"job", head.job},
               {"title", head.title},
               {"set", {{"number", head.set_number}, {"revision", head.set_revision}}},
               {"date", input.date},
               {"hash", head.hash},
               {"program", head.program},
               {"complete", head.complete},
               {"verdict", Word(input.overall)},
               {"released", input.released}};
  if (!input.released) json["reason"] = input.reason;
  json["holes"] = Json::array();
  for (const ClearanceHole& hole : input.holes) {
    for (const Side side : hole.sides) json["holes"].push_back(HoleJson(hole, side));
  }
  json["limits"] = ValuesJson(WordsOf(input.basics.limits));
  json["marking"] = ValuesJson(WordsOf(input.basics.marking));
  for (const DistributionKey& key : kDistributionKeys) {
    json["marking"]["distribution"][key.key] = Word(input.basics.marking.distribution.*key.of);
  }
  json["zeroed_errors"] = input.basics.zeroed;
  json["bases"] = Json::array();
  for (const BasisRow& row : input.bases) {
    json["bases"].push_back({{"what", row.what}, {"basis", row.basis}});
  }
  json["who_decides"] = WhoDecides();
  json["not_checked"] = input.not_checked;
  return json;
}

}  // namespace holeward
