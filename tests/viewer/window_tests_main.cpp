// The tests of the window, where there is a display.
#include <QApplication>
#include <QTemporaryDir>
#include <cstdio>
#include <string>

#include <gtest/gtest.h>

#include "viewer/window/window_run.h"

int main(int argc, char** argv) {
  testing::InitGoogleTest(&argc, argv);
  const QTemporaryDir settings;
  qputenv("XDG_CONFIG_HOME", settings.path().toLocal8Bit());
  if (const std::string why = holeward::WhyNoWindow(); !why.empty()) {
    std::fprintf(stderr, "%s\n", why.c_str());
    return 1;
  }
  holeward::PrepareToolkit();
  QApplication application(argc, argv);
  return RUN_ALL_TESTS();
}
