// Bodies made in the kernel and written as STEP, as another program would hand them over.
#pragma once

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <BRepAlgoAPI_Cut.hxx>
#include <BRepAlgoAPI_Fuse.hxx>
#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakeWire.hxx>
#include <BRepOffsetAPI_MakePipe.hxx>
#include <BRepPrimAPI_MakeCylinder.hxx>
#include <GC_MakeArcOfCircle.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Wire.hxx>
#include <gp_Circ.hxx>
#include <gp_Pln.hxx>

#include <gtest/gtest.h>

#include "geometry/solid_bytes.h"
#include "geometry/vec.h"
#include "models/exchange.h"
#include "tests/export/outside_tool.h"

namespace holeward::testing_tools {

/// A bend of a spine, from where the spine has come to.
struct Bend {
  Vec3 toward = Vec3::UnitZ();  ///< unit, across the way there: where the bend's middle lies
  double radius = 0.0;
  double turn = 0.0;      ///< radians
  double straight = 0.0;  ///< mm that follow it
};

/// A line that runs straight, then in arcs with straight pieces between them.
class Spine {
 public:
  Spine(const Vec3& start, const Vec3& way, double straight) : at_(start), way_(way.normalized()) {
    Straight(straight);
  }

  void Add(const Bend& bend) {
    const Vec3 start = at_;
    const Vec3 way = way_;
    const Vec3 middle = start + bend.radius * bend.toward;
    const auto after = [&](double angle) {
      return Vec3(middle + bend.radius * (std::sin(angle) * way - std::cos(angle) * bend.toward));
    };
    wire_.Add(BRepBuilderAPI_MakeEdge(
        GC_MakeArcOfCircle(Pnt(start), Pnt(after(0.5 * bend.turn)), Pnt(after(bend.turn)))
            .Value()));
    at_ = after(bend.turn);
    arcs_.push_back({middle, way, bend.toward, bend.radius, bend.turn});
    way_ = std::cos(bend.turn) * way_ + std::sin(bend.turn) * bend.toward;
    length_ += bend.radius * bend.turn;
    Straight(bend.straight);
  }

  /// Distance of a place from it, mm.
  [[nodiscard]] double Distance(const Vec3& p) const {
    double least = 1e300;
    for (const Line& line : lines_) {
      const double t = std::clamp((p - line.from).dot(line.way), 0.0, line.length);
      least = std::min(least, (p - line.from - t * line.way).norm());
    }
    for (const Arc& arc : arcs_) {
      const Vec3 off = p - arc.middle;
      const double x = off.dot(arc.way);
      const double y = -off.dot(arc.toward);
      const double angle = std::clamp(std::atan2(x, y), 0.0, arc.turn);
      const Vec3 at =
          arc.middle + arc.radius * (std::sin(angle) * arc.way - std::cos(angle) * arc.toward);
      least = std::min(least, (p - at).norm());
    }
    return least;
  }

  [[nodiscard]] TopoDS_Wire wire() { return wire_.Wire(); }
  [[nodiscard]] double length() const { return length_; }
  [[nodiscard]] const Vec3& end() const { return at_; }
  [[nodiscard]] const Vec3& way() const { return way_; }

  /// A ring of two radii swept along it.
  [[nodiscard]] TopoDS_Shape Tube(double outer, double inner,
                                  const Vec3& inner_aside = Vec3::Zero()) {
    const TopoDS_Shape outside = Swept(outer, Vec3::Zero());
    if (inner <= 0.0) return outside;
    return BRepAlgoAPI_Cut(outside, Swept(inner, inner_aside)).Shape();
  }

 private:
  struct Line {
    Vec3 from, way;
    double length = 0.0;
  };
  struct Arc {
    Vec3 middle, way, toward;
    double radius = 0.0, turn = 0.0;
  };

  static gp_Pnt Pnt(const Vec3& p) { return {p.x(), p.y(), p.z()}; }

  TopoDS_Shape Swept(double radius, const Vec3& aside) {
    const gp_Ax2 axes(Pnt(start_ + aside), gp_Dir(first_way_.x(), first_way_.y(), first_way_.z()));
    const TopoDS_Wire round =
        BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(gp_Circ(axes, radius)).Edge()).Wire();
    return BRepOffsetAPI_MakePipe(wire(), BRepBuilderAPI_MakeFace(round, true).Face()).Shape();
  }

  void Straight(double length) {
    if (length_ == 0.0) {
      start_ = at_;
      first_way_ = way_;
    }
    if (length <= 0.0) return;
    const Vec3 to = at_ + length * way_;
    wire_.Add(BRepBuilderAPI_MakeEdge(Pnt(at_), Pnt(to)).Edge());
    lines_.push_back({at_, way_, length});
    at_ = to;
    length_ += length;
  }

  BRepBuilderAPI_MakeWire wire_;
  std::vector<Line> lines_;
  std::vector<Arc> arcs_;
  Vec3 start_ = Vec3::Zero();
  Vec3 first_way_ = Vec3::UnitY();
  Vec3 at_;
  Vec3 way_;
  double length_ = 0.0;
};

/// Writes bodies as one STEP file; its path.
inline std::string WriteShapes(const std::vector<TopoDS_Shape>& shapes, const Scratch& folder,
                               const std::string& name) {
  nlohmann::json request = {{"do", "write_step"},
                            {"title", "bodies"},
                            {"note", ""},
                            {"date", "2026-01-01"},
                            {"parts", nlohmann::json::array()},
                            {"lines", nlohmann::json::array()}};
  int number = 0;
  for (const TopoDS_Shape& shape : shapes) {
    const auto bytes = ShapeBytes(shape);
    EXPECT_TRUE(bytes);
    if (!bytes) return "";
    request["parts"].push_back({{"name", "body " + std::to_string(++number)},
                                {"shape", BinaryValue(*bytes)},
                                {"faces", nlohmann::json::array()}});
  }
  const auto answer = AskExchange(request, "writing " + name);
  EXPECT_TRUE(answer) << (answer ? "" : answer.error().message);
  return answer ? folder.Put(name, BinaryOf(answer->at("text"))) : "";
}

}  // namespace holeward::testing_tools
