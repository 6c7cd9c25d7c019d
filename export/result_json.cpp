#include "export/result_json.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace holeward {
namespace {

/// To 1e-9 mm, a thousandth of the tightest tolerance of a result; a rounded nothing has no sign.
double Rounded(double value) { return std::round(value * 1e9) / 1e9 + 0.0; }

Json Number(double value) { return std::isfinite(value) ? Json(Rounded(value)) : Json(value); }

/// Probabilities keep six digits however small; upwards, for an upper bound stays one.
Json Probability(double value) {
  if (!(value > 0.0) || !std::isfinite(value)) return Json(value);
  const double scale = std::pow(10.0, 5.0 - std::floor(std::log10(value)));
  return Json(std::min(1.0, std::ceil(value * scale - 1e-6) / scale));
}

Json Maybe(const std::optional<double>& value, bool allowed) {
  return value && allowed ? Number(*value) : Json(nullptr);
}

Json Point(const Vec3& p) { return Json::array({Number(p.x()), Number(p.y()), Number(p.z())}); }

/// The path of the first number that is not finite, or empty.
std::string FirstBad(const Json& json, const std::string& path) {
  if (json.is_number_float() && !std::isfinite(json.get<double>())) return path;
  if (!json.is_structured()) return {};
  for (const auto& [key, value] : json.items()) {
    const std::string step = json.is_array()
                                 ? fmt::format("{}[{}]", path, key)
                                 : (path.empty() ? key : fmt::format("{}.{}", path, key));
    std::string bad = FirstBad(value, step);
    if (!bad.empty()) return bad;
  }
  return {};
}

Result<Json> Checked(Json document, const std::string& what) {
  const std::string bad = FirstBad(document, "");
  if (bad.empty()) return document;
  return Fail(ErrorKind::computed, fmt::format("{}: {} is not a number", what, bad));
}

Json Head(const ResultHead& head, const char* command) {
  return {{"holeward_result", 1},
          {"command", command},
          {"job", head.job},
          {"title", head.title},
          {"set", {{"number", head.set_number}, {"revision", head.set_revision}}},
          {"hash", head.hash},
          {"program", head.program},
          {"complete", head.complete}};
}

Json Half(const HalfWidth& half, double unit = 1.0) {
  if (half.minus == half.plus) return Number(half.plus / unit);
  return {{"minus", Number(half.minus / unit)}, {"plus", Number(half.plus / unit)}};
}

void AddBasics(const Basics& basics, Json* document) {
  const Limits& l = basics.limits;
  (*document)["limits"] = {
      {"clearance", Number(l.clearance)},         {"side", Number(l.side)},
      {"edge_distance", Number(l.edge_distance)}, {"spacing", Number(l.spacing)},
      {"seat_gap", Number(l.seat_gap)},           {"through", Number(l.through)},
      {"wrap_error", Number(l.wrap_error)}};
  const Marking& m = basics.marking;
  (*document)["marking"] = {{"tape", Half(m.tape)},
                            {"rule", Half(m.rule)},
                            {"square", Half(m.square)},
                            {"protractor", Half(m.protractor_rad, kDegree)},
                            {"line", Half(m.line)},
                            {"middle", Half(m.middle)},
                            {"in_line", Half(m.in_line)},
                            {"punch", Half(m.punch)},
                            {"template", Half(m.sheet)},
                            {"tilt", Half(m.tilt_rad, kDegree)},
                            {"depth", Half(m.depth)},
                            {"run_on", Number(m.run_on)},
                            {"wall", Half(m.wall)},
                            {"outline", Half(m.outline)},
                            {"inner_body", Half(m.inner_body)}};
  for (const DistributionKey& key : kDistributionKeys) {
    (*document)["marking"]["distribution"][key.key] = Word(m.distribution.*key.of);
  }
  (*document)["zeroed_errors"] = basics.zeroed;
}

Json ReadingJson(const Reading& reading) {
  Json json = {{"method", reading.method}, {"from", reading.from}};
  if (reading.is_angle) {
    json["value_deg"] = Number(reading.value / kDegree);
  } else {
    json["value_mm"] = Number(reading.value);
    if (reading.bridged) json["bridged_mm"] = Number(*reading.bridged);
  }
  return json;
}

Json PointJson(const PointOut& row) {
  const PlacedPoint& p = row.point;
  Json json = {{"name", p.name},
               {"side", Word(row.side)},
               {"part", p.part},
               {"face", p.face},
               {"use", Word(row.use)},
               {"position_mm", Point(p.position)},
               {"normal", Point(p.normal)},
               {"station_mm", Number(p.station)},
               {"girth_mm", Number(p.girth)}};
  json["readings"] = Json::array();
  for (const Reading& reading : p.readings) json["readings"].push_back(ReadingJson(reading));
  json["zone"] = {{"major_mm", Number(p.zone.major)},
                  {"minor_mm", Number(p.zone.minor)},
                  {"direction", Point(p.zone.direction)}};
  json["conditioning"] = Number(p.conditioning);
  json["reading_spread_mm"] = Number(p.reading_spread);
  json["ties"] = Json::array();
  for (const Tie& tie : p.ties) {
    json["ties"].push_back({{"to", tie.to}, {"straight_mm", Number(tie.straight)}});
  }
  return json;
}

Json HoleJson(const HoleOut& row) {
  const HoleCheck& h = row.check;
  const bool met = h.outcome == Outcome::met;
  Json json = {{"name", h.point},
               {"side", Word(row.side)},
               {"stage", h.stage},
               {"diameter_mm", Number(h.diameter)},
               {"near_wall_mm", Number(h.near_wall)},
               {"breakthrough_mm", Number(h.breakthrough)},
               {"outcome", Word(h.outcome)},
               {"free_depth_mm", Maybe(h.free_depth, met)}};
  if (met && h.first_contact) {
    json["first_contact"] = {{"body", h.first_contact->body},
                             {"position_mm", Point(h.first_contact->position)}};
  } else {
    json["first_contact"] = nullptr;
  }
  if (h.stop) json["stop_mm"] = Number(*h.stop);
  json["stop_from"] = Word(h.stop_from);
  json["through"] = h.through;
  json["margin_mm"] = Maybe(h.margin, met);
  json["margin_worst_mm"] = Maybe(h.margin_worst, met);
  if (h.worst_pose) {
    json["worst_pose"] = {{"entry_mm", Point(h.worst_pose->entry)},
                          {"direction", Point(h.worst_pose->direction)},
                          {"depth_mm", Number(h.worst_pose->depth)},
                          {"lower_mm", Number(h.worst_pose->lower)},
                          {"upper_mm", Number(h.worst_pose->upper)}};
  }
  if (h.probability_contact) {
    json["probability_contact"] = {{"value", Probability(h.probability_contact->value)},
                                   {"upper_95", Probability(h.probability_contact->upper_95)}};
  }
  json["access_mm"] = Number(h.access);
  json["verdict"] = Word(h.verdict);
  json["reasons"] = h.reasons;
  return json;
}

Json PointCheckJson(const PointCheckOut& row) {
  const PointCheck& p = row.check;
  Json json = {
      {"name", p.point}, {"side", Word(row.side)}, {"edge_distance_mm", Number(p.edge_distance)}};
  if (p.nearest_hole) json["nearest_hole_mm"] = Number(*p.nearest_hole);
  json["seat_gap_mm"] = Number(p.seat_gap);
  json["access_mm"] = Number(p.access);
  json["verdict"] = Word(p.verdict);
  json["reasons"] = p.reasons;
  return json;
}

Json SheetJson(const SheetOut& row) {
  Json json = {{"name", row.name}, {"side", Word(row.side)}, {"file", row.file}};
  if (row.sheet.bars) {
    json["bars_mm"] = {Number(row.sheet.bars->x), Number(row.sheet.bars->y)};
  }
  json["pages"] = Json::array();
  for (const SheetPage& page : row.sheet.pages) {
    json["pages"].push_back({{"number", page.number},
                             {"width_mm", Number(page.drawing.width)},
                             {"height_mm", Number(page.drawing.height)}});
  }
  json["marks"] = Json::array();
  double wrap_error = 0.0;
  for (const SheetMark& mark : row.sheet.marks) {
    wrap_error = std::max(wrap_error, mark.wrap_error);
    json["marks"].push_back({{"name", mark.name},
                             {"page", mark.page},
                             {"x_mm", Number(mark.x)},
                             {"y_mm", Number(mark.y)},
                             {"wrap_error_mm", Number(mark.wrap_error)}});
  }
  json["misfits"] = Json::array();
  for (const SheetMisfit& m : row.sheet.misfits) {
    json["misfits"].push_back({{"piece", m.piece},
                               {"other_side", m.misfit.other_side},
                               {"turned", m.misfit.turned},
                               {"face", m.misfit.face},
                               {"deviation_mm", Number(m.misfit.deviation)}});
  }
  json["stretch_max"] = Number(row.sheet.stretch_max);
  json["stretch_rms"] = Number(row.sheet.stretch_rms);
  json["wrap_error_mm"] = Number(wrap_error);
  return json;
}

}  // namespace

