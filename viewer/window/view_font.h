// The lettering of the picture: that of the sheets.
#pragma once

#include <cmath>

#include <unistd.h>
#include <vtkRenderWindow.h>
#include <vtkRenderer.h>
#include <vtkTextProperty.h>

namespace holeward {

/// DejaVu Sans where it is installed, which the program asks for; else what the library has.
inline void UseLettering(vtkTextProperty* text, bool bold) {
  const char* file = bold ? "/usr/share/fonts/truetype/dejavu/DejaVuSans-Bold.ttf"
                          : "/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf";
  if (access(file, R_OK) == 0) {
    text->SetFontFamily(VTK_FONT_FILE);
    text->SetFontFile(file);
  } else {
    text->SetFontFamilyToArial();
    text->SetBold(bold ? 1 : 0);
  }
}

/// The size to ask for so that letters come out `pixels` high: a window that says it is finer than
/// 72 dots an inch enlarges them by itself.
inline int LetterSize(vtkRenderer* renderer, double pixels) {
  constexpr double kPlainDots = 72.0;
  vtkRenderWindow* window = renderer->GetRenderWindow();
  const double finer = window == nullptr ? 1.0 : window->GetDPI() / kPlainDots;
  return static_cast<int>(std::lround(pixels / finer));
}

}  // namespace holeward
