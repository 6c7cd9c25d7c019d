// Exact shortest paths on a triangulated skin (CGAL, used by tests and benchmarks only): exact for
// the triangles, so off the skin's by what the triangles are.
#pragma once

#include <memory>
#include <vector>

#include <CGAL/Simple_cartesian.h>
#include <CGAL/Surface_mesh.h>
#include <CGAL/Surface_mesh_shortest_path.h>

#include "geometry/skin.h"

namespace holeward::testing {

class MeshOracle {
 public:
  using Kernel = CGAL::Simple_cartesian<double>;
  using Mesh = CGAL::Surface_mesh<Kernel::Point_3>;
  using Traits = CGAL::Surface_mesh_shortest_path_traits<Kernel, Mesh>;
  using ShortestPath = CGAL::Surface_mesh_shortest_path<Traits>;
  using Vertex = Mesh::Vertex_index;

  /// `along`: rows over the length; flats are cut in `flat` parts, corners in `corner`.
  MeshOracle(const Skin& skin, int along, int flat, int corner) : along_(along) {
    for (int k = 0; k < skin.piece_count(); ++k) {
      const int parts = skin.KindOf(k) == PieceKind::flat ? flat : corner;
      for (int n = 0; n < parts; ++n) v_.push_back(k + static_cast<double>(n) / parts);
    }
    const int round = static_cast<int>(v_.size());
    for (int i = 0; i <= along; ++i) {
      for (const double v : v_) {
        const Vec3 x = skin.At(skin.u_end() * i / along, v).position;
        vertices_.push_back(mesh_.add_vertex({x.x(), x.y(), x.z()}));
      }
    }
    for (int i = 0; i < along; ++i) {
      for (int k = 0; k < round; ++k) {
        const Vertex a = At(i, k), b = At(i, (k + 1) % round);
        const Vertex c = At(i + 1, k), d = At(i + 1, (k + 1) % round);
        if ((i + k) % 2 == 0) {
          mesh_.add_face(a, b, d);
          mesh_.add_face(a, d, c);
        } else {
          mesh_.add_face(a, b, c);
          mesh_.add_face(b, d, c);
        }
      }
    }
    u_end_ = skin.u_end();
  }

  [[nodiscard]] std::size_t triangles() const { return mesh_.number_of_faces(); }
  [[nodiscard]] int round() const { return static_cast<int>(v_.size()); }
  [[nodiscard]] int along() const { return along_; }
  /// The place of node (i, k).
  [[nodiscard]] SkinPlace PlaceOf(int i, int k) const { return {u_end_ * i / along_, v_[k]}; }

  /// Builds the distances from node (i, k); valid until the next call.
  void From(int i, int k) {
    paths_ = std::make_unique<ShortestPath>(mesh_);
    paths_->add_source_point(At(i, k));
    paths_->build_sequence_tree();
  }
  [[nodiscard]] double To(int i, int k) {
    return paths_->shortest_distance_to_source_points(At(i, k)).first;
  }

 private:
  [[nodiscard]] Vertex At(int i, int k) const {
    return vertices_[static_cast<std::size_t>(i) * v_.size() + static_cast<std::size_t>(k)];
  }

  int along_;
  double u_end_ = 0.0;
  std::vector<double> v_;
  std::vector<Vertex> vertices_;
  Mesh mesh_;
  std::unique_ptr<ShortestPath> paths_;
};

}  // namespace holeward::testing
