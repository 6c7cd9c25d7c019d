#include "export/step_mending.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <set>
#include <vector>

#include <BRep_Tool.hxx>
#include <Interface_InterfaceModel.hxx>
#include <STEPConstruct_UnitContext.hxx>
#include <ShapeAnalysis_ShapeTolerance.hxx>
#include <StepGeom_BSplineCurve.hxx>
#include <StepGeom_CartesianPoint.hxx>
#include <StepGeom_Direction.hxx>
#include <StepGeom_GeomRepContextAndGlobUnitAssCtxAndGlobUncertaintyAssCtx.hxx>
#include <StepGeom_Line.hxx>
#include <StepGeom_SurfaceCurve.hxx>
#include <StepGeom_Vector.hxx>
#include <StepRepr_GlobalUncertaintyAssignedContext.hxx>
#include <StepRepr_GlobalUnitAssignedContext.hxx>
#include <StepShape_BrepWithVoids.hxx>
#include <StepShape_ClosedShell.hxx>
#include <StepShape_EdgeCurve.hxx>
#include <StepShape_EdgeLoop.hxx>
#include <StepShape_FaceBound.hxx>
#include <StepShape_FaceSurface.hxx>
#include <StepShape_ManifoldSolidBrep.hxx>
#include <StepShape_OrientedClosedShell.hxx>
#include <StepShape_OrientedEdge.hxx>
#include <StepShape_OrientedFace.hxx>
#include <StepShape_VertexPoint.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_DataMapOfShapeInteger.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Edge.hxx>
#include <TopoDS_TShape.hxx>
#include <TopoDS_Vertex.hxx>
#include <TransferBRep.hxx>
#include <Transfer_TransientProcess.hxx>
#include <XSControl_TransferReader.hxx>
#include <XSControl_WorkSession.hxx>
#include <fmt/format.h>

#include "geometry/vec.h"

namespace holeward {
namespace {

// Edges and corners that lie off each other by less, mm, are as sound files have them, whatever
// they say of themselves: their figures end somewhere.
constexpr double kWritten = 1e-3;
// Cosine of the angle that the ways along an edge and along its curve make at most with opposite
// ones, for them to be opposite: a closed spline has no way, an extended one nearly that of the
// edge.
constexpr double kOpposite = 0.9;

using Entity = const Standard_Transient*;

/// Faces, and the edges and corners at their borders; no seams.
struct Counts {
  std::size_t faces = 0, edges = 0, corners = 0;
  bool operator==(const Counts&) const = default;
};

/// How often the faces' borders run along an edge and against it, and which faces.
struct EdgeUse {
  int along = 0, against = 0;
  std::set<Entity> faces;
  Entity face_along = nullptr;  ///< the last one whose border runs along it
  bool turned = false;          ///< its shell is used turned inside out: round a void
};

/// A face, and whether its shell is used turned inside out.
struct ShellFace {
  Handle(StepShape_FaceSurface) face;
  bool turned = false;
};

/// A place of the file in its own unit and axes; nothing if it is none in space.
std::optional<Vec3> PlaceOf(const Handle(StepGeom_CartesianPoint) & point) {
  if (point.IsNull() || point->NbCoordinates() < 3) return std::nullopt;
  return Vec3(point->CoordinatesValue(1), point->CoordinatesValue(2), point->CoordinatesValue(3));
}

std::optional<Vec3> PlaceOf(const Handle(StepShape_Vertex) & corner) {
  const auto point = Handle(StepShape_VertexPoint)::DownCast(corner);
  if (point.IsNull()) return std::nullopt;
  return PlaceOf(Handle(StepGeom_CartesianPoint)::DownCast(point->VertexGeometry()));
}

/// The way from where a line or a spline begins to where it ends; nothing of other curves.
std::optional<Vec3> WayOf(Handle(StepGeom_Curve) curve) {
  const auto on_surface = Handle(StepGeom_SurfaceCurve)::DownCast(curve);
  if (!on_surface.IsNull()) curve = on_surface->Curve3d();
  const auto spline = Handle(StepGeom_BSplineCurve)::DownCast(curve);
  if (!spline.IsNull() && spline->NbControlPointsList() > 1) {
    const auto first = PlaceOf(spline->ControlPointsListValue(1));
    const auto last = PlaceOf(spline->ControlPointsListValue(spline->NbControlPointsList()));
    return first && last ? std::optional<Vec3>(*last - *first) : std::nullopt;
  }
  const auto line = Handle(StepGeom_Line)::DownCast(curve);
  if (line.IsNull() || line->Dir().IsNull() || line->Dir()->Orientation().IsNull()) {
    return std::nullopt;
  }
  const auto way = line->Dir()->Orientation();
  if (way->NbDirectionRatios() < 3) return std::nullopt;
  return Vec3(way->DirectionRatiosValue(1), way->DirectionRatiosValue(2),
              way->DirectionRatiosValue(3));
}

/// True if the curve of an edge runs the other way than the edge says. (The reader turns it. An arc
/// that does is another arc.)
bool IsTurned(Entity entity) {
  const auto* const edge = dynamic_cast<const StepShape_EdgeCurve*>(entity);
  if (edge == nullptr) return false;
  const auto way = WayOf(edge->EdgeGeometry());
  const auto from = PlaceOf(edge->EdgeStart());
  const auto to = PlaceOf(edge->EdgeEnd());
  if (!way || !from || !to) return false;
  const Vec3 along = (edge->SameSense() ? 1.0 : -1.0) * (*to - *from);
  return along.dot(*way) < -kOpposite * along.norm() * way->norm();
}

/// What the file says of one body.
class Account {
 public:
  void Add(const Handle(StepShape_ConnectedFaceSet) & shell, bool turned = false) {
    if (shell.IsNull()) return;
    for (int i = 1; i <= shell->NbCfsFaces(); ++i) AddFace(shell->CfsFacesValue(i), turned);
  }

