#include "viewer/part_picture.h"

#include <algorithm>
#include <cmath>
#include <memory>

#include <cairo-svg.h>
#include <cairo.h>

#include "viewer/picture_mesh.h"

namespace holeward {
namespace {

constexpr double kPointsPerMm = 72.0 / 25.4;
constexpr double kPixelsPerMm = 8.0;  // of a PNG
constexpr double kMargin = 16.0;      // mm kept free round the parts for names
constexpr double kNameHeight = 3.5;   // mm, ISO 3098
constexpr double kNoteHeight = 2.5;
constexpr double kLeader = 9.0;  // mm from a point to its name

using Surface = std::unique_ptr<cairo_surface_t, decltype(&cairo_surface_destroy)>;
using Context = std::unique_ptr<cairo_t, decltype(&cairo_destroy)>;

// The two picture axes and the direction to the eye, orthonormal.
struct Camera {
  Vec3 right, up, eye;
  Vec2 centre = Vec2::Zero();
  double scale = 1.0;
  double width = 0.0, height = 0.0;

  [[nodiscard]] Vec2 Flat(const Vec3& p) const { return {p.dot(right), p.dot(up)}; }
  [[nodiscard]] Vec2 OnPage(const Vec3& p) const {
    const Vec2 q = scale * (Flat(p) - centre);
    return {0.5 * width + q.x(), 0.5 * height - q.y()};
  }
};

Camera CameraFor(const std::vector<PictureMesh>& meshes, const PictureView& view) {
  Camera camera;
  camera.eye = view.toward_viewer.normalized();
  const Vec3 world_up = std::abs(camera.eye.z()) > 0.99 ? Vec3::UnitX() : Vec3::UnitZ();
  camera.right = world_up.cross(camera.eye).normalized();
  camera.up = camera.eye.cross(camera.right);
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

void Path(cairo_t* cr, const Camera& camera, const std::array<Vec3, 4>& corners) {
  for (std::size_t i = 0; i < corners.size(); ++i) {
    const Vec2 p = camera.OnPage(corners[i]);
    i == 0 ? cairo_move_to(cr, p.x(), p.y()) : cairo_line_to(cr, p.x(), p.y());
  }
  cairo_close_path(cr);
}

// Far facets first; each outlined in its own tone so that no seams show.
void DrawFacets(cairo_t* cr, const Camera& camera, const std::vector<PictureMesh>& meshes) {
  std::vector<std::pair<double, const Facet*>> seen;
  for (const PictureMesh& mesh : meshes) {
    for (const Facet& facet : mesh.facets) {
      if (facet.normal.dot(camera.eye) > 0.0) {
        const Vec3 middle =
            0.25 * (facet.corners[0] + facet.corners[1] + facet.corners[2] + facet.corners[3]);
        seen.emplace_back(middle.dot(camera.eye), &facet);
      }
    }
  }
  std::sort(seen.begin(), seen.end(),
            [](const auto& x, const auto& y) { return x.first < y.first; });
  const Vec3 lamp = (camera.eye + 0.9 * camera.up - 0.5 * camera.right).normalized();
  cairo_set_line_width(cr, 0.12);
  for (const auto& [depth, facet] : seen) {
    const double light = 0.58 + 0.38 * std::max(0.0, facet->normal.dot(lamp));
    const double tone = facet->fitting ? 0.78 * light : light;
    cairo_set_source_rgb(cr, tone * 0.98, tone * 0.985, tone);
    Path(cr, camera, facet->corners);
    cairo_fill_preserve(cr);
    cairo_stroke(cr);
  }
}

void DrawLines(cairo_t* cr, const Camera& camera, const std::vector<PictureMesh>& meshes) {
  cairo_set_source_rgb(cr, 0.25, 0.27, 0.3);
  cairo_set_line_width(cr, 0.18);
  for (const PictureMesh& mesh : meshes) {
    for (const FeatureLine& line : mesh.lines) {
      for (std::size_t i = 0; i + 1 < line.points.size(); ++i) {
        if (line.normals[i].dot(camera.eye) < 0.05 || line.normals[i + 1].dot(camera.eye) < 0.05) {
          continue;
        }
        const Vec2 p = camera.OnPage(line.points[i]);
        const Vec2 q = camera.OnPage(line.points[i + 1]);
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

struct Label {
  const PicturePoint* point = nullptr;
  Vec2 at = Vec2::Zero();
  Eigen::AlignedBox2d box;
  bool hidden = false;
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

// Names are tried all round their point at growing distance until they meet no other name or point.
std::vector<Label> PlaceLabels(cairo_t* cr, const Camera& camera,
                               const std::vector<PicturePoint>& points) {
  std::vector<Label> labels;
  const Eigen::AlignedBox2d page(Vec2(2, 2), Vec2(camera.width - 2, camera.height - 6));
  std::vector<Eigen::AlignedBox2d> taken;
  for (const PicturePoint& point : points) {
    const Vec2 at = camera.OnPage(point.position);
    taken.emplace_back(at - Vec2(2, 2), at + Vec2(2, 2));
  }
  for (const PicturePoint& point : points) {
    Label label;
    label.point = &point;
    label.at = camera.OnPage(point.position);
    label.hidden = point.normal.dot(camera.eye) <= 0.0;
    for (int attempt = 0; attempt < 160; ++attempt) {
      const double angle =
          -kPi / 2 + kPi / 8 * ((attempt % 2 != 0 ? 1 : -1) * ((attempt % 16 + 1) / 2));
      const double reach = kLeader + 4.0 * (attempt / 16);
      const Vec2 anchor = label.at + reach * Vec2(std::cos(angle), std::sin(angle));
      const auto box = LabelBox(cr, point, anchor, std::cos(angle) < -0.1);
      const bool free = page.contains(box) &&
                        std::none_of(taken.begin(), taken.end(),
                                     [&](const auto& other) { return other.intersects(box); });
      label.box = box;
      if (free) {
        break;
      }
    }
    taken.push_back(label.box);
    labels.push_back(label);
  }
  return labels;
}

void DrawLabel(cairo_t* cr, const Label& label) {
  cairo_set_source_rgb(cr, 0.0, 0.0, 0.0);
  cairo_set_line_width(cr, 0.25);
  const double dashes[] = {1.2, 0.8};
  cairo_set_dash(cr, dashes, label.hidden ? 2 : 0, 0.0);
  const Vec2 end(std::clamp(label.at.x(), label.box.min().x(), label.box.max().x()),
                 std::clamp(label.at.y(), label.box.min().y() - 0.6, label.box.max().y() + 0.6));
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
  cairo_set_dash(cr, nullptr, 0, 0.0);
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

// Arrows of the vehicle's own directions, in words.
void DrawDirections(cairo_t* cr, const Camera& camera, double outboard_y) {
  const Vec2 origin(16.0, camera.height - 17.0);
  const std::pair<Vec3, const char*> ways[] = {
      {Vec3::UnitX(), "FRONT"}, {Vec3(0, outboard_y, 0), "OUTBOARD"}, {Vec3::UnitZ(), "UP"}};
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
    cairo_show_text(cr, word);
  }
}

void DrawAll(cairo_t* cr, const Camera& camera, const std::vector<PictureMesh>& meshes,
             const std::vector<PicturePoint>& points, const PictureView& view, double outboard_y) {
  cairo_set_source_rgb(cr, 1, 1, 1);
  cairo_paint(cr);
  cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
  cairo_set_line_cap(cr, CAIRO_LINE_CAP_ROUND);
  cairo_select_font_face(cr, "DejaVu Sans", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
  DrawFacets(cr, camera, meshes);
  DrawLines(cr, camera, meshes);
  for (const Label& label : PlaceLabels(cr, camera, points)) {
    DrawLabel(cr, label);
  }
  DrawDirections(cr, camera, outboard_y);
  cairo_set_font_size(cr, kNoteHeight * 1.37);
  cairo_set_source_rgb(cr, 0, 0, 0);
  cairo_move_to(cr, view.width_mm - 4.0 - TextWidth(cr, view.caption, kNoteHeight),
                view.height_mm - 3.0);
  cairo_show_text(cr, view.caption.c_str());
}

cairo_status_t Append(void* closure, const unsigned char* data, unsigned int length) {
  static_cast<std::string*>(closure)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

// Cairo numbers its surfaces over the life of the process; a picture must not depend on that.
std::string WithFixedIds(std::string svg) {
  const std::string mark = "id=\"surface";
  for (auto at = svg.find(mark); at != std::string::npos; at = svg.find(mark, at + 1)) {
    const auto digits = at + mark.size();
    svg.erase(digits, svg.find('"', digits) - digits);
  }
  return svg;
}

}  // namespace

Result<std::string> DrawPicture(const Scene& scene, const std::vector<std::string>& parts,
                                const std::vector<PicturePoint>& points, const PictureView& view,
                                PictureFormat format) {
  std::vector<PictureMesh> meshes;
  for (const Part& part : scene.parts) {
    if (parts.empty() || std::find(parts.begin(), parts.end(), part.name) != parts.end()) {
      meshes.push_back(MeshForPicture(part));
    }
  }
  if (meshes.empty()) {
    return Fail(ErrorKind::computed, "there is no part to draw a picture of");
  }
  const Camera camera = CameraFor(meshes, view);
  std::string bytes;
  const bool svg = format == PictureFormat::svg;
  Surface surface(
      svg ? cairo_svg_surface_create_for_stream(Append, &bytes, view.width_mm * kPointsPerMm,
                                                view.height_mm * kPointsPerMm)
          : cairo_image_surface_create(CAIRO_FORMAT_RGB24,
                                       static_cast<int>(view.width_mm * kPixelsPerMm),
                                       static_cast<int>(view.height_mm * kPixelsPerMm)),
      &cairo_surface_destroy);
  Context context(cairo_create(surface.get()), &cairo_destroy);
  const double scale = svg ? kPointsPerMm : kPixelsPerMm;
  cairo_scale(context.get(), scale, scale);
  DrawAll(context.get(), camera, meshes, points, view, scene.outboard_y);
  cairo_status_t status = cairo_status(context.get());
  if (status == CAIRO_STATUS_SUCCESS && !svg) {
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
  return svg ? WithFixedIds(std::move(bytes)) : bytes;
}

}  // namespace holeward
