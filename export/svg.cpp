#include "export/svg.h"

#include <array>
#include <charconv>
#include <cmath>
#include <iterator>
#include <memory>
#include <optional>
#include <set>

#include <fmt/format.h>

#include "export/paint.h"

namespace holeward {
namespace {

struct ContextDeleter {
  void operator()(cairo_t* context) const { cairo_destroy(context); }
};
struct SurfaceDeleter {
  void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
};
struct PathDeleter {
  void operator()(cairo_path_t* path) const { cairo_path_destroy(path); }
};

/// By formatting: exact wherever the number lies.
std::string SlowNumber(double value) {
  std::string text = fmt::format("{:.4f}", value);
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text == "-0" ? "0" : text;
}

/// Appends a number with at most four decimals and no trailing zeros.
void Append(std::string& to, double value) {
  constexpr double kMost = 1e5;  // beyond it the product below is off by more than kTie
  constexpr double kTie = 1e-6;  // nearer to half way, formatting has to decide
  const double scaled = std::abs(value) * 1e4;
  const double whole = std::floor(scaled);
  bool up = scaled - whole > 0.5;
  if (!(std::abs(value) < kMost) || std::abs(scaled - whole - 0.5) < kTie) {
    // Letters' outlines lie on a grid of 1/256, many of them half way exactly: to the even one.
    const bool half = scaled - whole == 0.5 && std::fma(std::abs(value), 1e4, -scaled) == 0.0;
    if (!half || !(std::abs(value) < kMost)) {
      to += SlowNumber(value);
      return;
    }
    up = std::fmod(whole, 2.0) != 0.0;
  }
  const int units = static_cast<int>(whole) + (up ? 1 : 0);
  std::array<char, 24> text{};
  char* end = text.data();
  if (value < 0.0 && units > 0) *end++ = '-';
  end = std::to_chars(end, text.data() + text.size(), units / 10000).ptr;
  if (units % 10000 != 0) *end++ = '.';
  for (int left = units % 10000, unit = 1000; left > 0; left %= unit, unit /= 10) {
    *end++ = static_cast<char>('0' + left / unit);
  }
  to.append(text.data(), end);
}

void Append(std::string& to, double x, double y) {
  Append(to, x);
  to += ' ';
  Append(to, y);
}

std::string Number(double value) {
  std::string text;
  Append(text, value);
  return text;
}

std::string Escaped(const std::string& text) {
  std::string escaped;
  for (const char c : text) {
    switch (c) {
      case '&': escaped += "&amp;"; break;
      case '<': escaped += "&lt;"; break;
      case '>': escaped += "&gt;"; break;
      case '"': escaped += "&quot;"; break;
      default: escaped += static_cast<unsigned char>(c) < 0x20 ? ' ' : c;
    }
  }
  return escaped;
}

void AddPath(const cairo_path_t& path, std::string& data) {
  for (int i = 0; i < path.num_data; i += path.data[i].header.length) {
    const cairo_path_data_t* piece = &path.data[i];
    switch (piece->header.type) {
      case CAIRO_PATH_MOVE_TO: data += 'M'; break;
      case CAIRO_PATH_LINE_TO: data += 'L'; break;
      case CAIRO_PATH_CURVE_TO: data += 'C'; break;
      case CAIRO_PATH_CLOSE_PATH: data += 'Z'; break;
    }
    for (int k = 1; k < piece->header.length; ++k) {
      if (k > 1) data += ' ';
      Append(data, piece[k].point.x, piece[k].point.y);
    }
  }
}

class SvgWriter {
 public:
  SvgWriter(const Drawing& page, cairo_t* context) : page_(page), context_(context) {}

  std::string Items() {
    if (page_.Stretched()) {
      out_ += fmt::format("<g transform=\"translate({:.6f} {:.6f}) scale({:.8f} {:.8f})\">\n",
                          page_.ShiftDown().x(), page_.ShiftDown().y(), page_.scale.x(),
                          page_.scale.y());
    }
    std::optional<Group> open;
    std::set<Group> whole;  // those already written
    for (const Item& item : page_.items) {
      if (IsForCutter(item.group) && !whole.insert(item.group).second) continue;
      if (open != item.group) {
        if (open) out_ += "</g>\n";
        out_ += Opening(item.group);
        open = item.group;
      }
      if (IsForCutter(item.group)) {
        Whole(item.group);
      } else {
        std::visit(*this, item.what);
      }
    }
    if (open) out_ += "</g>\n";
    if (page_.Stretched()) out_ += "</g>\n";
    return std::move(out_);
  }