  [[nodiscard]] Counts counts() const {
    Counts counts{faces_.size(), 0, 0};
    std::set<Entity> corners;
    for (const auto& [edge, use] : edges_) {
      if (use.faces.size() < 2) continue;  // a seam
      ++counts.edges;
      const auto* const ends = static_cast<const StepShape_Edge*>(edge);
      corners.insert(ends->EdgeStart().get());
      corners.insert(ends->EdgeEnd().get());
    }
    counts.corners = corners.size();
    return counts;
  }

  /// Edges that do not bound two faces, or one twice, once each way.
  [[nodiscard]] std::size_t misused() const {
    return static_cast<std::size_t>(std::count_if(edges_.begin(), edges_.end(), [](const auto& e) {
      return e.second.along != 1 || e.second.against != 1;
    }));
  }

  [[nodiscard]] const std::map<Entity, EdgeUse>& edges() const { return edges_; }
  [[nodiscard]] std::size_t open_loops() const { return open_loops_; }
  [[nodiscard]] const std::vector<ShellFace>& faces() const { return faces_; }

 private:
  void AddFace(const Handle(StepShape_Face) & face, bool turned) {
    const auto oriented = Handle(StepShape_OrientedFace)::DownCast(face);
    const auto plain = oriented.IsNull() ? face : oriented->FaceElement();
    const auto surface = Handle(StepShape_FaceSurface)::DownCast(plain);
    if (surface.IsNull()) return;
    faces_.push_back({surface, turned});
    for (int i = 1; i <= surface->NbBounds(); ++i) {
      AddBound(*surface->BoundsValue(i), surface, turned);
    }
  }

  void AddBound(const StepShape_FaceBound& bound, const Handle(StepShape_FaceSurface) & face,
                bool turned) {
    const auto loop = Handle(StepShape_EdgeLoop)::DownCast(bound.Bound());
    if (loop.IsNull()) return;
    const int size = loop->NbEdgeList();
    bool closed = true;
    for (int i = 1; i <= size; ++i) {
      const auto edge = loop->EdgeListValue(i);
      const auto next = loop->EdgeListValue(i % size + 1);
      if (edge.IsNull() || next.IsNull() || edge->EdgeElement().IsNull()) continue;
      EdgeUse& use = edges_[edge->EdgeElement().get()];
      const bool along = edge->Orientation() == bound.Orientation();
      ++(along ? use.along : use.against);
      if (along) use.face_along = face.get();
      use.faces.insert(face.get());
      use.turned = turned;
      closed = closed && EndOf(*edge, edge->Orientation()) == EndOf(*next, !next->Orientation());
    }
    if (!closed) ++open_loops_;
  }

  /// The corner where an edge ends that is run through along itself, or where it starts.
  static Entity EndOf(const StepShape_OrientedEdge& edge, bool end) {
    const auto element = edge.EdgeElement();
    if (element.IsNull()) return nullptr;
    return end ? element->EdgeEnd().get() : element->EdgeStart().get();
  }

