// A file with one body, made of the tubes of mounted_shapes.h, and jobs that take it as a part or
// describe the same part by its sections.
#pragma once

#include <string>

#include <fmt/format.h>

#include <gtest/gtest.h>

#include "models/solid_file.h"
#include "tests/geometry/mounted_shapes.h"
#include "tests/models/checked_job.h"
#include "tests/models/solid_jobs.h"
#include "tests/models/solid_shapes.h"

namespace holeward::testing_tools {

/// The tubes placed in the vehicle, by their sections.
inline const std::string kBoxPart =
    "[part.arm]\nsection = \"box\"\nwall = 3\nfrom = [-110, 200, 300]\nto = [-110, 620, 300]\n"
    "width = 62\nheight = 52\ncorner = 8\n" +
    kEnds;
inline const std::string kRoundPart =
    "[part.arm]\nsection = \"round\"\nwall = 3\nfrom = [-110, 200, 300]\nto = [-110, 620, 300]\n"
    "diameter = 60\n" +
    kEnds;

struct Filed {
  explicit Filed(const TopoDS_Shape& shape) {
    const std::string path = WriteShapes({shape}, folder, "arm.step");
    const auto file = ReadSolidFile(path);
    EXPECT_TRUE(file && file->bodies.size() == 1);
    if (file) body = file->bodies.front();
  }

  /// The table of the part that the body is.
  [[nodiscard]] std::string Part(const std::string& more = "") const {
    const Vec3 size = body.size();
    return fmt::format(
        "[part.arm]\nsection = \"solid\"\nfile = \"arm.step\"\nsize = [{:.3f}, "
        "{:.3f}, {:.3f}]\n{}{}",
        size.x(), size.y(), size.z(), kEnds, more);
  }
  [[nodiscard]] std::string job() const { return folder.path() + "/job.toml"; }
  [[nodiscard]] CheckedJob Checked(const std::string& text) const {
    return CheckedFrom(kSolidHead + text, job());
  }
  /// The first error of a job that takes the body as a part.
  [[nodiscard]] std::string Error(const std::string& more = "") const {
    const JobReading reading = ReadJobText(kSolidHead + Part(more), job());
    return reading.errors.empty() ? "" : reading.errors.front().message;
  }

  Scratch folder;
  SolidBody body;
};

}  // namespace holeward::testing_tools
