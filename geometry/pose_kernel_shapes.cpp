#include "geometry/pose_kernel_shapes.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace holeward {
namespace {

constexpr double kSame = 1e-7;     // two cylinders' axes or radii, mm
constexpr double kOnShape = 1e-9;  // a patch lies on its shape, mm

constexpr int kMostDegree = 24;

/// Pascal's triangle.
constexpr std::array<std::array<double, kMostDegree + 1>, kMostDegree + 1> Pascal() {
  std::array<std::array<double, kMostDegree + 1>, kMostDegree + 1> rows{};
  for (std::size_t n = 0; n <= kMostDegree; ++n) {
    rows[n][0] = 1.0;
    for (std::size_t k = 1; k <= n; ++k) rows[n][k] = rows[n - 1][k - 1] + rows[n - 1][k];
  }
  return rows;
}
constexpr auto kPascal = Pascal();

double Binomial(int n, int k) {
  return kPascal[static_cast<std::size_t>(n)][static_cast<std::size_t>(k)];
}

Vec3 Place(const Eigen::Vector4d& pole) { return pole.head<3>() / pole.w(); }

std::size_t At(const BezierPatch& patch, int i, int j) {
  return static_cast<std::size_t>(i * (patch.degree_v + 1) + j);
}

/// The patch with its two parameters exchanged.
BezierPatch Exchanged(const BezierPatch& patch) {
  BezierPatch other{patch.degree_v, patch.degree_u, {}, patch.grown};
  for (int j = 0; j <= patch.degree_v; ++j) {
    for (int i = 0; i <= patch.degree_u; ++i) other.poles.push_back(patch.poles[At(patch, i, j)]);
  }
  return other;
}

double Greatest(const Bernstein& net) {
  double greatest = 0.0;
  for (const double c : net.coefs) greatest = std::max(greatest, std::abs(c));
  return greatest;
}

/// w² (|Y - centre|² - along² - radius²) in Bernstein form; `axis` zero for a ball.
Bernstein OffRound(const BezierPatch& patch, const Vec3& centre, const Vec3& axis, double radius) {
  Bernstein sum;
  Bernstein along;
  for (int k = 0; k < 3; ++k) {
    Bernstein part = Component(patch.poles, patch.degree_u, patch.degree_v, k, centre[k]);
    Bernstein square = part * part;
    part *= axis[k];
    if (k == 0) {
      sum = std::move(square);
      along = std::move(part);
    } else {
      sum += square;
      along += part;
    }
  }
  Bernstein minus = along * along;
  minus *= -1.0;
  sum += minus;
  Bernstein weight = Component(patch.poles, patch.degree_u, patch.degree_v, 3, 0.0);
  Bernstein weights = weight * weight;
  weights *= -radius * radius;
  sum += weights;
  return sum;
}

bool IsRound(const BezierPatch& patch, const Vec3& centre, const Vec3& axis, double radius) {
  double least_weight = patch.poles.front().w();
  for (const Eigen::Vector4d& pole : patch.poles) least_weight = std::min(least_weight, pole.w());
  return Greatest(OffRound(patch, centre, axis, radius)) <=
         kOnShape * 2.0 * radius * least_weight * least_weight;
}

std::optional<Vec3> CentreOf(const Vec3& a, const Vec3& b, const Vec3& c) {
  const Vec3 ab = b - a;
  const Vec3 ac = c - a;
  const Vec3 n = ab.cross(ac);
  const double n2 = n.squaredNorm();
  if (n2 < 1e-12 * ab.squaredNorm() * ac.squaredNorm()) return std::nullopt;
  return Vec3(a + (ac.squaredNorm() * n.cross(ab) + ab.squaredNorm() * ac.cross(n)) / (2.0 * n2));
}

bool SameCylinder(const Cylinder& a, const Cylinder& b) {
  return std::abs(a.radius - b.radius) < kSame && a.axis.cross(b.axis).norm() < 1e-10 &&
         (a.place - b.place).norm() < kSame && std::abs(a.length - b.length) < kSame;
}

Cylinder Reversed(const Cylinder& c) {
  Cylinder other = c;
  other.place = c.place + c.length * c.axis;
  other.axis = -c.axis;
  return other;
}

/// True if the patch lies within a ball.
bool Within(const BezierPatch& patch, const Vec3& centre, double radius) {
  return std::all_of(patch.poles.begin(), patch.poles.end(), [&](const Eigen::Vector4d& pole) {
    return (Place(pole) - centre).norm() <= radius * 1.4143;
  });
}

}  // namespace