  std::vector<ShellFace> faces_;
  std::map<Entity, EdgeUse> edges_;
  std::size_t open_loops_ = 0;
};

/// Within what the file itself says that its places are one, mm: the widest it says. 0 if nothing.
double UncertaintyOf(const Interface_InterfaceModel& model) {
  double widest = 0.0;
  for (int i = 1; i <= model.NbEntities(); ++i) {
    const auto context = Handle(
        StepGeom_GeomRepContextAndGlobUnitAssCtxAndGlobUncertaintyAssCtx)::DownCast(model.Value(i));
    if (context.IsNull() || context->GlobalUnitAssignedContext().IsNull() ||
        context->GlobalUncertaintyAssignedContext().IsNull()) {
      continue;
    }
    STEPConstruct_UnitContext units;
    units.ComputeFactors(context->GlobalUnitAssignedContext());
    units.ComputeTolerance(context->GlobalUncertaintyAssignedContext());
    if (!units.HasUncertainty()) continue;
    const double says = units.Uncertainty() * units.LengthFactor();
    if (std::isfinite(says)) widest = std::max(widest, says);
  }
  return widest;
}

Account AccountOf(const StepShape_ManifoldSolidBrep& body) {
  Account account;
  account.Add(body.Outer());
  const auto* const hollow = dynamic_cast<const StepShape_BrepWithVoids*>(&body);
  for (int i = 1; hollow != nullptr && i <= hollow->NbVoids(); ++i) {
    const auto inner = hollow->VoidsValue(i);
    if (!inner.IsNull()) account.Add(inner->ClosedShellElement(), !inner->Orientation());
  }
  return account;
}

Counts CountsOf(const TopoDS_Shape& solid) {
  TopTools_IndexedMapOfShape faces;
  TopTools_IndexedMapOfShape edges;
  TopTools_IndexedMapOfShape corners;
  TopExp::MapShapes(solid, TopAbs_FACE, faces);
  for (int i = 1; i <= faces.Extent(); ++i) {
    TopTools_DataMapOfShapeInteger uses;
    for (TopExp_Explorer e(faces(i), TopAbs_EDGE); e.More(); e.Next()) {
      if (!uses.Bind(e.Current(), 1)) ++uses.ChangeFind(e.Current());
    }
    for (TopTools_DataMapOfShapeInteger::Iterator use(uses); use.More(); use.Next()) {
      const TopoDS_Edge& edge = TopoDS::Edge(use.Key());
      if (use.Value() > 1 || BRep_Tool::Degenerated(edge)) continue;
      edges.Add(edge);
      TopExp::MapShapes(edge, TopAbs_VERTEX, corners);
    }
  }
  return {static_cast<std::size_t>(faces.Extent()), static_cast<std::size_t>(edges.Extent()),
          static_cast<std::size_t>(corners.Extent())};
}

/// Faces whose normal points to the other side than in the file.
std::size_t TurnedFaces(const Handle(Transfer_TransientProcess) & process, const Account& account,
                        const TopoDS_Shape& solid) {
  std::map<const TopoDS_TShape*, bool> along;
  for (TopExp_Explorer e(solid, TopAbs_FACE); e.More(); e.Next()) {
    along[e.Current().TShape().get()] = e.Current().Orientation() == TopAbs_FORWARD;
  }
  const auto is_turned = [&](const ShellFace& one) {
    const TopoDS_Shape shape = TransferBRep::ShapeResult(process, one.face);
    const auto read = along.find(shape.TShape().get());
    return read != along.end() && read->second != (one.face->SameSense() != one.turned);
  };
  const auto& faces = account.faces();
  return static_cast<std::size_t>(std::count_if(faces.begin(), faces.end(), is_turned));
}

/// Compares the directions of a body's edges with those in the file.
class Directions {
 public:
  Directions(const Handle(Transfer_TransientProcess) & process, const TopoDS_Shape& solid)
      : process_(process) {
    for (TopExp_Explorer f(solid, TopAbs_FACE); f.More(); f.Next()) {
      for (TopExp_Explorer e(f.Current(), TopAbs_EDGE); e.More(); e.Next()) {
        if (e.Current().Orientation() != TopAbs_FORWARD) continue;
        borders_.emplace(e.Current().TShape().get(), f.Current().TShape().get());
      }
    }
  }

