// `model` and `guide`: solids of the parts and printed guides, read back from the files and held
// against closed forms.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <numbers>
#include <string>
#include <vector>

#include <fmt/format.h>

#include <gtest/gtest.h>

#include "geometry/vec.h"
#include "tests/app/program_runs.h"

namespace holeward {
namespace {

using namespace testing_tools;

constexpr double kOuter = 30.15;  // radii of the tube, mm
constexpr double kInner = 27.15;

/// What a radial drill takes out of one wall of a tube: chords across the drill's circle, by
/// Simpson's rule over x = a sin t, which has no edges there.
double TakenOut(double diameter) {
  const double a = 0.5 * diameter;
  constexpr int kSteps = 200;
  const double h = std::numbers::pi / kSteps;
  double sum = 0.0;
  for (int i = 0; i <= kSteps; ++i) {
    const double t = -0.5 * std::numbers::pi + i * h;
    const double x = a * std::sin(t);
    const double wall = std::sqrt(kOuter * kOuter - x * x) - std::sqrt(kInner * kInner - x * x);
    const double weight = i == 0 || i == kSteps ? 1.0 : i % 2 == 1 ? 4.0 : 2.0;
    sum += weight * 2.0 * a * a * std::cos(t) * std::cos(t) * wall;
  }
  return sum * h / 3.0;
}

double TubeVolume(double length) {
  return std::numbers::pi * (kOuter * kOuter - kInner * kInner) * length;
}

/// A binary STL file: 80 bytes of head, a count, 50 bytes a triangle (its common description; the
/// normal first, then the corners).
struct Stl {
  std::string head;
  std::vector<std::array<Vec3, 3>> triangles;

