#include "geometry/channel_of_solid.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <fmt/format.h>

#include "geometry/solid_kernel.h"
#include "geometry/tube_of_solid.h"

namespace holeward {
namespace {

// Lengths and radii of an end agree within this, mm.
constexpr double kSame = 1e-3;
// Directions agree within this, radians: 1e-3 mm on 100 mm.
constexpr double kSquare = 1e-5;

tl::unexpected<Error> Refused(const std::string& what, const std::string& why) {
  return Fail(ErrorKind::job, fmt::format("{}: {}", what, why));
}

/// An end and its wall.
struct WalledEnd {
  ChannelEnd end;
  double wall = 0.0;
};

bool Same(double a, double b) { return std::abs(a - b) < kSame; }

/// The end of an outline of eight corners whose number `first` is an outer lip: round the outside
/// to the other lip, and back inside. Nothing if they do not make a channel.
std::optional<WalledEnd> EndFrom(const TubeEnd& outline, std::size_t first) {
  const auto at = [&](std::size_t i) { return outline.vertices[(first + i) % 8]; };
  const auto radius = [&](std::size_t i) { return outline.corner_radii[(first + i) % 8]; };
  for (const std::size_t lip : {0, 3, 4, 7}) {
    if (radius(lip) > 0.0) return std::nullopt;
  }
  WalledEnd found;
  ChannelEnd& end = found.end;
  found.wall = (at(7) - at(0)).norm();
  end.web = (at(2) - at(1)).norm();
  end.flange = (at(1) - at(0)).norm();
  end.corner = radius(1);
  end.open = (at(0) - at(1)).normalized();
  end.along_web = (at(2) - at(1)).normalized();
  end.centre = 0.25 * (at(0) + at(1) + at(2) + at(3));
  // Every corner where the box of these sizes has it, and the inside one wall within.
  const double inner = std::max(0.0, end.corner - found.wall);
  const bool rounded =
      Same(radius(2), end.corner) && Same(radius(5), inner) && Same(radius(6), inner);
  if (!rounded || std::abs(end.open.dot(end.along_web)) > kSquare) return std::nullopt;
  const auto place = [&](double out, double across) {
    return Vec3(end.centre + out * end.open + across * end.along_web);
  };
  const double half = 0.5 * end.flange;
  const double side = 0.5 * end.web;
  const double thick = found.wall;
  const std::array<Vec3, 8> expected{place(half, -side),
                                     place(-half, -side),
                                     place(-half, side),
                                     place(half, side),
                                     place(half, side - thick),
                                     place(-half + thick, side - thick),
                                     place(-half + thick, -side + thick),
                                     place(half, -side + thick)};
  for (std::size_t i = 0; i < 8; ++i) {
    if ((at(i) - expected[i]).norm() > kSame) return std::nullopt;
  }
  return found;
}

std::optional<WalledEnd> EndOfFace(const TopoDS_Face& face) {
  int edges = 0;
  for (TopExp_Explorer e(face, TopAbs_EDGE); e.More(); e.Next()) ++edges;
  if (edges < 8) return std::nullopt;
  const auto outline = OutlineOfFace(face, "");
  if (!outline || outline->round || !outline->closed || outline->vertices.size() != 8) {
    return std::nullopt;
  }
  for (std::size_t first = 0; first < 8; ++first) {
    if (auto end = EndFrom(*outline, first)) return end;
  }
  return std::nullopt;
}

std::vector<WalledEnd> EndsOf(const TopoDS_Shape& solid) {
  std::vector<WalledEnd> ends;
  for (TopExp_Explorer e(solid, TopAbs_FACE); e.More(); e.Next()) {
    if (const auto end = EndOfFace(TopoDS::Face(e.Current()))) ends.push_back(*end);
  }
  return ends;
}

}  // namespace

bool HasChannelEnds(const TopoDS_Shape& solid) {
  const auto found = Guarded("the solid", "looking for a channel's ends",
                             [&]() -> Result<bool> { return !EndsOf(solid).empty(); });
  return found && *found;
}

Result<FoundChannel> ChannelOfSolid(const TopoDS_Shape& solid, const std::string& what) {
  return Guarded(what, "looking for its ends", [&]() -> Result<FoundChannel> {
    std::vector<WalledEnd> ends = EndsOf(solid);
    if (ends.size() != 2) {
      return Refused(what,
                     fmt::format("a channel has two flat ends of a web and two equal flanges; "
                                 "here {} flat faces are such ends",
                                 ends.size()));
    }
    // Both round the same way: the web of the second along that of the first.
    if (ends[1].end.along_web.dot(ends[0].end.along_web) < 0.0) {
      ends[1].end.along_web = -ends[1].end.along_web;
    }
    const Vec3 way = (ends[1].end.centre - ends[0].end.centre).normalized();
    for (const WalledEnd& one : ends) {
      if (std::abs(one.end.open.dot(way)) > kSquare ||
          std::abs(one.end.along_web.dot(way)) > kSquare) {
        return Refused(what, "an end is not square to the line between the middles of both ends");
      }
    }
    if (ends[0].end.open.cross(ends[1].end.open).norm() > kSquare ||
        ends[0].end.open.dot(ends[1].end.open) < 0.0) {
      return Refused(what, "its ends are turned against each other");
    }
    if (!Same(ends[0].wall, ends[1].wall)) {
      return Refused(what,
                     fmt::format("its wall is {:.3f} mm at one end and {:.3f} mm at the other",
                                 ends[0].wall, ends[1].wall));
    }
    return FoundChannel{{ends[0].end, ends[1].end}, ends[0].wall};
  });
}

}  // namespace holeward
