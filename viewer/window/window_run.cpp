#include "viewer/window/window_run.h"

#include <QApplication>
#include <QOpenGLContext>
#include <QSurfaceFormat>
#include <cstdio>
#include <cstdlib>

#include <xcb/xcb.h>

#include "viewer/window/main_window.h"

namespace holeward {
namespace {

bool DisplayAnswers() {
  xcb_connection_t* connection = xcb_connect(nullptr, nullptr);
  const bool good = xcb_connection_has_error(connection) == 0;
  xcb_disconnect(connection);
  return good;
}

}  // namespace

std::string WhyNoWindow() {
  const char* display = std::getenv("DISPLAY");
  if (display == nullptr || *display == '\0') {
    return "there is no display to open a window on; --picture FILE.png draws without one";
  }
  if (!DisplayAnswers()) {
    return std::string("the display ") + display +
           " does not answer; --picture FILE.png draws without one";
  }
  return "";
}

void PrepareToolkit() {
  // Other platforms of the toolkit give no picture; the display was found to answer.
  setenv("QT_QPA_PLATFORM", "xcb", 1);
  QApplication::setAttribute(Qt::AA_EnableHighDpiScaling);
  QApplication::setAttribute(Qt::AA_UseHighDpiPixmaps);
  QApplication::setHighDpiScaleFactorRoundingPolicy(
      Qt::HighDpiScaleFactorRoundingPolicy::PassThrough);
  QSurfaceFormat format;
  format.setRenderableType(QSurfaceFormat::OpenGL);
  format.setVersion(3, 2);
  format.setProfile(QSurfaceFormat::CoreProfile);
  format.setDepthBufferSize(24);
  QSurfaceFormat::setDefaultFormat(format);
  QApplication::setOrganizationName("holeward");
  QApplication::setApplicationName("holeward-view");
}

int RunWindow(const std::string& job, const WindowServices& services) {
  PrepareToolkit();
  int argc = 1;
  char name[] = "holeward-view";
  char* argv[] = {name, nullptr};
  QApplication application(argc, argv);
  {
    QOpenGLContext context;
    if (!context.create()) {
      fprintf(stderr,
              "holeward: the display gives no OpenGL picture; "
              "--picture FILE.png draws without one\n");
      return 4;
    }
  }
  MainWindow window(services);
  window.show();
  if (!job.empty()) window.Open(QString::fromStdString(job));
  return QApplication::exec();
}

}  // namespace holeward
