// Places as a person says them, and what is read between them.
#include "models/place_words.h"

#include <algorithm>

#include <gtest/gtest.h>

#include "geometry/datum.h"
#include "models/rule_reading.h"
#include "tests/viewer/demo_state.h"

namespace holeward {
namespace {

const Part& PartOf(const char* name) { return *DemoState()->sides[0].scene->FindPart(name); }
const std::vector<PlacedPoint>& Points() { return DemoState()->sides[0].points; }

TEST(PlaceWords, APointIsWhereItIsPlacedAndAFittingAtItsCentre) {
  const auto point = PlaceInWords(PartOf("arm"), Points(), " A3 ", 1.0);
  ASSERT_TRUE(point) << point.error().message;
  EXPECT_EQ(point->u, DemoState()->Placed(0, "A3")->place.u);
  const Fitting& fitting = PartOf("arm").fittings.front();
  const auto centre = PlaceInWords(PartOf("arm"), Points(), fitting.name, 1.0);
  ASSERT_TRUE(centre);
  EXPECT_EQ(centre->u, fitting.centre.u);
  EXPECT_FALSE(PlaceInWords(PartOf("tube"), Points(), "A3", 1.0)) << "a point of the other part";
}

TEST(PlaceWords, StationAndGirthAreThoseThePlaceIsReadWith) {
  const Part& arm = PartOf("arm");
  for (const double station : {5.0, 90.0, 200.0}) {
    for (const double girth : {-40.0, 0.0, 12.5, 60.0}) {
      const auto place =
          PlaceInWords(arm, Points(), std::to_string(station) + " " + std::to_string(girth), 1.0);
      ASSERT_TRUE(place) << place.error().message;
      EXPECT_NEAR(arm.skin->StationOf(place->u), station, 1e-6);
      EXPECT_NEAR(arm.skin->GirthOf(place->u, place->v), girth, 1e-6);
      const auto again = PlaceInWords(arm, Points(), WordsOfPlace(arm, *place, 1.0), 1.0);
      ASSERT_TRUE(again);
      EXPECT_LT((arm.skin->At(*again).position - arm.skin->At(*place).position).norm(), 0.1);
    }
  }
  const auto inches = PlaceInWords(arm, Points(), "2 0.5", kInch);
  ASSERT_TRUE(inches);
  EXPECT_NEAR(arm.skin->StationOf(inches->u), 50.8, 1e-6);
  EXPECT_NEAR(arm.skin->GirthOf(inches->u, inches->v), 12.7, 1e-6);
}

// Half way between its sharp corners, and on a flat a tape round is as long as it is straight.
TEST(PlaceWords, AFaceIsMetAtItsMiddleAndBesideIt) {
  const Part& arm = PartOf("arm");
  for (const Face& face : arm.faces) {
    const auto middle = PlaceInWords(arm, Points(), "100 " + face.name, 1.0);
    ASSERT_TRUE(middle) << middle.error().message;
    EXPECT_NEAR(FractionAcross(*arm.skin, middle->u, middle->v, face.piece), 0.5, 1e-9);
    const auto beside = PlaceInWords(arm, Points(), "100 " + face.name + " 6", 1.0);
    ASSERT_TRUE(beside);
    const PlaceReading reading = ReadBetween(arm, *middle, *beside);
    EXPECT_NEAR(reading.girth, 6.0, 1e-6);
    EXPECT_NEAR(reading.rule, 6.0, 1e-6) << "on a flat";
    EXPECT_NEAR(reading.square_along, 0.0, 0.05);
  }
  const Part& tube = PartOf("tube");
  const auto bottom = PlaceInWords(tube, Points(), "50 bottom", 1.0);
  const auto top = PlaceInWords(tube, Points(), "50 top", 1.0);
  ASSERT_TRUE(bottom && top);
  const double radius = tube.skin->RadiusAt(bottom->u);
  EXPECT_NEAR(ReadBetween(tube, *bottom, *top).girth, kPi * radius, 1e-6);
  EXPECT_NEAR(ReadBetween(tube, *bottom, *top).rule, 2.0 * radius, 1e-6);
}

TEST(PlaceWords, RefusesWhatIsNoPlaceAndSaysWhatIs) {
  for (const char* bad : {"", "A99", "100", "-1 0", "99999 0", "100 99999", "100 nowhere",
                          "100 rear x", "100 5 6", "100 rear 1 2", "nan 0", "100 inf", "1e999 0"}) {
    const auto place = PlaceInWords(PartOf("arm"), Points(), bad, 1.0);
    EXPECT_FALSE(place) << bad;
  }
  const auto message = PlaceInWords(PartOf("arm"), Points(), "A99", 1.0).error().message;
  EXPECT_NE(message.find("\"A99\" is no place of arm"), std::string::npos) << message;
}

TEST(PlaceWords, OffersFittingsAndPointsOfThePartAlone) {
  const auto names = NamedPlaces(PartOf("arm"), Points());
  EXPECT_NE(std::find(names.begin(), names.end(), "pivot eye"), names.end());
  EXPECT_NE(std::find(names.begin(), names.end(), "A1"), names.end());
  EXPECT_EQ(std::find(names.begin(), names.end(), "T1"), names.end());
  for (const std::string& name : names) {
    EXPECT_TRUE(PlaceInWords(PartOf("arm"), Points(), name, 1.0)) << name;
  }
}

}  // namespace
}  // namespace holeward
