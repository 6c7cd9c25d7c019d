// Parts written out as STEP by the program, to be read back as solids.
#pragma once

#include <cstdlib>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "models/solid_file.h"
#include "tests/export/outside_tool.h"
#include "tests/models/job_head.h"

namespace holeward::testing_tools {

inline const std::string kSolidHead = JobHead("solid test");

/// A part by its sections, and points on it.
struct SolidCase {
  std::string name;
  std::string shape;   ///< what a part has and a solid finds
  std::string common;  ///< what both say
  std::string points;
};

inline void PrintTo(const SolidCase& one, std::ostream* out) { *out << one.name; }

inline std::string FacePoints(const std::string& toward) {
  return R"(
[[point]]
name = "K"
use = "reference"
part = "arm"
face = "underside"
rule = [ { tape = 90, from = "inner end", toward = ")" +
         toward + R"(" }, { rule = 21, from = "rear edge", toward = "front", edge = "sharp" } ]
[[point]]
name = "D1"
use = "drill"
part = "arm"
face = "rear"
rule = [ { tape = 120, from = "K", toward = ")" +
         toward + R"(" }, { middle = "face" } ]
drill = [3.5, 7]
[[point]]
name = "T1"
use = "test"
part = "arm"
face = "top"
rule = [ { tape = 60, from = "outer end", toward = "inboard" }, { middle = "face" } ]
)";
}

inline const std::string kEnds = "start = \"inner end\"\nfinish = \"outer end\"\n";
inline const std::string kRod = R"([[part.arm.inner]]
name = "rod"
diameter = 14
offset = [0, 0, 3]
reach = [20, 380]
)";

/// @param tape from the reference point to the hole, mm
inline std::string RoundPoints(int tape) {
  return R"(
[[point]]
name = "K"
use = "reference"
part = "arm"
rule = [ { tape = 90, from = "inner end", toward = "outboard" }, { line = "bottom" } ]
[[point]]
name = "D1"
use = "drill"
part = "arm"
rule = [ { tape = )" +
         std::to_string(tape) +
         R"(, from = "K", toward = "outboard" }, { protractor = 30, from = "bottom", toward = "rear" } ]
drill = [3.5, 7]
[[point]]
name = "T1"
use = "test"
part = "arm"
rule = [ { tape = 60, from = "outer end", toward = "inboard" }, { line = "top" } ]
)";
}

inline std::vector<SolidCase> SolidCases() {
  return {
      {"StraightBox",
       "section = \"box\"\nwall = 3\nstations = [ { centre = [-110, 200, 300], width = 62, height "
       "= "
       "52, corner = 8 }, { centre = [-110, 620, 300], width = 62, height = 52, corner = 8 } ]\n",
       kEnds + kRod, FacePoints("outboard")},
      {"TaperedBoxThatRises",
       "section = \"box\"\nwall = 2.5\nstations = [ { centre = [-110, 200, 300], width = 66, "
       "height "
       "= 58, corner = 9 }, { centre = [-95, 620, 330], width = 50, height = 44, corner = 7 } ]\n",
       kEnds + kRod, FacePoints("outboard")},
      {"SharpCorneredBox",
       "section = \"box\"\nwall = 4\nstations = [ { centre = [-110, 200, 300], width = 60, height "
       "= "
       "50, corner = 2 }, { centre = [-110, 620, 300], width = 60, height = 50, corner = 2 } ]\n",
       kEnds + kRod, FacePoints("outboard")},
      {"RoundClosedAtOneEnd",
       "section = \"round\"\ndiameter = 60.3\nwall = 3\nfrom = [-110, 200, 300]\nto = [-110, 620, "
       "340]\nends = [\"open\", \"closed\"]\n",
       kEnds + kRod, RoundPoints(120)},
      {"TaperedRound",
       "section = \"round\"\nwall = 3\nstations = [ { centre = [-110, 200, 300], diameter = 60 }, "
       "{ "
       "centre = [-110, 620, 300], diameter = 44 } ]\n",
       kEnds, R"(
[[point]]
name = "D1"
use = "drill"
part = "arm"
rule = [ { tape = 200, from = "inner end", toward = "outboard" }, { line = "front" } ]
drill = [5]
)"},
      {"BentRound",
       "section = \"round\"\nwall = 3\ndiameter = 54\nstations = [ [-110, 200, 300], [-104, 330, "
       "312], [-118, 470, 350], [-160, 600, 410] ]\n",
       kEnds + kRod, RoundPoints(150)},
      {"OpenChannel",
       "section = \"channel\"\nopen = \"rear\"\nwall = 4\nwidth = 64\nheight = 90\ncorner = 8\n"
       "from = [-110, 200, 300]\nto = [-110, 620, 330]\n",
       kEnds, R"(
[[point]]
name = "D1"
use = "drill"
part = "arm"
face = "front"
rule = [ { tape = 200, from = "inner end", toward = "outboard" }, { middle = "face" } ]
drill = [5]
[[point]]
name = "D2"
use = "drill"
part = "arm"
face = "top"
rule = [ { tape = 300, from = "inner end", toward = "outboard" }, { rule = 30, from = "front edge", toward = "rear", edge = "sharp" } ]
drill = [6]
)"},
      {"PressedArm",
       "section = \"box\"\nwall = 2.9\nends = [\"open\", \"closed\"]\nstations = [ { centre = "
       "[-110, "
       "200, 300], width = 60, height = 66, corner = 10 }, { centre = [-104, 290, 306], width = "
       "64, "
       "height = 68, corner = 10 }, { centre = [-112, 400, 322], width = 54, height = 60, corner = "
       "9 }, { centre = [-130, 520, 330], width = 48, height = 56, corner = 8 } ]\n",
       kEnds, FacePoints("outboard")},
      {"OutlineOfFive",
       "section = \"outline\"\nwall = 3\noutline = [[30, -25], [30, 15], [10, 30], [-30, 30], "
       "[-30, "
       "-25]]\ncorner = 6\nfrom = [-110, 200, 300]\nto = [-110, 620, 300]\n",
       kEnds, R"(
[[point]]
name = "D1"
use = "drill"
part = "arm"
face = "rear"
rule = [ { tape = 200, from = "inner end", toward = "outboard" }, { middle = "face" } ]
drill = [5]
)"},
  };
}

inline std::string SectionJob(const SolidCase& one) {
  return kSolidHead + "[part.arm]\n" + one.shape + one.common + one.points;
}

/// Writes a case's part into the folder as `name`; its path.
inline std::string WriteStep(const SolidCase& one, const Scratch& folder, const std::string& name,
                             const std::string& options = "") {
  // Without the rod: it would be a second body of the file.
  SolidCase bare = one;
  if (const auto rod = bare.common.find("[["); rod != std::string::npos) bare.common.resize(rod);
  const std::string job = folder.Put(name + ".toml", SectionJob(bare));
  const std::string file = folder.path() + "/" + name;
  const std::string run = "'" HOLEWARD_PROGRAM "' model '" + job + "' --to '" + file + "' " +
                          options + " >/dev/null 2>&1";
  EXPECT_EQ(std::system(run.c_str()) & ~0x0300, 0) << run;  // 1: not all is clear
  return file;
}

/// The job that takes the part from the file.
inline std::string SolidJob(const SolidCase& one, const std::string& file, const Vec3& size) {
  std::ostringstream job;
  job << kSolidHead << "[part.arm]\nsection = \"solid\"\nfile = \"" << file << "\"\nsize = ["
      << size.x() << ", " << size.y() << ", " << size.z() << "]\n"
      << one.common << one.points;
  return job.str();
}

}  // namespace holeward::testing_tools
