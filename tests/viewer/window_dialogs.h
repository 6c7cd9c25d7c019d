// Dialogs and menus worked as by a person.
#pragma once

#include <QApplication>
#include <QDialog>
#include <QLineEdit>
#include <QString>
#include <QTest>
#include <QTimer>

#include <gtest/gtest.h>

namespace holeward {

/// Writes into the dialog that comes next, and accepts it; again while it stands, as a slow display
/// may not have had it ready. Given up after a minute.
inline void AnswerNextDialog(const QString& words, int tries = 120, bool answered = false) {
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
inline void MenuKeys(QWidget* window, const char* letters) {
  QApplication::setActiveWindow(window);  // a dialog before may have taken that, a bare display
                                          // does not give it back
  QTest::keyClick(window, *letters, Qt::AltModifier);
  for (const char* next = letters + 1; *next != 0; ++next) {
    ASSERT_TRUE(QTest::qWaitFor([] { return QApplication::activePopupWidget() != nullptr; }, 5000))
        << letters;
    QTest::keyClick(QApplication::activePopupWidget(), *next);
  }
}

}  // namespace holeward
