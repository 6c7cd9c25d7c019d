// A filled-in measuring form, as a table: its readings put into the bench sheet of a part.
//
//   part,reading,instrument,unit,value
//   "arm","2 width",caliper,mm,62.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "models/bench_rows.h"
#include "models/job_reader.h"

namespace holeward {

/// A record of the table that has a value.
struct BenchTableReading {
  std::string part;
  std::string name;            ///< as on the form and in the results
  std::string instrument;      ///< empty: the usual one
  std::vector<double> values;  ///< mm or kg; one a sample
  bool weight = false;         ///< its unit is that of a weight
  Location at;                 ///< of the first value, in the table
};

/// A table of readings, or what is wrong with it.
struct BenchTable {
  std::vector<BenchTableReading> readings;
  std::vector<JobError> errors;  ///< each with its place in the table
  bool unreadable = false;       ///< the file could not be opened or read
  std::string bytes_hash;        ///< of the file
};

/// Reads a table: a head that names its columns (part, reading and value are needed; instrument,
/// unit and `value 2`, `value 3` ... of further samples are known), then one record a reading.
/// A proof wrap's table has made and gap in place of value: the reading is their sum.
/// `unit` is mm, in or kg, mm if empty. A record without a value was not taken. Fields are parted
/// by commas, or by semicolons; then a value may have a decimal comma.
/// Errors: any other column or value, a reading given twice.
[[nodiscard]] BenchTable ReadBenchTableText(std::string_view text);

/// The same from a file of at most 16 MiB.
[[nodiscard]] BenchTable ReadBenchTableFile(const std::string& path);

/// Whether the table has a reading of this part.
[[nodiscard]] bool HoldsPart(const BenchTable& table, const std::string& part);

/// The highest row that a reading of this part names, at most 40; 0: none.
[[nodiscard]] std::size_t RowsOf(const BenchTable& table, const std::string& part);

/// Puts the readings of a part's table into its sheet. One that the sheet has by the same name
/// takes its place: it was taken again. A sheet without rows must have been given RowsOf the table.
/// @param at where the table is named, for what the fit says of its readings
/// Errors, with their places in the table: a name that is none of this part's, a value that cannot
/// be, an instrument that does not read this, a row that the sheet does not have.
[[nodiscard]] std::vector<JobError> TakeReadings(const BenchTable& table, const PartRow& part,
                                                 Location at, BenchSheet* sheet);

}  // namespace holeward
