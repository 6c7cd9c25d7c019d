// The bodies drawn by the graphics library into memory.
#pragma once

#include <vtkSmartPointer.h>

#include "viewer/bitmap.h"

class vtkGenericOpenGLRenderWindow;
class vtkRenderer;

namespace holeward {

/// Off screen, in whatever graphics context is current.
class BodyPicture {
 public:
  explicit BodyPicture(vtkRenderer* renderer);
  /// The context it drew in must be current, if it drew.
  ~BodyPicture();
  BodyPicture(const BodyPicture&) = delete;
  BodyPicture& operator=(const BodyPicture&) = delete;

  /// The size of the pictures to come, pixels.
  void Resize(int width, int height);
  /// Draws into `picture`. @param smooth edges without steps
  void Draw(bool smooth, Bitmap& picture);

 private:
  vtkSmartPointer<vtkGenericOpenGLRenderWindow> window_;
  bool begun_ = false;
};

}  // namespace holeward
