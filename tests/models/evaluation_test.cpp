#include "models/evaluation.h"

#include <chrono>
#include <random>
#include <stop_token>
#include <thread>
#include <utility>

#include <gtest/gtest.h>

#include "tests/models/job_texts.h"

namespace holeward {
namespace {

Job Demo() {
  const std::string file = std::string(HOLEWARD_SOURCE_DIR) + "/models/examples/utility-van.toml";
  return test::Good(test::FileText(file));
}

PointRow& Row(Job& job, const std::string& name) {
  for (PointRow& row : job.points) {
    if (row.name == name) return row;
  }
  ADD_FAILURE() << "no point " << name;
  return job.points.front();
}

void ExpectSame(const HoleCheck& a, const HoleCheck& b) {
  EXPECT_EQ(a.point, b.point);
  EXPECT_EQ(a.stage, b.stage);
  EXPECT_EQ(a.diameter, b.diameter);
  EXPECT_EQ(a.near_wall, b.near_wall);
  EXPECT_EQ(a.breakthrough, b.breakthrough);
  EXPECT_EQ(a.free_depth, b.free_depth);
  EXPECT_EQ(a.margin, b.margin);
  EXPECT_EQ(a.margin_worst, b.margin_worst);
  EXPECT_EQ(a.stop, b.stop);
  EXPECT_EQ(a.access, b.access);
  EXPECT_EQ(a.verdict, b.verdict);
  EXPECT_EQ(a.reasons, b.reasons);
}

void ExpectSame(const PointCheck& a, const PointCheck& b) {
  EXPECT_EQ(a.point, b.point);
  EXPECT_EQ(a.edge_distance, b.edge_distance);
  EXPECT_EQ(a.nearest_hole, b.nearest_hole);
  EXPECT_EQ(a.seat_gap, b.seat_gap);
  EXPECT_EQ(a.access, b.access);
  EXPECT_EQ(a.verdict, b.verdict);
  EXPECT_EQ(a.reasons, b.reasons);
}

/// The same to the last bit: an edit's result must not depend on what was there before.
void ExpectSame(const Evaluation& a, const Evaluation& b) {
  EXPECT_EQ(a.verdict, b.verdict);
  ASSERT_EQ(a.sides.size(), b.sides.size());
  for (std::size_t s = 0; s < a.sides.size(); ++s) {
    const SideEvaluation& x = a.sides[s];
    const SideEvaluation& y = b.sides[s];
    EXPECT_EQ(x.placing.points, y.placing.points);
    ASSERT_EQ(x.placing.errors.size(), y.placing.errors.size());
    for (std::size_t i = 0; i < x.placing.errors.size(); ++i) {
      EXPECT_EQ(x.placing.errors[i].message, y.placing.errors[i].message);
    }
    EXPECT_EQ(x.placing.warnings.size(), y.placing.warnings.size());
    ASSERT_EQ(x.checking.holes.size(), y.checking.holes.size());
    ASSERT_EQ(x.checking.points.size(), y.checking.points.size());
    for (std::size_t i = 0; i < x.checking.holes.size(); ++i) {
      ExpectSame(x.checking.holes[i], y.checking.holes[i]);
    }
    for (std::size_t i = 0; i < x.checking.points.size(); ++i) {
      ExpectSame(x.checking.points[i], y.checking.points[i]);
    }
  }
}

TEST(Evaluation, AfterAnyEditItIsAsIfWorkedOutAfresh) {
  std::mt19937 random(20);
  Job job = Demo();
  Evaluation kept = Evaluate(job);
  ASSERT_EQ(kept.sides.size(), 2U);
  int moved = 0;
  const auto any = [&](int n) { return static_cast<int>(random() % static_cast<unsigned>(n)); };
  for (int edit = 0; edit < 7; ++edit) {
    switch (edit % 7) {
      case 0: Row(job, "A3").rule[0].value += 0.5 * (1 + any(4)); break;
      case 1: Row(job, "K").rule[0].value -= 1.0 + any(3); break;  // others are read from it
      case 2: Row(job, "T4").drill.back() += 0.5; break;
      case 3: job.marking.tilt_rad = HalfWidth::Even((3.0 + any(3)) * kDegree); break;
      case 4: job.limits.clearance = 4.0 + any(4); break;
      case 5: job.parts[0].wall += 0.1; break;
      case 6: job.points.erase(job.points.begin() + 1); break;
    }
    Evaluation next = Evaluate(job, &kept);
    const Evaluation fresh = Evaluate(job);
    ExpectSame(next, fresh);
    moved += next.sides[0].placing.points != kept.sides[0].placing.points;
    kept = std::move(next);
  }
  EXPECT_GE(moved, 3);
}

// Stopped at whatever moment, nothing is judged; what it has kept by then makes the next check
// neither other nor better.
TEST(Evaluation, StoppedNothingIsJudgedAndWhatIsKeptIsWhole) {
  const Job job = Demo();
  const Evaluation fresh = Evaluate(job);
  int stopped = 0;
  Evaluation kept = EvaluatePlaces(job);
  for (int i = 0; i < 40; ++i) {
    std::stop_source source;
    if (i == 0) source.request_stop();
    std::thread hand([&] {
      std::this_thread::sleep_for(std::chrono::milliseconds(5 + 3 * i));
      source.request_stop();
    });
    Evaluation next = Evaluate(job, &kept, source.get_token());
    hand.join();
    if (!next.stopped) {
      ExpectSame(next, fresh);
      kept = std::move(next);
      break;
    }
    ++stopped;
    EXPECT_EQ(next.verdict, Verdict::unproven);
    for (const SideEvaluation& side : next.sides) {
      EXPECT_TRUE(side.checking.holes.empty());
      EXPECT_TRUE(side.checking.points.empty());
    }
    kept = std::move(next);
  }
  EXPECT_GE(stopped, 1);
  ExpectSame(Evaluate(job, &kept), fresh);
}

TEST(Evaluation, AnEditThatMovesOnePointLeavesTheOthersFindingsInPlace) {
  Job job = Demo();
  const Evaluation before = Evaluate(job);
  Row(job, "A3").rule[0].value += 2.0;
  const Evaluation after = Evaluate(job, &before);
  EXPECT_EQ(after.sides[0].build, before.sides[0].build);
  int same = 0;
  for (const auto& [name, found] : after.sides[0].check_memo.points) {
    same += found == before.sides[0].check_memo.points.at(name);
  }
  // All but the point itself; a reference point has none.
  EXPECT_EQ(same, static_cast<int>(after.sides[0].check_memo.points.size()) - 1);
  EXPECT_NE(after.sides[0].checking.holes.front().margin_worst,
            before.sides[0].checking.holes.front().margin_worst);
}

TEST(Evaluation, APointReadFromOneThatMovedMovesToo) {
  Job job = Demo();
  const Evaluation before = Evaluate(job);
  Row(job, "K").rule[0].value += 3.0;
  const Evaluation after = Evaluate(job, &before);
  const auto place = [](const Evaluation& e, const std::string& name) {
    for (const PlacedPoint& p : e.sides[0].placing.points) {
      if (p.name == name) return p.position;
    }
    return Vec3(Vec3::Zero());
  };
  EXPECT_NEAR((place(after, "T1") - place(before, "T1")).norm(), 3.0, 0.1);  // along the tube
}

TEST(Evaluation, APointWithoutAPlaceIsToldAndTheVerdictIsNotClear) {
  Job job = Demo();
  const Evaluation before = Evaluate(job);
  Row(job, "A3").rule[0].value = 5000.0;
  const Evaluation after = Evaluate(job, &before);
  ASSERT_EQ(after.sides[0].placing.errors.size(), 1U);
  EXPECT_NE(after.sides[0].placing.errors[0].message.find("A3"), std::string::npos);
  EXPECT_NE(after.verdict, Verdict::clear);
  Row(job, "A3").rule[0].value = before.job.points[2].rule[0].value;
  ExpectSame(Evaluate(job, &after), Evaluate(job));
}

}  // namespace
}  // namespace holeward
