// Cuts a table of comma-separated values into records, each field with its place.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "models/job_reader.h"

namespace holeward {

/// A field of a table, without the blanks around it.
struct CsvCell {
  std::string text;
  Location at;
};
using CsvRecord = std::vector<CsvCell>;

/// The records of a table (RFC 4180): a field in quotes may hold anything, a quote in it is
/// doubled; a byte order mark in front is passed over, as are lines without anything.
/// @param comma what stands between two fields
/// @param errors takes a field whose quotes do not end
[[nodiscard]] std::vector<CsvRecord> CsvRecords(std::string_view text, char comma,
                                                std::vector<JobError>* errors);

/// The records of a whole table, its head first; none if it is not UTF-8 or empty, which is told.
/// @param begins the head it should have, for that message
[[nodiscard]] std::vector<CsvRecord> RecordsOfTable(std::string_view text, char comma,
                                                    std::string_view begins,
                                                    std::vector<JobError>* errors);

/// What stands between the fields of a table: the semicolon if the first line has one outside
/// quotes before any comma, as offices write it where the comma is the decimal sign.
[[nodiscard]] char CsvComma(std::string_view text);

/// A table's file as it was read.
struct TableBytes {
  enum class State { read, unreadable, too_large } state = State::unreadable;
  std::string bytes;  ///< state read
};

/// Reads a table's file of at most 16 MiB.
[[nodiscard]] TableBytes ReadTable(const std::string& path);

/// The field as a table has it: in quotes where it needs them.
[[nodiscard]] std::string CsvQuoted(const std::string& field, char comma);

}  // namespace holeward
