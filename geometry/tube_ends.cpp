#include "geometry/tube_ends.h"

#include <algorithm>

#include <BRepAdaptor_Curve.hxx>
#include <BRepGProp.hxx>
#include <BRepTools.hxx>
#include <BRep_Builder.hxx>
#include <BRep_Tool.hxx>
#include <GProp_GProps.hxx>
#include <GeomLib_IsPlanarSurface.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Compound.hxx>
#include <TopoDS_Wire.hxx>
#include <gp_Pln.hxx>

#include "geometry/solid_kernel.h"

namespace holeward {
namespace {

// A face departs from a plane by no more, mm.
constexpr double kFlat = 1e-4;
// Lengths of outlines that are those of ends: a tube tapers to a fifth at most.
constexpr double kTaper = 0.2;
// The ends of a straight tube are parallel within this, radians.
constexpr double kLevel = 1e-3;
// The largest flats are looked at, and so many pairs of them.
constexpr std::size_t kMostFlats = 40;
constexpr std::size_t kMostPairs = 200;
// Edges of the outline of a channel's end.
constexpr int kChannelEdges = 8;

struct Flat {
  TopoDS_Face face;
  Vec3 centre = Vec3::Zero();  ///< of its outline
  int wires = 0;
  int edges = 0;         ///< of its outline
  double outline = 0.0;  ///< length of it, mm
  bool round = true;     ///< its outline is of arcs
  Vec3 normal = Vec3::UnitZ();

  /// Could be an end by itself: with an opening, or a channel's.
  [[nodiscard]] bool is_open() const {
    return wires == 2 || (wires == 1 && edges >= kChannelEdges);
  }
};

struct PairOfFlats {
  std::size_t first = 0;
  std::size_t second = 0;
  double size = 0.0;  ///< of the tube between them, about, mm²
};

Flat FlatOf(const TopoDS_Face& face, const Vec3& normal) {
  Flat flat;
  flat.face = face;
  for (TopExp_Explorer w(face, TopAbs_WIRE); w.More(); w.Next()) ++flat.wires;
  const TopoDS_Wire outline = BRepTools::OuterWire(face);
  for (TopExp_Explorer e(outline, TopAbs_EDGE); e.More(); e.Next()) {
    ++flat.edges;
    flat.round =
        flat.round && BRepAdaptor_Curve(TopoDS::Edge(e.Current())).GetType() == GeomAbs_Circle;
  }
  flat.normal = normal;
  GProp_GProps properties;
  BRepGProp::LinearProperties(outline, properties);
  flat.outline = properties.Mass();
  flat.centre = ToVec3(properties.CentreOfMass());
  return flat;
}

}  // namespace

Result<std::vector<TopoDS_Shape>> PairsOfEnds(const TopoDS_Shape& joined) {
  return Guarded("the solid", "looking for ends", [&]() -> Result<std::vector<TopoDS_Shape>> {
    std::vector<TopoDS_Face> curved;
    std::vector<Flat> flats;
    for (TopExp_Explorer e(joined, TopAbs_FACE); e.More(); e.Next()) {
      const TopoDS_Face face = TopoDS::Face(e.Current());
      const GeomLib_IsPlanarSurface planar(BRep_Tool::Surface(face), kFlat);
      if (planar.IsPlanar()) {
        const gp_Dir normal = planar.Plan().Axis().Direction();
        flats.push_back(FlatOf(face, {normal.X(), normal.Y(), normal.Z()}));
      } else {
        curved.push_back(face);
      }
    }
    std::stable_sort(flats.begin(), flats.end(),
                     [](const Flat& a, const Flat& b) { return a.outline > b.outline; });
    if (flats.size() > kMostFlats) flats.resize(kMostFlats);
    std::vector<PairOfFlats> pairs;
    for (std::size_t i = 0; i < flats.size(); ++i) {
      for (std::size_t k = i + 1; k < flats.size(); ++k) {
        if (!flats[i].is_open() && !flats[k].is_open()) continue;
        if (flats[k].outline < kTaper * flats[i].outline) continue;
        // The ends of a bent part are of one kind: round, or of as many flats.
        const bool level = flats[i].normal.cross(flats[k].normal).norm() < kLevel;
        const bool alike = flats[i].round == flats[k].round &&
                           (flats[i].round || flats[i].edges == flats[k].edges);
        if (!level && !alike) continue;
        const double apart = (flats[k].centre - flats[i].centre).norm();
        pairs.push_back({i, k, 0.5 * (flats[i].outline + flats[k].outline) * apart});
      }
    }
    std::stable_sort(pairs.begin(), pairs.end(),
                     [](const PairOfFlats& a, const PairOfFlats& b) { return a.size > b.size; });
    if (pairs.size() > kMostPairs) pairs.resize(kMostPairs);
    std::vector<TopoDS_Shape> shapes;
    for (const PairOfFlats& pair : pairs) {
      BRep_Builder builder;
      TopoDS_Compound compound;
      builder.MakeCompound(compound);
      builder.Add(compound, flats[pair.first].face);
      builder.Add(compound, flats[pair.second].face);
      for (const TopoDS_Face& face : curved) builder.Add(compound, face);
      shapes.push_back(compound);
    }
    return shapes;
  });
}

}  // namespace holeward
