// The words of a bench's readings, and how one is read from the job. Internal to the reader.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "models/bench_rows.h"
#include "models/job_reading.h"

namespace holeward {

struct KindWord {
  const char* word;
  BenchKind kind;
};

/// The words of one bench, by how the part lies.
struct BenchWords {
  std::array<std::string, 2> lateral;  ///< toward front (outboard), toward rear (inboard)

  /// The side a face's word names; nothing if it names none.
  [[nodiscard]] std::optional<BenchSide> Side(const std::string& word) const;
  [[nodiscard]] std::string Face(BenchSide side) const;
  [[nodiscard]] std::vector<std::string> Faces() const;
};

/// The words of a bench whose distances grow this way.
[[nodiscard]] BenchWords WordsOfBench(const BenchSheet& sheet);

/// The sizes that a section of this kind has.
[[nodiscard]] std::vector<KindWord> BenchSizeWords(SectionKind section);

/// A reading under a key: a number, or one a sample; nothing if it is not there or wrong.
[[nodiscard]] std::optional<BenchReading> ReadBenchReading(TableWalk& walk, const std::string& key,
                                                           BenchKind kind);

/// Adds a reading, or the error that there are too many.
void AddBenchReading(const BenchReading& reading, BenchSheet& sheet, TableWalk& walk);

/// `spare` of a bench whose rows are read.
void ReadSpareReadings(TableWalk& bench, const PartRow& part, const BenchWords& words,
                       BenchSheet& sheet);

}  // namespace holeward
