// Lines, filled shapes and words laid flat over a picture, in pixels of its window.
#pragma once

#include <array>
#include <map>
#include <string>
#include <vector>

#include <vtkSmartPointer.h>

#include "geometry/checked.h"
#include "geometry/vec.h"

class vtkActor2D;
class vtkPolyData;
class vtkRenderer;
class vtkTextActor;

namespace holeward {

using Ink3 = std::array<unsigned char, 3>;

/// Cleared and filled again for every picture.
class ViewOverlay {
 public:
  explicit ViewOverlay(vtkRenderer* renderer);

  void SetScale(double scale);
  void Clear();
  void Line(const std::vector<Vec2>& places, const Ink3& ink);
  void Fill(const std::vector<Vec2>& places, const Ink3& ink);
  /// Words with their lower left corner there, on a light ground.
  void Words(const std::string& words, const Vec2& at, bool strong);
  /// Width and height that words take up.
  [[nodiscard]] Vec2 SizeOf(const std::string& words);
  /// The mark of a point: its shape says the verdict. clear: ring; tight: triangle; unproven:
  /// square; contact: cross in a ring; no verdict: plain cross.
  void Mark(const Vec2& at, bool has_verdict, Verdict verdict, bool chosen);
  /// Puts what was filled in before the renderer.
  void Done();

 private:
  void AddCell(bool fill, const std::vector<Vec2>& places, const Ink3& ink);

  vtkRenderer* renderer_;
  vtkSmartPointer<vtkPolyData> lines_, fills_;
  std::vector<vtkSmartPointer<vtkTextActor>> words_;
  std::size_t words_used_ = 0;
  vtkSmartPointer<vtkTextActor> measure_;
  std::map<std::string, Vec2> sizes_;  ///< of words, at this scale
  double scale_ = 1.0;
  int size_ = 0;  ///< of the letters, as the window takes it
};

}  // namespace holeward
