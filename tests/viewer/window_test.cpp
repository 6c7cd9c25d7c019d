// The window on a real display, worked by mouse and keys as a person does: open, select, drag,
// edit, undo, section, print, save, reopen. Pictures of it go to $HOLEWARD_SCREENS where that is
// set.
#include <QAction>
#include <QApplication>
#include <QComboBox>
#include <QDialog>
#include <QDir>
#include <QFileInfo>
#include <QImage>
#include <QLabel>
#include <QLineEdit>
#include <QMenu>
#include <QMenuBar>
#include <QPrinter>
#include <QPushButton>
#include <QSlider>
#include <QStatusBar>
#include <QTabWidget>
#include <QTableWidget>
#include <QTemporaryDir>
#include <QTest>
#include <QTimer>
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <map>
#include <memory>
#include <sstream>
#include <stdexcept>
#include <string>

#include <gtest/gtest.h>

#include "app/view_services.h"
#include "models/job_edit.h"
#include "tests/export/outside_tool.h"
#include "viewer/scene_shape.h"
#include "viewer/window/list_panel.h"
#include "viewer/window/main_window.h"
#include "viewer/window/printing.h"
#include "viewer/window/sheet_panel.h"
#include "viewer/window/view_widget.h"
#include "viewer/window/window_run.h"

