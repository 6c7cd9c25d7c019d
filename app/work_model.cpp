#include "app/work_model.h"

#include <algorithm>

#include <fmt/format.h>

#include "app/work_section.h"
#include "export/result_rows.h"
#include "geometry/drill.h"
#include "models/part_solid.h"

namespace holeward {
namespace {

constexpr double kAxisLength = 30.0;  // of a drill's axis outside the skin, mm
// A hole's cylinder goes this far past the near wall, so that no film of metal is left, mm.
constexpr double kPast = 0.05;

std::string Sided(const std::string& name, const SideWork& side) {
  return fmt::format("{} {}", name, Word(side.side));
}

// From the frame of the described side to the vehicle.
Vec3 InVehicle(const Vec3& place, const SideWork& side) {
  return side.mirrored ? Mirrored(place) : place;
}

const HoleCheck* FinalStage(const SideWork& side, const std::string& point) {
  const HoleCheck* last = nullptr;
  for (const HoleCheck& hole : side.checking.holes) {
    if (hole.point == point) last = &hole;
  }
  return last;
}

// What the final drill takes out of the near wall, in the frame of the described side: from its own
// diameter outside, which clears the curve of any skin it fits on, to where the full diameter is
// through.
Result<NamedSolid> HoleBody(const Job& job, const SideWork& side, const PlacedPoint& point) {
  const HoleCheck* check = FinalStage(side, point.name);
  if (check == nullptr || check->outcome == Outcome::not_computed || check->breakthrough <= 0.0) {
    return Fail(ErrorKind::computed,
                fmt::format("hole \"{}\" cannot be drilled in the model: its depths could not be "
                            "computed",
                            Sided(point.name, side)));
  }
  const auto pose = IntendedPose(job, side, point.name);
  if (!pose) return tl::unexpected<Error>(pose.error());
  const auto drill = Drill::Of(job.drill, check->diameter);
  if (!drill) return tl::unexpected<Error>(drill.error());
  const double through = check->breakthrough - drill->FullBehind() + kPast;
  return NamedSolid::Cylinder(
      Sided(point.name, side), pose->entry - check->diameter * pose->direction,
      pose->entry + through * pose->direction, drill->radius(), FaceRole::hole);
}

bool IsDrilled(const Job& job, const std::string& point) {
  return std::any_of(job.points.begin(), job.points.end(), [&](const PointRow& row) {
    return row.name == point && row.use == PointUse::drill;
  });
}

// The bodies of a part's holes on one side, in the vehicle if asked for.
Result<void> AddHoles(const Work& work, const SideWork& side, const Part& part, bool in_vehicle,
                      std::vector<NamedSolid>* holes) {
  for (const PlacedPoint& point : side.points) {
    if (point.part != part.name || !IsDrilled(work.job, point.name)) continue;
    auto body = HoleBody(work.job, side, point);
    if (body && in_vehicle && side.mirrored) body = body->Mirrored();
    if (!body) return tl::unexpected<Error>(body.error());
    holes->push_back(std::move(*body));
  }
  return {};
}

// A shared part stands where it is whatever side is looked at, with the holes of both.
Result<ModelPart> SharedPart(const Work& work, const Part& part, bool drilled) {
  const SideWork& first = work.sides.front();
  auto solid = WithFittings(part);
  if (solid && first.mirrored) solid = solid->Mirrored();
  std::vector<NamedSolid> holes;
  for (const SideWork& side : work.sides) {
    if (!solid || !drilled) break;
    if (const auto added = AddHoles(work, side, part, true, &holes); !added) {
      return tl::unexpected<Error>(added.error());
    }
  }
  if (solid) solid = solid->Cut(holes);
  if (!solid) return tl::unexpected<Error>(solid.error());
  return ModelPart{part.name, std::move(*solid)};
}

Result<ModelPart> SidedPart(const Work& work, const SideWork& side, const Part& part,
                            bool drilled) {
  auto solid = WithFittings(part);
  std::vector<NamedSolid> holes;
  if (drilled) {
    if (const auto added = AddHoles(work, side, part, false, &holes); !added) {
      return tl::unexpected<Error>(added.error());
    }
  }
  if (solid) solid = solid->Cut(holes);
  if (solid && side.mirrored) solid = solid->Mirrored();
  if (!solid) return tl::unexpected<Error>(solid.error());
  return ModelPart{Sided(part.name, side), std::move(*solid)};
}

Result<void> AddMarks(const Work& work, const SideWork& side, ModelDocument* model) {
  for (const PlacedPoint& point : side.points) {
    const PointRow* row = work.job.FindPoint(point.name);
    const Vec3 place = InVehicle(point.position, side);
    model->marks.push_back({Sided(point.name, side), row->use, place});
    if (row->use != PointUse::drill) continue;
    const auto pose = IntendedPose(work.job, side, point.name);
    if (!pose) return tl::unexpected<Error>(pose.error());
    const Vec3 outside = pose->entry - kAxisLength * pose->direction;
    model->axes.push_back({Sided(point.name, side) + " axis", InVehicle(outside, side), place});
  }
  return {};
}

}  // namespace

Result<ModelDocument> ModelOf(const Work& work, const Options& options) {
  ModelDocument model;
  model.title = work.job.title;
  model.note = fmt::format(
      "set {} {}; a model, not a release: the verdicts stand in the check "
      "report{}",
      work.job.set_number, work.job.set_revision, options.drilled ? "" : "; holes not drilled");
  model.date = DateOfRun();
  for (const SideWork& side : work.sides) {
    for (const Part& part : side.scene.parts) {
      const bool asked = !options.part || part.name == *options.part;
      if (!asked || (part.shared && &side != &work.sides.front())) continue;
      auto made = part.shared ? SharedPart(work, part, options.drilled)
                              : SidedPart(work, side, part, options.drilled);
      if (!made) return tl::unexpected<Error>(made.error());
      model.parts.push_back(std::move(*made));
    }
    if (const auto added = AddMarks(work, side, &model); !added) {
      return tl::unexpected<Error>(added.error());
    }
  }
  return model;
}

}  // namespace holeward
