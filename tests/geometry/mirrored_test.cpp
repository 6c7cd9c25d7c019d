#include "geometry/mirrored.h"

#include <gtest/gtest.h>

namespace holeward {
namespace {

Part SharedTube() {
  SkinLaw law;
  law.centres = {{0, -300, 200}, {0, 300, 200}};
  law.round = true;
  law.radii = {40, 40};
  law.girth_origin_v = 0.0;
  Part part;
  part.name = "tube";
  part.start = "right end";
  part.finish = "left end";
  part.shared = true;
  part.skin = std::make_shared<const Skin>(*Skin::Make(law));
  return part;
}

PlacedPoint Somewhere() {
  PlacedPoint point;
  point.position = {12, 140, 180};
  point.normal = Vec3(1, 2, 3).normalized();
  point.station = 440;
  point.girth = 17;
  point.zone.direction = Vec3::UnitY();
  point.readings = {{"tape", "left end", 160, false, 0.0, std::nullopt},
                    {"middle", "right end / bracket", 44, false, 0.0, std::nullopt}};
  point.nominals = {{{440, 0.2}, point.position, point.normal, point.zone, "as written"}};
  return point;
}

TEST(Mirrored, APointOfASharedPartCountsFromItsStartAgainAndNamesTheOtherEnd) {
  const Part part = SharedTube();
  const PlacedPoint image = Mirrored(Somewhere(), part);
  EXPECT_TRUE(image.position.isApprox(Vec3(12, -140, 180)));
  EXPECT_TRUE(image.nominals.front().position.isApprox(Vec3(12, -140, 180)));
  EXPECT_NEAR(image.station, 160, 1e-9);
  EXPECT_DOUBLE_EQ(image.girth, 17);
  EXPECT_EQ(image.readings[0].from, "right end");
  EXPECT_EQ(image.readings[1].from, "left end / bracket");
}

TEST(Mirrored, TwiceIsTheSameAgain) {
  const Part part = SharedTube();
  const PlacedPoint point = Somewhere();
  const PlacedPoint twice = Mirrored(Mirrored(point, part), part);
  EXPECT_TRUE(twice.position.isApprox(point.position));
  EXPECT_TRUE(twice.normal.isApprox(point.normal));
  EXPECT_NEAR(twice.station, point.station, 1e-9);
  EXPECT_EQ(twice.readings[1].from, point.readings[1].from);
}

TEST(Mirrored, APartOfOneSideKeepsItsStationsAndEndNames) {
  Part part = SharedTube();
  part.shared = false;
  const PlacedPoint image = Mirrored(Somewhere(), part);
  EXPECT_DOUBLE_EQ(image.station, 440);
  EXPECT_EQ(image.readings[0].from, "left end");
}

TEST(Mirrored, AHolesContactMovesAndItsFiguresStay) {
  HoleCheck hole;
  hole.margin = 4.5;
  hole.first_contact = FirstContact{"bar", {1, 2, 3}};
  const HoleCheck image = Mirrored(hole);
  EXPECT_TRUE(image.first_contact->position.isApprox(Vec3(1, -2, 3)));
  EXPECT_DOUBLE_EQ(*image.margin, 4.5);
}

TEST(Mirrored, APieceOfASharedPartNamesTheOtherEndInItsWords) {
  DevelopedPiece piece;
  piece.lines = {
      {FlatLineKind::align, {{0, 0}, {10, 0}}, false, Phrase("flush with the {}", {"left end"})}};
  EXPECT_EQ(Mirrored(piece, SharedTube()).lines.front().words.English(),
            "flush with the right end");
}

}  // namespace
}  // namespace holeward
