// Undo and redo of the window, not of the line that has the focus.
#pragma once

#include <QKeyEvent>
#include <QObject>

namespace holeward {

/// Put on a widget that text is written in: its own undo and redo go to the window's instead.
class WindowUndo : public QObject {
 public:
  using QObject::QObject;

 protected:
  bool eventFilter(QObject* watched, QEvent* event) override {
    if (event->type() != QEvent::ShortcutOverride) return QObject::eventFilter(watched, event);
    auto* key = static_cast<QKeyEvent*>(event);
    const bool ours = key->matches(QKeySequence::Undo) || key->matches(QKeySequence::Redo) ||
                      (key->key() == Qt::Key_Y && key->modifiers() == Qt::ControlModifier);
    if (ours) key->ignore();
    return ours;
  }
};

}  // namespace holeward
