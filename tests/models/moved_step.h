// The text of a STEP file with its geometry moved: every point of it, or those that one face rests
// on, and the radii with them. What stays whole that way is a body of another shape.
#pragma once

#include <array>
#include <cstdlib>
#include <functional>
#include <map>
#include <set>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "geometry/vec.h"

namespace holeward::testing_tools {

/// A part of the text that holds numbers.
struct TextSpan {
  std::size_t from = 0;
  std::size_t to = 0;
};

/// The entities of an exchange structure (ISO 10303-21, clause 9) by their numbers.
class StepText {
 public:
  explicit StepText(std::string text) : text_(std::move(text)) {
    for (std::size_t at = text_.find("\n#"); at != std::string::npos; at = text_.find("\n#", at)) {
      const int number = std::atoi(text_.c_str() + at + 2);
      const std::size_t end = text_.find(";\n", at + 1);
      if (end == std::string::npos) break;
      const std::size_t equals = text_.find("= ", at);
      entities_[number] = {equals + 2, end};
      at = end;
    }
  }

  [[nodiscard]] bool Is(int number, const std::string& type) const {
    return text_.compare(entities_.at(number).from, type.size() + 1, type + '(') == 0;
  }

  [[nodiscard]] std::vector<int> All(const std::string& type) const {
    std::vector<int> all;
    for (const auto& [number, span] : entities_) {
      if (Is(number, type)) all.push_back(number);
    }
    return all;
  }

  /// The name an entity begins with.
  [[nodiscard]] std::string NameOf(int number) const {
    const std::size_t open = text_.find('\'', entities_.at(number).from);
    return text_.substr(open + 1, text_.find('\'', open + 1) - open - 1);
  }

  /// What the entities rest on, themselves among it; the curves in a face's own parameters, which
  /// name the neighbour's surface too, left out.
  [[nodiscard]] std::set<int> Under(const std::vector<int>& numbers) const {
    std::set<int> found;
    std::vector<int> open = numbers;
    while (!open.empty()) {
      const int number = open.back();
      open.pop_back();
      const auto span = entities_.find(number);
      if (span == entities_.end() || Is(number, "PCURVE") || !found.insert(number).second) continue;
      for (std::size_t at = text_.find('#', span->second.from); at < span->second.to;
           at = text_.find('#', at + 1)) {
        open.push_back(std::atoi(text_.c_str() + at + 1));
      }
    }
    return found;
  }

  /// The text with the points in space among `numbers` moved and the radii of circles, cylinders
  /// and cones changed.
  [[nodiscard]] std::string Moved(const std::set<int>& numbers,
                                  const std::function<Vec3(const Vec3&)>& place,
                                  const std::function<double(double)>& radius) const {
    std::string moved;
    std::size_t done = 0;
    for (const int number : InOrder(numbers)) {
      const TextSpan span = entities_.at(number);
      std::string entity = text_.substr(span.from, span.to - span.from);
      if (Is(number, "CARTESIAN_POINT")) entity = WithPlace(entity, place);
      for (const char* type : {"CIRCLE", "CYLINDRICAL_SURFACE", "CONICAL_SURFACE"}) {
        if (Is(number, type)) entity = WithRadius(entity, radius);
      }
      moved += text_.substr(done, span.from - done) + entity;
      done = span.to;
    }
    return moved + text_.substr(done);
  }

  [[nodiscard]] std::set<int> Everything() const {
    std::set<int> all;
    for (const auto& [number, span] : entities_) all.insert(number);
    return all;
  }

 private:
  [[nodiscard]] std::vector<int> InOrder(const std::set<int>& numbers) const {
    std::map<std::size_t, int> by_place;
    for (const int number : numbers) by_place[entities_.at(number).from] = number;
    std::vector<int> order;
    for (const auto& [from, number] : by_place) order.push_back(number);
    return order;
  }

  static std::string WithPlace(const std::string& entity,
                               const std::function<Vec3(const Vec3&)>& place) {
    const std::size_t open = entity.rfind('(');
    std::vector<double> values;
    const char* at = entity.c_str() + open + 1;
    for (char* next = nullptr; values.size() < 4; at = next + 1) {
      const double value = std::strtod(at, &next);
      if (next == at) break;
      values.push_back(value);
      if (*next != ',') break;
    }
    if (values.size() != 3) return entity;  // in a face's parameters
    const Vec3 moved = place({values[0], values[1], values[2]});
    return fmt::format("{}({:.12E},{:.12E},{:.12E}))", entity.substr(0, open), moved.x(), moved.y(),
                       moved.z());
  }

  static std::string WithRadius(const std::string& entity,
                                const std::function<double(double)>& radius) {
    const std::size_t name = entity.find(',');
    const std::size_t from = entity.find(',', name + 1) + 1;
    const std::size_t to = entity.find_first_of(",)", from);
    return fmt::format("{}{:.12E}{}", entity.substr(0, from),
                       radius(std::atof(entity.c_str() + from)), entity.substr(to));
  }

  std::string text_;
  std::map<int, TextSpan> entities_;
};

}  // namespace holeward::testing_tools
