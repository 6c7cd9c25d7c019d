#include "viewer/window/picture.h"

#include <EGL/egl.h>
#include <EGL/eglext.h>
#include <vtkAutoInit.h>
#include <vtkGenericOpenGLRenderWindow.h>
#include <vtkImageData.h>
#include <vtkLogger.h>
#include <vtkPNGWriter.h>
#include <vtkSmartPointer.h>
#include <vtkUnsignedCharArray.h>
#include <vtkWindowToImageFilter.h>

namespace holeward {
namespace {

/// A graphics context that needs no screen, current while it lives.
class ScreenlessContext {
 public:
  ScreenlessContext() {
    const auto get_display = reinterpret_cast<PFNEGLGETPLATFORMDISPLAYEXTPROC>(
        eglGetProcAddress("eglGetPlatformDisplayEXT"));
    if (get_display == nullptr) return;
    display_ = get_display(EGL_PLATFORM_SURFACELESS_MESA, nullptr, nullptr);
    if (display_ == EGL_NO_DISPLAY || eglInitialize(display_, nullptr, nullptr) == EGL_FALSE)
      return;
    const EGLint wanted[] = {EGL_SURFACE_TYPE,
                             EGL_PBUFFER_BIT,
                             EGL_RENDERABLE_TYPE,
                             EGL_OPENGL_BIT,
                             EGL_RED_SIZE,
                             8,
                             EGL_DEPTH_SIZE,
                             24,
                             EGL_NONE};
    EGLConfig config = nullptr;
    EGLint count = 0;
    if (eglChooseConfig(display_, wanted, &config, 1, &count) == EGL_FALSE || count == 0) return;
    const EGLint size[] = {EGL_WIDTH, 16, EGL_HEIGHT, 16, EGL_NONE};
    surface_ = eglCreatePbufferSurface(display_, config, size);
    eglBindAPI(EGL_OPENGL_API);
    const EGLint version[] = {EGL_CONTEXT_MAJOR_VERSION, 3, EGL_CONTEXT_MINOR_VERSION, 2, EGL_NONE};
    context_ = eglCreateContext(display_, config, EGL_NO_CONTEXT, version);
    ready_ = context_ != EGL_NO_CONTEXT &&
             eglMakeCurrent(display_, surface_, surface_, context_) == EGL_TRUE;
  }
  ScreenlessContext(const ScreenlessContext&) = delete;
  ScreenlessContext& operator=(const ScreenlessContext&) = delete;
  ~ScreenlessContext() {
    if (display_ == EGL_NO_DISPLAY) return;
    eglMakeCurrent(display_, EGL_NO_SURFACE, EGL_NO_SURFACE, EGL_NO_CONTEXT);
    if (context_ != EGL_NO_CONTEXT) eglDestroyContext(display_, context_);
    if (surface_ != EGL_NO_SURFACE) eglDestroySurface(display_, surface_);
    eglTerminate(display_);
  }
  [[nodiscard]] bool ready() const { return ready_; }

 private:
  EGLDisplay display_ = EGL_NO_DISPLAY;
  EGLSurface surface_ = EGL_NO_SURFACE;
  EGLContext context_ = EGL_NO_CONTEXT;
  bool ready_ = false;
};

/// Words and dots lie at the depth of what they stand on, and are drawn after it. A window of the
/// toolkit sets this, a context of our own starts without.
void DrawOverWhatIsAsDeep() {
  constexpr unsigned kLessOrEqual = 0x0203;  // GL_LEQUAL
  using DepthFunc = void (*)(unsigned);
  const auto depth_func = reinterpret_cast<DepthFunc>(eglGetProcAddress("glDepthFunc"));
  if (depth_func != nullptr) depth_func(kLessOrEqual);
}

std::string PngOf(vtkRenderWindow* window) {
  auto grab = vtkSmartPointer<vtkWindowToImageFilter>::New();
  grab->SetInput(window);
  grab->ReadFrontBufferOff();
  grab->ShouldRerenderOff();
  auto png = vtkSmartPointer<vtkPNGWriter>::New();
  png->SetInputConnection(grab->GetOutputPort());
  png->WriteToMemoryOn();
  png->Write();
  vtkUnsignedCharArray* bytes = png->GetResult();
  if (bytes == nullptr) return "";
  return {reinterpret_cast<const char*>(bytes->GetPointer(0)),
          static_cast<std::size_t>(bytes->GetNumberOfValues())};
}

}  // namespace

Result<std::string> WindowPicture(const JobState& state, const PictureWish& wish) {
  if (state.sides.empty()) return Fail(ErrorKind::computed, "there is nothing to draw");
  const ScreenlessContext context;
  if (!context.ready()) {
    return Fail(ErrorKind::computed, "this machine offers no way to draw without a display");
  }
  // Without a screen it misses one and says so, then draws all the same.
  vtkLogger::SetStderrVerbosity(vtkLogger::VERBOSITY_OFF);
  auto window = vtkSmartPointer<vtkGenericOpenGLRenderWindow>::New();
  window->SetReadyForRendering(true);
  window->SetIsCurrent(true);
  window->SetOwnContext(0);
  window->SetOffScreenRendering(1);
  window->SetSize(wish.width, wish.height);
  window->InitializeFromCurrentContext();
  DrawOverWhatIsAsDeep();
  std::string png;
  {
    ViewScene scene;
    scene.Attach(window);
    scene.SetShape(ShapeOf(state));
    scene.SetPoints(PointsOf(state), state.job.inches);
    scene.Choose(wish.chosen);
    scene.SeeInside(wish.inside);
    scene.eye.From(wish.look);
    scene.Prepare(wish.width, wish.height);
    scene.Fit();
    scene.Prepare(wish.width, wish.height);
    window->Render();
    scene.Prepare(wish.width, wish.height);
    window->Render();
    png = PngOf(window);
    window->Finalize();
  }
  if (png.empty()) return Fail(ErrorKind::computed, "the picture could not be drawn");
  return png;
}

}  // namespace holeward