Bernstein& Bernstein::operator+=(const Bernstein& other) {
  for (std::size_t i = 0; i < coefs.size(); ++i) coefs[i] += other.coefs[i];
  return *this;
}

Bernstein& Bernstein::operator*=(double by) {
  for (double& c : coefs) c *= by;
  return *this;
}

Bernstein operator*(const Bernstein& a, const Bernstein& b) {
  Bernstein product{a.degree_u + b.degree_u, a.degree_v + b.degree_v, {}};
  const auto stride = static_cast<std::size_t>(product.degree_v + 1);
  product.coefs.assign(static_cast<std::size_t>(product.degree_u + 1) * stride, 0.0);
  // With every coefficient times its binomials the product is a plain convolution.
  const auto scaled = [](const Bernstein& net) {
    std::vector<double> values = net.coefs;
    std::size_t at = 0;
    for (int i = 0; i <= net.degree_u; ++i) {
      for (int j = 0; j <= net.degree_v; ++j) {
        values[at++] *= Binomial(net.degree_u, i) * Binomial(net.degree_v, j);
      }
    }
    return values;
  };
  const std::vector<double> left = scaled(a);
  const std::vector<double> right = scaled(b);
  const auto a_row = static_cast<std::size_t>(a.degree_v + 1);
  const auto b_row = static_cast<std::size_t>(b.degree_v + 1);
  for (std::size_t p = 0; p < left.size(); ++p) {
    double* out = &product.coefs[p / a_row * stride + p % a_row];
    for (std::size_t q = 0; q < right.size(); q += b_row, out += stride) {
      for (std::size_t k = 0; k < b_row; ++k) out[k] += left[p] * right[q + k];
    }
  }
  std::size_t at = 0;
  for (int i = 0; i <= product.degree_u; ++i) {
    for (int j = 0; j <= product.degree_v; ++j) {
      product.coefs[at++] /= Binomial(product.degree_u, i) * Binomial(product.degree_v, j);
    }
  }
  return product;
}

Bernstein Component(const std::vector<Eigen::Vector4d>& poles, int degree_u, int degree_v, int k,
                    double centre) {
  Bernstein net{degree_u, degree_v, {}};
  net.coefs.reserve(poles.size());
  for (const Eigen::Vector4d& pole : poles) {
    net.coefs.push_back(k == 3 ? pole.w() : pole[k] - centre * pole.w());
  }
  return net;
}

std::optional<Cylinder> CylinderOf(const BezierPatch& given) {
  if (!(given.degree_u == 2 && given.degree_v == 1) &&
      !(given.degree_u == 1 && given.degree_v == 2)) {
    return std::nullopt;
  }
  const BezierPatch patch = given.degree_u == 2 ? given : Exchanged(given);
  const Vec3 from = Place(patch.poles[0]);
  const Vec3 ruling = Place(patch.poles[1]) - from;
  const double length = ruling.norm();
  if (length < 1e-6) return std::nullopt;
  const Vec3 axis = ruling / length;
  for (int i = 1; i <= 2; ++i) {
    const Vec3 other = Place(patch.poles[At(patch, i, 1)]) - Place(patch.poles[At(patch, i, 0)]);
    if ((other - ruling).norm() > kOnShape) return std::nullopt;
  }
  const Vec3 to = Place(patch.poles[At(patch, 2, 0)]);
  const Eigen::Vector4d halfway = 0.25 * patch.poles[At(patch, 0, 0)] +
                                  0.5 * patch.poles[At(patch, 1, 0)] +
                                  0.25 * patch.poles[At(patch, 2, 0)];
  const auto centre = CentreOf(from, Place(halfway), to);
  if (!centre || std::abs((*centre - from).dot(axis)) > kSame) return std::nullopt;
  Cylinder cylinder;
  cylinder.place = *centre;
  cylinder.axis = axis;
  cylinder.length = length;
  cylinder.radius = (from - *centre).norm();
  if (!(cylinder.radius < 1e5) || !IsRound(patch, *centre, axis, cylinder.radius)) {
    return std::nullopt;
  }
  const Vec3 a = from - *centre;
  const Vec3 half = Place(halfway) - *centre;
  cylinder.turn = 2.0 * std::atan2(a.cross(half).norm(), a.dot(half));
  cylinder.grown = patch.grown + kOnShape;
  return cylinder;
}

