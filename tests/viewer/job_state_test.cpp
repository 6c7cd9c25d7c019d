// What a job's text comes to in the window: the same as the commands give, whichever way it came.
#include "viewer/job_state.h"

#include <algorithm>
#include <condition_variable>
#include <mutex>
#include <stop_token>
#include <vector>

#include <gtest/gtest.h>

#include "tests/viewer/demo_state.h"
#include "viewer/scene_shape.h"
#include "viewer/state_worker.h"

namespace holeward {
namespace {

void ExpectSamePlaces(const JobState& a, const JobState& b) {
  ASSERT_EQ(a.sides.size(), b.sides.size());
  for (std::size_t i = 0; i < a.sides.size(); ++i) {
    ASSERT_EQ(a.sides[i].points.size(), b.sides[i].points.size());
    for (std::size_t k = 0; k < a.sides[i].points.size(); ++k) {
      const PlacedPoint& p = a.sides[i].points[k];
      const PlacedPoint& q = b.sides[i].points[k];
      EXPECT_EQ(p.name, q.name);
      EXPECT_LT((p.position - q.position).norm(), 1e-9) << p.name;
      EXPECT_EQ(p.ties.size(), q.ties.size());
    }
  }
}

TEST(JobState, IsCheckedOnBothSidesAndClear) {
  const JobState& state = *DemoState();
  ASSERT_EQ(state.sides.size(), 2U);
  EXPECT_TRUE(state.errors.empty());
  for (const SideState& side : state.sides) {
    EXPECT_EQ(side.points.size(), 10U);
    EXPECT_EQ(side.checking.verdict, Verdict::clear);
    EXPECT_EQ(side.paths.size(), side.points.size());
  }
}

TEST(JobState, APointChangedAloneComesToTheSameAsAllOfItAfresh) {
  const std::string text = With(DemoText(), "tape = 82", "tape = 79");  // K; T1 is read from it
  const JobState placed = PlacedState(text, "van.toml", DemoState().get());
  EXPECT_EQ(placed.sides[0].scene, DemoState()->sides[0].scene) << "the scene is kept";
  EXPECT_TRUE(placed.sides[0].checking.points.empty()) << "nothing is known before it is checked";
  const JobState quick = CheckedState(placed);
  const JobState fresh = CheckedState(PlacedState(text, "van.toml", nullptr));
  ExpectSamePlaces(quick, fresh);
  EXPECT_EQ(quick.verdict, fresh.verdict);
  ASSERT_EQ(quick.sides[1].checking.holes.size(), fresh.sides[1].checking.holes.size());
  for (std::size_t i = 0; i < quick.sides[1].checking.holes.size(); ++i) {
    EXPECT_EQ(quick.sides[1].checking.holes[i].margin_worst,
              fresh.sides[1].checking.holes[i].margin_worst);
  }
}

TEST(JobState, AChangedPartIsBuiltAgain) {
  const JobState state = PlacedState(With(DemoText(), "wall    = 2.9", "wall    = 2.7"), "van.toml",
                                     DemoState().get());
  EXPECT_NE(state.sides[0].scene, DemoState()->sides[0].scene);
}

TEST(JobState, WhatIsGoodOfATextWithErrorsIsBuiltAndEachErrorTold) {
  std::string text = With(DemoText(), "\"pivot eye\", toward", "\"pivot eyes\", toward");
  text = With(text, "use  = \"drill\"", "use  = \"drills\"");  // A3
  const JobState state = PlacedState(text, "van.toml", nullptr);
  EXPECT_TRUE(state.partial);
  EXPECT_GE(state.errors.size(), 2U);
  EXPECT_EQ(state.Placed(0, "A1"), nullptr);
  EXPECT_EQ(state.Placed(0, "A3"), nullptr);
  EXPECT_NE(state.Placed(0, "A2"), nullptr);
  const JobState checked = CheckedState(state);
  EXPECT_EQ(checked.verdict, Verdict::unproven);
  for (const SideState& side : checked.sides) {
    EXPECT_TRUE(side.checking.holes.empty() && side.checking.points.empty());
  }
  ASSERT_EQ(state.errors.front().at.line,
            1 + std::count(text.begin(), text.begin() + static_cast<long>(text.find("pivot eyes")),
                           '\n'));
}

// T1 is read from K: moved with it, its lines must be those of the new place.
TEST(JobState, LinesOfReadingsAfterAnEditAreThoseOfAFreshJob) {
  for (const char* tape : {"tape = 75", "tape = 82"}) {
    const std::string text = With(DemoText(), "tape = 82", tape);
    const JobState fresh = PlacedState(text, "van.toml", nullptr);
    const JobState edited = PlacedState(text, "van.toml", DemoState().get());
    ASSERT_EQ(fresh.sides.size(), edited.sides.size());
    std::size_t lines = 0;
    for (std::size_t side = 0; side < fresh.sides.size(); ++side) {
      const auto& a = fresh.sides[side].paths;
      const auto& b = edited.sides[side].paths;
      ASSERT_EQ(a.size(), b.size());
      for (std::size_t i = 0; i < a.size(); ++i) {
        ASSERT_EQ(a[i].size(), b[i].size()) << fresh.sides[side].points[i].name;
        for (std::size_t k = 0; k < a[i].size(); ++k, ++lines) {
          EXPECT_EQ(a[i][k].from, b[i][k].from);
          EXPECT_NEAR(a[i][k].value, b[i][k].value, 1e-9);
          ASSERT_EQ(a[i][k].places.size(), b[i][k].places.size());
          for (std::size_t p = 0; p < a[i][k].places.size(); ++p) {
            EXPECT_LT((a[i][k].places[p] - b[i][k].places[p]).norm(), 1e-9);
          }
        }
      }
    }
    EXPECT_GT(lines, 20U);
  }
}

TEST(JobState, ATextThatIsNoTomlGivesItsErrorAndNoParts) {
  const JobState state = PlacedState("holeward = = 1\n", "van.toml", nullptr);
  ASSERT_EQ(state.errors.size(), 1U);
  EXPECT_EQ(state.errors.front().at.line, 1);
  EXPECT_TRUE(state.sides.empty());
}

TEST(StateWorker, GivesTheNewestTextCheckedAndDropsWhatIsOutOfDate) {
  std::mutex in_use;
  std::condition_variable came;
  std::vector<std::shared_ptr<const JobState>> states;
  const std::string last = With(DemoText(), "tape = 84", "tape = 90");
  {
    StateWorker worker([&](std::shared_ptr<const JobState> state) {
      const std::lock_guard lock(in_use);
      states.push_back(std::move(state));
      came.notify_all();
    });
    for (int i = 0; i < 20; ++i) {
      worker.Ask(With(DemoText(), "tape = 84", "tape = " + std::to_string(70 + i)), "van.toml");
    }
    worker.Ask(last, "van.toml");
    std::unique_lock lock(in_use);
    came.wait(lock, [&] { return !states.empty() && states.back()->checked; });
  }
  EXPECT_EQ(states.back()->text, last);
  EXPECT_LT(states.size(), 20U) << "not every text was worked out to the end";
}

// What was given up holds no verdict at all, neither old nor half made; checked again it is whole.
TEST(JobState, ACheckGivenUpSaysNothingOfAnyHole) {
  const std::string text = With(DemoText(), "tape = 84", "tape = 87");
  const JobState placed = PlacedState(text, "van.toml", DemoState().get());
  std::stop_source source;
  source.request_stop();
  const JobState stopped = CheckedState(placed, source.get_token());
  EXPECT_TRUE(stopped.stopped);
  EXPECT_FALSE(stopped.checked);
  EXPECT_EQ(stopped.verdict, Verdict::unproven);
  for (const SideState& side : stopped.sides) {
    EXPECT_EQ(side.points.size(), 10U);
    EXPECT_TRUE(side.checking.holes.empty());
    EXPECT_TRUE(side.checking.points.empty());
  }
  const JobState whole = CheckedState(stopped);
  EXPECT_TRUE(whole.checked);
  EXPECT_FALSE(whole.stopped);
  EXPECT_EQ(whole.verdict, Verdict::clear);
}

// The evaluation itself, asked to stop: without its checks it is not clear.
TEST(JobState, WhatAStoppedEvaluationLeftIsUnproven) {
  const JobState placed = PlacedState(DemoText(), "van.toml", nullptr);
  std::stop_source source;
  source.request_stop();
  const Evaluation left = Evaluate(placed.job, placed.evaluation.get(), source.get_token());
  EXPECT_EQ(left.verdict, Verdict::unproven);
  for (const SideEvaluation& side : left.sides) EXPECT_TRUE(side.checking.holes.empty());
}

TEST(StateWorker, ACheckStoppedByHandComesBackStopped) {
  std::mutex in_use;
  std::condition_variable came;
  std::shared_ptr<const JobState> last;
  StateWorker* worker_of = nullptr;
  StateWorker worker([&](std::shared_ptr<const JobState> state) {
    const std::lock_guard lock(in_use);
    // Placed: its check is next, and is stopped before it can begin.
    if (worker_of != nullptr && !state->checked && !state->stopped) worker_of->Stop();
    last = std::move(state);
    came.notify_all();
  });
  std::unique_lock lock(in_use);
  worker_of = &worker;
  worker.Ask(DemoText(), "van.toml");
  came.wait(lock, [&] { return last != nullptr && (last->stopped || last->checked); });
  EXPECT_TRUE(last->stopped);
  worker_of = nullptr;
  worker.Ask(DemoText(), "van.toml");
  came.wait(lock, [&] { return last->checked; });
  EXPECT_EQ(last->verdict, Verdict::clear);
}

TEST(SceneShape, StandsOnBothSidesOfTheVehicle) {
  const SceneShape shape = ShapeOf(*DemoState());
  double left = 0.0;
  double right = 0.0;
  for (const ShapeBody& body : shape.bodies) {
    for (const auto& quad : body.quads) {
      left = std::max(left, quad[0].y());
      right = std::min(right, quad[0].y());
    }
  }
  EXPECT_NEAR(left, -right, 1e-6);
  EXPECT_GT(left, 500.0);
  const auto points = PointsOf(*DemoState());
  ASSERT_EQ(points.size(), 20U);
  for (std::size_t i = 0; i < 10; ++i) {
    EXPECT_LT((Mirrored(points[i].position) - points[i + 10].position).norm(), 1e-9);
  }
}

}  // namespace
}  // namespace holeward
