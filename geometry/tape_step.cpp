#include "geometry/tape_step.h"

namespace holeward {

TapeState CellLaw::Dormand(const TapeState& y, const TapeState& rate, double h, TapeSlot by,
                           TapeState* error) const {
  static constexpr double kA[7][6] = {
      {},
      {1. / 5},
      {3. / 40, 9. / 40},
      {44. / 45, -56. / 15, 32. / 9},
      {19372. / 6561, -25360. / 2187, 64448. / 6561, -212. / 729},
      {9017. / 3168, -355. / 33, 46732. / 5247, 49. / 176, -5103. / 18656},
      {35. / 384, 0, 500. / 1113, 125. / 192, -2187. / 6784, 11. / 84}};
  static constexpr double kE[7] = {71. / 57600,      0,         -71. / 16695, 71. / 1920,
                                   -17253. / 339200, 22. / 525, -1. / 40};
  std::array<TapeState, 7> k;
  TapeState at = y;
  k[0] = By(rate, by);
  for (int i = 1; i < 7; ++i) {
    at = y;
    for (int c = 0; c < i; ++c) {
      for (std::size_t n = 0; n < kSlots; ++n) at[n] += h * kA[i][c] * k[c][n];
    }
    k[i] = RateBy(at, by);
  }
  error->fill(0.0);
  for (int i = 0; i < 7; ++i) {
    for (std::size_t n = 0; n < kSlots; ++n) (*error)[n] += h * kE[i] * k[i][n];
  }
  return at;
}

TapeState CellLaw::Fehlberg(const TapeState& y, const TapeState& rate, double h, TapeSlot by,
                            TapeState* error) const {
  static constexpr double kA[13][12] = {
      {},
      {2. / 27},
      {1. / 36, 1. / 12},
      {1. / 24, 0, 1. / 8},
      {5. / 12, 0, -25. / 16, 25. / 16},
      {1. / 20, 0, 0, 1. / 4, 1. / 5},
      {-25. / 108, 0, 0, 125. / 108, -65. / 27, 125. / 54},
      {31. / 300, 0, 0, 0, 61. / 225, -2. / 9, 13. / 900},
      {2, 0, 0, -53. / 6, 704. / 45, -107. / 9, 67. / 90, 3},
      {-91. / 108, 0, 0, 23. / 108, -976. / 135, 311. / 54, -19. / 60, 17. / 6, -1. / 12},
      {2383. / 4100, 0, 0, -341. / 164, 4496. / 1025, -301. / 82, 2133. / 4100, 45. / 82, 45. / 164,
       18. / 41},
      {3. / 205, 0, 0, 0, 0, -6. / 41, -3. / 205, -3. / 41, 3. / 41, 6. / 41, 0},
      {-1777. / 4100, 0, 0, -341. / 164, 4496. / 1025, -289. / 82, 2193. / 4100, 51. / 82,
       33. / 164, 12. / 41, 0, 1}};
  std::array<TapeState, 13> k;
  k[0] = By(rate, by);
  for (int i = 1; i < 13; ++i) {
    TapeState at = y;
    for (int c = 0; c < i; ++c) {
      if (kA[i][c] == 0.0) continue;
      for (std::size_t n = 0; n < kSlots; ++n) at[n] += h * kA[i][c] * k[c][n];
    }
    k[i] = RateBy(at, by);
  }
  TapeState r = y;
  for (std::size_t n = 0; n < kSlots; ++n) {
    r[n] += h * (34. / 105 * k[5][n] + 9. / 35 * (k[6][n] + k[7][n]) +
                 9. / 280 * (k[8][n] + k[9][n]) + 41. / 840 * (k[11][n] + k[12][n]));
    (*error)[n] = 41. / 840 * h * (k[0][n] + k[10][n] - k[11][n] - k[12][n]);
  }
  return r;
}

}  // namespace holeward
