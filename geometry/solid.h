// A solid whose faces have names that survive every operation: the truth that everything else is
// derived from.
#pragma once

#include <array>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include <Eigen/Geometry>
#include <TopoDS_Face.hxx>
#include <TopoDS_Shape.hxx>

#include "geometry/bezier.h"
#include "geometry/result.h"
#include "geometry/skin.h"
#include "geometry/vec.h"

namespace holeward {

struct MountedBody;  // geometry/mounted_body.h

/// How a hollow part is made from its skin.
struct HollowSpec {
  std::string what;                          ///< the part and its sizes in words, for messages
  double wall = 0.0;                         ///< mm, normal to the skin
  std::array<bool, 2> closed{false, false};  ///< start, finish
  std::vector<std::string> piece_names;  ///< one a piece of the skin; the inner ones get " inner"
  std::array<std::string, 2> end_names;  ///< the flat ends
  std::array<std::string, 2> lip_names;  ///< channel only: at the lower v, at the higher v
};

/// A rectangle of a skin along its lines, raised: the body of a bracket, plate or seam.
struct PadSpec {
  std::string name;
  double u_from = 0.0;
  double u_to = 0.0;
  double v_from = 0.0;  ///< may lie below 0 or above piece_count on a closed skin; v_from < v_to
  double v_to = 0.0;
  double sink = 0.0;    ///< how far it reaches under the skin, mm, > 0 so that it fuses
  double height = 0.0;  ///< above the skin, mm
};

class NamedSolid {
 public:
  struct NamedFace {
    std::string name;
    FaceRole role = FaceRole::outer;
    TopoDS_Face face;
  };

  // ---- Making

  /// The hollow solid of a skin: valid, closed, its volume that of the law. Faces: each piece by
  /// its name and its inner side (" inner"), with " 1", " 2" along a mitred part; the ends; the
  /// inner side of a closed end (" inner"); a channel's lips.
  /// Errors: what the sizes make impossible (job); what the kernel could not build or got wrong
  /// (computed). Each names the part and its sizes.
  /// Accuracy: wall_deviation(), at most 0.02 mm.
  [[nodiscard]] static Result<NamedSolid> BuildHollow(const Skin& skin, const HollowSpec& spec);

  /// A cylinder between two places (vehicle axes), faces "NAME", "NAME end 1", "NAME end 2".
  [[nodiscard]] static Result<NamedSolid> Cylinder(const std::string& name, const Vec3& from,
                                                   const Vec3& to, double radius,
                                                   FaceRole role = FaceRole::fitting);

  /// The body of a bracket, plate or seam, faces "NAME 1", "NAME 2", ...
  [[nodiscard]] static Result<NamedSolid> Pad(const Skin& skin, const PadSpec& spec);

  // ---- Reading
  [[nodiscard]] const std::string& what() const { return what_; }
  [[nodiscard]] const std::vector<NamedFace>& faces() const { return faces_; }
  [[nodiscard]] const NamedFace* Find(const std::string& face) const;
  [[nodiscard]] double volume() const { return volume_; }  ///< mm³
  [[nodiscard]] double Area() const;                       ///< mm²
  [[nodiscard]] Vec3 Centroid() const;
  /// A box that holds the solid; it may be larger.
  [[nodiscard]] Eigen::AlignedBox3d Bounds() const;
  /// Greatest sampled departure of the outer skin from the law plus that of the wall, mm.
  [[nodiscard]] double wall_deviation() const { return wall_deviation_; }
  [[nodiscard]] double wall_least() const { return wall_least_; }
  [[nodiscard]] double wall_greatest() const { return wall_greatest_; }
  [[nodiscard]] const TopoDS_Shape& shape() const { return shape_; }
  /// The body that it was taken from, with mounts on it (geometry/mounted_body.h); null if it is
  /// the whole of it. Operations do not keep it.
  [[nodiscard]] const std::shared_ptr<const MountedBody>& mounted() const { return mounted_; }
  [[nodiscard]] NamedSolid TakenFrom(std::shared_ptr<const MountedBody> body) const {
    NamedSolid solid = *this;
    solid.mounted_ = std::move(body);
    return solid;
  }
  /// True if the boundary representation is valid and closed.
  [[nodiscard]] bool IsSound() const;

  // ---- Every face as Bezier patches
  /// Patches that together cover every face: exact for whole faces; a trimmed one is covered by
  /// triangles that it departs from by at most `grown`.
  /// @param deflection mm, of the triangles; below 0.02 trimmed curved faces take seconds
  /// Errors (computed): a face the kernel could not convert.
  [[nodiscard]] Result<std::vector<FacePatches>> Patches(double deflection = 0.002) const;

  // ---- Operations; each gives a new solid, names kept
  /// The mirror image about y = 0.
  [[nodiscard]] Result<NamedSolid> Mirrored() const;
  /// With other bodies joined on. Errors: nothing changed, or the result is not sound.
  [[nodiscard]] Result<NamedSolid> Fused(const std::vector<NamedSolid>& others) const;
  /// With bodies taken out; their faces stay as the hole's walls. Errors: likewise.
  [[nodiscard]] Result<NamedSolid> Cut(const std::vector<NamedSolid>& tools) const;

 private:
  [[nodiscard]] Result<NamedSolid> Combined(const std::vector<NamedSolid>& others, bool cut) const;
  /// Takes volume from the shape; errors if it is not a sound solid of positive volume.
  [[nodiscard]] static Result<NamedSolid> Checked(NamedSolid solid);
  friend struct SolidMaker;

  std::string what_;
  TopoDS_Shape shape_;
  std::vector<NamedFace> faces_;
  double volume_ = 0.0;
  double wall_deviation_ = 0.0;
  double wall_least_ = 0.0;
  double wall_greatest_ = 0.0;
  std::shared_ptr<const MountedBody> mounted_;
};

}  // namespace holeward
