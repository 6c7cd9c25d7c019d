// The window's model without a screen: file, history, list, drag.
#include "viewer/window_model.h"

#include <filesystem>
#include <fstream>
#include <random>

#include <unistd.h>

#include <gtest/gtest.h>

#include "models/job_edit.h"
#include "tests/viewer/demo_state.h"

namespace holeward {
namespace {

namespace fs = std::filesystem;

Result<void> Write(const std::string& path, const std::string& bytes) {
  std::ofstream(path, std::ios::binary) << bytes;
  return {};
}

class WindowModelOnAFile : public testing::Test {
 protected:
  WindowModelOnAFile() {
    folder_ = fs::temp_directory_path() / ("holeward-model-" + std::to_string(::getpid()));
    fs::create_directories(folder_);
    path_ = (folder_ / "van.toml").string();
    (void)Write(path_, DemoText());
    EXPECT_TRUE(model_.Open(path_));
    model_.Adopt(DemoState());
  }
  ~WindowModelOnAFile() override { fs::remove_all(folder_); }

  fs::path folder_;
  std::string path_;
  WindowModel model_;
};

TEST(TextHistory, GoesBackAndForthWithoutEnd) {
  TextHistory history("0");
  for (int i = 1; i <= 3000; ++i) history.Change(std::to_string(i));
  for (int i = 2999; i >= 0; --i) {
    history.Undo();
    ASSERT_EQ(history.text(), std::to_string(i));
  }
  EXPECT_FALSE(history.CanUndo());
  for (int i = 0; i < 3000; ++i) history.Redo();
  EXPECT_EQ(history.text(), "3000");
  EXPECT_FALSE(history.CanRedo());
}

TEST(TextHistory, ChangesOfOneNameAreOneStepUntilItEnds) {
  TextHistory history("a");
  history.Change("b", "turn");
  history.Change("c", "turn");
  history.EndStep();
  history.Change("d", "turn");
  history.Undo();
  EXPECT_EQ(history.text(), "c");
  history.Undo();
  EXPECT_EQ(history.text(), "a");
  history.Change("e");
  EXPECT_FALSE(history.CanRedo());
}

TEST_F(WindowModelOnAFile, SavesOnlyWhatChangedAndNoticesAnotherHand) {
  FormField tape;
  for (const FormField& field : model_.FormOf(*TableOfPoint(model_.forms(), "A1"))) {
    if (field.label == "rule 1: tape") tape = field;
  }
  ASSERT_TRUE(model_.Answer(tape, "90.5", false));
  EXPECT_TRUE(model_.modified());
  ASSERT_TRUE(model_.KeepRecovery(Write));
  EXPECT_TRUE(fs::exists(WindowModel::RecoveryPathOf(path_)));
  ASSERT_TRUE(model_.Save(Write));
  EXPECT_FALSE(fs::exists(WindowModel::RecoveryPathOf(path_)));
  WindowModel again;
  ASSERT_TRUE(again.Open(path_));
  EXPECT_TRUE(again.text() == With(DemoText(), "tape = 84", "tape = 90.5"));

  (void)Write(path_, "another hand");
  EXPECT_TRUE(model_.ChangedOutside());
  model_.Undo();
  EXPECT_FALSE(model_.Save(Write));
  ASSERT_TRUE(model_.TakeOutside());
  EXPECT_EQ(model_.text(), "another hand");
  model_.Undo();
  EXPECT_TRUE(model_.text() == DemoText());
}

TEST_F(WindowModelOnAFile, SavedUnderAnotherNameItIsThatFileAndTheFirstStaysAsItWas) {
  const std::string changed = With(DemoText(), "tape = 84", "tape = 90");
  const std::string other = (folder_ / "other.toml").string();
  model_.Change(changed);
  ASSERT_TRUE(model_.KeepRecovery(Write));
  const FileWriter full = [](const std::string&, const std::string&) -> Result<void> {
    return Fail(ErrorKind::file, "the disk is full");
  };
  EXPECT_FALSE(model_.Save(full));
  EXPECT_FALSE(model_.SaveAs(other, full));
  EXPECT_EQ(model_.path(), path_);
  EXPECT_TRUE(model_.modified());
  EXPECT_TRUE(fs::exists(WindowModel::RecoveryPathOf(path_)));
  ASSERT_TRUE(model_.SaveAs(other, Write));
  EXPECT_EQ(model_.path(), other);
  EXPECT_FALSE(model_.modified());
  EXPECT_FALSE(model_.ChangedOutside());
  EXPECT_FALSE(fs::exists(WindowModel::RecoveryPathOf(path_)));
  WindowModel again;
  ASSERT_TRUE(again.Open(path_));
  EXPECT_TRUE(again.text() == DemoText());
  ASSERT_TRUE(again.Open(other));
  EXPECT_TRUE(again.text() == changed);
}

TEST_F(WindowModelOnAFile, RefusesAnAnswerThatIsNone) {
  FormField tape;
  tape.path = {std::string("point"), std::size_t{0}, std::string("rule"), std::size_t{0},
               std::string("tape")};
  tape.kind = FieldKind::number;
  EXPECT_FALSE(model_.Answer(tape, "84 mm", true));
  EXPECT_TRUE(model_.text() == DemoText());
}

TEST_F(WindowModelOnAFile, ListsSortsAndFilters) {
  EXPECT_EQ(model_.rows().size(), 20U);
  EXPECT_EQ(model_.Summary(), "clear");
  model_.SetFilter("TUBE right drain");
  EXPECT_TRUE(model_.rows().empty());
  model_.SetFilter("tube right clear");
  EXPECT_EQ(model_.rows().size(), 4U);  // T1 to T4; K is a mark only
  model_.SetFilter("");
  model_.SortBy(ListColumn::margin, false);
  double before = -1e9;
  for (const ListRow& row : model_.rows()) {
    const double margin = row.margin.value_or(before);
    EXPECT_GE(margin, before);
    before = margin;
  }
  model_.SortBy(ListColumn::name, true);
  EXPECT_EQ(model_.rows().front().id.point, "T4");
  model_.SortBy(ListColumn::verdict, false);
  EXPECT_FALSE(model_.rows().front().judged.has_value());  // K, a mark only
  EXPECT_EQ(model_.rows().back().judged, Verdict::clear);
  model_.SortBy(ListColumn::verdict, true);
  EXPECT_FALSE(model_.rows().back().judged.has_value());
}

TEST_F(WindowModelOnAFile, SaysNothingOverAllOfATextThatIsNotCheckedYet) {
  model_.Change(With(DemoText(), "tape = 84", "tape = 90"));
  EXPECT_FALSE(model_.UpToDate());
  EXPECT_EQ(model_.Summary(), "checking");
}

// A place on the skin, dragged to: the numbers that follow put the point within the half
// millimetre they are rounded to.
TEST_F(WindowModelOnAFile, ADraggedPointLandsWhereItIsDraggedTo) {
  std::mt19937 random{99};
  std::uniform_real_distribution<double> along(-15.0, 15.0);
  for (const Side side : {Side::left, Side::right}) {
    for (int i = 0; i < 4; ++i) {
      model_.Adopt(DemoState());
      model_.Change(DemoText());
      const PlacedPoint& a3 = *model_.state()->Placed(0, "A3");
      const Part& arm = *model_.state()->sides[0].scene->FindPart("arm");
      const SkinPlace to{a3.place.u + along(random), a3.place.v + 0.01 * along(random)};
      const Vec3 wanted = arm.skin->At(to).position;
      ASSERT_TRUE(model_.DragPoint({"A3", side}, side == Side::left ? wanted : Mirrored(wanted)));
      const JobState moved = PlacedState(model_.text(), path_, DemoState().get());
      ASSERT_NE(moved.Placed(0, "A3"), nullptr)
          << (moved.errors.empty() ? "" : moved.errors.front().message);
      EXPECT_LT((moved.Placed(0, "A3")->position - wanted).norm(), 0.45);
    }
  }
}

// By steps of a tenth the number follows to a tenth, and one the step does not change stays as it
// was written.
TEST_F(WindowModelOnAFile, ASmallStepIsATenthOfAMillimetre) {
  const Part& arm = *model_.state()->sides[0].scene->FindPart("arm");
  const PlacedPoint& a1 = *model_.state()->Placed(0, "A1");
  const Vec3 along = arm.skin->At(a1.place).du.normalized();
  ASSERT_TRUE(model_.NudgePoint({"A1", Side::left}, 0.1 * along));
  const bool longer = model_.text() == With(DemoText(), "tape = 84", "tape = 84.1");
  const bool shorter = model_.text() == With(DemoText(), "tape = 84", "tape = 83.9");
  EXPECT_TRUE(longer || shorter);
  // Into the metal is no way on the skin.
  const std::string before = model_.text();
  const auto into = model_.NudgePoint({"A1", Side::left}, -model_.state()->Placed(0, "A1")->normal);
  ASSERT_FALSE(into);
  EXPECT_NE(into.error().message.find("that way leads off the part"), std::string::npos);
  EXPECT_TRUE(model_.text() == before);
}

TEST_F(WindowModelOnAFile, WhatIsLargerThanAJobOrNoFileIsNotOpened) {
  const std::string large = (folder_ / "large.toml").string();
  (void)Write(large, std::string(kLargestJob + 1, ' '));
  const auto opened = model_.Open(large);
  ASSERT_FALSE(opened);
  EXPECT_NE(opened.error().message.find("larger than 16 MiB"), std::string::npos);
  EXPECT_FALSE(model_.Open(folder_.string()));
  EXPECT_FALSE(model_.Open("/dev/zero")) << "what has no end is not read to it";
  EXPECT_EQ(model_.path(), path_);
  (void)Write(large, std::string(kLargestJob, ' '));
  EXPECT_TRUE(model_.Open(large));
}

}  // namespace
}  // namespace holeward
