// A window on the demo job, on a real display, worked by mouse and keys as a person does. Pictures
// of it go to $HOLEWARD_SCREENS where that is set.
#pragma once

#include <QApplication>
#include <QDir>
#include <QStringList>
#include <QTableWidget>
#include <QTemporaryDir>
#include <QTest>
#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <memory>
#include <stdexcept>
#include <string>

#include <gtest/gtest.h>

#include "app/view_services.h"
#include "viewer/window/main_window.h"
#include "viewer/window/view_widget.h"

namespace holeward {

inline std::string BytesOf(const QString& path) {
  std::ifstream file(path.toStdString(), std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

inline void WriteBytes(const QString& path, const std::string& bytes) {
  std::ofstream(path.toStdString(), std::ios::binary) << bytes;
}

/// A window on a copy of the demo job.
class Window : public testing::Test {
 protected:
  void SetUp() override {
    ASSERT_TRUE(folder_.isValid());
    job_ = folder_.filePath("van.toml");
    demo_ = BytesOf(QString(HOLEWARD_SOURCE_DIR) + "/models/examples/utility-van.toml");
    ASSERT_GT(demo_.size(), 1000U);
    WriteBytes(job_, demo_);
  }

  /// A window with no job in it.
  void Show() {
    window_ = std::make_unique<MainWindow>(ServicesOfProgram());
    window_->ask = [this](const QString& question, const QStringList&) {
      questions_ << question;
      return answer_;
    };
    window_->resize(1360, 860);
    window_->show();
    ASSERT_TRUE(QTest::qWaitForWindowExposed(window_.get()));
    QApplication::setActiveWindow(window_.get());  // a bare display has nobody who does
  }

  void Open() {
    Show();
    ASSERT_TRUE(window_->Open(job_));
    ASSERT_TRUE(WaitChecked());
  }

  /// The text with one piece of it another, compared without printing it all.
  [[nodiscard]] static testing::AssertionResult SameText(const std::string& found,
                                                         const std::string& expected) {
    if (found == expected) return testing::AssertionSuccess();
    const auto at = std::mismatch(found.begin(), found.end(), expected.begin(), expected.end());
    const auto from = static_cast<std::size_t>(at.first - found.begin());
    return testing::AssertionFailure()
           << "they part at byte " << from << ": " << found.substr(from, 60);
  }

  [[nodiscard]] bool WaitChecked() {
    return QTest::qWaitFor(
        [this] {
          const auto& model = window_->model();
          return model.UpToDate() && model.state()->checked;
        },
        120000);
  }
  [[nodiscard]] bool WaitUpToDate() {
    return QTest::qWaitFor([this] { return window_->model().UpToDate(); }, 60000);
  }

  template <class T>
  T& Find(const char* name) {
    T* found = window_->findChild<T*>(name);
    if (found == nullptr) throw std::runtime_error(std::string("no widget ") + name);
    return *found;
  }

  void ChooseRow(const QString& point, const QString& side) {
    auto& table = Find<QTableWidget>("points");
    for (int i = 0; i < table.rowCount(); ++i) {
      if (table.item(i, 0)->text() != point || table.item(i, 1)->text() != side) continue;
      table.scrollToItem(table.item(i, 0));
      QTest::mouseClick(table.viewport(), Qt::LeftButton, {},
                        table.visualItemRect(table.item(i, 0)).center());
      return;
    }
    FAIL() << "no row " << point.toStdString();
  }

  void Screen(const char* name) {
    const char* folder = std::getenv("HOLEWARD_SCREENS");
    if (folder == nullptr) return;
    EXPECT_TRUE(QTest::qWaitFor([this] { return window_->view().scene().BodiesFine(); }, 60000));
    const QString scale = qEnvironmentVariable("QT_SCALE_FACTOR", "1");
    EXPECT_TRUE(SaveScreen(*window_, QString("%1/%2-%3x.png").arg(folder, name).arg(scale)));
  }

  [[nodiscard]] double TapeOfA1() const {
    return window_->model().state()->job.FindPoint("A1")->rule[0].value;
  }

  QTemporaryDir folder_;
  QString job_;
  std::string demo_;
  std::unique_ptr<MainWindow> window_;
  QStringList questions_;
  int answer_ = 0;
};

}  // namespace holeward
