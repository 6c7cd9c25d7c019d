#include "viewer/rule_picture.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "viewer/depth_image.h"
#include "viewer/picture_camera.h"
#include "viewer/seen_from.h"

namespace holeward {
namespace {

using Look = PictureStroke::Look;

constexpr double kBeside = 6.0;   // mm kept free round what is shown of the part
constexpr double kAround = 55.0;  // mm of the part round the point are always shown
constexpr double kMargin = 10.0;  // mm kept free round the readings for words
constexpr double kLeastShown =
    150.0;                       // mm of the part across the picture, so that it is recognised
constexpr double kPiece = 0.7;   // mm on paper: lines are hidden or seen in pieces this long
constexpr double kFine = 4.0;    // depth samples a mm of paper
constexpr double kCoarse = 1.0;  // likewise while a view is chosen
constexpr double kSlack = 1.5;   // mm in depth by which a line on a surface may miss its sample
// Where a surface turns away its depth changes fast: a sample beside the outline is this much
// nearer.
constexpr double kTurnSlack = 9.0;
constexpr double kLean = 0.55;  // how far the eye leans off the normal to either side
constexpr double kArrow = 2.2;  // mm
constexpr double kMarkArm = 1.6;

// A segment of the picture plane.
using Segment = std::pair<Vec2, Vec2>;

DepthImage DepthOf(const PictureCamera& camera, const PictureMesh& mesh, double fineness) {
  DepthImage image(camera.width, camera.height, fineness);
  for (const Facet& facet : mesh.facets) {
    if (facet.normal.dot(camera.eye) <= 0.0) continue;
    std::array<Vec3, 4> p;
    for (std::size_t i = 0; i < p.size(); ++i) {
      const Vec2 page = camera.OnPage(facet.corners[i]);
      p[i] = {page.x(), page.y(), camera.Depth(facet.corners[i])};
    }
    image.Paint({p[0], p[1], p[2]}, 0);
    image.Paint({p[0], p[2], p[3]}, 0);
  }
  return image;
}

// The camera that shows the readings of a point from `eye`, as large as the picture takes.
PictureCamera CameraFor(const RuleAsk& ask, const std::vector<Vec3>& near, const Vec3& eye) {
  PictureCamera camera = PictureCamera::From(eye);
  camera.width = ask.width;
  camera.height = ask.height;
  Eigen::AlignedBox2d box(camera.Flat(ask.position));
  for (const RuleLine& line : ask.lines) {
    for (const Vec3& p : line.places) box.extend(camera.Flat(p));
  }
  Eigen::AlignedBox2d shown = box;
  for (const Vec3& p : near) shown.extend(camera.Flat(p));
  camera.centre = shown.center();
  const Vec2 half = (box.max() - camera.centre).cwiseMax(camera.centre - box.min());
  const Vec2 paper(ask.width, ask.height);
  camera.scale = ask.width / kLeastShown;
  for (int i = 0; i < 2; ++i) {
    const double margin = 0.5 * paper[i] - kMargin;
    if (half[i] > 0.0) camera.scale = std::min(camera.scale, margin / half[i]);
    const double whole = paper[i] - 2.0 * kBeside;
    if (shown.sizes()[i] > 0.0) camera.scale = std::min(camera.scale, whole / shown.sizes()[i]);
  }
  return camera;
}

// Cuts a line on the paper into pieces and says of each whether it is on the paper and seen.
template <class Take>
void EachPiece(const PictureCamera& camera, const std::array<Vec3, 2>& ends, const Take& take) {
  const Vec2 a = camera.OnPage(ends[0]);
  const Vec2 b = camera.OnPage(ends[1]);
  const int count = std::max(1, static_cast<int>(std::ceil((b - a).norm() / kPiece)));
  for (int i = 0; i < count; ++i) {
    const double t0 = static_cast<double>(i) / count;
    const double t1 = static_cast<double>(i + 1) / count;
    const Vec2 p = a + t0 * (b - a);
    const Vec2 q = a + t1 * (b - a);
    const Vec2 middle = 0.5 * (p + q);
    if (middle.x() < 0.0 || middle.y() < 0.0 || middle.x() > camera.width ||
        middle.y() > camera.height) {
      continue;
    }
    const double t = 0.5 * (t0 + t1);
    take(Segment(p, q), middle, camera.Depth(ends[0] + t * (ends[1] - ends[0])));
  }
}

// Joins segments that meet end to end into polylines, y up.
std::vector<std::vector<Vec2>> Chained(const std::vector<Segment>& segments, double height) {
  using Key = std::pair<long, long>;
  const auto key = [](const Vec2& p) {
    return Key{std::lround(p.x() * 500.0), std::lround(p.y() * 500.0)};
  };
  std::multimap<Key, std::size_t> at;
  for (std::size_t i = 0; i < segments.size(); ++i) {
    at.emplace(key(segments[i].first), i);
    at.emplace(key(segments[i].second), i);
  }
  std::vector<bool> used(segments.size(), false);
  const auto extend = [&](std::vector<Vec2>& line) {
    for (bool more = true; more;) {
      more = false;
      const auto [from, to] = at.equal_range(key(line.back()));
      for (auto it = from; it != to && !more; ++it) {
        if (used[it->second]) continue;
        const Segment& next = segments[it->second];
        used[it->second] = true;
        line.push_back(key(next.first) == it->first ? next.second : next.first);
        more = true;
      }
    }
  };
  std::vector<std::vector<Vec2>> lines;
  for (std::size_t i = 0; i < segments.size(); ++i) {
    if (used[i]) continue;
    used[i] = true;
    std::vector<Vec2> line{segments[i].second, segments[i].first};
    extend(line);
    std::reverse(line.begin(), line.end());
    extend(line);
    for (Vec2& p : line) p.y() = height - p.y();
    lines.push_back(std::move(line));
  }
  return lines;
}

// Places between which a line is straight on the paper to within a hundredth of a mm are left out.
std::vector<Vec2> Thinned(const std::vector<Vec2>& line) {
  std::vector<Vec2> kept;
  for (std::size_t i = 0; i < line.size(); ++i) {
    if (i > 0 && i + 1 < line.size()) {
      const Vec2 way = line[i + 1] - kept.back();
      const Vec2 step = line[i] - kept.back();
      const double off = std::abs(way.x() * step.y() - way.y() * step.x());
      if (off < 0.01 * way.norm() && step.dot(way) > 0.0) continue;
    }
    kept.push_back(line[i]);
  }
  return kept;
}

class LineArtist {
 public:
  LineArtist(const PictureCamera& camera, const DepthImage& image)
      : camera_(camera), image_(image) {}

