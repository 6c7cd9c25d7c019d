// Lengths on a skin: station along the centre line, girth round a section.
#include <algorithm>
#include <array>
#include <cmath>
#include <span>
#include <vector>

#include "geometry/skin.h"

namespace holeward {
namespace {

// Below this a piece has no length, mm.
constexpr double kNothing = 1e-9;

// Five-point Gauss-Legendre rule on [-1, 1] (Abramowitz and Stegun, table 25.4).
constexpr std::array<double, 5> kGaussNode{-0.906179845938664, -0.538469310105683, 0.0,
                                           0.538469310105683, 0.906179845938664};
constexpr std::array<double, 5> kGaussWeight{
    0.236926885056189, 0.478628670499366, 0.568888888888889, 0.478628670499366, 0.236926885056189};
// Parts a span's arc length is integrated in; leaves less than 1e-9 mm on any sensible part.
constexpr int kArcParts = 8;

}  // namespace

double Skin::CentreSpeed(double u, int span) const {
  const double x = centre_[0].SlopeAt(u, span);
  const double y = centre_[1].SlopeAt(u, span);
  const double z = centre_[2].SlopeAt(u, span);
  return std::sqrt(x * x + y * y + z * z);
}

// Centre-line length from the start of a span to u, by the law of that span.
double Skin::CentreLength(double u, int span) const {
  const double start = span_start(span);
  const double h = (u - start) / kArcParts;
  double length = 0.0;
  for (int part = 0; part < kArcParts; ++part) {
    for (std::size_t g = 0; g < kGaussNode.size(); ++g) {
      length += 0.5 * h * kGaussWeight[g] *
                CentreSpeed(start + h * (part + 0.5 + 0.5 * kGaussNode[g]), span);
    }
  }
  return length;
}

void Skin::SumStations() {
  stations_.push_back(0.0);
  for (int i = 0; i < span_count(); ++i) {
    stations_.push_back(stations_.back() + CentreLength(span_start(i + 1), i));
  }
}

double Skin::StationOf(double u) const {
  const int span = SpanOf(u);
  return stations_[static_cast<std::size_t>(span)] + CentreLength(u, span);
}

double Skin::UOfStation(double station) const {
  const auto it = std::upper_bound(stations_.begin(), stations_.end(), station);
  const int span = std::clamp(static_cast<int>(it - stations_.begin()) - 1, 0, span_count() - 1);
  const auto i = static_cast<std::size_t>(span);
  const double share = (station - stations_[i]) / (stations_[i + 1] - stations_[i]);
  double u = knots_[i] + share * (knots_[i + 1] - knots_[i]);
  for (int step = 0; step < 20; ++step) {
    const double move = (station - StationOf(u)) / CentreSpeed(u, SpanOf(u));
    u += move;
    if (std::abs(move) < 1e-12 * (1.0 + std::abs(u))) {
      break;
    }
  }
  return u;
}

namespace {

/// Length of an outline of `count` pieces up to v. @param length_of a piece's length by its number
template <class LengthOf>
double LengthTo(double v, int count, const LengthOf& length_of) {
  double length = 0.0;
  int piece = 0;
  for (; piece < count - 1 && piece + 1 <= v; ++piece) length += length_of(piece);
  return length + (v - piece) * length_of(piece);
}

}  // namespace

double Skin::OutlineLength(double u, double v) const {
  const int span = SpanOf(u);
  return LengthTo(v, piece_count_, [&](int piece) { return PieceLength(u, span, piece); });
}

double Skin::Perimeter(double u) const { return OutlineLength(u, piece_count_); }

double Skin::GirthOf(double u, double v) const {
  const double girth = OutlineLength(u, Wrapped(v)) - OutlineLength(u, law_.girth_origin_v);
  if (!law_.closed) {
    return girth;
  }
  const double round = Perimeter(u);
  double g = std::fmod(girth, round);
  if (g > 0.5 * round) {
    g -= round;
  } else if (g <= -0.5 * round) {
    g += round;
  }
  return g;
}

double Skin::VOfGirth(double u, double girth) const {
  const int span = SpanOf(u);
  // Each length is wanted up to three times, and making it is what takes the time.
  std::array<double, 16> few{};
  std::vector<double> many;
  if (piece_count_ > static_cast<int>(few.size())) many.resize(piece_count_);
  const std::span<double> lengths(many.empty() ? few.data() : many.data(), piece_count_);
  for (int piece = 0; piece < piece_count_; ++piece) lengths[piece] = PieceLength(u, span, piece);

  const auto known = [&](int piece) { return lengths[piece]; };
  double length = girth + LengthTo(law_.girth_origin_v, piece_count_, known);
  if (law_.closed) {
    const double round = LengthTo(piece_count_, piece_count_, known);
    length = std::fmod(length, round);
    if (length < 0.0) {
      length += round;
    }
  }
  int piece = 0;
  while (piece < piece_count_ - 1 && length > lengths[piece]) length -= lengths[piece++];
  return lengths[piece] > kNothing ? piece + length / lengths[piece] : piece;
}

}  // namespace holeward
