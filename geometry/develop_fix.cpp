#include "geometry/develop_fix.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Core>
#include <Eigen/Eigenvalues>

namespace holeward {
namespace {

constexpr int kPlaces = 16;
// A turn about a centre farther than this from the marks is a slide to a person, mm.
constexpr double kFarCentre = 1000.0;

// A place of a polyline and its direction there.
struct Station {
  Vec2 at = Vec2::Zero();
  Vec2 run = Vec2::Zero();
};

std::vector<Station> Stations(const std::vector<Vec2>& line) {
  double length = 0.0;
  for (std::size_t k = 1; k < line.size(); ++k) length += (line[k] - line[k - 1]).norm();
  std::vector<Station> out;
  if (!(length > 0.0)) return out;
  std::size_t next = 1;
  double gone = 0.0;
  for (int k = 0; k < kPlaces; ++k) {
    const double want = length * (k + 0.5) / kPlaces;
    while (next + 1 < line.size() && gone + (line[next] - line[next - 1]).norm() < want) {
      gone += (line[next] - line[next - 1]).norm();
      ++next;
    }
    const Vec2 way = line[next] - line[next - 1];
    const double part = way.norm();
    if (part > 0.0) out.push_back({line[next - 1] + (want - gone) / part * way, way / part});
  }
  return out;
}

std::string NameOf(const Eigen::Vector3d& motion, double reach, const Vec2& along) {
  const Vec2 slide = motion.head<2>();
  const double turn = std::abs(motion.z()) / reach;
  if (slide.norm() < kFarCentre * turn) return "turn";
  const double lengthwise = std::abs(slide.dot(along));
  return lengthwise * lengthwise >= 0.5 * slide.squaredNorm() ? "slide along the part"
                                                              : "slide round the part";
}

}  // namespace

SheetFix FixOf(const SheetHold& sheet) {
  Vec2 middle = Vec2::Zero();
  for (const Vec2& m : sheet.marks) middle += m / static_cast<double>(sheet.marks.size());
  double reach = kLeastReach;
  for (const Vec2& m : sheet.marks) reach = std::max(reach, (m - middle).norm());
  Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
  for (const std::vector<Vec2>& line : sheet.lines) {
    const std::vector<Station> stations = Stations(line);
    for (const Station& s : stations) {
      const Vec2 n(-s.run.y(), s.run.x());
      const Vec2 r = s.at - middle;
      const Eigen::Vector3d row(n.x(), n.y(), (n.y() * r.x() - n.x() * r.y()) / reach);
      normal += row * row.transpose() / static_cast<double>(stations.size());
    }
  }
  normal(2, 2) += std::pow(sheet.girth / reach, 2);
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d> modes(normal);
  SheetFix fix;
  fix.hold = std::sqrt(std::max(0.0, modes.eigenvalues()(0)));
  fix.freedom = NameOf(modes.eigenvectors().col(0), reach, sheet.along);
  return fix;
}

}  // namespace holeward
