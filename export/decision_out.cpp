#include "export/decision_out.h"

#include <fmt/format.h>

#include "export/tables.h"

namespace holeward {

Json DecideJson(const ResultHead& head, const std::vector<VehicleOut>& vehicles) {
  Json document = HeadJson(head, "decide");
  Json list = Json::array();
  for (const VehicleOut& vehicle : vehicles) {
    Json json = {{"vehicle", vehicle.vehicle}, {"decided", vehicle.decision.has_value()}};
    if (vehicle.decision) {
      json["decision"] = *vehicle.decision;
      json["when"] = vehicle.when;
      json["then"] = vehicle.then;
    }
    json["missing"] = vehicle.missing;
    list.push_back(std::move(json));
  }
  document["vehicles"] = std::move(list);
  return document;
}

std::string BlankResultsCsv(const std::vector<BlankResult>& rows) {
  std::string text = "vehicle,point,side,part,result,remaining_mm\r\n";
  for (const BlankResult& row : rows) {
    text += fmt::format(",{},{},{},,\r\n", CsvField(row.place.point), Word(row.place.side),
                        CsvField(row.part));
  }
  return text;
}

}  // namespace holeward
