#include "export/tables.h"

#include <cmath>
#include <optional>

#include <fmt/format.h>

namespace holeward {
namespace {

/// Collects one table; remembers the first number that is not finite.
class Table {
 public:
  explicit Table(std::vector<std::string> header) : header_(std::move(header)) {
    for (const std::string& name : header_) Add(name);
    EndRow();
  }

  void Add(const std::string& text) {
    if (column_ > 0) out_ += ',';
    out_ += CsvField(text);
    ++column_;
  }
  void Add(double value, int decimals = 3) {
    if (!std::isfinite(value) && bad_.empty()) bad_ = header_[column_];
    std::string text = fmt::format("{:.{}f}", value, decimals);
    // A rounded nothing has no sign.
    if (text.find_first_not_of("-0.") == std::string::npos && text[0] == '-') text.erase(0, 1);
    Add(text);
  }
  void Add(const std::optional<double>& value) {
    if (value) {
      Add(*value);
    } else {
      Add(std::string());
    }
  }
  void EndRow() {
    out_ += "\r\n";
    column_ = 0;
  }
  /// Name of the column of the first number that is not finite, or empty.
  [[nodiscard]] const std::string& Bad() const { return bad_; }
  [[nodiscard]] const std::string& Text() const { return out_; }

 private:
  std::vector<std::string> header_;
  std::string out_;
  std::string bad_;
  std::size_t column_ = 0;
};

tl::unexpected<Error> NotFinite(const char* what, const std::string& name, const Table& table) {
  return Fail(ErrorKind::computed,
              fmt::format("{} \"{}\": {} is not a number", what, name, table.Bad()));
}

}  // namespace

std::string CsvField(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string quoted = "\"";
  for (const char c : text) {
    if (c == '"') quoted += '"';
    quoted += c;
  }
  quoted += '"';
  return quoted;
}

Result<std::string> PointsCsv(const std::vector<PointOut>& points) {
  Table table({"name", "side", "part", "face", "use", "x_mm", "y_mm", "z_mm", "normal_x",
               "normal_y", "normal_z", "station_mm", "girth_mm", "zone_major_mm", "zone_minor_mm",
               "conditioning", "reading_spread_mm"});
  for (const PointOut& row : points) {
    const PlacedPoint& point = row.point;
    table.Add(point.name);
    table.Add(std::string(Word(row.side)));
    table.Add(point.part);
    table.Add(point.face);
    table.Add(std::string(Word(row.use)));
    for (int i = 0; i < 3; ++i) table.Add(point.position[i]);
    for (int i = 0; i < 3; ++i) table.Add(point.normal[i], 6);
    table.Add(point.station);
    table.Add(point.girth);
    table.Add(point.zone.major);
    table.Add(point.zone.minor);
    table.Add(point.conditioning);
    table.Add(point.reading_spread);
    table.EndRow();
    if (!table.Bad().empty()) return NotFinite("point", point.name, table);
  }
  return table.Text();
}

Result<std::string> HolesCsv(const std::vector<HoleOut>& holes) {
  Table table({"name", "side", "part", "stage", "diameter_mm", "near_wall_mm", "breakthrough_mm",
               "breakthrough_worst_mm", "outcome", "free_depth_mm", "first_contact", "stop_mm",
               "stop_from", "through", "margin_mm", "margin_worst_mm", "access_mm", "verdict"});
  for (const HoleOut& row : holes) {
    const HoleCheck& hole = row.check;
    table.Add(hole.point);
    table.Add(std::string(Word(row.side)));
    table.Add(hole.part);
    table.Add(std::to_string(hole.stage));
    table.Add(hole.diameter);
    table.Add(hole.near_wall);
    table.Add(hole.breakthrough);
    table.Add(hole.breakthrough_worst);
    table.Add(std::string(Word(hole.outcome)));
    table.Add(hole.free_depth);
    table.Add(hole.first_contact ? hole.first_contact->body : std::string());
    table.Add(hole.stop);
    table.Add(std::string(Word(hole.stop_from)));
    table.Add(std::string(hole.through ? "yes" : "no"));
    table.Add(hole.margin);
    table.Add(hole.margin_worst);
    table.Add(hole.access);
    table.Add(std::string(Word(hole.verdict)));
    table.EndRow();
    if (!table.Bad().empty()) return NotFinite("hole", hole.point, table);
  }
  return table.Text();
}

}  // namespace holeward
