#include "viewer/window/picture.h"

#include <EGL/egl.h>
#include <EGL/eglext.h>
#include <cairo.h>
#include <vtkLogger.h>

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

cairo_status_t Collect(void* closure, const unsigned char* data, unsigned int length) {
  static_cast<std::string*>(closure)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

std::string PngOf(const Bitmap& picture) {
  std::string png;
  Bitmap copy = picture;
  cairo_surface_t* surface = cairo_image_surface_create_for_data(
      reinterpret_cast<unsigned char*>(copy.pixels.data()), CAIRO_FORMAT_RGB24, copy.width,
      copy.height, 4 * copy.width);
  if (cairo_surface_write_to_png_stream(surface, &Collect, &png) != CAIRO_STATUS_SUCCESS) {
    png.clear();
  }
  cairo_surface_destroy(surface);
  return png;
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
  ViewScene scene;
  scene.SetShape(ShapeOf(state));
  scene.SetPoints(PointsOf(state), state.job.inches);
  scene.SetNotice(state.Notice());
  scene.Choose(wish.chosen);
  scene.SeeInside(wish.inside);
  scene.eye.From(wish.look);
  scene.Aim(wish.width, wish.height);
  scene.Fit();
  scene.Aim(wish.width, wish.height);
  std::string png = PngOf(scene.Draw(Finish::fine));
  if (png.empty()) return Fail(ErrorKind::computed, "the picture could not be drawn");
  return png;
}

}  // namespace holeward
