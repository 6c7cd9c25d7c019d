#include "geometry/footprint_closing.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>

#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRep_Builder.hxx>
#include <BRep_Tool.hxx>
#include <ElCLib.hxx>
#include <Geom_Circle.hxx>
#include <Geom_Line.hxx>
#include <Geom_TrimmedCurve.hxx>
#include <ShapeFix_Edge.hxx>
#include <ShapeFix_Wire.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_IndexedDataMapOfShapeListOfShape.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Edge.hxx>
#include <TopoDS_Shell.hxx>
#include <TopoDS_Solid.hxx>
#include <TopoDS_Vertex.hxx>
#include <TopoDS_Wire.hxx>
#include <fmt/format.h>

#include "geometry/solid_kernel.h"

namespace holeward {
namespace {

// Stretches of one line or circle lie on it within this, mm.
constexpr double kSameCurve = 1e-4;

/// A line or circle with its parameter at a place.
class Guide {
 public:
  static std::optional<Guide> Of(const TopoDS_Edge& edge) {
    double first = 0.0;
    double last = 0.0;
    Handle(Geom_Curve) curve = BRep_Tool::Curve(edge, first, last);
    while (!curve.IsNull() && curve->IsKind(STANDARD_TYPE(Geom_TrimmedCurve))) {
      curve = Handle(Geom_TrimmedCurve)::DownCast(curve)->BasisCurve();
    }
    if (curve.IsNull()) return std::nullopt;
    const bool known =
        curve->IsKind(STANDARD_TYPE(Geom_Line)) || curve->IsKind(STANDARD_TYPE(Geom_Circle));
    return known ? std::optional(Guide(curve)) : std::nullopt;
  }

  [[nodiscard]] double At(const gp_Pnt& p) const {
    if (const auto line = Handle(Geom_Line)::DownCast(curve_); !line.IsNull()) {
      return ElCLib::Parameter(line->Lin(), p);
    }
    return ElCLib::Parameter(Handle(Geom_Circle)::DownCast(curve_)->Circ(), p);
  }
  [[nodiscard]] bool Holds(const gp_Pnt& p) const {
    return curve_->Value(At(p)).Distance(p) < kSameCurve;
  }
  [[nodiscard]] double period() const { return curve_->IsPeriodic() ? curve_->Period() : 0.0; }
  [[nodiscard]] const Handle(Geom_Curve) & curve() const { return curve_; }

 private:
  explicit Guide(const Handle(Geom_Curve) & curve) : curve_(curve) {}
  Handle(Geom_Curve) curve_;
};

/// An edge as a stretch of its guide.
struct Stretch {
  TopoDS_Edge edge;
  double from = 0.0;
  double to = 0.0;  ///< above `from`
  TopoDS_Vertex at_from;
  TopoDS_Vertex at_to;
  bool along = true;  ///< its own curve runs the guide's way
};

std::optional<Stretch> StretchOn(const Guide& guide, const TopoDS_Edge& edge) {
  double first = 0.0;
  double last = 0.0;
  const Handle(Geom_Curve) curve = BRep_Tool::Curve(edge, first, last);
  if (curve.IsNull()) return std::nullopt;
  for (const double share : {0.0, 0.25, 0.5, 0.75, 1.0}) {
    if (!guide.Holds(curve->Value(first + share * (last - first)))) return std::nullopt;
  }
  const double a = guide.At(curve->Value(first));
  const double quarter = guide.At(curve->Value(first + 0.25 * (last - first)));
  const double b = guide.At(curve->Value(last));
  const double turn = guide.period();
  const double step = turn > 0.0 ? std::remainder(quarter - a, turn) : quarter - a;
  Stretch s;
  s.along = step > 0.0;
  s.edge = edge;
  s.from = s.along ? a : b;
  s.to = s.along ? b : a;
  while (turn > 0.0 && s.to < s.from + 1e-9) s.to += turn;
  const TopoDS_Edge forward = TopoDS::Edge(edge.Oriented(TopAbs_FORWARD));
  s.at_from = s.along ? TopExp::FirstVertex(forward) : TopExp::LastVertex(forward);
  s.at_to = s.along ? TopExp::LastVertex(forward) : TopExp::FirstVertex(forward);
  return s;
}

class Closing {
 public:
  Closing(const TopoDS_Shape& solid, const std::vector<TopoDS_Face>& standing) : solid_(solid) {
    for (const TopoDS_Face& face : standing) standing_.Add(face);
    TopExp::MapShapesAndAncestors(solid, TopAbs_EDGE, TopAbs_FACE, faces_of_);
    for (int e = 1; e <= faces_of_.Extent(); ++e) TakeBorder(e);
  }

