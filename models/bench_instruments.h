// How well a hand tool of the workshop reads, by published accuracy classes.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "models/bench_rows.h"

namespace holeward {

/// The instruments a job may name.
[[nodiscard]] const std::vector<std::string>& InstrumentWords();

/// The instrument a reading of this kind is taken with unless the job says otherwise.
[[nodiscard]] std::string UsualInstrument(BenchKind kind);

/// Standard deviation of one reading: permissible error of the instrument and what the hand adds,
/// each spread evenly over its half-width (JCGM 100, 4.3.7).
/// Sources: tape and rule OIML R 35-1:2007 classes II and I (a tape of another class is named);
/// drawing: ISO 2768-1 class m; caliper ISO 13385-1, from memory; assumed: 5 %, at least 1 mm;
/// the others and all that the hand adds: common practice, no source.
/// @param instrument one of InstrumentWords()
/// @param value what was read: mm, or kg for the scale
[[nodiscard]] double InstrumentSigma(std::string_view instrument, double value);

/// The same of a reading of this kind: a weight is also off by what steel's density is, 1 %
/// (common practice, no source).
[[nodiscard]] double ReadingSigma(BenchKind kind, std::string_view instrument, double value);

/// Standard deviation of a part's own wall: measured by gauge, or as drawn (sheet metal within
/// 0.2 mm; common practice, no source).
[[nodiscard]] double WallSigma(bool measured, double wall);

/// Standard deviation of a value known within ± half.
[[nodiscard]] double SigmaOfHalfWidth(double half);

}  // namespace holeward
