// The sheets: shown, issued, printed at their full size.
#include <QDir>
#include <QFileInfo>
#include <QLabel>
#include <QLineEdit>
#include <QPrinter>
#include <QPushButton>
#include <QStatusBar>
#include <QTabWidget>
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <map>
#include <sstream>
#include <string>

#include <gtest/gtest.h>

#include "tests/export/outside_tool.h"
#include "tests/viewer/window_dialogs.h"
#include "tests/viewer/window_fixture.h"
#include "viewer/window/printing.h"
#include "viewer/window/sheet_panel.h"

namespace holeward {
namespace {

using namespace testing_tools;

/// Every file of a folder with its bytes.
std::map<QString, std::string> FilesOf(const QString& folder) {
  std::map<QString, std::string> files;
  for (const QString& name : QDir(folder).entryList(QDir::Files | QDir::Hidden)) {
    files[name] = BytesOf(folder + "/" + name);
  }
  return files;
}

// Issued by keys into a folder, while the window goes on; then pages are shown without a further
// change. A second set given up half way leaves the first as it was.
TEST_F(Window, ASetIsIssuedBesideTheWindowAndOneThatIsCancelledLeavesTheOldOne) {
  Open();
  const QString set = folder_.filePath("set");
  ASSERT_TRUE(QDir().mkdir(set));
  const auto& progress = Find<QLabel>("progress");
  auto& cancel = Find<QPushButton>("cancel");
  const auto issue = [&] {
    QApplication::setActiveWindow(window_.get());
    AnswerNextDialog(set);
    QTest::keyClick(window_.get(), Qt::Key_E, Qt::ControlModifier);
    ASSERT_TRUE(cancel.isVisible());
  };
  issue();
  ChooseRow("A3", "left");  // the window takes this while the set is made
  EXPECT_EQ(window_->model().chosen()->point, "A3");
  QStringList told;
  ASSERT_TRUE(QTest::qWaitFor(
      [&] {
        if (told.isEmpty() || told.last() != progress.text()) told << progress.text();
        return told.last().contains("The set is in");
      },
      240000))
      << told.join(" | ").toStdString();
  EXPECT_GT(told.size(), 4) << told.join(" | ").toStdString();
  ASSERT_TRUE(QTest::qWaitFor([&] { return window_->sheet().pages() > 3U; }, 120000))
      << "pages without a further change";
  ASSERT_TRUE(QTest::qWaitFor([&] { return !cancel.isVisible(); }, 120000));
  EXPECT_TRUE(progress.text().contains("The set is in")) << progress.text().toStdString();
  QTest::qWait(50);
  EXPECT_GE(progress.height(), progress.heightForWidth(progress.width())) << "no line is cut off";
  Screen("issued");
  const auto files = FilesOf(set);
  ASSERT_GT(files.size(), 4U);

  Find<QTabWidget>("tabs").setCurrentIndex(0);
  ChooseRow("A1", "left");
  auto& tape = Find<QLineEdit>("field rule 1: tape");
  QApplication::setActiveWindow(window_.get());  // the dialog took that
  tape.setFocus();
  tape.selectAll();
  QTest::keyClicks(&tape, "91.5");
  QTest::keyClick(&tape, Qt::Key_S, Qt::ControlModifier);
  ASSERT_FALSE(window_->model().modified());
  issue();
  QTest::mouseClick(&cancel, Qt::LeftButton);
  ASSERT_TRUE(QTest::qWaitFor(
      [&] { return window_->statusBar()->currentMessage().contains("Stopped"); }, 60000));
  EXPECT_EQ(window_->statusBar()->currentMessage().toStdString(), "Stopped; nothing was written.");
  EXPECT_TRUE(FilesOf(set) == files);
  ASSERT_TRUE(QTest::qWaitFor([&] { return !cancel.isVisible(); }, 120000));
  EXPECT_GT(window_->sheet().pages(), 3U);
}

// Asked for before the pages are laid out, as a person in a hurry does.
TEST_F(Window, PrintsToAFileThePagesThemselvesAtFullSize) {
  Open();
  const QString file = folder_.filePath("print.pdf");
  window_->sheet().ask_printer = [&](QPrinter& printer) {
    printer.setOutputFormat(QPrinter::PdfFormat);
    printer.setOutputFileName(file);
    return true;
  };
  QTest::keyClick(window_.get(), Qt::Key_P, Qt::ControlModifier);
  ASSERT_TRUE(QTest::qWaitFor([&] { return QFileInfo::exists(file); }, 120000));
  Screen("sheet");
  const std::string path = file.toStdString();
  const std::string bytes = BytesOf(file);
  EXPECT_GT(bytes.size(), 10000U);
  EXPECT_LT(bytes.size(), 2000000U);
  const std::size_t pages = window_->sheet().pages();
  ASSERT_GT(pages, 3U);
  // ISO 216: A4 is 210 x 297 mm, 595.28 x 841.89 points; what it has in common with Letter
  // (ASME Y14.1: 11 in) is 792 long.
  std::istringstream sizes(Output("pdfinfo -f 1 -l " + std::to_string(pages) + " " + path));
  std::size_t seen = 0;
  for (std::string line; std::getline(sizes, line);) {
    double width = 0.0;
    double height = 0.0;
    if (std::sscanf(line.c_str(), "Page %*d size: %lf x %lf", &width, &height) != 2) continue;
    ++seen;
    EXPECT_NEAR(std::min(width, height), 595.28, 0.02);
    const double length = std::max(width, height);
    EXPECT_LT(std::min(std::abs(length - 841.89), std::abs(length - 792.0)), 0.02) << line;
  }
  EXPECT_EQ(seen, pages);
  // No page is a picture, and what is lettered on it are letters.
  EXPECT_EQ(Output("pdfimages -list " + path).find(" image "), std::string::npos);
  EXPECT_NE(Output("pdftotext " + path + " -").find("Check bar 150 mm"), std::string::npos);
  const auto lines = LinesOf(path);
  ASSERT_EQ(lines.size(), pages);
  for (std::size_t i = 0; i < pages; ++i) {
    const auto bars = std::count_if(lines[i].begin(), lines[i].end(), [](const SeenLine& line) {
      const Vec2 way = (line.b - line.a).cwiseAbs();
      return std::abs(way.maxCoeff() - 150.0) < 0.05 && way.minCoeff() < 0.005;
    });
    EXPECT_GE(bars, 2) << "page " << i + 1 << " has no check bar across or up";
  }
  if (const char* folder = std::getenv("HOLEWARD_SCREENS")) {
    WriteBytes(QString(folder) + "/print.pdf", bytes);
  }
}

/// Two pages of a paper, one on its side, one of a roll, and one for either A4 or Letter.
SheetSet FourPages() {
  SheetSet set;
  for (const Vec2& size : {Vec2(210, 297), Vec2(297, 210), Vec2(610, 1800), Vec2(210, 279.4)}) {
    ShownSheet page;
    page.width = size.x();
    page.height = size.y();
    page.draw = [](double) { return Bitmap{2, 2, {~0U, ~0U, ~0U, ~0U}}; };
    set.pages.push_back(page);
  }
  set.pdf = [](const std::vector<std::size_t>& pages) -> Result<std::string> {
    std::string bytes = "pages";
    for (const std::size_t page : pages) bytes += " " + std::to_string(page);
    return bytes;
  };
  return set;
}

/// A machine whose only command is this `lp`.
class PrintSystem : public testing::Test {
 protected:
  void SetUp() override { qputenv("PATH", folder_.path().toLocal8Bit()); }
  void TearDown() override { qputenv("PATH", path_); }
  void Lp(const std::string& script) {
    const QString file = folder_.filePath("lp");
    WriteBytes(file, "#!/bin/sh\ncd " + folder_.path().toStdString() + "\n" + script);
    QFile::setPermissions(file, QFile::ReadOwner | QFile::WriteOwner | QFile::ExeOwner);
  }
  QTemporaryDir folder_;
  QByteArray path_ = qgetenv("PATH");
};

TEST_F(PrintSystem, GetsThePagesUnscaledEachSizeApart) {
  Lp("echo \"$*\" >> told\n/bin/cat >> got\necho >> got\n");
  EXPECT_EQ(HandToPrintSystem(FourPages(), {"shop", 2}).came, HandedOver::done);
  EXPECT_EQ(BytesOf(folder_.filePath("told")),
            "-d shop -n 2 -t Holeward -o print-scaling=none -o sides=one-sided -o media=A4\n"
            "-d shop -n 2 -t Holeward -o print-scaling=none -o sides=one-sided -o "
            "media=Custom.610x1800mm\n"
            "-d shop -n 2 -t Holeward -o print-scaling=none -o sides=one-sided\n");
  EXPECT_EQ(BytesOf(folder_.filePath("got")), "pages 0 1\npages 2\npages 3\n");
}

TEST_F(PrintSystem, ThatRefusesIsQuoted) {
  Lp("echo 'no printer shop' >&2\nexit 1\n");
  const HandOver refused = HandToPrintSystem(FourPages(), {"shop", 1});
  EXPECT_EQ(refused.came, HandedOver::refused);
  EXPECT_TRUE(refused.why.contains("no printer shop")) << refused.why.toStdString();
  Lp("if [ -e half ]; then exit 1; fi\necho > half\n/bin/cat > got\n");
  const HandOver half = HandToPrintSystem(FourPages(), {"shop", 1});
  EXPECT_EQ(half.came, HandedOver::refused);
  EXPECT_TRUE(half.why.contains("first 2 of 4 pages")) << half.why.toStdString();
}

TEST_F(PrintSystem, ThatIsNotThereIsDoneWithoutByPictures) {
  EXPECT_EQ(HandToPrintSystem(FourPages(), {"shop", 1}).came, HandedOver::no_command);
  QPrinter printer(QPrinter::HighResolution);
  printer.setOutputFormat(QPrinter::PdfFormat);
  printer.setOutputFileName(folder_.filePath("print.pdf"));
  EXPECT_EQ(PrintAsPictures(FourPages(), printer), "");
  const std::string pdf = BytesOf(folder_.filePath("print.pdf"));
  // A4 in points of 1/72 inch, ISO 216: 210 x 297 mm.
  EXPECT_NE(pdf.find("/MediaBox [0 0 595"), std::string::npos);
}

}  // namespace
}  // namespace holeward
