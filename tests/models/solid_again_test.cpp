// A job read again, as at every change in the window: a body of a file is neither read nor taken
// apart a second time where nothing that was asked of it has changed.
#include <fstream>

#include <fmt/format.h>

#include <gtest/gtest.h>

#include "models/bench_reading.h"
#include "models/solid_file.h"
#include "models/solid_taken.h"
#include "tests/geometry/mounted_shapes.h"
#include "tests/models/solid_jobs.h"
#include "tests/models/solid_shapes.h"

namespace holeward {
namespace {

using testing_tools::Block;
using testing_tools::BoxTube;
using testing_tools::Placed;
using testing_tools::Scratch;
using testing_tools::WithMounts;

const std::string kPart =
    "[part.arm]\nsection = \"solid\"\nfile = \"arm.step\"\nsize = [62, 420, 82]\nstart = \"inner "
    "end\"\nfinish = \"outer end\"\n";

std::string Point(int tape) {
  return fmt::format(
      "[[point]]\nname = \"P\"\nuse = \"drill\"\npart = \"arm\"\nface = \"rear\"\nrule = [ {{ tape "
      "= "
      "{}, from = \"inner end\", toward = \"outboard\" }}, {{ middle = \"face\" }} ]\ndrill = "
      "[4]\n",
      tape);
}

struct SolidAgain : ::testing::Test {
  SolidAgain() { Write(56.0); }

  void Write(double top) {
    const TopoDS_Shape body = WithMounts(BoxTube(), {Block({-15, 150, 20}, {15, 190, top})});
    (void)testing_tools::WriteShapes({Placed(body)}, folder, "arm.step");
  }
  [[nodiscard]] Job Read(const std::string& text, const Job* known = nullptr) const {
    JobWithBenches read =
        ReadBenchJobText(testing_tools::kSolidHead + text, folder.path() + "/job.toml", known);
    for (const JobError& error : read.reading.errors) ADD_FAILURE() << error.message;
    EXPECT_EQ(read.reading.job.parts.size(), 1U);
    return std::move(read.reading.job);
  }

  Scratch folder;
};

const SolidSource& SourceOf(const Job& job) { return *job.parts.front().solid; }

TEST_F(SolidAgain, ABodyAskedTheSameIsTheVerySame) {
  const Job first = Read(kPart + Point(80));
  const Job second = Read(kPart + Point(95), &first);
  EXPECT_EQ(first.parts.front(), second.parts.front());  // its body, too, by address
  const Job fresh = Read(kPart + Point(95));
  EXPECT_EQ(fresh.content_hash, second.content_hash);
  EXPECT_EQ(fresh.parts.front().stations, second.parts.front().stations);
  EXPECT_EQ(fresh.parts.front().fittings, second.parts.front().fittings);
  EXPECT_NE(fresh.parts.front().solid, second.parts.front().solid);
}

TEST_F(SolidAgain, FromAnotherLineItIsTakenOnceAndSaysWhereItStands) {
  const Job first = Read(kPart + Point(80));
  const Job second = Read("\n\n" + kPart + Point(80), &first);
  EXPECT_EQ(SourceOf(first).taken, SourceOf(second).taken);
  const Job fresh = Read("\n\n" + kPart + Point(80));
  EXPECT_EQ(fresh.parts.front().at, second.parts.front().at);
  EXPECT_EQ(fresh.parts.front().stations, second.parts.front().stations);
  EXPECT_EQ(fresh.parts.front().fittings, second.parts.front().fittings);
}

TEST_F(SolidAgain, AnotherNameOfAMountNeedsNoSecondTaking) {
  const std::string seat =
      "[[part.arm.fitting]]\nname = \"seat\"\nkind = \"plate\"\nface = \"top\"\nstation = "
      "170\nsize = "
      "[40, 30]\nheight = 30\n";
  const Job first = Read(kPart + Point(80));
  const Job second = Read(kPart + seat + Point(80), &first);
  EXPECT_EQ(SourceOf(first).taken, SourceOf(second).taken);
  EXPECT_EQ(second.parts.front().fittings.front().name, "seat");
  EXPECT_EQ(SourceOf(second).mounts->mounts.front().name, "seat");
  EXPECT_EQ(SourceOf(first).mounts->mounts.front().name, "mount 1");
}

TEST_F(SolidAgain, WhatIsAskedOtherwiseIsTakenAnew) {
  const Job first = Read(kPart + Point(80));
  const Job turned =
      Read(kPart + "from = [-110, 620, 300]\nto = [-110, 200, 300]\n" + Point(80), &first);
  EXPECT_EQ(SourceOf(first).all, SourceOf(turned).all);
  EXPECT_NE(SourceOf(first).taken, SourceOf(turned).taken);
  EXPECT_GT(turned.parts.front().stations.front().centre.y(), 600.0);
}

TEST_F(SolidAgain, AFileThatHasChangedIsReadAnew) {
  const Job first = Read(kPart + Point(80));
  Write(55.8);  // within what the size confirms
  const Job second = Read(kPart + Point(80), &first);
  EXPECT_NE(SourceOf(first).all, SourceOf(second).all);
  EXPECT_NE(SourceOf(first).taken, SourceOf(second).taken);
  EXPECT_NE(first.content_hash, second.content_hash);
  EXPECT_NEAR(second.parts.front().fittings.front().height.value_or(0.0), 29.8, 1e-6);
}

}  // namespace
}  // namespace holeward
