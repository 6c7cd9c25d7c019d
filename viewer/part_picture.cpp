#include "viewer/part_picture.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <memory>

#include <cairo.h>

#include "geometry/polygon.h"
#include "viewer/depth_image.h"
#include "viewer/picture_camera.h"
#include "viewer/picture_mesh.h"

namespace holeward {
namespace {

constexpr double kMargin = 16.0;     // mm kept free round the parts for names
constexpr double kNameHeight = 3.5;  // mm, ISO 3098
constexpr double kNoteHeight = 2.5;
constexpr double kLeader = 9.0;  // mm from a point to its name

using Context = std::unique_ptr<cairo_t, decltype(&cairo_destroy)>;

PictureCamera CameraFor(const std::vector<PictureMesh>& meshes, const PictureView& view) {
  PictureCamera camera = PictureCamera::From(view.toward_viewer);
  camera.width = view.width_mm;
  camera.height = view.height_mm;
  Eigen::AlignedBox2d box;
  for (const PictureMesh& mesh : meshes) {
    for (const Facet& facet : mesh.facets) {
      for (const Vec3& p : facet.corners) {
        box.extend(camera.Flat(p));
      }
    }
  }
  camera.centre = box.center();
  camera.scale = std::min((view.width_mm - 2 * kMargin) / box.sizes().x(),
                          (view.height_mm - 2 * kMargin) / box.sizes().y());
  return camera;
}

DepthImage PaintFacets(const PictureCamera& camera, const std::vector<PictureMesh>& meshes) {
  DepthImage image(camera.width, camera.height);
  const Vec3 lamp = (camera.eye + 0.9 * camera.up - 0.5 * camera.right).normalized();
  for (const PictureMesh& mesh : meshes) {
    for (const Facet& facet : mesh.facets) {
      if (facet.normal.dot(camera.eye) <= 0.0) {
        continue;
      }
      const double light = 0.58 + 0.38 * std::max(0.0, facet.normal.dot(lamp));
      const auto tone = static_cast<unsigned char>(255.0 * light * (facet.fitting ? 0.78 : 1.0));
      std::array<Vec3, 4> p;
      for (std::size_t i = 0; i < p.size(); ++i) {
        const Vec2 page = camera.OnPage(facet.corners[i]);
        p[i] = {page.x(), page.y(), facet.corners[i].dot(camera.eye)};
      }
      image.Paint({p[0], p[1], p[2]}, tone);
      image.Paint({p[0], p[2], p[3]}, tone);
    }
  }
  return image;
}

void DrawLines(cairo_t* cr, const PictureCamera& camera, const std::vector<PictureMesh>& meshes,
               const DepthImage& image) {
  cairo_set_source_rgb(cr, 0.25, 0.27, 0.3);
  cairo_set_line_width(cr, 0.18);
  for (const PictureMesh& mesh : meshes) {
    for (const FeatureLine& line : mesh.lines) {
      for (std::size_t i = 0; i + 1 < line.points.size(); ++i) {
        const Vec2 p = camera.OnPage(line.points[i]);
        const Vec2 q = camera.OnPage(line.points[i + 1]);
        if (line.normals[i].dot(camera.eye) < 0.05 || line.normals[i + 1].dot(camera.eye) < 0.05 ||
            !image.Sees(p, line.points[i].dot(camera.eye)) ||
            !image.Sees(q, line.points[i + 1].dot(camera.eye))) {
          continue;
        }
        cairo_move_to(cr, p.x(), p.y());
        cairo_line_to(cr, q.x(), q.y());
      }
    }
  }
  cairo_stroke(cr);
}

double TextWidth(cairo_t* cr, const std::string& text, double height) {
  cairo_set_font_size(cr, height * 1.37);  // DejaVu Sans: capitals are 0.73 of the size
  cairo_text_extents_t extents;
  cairo_text_extents(cr, text.c_str(), &extents);
  return extents.x_advance;
}

// A point seen too flat is told apart better in another picture.
bool Faces(const PicturePoint& point, const Vec3& eye) { return point.normal.dot(eye) > 0.15; }

struct Label {
  const PicturePoint* point = nullptr;
  Vec2 at = Vec2::Zero();
  Eigen::AlignedBox2d box;
};

Eigen::AlignedBox2d LabelBox(cairo_t* cr, const PicturePoint& point, const Vec2& anchor,
                             bool leftward) {
  const double width =
      std::max(TextWidth(cr, point.name, kNameHeight), TextWidth(cr, point.word, kNoteHeight));
  const double height = kNameHeight + (point.word.empty() ? 0.0 : 1.2 + kNoteHeight);
  const Vec2 low =
      leftward ? Vec2(anchor - Vec2(width, kNameHeight)) : Vec2(anchor - Vec2(0.0, kNameHeight));
  return {low, low + Vec2(width, height)};
}

Vec2 LeaderEnd(const Label& label) {
  return {std::clamp(label.at.x(), label.box.min().x() - 0.6, label.box.max().x() + 0.6),
          std::clamp(label.at.y(), label.box.min().y() - 0.6, label.box.max().y() + 0.6)};
}

// A leader that runs through another mark would point at it.
bool LeaderPasses(const Label& label, const std::vector<Vec2>& marks) {
  constexpr double kApart = 2.2;
  const Vec2 end = LeaderEnd(label);
  return std::none_of(marks.begin(), marks.end(), [&](const Vec2& mark) {
    return (mark - label.at).norm() >= 1e-9 && OffSegment(label.at, end, mark) < kApart;
  });
}

// Names are tried all round their point at growing distance until they meet no other name or point.
std::vector<Label> PlaceLabels(cairo_t* cr, const PictureCamera& camera,
                               const std::vector<PicturePoint>& points) {
  std::vector<Label> labels;
  const Eigen::AlignedBox2d page(Vec2(2, 2), Vec2(camera.width - 2, camera.height - 6));
  std::vector<Eigen::AlignedBox2d> taken;
  std::vector<Vec2> marks;
  for (const PicturePoint& point : points) {
    if (!Faces(point, camera.eye)) {
      continue;
    }
    const Vec2 at = camera.OnPage(point.position);
    taken.emplace_back(at - Vec2(2, 2), at + Vec2(2, 2));
    marks.push_back(at);
  }
  for (const PicturePoint& point : points) {
    if (!Faces(point, camera.eye)) {
      continue;
    }
    Label label;
    label.point = &point;
    label.at = camera.OnPage(point.position);
    for (int attempt = 0; attempt < 160; ++attempt) {
      // Sixteen ways a round: straight up, then in turn to the right and the left of it.
      const int round = attempt / 16;
      const int steps = (attempt % 2 != 0 ? 1 : -1) * ((attempt % 16 + 1) / 2);
      const double angle = -kPi / 2 + kPi / 8 * steps;
      const double reach = kLeader + 4.0 * round;
      const Vec2 anchor = label.at + reach * Vec2(std::cos(angle), std::sin(angle));
      const auto box = LabelBox(cr, point, anchor, std::cos(angle) < -0.1);
      // Padded, so that the white round one name leaves its neighbours whole.
      const Eigen::AlignedBox2d padded(box.min() - Vec2(1.4, 1.2), box.max() + Vec2(1.4, 1.2));
      label.box = box;
      const bool free = page.contains(box) && LeaderPasses(label, marks) &&
                        std::none_of(taken.begin(), taken.end(),
                                     [&](const auto& other) { return other.intersects(padded); });
      if (free) {
        break;
      }
    }
    taken.push_back(label.box);
    labels.push_back(label);
  }
  return labels;
}

void DrawMark(cairo_t* cr, const Label& label) {
  cairo_set_source_rgb(cr, 0.0, 0.0, 0.0);
  cairo_set_line_width(cr, 0.25);
  const Vec2 end = LeaderEnd(label);
  cairo_move_to(cr, label.at.x(), label.at.y());
  cairo_line_to(cr, end.x(), end.y());
  cairo_stroke(cr);
  const double arm = 1.6;
  cairo_set_line_width(cr, 0.35);
  cairo_move_to(cr, label.at.x() - arm, label.at.y());
  cairo_line_to(cr, label.at.x() + arm, label.at.y());
  cairo_move_to(cr, label.at.x(), label.at.y() - arm);
  cairo_line_to(cr, label.at.x(), label.at.y() + arm);
  cairo_stroke(cr);
  if (label.point->drilled) {
    cairo_arc(cr, label.at.x(), label.at.y(), 0.7 * arm, 0.0, 2.0 * kPi);
    cairo_stroke(cr);
  }
}

void DrawName(cairo_t* cr, const Label& label) {
  cairo_set_source_rgba(cr, 1.0, 1.0, 1.0, 0.8);
  cairo_rectangle(cr, label.box.min().x() - 0.6, label.box.min().y() - 0.6,
                  label.box.sizes().x() + 1.2, label.box.sizes().y() + 1.4);
  cairo_fill(cr);
  cairo_set_source_rgb(cr, 0.0, 0.0, 0.0);
  cairo_set_font_size(cr, kNameHeight * 1.37);
  cairo_move_to(cr, label.box.min().x(), label.box.min().y() + kNameHeight);
  cairo_show_text(cr, label.point->name.c_str());
  if (!label.point->word.empty()) {
    cairo_set_font_size(cr, kNoteHeight * 1.37);
    cairo_move_to(cr, label.box.min().x(), label.box.max().y());
    cairo_show_text(cr, label.point->word.c_str());
  }
}

// Where the arrows stand: in the corner where they cover least of parts and names.
Vec2 CompassPlace(const PictureCamera& camera, const DepthImage& image,
                  const std::vector<Label>& labels) {
  const Vec2 half(24.0, 14.0);
  const double left = 26.0, low = camera.height - 18.0;
  Vec2 best(left, low);
  int least = std::numeric_limits<int>::max();
  for (const Vec2& at :
       {best, Vec2(camera.width - left, low), Vec2(left, 18.0), Vec2(camera.width - left, 18.0)}) {
    int covered = 0;
    for (int k = 0; k < 25 * 15; ++k) {
      const Vec2 p = at + half.cwiseProduct(Vec2(k % 25 / 12.0 - 1.0, k / 25 / 7.0 - 1.0));
      const bool named = std::any_of(labels.begin(), labels.end(),
                                     [&](const Label& label) { return label.box.contains(p); });
      if (named || !image.Sees(p, std::numeric_limits<double>::lowest())) ++covered;
    }
    if (covered >= least) continue;
    least = covered;
    best = at;
  }
  return best;
}

// Arrows of the vehicle's own directions, in words.
void DrawDirections(cairo_t* cr, const PictureCamera& camera, const PictureCompass& compass,
                    const Vec2& origin, double outboard_y) {
  const std::pair<Vec3, const std::string&> ways[] = {{Vec3::UnitX(), compass.front},
                                                      {Vec3(0, outboard_y, 0), compass.outboard},
                                                      {Vec3::UnitZ(), compass.up}};
  cairo_set_source_rgb(cr, 0.0, 0.0, 0.0);
  cairo_set_line_width(cr, 0.35);
  for (const auto& [way, word] : ways) {
    const Vec2 flat = camera.Flat(way);
    if (flat.norm() < 0.15) {
      continue;
    }
    const Vec2 tip = origin + 9.0 * Vec2(flat.x(), -flat.y());
    cairo_move_to(cr, origin.x(), origin.y());
    cairo_line_to(cr, tip.x(), tip.y());
    cairo_stroke(cr);
    const double width = TextWidth(cr, word, 1.8);
    const Vec2 out = (tip - origin).normalized();
    const double x = tip.x() + out.x() * 1.2 -
                     (out.x() < -0.3  ? width
                      : out.x() < 0.3 ? width / 2
                                      : 0);
    cairo_move_to(cr, x, tip.y() + out.y() * 2.2 + 0.9);
    cairo_show_text(cr, word.c_str());
  }
}

void DrawAll(cairo_t* cr, const PictureCamera& camera, const std::vector<PictureMesh>& meshes,
             const std::vector<PicturePoint>& points, const PictureCompass& compass,
             double outboard_y) {
  cairo_set_source_rgb(cr, 1, 1, 1);
  cairo_paint(cr);
  cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
  cairo_set_line_cap(cr, CAIRO_LINE_CAP_ROUND);
  cairo_select_font_face(cr, "DejaVu Sans", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
  DepthImage image = PaintFacets(camera, meshes);
  image.Draw(cr);
  DrawLines(cr, camera, meshes, image);
  const std::vector<Label> labels = PlaceLabels(cr, camera, points);
  for (const Label& label : labels) {
    DrawMark(cr, label);
  }
  for (const Label& label : labels) {
    DrawName(cr, label);
  }
  DrawDirections(cr, camera, compass, CompassPlace(camera, image, labels), outboard_y);
}

void DrawCaption(cairo_t* cr, const PictureView& view) {
  // A long one is set smaller, not cut off.
  const double room = view.width_mm - 8.0, wide = TextWidth(cr, view.caption, kNoteHeight);
  const double height = kNoteHeight * std::min(1.0, room / std::max(wide, 1.0));
  cairo_set_font_size(cr, height * 1.37);
  cairo_set_source_rgb(cr, 0, 0, 0);
  cairo_move_to(cr, view.width_mm - 4.0 - TextWidth(cr, view.caption, height),
                view.height_mm - 3.0);
  cairo_show_text(cr, view.caption.c_str());
}

cairo_status_t Append(void* closure, const unsigned char* data, unsigned int length) {
  static_cast<std::string*>(closure)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

}  // namespace

PictureView ViewOf(std::vector<PicturePoint>& points, double outboard_y) {
  PictureView best;
  std::ptrdiff_t most = -1;
  for (int corner = 0; corner < 8; ++corner) {
    const bool above = corner < 4;
    const bool outboard = corner % 4 < 2;
    const bool in_front = corner % 2 == 0;
    const Vec3 eye =
        Vec3(in_front ? 0.55 : -0.55, (outboard ? 0.75 : -0.75) * outboard_y, above ? 0.45 : -0.45)
            .normalized();
    const auto seen =
        std::count_if(points.begin(), points.end(), [&](const auto& p) { return Faces(p, eye); });
    if (seen > most) {
      most = seen;
      best.toward_viewer = eye;
    }
  }
  std::erase_if(points, [&](const auto& p) { return Faces(p, best.toward_viewer); });
  return best;
}

Result<std::string> DrawPicture(const Scene& scene, const std::vector<std::string>& parts,
                                const std::vector<PicturePoint>& points, const PictureView& view) {
  std::vector<PictureMesh> meshes;
  for (const Part& part : scene.parts) {
    if (parts.empty() || std::find(parts.begin(), parts.end(), part.name) != parts.end()) {
      meshes.push_back(MeshForPicture(part));
    }
  }
  if (meshes.empty()) {
    return Fail(ErrorKind::computed, "there is no part to draw a picture of");
  }
  const PictureCamera camera = CameraFor(meshes, view);
  std::string bytes;
  Surface surface(
      cairo_image_surface_create(CAIRO_FORMAT_RGB24, static_cast<int>(view.width_mm * kPixelsPerMm),
                                 static_cast<int>(view.height_mm * kPixelsPerMm)),
      &cairo_surface_destroy);
  Context context(cairo_create(surface.get()), &cairo_destroy);
  cairo_scale(context.get(), kPixelsPerMm, kPixelsPerMm);
  DrawAll(context.get(), camera, meshes, points, view.compass, scene.outboard_y);
  DrawCaption(context.get(), view);
  cairo_status_t status = cairo_status(context.get());
  if (status == CAIRO_STATUS_SUCCESS) {
    status = cairo_surface_write_to_png_stream(surface.get(), Append, &bytes);
  }
  cairo_surface_finish(surface.get());
  if (status == CAIRO_STATUS_SUCCESS) {
    status = cairo_surface_status(surface.get());
  }
  if (status != CAIRO_STATUS_SUCCESS) {
    return Fail(ErrorKind::computed,
                std::string("the picture could not be drawn: ") + cairo_status_to_string(status));
  }
  return bytes;
}

}  // namespace holeward
