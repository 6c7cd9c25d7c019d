#include "models/solid_mount_rows.h"

#include <algorithm>
#include <cmath>
#include <memory>

#include <fmt/format.h>

#include "geometry/fitting_body.h"
#include "geometry/mount_outline.h"
#include "models/part_law.h"
#include "models/scene_parts.h"
#include "models/solid_file.h"
#include "models/solid_sections.h"

namespace holeward {
namespace {

// Two mounts are mirror images within this, mm: as much as a shared part's skin may miss.
constexpr double kMirror = 0.01;

/// A mount measured.
struct Measured {
  const SolidMount* mount = nullptr;
  MountOutline outline;
  std::shared_ptr<const FittingBody> body;
};

FittingRow RowOf(const Skin& skin, const PartNames& names, const MountOutline& outline) {
  FittingRow row;
  row.in_body = true;
  row.height = outline.height;
  SkinPlace centre = outline.centre;
  if (outline.stud) {
    row.kind = FittingKind::stud;
    row.diameter = outline.diameter;
    row.length = outline.height;
  } else {
    row.kind = FittingKind::bracket;
    const double along = LineLength(skin, centre.v, outline.u_from, outline.u_to);
    row.size = {along, outline.around};
    centre.u = WalkLine(skin, {outline.u_from, centre.v}, 0.5 * along);
  }
  row.station = skin.StationOf(centre.u);
  PutOnNearest(skin, names, {centre.u, skin.GirthOf(centre.u, centre.v)}, row);
  return row;
}

/// A hole of the body as a fitting.
FittingRow HoleRow(const Skin& skin, const PartNames& names, const SolidHole& hole) {
  FittingRow row;
  row.kind = FittingKind::hole;
  row.in_body = true;
  row.diameter = hole.diameter;
  row.station = skin.StationOf(hole.place.u);
  PutOnNearest(skin, names, {hole.place.u, skin.GirthOf(hole.place.u, hole.place.v)}, row);
  return row;
}

/// True if b stands where the mirror image of a does, and covers as much.
bool IsImage(const Skin& skin, const FittingRow& a, const Measured& of_a, const FittingRow& b,
             const Measured& of_b) {
  const Vec3 image = Mirrored(skin.At(of_a.outline.centre).position);
  const auto near = [](double x, double y) { return std::abs(x - y) < kMirror; };
  return a.kind == b.kind && near(a.diameter, b.diameter) && near(a.size.x(), b.size.x()) &&
         near(a.size.y(), b.size.y()) && near(a.station, skin.length() - b.station) &&
         (image - skin.At(of_b.outline.centre).position).norm() < kMirror;
}

/// Of a part that serves both sides: which mounts stand on both, and what is seen of them in the
/// mirror that the other side is looked at in.
void PairUp(const Skin& skin, Side described, const std::vector<Measured>& measured,
            std::vector<FittingRow>& rows, BodyMounts& mounts) {
  for (std::size_t i = 0; i < rows.size(); ++i) {
    rows[i].only = described;
    for (std::size_t k = 0; k < rows.size(); ++k) {
      if (!IsImage(skin, rows[i], measured[i], rows[k], measured[k])) continue;
      rows[i].only.reset();
      mounts.mounts[i].mirrored = std::make_shared<const FittingBody>(Mirrored(*measured[k].body));
    }
  }
}

Result<std::vector<Measured>> MeasuredMounts(const Skin& skin, const PartedBody& parted,
                                             const std::string& what) {
  std::vector<Measured> measured;
  for (const SolidMount& mount : parted.mounts) {
    auto body = BodyOfFaces(mount.faces, what);
    if (!body) return tl::unexpected(body.error());
    const auto outline = OutlineOfMount(skin, mount, what);
    if (!outline) return tl::unexpected(outline.error());
    measured.push_back({&mount, *outline, std::make_shared<const FittingBody>(std::move(*body))});
  }
  const auto station = [&](const Measured& m) {
    return skin.StationOf(m.outline.stud ? m.outline.centre.u
                                         : 0.5 * (m.outline.u_from + m.outline.u_to));
  };
  std::stable_sort(measured.begin(), measured.end(), [&](const Measured& a, const Measured& b) {
    return station(a) < station(b) - 1e-6;
  });
  return measured;
}

}  // namespace

void PutOnNearest(const Skin& skin, const PartNames& names, const Vec2& at, FittingRow& row) {
  const double u = at.x();
  row.aside = 1e300;
  const auto offer = [&](const std::string& name, double v) {
    double aside = at.y() - skin.GirthOf(u, v);
    if (skin.closed()) aside = std::remainder(aside, skin.Perimeter(u));
    if (std::abs(aside) >= std::abs(row.aside)) return;
    row.aside = aside;
    row.face = name;
  };
  for (const Face& face : names.faces) offer(face.name, face.piece + 0.5);
  for (const NamedLine& line : names.lines) offer(line.name, line.v);
}

std::vector<FittingRow> HoleRows(const PartRow& part, const Skin& skin, const PartNames& names,
                                 const std::vector<SolidHole>& holes) {
  std::vector<FittingRow> rows;
  for (const SolidHole& hole : holes) {
    FittingRow row = HoleRow(skin, names, hole);
    row.name = fmt::format("hole {}", rows.size() + 1);
    row.basis = part.basis;
    row.at = part.at;
    rows.push_back(std::move(row));
  }
  return rows;
}

Result<std::vector<FittingRow>> TakeMounts(PartRow& part, Side described,
                                           const PartedBody& parted) {
  const std::string what = Named(part);
  const auto skin = Skin::Make(LawOf(part, described));
  if (!skin) return tl::unexpected(skin.error());
  const auto measured = MeasuredMounts(*skin, parted, what);
  if (!measured) return tl::unexpected(measured.error());
  const PartNames names = NamesOf(part, described);
  BodyMounts mounts{parted.bare, {}, {}};
  std::vector<FittingRow> rows;
  for (const Measured& one : *measured) {
    FittingRow row = RowOf(*skin, names, one.outline);
    row.name = fmt::format("mount {}", rows.size() + 1);
    row.basis = part.basis;
    row.at = part.at;
    mounts.mounts.push_back({row.name, one.mount->faces, one.body, nullptr});
    rows.push_back(std::move(row));
  }
  if (part.shared) PairUp(*skin, described, *measured, rows, mounts);
  auto source = std::make_shared<SolidSource>(*part.solid);
  source->mounts = std::make_shared<const BodyMounts>(std::move(mounts));
  part.solid = std::move(source);
  return rows;
}

std::vector<NamedMount> FacesOfMounts(const PartRow& part) {
  std::vector<NamedMount> named;
  for (const MountMetal& mount : part.solid->mounts->mounts) {
    named.push_back({mount.name, mount.faces});
  }
  return named;
}

void NameMounts(PartRow& part, const std::vector<std::string>& names) {
  if (!part.solid || !part.solid->mounts) return;
  BodyMounts mounts = *part.solid->mounts;
  for (std::size_t i = 0; i < std::min(names.size(), mounts.mounts.size()); ++i) {
    mounts.mounts[i].name = names[i];
  }
  auto source = std::make_shared<SolidSource>(*part.solid);
  source->mounts = std::make_shared<const BodyMounts>(std::move(mounts));
  part.solid = std::move(source);
}

}  // namespace holeward
