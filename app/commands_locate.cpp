#include <cmath>

#include <fmt/format.h>

#include "app/commands.h"
#include "app/output.h"
#include "app/work.h"
#include "export/tables.h"

namespace holeward {
namespace {

constexpr double kIllConditioned = 0.3;  // design rule: below it two readings say nearly the same

Table PositionTable(const std::vector<PointOut>& rows) {
  Table table({{"point", "", Align::left},
               {"side", "", Align::left},
               {"part", "", Align::left},
               {"face", "", Align::left},
               {"use", "", Align::left},
               {"x", "mm", Align::right},
               {"y", "mm", Align::right},
               {"z", "mm", Align::right},
               {"station", "mm", Align::right},
               {"girth", "mm", Align::right},
               {"zone", "mm", Align::right},
               {"spread", "mm", Align::right},
               {"conditioning", "", Align::right}});
  for (const PointOut& row : rows) {
    const PlacedPoint& p = row.point;
    table.Row({Printable(p.name), Word(row.side), Printable(p.part), p.face, Word(row.use),
               Decimal(p.position.x(), 2), Decimal(p.position.y(), 2), Decimal(p.position.z(), 2),
               Decimal(p.station, 2), Decimal(p.girth, 2),
               fmt::format("{} x {}", Decimal(p.zone.major, 1), Decimal(p.zone.minor, 1)),
               Decimal(p.reading_spread, 1),
               fmt::format("{}{}", Decimal(p.conditioning, 2),
                           p.conditioning < kIllConditioned ? " weak" : "")});
  }
  return table;
}

std::string ReadingWords(const Reading& reading) {
  std::string value = reading.is_angle ? fmt::format("{} deg", Decimal(reading.value / kDegree, 2))
                                       : fmt::format("{} mm", Decimal(reading.value, 2));
  // A hollow too shallow to read is not worth a word.
  if (reading.bridged && std::abs(*reading.bridged - reading.value) >= 0.005) {
    value += fmt::format(" (bridged {} mm)", Decimal(*reading.bridged, 2));
  }
  return fmt::format("{} {} from {}", reading.method, value, Printable(reading.from));
}

Table ReadingTable(const std::vector<PointOut>& rows) {
  Table table({{"point", "", Align::left},
               {"side", "", Align::left},
               {"readings", "", Align::left},
               {"ties, straight", "", Align::left}});
  for (const PointOut& row : rows) {
    std::string readings;
    for (const Reading& reading : row.point.readings) {
      readings += (readings.empty() ? "" : "; ") + ReadingWords(reading);
    }
    std::string ties;
    for (const Tie& tie : row.point.ties) {
      ties += fmt::format("{}{} {} mm", ties.empty() ? "" : ", ", Printable(tie.to),
                          Decimal(tie.straight, 1));
    }
    table.Row({Printable(row.point.name), Word(row.side), readings, ties.empty() ? "-" : ties});
  }
  return table;
}

void PrintPoints(const Work& work, const std::vector<PointOut>& rows, Console& console) {
  console.Print(fmt::format("{}\n", Printable(work.job.title)));
  if (rows.empty()) {
    console.Print("No point to place.");
    return;
  }
  console.Print(PositionTable(rows));
  console.Print("");
  console.Print(ReadingTable(rows));
  console.Print(
      "\nx forward, y left, z up. Zone: semi-axes of the ellipse a mark may lie in. Spread: how "
      "far "
      "apart\ntwo honest readings of the rule could mark. Conditioning: sine of the angle between "
      "the two readings.");
  if (const std::string mended = MendedBodies(work.job); !mended.empty()) {
    console.Print("\n" + mended);
  }
}

}  // namespace

ExitStatus RunLocate(const Options& options, Console& console) {
  const auto work = PlaceWork(options, console);
  if (!work) {
    return work.error();
  }
  const std::vector<PointOut> rows = PointsOut(*work);
  const auto said = options.json
                        ? TextOf(LocateJson(HeadOf(*work), rows))
                        : Spoken(console, [&](Console& to) { PrintPoints(*work, rows, to); });
  if (!said) {
    return Failed(said.error(), console);
  }
  if (!options.to) {
    console.PrintRaw(*said);
    return ExitStatus::done;
  }
  const auto table = PointsCsv(rows);
  return table ? WriteSet(*options.to, {{"points.csv", *table}}, *said, ExitStatus::done, console)
               : Failed(table.error(), console);
}

}  // namespace holeward
