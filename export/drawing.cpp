#include "export/drawing.h"

#include <algorithm>
#include <cmath>

namespace holeward {

std::vector<double> DashesOf(LineType type, double width) {
  const double dash = 12.0 * width;
  const double long_dash = 24.0 * width;
  const double gap = 3.0 * width;
  const double dot = 0.5 * width;
  switch (type) {
    case LineType::continuous: return {};
    case LineType::dashed: return {dash, gap};
    case LineType::dash_dot: return {long_dash, gap, dot, gap};
    case LineType::dash_double_dot: return {long_dash, gap, dot, gap, dot, gap};
    case LineType::dotted: return {dot, gap};
  }
  return {};
}

const char* Word(Group group) {
  switch (group) {
    case Group::banner: return "banner";
    case Group::frame: return "frame";
    case Group::cut: return "cut";
    case Group::fold: return "fold";
    case Group::align: return "align";
    case Group::fitting: return "fitting";
    case Group::mark: return "mark";
    case Group::text: return "text";
  }
  return "frame";
}

namespace {

bool AllFinite(const std::vector<Vec2>& points) {
  return std::all_of(points.begin(), points.end(), [](const Vec2& p) { return p.allFinite(); });
}

struct FiniteCheck {
  bool operator()(const Stroke& s) const { return AllFinite(s.points) && std::isfinite(s.width); }
  bool operator()(const Circle& c) const {
    return c.centre.allFinite() && std::isfinite(c.radius) && std::isfinite(c.width);
  }
  bool operator()(const Fill& f) const { return AllFinite(f.points); }
  bool operator()(const Text& t) const {
    return t.at.allFinite() && std::isfinite(t.height) && t.height > 0.0 &&
           std::isfinite(t.turn_rad);
  }
};

}  // namespace

Text TextAt(std::string words, const Vec2& at, double height, bool bold, AlignX align) {
  Text text;
  text.words = std::move(words);
  text.at = at;
  text.height = height;
  text.bold = bold;
  text.align = align;
  return text;
}

bool IsFinite(const Drawing& drawing) {
  const bool sized = std::isfinite(drawing.width) && std::isfinite(drawing.height) &&
                     drawing.width > 0.0 && drawing.height > 0.0 && drawing.scale.allFinite() &&
                     drawing.shift.allFinite();
  return sized && std::all_of(drawing.items.begin(), drawing.items.end(), [](const Item& item) {
           return std::visit(FiniteCheck{}, item.what);
         });
}

}  // namespace holeward