  void operator()(const Stroke& stroke) {
    out_ += "<path d=\"";
    AddPoints(stroke.points);
    out_ += fmt::format("{}\" {}/>\n", stroke.closed ? "Z" : "", Pen(stroke.width, stroke.type));
  }
  void operator()(const Circle& circle) {
    out_ += fmt::format("<circle cx=\"{}\" cy=\"{}\" r=\"{}\" {}/>\n", Number(circle.centre.x()),
                        Number(page_.height - circle.centre.y()), Number(circle.radius),
                        Pen(circle.width, circle.type));
  }
  void operator()(const Fill& fill) {
    out_ += "<path d=\"";
    AddPoints(fill.points);
    out_ += fmt::format("Z\" fill=\"{}\"/>\n", Colour(fill.ink));
  }
  void operator()(const Text& text) {
    cairo_new_path(context_);
    AddTextPath(context_, text, page_.height);
    const std::unique_ptr<cairo_path_t, PathDeleter> path(cairo_copy_path(context_));
    const std::string look = text.outline > 0.0 ? Pen(text.outline, LineType::continuous)
                                                : fmt::format("fill=\"{}\"", Colour(text.ink));
    out_ += fmt::format("<path aria-label=\"{}\" d=\"", Escaped(text.words));
    AddPath(*path, out_);
    out_ += fmt::format("\" {}/>\n", look);
  }

 private:
  /// Groups a cutting plotter works from: each stands once, whole, under its name as id. All of it
  /// is painted where its first item is, so nothing of such a group may rely on lying on top.
  static bool IsForCutter(Group group) {
    return group == Group::cut || group == Group::fold || group == Group::mark;
  }

  static std::string Opening(Group group) {
    const char* word = Word(group);
    return IsForCutter(group) ? fmt::format("<g id=\"{0}\" class=\"{0}\">\n", word)
                              : fmt::format("<g class=\"{}\">\n", word);
  }

  void Whole(Group group) {
    for (const Item& item : page_.items) {
      if (item.group == group) std::visit(*this, item.what);
    }
  }

  static const char* Colour(Ink ink) { return ink == Ink::white ? "#fff" : "#000"; }

  void AddPoints(const std::vector<Vec2>& points) {
    char letter = 'M';
    for (const Vec2& p : points) {
      out_ += letter;
      letter = 'L';
      Append(out_, p.x(), page_.height - p.y());
    }
  }

  static std::string Pen(double width, LineType type) {
    std::string pen =
        fmt::format("fill=\"none\" stroke=\"#000\" stroke-width=\"{}\"", Number(width));
    const std::vector<double> dashes = DashesOf(type, width);
    if (dashes.empty()) return pen;
    std::string list;
    for (const double dash : dashes)
      list += fmt::format("{}{}", list.empty() ? "" : " ", Number(dash));
    return pen + fmt::format(" stroke-dasharray=\"{}\"", list);
  }

  const Drawing& page_;
  cairo_t* context_;
  std::string out_;
};

}  // namespace

Result<std::string> ToSvg(const Drawing& page, const std::string& title) {
  if (!IsFinite(page)) {
    return Fail(ErrorKind::computed, "a page drawing holds a number that is not finite");
  }
  // Nothing is shown on it: it only turns letters into outlines.
  const std::unique_ptr<cairo_surface_t, SurfaceDeleter> surface(
      cairo_recording_surface_create(CAIRO_CONTENT_COLOR_ALPHA, nullptr));
  const std::unique_ptr<cairo_t, ContextDeleter> context(cairo_create(surface.get()));
  const std::string items = SvgWriter(page, context.get()).Items();
  const cairo_status_t status = cairo_status(context.get());
  if (status != CAIRO_STATUS_SUCCESS) {
    return Fail(ErrorKind::computed,
                fmt::format("the SVG could not be made: {}", cairo_status_to_string(status)));
  }
  const std::string width = Number(page.width);
  const std::string height = Number(page.height);
  return fmt::format(
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
      "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}mm\" height=\"{1}mm\" "
      "viewBox=\"0 0 {0} {1}\">\n<title>{2}</title>\n"
      "<rect width=\"{0}\" height=\"{1}\" fill=\"#fff\"/>\n{3}</svg>\n",
      width, height, Escaped(title), items);
}

}  // namespace holeward