  [[nodiscard]] double Volume() const {
    double six = 0.0;
    for (const auto& t : triangles) six += t[0].dot(t[1].cross(t[2]));
    return six / 6.0;
  }
  [[nodiscard]] Eigen::AlignedBox3d Box() const {
    Eigen::AlignedBox3d box;
    for (const auto& t : triangles) {
      for (const Vec3& p : t) box.extend(p);
    }
    return box;
  }
};

Stl Read(const std::string& bytes) {
  Stl stl;
  EXPECT_GE(bytes.size(), 84U);
  if (bytes.size() < 84) return stl;
  stl.head = bytes.substr(0, 80);
  std::uint32_t count = 0;
  std::memcpy(&count, &bytes[80], sizeof count);
  EXPECT_EQ(bytes.size(), 84U + 50U * count);
  for (std::size_t at = 84; at + 50 <= bytes.size(); at += 50) {
    std::array<float, 12> numbers{};
    std::memcpy(numbers.data(), &bytes[at], sizeof numbers);
    std::array<Vec3, 3> corners;
    for (std::size_t k = 0; k < 3; ++k) {
      corners[k] = {numbers[3 + 3 * k], numbers[4 + 3 * k], numbers[5 + 3 * k]};
    }
    stl.triangles.push_back(corners);
  }
  return stl;
}

class ProgramModel : public ProgramRuns {};

// ---- Models

TEST_F(ProgramModel, BothSidesOfATubeHaveItsVolumeAndAHoleTakesOutWhatItsWallIsThere) {
  Write(ClearJob());
  const Json whole = Document("model job.toml --to tube.stl", 0);
  EXPECT_EQ(whole.at("command"), "model");
  EXPECT_EQ(whole.at("file"), "tube.stl");
  ASSERT_EQ(whole.at("parts").size(), 2U);
  const Json drilled = Document("model job.toml --to drilled.stl --drilled", 0);
  for (std::size_t i = 0; i < 2; ++i) {
    const Json& part = whole.at("parts").at(i);
    EXPECT_EQ(part.at("name"), i == 0 ? "tube left" : "tube right");
    EXPECT_NEAR(part.at("volume_mm3").get<double>(), TubeVolume(400.0), 0.01);
    EXPECT_NEAR(part.at("volume_mm3").get<double>() -
                    drilled.at("parts").at(i).at("volume_mm3").get<double>(),
                TakenOut(6.0), 0.01);
  }
  // Where locate puts them.
  const Json located = Document("locate job.toml", 0).at("points");
  ASSERT_EQ(whole.at("points").size(), located.size());
  for (std::size_t i = 0; i < located.size(); ++i) {
    const std::string name = located.at(i).at("name").get<std::string>() + " " +
                             located.at(i).at("side").get<std::string>();
    EXPECT_EQ(whole.at("points").at(i).at("name"), name);
    for (std::size_t axis = 0; axis < 3; ++axis) {
      EXPECT_NEAR(whole.at("points").at(i).at("position_mm").at(axis).get<double>(),
                  located.at(i).at("position_mm").at(axis).get<double>(), 1e-8);
    }
  }
  EXPECT_EQ(whole.at("axes").size(), 2U);
  // The file, as another program reads it; chords lie inside the outer circle.
  const Stl stl = Read(Text(folder_ / "tube.stl"));
  EXPECT_NEAR(stl.Volume(), 2.0 * TubeVolume(400.0), 0.01 * TubeVolume(400.0));
  EXPECT_LT((stl.Box().min() - Vec3(-kOuter, -500.0, 300.0 - kOuter)).norm(), 0.05);
  EXPECT_LT((stl.Box().max() - Vec3(kOuter, 500.0, 300.0 + kOuter)).norm(), 0.05);
}

TEST_F(ProgramModel, ASharedPartIsOneBodyWithTheHolesOfTheSidesAskedFor) {
  std::string tube =
      With(With(kTube, "section", "shared = true\nsection"), "[0, 100,", "[0, -400,");
  tube = With(With(With(tube, "[0, 500,", "[0, 400,"), "inner end", "right end"), "outer end",
              "left end");
  Write(std::string(kHead) + tube +
        With(With(kHole, "inner end", "left end"), "outboard", "inboard"));
  for (const std::string filter : {"", " --side right"}) {
    std::vector<std::string> holes;
    if (filter.empty()) holes.emplace_back("D1 left");
    holes.emplace_back("D1 right");
    const Json model = Document("model job.toml --drilled --to tube.glb" + filter, 0);
    EXPECT_EQ(model.at("complete"), filter.empty());
    ASSERT_EQ(model.at("parts").size(), 1U) << filter;
    const Json& part = model.at("parts").at(0);
    EXPECT_EQ(part.at("name"), "tube");
    EXPECT_NEAR(part.at("volume_mm3").get<double>(),
                TubeVolume(800.0) - static_cast<double>(holes.size()) * TakenOut(6.0), 0.02);
    ASSERT_EQ(model.at("points").size(), holes.size());
    for (std::size_t i = 0; i < holes.size(); ++i) {
      EXPECT_EQ(model.at("points").at(i).at("name"), holes[i]);
      // 200 mm in from its own end.
      const double y = model.at("points").at(i).at("position_mm").at(1).get<double>();
      EXPECT_NEAR(y, holes[i] == "D1 left" ? 200.0 : -200.0, 1e-6);
      const Json& faces = part.at("faces");
      EXPECT_NE(std::find(faces.begin(), faces.end(), holes[i]), faces.end()) << faces;
    }
    // glTF 2.0, Khronos: a head of 12 bytes says how long the whole is.
    const std::string bytes = Text(folder_ / "tube.glb");
    std::uint32_t length = 0;
    ASSERT_GT(bytes.size(), 12U);
    std::memcpy(&length, &bytes[8], sizeof length);
    EXPECT_EQ(bytes.substr(0, 4), "glTF");
    EXPECT_EQ(length, bytes.size());
  }
}

TEST_F(ProgramModel, AStepFileIsNamedForTheSetAndSaysWhatItHolds) {
  Write(ClearJob());
  const Said run = Program("model job.toml --side left --to model/tube.stp");
  EXPECT_EQ(run.status, 0) << run.err;
  const std::string step = Text(folder_ / "model/tube.stp");
  EXPECT_EQ(run.out, "model/tube.stp: 1 part, 2 points, 1 drill axes; " +
                         std::to_string(step.size()) + " bytes\n");
  for (const char* words : {"ISO-10303-21;", "Tube to test with", "holes not drilled", "tube left",
                            "END-ISO-10303-21;"}) {
    EXPECT_NE(step.find(words), std::string::npos) << words;
  }
}

TEST_F(ProgramModel, WhatCannotBeModelledIsToldAndNothingIsWritten) {
  Write(With(ClearJob(), "tape = 200", "tape = 3"));
  Refuses("model job.toml --drilled --to tube.stl", 4,
          "hole \"D1 left\" cannot be drilled in the model: its depths could not be computed");
  Write("in the way", "taken");
  Refuses("model job.toml --to taken/tube.stl", 4, "taken");
  Refuses("model missing.toml --to tube.stl", 4, "missing.toml:1:1: ");
  Refuses("model job.toml --to tube.obj", 2,
          "'tube.obj' does not end in .step, .stp, .glb or .stl, which says what is written");
  Refuses("model job.toml", 2, "'model' needs a job file and --to FILE");
  Refuses("model job.toml --part tub --to tube.stl", 2,
          "--part tub: the job has no such part; did you mean \"tube\"? Its parts: tube");
}

// ---- Guides

/// The tube with a hole 200 mm from its inner end, stopped at 10 mm; a clip beside it on the right.
std::string GuideJob() {
  const std::string clip =
      "[[part.tube.fitting]]\nname = \"clip\"\nkind = \"bracket\"\nface = \"bottom\"\n"
      "station = 230\nheight = 60\nsize = [30, 30]\nonly = \"right\"\n";
  return std::string(kHead) + "[tool.drill]\nprojection = 55\n" + kTube + clip +
         With(kHole, "[6]", "[4]\nstop = 10") + kTest +
         With(kTemplate, "\"inner end\", \"bottom\"", "\"clip\", \"outer end\"");
}

constexpr double kGap = 0.2;   // the default, between saddle and skin, mm
constexpr double kTop = 45.0;  // projection less stop: from the skin to the top, pressed home
constexpr double kBush = 10.0;
constexpr double kBlock = 20.0;  // across: the bush and 5 mm on both sides of it

/// A guide as it is printed: its top on the plate, z along the drill, x along the part.
void ExpectGuide(const Stl& stl) {
  EXPECT_NEAR(stl.Box().min().z(), 0.0, 1e-5);
  const double axis = kTop + kGap + kOuter;  // height of the tube's axis over the plate
  double bore = 1e9;
  double skin = 1e9;
  Eigen::AlignedBox2d top;
  for (const auto& triangle : stl.triangles) {
    for (const Vec3& p : triangle) {
      bore = std::min(bore, std::hypot(p.x(), p.y()));
      skin = std::min(skin, std::hypot(p.y(), p.z() - axis));
      if (p.z() < 1e-4) top.extend(Vec2(p.x(), p.y()));
    }
  }
  EXPECT_NEAR(bore, 0.5 * kBush, 1e-4);
  EXPECT_NEAR(skin, kOuter + kGap, 0.01);
  EXPECT_LT((top.min() - Vec2(-0.5 * kBlock, -0.5 * kBlock)).norm(), 1e-4);
  EXPECT_LT((top.max() - Vec2(0.5 * kBlock, 0.5 * kBlock)).norm(), 1e-4);
}

TEST_F(ProgramModel, AGuideIsPrintedWithItsTopOnThePlateAndSaysHowItStops) {
  Write(GuideJob());
  const Json guide = Document("guide job.toml --point D1 --bush 10 --side left --to left.stl", 0);
  EXPECT_EQ(guide.at("command"), "guide");
  EXPECT_EQ(guide.at("complete"), false);
  EXPECT_EQ(guide.at("file"), "left.stl");
  EXPECT_EQ(guide.at("point"), "D1");
  EXPECT_EQ(guide.at("side"), "left");
  EXPECT_EQ(guide.at("stage"), 1);
  EXPECT_EQ(guide.at("drill_mm"), 4.0);
  EXPECT_EQ(guide.at("bush_mm"), kBush);
  EXPECT_NEAR(guide.at("bush_length_mm").get<double>(), kTop, 1e-9);
  EXPECT_NEAR(guide.at("stop_mm").get<double>(), 10.0, 1e-9);
  EXPECT_NEAR(guide.at("landing_mm").get<double>(), 55.0, 1e-9);
  EXPECT_NEAR(guide.at("gap_mm").at("least").get<double>(), kGap, 0.01);
  EXPECT_NEAR(guide.at("gap_mm").at("greatest").get<double>(), kGap, 0.01);
  EXPECT_EQ(guide.at("lined_up"), Json::array());
  EXPECT_EQ(guide.at("not_lined_up"),
            Json({"clip: nothing to bear against; line the bore up with the mark",
                  "outer end is 200 mm away, more than the 60 mm it reaches"}));
  EXPECT_EQ(guide.at("verdict"), "clear");
  const Stl stl = Read(Text(folder_ / "left.stl"));
  ExpectGuide(stl);
  EXPECT_EQ(stl.head.find("NOT CLEAR"), std::string::npos) << stl.head;
  // Turned into the printer's frame and not mirrored: the metal is inside.
  EXPECT_NEAR(stl.Volume(), guide.at("volume_mm3").get<double>(), 0.003 * stl.Volume());
  EXPECT_GT(stl.Volume(), 10000.0);
}

// The clip leaves the chuck no room: the hole is not clear there, and the guide says so.
TEST_F(ProgramModel, AGuideOfTheOtherSideKeepsOffWhatStandsThereAloneAndIsNotClear) {
  Write(GuideJob());
  const Said run = Program("guide job.toml --point D1 --bush 10 --side right --to right.stl");
  EXPECT_EQ(run.status, 1) << run.out << run.err;
  const Stl stl = Read(Text(folder_ / "right.stl"));
  const std::string volume = fmt::format("{:.1f} cm3 to print", stl.Volume() / 1000.0);
  for (const char* words :
       {"right.stl: guide for D1, right side, drill 4.00 mm",
        "bush 10.00 mm outside, 45.0 mm long, flush with the top",
        "stop 10.0 mm: the chuck, or a collar set 55.0 mm behind the tip, lands on the top",
        "it butts against the clip", "outer end is 200 mm away, more than the 60 mm it reaches",
        "fit measured: gap 0.20 to 0.20 mm", volume.c_str(), "Verdict on D1: tight"}) {
    EXPECT_NE(run.out.find(words), std::string::npos) << words << '\n' << run.out;
  }
  ExpectGuide(stl);
  EXPECT_NE(stl.head.find("NOT CLEAR"), std::string::npos) << stl.head;
  // The clip begins 15 mm outboard of the hole.
  EXPECT_NEAR(stl.Box().max().x(), 15.0 - kGap, 1e-3);
}

TEST_F(ProgramModel, WhatHasNoGuideIsToldAndNothingIsWritten) {
  Write(GuideJob());
  const auto refuses = [&](const std::string& arguments, const std::string& what) {
    Refuses("guide job.toml --to guide.stl " + arguments, 2, what);
  };
  refuses("--point D1 --bush 10",
          "a guide fits one side of the vehicle: say --side left or --side right");
  refuses("--point P1 --bush 10 --side right",
          "the job has no drill point \"P1\" on the right side");
  refuses("--point D1 --bush 10 --side left --stage 2", "point \"D1\" has no stage 2; it has 1");
  refuses("--point D1 --bush 4 --side left",
          "point \"D1\": a bush of 4 mm outside cannot hold its drill of 4 mm");
  refuses("--point D1 --side left", "'guide' needs a job file, --point NAME, --bush MM and --to");
  Refuses("guide missing.toml --point D1 --bush 10 --side left --to guide.stl", 4,
          "missing.toml:1:1: ");
  Write(With(GuideJob(), "[4]\nstop = 10", "[2]\nstop = 10"));
  refuses("--point D1 --bush 3 --side right", "too small to letter \"D1 / RIGHT / Ø 2");
}

}  // namespace
}  // namespace holeward
