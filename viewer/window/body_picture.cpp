#include "viewer/window/body_picture.h"

#include <cstring>

#include <vtkAutoInit.h>
#include <vtkGenericOpenGLRenderWindow.h>
#include <vtkNew.h>
#include <vtkRenderer.h>
#include <vtkUnsignedCharArray.h>

namespace holeward {
namespace {

constexpr int kSamples = 4;  // a pixel, for smooth edges

/// Rows from below, red first, as the graphics library has them.
void Take(const unsigned char* from, Bitmap& picture) {
  const auto width = static_cast<std::size_t>(picture.width);
  for (int y = picture.height - 1; y >= 0; --y) {
    std::uint32_t* row = &picture.pixels[width * static_cast<std::size_t>(y)];
    for (std::size_t x = 0; x < width; ++x, from += 4) {
      row[x] = 0xff000000U | static_cast<std::uint32_t>(from[0]) << 16 |
               static_cast<std::uint32_t>(from[1]) << 8 | from[2];
    }
  }
}

}  // namespace

BodyPicture::BodyPicture(vtkRenderer* renderer)
    : window_(vtkSmartPointer<vtkGenericOpenGLRenderWindow>::New()) {
  window_->SetReadyForRendering(true);
  window_->SetIsCurrent(true);
  window_->SetOwnContext(0);
  window_->SetOffScreenRendering(1);
  window_->SetFrameBlitModeToNoBlit();  // it is read back, not shown
  window_->AddRenderer(renderer);
}

BodyPicture::~BodyPicture() {
  if (begun_) window_->Finalize();
}

void BodyPicture::Resize(int width, int height) { window_->SetSize(width, height); }

void BodyPicture::Draw(bool smooth, Bitmap& picture) {
  if (!begun_) window_->InitializeFromCurrentContext();
  begun_ = true;
  window_->SetMultiSamples(smooth ? kSamples : 0);
  window_->Render();
  picture.width = window_->GetSize()[0];
  picture.height = window_->GetSize()[1];
  picture.pixels.resize(static_cast<std::size_t>(picture.width) *
                        static_cast<std::size_t>(picture.height));
  vtkNew<vtkUnsignedCharArray> dots;
  window_->GetRGBACharPixelData(0, 0, picture.width - 1, picture.height - 1, 0, dots);
  if (static_cast<std::size_t>(dots->GetNumberOfValues()) < 4 * picture.pixels.size()) return;
  Take(dots->GetPointer(0), picture);
}

}  // namespace holeward
