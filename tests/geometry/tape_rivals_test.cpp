// The tape on strongly cranked arms, where several paths nearly as short as each other stand
// beside one another: whatever chords are laid on the skin and pulled straight, none may end in a
// shorter path. The chords come from random shapes, not from the tape's own search.
#include <cmath>
#include <memory>
#include <optional>
#include <random>
#include <vector>

#include <gtest/gtest.h>

#include "geometry/tape.h"
#include "geometry/tape_aim.h"
#include "geometry/tape_seed.h"
#include "tests/geometry/skins.h"

namespace holeward {
namespace {

constexpr int kChords = 56;
constexpr double kPeriod = 8.0;  // of v on a box

class Random {
 public:
  explicit Random(unsigned seed) : engine_(seed) {}
  double operator()(double from, double to) {
    return std::uniform_real_distribution<>(from, to)(engine_);
  }

 private:
  std::mt19937 engine_;
};

/// Three lengths of box that meet at bends of 25 to 40 degrees, each to any side.
std::optional<std::shared_ptr<const Skin>> SharplyCranked(Random& random, bool smooth) {
  std::vector<test::BoxStation> stations;
  Vec3 centre = Vec3::Zero(), way = Vec3::UnitY();
  const double width = random(40, 80), height = random(40, 80);
  for (int i = 0; i < 4; ++i) {
    stations.push_back({centre, width + random(-8, 8), height + random(-8, 8), random(5, 12)});
    const double bend = i == 0 ? 0.0 : random(25, 40) * kDegree;
    const double to = random(0, 2 * kPi);
    const Vec3 side = Vec3(std::cos(to), 0.0, std::sin(to));
    const Vec3 square = (side - way * side.dot(way)).normalized();
    way = (std::cos(bend) * way + std::sin(bend) * square).normalized();
    centre += way * random(120, 220);
  }
  auto skin = Skin::Make(test::BoxLaw(stations, smooth));
  if (!skin) return std::nullopt;  // a bend too sharp for its length
  return std::make_shared<const Skin>(std::move(*skin));
}

/// The shortest of the paths that random chords are pulled straight to.
double ShortestOfShapes(const Surface& surface, const TapeStart& from, const SkinPlace& to,
                        Random& random, int shapes) {
  double least = 1e300;
  for (int n = 0; n < shapes; ++n) {
    double turn = std::remainder(to.v - from.place.v, kPeriod);
    if (n % 3 == 1) turn += turn > 0 ? -kPeriod : kPeriod;
    if (from.kind == TapeStart::Kind::section) turn = random(-5, 5);
    const double bulge = random(-2.5, 2.5), wave = random(-1.5, 1.5);
    std::vector<SkinPlace> chords;
    for (int i = 0; i <= kChords; ++i) {
      const double t = static_cast<double>(i) / kChords;
      chords.push_back(
          {from.place.u + t * (to.u - from.place.u),
           to.v - (1 - t) * turn + bulge * std::sin(kPi * t) + wave * std::sin(2 * kPi * t)});
    }
    TapeStart start = from;
    start.place = chords.front();
    const TapeSeed seed = PullStraight(surface, nullptr, start, chords, 60);
    const auto aim =
        AimAt(surface, start, to, {seed.places.front(), seed.leave, seed.length, false});
    if (aim && !aim->conjugate && aim->off_end < 1e-6) least = std::min(least, aim->path.length);
  }
  return least;
}

struct Tally {
  int compared = 0;
  int nearly = 0;  ///< the chords found the same path
  double worst = 0.0;
};

void Compare(unsigned seed, bool smooth, int pairs, Tally& tally) {
  Random random(seed);
  const auto skin = SharplyCranked(random, smooth);
  if (!skin) return;
  const auto surface = std::make_shared<SkinSurface>(*skin);
  const TapeSolver tape{surface};
  const double end = (*skin)->u_end();
  for (int n = 0; n < pairs; ++n) {
    TapeStart start;
    start.place = {random(0, end), random(0, kPeriod)};
    const SkinPlace to{random(0, end), random(0, kPeriod)};
    const bool section = n % 3 == 2;
    if (section) {
      start.kind = TapeStart::Kind::section;
      start.range = {0, kPeriod};
      start.toward_less = to.u < start.place.u;
    }
    const auto path = section ? tape.FromSection(start.place.u, to) : tape.Path(start.place, to);
    ASSERT_TRUE(path.has_value()) << path.error().message;
    const double least = ShortestOfShapes(*surface, start, to, random, 12);
    ++tally.compared;
    tally.worst = std::max(tally.worst, path->length - least);
    if (std::abs(path->length - least) < 1e-6) ++tally.nearly;
  }
}

TEST(TapeRivals, NoOtherShapeIsShorterOnASharplyCrankedArm) {
  Tally tally;
  for (unsigned seed = 1; seed <= 8; ++seed) Compare(seed, true, 18, tally);
  EXPECT_GT(tally.compared, 100);
  EXPECT_GT(tally.nearly, tally.compared / 2);  // the chords are worth comparing with
  EXPECT_LT(tally.worst, 1e-4);
}

TEST(TapeRivals, NoOtherShapeIsShorterAcrossMitres) {
  Tally tally;
  for (unsigned seed = 1; seed <= 8; ++seed) Compare(seed, false, 12, tally);
  EXPECT_GT(tally.compared, 80);
  EXPECT_GT(tally.nearly, tally.compared / 2);
  EXPECT_LT(tally.worst, 1e-4);
}

}  // namespace
}  // namespace holeward
