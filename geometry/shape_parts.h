// What a shape of the kernel is made of, and how much: volume, areas, its solids and faces. The
// kernel's exceptions come through.
#pragma once

#include <vector>

#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS_Face.hxx>
#include <TopoDS_Shape.hxx>

namespace holeward {

/// mm³, by quadrature to within this share.
[[nodiscard]] double VolumeOf(const TopoDS_Shape& shape, double within = 1e-7);

/// mm², never negative; by quadrature to within this share.
[[nodiscard]] double AreaOf(const TopoDS_Face& face, double within = 1e-6);

[[nodiscard]] std::vector<TopoDS_Shape> SolidsOf(const TopoDS_Shape& shape);

/// The faces of a shape by their numbers in it, from 1: the same in a copy made of its bytes.
[[nodiscard]] TopTools_IndexedMapOfShape FacesOf(const TopoDS_Shape& shape);

}  // namespace holeward
