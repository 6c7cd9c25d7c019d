#include "viewer/background_work.h"

#include <chrono>
#include <future>
#include <string>

#include <gtest/gtest.h>

namespace holeward {
namespace {

/// Waits until it is asked to stop.
void UntilStopped(const std::stop_token& stop) {
  while (!stop.stop_requested()) std::this_thread::yield();
}

TEST(BackgroundWork, LaterWorkStopsEarlierAndBeginsWhenThatHasEnded) {
  std::string order;
  std::promise<void> begun;
  std::promise<void> done;
  BackgroundWork work;
  work.Start([&](const std::stop_token& stop) {
    begun.set_value();
    UntilStopped(stop);
    order += "first ";
  });
  begun.get_future().wait();
  work.Start([&](const std::stop_token&) { order += "passed over "; });
  work.Start([&](const std::stop_token& stop) {
    order += stop.stop_requested() ? "stopped" : "last";
    done.set_value();
  });
  done.get_future().wait();
  const std::string came = order;
  EXPECT_TRUE(came == "first last" || came == "first passed over last") << came;
}

TEST(BackgroundWork, WhatWaitsWhenAllIsStoppedIsTold) {
  std::promise<void> begun;
  std::promise<bool> stopped;
  std::promise<void> go;
  BackgroundWork work;
  work.Start([&, gone = go.get_future().share()](const std::stop_token&) {
    begun.set_value();
    gone.wait();
  });
  begun.get_future().wait();
  work.Start([&](const std::stop_token& stop) { stopped.set_value(stop.stop_requested()); });
  work.AskToStop();
  go.set_value();
  EXPECT_TRUE(stopped.get_future().get());
}

TEST(BackgroundWork, EndsWithItsOwner) {
  bool ended = false;
  {
    std::promise<void> begun;
    BackgroundWork work;
    work.Start([&](const std::stop_token& stop) {
      begun.set_value();
      UntilStopped(stop);
      ended = true;
    });
    begun.get_future().wait();
  }
  EXPECT_TRUE(ended);
}

}  // namespace
}  // namespace holeward
