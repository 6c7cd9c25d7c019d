#include "app/work_guide.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "app/output.h"
#include "app/work_section.h"
#include "app/write_model.h"
#include "export/letter_outlines.h"
#include "export/model_stl.h"
#include "geometry/solid_mesh.h"
#include "geometry/solid_prism.h"
#include "models/part_solid.h"

namespace holeward {
namespace {

constexpr double kGapTolerance = 0.1;  // of the finished gap, mm: what the guide is to keep
constexpr double kLetterHeight = 5.0;  // mm
constexpr double kLetterLeast = 2.2;   // below it a printed letter cannot be read, mm
constexpr double kLetterMargin = 1.5;  // from the edge of the block, mm
constexpr double kTouching = 0.5;      // common volume that is rounding, mm³

/// The datums that the templates with the point are lined up by; without one, the part's ends and
/// what the rule is read from.
std::vector<std::string> DatumsOf(const Job& job, const PointRow& row, const Part& part) {
  std::vector<std::string> datums;
  const auto add = [&](const std::string& name) {
    if (std::find(datums.begin(), datums.end(), name) == datums.end()) datums.push_back(name);
  };
  for (const TemplateRow& sheet : job.templates) {
    if (!sheet.Shows(row.part, row.name)) continue;
    for (const std::string& align : sheet.align) add(align);
  }
  if (!datums.empty()) return datums;
  add(part.start);
  add(part.finish);
  return datums;
}

Result<HoleCheck> StageOf(const SideWork& side, const PointRow& row, int stage) {
  for (const HoleCheck& hole : side.checking.holes) {
    if (hole.point == row.name && hole.stage == stage) return hole;
  }
  return Fail(ErrorKind::job, fmt::format("point \"{}\" has no stage {}; it has {}", row.name,
                                          stage, row.drill.size()));
}

/// The height of the guide's top: what holds the drill stands so far behind its tip, less the stop.
/// The saddle may come to rest up to one gap nearer to the skin than it is made, so that much more.
Result<double> TopOf(const Job& job, const HoleCheck& hole, double gap) {
  if (!hole.stop) {
    return Fail(ErrorKind::job, fmt::format("point \"{}\" is drilled without a stop; a guide is a "
                                            "stop: give the point one",
                                            hole.point));
  }
  const auto& projections = job.drill.projection;
  const double projection =
      projections[std::min(static_cast<std::size_t>(hole.stage - 1), projections.size() - 1)];
  return projection - *hole.stop + gap;
}

Result<std::vector<LetterOutline>> LettersOf(const DrillGuide& guide) {
  std::vector<std::string> lines = {guide.point, guide.side == Side::left ? "LEFT" : "RIGHT",
                                    fmt::format("\u00d8 {:g}", guide.drill)};
  if (guide.verdict != Verdict::clear) lines.insert(lines.end(), {"NOT", "CLEAR"});
  const double room = BlockSide(guide.spec.bush) - 2.0 * kLetterMargin;
  const double height = guide.spec.height - kGuideSaddle - 2.0 * kLetterMargin;
  const double fits = std::min(kLetterHeight, height / (1.65 * static_cast<double>(lines.size())));
  auto letters = fits < kLetterLeast ? std::vector<LetterOutline>{}
                                     : OutlinesOf(lines, room, fits, kLetterLeast);
  if (letters.empty()) {
    return Fail(ErrorKind::job,
                fmt::format("point \"{}\": its guide's block is {:.0f} mm wide and {:.0f} mm high, "
                            "too small to letter \"{}\" with signs of {:g} mm",
                            guide.point, room, height, fmt::join(lines, " / "), kLetterLeast));
  }
  return letters;
}

/// Nothing of the scene may stand in the guide.
Result<void> CheckRoom(const SideWork& side, const DrillGuide& guide) {
  for (const Part& part : side.scene.parts) {
    if (part.solid->Bounds().intersection(guide.solid->Bounds()).isEmpty()) continue;
    const auto metal = WithFittings(part);
    if (!metal) return tl::unexpected<Error>(metal.error());
    const auto common = CommonVolume(*guide.solid, *metal);
    if (!common) return tl::unexpected<Error>(common.error());
    if (*common > kTouching) {
      return Fail(ErrorKind::computed,
                  fmt::format("{} would stand {:.1f} mm3 in {} or its fittings; no guide is made",
                              guide.spec.what, *common, part.name));
    }
  }
  for (const Neighbour& neighbour : side.scene.neighbours) {
    const auto distance = DistanceOf(*guide.solid, neighbour.path);
    if (!distance) return tl::unexpected<Error>(distance.error());
    const double room = *distance - neighbour.radius;
    if (room >= guide.spec.gap) continue;
    return Fail(
        ErrorKind::job,
        fmt::format(
            "{} would {} the {}; it must stay {:g} mm off it: no guide is made", guide.spec.what,
            room > 0.0 ? fmt::format("come within {:.2f} mm of", room) : std::string("stand in"),
            neighbour.name, guide.spec.gap));
  }
  return {};
}

Result<void> CheckFit(const SideWork& side, const Part& part, DrillGuide* guide) {
  const auto fit = FitOf(*guide->solid, *part.skin, guide->spec);
  if (!fit) return tl::unexpected<Error>(fit.error());
  guide->fit = *fit;
  const double gap = guide->spec.gap;
  if (fit->gap_least < gap - kGapTolerance || fit->gap_greatest > gap + kGapTolerance ||
      fit->skin_least < gap - kGapTolerance) {
    return Fail(ErrorKind::computed,
                fmt::format("{} came out with a gap of {:.2f} to {:.2f} mm to the skin in place of "
                            "{:g} mm; no guide is made",
                            guide->spec.what, std::min(fit->gap_least, fit->skin_least),
                            fit->gap_greatest, gap));
  }
  return CheckRoom(side, *guide);
}

/// A bush that is no wider than its drill cannot hold it.
Result<void> CheckBush(const HoleCheck& hole, double bush) {
  if (bush > hole.diameter) return {};
  return Fail(
      ErrorKind::job,
      fmt::format("point \"{}\": a bush of {:g} mm outside cannot hold its drill of {:g} mm",
                  hole.point, bush, hole.diameter));
}

/// Everything of the guide but its letters and its body.
Result<DrillGuide> PlannedGuide(const Work& work, const PointRow& row, const PlacedPoint& placed,
                                const Options& options) {
  const SideWork& side = work.sides.front();
  const Part& part = *side.scene.FindPart(placed.part);
  const auto hole = StageOf(side, row, options.stage);
  if (!hole) return tl::unexpected<Error>(hole.error());
  if (const auto bush = CheckBush(*hole, options.bush); !bush) {
    return tl::unexpected<Error>(bush.error());
  }
  const auto top = TopOf(work.job, *hole, options.gap);
  if (!top) return tl::unexpected<Error>(top.error());
  const auto pose = IntendedPose(work.job, side, placed.name);
  if (!pose) return tl::unexpected<Error>(pose.error());
  const auto plan = PlanGuide(
      part, {placed.name, placed.place, options.bush, options.gap, DatumsOf(work.job, row, part)});
  if (!plan) return tl::unexpected<Error>(plan.error());
  DrillGuide guide;
  guide.point = placed.name;
  guide.side = side.side;
  guide.mirrored = side.mirrored;
  guide.drill = hole->diameter;
  guide.stop = *hole->stop;
  guide.landing = *top - options.gap + guide.stop;
  guide.bush_length = *top - options.gap;
  guide.thinnest = std::min({kGuideSaddle, kGuideWall - kGuideEngraved, kGuideLip});
  guide.verdict = WorstAt(side.checking, placed.name);
  guide.plan = *plan;
  guide.spec.what = fmt::format("the guide for \"{}\"", placed.name);
  guide.spec.at = placed.place;
  guide.spec.entry = pose->entry;
  guide.spec.direction = pose->direction;
  guide.spec.along = part.skin->FrameAt(placed.place.u).tangent;
  guide.spec.saddle = plan->saddle;
  guide.spec.lips = plan->lips;
  guide.spec.gap = options.gap;
  guide.spec.bush = options.bush;
  guide.spec.height = *top;
  guide.spec.mirrored = side.mirrored;
  return guide;
}

/// In the frame of the printer: the top on the plate at z = 0, the tip would travel up.
SolidMesh AsPrinted(SolidMesh mesh, const GuideSpec& spec, bool mirrored) {
  const auto placed = [&](const Vec3& v) { return mirrored ? Mirrored(v) : v; };
  const Vec3 up = placed(spec.direction);
  const Vec3 origin = placed(spec.entry - spec.height * spec.direction);
  const Vec3 along = placed(spec.along);
  const Vec3 x = (along - along.dot(up) * up).normalized();
  Eigen::Matrix3d turn;
  turn << x.transpose(), up.cross(x).transpose(), up.transpose();
  for (FaceMesh& face : mesh.faces) {
    for (Vec3& place : face.places) place = turn * (place - origin);
  }
  return mesh;
}

}  // namespace

Result<DrillGuide> GuideOf(const Work& work, const Options& options) {
  const SideWork& side = work.sides.front();
  const PointRow* row = work.job.FindPoint(options.point);
  const PlacedPoint* placed = FindPlaced(side.points, options.point);
  if (row == nullptr || row->use != PointUse::drill || placed == nullptr) {
    return Fail(ErrorKind::job, fmt::format("the job has no drill point \"{}\" on the {} side",
                                            options.point, Word(side.side)));
  }
  auto guide = PlannedGuide(work, *row, *placed, options);
  if (!guide) return guide;
  auto letters = LettersOf(*guide);
  if (!letters) return tl::unexpected<Error>(letters.error());
  guide->spec.letters = std::move(*letters);
  const Part& part = *side.scene.FindPart(placed->part);
  auto solid = BuildGuide(*part.skin, guide->spec);
  if (!solid) return tl::unexpected<Error>(solid.error());
  guide->solid = std::make_shared<const NamedSolid>(std::move(*solid));
  if (const auto fits = CheckFit(side, part, &*guide); !fits) {
    return tl::unexpected<Error>(fits.error());
  }
  return guide;
}

ExitStatus WriteGuide(const Work& work, const DrillGuide& guide, const std::string& file,
                      std::string_view said, Console& console) {
  const std::string name = fmt::format("guide {} {}", guide.point, Word(guide.side));
  const auto solid = guide.mirrored ? guide.solid->Mirrored() : Result<NamedSolid>(*guide.solid);
  if (!solid) {
    return Failed(solid.error(), console);
  }
  ModelDocument model;
  model.title = name;
  model.note =
      fmt::format("set {} {}; {}, drill {:g} mm{}", work.job.set_number, work.job.set_revision,
                  name, guide.drill, guide.verdict == Verdict::clear ? "" : "; NOT CLEAR");
  model.date = DateOfRun();
  model.parts.push_back({name, *solid});
  Result<std::string> bytes;
  if (*ModelFormOf(file) == ModelForm::stl) {
    const auto mesh = MeshOf(*solid);
    bytes =
        mesh ? ToStl({AsPrinted(*mesh, guide.spec, guide.mirrored)}, "holeward, mm, " + model.note)
             : tl::unexpected<Error>(mesh.error());
  } else {
    bytes = BytesOf(model, *ModelFormOf(file));
  }
  if (!bytes) {
    return Failed(bytes.error(), console);
  }
  return WriteOne(file, std::move(*bytes), said, StatusOf(guide.verdict), console);
}

}  // namespace holeward