  Result<TopoDS_Shape> Build() {
    for (int e = 1; e <= faces_of_.Extent(); ++e) {
      const TopoDS_Edge edge = TopoDS::Edge(faces_of_.FindKey(e));
      if (!IsCut(edge) || longer_.count(e) != 0) continue;
      if (!GoOn(edge)) return Fail(ErrorKind::job, "an edge does not go on beyond it");
    }
    BRep_Builder builder;
    TopoDS_Shell shell;
    builder.MakeShell(shell);
    for (TopExp_Explorer f(solid_, TopAbs_FACE); f.More(); f.Next()) {
      const TopoDS_Face face = TopoDS::Face(f.Current());
      if (standing_.Contains(face) || IsCovered(face)) continue;
      builder.Add(shell, beside_.Contains(face) ? Anew(face) : face);
    }
    shell.Closed(true);
    TopoDS_Solid made;
    builder.MakeSolid(made);
    builder.Add(made, shell);
    return TopoDS_Shape(made);
  }

 private:
  void TakeBorder(int e) {
    bool stands = false;
    bool tube = false;
    for (const TopoDS_Shape& face : faces_of_(e)) {
      (standing_.Contains(face) ? stands : tube) = true;
    }
    if (!stands || !tube) return;
    const TopoDS_Edge edge = TopoDS::Edge(faces_of_.FindKey(e));
    border_.Add(edge);
    corners_.Add(TopExp::FirstVertex(edge));
    corners_.Add(TopExp::LastVertex(edge));
    for (const TopoDS_Shape& face : faces_of_(e)) {
      if (!standing_.Contains(face)) beside_.Add(face);
    }
  }

  /// True for skin within the footprint, with nothing but the mount round it.
  [[nodiscard]] bool IsCovered(const TopoDS_Face& face) const {
    for (TopExp_Explorer e(face, TopAbs_EDGE); e.More(); e.Next()) {
      if (!border_.Contains(e.Current())) return false;
    }
    return true;
  }

  /// True for an edge of the skin that ends at the footprint.
  [[nodiscard]] bool IsCut(const TopoDS_Edge& edge) const {
    if (border_.Contains(edge) || BRep_Tool::Degenerated(edge)) return false;
    for (const TopoDS_Shape& face : faces_of_.FindFromKey(edge)) {
      if (standing_.Contains(face)) return false;
    }
    return corners_.Contains(TopExp::FirstVertex(edge)) ||
           corners_.Contains(TopExp::LastVertex(edge));
  }

  [[nodiscard]] bool Between(const TopoDS_Edge& edge, const TopTools_ListOfShape& faces) const {
    const auto& own = faces_of_.FindFromKey(edge);
    const auto holds = [](const TopTools_ListOfShape& list, const TopoDS_Shape& shape) {
      return std::any_of(list.begin(), list.end(), [&](const auto& f) { return f.IsSame(shape); });
    };
    return std::all_of(own.begin(), own.end(), [&](const auto& f) { return holds(faces, f); }) &&
           std::all_of(faces.begin(), faces.end(), [&](const auto& f) { return holds(own, f); });
  }

  /// The stretches of the line on which an edge lies, between the same two faces, in order.
  [[nodiscard]] std::vector<Stretch> OnLineOf(const Guide& guide, const TopoDS_Edge& edge) const {
    std::vector<Stretch> stretches;
    for (int e = 1; e <= faces_of_.Extent(); ++e) {
      const TopoDS_Edge other = TopoDS::Edge(faces_of_.FindKey(e));
      if (!Between(other, faces_of_.FindFromKey(edge)) || BRep_Tool::Degenerated(other)) continue;
      if (auto stretch = StretchOn(guide, other)) stretches.push_back(std::move(*stretch));
    }
    std::sort(stretches.begin(), stretches.end(),
              [](const Stretch& a, const Stretch& b) { return a.from < b.from; });
    return stretches;
  }

  /// Joins the stretches of an edge's line across the footprint; false if one ends there for good.
  bool GoOn(const TopoDS_Edge& edge) {
    const auto guide = Guide::Of(edge);
    if (!guide) return false;
    std::vector<Stretch> all = OnLineOf(*guide, edge);
    const auto ends_at = [&](const TopoDS_Vertex& v) { return corners_.Contains(v); };
    if (guide->period() > 0.0) {
      // Begins behind a stretch that does not end at the footprint.
      std::size_t first = 0;
      while (first < all.size() && ends_at(all[first].at_from)) ++first;
      if (first == all.size()) return false;  // all the way round: there is no vertex to begin at
      std::rotate(all.begin(), all.begin() + static_cast<std::ptrdiff_t>(first), all.end());
      for (std::size_t i = 1; i < all.size(); ++i) {
        while (all[i].from < all[i - 1].from) {
          all[i].from += guide->period();
          all[i].to += guide->period();
        }
      }
    }
    for (std::size_t i = 0; i < all.size();) {
      if (ends_at(all[i].at_from)) return false;
      std::size_t last = i;
      while (ends_at(all[last].at_to)) {
        if (last + 1 == all.size() || !ends_at(all[last + 1].at_from)) return false;
        ++last;
      }
      if (last > i && !Replace(*guide, all, i, last)) return false;
      i = last + 1;
    }
    return longer_.count(faces_of_.FindIndex(edge)) != 0;
  }