std::vector<Cylinder> WholeCylinders(const std::vector<BezierPatch>& patches,
                                     std::vector<int>& of_patch) {
  std::vector<Cylinder> found;
  of_patch.assign(patches.size(), -1);
  for (std::size_t i = 0; i < patches.size(); ++i) {
    const auto cylinder = CylinderOf(patches[i]);
    if (!cylinder) continue;
    const Cylinder reversed = Reversed(*cylinder);
    const auto same = std::find_if(found.begin(), found.end(), [&](const Cylinder& c) {
      return SameCylinder(c, *cylinder) || SameCylinder(c, reversed);
    });
    of_patch[i] = static_cast<int>(same - found.begin());
    if (same == found.end()) {
      found.push_back(*cylinder);
    } else {
      same->turn += cylinder->turn;
      same->grown = std::max(same->grown, cylinder->grown + 3.0 * kSame);
    }
  }
  for (int& index : of_patch) {
    if (index < 0) continue;
    const double turn = found[static_cast<std::size_t>(index)].turn;
    if (std::abs(turn - 2.0 * kPi) > 1e-6) index = -1;
  }
  return found;
}

RodsAndRest SortRods(const Obstacle& obstacle, int index) {
  RodsAndRest sorted;
  std::vector<int> of_patch;
  const std::vector<Cylinder> cylinders = WholeCylinders(obstacle.patches, of_patch);
  std::vector<int> rod_of(cylinders.size(), -1);
  for (const int c : of_patch) {
    if (c < 0 || rod_of[static_cast<std::size_t>(c)] >= 0) continue;
    rod_of[static_cast<std::size_t>(c)] = static_cast<int>(sorted.rods.size());
    sorted.rods.push_back({cylinders[static_cast<std::size_t>(c)], false, false, index});
  }
  // An end is round where a whole ball of the rod's radius stands on it.
  const auto ball_at = [&](const Vec3& centre, double radius) {
    int octants = 0;
    for (const BezierPatch& patch : obstacle.patches) {
      octants += patch.degree_u == 2 && patch.degree_v == 2 &&
                 IsRound(patch, centre, Vec3::Zero(), radius);
    }
    return octants >= 8;
  };
  std::vector<std::pair<Vec3, double>> balls;
  for (Rod& rod : sorted.rods) {
    const Vec3 to = rod.body.place + rod.body.length * rod.body.axis;
    rod.round_from = ball_at(rod.body.place, rod.body.radius);
    rod.round_to = ball_at(to, rod.body.radius);
    if (rod.round_from) balls.emplace_back(rod.body.place, rod.body.radius);
    if (rod.round_to) balls.emplace_back(to, rod.body.radius);
  }
  for (std::size_t i = 0; i < obstacle.patches.size(); ++i) {
    const BezierPatch& patch = obstacle.patches[i];
    if (of_patch[i] >= 0) continue;
    const bool held = std::any_of(balls.begin(), balls.end(), [&](const auto& ball) {
      const bool disc = patch.degree_u == 2 && patch.degree_v == 1;
      const bool octant = patch.degree_u == 2 && patch.degree_v == 2 &&
                          IsRound(patch, ball.first, Vec3::Zero(), ball.second);
      return octant || (disc && Within(patch, ball.first, ball.second) &&
                        (Place(patch.poles[1]) - ball.first).norm() < kSame);
    });
    if (!held) sorted.rest.push_back(patch);
  }
  return sorted;
}

}  // namespace holeward