  void Edge(const std::array<Vec3, 2>& ends, double slack, std::vector<Segment>* seen) const {
    EachPiece(camera_, ends, [&](const Segment& s, const Vec2& middle, double depth) {
      if (image_.Sees(middle, depth, slack)) seen->push_back(s);
    });
  }

  void Add(Look look, const std::vector<Segment>& segments) {
    for (const auto& line : Chained(segments, camera_.height)) {
      picture_.strokes.push_back({look, Thinned(line)});
    }
  }

  void AddReading(const RuleLine& line) {
    std::vector<Segment> seen;
    std::vector<Segment> hidden;
    for (std::size_t i = 0; i + 1 < line.places.size(); ++i) {
      EachPiece(camera_, {line.places[i], line.places[i + 1]},
                [&](const Segment& s, const Vec2& middle, double depth) {
                  const bool shown = !line.on_skin || image_.Sees(middle, depth);
                  (shown ? seen : hidden).push_back(s);
                });
    }
    Add(line.measured ? Look::reading : Look::guide, seen);
    Add(Look::hidden_reading, hidden);
    if (line.measured) AddArrows(line);
    AddWords(line);
  }

  void AddMark(const RuleAsk& ask) {
    const Vec2 at = Up(ask.position);
    picture_.strokes.push_back({Look::mark, {at - Vec2(kMarkArm, 0), at + Vec2(kMarkArm, 0)}});
    picture_.strokes.push_back({Look::mark, {at - Vec2(0, kMarkArm), at + Vec2(0, kMarkArm)}});
    if (ask.drilled) {
      std::vector<Vec2> ring;
      for (int i = 0; i <= 24; ++i) {
        const double angle = 2.0 * kPi * i / 24;
        ring.emplace_back(at + 0.7 * kMarkArm * Vec2(std::cos(angle), std::sin(angle)));
      }
      picture_.strokes.push_back({Look::mark, ring});
    }
    picture_.words.push_back({ask.name, {at}, PictureWords::Of::point});
  }

  [[nodiscard]] RulePicture Take() {
    picture_.width = camera_.width;
    picture_.height = camera_.height;
    return std::move(picture_);
  }

 private:
  [[nodiscard]] Vec2 Up(const Vec3& p) const {
    const Vec2 page = camera_.OnPage(p);
    return {page.x(), camera_.height - page.y()};
  }

  void AddArrows(const RuleLine& line) {
    std::vector<Vec2> flat;
    double length = 0.0;
    for (const Vec3& p : line.places) {
      flat.push_back(Up(p));
      if (flat.size() > 1) length += (flat.back() - flat[flat.size() - 2]).norm();
    }
    const double arrow = std::min(kArrow, 0.35 * length);
    AddArrow(flat, arrow);
    std::reverse(flat.begin(), flat.end());
    AddArrow(flat, arrow);
  }

  // A head whose point lies at the first place.
  void AddArrow(const std::vector<Vec2>& line, double size) {
    const Vec2& tip = line.front();
    for (const Vec2& p : line) {
      const Vec2 way = p - tip;
      if (way.norm() < 0.8 * size || size < 0.3) continue;
      const Vec2 back = tip + size * way.normalized();
      const Vec2 aside = 0.18 * size * Vec2(-way.y(), way.x()).normalized();
      picture_.strokes.push_back({Look::arrow, {tip, back + aside, back - aside}});
      return;
    }
  }