  bool Replace(const Guide& guide, const std::vector<Stretch>& all, std::size_t first,
               std::size_t last) {
    BRepBuilderAPI_MakeEdge made(
        guide.curve(), TopoDS::Vertex(all[first].at_from.Oriented(TopAbs_FORWARD)),
        TopoDS::Vertex(all[last].at_to.Oriented(TopAbs_REVERSED)), all[first].from, all[last].to);
    if (!made.IsDone()) return false;
    const TopoDS_Edge edge = made.Edge();
    for (std::size_t i = first; i <= last; ++i) {
      longer_[faces_of_.FindIndex(all[i].edge)] = {edge, all[i].along, i == first};
    }
    return true;
  }

  /// A face beside the footprint with its own surface and the borders it has without that.
  [[nodiscard]] TopoDS_Face Anew(const TopoDS_Face& face) const {
    const TopoDS_Face forward = TopoDS::Face(face.Oriented(TopAbs_FORWARD));
    std::vector<TopoDS_Edge> edges;
    for (TopExp_Explorer e(forward, TopAbs_EDGE); e.More(); e.Next()) {
      const TopoDS_Edge edge = TopoDS::Edge(e.Current());
      if (border_.Contains(edge)) continue;
      const auto other = longer_.find(faces_of_.FindIndex(edge));
      if (other == longer_.end()) {
        edges.push_back(edge);
      } else if (other->second.first) {
        const bool same = other->second.along;
        const TopAbs_Orientation way =
            same ? edge.Orientation() : TopAbs::Reverse(edge.Orientation());
        edges.push_back(TopoDS::Edge(other->second.edge.Oriented(way)));
      }
    }
    TopoDS_Face made = TopoDS::Face(forward.EmptyCopied());
    BRep_Builder builder;
    for (const std::vector<TopoDS_Edge>& ring : Rings(edges)) {
      TopoDS_Wire wire;
      builder.MakeWire(wire);
      for (const TopoDS_Edge& edge : ring) builder.Add(wire, edge);
      wire.Closed(true);
      AddCurves(ring, made);
      ShapeFix_Wire order(wire, made, kSameCurve);
      order.FixReorder();
      TopoDS_Wire ordered = order.Wire();
      ordered.Closed(true);
      builder.Add(made, ordered);
    }
    return TopoDS::Face(made.Oriented(face.Orientation()));
  }

  /// The new edges of a ring get their curves in the parameters of the face.
  static void AddCurves(const std::vector<TopoDS_Edge>& ring, const TopoDS_Face& face) {
    ShapeFix_Edge fix;
    for (const TopoDS_Edge& edge : ring) {
      double first = 0.0;
      double last = 0.0;
      if (!BRep_Tool::CurveOnSurface(edge, face, first, last).IsNull()) continue;
      const auto twice = std::count_if(ring.begin(), ring.end(),
                                       [&](const TopoDS_Edge& e) { return e.IsSame(edge); });
      fix.FixAddPCurve(edge, face, twice > 1, kSameCurve);
      fix.FixSameParameter(edge);
    }
  }

  /// Edges in sets that hang together by their corners.
  static std::vector<std::vector<TopoDS_Edge>> Rings(const std::vector<TopoDS_Edge>& edges) {
    std::vector<std::vector<TopoDS_Edge>> rings;
    std::vector<bool> used(edges.size(), false);
    for (std::size_t i = 0; i < edges.size(); ++i) {
      if (used[i]) continue;
      TopTools_IndexedMapOfShape corners;
      std::vector<TopoDS_Edge> ring;
      bool grew = true;
      TopExp::MapShapes(edges[i], TopAbs_VERTEX, corners);
      while (grew) {
        grew = false;
        for (std::size_t k = i; k < edges.size(); ++k) {
          if (used[k] || !(corners.Contains(TopExp::FirstVertex(edges[k])) ||
                           corners.Contains(TopExp::LastVertex(edges[k])))) {
            continue;
          }
          used[k] = grew = true;
          TopExp::MapShapes(edges[k], TopAbs_VERTEX, corners);
          ring.push_back(edges[k]);
        }
      }
      rings.push_back(std::move(ring));
    }
    return rings;
  }

  /// What stands for an edge; only the first of those it joins brings it in.
  struct Stand {
    TopoDS_Edge edge;
    bool along = true;
    bool first = true;
  };

  TopoDS_Shape solid_;
  TopTools_IndexedMapOfShape standing_;
  TopTools_IndexedMapOfShape border_;
  TopTools_IndexedMapOfShape corners_;  ///< vertices of the border
  TopTools_IndexedMapOfShape beside_;   ///< faces of the tube along the border
  TopTools_IndexedDataMapOfShapeListOfShape faces_of_;
  std::map<int, Stand> longer_;  ///< by the number of the edge
};

}  // namespace

Result<TopoDS_Shape> WithFootprintClosed(const TopoDS_Shape& solid,
                                         const std::vector<TopoDS_Face>& standing,
                                         const std::string& what) {
  return Guarded(what, "closing the skin under a mount",
                 [&] { return Closing(solid, standing).Build(); });
}

}  // namespace holeward