namespace holeward {
namespace {

using namespace testing_tools;

std::string BytesOf(const QString& path) {
  std::ifstream file(path.toStdString(), std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

void WriteBytes(const QString& path, const std::string& bytes) {
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

TEST_F(Window, ListsEveryPointOfBothSidesWithItsVerdict) {
  Open();
  auto& table = Find<QTableWidget>("points");
  EXPECT_EQ(table.rowCount(), 20);
  for (int i = 0; i < table.rowCount(); ++i) {
    const QString verdict = table.item(i, 2)->text();
    EXPECT_TRUE(verdict.contains("clear") || verdict.contains("mark only"))
        << verdict.toStdString();
  }
  EXPECT_EQ(Find<QLabel>("verdict").text().toStdString(), "Over all: clear");
  QTest::keyClicks(&Find<QLineEdit>("filter"), "bottom right");
  EXPECT_LT(table.rowCount(), 8);
  EXPECT_GT(table.rowCount(), 0);
  Screen("list");
}

TEST_F(Window, AValueTypedIsPlacedCheckedUndoneAndSavedAloneInTheFile) {
  Open();
  ChooseRow("A1", "left");
  ASSERT_TRUE(window_->model().chosen());
  EXPECT_EQ(window_->model().chosen()->point, "A1");
  auto& tape = Find<QLineEdit>("field rule 1: tape");
  EXPECT_EQ(tape.text().toStdString(), "84");
  const Vec3 before = window_->model().state()->Placed(0, "A1")->position;
  tape.setFocus();
  tape.selectAll();
  QTest::keyClicks(&tape, "91.5");
  ASSERT_TRUE(WaitUpToDate());
  const Vec3 after = window_->model().state()->Placed(0, "A1")->position;
  EXPECT_NEAR((after - before).norm(), 7.5, 0.2);  // along the part, by tape
  QTest::keyClick(&tape, Qt::Key_Return);
  ASSERT_TRUE(WaitChecked());
  ASSERT_TRUE(QTest::qWaitFor([&] { return window_->checked_ms() > 0.0; }, 60000));
  Screen("values");
  std::printf("edit to drawn %.1f ms, to checked %.1f ms, frame %.1f ms, turned %.1f ms\n",
              window_->drawn_ms(), window_->checked_ms(), window_->view().frame_ms(),
              window_->view().turned_ms());

  // From within the line: the window's undo, not the line's own.
  ASSERT_TRUE(tape.hasFocus());
  QTest::keyClick(&tape, Qt::Key_Z, Qt::ControlModifier);
  ASSERT_TRUE(WaitUpToDate());
  EXPECT_TRUE(SameText(window_->model().text(), demo_));
  EXPECT_EQ(tape.text().toStdString(), "84");
  QTest::keyClick(&tape, Qt::Key_Z, Qt::ControlModifier | Qt::ShiftModifier);
  ASSERT_TRUE(WaitUpToDate());
  EXPECT_EQ(tape.text().toStdString(), "91.5");

  QTest::keyClick(window_.get(), Qt::Key_S, Qt::ControlModifier);
  std::string expected = demo_;
  const auto at = expected.find("tape = 84");
  expected.replace(at, 9, "tape = 91.5");
  EXPECT_TRUE(SameText(BytesOf(job_), expected));
  ASSERT_TRUE(window_->Open(job_));
  ASSERT_TRUE(WaitChecked());
  EXPECT_DOUBLE_EQ(TapeOfA1(), 91.5);
}

TEST_F(Window, APointDraggedOnTheSkinChangesItsNumbersAlone) {
  Open();
  QTest::keyClick(window_.get(), Qt::Key_5, Qt::ControlModifier);  // from the left
  ViewWidget& view = window_->view();
  const auto mark = view.MarkOf({"A1", Side::left});
  ASSERT_TRUE(mark);
  QTest::mousePress(&view, Qt::LeftButton, {}, *mark);
  EXPECT_EQ(window_->model().chosen()->point, "A1");
  for (int i = 1; i <= 6; ++i) {
    QTest::mouseMove(&view, *mark + QPoint(4 * i, 0));
    QMouseEvent move(QEvent::MouseMove, *mark + QPoint(4 * i, 0), Qt::LeftButton, Qt::LeftButton,
                     Qt::NoModifier);
    QApplication::sendEvent(&view, &move);
    ASSERT_TRUE(WaitUpToDate());
  }
  QTest::mouseRelease(&view, Qt::LeftButton, {}, *mark + QPoint(24, 0));
  ASSERT_TRUE(WaitChecked());
  EXPECT_NE(TapeOfA1(), 84.0);
  std::string expected = demo_;
  expected.replace(expected.find("tape = 84"), 9, "tape = " + TomlNumber(TapeOfA1()));
  EXPECT_TRUE(SameText(window_->model().text(), expected));
  Screen("drag");
  QTest::keyClick(window_.get(), Qt::Key_Z, Qt::ControlModifier);
  EXPECT_TRUE(SameText(window_->model().text(), demo_)) << "a drag is one step back";
}

// The bodies kept while points move are the bodies as drawn: shifted, missing or from elsewhere
// they would differ at thousands of places.
TEST_F(Window, TheBodiesKeptWhilePointsMoveAreThoseThatAreDrawn) {
  Open();
  ViewWidget& view = window_->view();
  ASSERT_TRUE(QTest::qWaitFor([&] { return view.scene().BodiesFine(); }, 60000));
  view.Redraw();
  const QImage held = view.grab().toImage();
  view.scene().SeeInside(false);  // lets go of what is kept
  ASSERT_FALSE(view.scene().BodiesDrawn());
  view.Redraw();
  ASSERT_TRUE(QTest::qWaitFor([&] { return view.scene().BodiesFine(); }, 60000));
  const QImage drawn = view.grab().toImage();
  ASSERT_EQ(held.size(), drawn.size());
  // The picture fills the widget to its last pixel, on a screen of any fineness: plain ground
  // there.
  for (int x = 0; x < drawn.width(); ++x) {
    ASSERT_GT(qGreen(drawn.pixel(x, drawn.height() - 1)), 230) << "column " << x;
  }
  for (int y = 0; y < drawn.height(); ++y) {
    ASSERT_GT(qGreen(drawn.pixel(drawn.width() - 1, y)), 230) << "row " << y;
  }
  int apart = 0;
  int dark = 0;
  for (int y = 0; y < held.height(); ++y) {
    for (int x = 0; x < held.width(); ++x) {
      const QRgb a = held.pixel(x, y);
      const QRgb b = drawn.pixel(x, y);
      const int off = std::max({std::abs(qRed(a) - qRed(b)), std::abs(qGreen(a) - qGreen(b)),
                                std::abs(qBlue(a) - qBlue(b))});
      if (off > 64) ++apart;
      if (qGreen(b) < 235) ++dark;
    }
  }
  EXPECT_GT(dark, 5000) << "nothing was drawn";
  EXPECT_EQ(apart, 0);
}

// Marks are laid over the picture by a projection of their own: the skin picked under a mark is
// where its point is, within what a pixel covers.
TEST_F(Window, AMarkStandsOnTheSkinWhereItsPointIs) {
  Open();
  ViewScene& scene = window_->view().scene();
  const auto& sides = window_->model().state()->sides;
  int seen = 0;
  for (const bool perspective : {false, true}) {
    scene.Perspective(perspective);
    for (const Look look : {Look::left, Look::three_quarter, Look::underside}) {
      window_->view().From(look);
      for (const ShapePoint& point : PointsOf(*window_->model().state())) {
        const auto mark = scene.MarkOf({point.name, point.side});
        const auto skin = mark ? scene.SkinAt(mark->x(), mark->y()) : std::nullopt;
        // What stands before the point hides it, skin of another part or of its other side.
        if (!skin || (skin->position - point.position).norm() > 20.0) continue;
        EXPECT_LT((skin->position - point.position).norm(), 3.0) << point.name;
        ++seen;
      }
    }
  }
  EXPECT_EQ(sides.size(), 2U);
  EXPECT_GT(seen, 12);
}

TEST_F(Window, AChosenPointIsMovedByKeys) {
  Open();
  ChooseRow("A1", "left");
  QTest::keyClick(window_.get(), Qt::Key_5, Qt::ControlModifier);  // from the left: front is left
  ViewWidget& view = window_->view();
  view.setFocus();
  const Vec3 before = window_->model().state()->Placed(0, "A1")->position;
  QTest::keyClick(&view, Qt::Key_Left, Qt::AltModifier | Qt::ShiftModifier);
  ASSERT_TRUE(WaitUpToDate());
  const Vec3 far = window_->model().state()->Placed(0, "A1")->position;
  EXPECT_NEAR((far - before).norm(), 10.0, 0.5);  // numbers of a rule go by half millimetres
  EXPECT_GT(far.x(), before.x() + 9.0);
  QTest::keyClick(&view, Qt::Key_Right, Qt::AltModifier);
  ASSERT_TRUE(WaitUpToDate());
  const Vec3 back = window_->model().state()->Placed(0, "A1")->position;
  EXPECT_NEAR((back - far).norm(), 1.0, 0.5);
  EXPECT_LT(back.x(), far.x());
}

TEST_F(Window, AChosenPointIsMovedByTenthsToo) {
  Open();
  ChooseRow("A1", "left");
  QTest::keyClick(window_.get(), Qt::Key_5, Qt::ControlModifier);
  ViewWidget& view = window_->view();
  view.setFocus();
  QTest::keyClick(&view, Qt::Key_Left, Qt::ControlModifier);
  ASSERT_TRUE(WaitUpToDate());
  EXPECT_NEAR(std::abs(TapeOfA1() - 84.0), 0.1, 1e-9);
  QTest::keyClick(&view, Qt::Key_Right, Qt::ControlModifier);
  ASSERT_TRUE(WaitUpToDate());
  EXPECT_DOUBLE_EQ(TapeOfA1(), 84.0);
  EXPECT_TRUE(SameText(window_->model().text(), demo_));
}

TEST_F(Window, PlacesToReadBetweenAreWrittenByKeys) {
  Open();
  QTest::keyClick(window_.get(), Qt::Key_5, Qt::AltModifier);
  auto& ground = Find<QComboBox>("reading part");
  ASSERT_TRUE(ground.hasFocus());
  QTest::keyClicks(&ground, "tube");
  ASSERT_TRUE(ground.currentText().startsWith("tube")) << ground.currentText().toStdString();
  QTest::keyClick(&ground, Qt::Key_Tab);
  auto* from = Find<QComboBox>("reading from").lineEdit();
  ASSERT_TRUE(from->hasFocus());
  QTest::keyClicks(from, "K");
  QTest::keyClick(from, Qt::Key_Tab);
  auto* to = Find<QComboBox>("reading to").lineEdit();
  ASSERT_TRUE(to->hasFocus());
  QTest::keyClicks(to, "T1");
  QTest::keyClick(to, Qt::Key_Return);
  const auto& result = Find<QLabel>("reading result");
  EXPECT_TRUE(result.text().contains("tape 20.0 mm")) << result.text().toStdString();
  Screen("written-reading");
  to->selectAll();
  QTest::keyClicks(to, "50 nowhere");
  QTest::keyClick(to, Qt::Key_Return);
  EXPECT_TRUE(result.text().contains("is no place of tube")) << result.text().toStdString();
  to->selectAll();
  QTest::keyClicks(to, "50 bottom");
  QTest::keyClick(to, Qt::Key_Return);
  EXPECT_TRUE(result.text().contains("to station 50.0 mm")) << result.text().toStdString();
}

/// Every command of a menu, the menus under it included.
void AddCommands(const QMenu* menu, std::vector<const QAction*>& commands) {
  for (const QAction* action : menu->actions()) {
    if (action->menu() != nullptr) {
      commands.push_back(action);
      AddCommands(action->menu(), commands);
    } else if (!action->isSeparator()) {
      commands.push_back(action);
    }
  }
}

QChar MnemonicOf(const QString& text) {
  const int at = QString(text).replace("&&", "  ").indexOf('&');
  return at < 0 ? QChar() : text[at + 1].toLower();
}

TEST_F(Window, EveryCommandHasAKeyAndNoKeyHasTwo) {
  Open();
  std::vector<const QMenu*> menus;
  for (const QAction* action : window_->menuBar()->actions()) menus.push_back(action->menu());
  std::map<QString, QString> keys;
  std::size_t seen = 0;
  for (const QMenu* top : menus) {
    std::vector<const QAction*> commands;
    AddCommands(top, commands);
    for (const QAction* action : commands) {
      ++seen;
      const std::string name = action->text().toStdString();
      EXPECT_TRUE(!MnemonicOf(action->text()).isNull() || !action->shortcut().isEmpty()) << name;
      for (const QKeySequence& key : action->shortcuts()) {
        const auto [found, fresh] = keys.emplace(key.toString(), action->text());
        EXPECT_TRUE(fresh) << key.toString().toStdString() << ": " << name << " and "
                           << found->second.toStdString();
      }
    }
  }
  EXPECT_GT(seen, 70U);
  // Within one menu no letter stands for two.
  menus.clear();
  for (const QMenu* menu : window_->findChildren<QMenu*>()) menus.push_back(menu);
  for (const QMenu* menu : menus) {
    std::map<QChar, QString> letters;
    for (const QAction* action : menu->actions()) {
      const QChar letter = MnemonicOf(action->text());
      if (letter.isNull()) continue;
      const auto [found, fresh] = letters.emplace(letter, action->text());
      EXPECT_TRUE(fresh) << action->text().toStdString() << " and " << found->second.toStdString();
    }
  }
}

TEST_F(Window, TheTabKeyGoesThroughTheFormFromTopToBottom) {
  Open();
  ChooseRow("A3", "left");
  QTest::keyClick(window_.get(), Qt::Key_1, Qt::AltModifier);
  EXPECT_TRUE(Find<QComboBox>("table").hasFocus());
  QStringList passed;
  for (int i = 0; i < 9; ++i) {
    QWidget* now = QApplication::focusWidget();
    passed << (now->objectName().isEmpty() ? now->parentWidget()->objectName() : now->objectName());
    QTest::keyClick(now, Qt::Key_Tab);
  }
  EXPECT_EQ(
      passed.join(", ").toStdString(),
      "table, add, copy, delete, field name, field use, field part, field face, field rule 1: "
      "method");
  for (int i = 0; i < 3; ++i) {
    QTest::keyClick(QApplication::focusWidget(), Qt::Key_F6);
    passed << QApplication::focusWidget()->objectName();
  }
  EXPECT_EQ(passed[9].toStdString(), "view");
  EXPECT_EQ(passed[10].toStdString(), "points");
  EXPECT_EQ(passed[11].toStdString(), "table");
  QTest::keyClick(QApplication::focusWidget(), Qt::Key_F8);
  EXPECT_EQ(*window_->model().chosen(), (ChosenPoint{"A3", Side::right})) << "the next row";
  QTest::keyClick(QApplication::focusWidget(), Qt::Key_F8, Qt::ShiftModifier);
  EXPECT_EQ(*window_->model().chosen(), (ChosenPoint{"A3", Side::left}));
}

TEST_F(Window, WhatTheReaderSaysStandsAtItsField) {
  Open();
  ChooseRow("A1", "left");
  auto& tape = Find<QLineEdit>("field rule 1: tape");
  tape.setFocus();
  tape.selectAll();
  QTest::keyClicks(&tape, "-5");
  ASSERT_TRUE(WaitUpToDate());
  const auto& fault = Find<QLabel>("fault rule 1: tape");
  EXPECT_TRUE(fault.isVisible());
  EXPECT_TRUE(fault.text().contains("-5")) << fault.text().toStdString();
  EXPECT_TRUE(Find<QComboBox>("table").currentText().contains("error"));
  Screen("fault");
  tape.selectAll();
  QTest::keyClicks(&tape, "84");
  ASSERT_TRUE(WaitUpToDate());
  EXPECT_FALSE(fault.isVisible());
  EXPECT_FALSE(Find<QComboBox>("table").currentText().contains("error"));
}

TEST_F(Window, AFileLargerThanAJobMayBeIsRefusedInWords) {
  Open();
  WriteBytes(folder_.filePath("large.toml"), std::string(kLargestJob + 1, '#'));
  EXPECT_FALSE(window_->Open(folder_.filePath("large.toml")));
  ASSERT_FALSE(questions_.isEmpty());
  EXPECT_TRUE(questions_.last().contains("larger than 16 MiB")) << questions_.last().toStdString();
  EXPECT_TRUE(SameText(window_->model().text(), demo_)) << "what was open stays";
}

TEST_F(Window, AnAnswerHalfWrittenIsSavedToo) {
  Open();
  ChooseRow("A1", "left");
  auto& name = Find<QLineEdit>("field name");
  name.setFocus();
  name.selectAll();
  QTest::keyClicks(&name, "A9");
  QTest::keyClick(&name, Qt::Key_S, Qt::ControlModifier);
  const std::string saved = BytesOf(job_);
  EXPECT_NE(saved.find("name = \"A9\""), std::string::npos);
  EXPECT_EQ(saved.find("name = \"A1\""), std::string::npos);
}

TEST_F(Window, AMethodChosenRewritesTheMeasureAndItsForm) {
  Open();
  ChooseRow("A1", "left");
  auto& method = Find<QComboBox>("field rule 1: method");
  method.setFocus();
  QTest::keyClick(&method, Qt::Key_Down);  // from tape to rule
  ASSERT_TRUE(WaitChecked());
  EXPECT_EQ(window_->model().state()->job.points.front().rule[0].method, Method::rule);
  QTest::qWait(20);
  EXPECT_EQ(Find<QLineEdit>("field rule 1: rule").text().toStdString(), "84");
}

TEST_F(Window, ReadsBetweenTwoPointsByTapeAndRule) {
  Open();
  ChooseRow("K", "left");
  QTest::keyClick(window_.get(), Qt::Key_R, Qt::ControlModifier);  // begins at the chosen point
  EXPECT_TRUE(window_->statusBar()->currentMessage().contains("station"))
      << window_->statusBar()->currentMessage().toStdString();
  ChooseRow("T1", "left");
  const QString read = window_->statusBar()->currentMessage();
  // T1 is placed 20 mm by tape from K.
  EXPECT_TRUE(read.contains("tape 20.0 mm")) << read.toStdString();
  Screen("reading");
}

TEST_F(Window, ANewJobIsMadeOfNothingButForms) {
  window_ = std::make_unique<MainWindow>(ServicesOfProgram());
  window_->resize(1360, 860);
  window_->show();
  ASSERT_TRUE(QTest::qWaitForWindowExposed(window_.get()));
  EXPECT_TRUE(Find<QLabel>("verdict").text().contains("No job is open"));
  ASSERT_TRUE(window_->NewJob("", folder_.filePath("new.toml")));
  ASSERT_TRUE(WaitChecked());
  const auto add = [&](const char* what) {
    for (QAction* action : Find<QPushButton>("add").menu()->actions()) {
      if (QString(action->text()).remove('&') == what) action->trigger();
    }
    EXPECT_TRUE(WaitChecked());
  };
  add("Part");
  add("Fitting on this part");
  add("Inner body in this part");
  add("Point");
  const JobState& state = *window_->model().state();
  EXPECT_EQ(state.errors.size(), 0U) << state.errors.front().message;
  ASSERT_EQ(state.job.parts.size(), 1U);
  EXPECT_EQ(state.job.parts[0].fittings.size(), 1U);
  EXPECT_EQ(state.job.parts[0].inner.size(), 1U);
  EXPECT_EQ(state.job.points.size(), 1U);
  EXPECT_TRUE(window_->Save());
  Screen("new");
}

/// Writes into the dialog that comes next, and accepts it; again while it stands, as a slow display
/// may not have had it ready. Given up after a minute.
void AnswerNextDialog(const QString& words, int tries = 120, bool answered = false) {
  QTimer::singleShot(500, [words, tries, answered] {
    auto* dialog = qobject_cast<QDialog*>(QApplication::activeModalWidget());
    if (dialog == nullptr) {
      if (tries > 0 && !answered) AnswerNextDialog(words, tries - 1);
      return;
    }
    auto* line = dialog->findChild<QLineEdit*>("fileNameEdit");
    if (line == nullptr || tries == 0) {
      ADD_FAILURE() << "the dialog takes no answer";
      dialog->reject();
      return;
    }
    AnswerNextDialog(words, tries - 1, true);  // ends once the dialog is gone
    line->setFocus();
    line->selectAll();
    QTest::keyClicks(line, words);
    QTest::keyClick(line, Qt::Key_Return);
  });
}

/// A menu by Alt and its letter, then on by letters.
void MenuKeys(QWidget* window, const char* letters) {
  QApplication::setActiveWindow(window);  // a dialog before may have taken that, a bare display
                                          // does not give it back
  QTest::keyClick(window, *letters, Qt::AltModifier);
  for (const char* next = letters + 1; *next != 0; ++next) {
    ASSERT_TRUE(QTest::qWaitFor([] { return QApplication::activePopupWidget() != nullptr; }, 5000))
        << letters;
    QTest::keyClick(QApplication::activePopupWidget(), *next);
  }
}

TEST_F(Window, FromAnEmptyWindowToAnIssuedSetByKeysAlone) {
  Show();
  const QString path = folder_.filePath("hanger.toml");
  AnswerNextDialog(path);
  MenuKeys(window_.get(), "fne");
  ASSERT_TRUE(WaitChecked());
  EXPECT_EQ(window_->model().path(), path.toStdString());
  const auto answer = [&](const char* field, const char* words) {
    auto* line = window_->findChild<QLineEdit*>(QString("field ") + field);
    if (line == nullptr) line = Find<QComboBox>((std::string("field ") + field).c_str()).lineEdit();
    ASSERT_NE(line, nullptr) << field;
    line->setFocus();
    line->selectAll();
    QTest::keyClicks(line, words);
    QTest::keyClick(line, Qt::Key_Return);
    ASSERT_TRUE(WaitUpToDate());
    QTest::qWait(1);
  };
  MenuKeys(window_.get(), "aa");  // a part
  ASSERT_TRUE(WaitUpToDate());
  answer("name", "hanger");
  answer("wall", "3");
  answer("width", "60");
  answer("height", "48");
  answer("from", "0, 420, 300");
  answer("to", "-260, 420, 300");
  MenuKeys(window_.get(), "ai");  // a bar in it
  ASSERT_TRUE(WaitUpToDate());
  answer("diameter", "12");
  answer("basis", "measured");
  Screen("journey-inner");
  QTest::keyClick(window_.get(), Qt::Key_N, Qt::ControlModifier | Qt::ShiftModifier);
  ASSERT_TRUE(WaitUpToDate());
  answer("face", "outboard");
  answer("use", "drill");
  answer("drill", "3, 6");
  answer("rule 1: tape", "90");
  answer("during", "access");
  answer("after", "plug");
  ASSERT_TRUE(WaitChecked());
  MenuKeys(window_.get(), "at");  // a template
  ASSERT_TRUE(WaitChecked());
  const JobState& state = *window_->model().state();
  EXPECT_TRUE(state.errors.empty()) << state.errors.front().message;
  ASSERT_EQ(window_->model().rows().size(), 2U);
  EXPECT_EQ(window_->model().rows()[0].verdict, "clear")
      << (window_->model().rows()[0].reasons.empty() ? ""
                                                     : window_->model().rows()[0].reasons.front());
  Screen("journey");
  QTest::keyClick(window_.get(), Qt::Key_F6);
  QTest::keyClick(QApplication::focusWidget(), Qt::Key_F6);
  answer_ = 0;  // save first
  const QString set = folder_.filePath("set");
  ASSERT_TRUE(QDir().mkdir(set));
  AnswerNextDialog(set);
  QTest::keyClick(window_.get(), Qt::Key_E, Qt::ControlModifier);
  ASSERT_TRUE(QTest::qWaitFor(
      [&] { return !QDir(set).entryList({"*index*.pdf"}, QDir::Files).isEmpty(); }, 240000));
  QTest::qWait(200);
  Screen("journey-issued");
  EXPECT_FALSE(QDir(set).entryList({"*template*.pdf"}, QDir::Files).isEmpty());
}

TEST_F(Window, ShowsTheSectionOfADrillPointAtAnyDepth) {
  Open();
  ChooseRow("T3", "left");
  auto& tabs = Find<QTabWidget>("tabs");
  tabs.setCurrentIndex(1);
  QTest::qWait(50);
  auto& depth = Find<QSlider>("depth");
  EXPECT_EQ(depth.value(), 75);  // the pilot's stop, 7.5 mm
  EXPECT_TRUE(Find<QLabel>("section-now").text().contains("tip at 7.5 mm"));
  depth.setValue(450);
  EXPECT_TRUE(Find<QLabel>("section-now").text().contains("torsion bar"))
      << Find<QLabel>("section-now").text().toStdString();
  Screen("section");
}

TEST_F(Window, AnAddedPointCanBeCopiedAndDeletedAndTheTextComesBack) {
  Open();
  QTest::keyClick(window_.get(), Qt::Key_N, Qt::ControlModifier | Qt::ShiftModifier);
  ASSERT_TRUE(WaitChecked());
  EXPECT_EQ(window_->model().state()->job.points.size(), 11U);
  EXPECT_TRUE(window_->model().state()->errors.empty())
      << window_->model().state()->errors.front().message;
  QTest::keyClick(window_.get(), Qt::Key_D, Qt::ControlModifier);
  ASSERT_TRUE(WaitUpToDate());
  EXPECT_EQ(window_->model().state()->job.points.size(), 12U);
  QTest::keyClick(window_.get(), Qt::Key_Delete, Qt::ControlModifier);
  ASSERT_TRUE(WaitUpToDate());
  EXPECT_EQ(window_->model().state()->job.points.size(), 11U);
  for (int i = 0; i < 3; ++i) QTest::keyClick(window_.get(), Qt::Key_Z, Qt::ControlModifier);
  EXPECT_TRUE(SameText(window_->model().text(), demo_));
}

TEST_F(Window, AJobWithErrorsOpensAsTextAndItsGoodPartsAreDrawn) {
  std::string broken = demo_;
  broken.replace(broken.find("from = \"pivot eye\""), 18, "from = \"pivot eyes\"");
  WriteBytes(job_, broken);
  window_ = std::make_unique<MainWindow>(ServicesOfProgram());
  window_->resize(1360, 860);
  window_->show();
  ASSERT_TRUE(QTest::qWaitForWindowExposed(window_.get()));
  ASSERT_TRUE(window_->Open(job_));
  ASSERT_TRUE(WaitUpToDate());
  const JobState& state = *window_->model().state();
  ASSERT_FALSE(state.errors.empty());
  EXPECT_EQ(state.job.points.size(), 9U);
  EXPECT_EQ(state.sides.size(), 2U);
  EXPECT_EQ(Find<QTabWidget>("tabs").currentIndex(), 3);
  EXPECT_TRUE(Find<QLabel>("verdict").text().contains("cannot be used"));
  Screen("errors");
}

TEST_F(Window, AFileChangedOutsideIsNotWrittenOver) {
  Open();
  ChooseRow("A1", "left");
  auto& tape = Find<QLineEdit>("field rule 1: tape");
  tape.setFocus();
  tape.selectAll();
  QTest::keyClicks(&tape, "90");
  const std::string theirs = demo_ + "# a line from elsewhere\n";
  WriteBytes(job_, theirs);
  answer_ = 2;  // cancel
  EXPECT_FALSE(window_->Save());
  EXPECT_TRUE(SameText(BytesOf(job_), theirs));
  ASSERT_FALSE(questions_.isEmpty());
  EXPECT_TRUE(questions_.last().contains("changed by something else"));
}

TEST_F(Window, UnsavedWorkOfARunThatEndedBadlyIsOfferedAgain) {
  std::string unsaved = demo_;
  unsaved.replace(unsaved.find("tape = 84"), 9, "tape = 70");
  WriteBytes(folder_.filePath(".van.toml.unsaved"), unsaved);
  answer_ = 0;  // take it up
  Open();
  EXPECT_TRUE(SameText(window_->model().text(), unsaved));
  EXPECT_TRUE(window_->model().modified());
  EXPECT_TRUE(SameText(BytesOf(job_), demo_));
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

// While a change is worked out, no row shows the verdict of before it.
TEST(ListPanel, OutOfDateSaysNoVerdict) {
  ListPanel list;
  ListRow row;
  row.id = {"A1", Side::left};
  row.judged = Verdict::clear;
  row.verdict = "clear";
  row.margin = 12.3;
  list.Show({row}, std::nullopt, false);
  const auto* table = list.findChild<QTableWidget*>("points");
  EXPECT_TRUE(table->item(0, 2)->text().contains("clear"));
  EXPECT_EQ(table->item(0, 3)->text().toStdString(), "12.3");
  list.ShowOutOfDate();
  EXPECT_EQ(table->item(0, 2)->text().toStdString(), "working it out");
  EXPECT_EQ(table->item(0, 3)->text().toStdString(), "");
}

/// Two pages of a paper, one on its side, one of a roll, and one for either A4 or Letter.
SheetSet FourPages() {
  SheetSet set;
  for (const Vec2& size : {Vec2(210, 297), Vec2(297, 210), Vec2(610, 1800), Vec2(210, 279.4)}) {
    SheetView page;
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