  /// True if the border of the face that runs along an edge in the file runs against it as read.
  [[nodiscard]] bool IsBorderTurned(Entity entity, const EdgeUse& use) const {
    const auto* const edge = dynamic_cast<const StepShape_EdgeCurve*>(entity);
    if (edge == nullptr || use.faces.size() != 2 || use.face_along == nullptr) return false;
    const bool along = StartsAtStart(*edge).value_or(edge->SameSense());
    const TopoDS_Shape shape = ShapeOf(entity);
    const TopoDS_Shape face = ShapeOf(use.face_along);
    if (shape.IsNull() || face.IsNull()) return false;
    const auto read = borders_.equal_range(shape.TShape().get());
    const bool is_along = std::any_of(read.first, read.second, [&](const auto& border) {
      return border.second == face.TShape().get();
    });
    return read.first != read.second && is_along != (along != use.turned);
  }

 private:
  [[nodiscard]] TopoDS_Shape ShapeOf(Entity entity) const {
    return TransferBRep::ShapeResult(process_, Handle(Standard_Transient)(entity));
  }

  /// Whether an edge as read runs from where it starts in the file; nothing if that is not known.
  [[nodiscard]] std::optional<bool> StartsAtStart(const StepShape_EdgeCurve& edge) const {
    const TopoDS_Shape shape = ShapeOf(&edge);
    const TopoDS_Shape start = ShapeOf(edge.EdgeStart().get());
    const TopoDS_Shape end = ShapeOf(edge.EdgeEnd().get());
    if (shape.IsNull() || shape.ShapeType() != TopAbs_EDGE || start.IsNull() || end.IsNull() ||
        start.IsPartner(end)) {
      return std::nullopt;
    }
    const TopoDS_Vertex first = TopExp::FirstVertex(TopoDS::Edge(shape), false);
    if (first.IsPartner(start)) return true;
    return first.IsPartner(end) ? std::optional(false) : std::nullopt;
  }

  Handle(Transfer_TransientProcess) process_;
  std::multimap<const TopoDS_TShape*, const TopoDS_TShape*>
      borders_;  ///< edges to faces along them
};

}  // namespace

StepAccount::StepAccount(const STEPControl_Reader& reader)
    : process_(reader.WS()->TransferReader()->TransientProcess()) {
  const auto model = reader.WS()->Model();
  apart_ = std::max(kWritten, UncertaintyOf(*model));
  for (int i = 1; i <= model->NbEntities(); ++i) {
    const auto body = Handle(StepShape_ManifoldSolidBrep)::DownCast(model->Value(i));
    if (body.IsNull()) continue;
    const TopoDS_Shape shape = TransferBRep::ShapeResult(process_, body);
    if (shape.IsNull()) continue;
    for (TopExp_Explorer e(shape, TopAbs_SOLID); e.More(); e.Next()) {
      bodies_[e.Current().TShape().get()] = body;
    }
  }
}

std::string StepAccount::MendedOf(const TopoDS_Shape& solid) const {
  const auto body = bodies_.find(solid.TShape().get());
  if (body == bodies_.end()) {
    return "the file has loose faces where the reader made a body of them";
  }
  const Account account = AccountOf(*body->second);
  std::vector<std::string> mended;
  const auto tell = [&](std::size_t number, const char* what) {
    if (number > 0) mended.push_back(fmt::format("{} {}", number, what));
  };
  tell(account.open_loops(), "of its faces' borders had their edges out of order");
  tell(account.misused(), "of its edges did not part two faces, once each way");
  const Directions read_as(process_, solid);
  const auto number = [&](const auto& is) {
    return static_cast<std::size_t>(
        std::count_if(account.edges().begin(), account.edges().end(), is));
  };
  tell(number([](const auto& e) { return IsTurned(e.first); }),
       "of its edges ran against their curves");
  tell(number([&](const auto& e) { return read_as.IsBorderTurned(e.first, e.second); }),
       "of its edges parted their faces the other way round");
  tell(TurnedFaces(process_, account, solid), "of its faces were turned inside out");
  const Counts file = account.counts();
  const Counts read = CountsOf(solid);
  if (!(file == read)) {
    mended.push_back(
        fmt::format("the file has {} faces, {} edges between them and {} corners, the body as read "
                    "{}, {} and {}",
                    file.faces, file.edges, file.corners, read.faces, read.edges, read.corners));
  }
  const double off = ShapeAnalysis_ShapeTolerance().Tolerance(solid, 1);  // 1: the greatest
  if (off > apart_) {
    mended.push_back(fmt::format("edges and corners lay up to {:.2g} mm off each other", off));
  }
  std::string all;
  for (const std::string& one : mended) all += (all.empty() ? "" : "; ") + one;
  return all;
}

}  // namespace holeward