Result<Json> LocateJson(const ResultHead& head, const std::vector<PointOut>& points) {
  Json document = Head(head, "locate");
  document["points"] = Json::array();
  for (const PointOut& row : points) {
    Result<Json> json = Checked(PointJson(row), fmt::format("point \"{}\"", row.point.name));
    if (!json) return json;
    document["points"].push_back(*json);
  }
  return document;
}

Result<Json> CheckJson(const ResultHead& head, const Basics& basics,
                       const std::vector<HoleOut>& holes, const std::vector<PointCheckOut>& points,
                       Verdict overall) {
  Json document = Head(head, "check");
  AddBasics(basics, &document);
  document["holes"] = Json::array();
  for (const HoleOut& row : holes) {
    Result<Json> json = Checked(HoleJson(row), fmt::format("hole \"{}\"", row.check.point));
    if (!json) return json;
    document["holes"].push_back(*json);
  }
  document["points"] = Json::array();
  for (const PointCheckOut& row : points) {
    Result<Json> json = Checked(PointCheckJson(row), fmt::format("point \"{}\"", row.check.point));
    if (!json) return json;
    document["points"].push_back(*json);
  }
  document["verdict"] = Word(overall);
  return Checked(std::move(document), "the limits");
}

Result<Json> TemplateJson(const ResultHead& head, const Basics& basics,
                          const std::vector<SheetOut>& sheets, Verdict overall) {
  Json document = Head(head, "template");
  AddBasics(basics, &document);
  document["sheets"] = Json::array();
  document["packed"] = Json::array();
  for (const SheetOut& row : sheets) {
    Result<Json> json = Checked(SheetJson(row), fmt::format("template \"{}\"", row.name));
    if (!json) return json;
    document[row.packed ? "packed" : "sheets"].push_back(*json);
  }
  document["verdict"] = Word(overall);
  return Checked(std::move(document), "the limits");
}

Result<Json> IssueJson(const Json& locate, const Json& check, const Json& sheets,
                       const std::vector<std::string>& files) {
  Json document = check;
  document["command"] = "issue";
  document["placed"] = locate.at("points");
  document["sheets"] = sheets.at("sheets");
  document["packed"] = sheets.at("packed");
  document["files"] = files;
  return Checked(std::move(document), "the set");
}

Result<std::string> JsonText(const Json& document) {
  const std::string bad = FirstBad(document, "");
  if (!bad.empty()) {
    return Fail(ErrorKind::computed, fmt::format("{} is not a number: no result was written", bad));
  }
  // Bytes that are not UTF-8 (a file's name may hold them) become the replacement character.
  return document.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace holeward