  void AddWords(const RuleLine& line) {
    const std::size_t n = line.places.size();
    const auto at = [&](double share) {
      const double place = share * static_cast<double>(n - 1);
      const auto i = std::min(static_cast<std::size_t>(place), n - 2);
      const double t = place - static_cast<double>(i);
      return Up(line.places[i] + t * (line.places[i + 1] - line.places[i]));
    };
    if (!line.words.empty()) {
      picture_.words.push_back(
          {line.words, {at(0.5), at(0.35), at(0.65)}, PictureWords::Of::dimension});
    }
    const bool told =
        std::any_of(picture_.words.begin(), picture_.words.end(), [&](const PictureWords& w) {
          return w.words == line.from && (w.anchors.front() - at(0.0)).norm() < 4.0;
        });
    if (!line.from.empty() && !told)
      picture_.words.push_back({line.from, {at(0.0)}, PictureWords::Of::datum});
  }

  const PictureCamera& camera_;
  const DepthImage& image_;
  RulePicture picture_;
};

// Directions to look from: square to the skin at the point, leaning to the four sides.
std::vector<Vec3> EyesFor(const Vec3& normal) {
  const Vec3 level =
      (std::abs(normal.z()) > 0.9 ? Vec3::UnitX() : Vec3(Vec3::UnitZ().cross(normal))).normalized();
  const Vec3 upright = normal.cross(level).normalized();
  std::vector<Vec3> eyes;
  for (const double a : {1.0, -1.0}) {
    for (const double b : {1.0, -1.0}) {
      eyes.push_back((normal + kLean * a * level + 0.7 * kLean * b * upright).normalized());
    }
  }
  return eyes;
}

// How much of the readings is seen, as a share of their length, all counting alike.
double SeenShare(const RuleAsk& ask, const PictureCamera& camera, const DepthImage& image) {
  double share = 0.0;
  for (const RuleLine& line : ask.lines) {
    double seen = 0.0;
    double all = 1e-9;
    for (std::size_t i = 0; i + 1 < line.places.size(); ++i) {
      EachPiece(camera, {line.places[i], line.places[i + 1]},
                [&](const Segment& s, const Vec2& middle, double depth) {
                  const double length = (s.second - s.first).norm();
                  all += length;
                  if (image.Sees(middle, depth)) seen += length;
                });
    }
    share += seen / all;
  }
  return share;
}

}  // namespace

RulePainter::RulePainter(const Part& part, double outboard_y)
    : mesh_(MeshForPicture(part)), edges_(EdgesOf(mesh_)), outboard_y_(outboard_y) {}

RulePicture RulePainter::Draw(const RuleAsk& ask) const {
  std::vector<Vec3> near;
  for (const Facet& facet : mesh_.facets) {
    const Vec3& p = facet.corners.front();
    if (!facet.fitting && (p - ask.position).norm() < kAround) near.push_back(p);
  }
  PictureCamera camera;
  double best = -1.0;
  for (const Vec3& eye : EyesFor(ask.normal)) {
    const PictureCamera tried = CameraFor(ask, near, eye);
    const double share = SeenShare(ask, tried, DepthOf(tried, mesh_, kCoarse));
    // A view from above is the easier one to recognise where both show as much.
    if (share + 0.02 * eye.z() > best) {
      best = share + 0.02 * eye.z();
      camera = tried;
    }
  }
  const DepthImage image = DepthOf(camera, mesh_, kFine);
  LineArtist drawing(camera, image);
  std::vector<Segment> outline;
  for (const PictureEdge& edge : edges_) {
    if (ShowsFrom(edge, camera.eye)) drawing.Edge(edge.ends, kTurnSlack, &outline);
  }
  drawing.Add(Look::outline, outline);
  std::vector<Segment> feature;
  for (const FeatureLine& line : mesh_.lines) {
    for (std::size_t i = 0; i + 1 < line.points.size(); ++i) {
      const bool faces =
          line.normals[i].dot(camera.eye) > 0.05 && line.normals[i + 1].dot(camera.eye) > 0.05;
      if (faces) drawing.Edge({line.points[i], line.points[i + 1]}, kSlack, &feature);
    }
  }
  drawing.Add(Look::feature, feature);
  for (const RuleLine& line : ask.lines) drawing.AddReading(line);
  drawing.AddMark(ask);
  RulePicture picture = drawing.Take();
  picture.seen_from = SeenFrom(camera.eye, outboard_y_);
  return picture;
}

RulePicture Mirrored(RulePicture picture) {
  for (PictureStroke& stroke : picture.strokes) {
    for (Vec2& p : stroke.points) p.x() = picture.width - p.x();
  }
  for (PictureWords& words : picture.words) {
    for (Vec2& p : words.anchors) p.x() = picture.width - p.x();
  }
  return picture;
}

}  // namespace holeward
