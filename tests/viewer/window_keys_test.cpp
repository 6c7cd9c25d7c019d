// Everything without a mouse: menus, keys, the way through the panels, a whole job by keys alone.
#include <QAction>
#include <QApplication>
#include <QComboBox>
#include <QDir>
#include <QLineEdit>
#include <QMenu>
#include <QMenuBar>
#include <array>
#include <map>
#include <string>

#include <gtest/gtest.h>

#include "tests/viewer/window_dialogs.h"
#include "tests/viewer/window_fixture.h"

namespace holeward {
namespace {

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
  const auto place = [&](const std::string& field, const std::array<const char*, 3>& at) {
    for (std::size_t i = 0; i < 3; ++i) {
      answer((field + ": " + "xyz"[i]).c_str(), at[i]);
    }
  };
  place("from", {"0", "420", "300"});
  place("to", {"-260", "420", "300"});
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

}  // namespace
}  // namespace holeward
